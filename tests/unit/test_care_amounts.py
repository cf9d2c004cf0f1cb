"""The named amounts: never raise for missing facts, ask plainly for what lacks, say both unit systems."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sallow.care.amounts import AMOUNTS, amount
from sallow.care.feeding.tree import CLIMATES, CROPS, PLACES
from sallow.care.known import QUESTIONS
from sallow.errors import BadInput
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.tables import load_tables

TABLES = load_tables(shipped_folder("knowledge"))
LEMON = {
    "crop": "lemon",
    "age_years": 6,
    "canopy_diameter_m": 3.0,
    "grown_in": "ground",
    "hemisphere": "south",
    "climate": "dry_summer",
    "date": date(2026, 7, 20),
    "leaf_colour": "pale_old",
}


@pytest.mark.parametrize("name", AMOUNTS)
def test_nothing_known_is_never_an_error(name):
    found = amount(name, {}, TABLES)
    assert found.lines or found.lacks
    assert all(question.endswith("?") for question in found.lacks)
    assert len(found.facts) == len(found.lacks) and set(found.facts) <= QUESTIONS.keys()
    assert found.command in ("sallow feed", "sallow water", "")


@given(
    name=st.sampled_from(sorted(AMOUNTS)),
    known=st.fixed_dictionaries(
        {},
        optional={
            "crop": st.sampled_from([*CROPS, "walnut"]),
            "age_years": st.floats(-5, 400),
            "canopy_diameter_m": st.floats(-1, 60),
            "trunk_diameter_cm": st.floats(-1, 400),
            "pot_diameter_m": st.floats(-1, 5),
            "height_m": st.floats(-1, 80),
            "grown_in": st.sampled_from([*PLACES, "raft"]),
            "hemisphere": st.sampled_from(["north", "south", "east"]),
            "climate": st.sampled_from([*CLIMATES, "lunar"]),
            "date": st.dates(date(2001, 1, 1), date(2090, 1, 1)),
            "shoot_growth_cm": st.floats(-5, 700),
            "last_fed": st.dates(date(2001, 1, 1), date(2090, 1, 1)),
            "soil_texture": st.sampled_from(["sand", "loam", "clay", "mix"]),
            "bag": st.sampled_from(["6-2-3", "0-0-0", "compost", "x"]),
        },
    ),
)
def test_whatever_is_known_it_answers_or_asks(name, known):
    found = AMOUNTS[name](known, TABLES)
    assert found.lines or found.lacks


def test_the_years_nitrogen_in_both_systems():
    found = amount("nitrogen_for_year", LEMON, TABLES)
    assert "450 g (1 lb)" in found.lines[0]
    assert found.lacks == () and found.command == "sallow feed"
    assert "uc_cit_fert" in found.sources
    assert any("1 lb (454 g)" in line for line in found.working)


def test_the_next_feeding_asks_only_for_the_bag():
    found = amount("next_feeding", LEMON, TABLES)
    assert any("mid-August 2026" in line for line in found.lines)
    assert found.facts == ("bag",)
    whole = amount("next_feeding", {**LEMON, "bag": "6-2-3"}, TABLES)
    assert whole.lacks == () and any("2.5 kg (5.5 lb)" in line for line in whole.lines)


def test_the_ring_and_the_soak_by_hand():
    # By hand: 3 m canopy, from 0.61 m to 2.11 m: 12.8 m2.
    assert "13 square metres (140 square feet)" in amount("spread_ring", LEMON, TABLES).lines[0]
    # By hand: 60 cm deep in loam (7 in to the inch of water) is 86 mm on 7.07 m2: 606 L.
    found = amount("soak_depth", {**LEMON, "soil_texture": "loam"}, TABLES)
    assert "600 L (160 gal)" in found.lines[0]
    assert found.command == "sallow water" and found.cautions


def test_leaf_sprays_bow_to_the_label():
    for name in ("foliar_iron", "foliar_zinc", "foliar_manganese", "foliar_magnesium"):
        assert any("label is the law" in caution for caution in amount(name, LEMON, TABLES).cautions)


def test_a_refusal_is_passed_on():
    found = amount("nitrogen_for_year", {**LEMON, "soil": "wet"}, TABLES)
    assert "Not yet." in found.lines[0]
    assert not found.lacks


def test_days_may_come_as_text_and_the_looks_own_signs_are_heeded():
    written = {**LEMON, "date": "2026-07-20", "bag": "6-2-3"}
    assert amount("next_feeding", written, TABLES) == amount(
        "next_feeding", {**LEMON, "bag": "6-2-3"}, TABLES
    )
    assert "Not yet." in amount("nitrogen_for_year", {**LEMON, "soil_at_depth": "soggy"}, TABLES).lines[0]


def test_an_unknown_amount_is_named():
    with pytest.raises(BadInput, match="no amount called 'rain_dance'"):
        amount("rain_dance", {}, TABLES)
