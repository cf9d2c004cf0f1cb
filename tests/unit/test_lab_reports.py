"""Units on reports, impossible figures, the leaf index, sampling dates, amendments, and whole reports."""

from datetime import date
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sallow.care.laboratory import deviation_from_optimum, order_of_shortage, overall_imbalance
from sallow.care.laboratory_amendments import lime_for_strength, lime_rate, sulfur_rate
from sallow.care.laboratory_case import LabCase
from sallow.care.laboratory_report import work_through
from sallow.care.laboratory_sampling import still_holds, timing_of, window_of
from sallow.care.laboratory_units import convert, parse_measurement
from sallow.commands.lab_conclusion import conclusion
from sallow.errors import BadInput
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.tables import load_tables


@cache
def tables():
    return load_tables(shipped_folder("knowledge"))


IN_SEASON = {"taken": date(2025, 8, 20), "hemisphere": "north"}


def report(sample, crop, *figures, **more):
    return work_through(LabCase(sample, crop, tuple(map(parse_measurement, figures)), **more), tables())


SAMPLE = ("N=2.1%", "P=0.15%", "K=1.0%", "Mg=0.25%", "Zn=15ppm", "Mn=20ppm", "Fe=80ppm")


def test_index_of_deviation_from_optimum():
    # DOP = 100 C / Cref - 100 (Montañés and others 1993); worked by hand, Cref the middle of the Florida
    # optimum.
    # The unrounded deviations add up to 249.2.
    found = report("leaf", "orange", *SAMPLE, regions=("florida",))
    by_test = {reading.test: reading.deviation for reading in found.readings}
    expected = {
        "nitrogen": -19.2, "phosphorus": 7.1, "potassium": -31.0, "magnesium": -36.7, "zinc": -76.0,
        "manganese": -68.0, "iron": -11.1,
    }  # fmt: skip
    assert by_test == pytest.approx(expected, abs=0.05)
    assert overall_imbalance(found.readings) == pytest.approx(249.2, abs=0.05)
    order = [reading.test for reading in order_of_shortage(found.readings)]
    assert order == ["zinc", "manganese", "magnesium", "potassium", "nitrogen", "iron", "phosphorus"]


def test_index_is_zero_at_the_published_grape_reference():
    # Reference set of the Soil Research Journal grape paper: P 0.7, K 1.42, Ca 1.7, Mg 0.4 %, Zn 61.5 mg/kg.
    for reference in (0.7, 1.42, 1.7, 0.4, 61.5):
        assert deviation_from_optimum(reference, reference) == pytest.approx(0)
    assert deviation_from_optimum(0.35, 0.7) == pytest.approx(-50)
    with pytest.raises(BadInput):
        deviation_from_optimum(1, 0)


@pytest.mark.parametrize(
    ("value", "unit", "wanted", "test", "sample", "result"),
    [
        (2.1, "%", "ppm", "nitrogen", "leaf", 21000),
        (21, "g/kg", "%", "nitrogen", "leaf", 2.1),
        (1, "meq/100g", "ppm", "calcium", "soil", 200.4),
        (1, "cmol/kg", "ppm", "potassium", "soil", 391),
        (121.5, "ppm", "meq/100g", "magnesium", "soil", 1.0),
        (50, "ppm", "lb/acre", "phosphorus", "soil", 100),
        (141.8, "mg/L", "meq/L", "chloride", "water", 4.0),
        (91.5, "ppm", "meq/L", "bicarbonate", "water", 1.5),
        (2, "mmol/L", "meq/L", "calcium", "water", 4.0),
        (900, "uS/cm", "dS/m", "ec", "water", 0.9),
        (1.2, "mmho/cm", "dS/m", "ec", "soil", 1.2),
        (120, "mS/m", "dS/m", "ec", "soil", 1.2),
    ],
)
def test_unit_conversions(value, unit, wanted, test, sample, result):
    # 140 mg/L = 4 meq/L chloride and 91.5 mg/L = 1.5 meq/L bicarbonate stand side by side in FAO 29 Table 1.
    assert convert(value, unit.lower(), wanted, test, sample) == pytest.approx(result, rel=0.002)


@given(
    value=st.floats(1e-3, 1e5),
    pair=st.sampled_from([("%", "ppm"), ("ppm", "meq/100g"), ("lb/acre", "ppm"), ("kg/ha", "g/kg"), ("mg/l", "meq/l")]),
)
def test_unit_round_trips(value, pair):
    there, back = pair
    sample = "water" if there == "mg/l" else "soil"
    turned = convert(value, there, back, "calcium", sample)
    assert convert(turned, back, there, "calcium", sample) == pytest.approx(value, rel=1e-9)


def test_a_units_library_agrees_on_mass_fractions():
    pint = pytest.importorskip("pint")
    units = pint.UnitRegistry()
    theirs = (2.1 * units.percent).to("milligram / kilogram").magnitude
    assert convert(2.1, "%", "ppm", "nitrogen", "leaf") == pytest.approx(theirs)


@pytest.mark.parametrize(
    ("text", "test", "value"),
    [
        ("N=2.1%", "nitrogen", 2.1),
        ("Zn 15 ppm", "zinc", 15),
        ("P2O5 = 100 ppm", "phosphorus", 43.6),
        ("K2O 1.2 %", "potassium", 0.996),
        ("NO3: 50 mg/L", "nitrate_nitrogen", 11.3),
        ("pH 7,8", "ph", 7.8),
        ("Ca 1,250 ppm", "calcium", 1250),
        ("organic matter 3 %", "organic_matter", 3),
        ("P(Olsen)=12 ppm", "phosphorus", 12),
    ],
)
def test_lines_of_a_report(text, test, value):
    entry = parse_measurement(text)
    assert entry.test == test
    assert entry.value == pytest.approx(value, rel=0.005)


@pytest.mark.parametrize(
    ("sample", "figure", "says"),
    [
        ("leaf", "N=2.4ppm", "Did you mean 2.4 %"),
        ("leaf", "Zn=15%", "Did you mean 15 ppm"),
        ("leaf", "N=240%", "more than 100 %"),
        ("leaf", "K=70%", "cannot be true"),
        ("leaf", "N=2.4", "has no unit"),
        ("leaf", "N=-2%", "cannot be negative"),
        ("leaf", "Xy=2%", "is not a test"),
        ("leaf", "N=2 furlongs", "is not known"),
        ("leaf", "pH=7", "not read on a leaf report"),
        ("soil", "pH=78", "cannot be true"),
        ("soil", "EC(paste)=700 dS/m", "Did you mean 700 uS/cm"),
        ("soil", "P(guess)=12 ppm", "method 'guess'"),
        ("water", "EC=900 dS/m", "Did you mean 900 uS/cm"),
        ("water", "B=3 %", "cannot be turned"),
        ("soil", "Zn(dtpa)=2 meq/100g", "cannot be given in meq"),
    ],
)
def test_impossible_figures_are_explained(sample, figure, says):
    with pytest.raises(BadInput, match=says.replace("%", "%")):
        report(sample, "orange", figure)


def test_percentages_over_a_hundred_in_all_and_twice_the_same():
    with pytest.raises(BadInput, match="add up to"):
        report(
            "soil",
            "other",
            "organic matter=90%",
            "Ca=3%",
            "Mg=0.5%",
            "K=0.5%",
            "Na=1.5%",
            "Fe=0.15%",
            "S=0.4%",
            "P=0.2%",
            "Cl=2%",
            "Mn=0.1%",
            "Zn=0.1%",
            "Cu=0.2%",
            "NO3-N=0.15%",
            "Pb=5%",
        )
    with pytest.raises(BadInput, match="twice"):
        report("leaf", "orange", "N=2.1%", "N=2.2%")
    with pytest.raises(BadInput, match="no figures"):
        report("leaf", "orange")


def test_leaf_signs_need_the_tables_to_agree():
    one = report("leaf", "lemon", "K=1.2%", "Zn=15ppm", regions=("florida",), **IN_SEASON)
    assert one.answers == {"leaf_potassium": "about_right", "leaf_zinc": "low"}
    both = report("leaf", "lemon", "K=1.2%", "Zn=15ppm", **IN_SEASON)
    assert both.answers == {"leaf_zinc": "low"}
    assert both.differing == ("potassium",)
    assert "on potassium the tables do not agree" in conclusion(both)


def test_a_crop_without_a_leaf_table_gets_no_invented_class():
    found = report("leaf", "fig", "N=2.1%")
    assert found.readings == () and found.answers == {}
    assert any("no published leaf range" in note for note in found.notes)


def test_printed_tables_outrank_those_from_memory():
    # Washington (read) calls 3.2 % potassium of peach high; Johnson and Uriu (from memory) name no upper end.
    found = report("leaf", "peach", "K=3.2%", taken=date(2025, 7, 20), hemisphere="north")
    assert {reading.place for reading in found.readings} == {"high", "about_right"}
    assert found.answers == {"leaf_potassium": "high"}


def window(crop, hemisphere):
    return window_of(tables()["leaf_sampling"].where(crop=crop)[0], hemisphere)


def test_sampling_window_moves_by_half_a_year():
    # Kallsen, UC: citrus 15 August to 15 October in California.
    assert timing_of(date(2025, 9, 1), window("citrus", "north")) == "inside"
    assert timing_of(date(2025, 3, 1), window("citrus", "south")) == "inside"
    assert timing_of(date(2025, 7, 20), window("citrus", "north")) == "early"
    assert timing_of(date(2025, 11, 20), window("citrus", "north")) == "late"
    assert timing_of(date(2025, 9, 1), window("citrus", "south")) != "inside"


def test_wrong_dates_take_away_only_what_they_spoil():
    # Oswalt: nitrogen falls with leaf age, boron rises, zinc stays; a low reading in young leaves is low
    # for sure.
    assert still_holds("nitrogen", "low", "early") and not still_holds("nitrogen", "about_right", "early")
    assert still_holds("nitrogen", "high", "late") and not still_holds("nitrogen", "low", "late")
    assert still_holds("boron", "high", "early") and not still_holds("boron", "high", "late")
    assert still_holds("zinc", "low", "late")


@pytest.mark.parametrize(
    ("dating", "doubt"),
    [
        ({}, "the day the leaves were taken is not known"),
        ({"taken": date(2025, 8, 20)}, "which half of the world"),
        ({"hemisphere": "north"}, "the day the leaves were taken is not known"),
        ({"taken": date(2025, 11, 20), "hemisphere": "north"}, "taken too late"),
        ({"taken": date(2025, 8, 20), "hemisphere": "south"}, "taken too"),
    ],
)
def test_leaves_that_were_not_surely_taken_in_season_give_a_hedge_and_no_sign(dating, doubt):
    found = report("leaf", "lemon", "N=2.1%", "Zn=15ppm", "Cl=0.9%", **dating)
    assert found.answers == {}
    assert found.readings and all(doubt in reading.doubt for reading in found.readings)
    assert conclusion(found).startswith("Change nothing on the strength of this report")
    assert "hints that nitrogen and zinc are short" in conclusion(found)


def test_each_table_is_held_to_its_own_season():
    # 10 March in the south is 10 September in the north: inside California's window, after Florida's.
    found = report("leaf", "lemon", "N=2.1%", "K=1.2%", taken=date(2026, 3, 10), hemisphere="south")
    assert {entry.region: entry.timing for entry in found.sampled} == {"florida": "late", "california": "inside"}
    assert {reading.region for reading in found.readings if reading.doubt} == {"florida"}
    assert found.answers == {"leaf_nitrogen": "low"}  # on potassium the tables differ


def test_a_class_that_wrong_leaf_age_would_rather_hide_is_told_in_words():
    # Oswalt: nitrogen falls with leaf age, so young leaves that read low are low.
    found = report("leaf", "lemon", "N=2.1%", "Zn=15ppm", taken=date(2025, 6, 1), hemisphere="north")
    assert found.answers == {}
    assert any(note.startswith("nitrogen: young leaves hold more") for note in found.notes)
    assert not any(note.startswith("zinc") for note in found.notes)


def test_michigan_nitrogen_rule():
    # Michigan State: 10 % more nitrogen for each 0.1 % of leaf nitrogen below, 10 % less for each above.
    apple = {"regions": ("michigan",), "taken": date(2025, 7, 20), "hemisphere": "north"}
    assert any("20 % more" in note for note in report("leaf", "apple", "N=1.7%", **apple).notes)
    assert any("30 % less" in note for note in report("leaf", "pear", "N=3.0%", **apple).notes)
    # Leaves of an unknown day change no rate.
    assert report("leaf", "apple", "N=1.7%", regions=("michigan",)).notes == ()


def test_lime_strength_as_penn_state_works_it():
    # Penn State laboratory notes: 5 lb per 100 sq ft at a CCE of 70 % is about 7 lb.
    assert lime_for_strength(5, 70) == pytest.approx(7.14, abs=0.01)
    with pytest.raises(BadInput):
        lime_for_strength(5, 0)


def test_lime_by_texture_and_its_parts():
    loam = lime_rate(5.0, "loam", tables()["lime_rates"])
    assert loam is not None and loam.mark == "memory"
    # 110 lb per 1000 sq ft is 537 g/m2 (worked by hand) and, above 10 lb per 100 sq ft, goes in two halves.
    assert loam.g_per_m2 == pytest.approx(537, abs=1)
    assert (loam.parts, loam.months_between) == (2, 6)
    heavy = lime_rate(4.0, "clay", tables()["lime_rates"])
    assert heavy is not None and heavy.parts == 3
    assert lime_rate(6.5, "loam", tables()["lime_rates"]) is None
    between = lime_rate(5.25, "loam", tables()["lime_rates"])
    assert between is not None and between.g_per_m2 == pytest.approx((110 + 75) / 2 * 4.882, rel=0.001)


def test_sulfur_only_where_the_source_gives_a_rate():
    table = tables()["sulfur_rates"]
    # Royal Horticultural Society: 135 g/m2 on sand, 270 on clay, from pH 7.0-7.5; fizzing soil cannot be
    # acidified.
    assert sulfur_rate(7.2, "sand", False, table).g_per_m2 == 135
    assert sulfur_rate(7.2, "clay", None, table).g_per_m2 == 270
    assert sulfur_rate(7.2, "clay", True, table) is None
    assert sulfur_rate(8.1, "clay", False, table) is None
    # Clemson EC 707: at most 5 lb per 1000 sq ft (24 g/m2) at once where heat or lawn call for care.
    assert sulfur_rate(7.2, "sand", False, table).parts == 6


def test_soil_report_makes_signs():
    found = report(
        "soil",
        "peach",
        "pH=7.9",
        "EC(paste)=4.2 dS/m",
        "P(Bray)=15 ppm",
        "K=180 ppm",
        texture="clay",
        fizzes=True,
    )
    assert found.answers == {"soil_ph": 7.9, "soil_salt": "high", "soil_phosphorus": "low"}
    assert found.salt is not None and found.salt.yield_percent == pytest.approx(100 - 21 * (4.2 - 1.7))
    assert found.soil_class == "saline" and found.sulfur is None and found.lime is None
    assert any("potassium: its class depends on the extraction method" in note for note in found.notes)


def test_saturation_extract_is_judged_for_rootstock_and_crop():
    found = report("soil", "avocado", "Cl(paste)=6.5 meq/L", "B(paste)=0.9 mg/L", "EC(paste)=1.2 dS/m")
    assert any("Mexican" in note for note in found.notes)
    assert any("Guatemalan" in note for note in found.notes)
    assert not any("West Indian" in note for note in found.notes)
    assert any(note.startswith("boron 0.9") for note in found.notes)
    assert found.answers["soil_salt"] == "low"


def test_water_report_makes_signs_and_asks_for_leaching():
    found = report(
        "water", "avocado", "EC=0.8 dS/m", "Cl=110 mg/L", "B=0.4 mg/L", "HCO3=60 mg/L", "Na=46 mg/L", "Ca=40 mg/L",
        "Mg=24.3 mg/L", "NO3-N=10 mg/L",
    )  # fmt: skip
    # Crowley 2008: above 0.75 dS/m or 100 ppm chloride water is salty for avocado.
    assert found.answers == {"water_salt": "raised", "water_boron": "low", "water_hardness": "soft"}
    assert found.sodium_ratio == pytest.approx(2.0 / 2**0.5, abs=0.01)
    assert found.leaching_share == pytest.approx(0.8 / (5 * 1.5 - 0.8), abs=1e-6)
    assert any("10 g (0.35 oz) of nitrogen" in note for note in found.notes)


def test_salty_water_is_high_and_hard_water_is_hard():
    found = report("water", "peach", "EC=3.5 dS/m", "HCO3=300 mg/L", "B=2 mg/L")
    assert found.answers == {"water_salt": "high", "water_boron": "high", "water_hardness": "hard"}
    assert found.yield_percent == pytest.approx(100 - 21 * (5.25 - 1.7))


@given(value=st.floats(0.31, 7.9), more=st.floats(0, 3))
def test_more_in_the_leaf_is_never_called_less(value, more):
    rank = ("deficient", "low", "optimum", "high", "excess")
    first, second = (
        report("leaf", "orange", f"N={amount:.4f}%", regions=("florida",)).readings[0].class_name
        for amount in (value, min(value + more, 7.99))
    )
    assert rank.index(first) <= rank.index(second)


# Pounds of lime for 1000 sq ft to bring the soil to pH 6.5, row by row, from memory (Clemson HGIC 1650).
LIME = {
    "sand": {6.0: 20, 5.5: 45, 5.0: 65, 4.5: 80, 4.0: 100},
    "loam": {6.0: 35, 5.5: 75, 5.0: 110, 4.5: 150, 4.0: 175},
    "clay": {6.0: 50, 5.5: 100, 5.0: 150, 4.5: 200, 4.0: 230},
}


@pytest.mark.parametrize("texture", LIME)
def test_lime_row_by_row(texture):
    for ph, pounds in LIME[texture].items():
        found = lime_rate(ph, texture, tables()["lime_rates"])
        # By hand: 1 lb on 1000 sq ft is 4.882 g on a square metre.
        assert found is not None and found.g_per_m2 == pytest.approx(pounds * 4.882, rel=1e-3)
