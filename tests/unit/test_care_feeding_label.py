"""Label arithmetic and rates against published worked examples, each with its source named beside it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sallow.care import units
from sallow.care.feeding import bags, credits, label, liquid
from sallow.care.feeding.label import Grade, content_of, parse_grade, product_for
from sallow.errors import BadInput
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.tables import load_tables

TABLES = load_tables(shipped_folder("knowledge"))


# Whole bags: weight, grade, published N, P2O5, K2O in pounds.
PUBLISHED_BAGS = [
    pytest.param(100, "16-4-8", (16, 4, 8), id="NMSU H-119: 100 lb of 16-4-8"),
    pytest.param(50, "20-10-5", (10, 5, 2.5), id="label sheet MS 427: 50 lb of 20-10-5"),
    pytest.param(80, "5-10-15", (4, 8, 12), id="UMaine 2287: 80 lb of 5-10-15"),
    pytest.param(100, "12-11-2", (12, 11, 2), id="Oregon State (Penhallegon): 100 lb of 12-11-2"),
]


@pytest.mark.parametrize(("weight", "grade", "published"), PUBLISHED_BAGS)
def test_what_a_bag_holds(weight, grade, published):
    content = content_of(weight, parse_grade(grade))
    assert (content.n, content.p2o5, content.k2o) == pytest.approx(published)


def test_the_rest_of_the_bag_is_carrier():
    # NMSU H-119: 72 lb of carrier in 100 lb of 16-4-8.
    assert content_of(100, Grade(16, 4, 8)).rest == pytest.approx(72)


def test_nitrogen_in_a_small_bag():
    # Univ. Illinois Extension, First Garden: a 10 lb bag of 5-10-5 holds 0.5 lb of nitrogen.
    assert content_of(10, Grade(5, 10, 5)).n == pytest.approx(0.5)
    # Los Angeles Times 1999, quoting UCCE Riverside: 1.2 lb in 10 lb of 12-6-6; 1.05 lb in 5 lb of 21-0-0.
    assert content_of(10, Grade(12, 6, 6)).n == pytest.approx(1.2)
    assert content_of(5, Grade(21, 0, 0)).n == pytest.approx(1.05)


def test_phosphate_is_not_phosphorus():
    # Penn State, How Much P and K are Really in Your Fertilizer: 20 % P2O5 is about 9 % P.
    assert Grade(10, 20, 10).p == pytest.approx(9, rel=0.05)
    assert Grade(10, 20, 10).k == pytest.approx(8.3, rel=0.01)


# Product for a wanted nitrogen: wanted, percent, published answer, tolerance (the pages round hard).
PUBLISHED_PRODUCT = [
    pytest.param(1.0, 21, 5, 0.06, id="UC IPM citrus: 1 lb N is about 5 lb of ammonium sulfate"),
    pytest.param(1.0, 1, 100, 0.001, id="UC IPM citrus: 1 lb N is 100 lb of composted cow manure (1 % N)"),
    pytest.param(1.0, 20, 5, 0.001, id="Utah State nitrogen FAQ: 1 oz N is 5 oz of ammonium sulfate at 20 %"),
    pytest.param(0.1, 18, 0.6, 0.08, id="Colorado 233: 0.1 lb N per 100 sq ft from 18-6-12 is 0.6 lb"),
    pytest.param(0.4, 21, 1.9, 0.01, id="Press-Telegram 2020: a quarter of 1.6 lb N, by its cups 1.9 lb"),
    pytest.param(
        0.15 / 6, 6, 0.4, 0.05, id="Florida home citrus: 0.15 lb N a year, 6 feedings, 6-6-6: 0.4 lb"
    ),
    pytest.param(1.0, 12, 8, 0.05, id="Oregon State: 1 lb N from 12-11-2 is about 8 lb"),
]


@pytest.mark.parametrize(("wanted", "percent", "published", "tolerance"), PUBLISHED_PRODUCT)
def test_product_for_a_wanted_nitrogen(wanted, percent, published, tolerance):
    assert product_for(wanted, percent) == pytest.approx(published, rel=tolerance)


# Colorado GardenNotes 233, table 1: first number; lb for 0.1 and 0.2 lb N per 100 sq ft, 1 lb per 1,000.
COLORADO = [
    (37, 0.3, 0.5, 2.7), (33, 0.3, 0.6, 3.0), (30, 0.3, 0.7, 3.3), (28, 0.4, 0.7, 3.6), (22, 0.5, 0.9, 4.5),
    (21, 0.5, 1.0, 4.8), (20, 0.5, 1.0, 5.0), (18, 0.6, 1.1, 5.6), (16, 0.6, 1.3, 6.3), (15, 0.7, 1.3, 6.7),
    (12, 0.8, 1.7, 8.3), (10, 1.0, 2.0, 10.0), (5, 2.0, 4.0, 20.0),
]  # fmt: skip


@pytest.mark.parametrize("row", COLORADO, ids=lambda row: f"{row[0]} percent")
def test_colorado_table_row_by_row(row):
    percent, tenth, fifth, thousand = row
    assert label.product_for_area(0.1, percent) == pytest.approx(tenth, abs=0.0501)
    assert label.product_for_area(0.2, percent) == pytest.approx(fifth, abs=0.0501)
    assert label.product_for_area(0.1, percent) * 10 == pytest.approx(thousand, abs=0.0501)


# Florida home citrus (UF/IFAS): year, feedings, then lb of 6-6-6, 8-8-8, 10-10-10 per feeding.
FLORIDA = [
    (1, 6, (0.4, 0.8), (0.3, 0.6), (0.3, 0.5)),
    (2, 5, (1.0, 2.0), (0.8, 1.5), (0.6, 1.2)),
    (5, 3, (6.1, 7.8), (4.6, 5.8), (3.7, 4.7)),
]


@pytest.mark.parametrize("row", FLORIDA, ids=lambda row: f"year {row[0]}")
def test_florida_product_table_row_by_row(row):
    year, feedings, *products = row
    rule = next(
        line
        for line in TABLES["nitrogen_for_the_year"].where(crop="citrus", region="florida")
        if line.number("year_from") == year
    )
    assert rule.number("splits") == feedings
    for percent, (low, high) in zip((6, 8, 10), products, strict=True):
        assert product_for(rule.number("low") / feedings, percent) == pytest.approx(low, abs=0.0501)
        assert product_for(rule.number("high") / feedings, percent) == pytest.approx(high, abs=0.0501)


def test_swapping_grades():
    # UMaine 2287, formula (worked by hand): 10 lb of 5-10-5 feed as much nitrogen as 5 lb of 10-10-10.
    assert label.swapped_grade(10, 5, 10) == pytest.approx(5)


def test_pounds_per_acre_to_a_bed():
    # NMSU H-119, formula (worked by hand): 435.6 lb to the acre are 1 lb on 100 square feet.
    assert label.small_area_rate(435.6, 100) == pytest.approx(1)


def test_louisiana_product_in_quarts():
    # LSU AgCenter: 4 to 6 lb of 13-13-13 for a four-year-old citrus tree are 2 to 3 quarts.
    bag = bags.bag_from("13-13-13", TABLES)
    for pounds, quarts in ((4, 2), (6, 3)):
        assert bags.cups_of(bag, units.lb_to_kg(pounds), TABLES["bulk_density"])[0] / 4 == pytest.approx(
            quarts
        )


def test_press_telegram_cups():
    # Press-Telegram 2020: 0.4 lb N is about 4 cups of ammonium sulfate.
    helping = bags.helping_of(bags.bag_from("ammonium sulfate", TABLES), units.lb_to_kg(0.4), TABLES)
    assert round(helping.cups[1]) == 4


def test_six_of_a_hundred():
    # Common practice: 100 units of a 6-x-x bag hold 6 of nitrogen, in any unit of weight.
    assert content_of(100, Grade(6, 2, 3)).n == pytest.approx(6)


def test_feather_meal_needs_its_release_share():
    # Worked by hand from the published share (Hartz & Johnstone 2006, 60 % in 8 weeks).
    bag = bags.bag_from("feather meal", TABLES)
    helping = bags.helping_of(bag, 0.5, TABLES)
    assert helping.kilograms == pytest.approx(0.5 / (0.12 * 0.575))
    assert helping.kilograms > product_for(0.5, 12)


def test_nitrate_in_water():
    # Univ. California: 45 ppm of nitrate are 10 ppm of nitrogen; 10 ppm in an acre-foot are 27 lb per acre.
    assert credits.nitrate_nitrogen(45, "no3") == pytest.approx(10, rel=0.02)
    assert credits.pounds_per_acre_from_water(10, 12) == pytest.approx(27, rel=0.02)
    # Univ. California, strawberry example: 24 inches at 20 ppm N are about 109 lb per acre.
    assert credits.pounds_per_acre_from_water(20, 24) == pytest.approx(109, rel=0.01)
    # Colorado: 0.23 lb per acre-inch and ppm.
    assert credits.pounds_per_acre_from_water(1, 1) == pytest.approx(0.23, abs=0.005)


def test_can_and_its_strength_undo_each_other():
    grams = liquid.product_for_can(100, 9, 20)
    assert grams == pytest.approx(4.5)  # by hand: 9 L x 100 mg = 0.9 g of nitrogen, a fifth of the product
    assert liquid.can_strength(grams, 9, 20) == pytest.approx(100)


def test_drip_feed_is_given_in_rounds_when_strong():
    feed = liquid.drip_feed(1.0, 21, 8, 2, trees=3)
    assert feed.product_kg == 3.0
    assert feed.ppm <= liquid.MOST_DRIP_PPM
    assert feed.ppm * feed.rounds == pytest.approx(1000 * 210 / 16)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0-0-0", "feeds nothing"),
        ("60-30-20", "100 % at most"),
        ("101-0-0", "cannot be 101"),
        ("6-2", "three numbers"),
        ("six-two-three", "nor a material"),
    ],
)
def test_impossible_bags_are_explained(text, said):
    with pytest.raises(BadInput, match=said):
        bags.bag_from(text, TABLES)


def test_a_bag_without_nitrogen_cannot_feed():
    with pytest.raises(BadInput, match="no nitrogen"):
        bags.helping_of(bags.bag_from("0-10-10", TABLES), 0.1, TABLES)


def test_compost_is_an_extra_not_the_feed():
    with pytest.raises(BadInput, match="extra"):
        bags.helping_of(bags.bag_from("compost", TABLES), 0.1, TABLES)


@given(
    wanted=st.floats(0.001, 5),
    low=st.floats(0.5, 45),
    more=st.floats(0, 45),
    kind=st.sampled_from(bags.KINDS),
)
def test_a_bag_with_higher_nitrogen_never_needs_more_weight(wanted, low, more, kind):
    helpings = [
        bags.helping_of(bags.Bag("x", Grade(percent, 0, 0), kind, _release(kind)), wanted, TABLES)
        for percent in (low, low + more)
    ]
    assert helpings[1].kilograms <= helpings[0].kilograms * (1 + 1e-12)


@given(weight=st.floats(0.01, 100), n=st.floats(0.1, 40), p=st.floats(0, 30), k=st.floats(0, 30))
def test_the_parts_of_a_bag_add_up_to_it(weight, n, p, k):
    content = content_of(weight, Grade(n, p, k))
    assert content.n + content.p2o5 + content.k2o + content.rest == pytest.approx(weight)
    assert product_for(content.n, n) == pytest.approx(weight)


def test_bags_are_compared_by_nitrogen_that_works():
    offered = [
        bags.Bag("quick", Grade(21, 0, 0), weight_kg=20, price=30),
        bags.Bag("organic", Grade(12, 0, 0), "organic", "feather_meal", weight_kg=20, price=25),
        bags.Bag("no price", Grade(46, 0, 0), weight_kg=20),
    ]
    prices = bags.compared(offered, TABLES["organic_availability"])
    assert [price.bag.name for price in prices] == ["quick", "organic"]
    assert prices[0].per_kg_available == pytest.approx(30 / 4.2)
    # By hand: 2.4 kg of nitrogen, 57.5 % of it at work.
    assert prices[1].per_kg_available == pytest.approx(25 / (2.4 * 0.575))
    assert prices[1].per_kg_total == pytest.approx(25 / 2.4)


def test_arithmetic_agrees_with_an_independent_units_library():
    pint = pytest.importorskip("pint")
    registry = pint.UnitRegistry()
    wanted = 0.5 * registry.pound
    by_pint = (wanted / 0.06).to("kilogram").magnitude
    assert product_for(units.lb_to_kg(0.5), 6) == pytest.approx(by_pint)
    cups = ((wanted / 0.06) / (0.5 * registry.pound / registry.US_liquid_cup)).to("US_liquid_cup").magnitude
    bag = bags.bag_from("6-2-3", TABLES)
    assert bags.cups_of(bag, by_pint, TABLES["bulk_density"])[0] == pytest.approx(cups)
    nitrate = (10 * registry.milligram / registry.liter * 3000 * registry.liter).to("kilogram").magnitude
    assert credits.water_credit(10, 3000).middle_kg == pytest.approx(nitrate)


def _release(kind):
    return "organic_blend" if kind == "organic" else kind
