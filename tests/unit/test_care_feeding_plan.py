"""Whether, how much and where: the decision, the published tables and the ring."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sallow.care import units
from sallow.care.feeding import (
    TROUBLES,
    Condition,
    Tree,
    Wish,
    bag_from,
    check_nitrogen_claim,
    make_plan,
    material_credit,
    nitrogen_for_year,
    spreading_ring,
    water_credit,
)
from sallow.care.feeding.cautions import cautions_for
from sallow.care.feeding.growth import judge_growth
from sallow.care.feeding.plan import leaf_factor
from sallow.care.feeding.ring import litres_to_wet, ring_area
from sallow.care.feeding.tree import CLIMATES, CROPS
from sallow.errors import BadInput
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.tables import load_tables

TABLES = load_tables(shipped_folder("knowledge"))
WINTER = date(2026, 1, 20)
MILD = {"climate": "dry_summer", "hemisphere": "north", "frost": False}
PALE = Condition(leaf_colour="pale_old", soil="moist")


def pounds(tree, region=None):
    rule = nitrogen_for_year(tree, TABLES, region).rule
    return units.kg_to_lb(rule.low_kg), units.kg_to_lb(rule.high_kg)


# Crop, facts, region, published pounds of nitrogen for the year.
PUBLISHED = [
    pytest.param("orange", {"age_years": 2}, "california", (0.25, 0.25), id="UC IPM citrus, 2nd year"),
    pytest.param("lemon", {"age_years": 4}, "california", (0.75, 0.75), id="UC IPM citrus, 4th year"),
    pytest.param("lime", {"age_years": 20}, "california", (1.0, 1.0), id="UC IPM citrus, 5th year and on"),
    pytest.param("orange", {"age_years": 3}, "florida", (0.45, 0.90), id="UF/IFAS home citrus, 3rd year"),
    pytest.param(
        "orange", {"age_years": 10}, "florida_hendry", (0.6, 0.6), id="Hendry Co.: 1 lb of 6-6-6 a year"
    ),
    pytest.param(
        "orange", {"age_years": 30}, "florida_hendry", (1.2, 1.2), id="Hendry Co.: 20 lb of 6-6-6 at most"
    ),
    pytest.param("avocado", {"age_years": 1}, None, (1 / 16, 1 / 16), id="UCCE Ventura: an ounce in year 1"),
    pytest.param(
        "avocado", {"age_years": 5}, None, (1.0, 1.0), id="UCCE Ventura: doubled to 16 oz in year 5"
    ),
    pytest.param(
        "apple", {"age_years": 5}, "utah", (5 / 16, 5 / 16), id="Utah State: an ounce a year of age"
    ),
    pytest.param("apple", {"age_years": 12}, "utah", (0.5, 0.5), id="Utah State: never over 8 oz"),
    pytest.param(
        "apple", {"age_years": 6, "trunk_cm": 7.62}, "colorado", (0.3, 0.3), id="Colorado: 0.1 lb per inch"
    ),
    pytest.param(
        "peach", {"age_years": 6, "trunk_cm": 10.16}, "colorado", (0.5, 0.5), id="Colorado: 1/8 lb per inch"
    ),
    pytest.param(
        "peach", {"age_years": 20}, "pennsylvania", (0.5, 0.5), id="Penn State: 5 lb of 10-10-10 at most"
    ),
    pytest.param(
        "cherry", {"age_years": 14}, "tennessee", (1.0, 1.0), id="Tennessee: no rise after ten years"
    ),
    pytest.param(
        "fig", {"age_years": 8, "height_m": 3.048}, None, (0.4, 0.5), id="Georgia fig: per foot, cap 5 lb"
    ),
    pytest.param(
        "persimmon", {"age_years": 4}, None, (0.2, 0.4), id="UF Nassau: 0.5-1 lb of 10-10-10 a year"
    ),
]


@pytest.mark.parametrize(("crop", "facts", "region", "published"), PUBLISHED)
def test_the_years_nitrogen_as_published(crop, facts, region, published):
    assert pounds(Tree(crop, **facts), region) == pytest.approx(published, rel=0.01)


def test_desert_grapefruit_takes_half_and_lemon_a_tenth_more():
    # Univ. Arizona az1671.
    orange, grapefruit, lemon = (
        pounds(Tree(crop, age_years=8, climate="desert"))[0] for crop in ("orange", "grapefruit", "lemon")
    )
    assert grapefruit == pytest.approx(orange / 2)
    assert lemon == pytest.approx(orange * 1.1)


def test_potted_trees_take_half():
    # UC Master Gardeners Santa Clara: dwarf or potted, half or less.
    assert pounds(Tree("lemon", age_years=6, grown_in="pot")) == pytest.approx((0.5, 0.5))


def test_no_amount_is_made_up_for_grape():
    found = nitrogen_for_year(Tree("grape", age_years=6, trunk_cm=5), TABLES)
    assert found.rule is None


def test_missing_facts_are_asked_for():
    assert [fact for fact, _ in nitrogen_for_year(Tree("lemon"), TABLES).lacks] == ["age_years"]
    assert [fact for fact, _ in nitrogen_for_year(Tree("fig", age_years=4), TABLES).lacks] == ["height_m"]


@pytest.mark.parametrize("kilograms", [units.lb_to_kg(5), 1.5, 0, -1])
def test_a_claim_beyond_three_pounds_or_none_is_refused(kilograms):
    with pytest.raises(BadInput):
        check_nitrogen_claim(kilograms)


def test_three_pounds_is_the_most():
    check_nitrogen_claim(units.lb_to_kg(3))


@given(
    crop=st.sampled_from(CROPS),
    age=st.floats(0, 150),
    trunk=st.floats(1, 60),
    climate=st.sampled_from(CLIMATES),
)
def test_no_worked_out_rule_is_above_three_pounds(crop, age, trunk, climate):
    found = nitrogen_for_year(Tree(crop, age_years=age, trunk_cm=trunk, height_m=3, climate=climate), TABLES)
    if found.rule is not None:
        assert 0 < found.rule.low_kg <= found.rule.high_kg <= units.lb_to_kg(3.0001)


@pytest.mark.parametrize("trouble", TROUBLES)
def test_a_hurt_tree_is_refused_whatever_else(trouble):
    condition = Condition(leaf_colour="pale_old", shoot_cm=5, leaf_test="low", troubles=frozenset({trouble}))
    decision = make_plan(Tree("orange", age_years=6, **MILD), condition, Wish(), WINTER, TABLES).decision
    assert not decision.feeds
    assert decision.reasons[0].text == TROUBLES[trouble]


# Facts about the tree, its condition, and the verdict that follows.
DECISIONS = [
    pytest.param({"age_years": 8}, Condition(soil="wet", leaf_colour="pale"), "wait", id="wet ground"),
    pytest.param({"age_years": 8}, Condition(soil="dry", leaf_colour="pale"), "wait", id="dry ground"),
    pytest.param({"age_years": 0.05}, Condition(leaf_colour="green"), "wait", id="just planted"),
    pytest.param(
        {"age_years": 0.5}, Condition(new_growth=True, leaf_colour="green"), "yes", id="first growth shows"
    ),
    pytest.param({"age_years": 8}, Condition(leaf_colour="yellow_new"), "look", id="newest leaves yellow"),
    pytest.param({"age_years": 8}, Condition(leaf_colour="dark"), "no", id="dark green"),
    pytest.param(
        {"age_years": 8}, Condition(leaf_colour="green", leaf_test="high"), "no", id="leaf test high"
    ),
    pytest.param(
        {"age_years": 8}, Condition(leaf_colour="green", soil_test="high"), "no", id="soil test high"
    ),
    pytest.param({"age_years": 8}, Condition(lawn_fed=True), "no", id="fed lawn"),
    pytest.param(
        {"age_years": 8}, Condition(leaf_colour="green", shoot_cm=30), "no", id="green, shoots as they should"
    ),
    pytest.param({"age_years": 8}, Condition(shoot_cm=120), "no", id="shoots too long"),
    pytest.param(
        {"age_years": 8}, Condition(leaf_colour="green", shoot_cm=6), "one", id="green, short shoots"
    ),
    pytest.param({"age_years": 8}, Condition(leaf_colour="green"), "one", id="grown and green: one or none"),
    pytest.param({"age_years": 8}, Condition(good_soil=True), "one", id="grown on good soil: one or none"),
    pytest.param({"age_years": 8}, Condition(), "measure", id="nothing known of how it does"),
    pytest.param({"age_years": 8}, Condition(leaf_colour="pale_old"), "yes", id="pale oldest leaves"),
    pytest.param({"age_years": 8}, Condition(leaf_test="low"), "yes", id="leaf test low"),
    pytest.param({"age_years": 3}, Condition(leaf_colour="green"), "yes", id="young and building"),
    pytest.param(
        {"age_years": 8},
        Condition(leaf_colour="pale", last_fed=WINTER - timedelta(days=10)),
        "wait",
        id="just fed",
    ),
]


@pytest.mark.parametrize(("facts", "condition", "verdict"), DECISIONS)
def test_should_it_be_fed_at_all(facts, condition, verdict):
    decision = make_plan(Tree("orange", **facts, **MILD), condition, Wish(), WINTER, TABLES).decision
    assert decision.verdict == verdict
    assert decision.reasons


def test_leaf_dropping_trees_get_nothing_in_the_planting_year():
    # Univ. Arizona Master Gardener Manual.
    plan = make_plan(Tree("peach", age_years=0.4, **MILD), Condition(new_growth=True), Wish(), WINTER, TABLES)
    assert plan.decision.verdict == "no"


@pytest.mark.parametrize(
    ("crop", "age", "inches", "verdict"),
    [
        # Colorado and Michigan, bearing apple: 12-24 and 8-12 in; below both, inside one, above both.
        ("apple", 8, 6, "below"),
        ("apple", 8, 10, "inside"),
        ("apple", 8, 30, "above"),
        # Colorado, bearing peach 10-18 in; Utah 12-18 in.
        ("peach", 8, 8, "below"),
        ("peach", 8, 15, "inside"),
        ("peach", 8, 20, "above"),
        # Colorado and Michigan, pear not yet bearing: 12-26 and 12-24 in.
        ("pear", 3, 10, "below"),
        ("pear", 3, 25, "inside"),
        # Tennessee, bearing tart cherry: 10-15 in.
        ("cherry", 8, 9, "below"),
        ("cherry", 8, 16, "above"),
    ],
)
def test_shoots_against_the_published_targets(crop, age, inches, verdict):
    found = judge_growth(
        Tree(crop, age_years=age), units.in_to_cm(inches), None, TABLES["shoot_growth_targets"]
    )
    assert found.verdict == verdict


def test_leaf_nitrogen_moves_the_amount_by_a_tenth_for_each_tenth():
    # Michigan State, Leaf Analysis Interpretation; worked by hand from the published rule.
    table = TABLES["leaf_nitrogen_adjustment"]
    assert leaf_factor(Tree("apple"), 1.7, table)[0] == pytest.approx(1.2)
    assert leaf_factor(Tree("apple"), 3.0, table)[0] == pytest.approx(0.7)
    assert leaf_factor(Tree("apple"), 2.3, table)[0] == 1.0
    with pytest.raises(BadInput, match="cannot be right"):
        leaf_factor(Tree("apple"), 23, table)


def test_the_ring_by_hand():
    # By hand: 10-ft canopy, from 1 ft off the trunk to 2 ft past the drip line: 3.1416 (49 - 1) sq ft.
    assert units.m2_to_sqft(ring_area(units.ft_to_m(1), units.ft_to_m(7))) == pytest.approx(150.8, abs=0.05)


@given(
    canopy=st.floats(0.1, 30),
    age=st.floats(0, 60),
    climate=st.sampled_from(CLIMATES),
    crop=st.sampled_from(CROPS),
)
def test_the_ring_keeps_off_the_trunk_and_passes_the_drip_line(canopy, age, climate, crop):
    ring = spreading_ring(Tree(crop, age_years=age, canopy_m=canopy, climate=climate), TABLES["placement"])
    assert ring.outer_m > canopy / 2
    assert ring.inner_m < ring.outer_m
    assert ring.inner_m >= 0.15
    if canopy >= 2:
        assert ring.inner_m == pytest.approx(0.6096)  # 2 ft
    assert ring.area_m2 == pytest.approx(math.pi * (ring.outer_m**2 - ring.inner_m**2))


def test_florida_ring_grows_a_foot_a_year_to_ten():
    # UF/IFAS Pinellas: past the drip line by as many feet as the age in years, to ten.
    for age, feet in ((4, 4), (25, 10)):
        ring = spreading_ring(
            Tree("orange", age_years=age, canopy_m=4, climate="humid_subtropical"), TABLES["placement"]
        )
        assert units.m_to_ft(ring.outer_m - ring.drip_m) == pytest.approx(feet)


def test_water_to_wash_it_in():
    # By hand from the published depths: an inch of water wets 20 in of sand or 7 in of loam.
    assert litres_to_wet(10, 0.1778, "loam", TABLES) == pytest.approx(254)
    assert litres_to_wet(10, 0.508, "sand", TABLES) == pytest.approx(254)


CREDITS = st.lists(st.floats(0.5, 80), max_size=2)


@given(
    crop=st.sampled_from(["orange", "avocado", "apple", "peach", "persimmon"]),
    age=st.floats(1, 40),
    canopy=st.floats(0.5, 9),
    place=st.sampled_from(["ground", "lawn"]),
    numbers=st.sampled_from(["6-2-3", "21-0-0", "46-0-0", "10-10-10"]),
    kind=st.sampled_from(["quick", "coated", "organic"]),
    manure=CREDITS,
)
def test_splits_add_up_to_the_year(crop, age, canopy, place, numbers, kind, manure):
    tree = Tree(crop, age_years=age, canopy_m=canopy, grown_in=place, **MILD)
    wish = Wish(
        bag=bag_from(numbers, TABLES, kind),
        credits=tuple(material_credit("horse manure", amount, TABLES) for amount in manure),
    )
    plan = make_plan(tree, PALE, wish, WINTER, TABLES)
    assert plan.net_kg <= plan.gross_kg
    if plan.held:
        assert plan.each_kg * plan.parts <= plan.net_kg
        assert plan.each_kg == pytest.approx(plan.limit_kg)
    else:
        assert plan.each_kg * plan.parts == pytest.approx(plan.net_kg)
    if plan.helping is not None:
        available = plan.helping.content.n * plan.helping.share.middle
        assert available == pytest.approx(plan.each_kg)


def test_credits_can_cover_the_whole_year():
    tree = Tree("orange", age_years=2, canopy_m=1.5, **MILD)
    plan = make_plan(tree, PALE, Wish(credits=(water_credit(20, 20000),)), WINTER, TABLES)
    assert plan.net_kg == 0
    assert plan.helping is None


def test_a_pot_bears_little():
    tree = Tree("lemon", age_years=6, grown_in="pot", pot_m=0.4, **MILD)
    plan = make_plan(tree, PALE, Wish(), WINTER, TABLES)
    # By hand: 3 lb per 100 sq ft on a circle 0.4 m across.
    assert plan.gross_kg == pytest.approx(3 * 0.45359237 / 9.290304 * math.pi * 0.04)


@pytest.mark.parametrize(
    "sizes",
    [
        {"age_years": -1},
        {"canopy_m": 0},
        {"canopy_m": -2},
        {"trunk_cm": 0},
        {"height_m": math.inf},
        {"pot_m": 90},
    ],
)
def test_impossible_sizes_are_refused(sizes):
    with pytest.raises(BadInput, match="cannot be right"):
        Tree("orange", **sizes)


def test_cautions_follow_what_is_used():
    tree = Tree("orange", age_years=6, canopy_m=4, climate="dry_summer", hemisphere="north", frost=True)
    plan = make_plan(tree, PALE, Wish(bag=bag_from("bone meal", TABLES)), WINTER, TABLES)
    text = " ".join(cautions_for(plan, injected=True))
    for word in (
        "groundwater",
        "wells",
        "castor meal",
        "frost",
        "backflow",
        "bleach and acid",
        "local rules",
        "lead",
    ):
        assert word in text
    manured = Wish(credits=(material_credit("chicken manure", 10, TABLES),), bag=bag_from("6-2-3", TABLES))
    text = " ".join(cautions_for(make_plan(tree, PALE, manured, WINTER, TABLES)))
    assert "germs" in text and "90 days" in text and "Sewage sludge" in text and "boron" in text
    composted = Wish(credits=(material_credit("compost", 10, TABLES),), bag=bag_from("6-2-3", TABLES))
    text = " ".join(cautions_for(make_plan(tree, PALE, composted, WINTER, TABLES)))
    assert "Sewage sludge" in text and "germs" not in text
    assert cautions_for(make_plan(tree, Condition(leaf_colour="dark"), Wish(), WINTER, TABLES)) == ()
