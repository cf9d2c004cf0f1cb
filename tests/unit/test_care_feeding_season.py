"""The days of feeding: the season of each climate and crop, both halves of the world, the last safe day."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sallow.care.feeding import Condition, Tree, Wish, bag_from, make_plan, plan_season
from sallow.care.feeding.tree import CLIMATES, CROPS
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.tables import load_tables

TABLES = load_tables(shipped_folder("knowledge"))
WINTER = date(2026, 1, 20)
MILD = {"climate": "dry_summer", "hemisphere": "north", "frost": False}
PALE = Condition(leaf_colour="pale_old", soil="moist")


def test_three_feedings_in_a_mild_dry_summer_climate():
    # Common practice: mid-February, the end of May, early September; six months on in the south.
    north = plan_season(Tree("orange", age_years=6, **MILD), 3, WINTER, "north", TABLES)
    assert north.days == (date(2026, 2, 15), date(2026, 5, 30), date(2026, 9, 5))
    south = plan_season(Tree("orange", age_years=6, **MILD), 3, WINTER.replace(month=7), "south", TABLES)
    assert south.days == (date(2026, 8, 15), date(2026, 11, 30), date(2027, 3, 5))


def test_frost_ends_the_season_at_midsummer():
    # UC IPM citrus: January or February, May, perhaps June; no late season.
    season = plan_season(
        Tree("orange", age_years=6, climate="dry_summer", frost=True), 3, WINTER, "north", TABLES
    )
    assert [day.month for day in season.days] == [2, 5, 6]
    assert season.last_safe.month == 7


@pytest.mark.parametrize(
    ("crop", "climate", "frost", "last"),
    [
        pytest.param(
            "peach", "cool_humid", True, (7, 15), id="Penn State stone fruit: nothing after July 15"
        ),
        pytest.param(
            "peach", "humid_subtropical", True, (8, 15), id="Clemson peach: nothing after August 15"
        ),
        pytest.param("orange", "humid_subtropical", True, (6, 30), id="LSU citrus: nothing after June"),
        pytest.param("orange", "humid_subtropical", False, (10, 31), id="UF Pinellas: February to October"),
        pytest.param("orange", "desert", False, (6, 30), id="Arizona az1671: May-June is the last third"),
    ],
)
def test_last_safe_days_as_published(crop, climate, frost, last):
    season = plan_season(Tree(crop, age_years=6, climate=climate, frost=frost), 3, WINTER, "north", TABLES)
    assert (season.last_safe.month, season.last_safe.day) == last


@given(
    today=st.dates(date(2001, 1, 1), date(2090, 1, 1)),
    parts=st.integers(1, 8),
    crop=st.sampled_from(CROPS),
    climate=st.sampled_from(CLIMATES),
    hemisphere=st.sampled_from(["north", "south"]),
    frost=st.booleans(),
)
def test_feeding_days_are_in_order_and_never_after_the_last_safe_day(
    today, parts, crop, climate, hemisphere, frost
):
    tree = Tree(crop, age_years=6, climate=climate, frost=frost)
    season = plan_season(tree, parts, today, hemisphere, TABLES)
    assert len(season.days) == parts
    assert list(season.days) == sorted(set(season.days))
    assert season.days[-1] <= season.last_safe
    assert all(today <= day <= season.last_safe for day in season.to_come)
    assert season.last_safe >= today
    assert season.next_start > season.last_safe


@given(today=st.dates(date(2001, 1, 1), date(2090, 1, 1)), climate=st.sampled_from(CLIMATES))
def test_the_south_is_half_a_year_away(today, climate):
    tree = Tree("orange", age_years=6, climate=climate, frost=False)
    north = plan_season(tree, 3, today, "north", TABLES).days[0]
    south = plan_season(tree, 3, today, "south", TABLES).days[0]
    assert (south.month - north.month) % 12 == 6


def test_missed_feedings_are_not_made_up_for():
    tree = Tree("orange", age_years=6, canopy_m=4, **MILD)
    whole = make_plan(tree, PALE, Wish(), WINTER, TABLES)
    late = make_plan(tree, PALE, Wish(), date(2026, 7, 10), TABLES)
    assert late.each_kg == whole.each_kg
    assert late.season.to_come == (date(2026, 9, 5),)


def test_out_of_season_the_answer_is_the_next_date():
    plan = make_plan(Tree("orange", age_years=6, **MILD), PALE, Wish(), date(2026, 10, 20), TABLES)
    assert plan.decision.verdict == "wait"
    assert plan.decision.until == date(2027, 2, 15)
    assert plan.decision.feeds  # the amounts for then are still given


def test_slow_feeds_are_given_less_often():
    tree = Tree("orange", age_years=6, canopy_m=4, **MILD)
    feedings = {
        kind: make_plan(tree, PALE, Wish(bag=bag_from("12-4-4", TABLES, kind)), WINTER, TABLES).parts
        for kind in ("quick", "organic", "coated")
    }
    assert feedings == {"quick": 3, "organic": 2, "coated": 1}
