"""The season narrows the water need, a bare tree needs little, and a look's amount is that of its command."""

from __future__ import annotations

import io
import json
import re
import shlex
from datetime import date

import pytest
from tests.support.compiled import compiled_place

from sallow.care.amounts_water import soak_depth, water_per_week
from sallow.care.water_usual import usual_week
from sallow.cli import main
from sallow.environment import Environment
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.tables import load_tables
from sallow.steps_commands import command_line

TABLES = load_tables(shipped_folder("knowledge"))
LEMON = ("--crop", "lemon", "--canopy", "0.61m", "--climate", "dry_summer", "--soil", "clay")
PEACH = ("--crop", "peach", "--canopy", "3m", "--climate", "cold_dry", "--soil", "loam")


def run(*words: str) -> str:
    out, err = io.StringIO(), io.StringIO()
    environment = Environment(
        stdin=io.StringIO(), stdout=out, stderr=err, today=date(2026, 7, 3), cache_folder=compiled_place()
    )
    status = main(("water", *words), environment)
    assert status == 0, err.getvalue()
    return " ".join(out.getvalue().split())


@pytest.mark.parametrize("words", [LEMON, PEACH])
def test_a_range_of_days_is_told_in_whole_words(words: tuple[str, ...]) -> None:
    out = run(*words)
    assert not re.search(r"every \d+ to two months", out)
    assert re.search(r"every (\d+ days|day) when the air takes most and every (two months|\d+ days) when it takes", out)


def test_a_usual_range_is_not_called_good_to_a_quarter_and_the_season_narrows_it() -> None:
    wide, summer = run(*LEMON), run(*LEMON, "--hemisphere", "north")
    assert "good to about a quarter" not in wide and "over the whole year" in wide and "Its ends lie" in wide
    # FAO-56 Table 2, from memory: a dry summer's cool to hot days take 1 to 9 mm, its hot ones 6 to 9 mm.
    assert "1 to 9 mm" in wide and "6 to 9 mm" in summer
    assert "1 to 3 mm" in run(*LEMON, "--hemisphere", "south")
    assert "good to about a quarter" in run(*LEMON, "--et0", "5mm")


def test_a_bare_tree_in_winter_is_watered_only_if_the_soil_is_dry() -> None:
    assert "While it is bare it uses little or nothing" in run(*PEACH, "--hemisphere", "south")
    assert "While it is bare" not in run(*PEACH, "--hemisphere", "north")
    assert "While it is bare" not in run(*LEMON, "--hemisphere", "south")
    known = {
        "crop": "peach", "canopy_diameter_m": 3.0, "climate": "cold_dry", "hemisphere": "north",
        "date": date(2026, 12, 20),
    }  # fmt: skip
    assert water_per_week(known, TABLES).lines[0].startswith("While it is bare: only if the soil a hand deep is dry")


@pytest.mark.parametrize(
    ("more", "day"),
    [
        ({}, date(2026, 5, 1)),
        ({"grown_in": "lawn", "watering_how": "sprinkler"}, date(2026, 8, 1)),
        ({"canopy_diameter_m": 3.0, "watering_how": "drip", "soil_texture": "clay"}, date(2026, 11, 25)),
        ({"crop": "peach", "canopy_diameter_m": 3.0, "ground_cover": "grass"}, date(2026, 4, 2)),
    ],
)
def test_the_amount_of_a_look_is_that_of_the_command_it_names(more: dict[str, object], day: date) -> None:
    known = {
        "crop": "lemon", "canopy_diameter_m": 0.6, "climate": "dry_summer", "hemisphere": "north", "date": day, **more
    }  # fmt: skip
    week = usual_week(known, TABLES)
    words = shlex.split(command_line("sallow water", known))
    assert words[:2] == ["sallow", "water"] and words[-1] == "--ask"
    out = io.StringIO()
    environment = Environment(
        stdin=io.StringIO(), stdout=out, stderr=io.StringIO(), today=day, cache_folder=compiled_place()
    )
    assert main((*words[1:-1], "--format", "json"), environment) == 0
    give = json.loads(out.getvalue())["plan"]["give"]
    assert week is not None
    assert (give[0] * 7, give[1] * 7) == pytest.approx((week.low_l, week.high_l))


def test_no_amount_comes_before_the_words_once_the_soil_has_dried() -> None:
    known = {
        "crop": "lemon", "canopy_diameter_m": 0.6, "climate": "dry_summer", "hemisphere": "north",
        "date": date(2026, 5, 1), "soil_at_depth": "soggy",
    }  # fmt: skip
    for amount in (water_per_week(known, TABLES), soak_depth(known, TABLES)):
        assert re.match(r"\D*wet.*once the soil", amount.lines[0], re.IGNORECASE)
        assert "Once the soil" in amount.lines[0] or "once the soil has dried" in amount.lines[0]
    assert water_per_week({**known, "soil_at_depth": "dry"}, TABLES).lines[0].startswith("Usually")
