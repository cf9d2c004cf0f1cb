"""Looks joined with the weather file and the results of other commands; amounts filled in afterwards."""

from __future__ import annotations

import io
import json
from datetime import date
from pathlib import Path

import pytest
from tests.support.desk import DAY, PALE_TIPS, TO_NOTHING_ODD, Desk

from sallow.brought import Brought, with_brought
from sallow.environment import Environment
from sallow.looks import Event, Look
from sallow.status import ExitStatus


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


@pytest.fixture
def desk(tmp_path: Path, cache: Path) -> Desk:
    return Desk(tmp_path, cache)


# -- weather and results --------------------------------------------------------------------------------------------


def test_the_weather_answers_by_itself_and_says_so(desk: Desk) -> None:
    weather = desk.weather(frost=date(2026, 5, 11), rain_mm=5.0)
    out = desk.ok("look", "--answers", desk.file("a.yaml", PALE_TIPS), "--weather", weather, "--full")
    told = out[out.index("What you told me") :]
    assert "When was the last frost that could reach the leaves? 11 May 2026 (from the weather file: " in told
    assert "How was the rain over the last month? Very wet for weeks (from the weather file: 150 mm" in told
    assert "Is the soil cold? The soil is cool (from the weather file: the air averaged" in told
    # No day of the record reached 35 °C, so heat is longer ago; a person need not be asked.
    assert "last spell of extreme heat? Longer ago, or never (from the weather file, which has none)" in told


def test_the_weather_never_overrules_the_person(desk: Desk) -> None:
    said = {
        **PALE_TIPS,
        "events": [{"what": "frost", "within": "never"}],
        "answers": {"recent_rain": "little", "soil_temperature": "not_sure"},
    }
    weather = desk.weather(frost=date(2026, 5, 11), rain_mm=5.0)
    out = desk.ok("look", "--answers", desk.file("a.yaml", said), "--weather", weather, "--format", "json")
    look = json.loads(out)["look"]
    assert look["events"][0] == {"what": "frost", "within": "never"}
    assert look["answers"]["recent_rain"] == "little" and "recent_rain" not in look["origins"]
    # 'Not sure' says nothing, so the file may.
    assert look["answers"]["soil_temperature"] == "cool" and "soil_temperature" in look["origins"]


def test_weather_is_taken_on_the_day_of_the_look(desk: Desk) -> None:
    earlier = {**PALE_TIPS, "date": "2026-02-01"}
    weather = desk.weather(frost=date(2026, 5, 11), heat=date(2026, 1, 28))
    look = json.loads(
        desk.ok("look", "--answers", desk.file("a.yaml", earlier), "--weather", weather, "--format", "json")
    )["look"]
    assert {event["what"]: event.get("when") for event in look["events"]} == {"frost": None, "heat": "2026-01-28"}


def test_a_changed_answer_loses_its_origin() -> None:
    brought = Brought({"recent_rain": "wet"}, (Event("frost", DAY),), {"recent_rain": "file", "event.frost": "file"})
    look = with_brought(Look(date=DAY), brought)
    assert set(look.origins) == {"recent_rain", "event.frost"}
    assert look.with_answer(None, "recent_rain", "little").with_event(None, "frost").origins == {}


def test_a_guided_look_does_not_ask_what_the_weather_told(desk: Desk) -> None:
    weather = desk.weather(frost=date(2026, 5, 11))
    typed = f"{TO_NOTHING_ODD}f\n\n\n"
    status, out, err = desk.run("look", "--plain", "--weather", weather, typed=typed)
    assert (status, err) == (ExitStatus.OK, "")
    assert "last frost that could reach the leaves? 11 May 2026" in " ".join(out.split())


SAMPLED = ("--taken", "2025-08-20", "--hemisphere", "north")


def test_leaf_figures_of_an_unknown_day_are_not_handed_on(desk: Desk) -> None:
    lab = desk.folder / "lab.json"
    status, out, err = desk.run(
        "lab", "leaf", "--crop", "lemon", "--values", "N=2.1%", "--save-answers", str(lab)
    )
    assert status == ExitStatus.BAD_INPUT and not lab.exists()
    assert "perhaps deficient" in out and "For the look" not in out
    assert "--taken" in err


def test_laboratory_and_water_results_go_into_a_look(desk: Desk) -> None:
    lab, water = str(desk.folder / "lab.json"), str(desk.folder / "water.json")
    desk.ok("lab", "leaf", "--crop", "lemon", "--values", "N=2.1%", "Zn=15ppm", "--save-answers", lab, *SAMPLED)
    desk.ok(
        "water", "--crop", "lemon", "--canopy", "3m", "--et0", "5mm", "--gets", "10L",
        "--caught", "60", "61", "12", "60", "--save-answers", water,
    )  # fmt: skip
    out = desk.ok("look", "--answers", desk.file("a.yaml", PALE_TIPS), "--with", lab, "--with", water)
    assert "Leaf analysis: nitrogen Nitrogen in the leaf is low (from the leaf report of the laboratory)" in out
    assert "It gets too little water by the sum (from the water reckoning: about" in out
    assert "One or more emitters give little or nothing (from the emitter test: uniformity" in out


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[1]", "expected the results of 'sallow lab' or 'sallow water'"),
        ("{nothing", "this is not JSON"),
        ('{"answers": {"no_such_sign": "x"}}', "no result in it that a look could use"),
        ('{"answers": 3}', "'answers' should hold names with their values"),
    ],
)
def test_results_that_cannot_be_used_are_refused(desk: Desk, text: str, expected: str) -> None:
    status, out, err = desk.run(
        "look", "--answers", desk.file("a.yaml", PALE_TIPS), "--with", desk.file("r.json", text)
    )
    assert (status, out) == (ExitStatus.BAD_INPUT, "")
    assert expected in err


def test_every_sign_that_lab_can_give_is_a_sign_of_the_look(desk: Desk) -> None:
    values = [
        "N=2.1%", "P=0.3%", "K=1%", "Mg=0.4%", "Ca=4%", "Zn=15ppm", "Mn=50ppm", "Fe=80ppm", "Cu=40ppm", "B=300ppm",
        "Cl=1.5%", "Na=0.6%", "S=0.3%", "Mo=1ppm",
    ]  # fmt: skip
    lab = str(desk.folder / "lab.json")
    words = ("leaf", "--crop", "lemon", "--table", "florida", "--values", *values, *SAMPLED)
    desk.ok("lab", *words, "--save-answers", lab)
    status, _, err = desk.run("look", "--answers", desk.file("a.yaml", PALE_TIPS), "--with", lab)
    assert status == ExitStatus.OK and "left out" not in err


# -- amounts -------------------------------------------------------------------------------------------------------



def test_amounts_that_lack_a_size_are_asked_for_and_told_again(desk: Desk) -> None:
    """The answers file lacks the canopy; typed in, the step tells the water for this tree."""
    from sallow.answers import look_from
    from sallow.commands.look_amounts import lacking, offer_amounts
    from sallow.diagnosis import diagnose
    from sallow.knowledge.access import open_knowledge

    surroundings = Environment(
        stdin=io.StringIO("y\n3 elephants\n3 m\n"), stdout=io.StringIO(), stderr=io.StringIO(), today=DAY,
        cache_folder=desk.cache,
    )  # fmt: skip
    knowledge = open_knowledge(surroundings)
    thirsty = {
        **PALE_TIPS,
        "symptoms": [{"part": "leaf", "leaf_change": ["limp"], "leaf_age": "all", "wilt_recovery": "stays"}],
        "answers": {"soil_at_depth": "dry", "watering_every": "rarely", "soil_texture": "loam"},
        "events": [{"what": "watering_failed", "within": "3 weeks"}],
    }
    look = look_from(thirsty, "thirsty", knowledge, DAY)
    diagnosis = diagnose(knowledge, look)
    assert "canopy_diameter_m" in lacking(diagnosis, look)
    filled = offer_amounts(knowledge, look, diagnosis, surroundings)
    assert filled.tree["canopy_diameter_m"] == 3.0
    out = " ".join(surroundings.stdout.getvalue().split())
    # FAO-56 Table 2, dry-summer garden, mild days: 4 to 7 mm a day; citrus coefficient and losses on 7.1 m2.
    assert "'3 elephants'" in out and "Usually" in out and "a week at this season" in out
    assert "canopy_diameter_m" not in lacking(diagnose(knowledge, filled), filled)


def test_the_climate_is_asked_too_when_the_amount_lacks_it(desk: Desk) -> None:
    from sallow.answers import look_from
    from sallow.commands.look_amounts import lacking, offer_amounts
    from sallow.diagnosis import diagnose
    from sallow.knowledge.access import open_knowledge

    out = io.StringIO()
    surroundings = Environment(
        stdin=io.StringIO("y\n3 m\n9\n1\nsouth\n"), stdout=out, stderr=io.StringIO(), today=DAY,
        cache_folder=desk.cache,
    )  # fmt: skip
    knowledge = open_knowledge(surroundings)
    thirsty = {
        "date": PALE_TIPS["date"],
        "tree": {"crop": "lemon", "grown_in": "ground"},
        "symptoms": [{"part": "leaf", "leaf_change": ["limp"], "leaf_age": "all", "wilt_recovery": "stays"}],
        "answers": {"soil_at_depth": "dry", "watering_every": "rarely", "soil_texture": "loam"},
        "events": [{"what": "watering_failed", "within": "3 weeks"}],
    }
    look = look_from(thirsty, "thirsty", knowledge, DAY)
    diagnosis = diagnose(knowledge, look)
    assert lacking(diagnosis, look) == ["canopy_diameter_m", "climate", "hemisphere"]
    filled = offer_amounts(knowledge, look, diagnosis, surroundings)
    assert filled.tree["climate"] == next(iter(knowledge.climates)) and filled.tree["hemisphere"] == "south"
    told = " ".join(out.getvalue().split())
    assert "'9' is not one of the lines" in told and "a week at this season" in told


def test_the_usual_week_of_water_is_reckoned_as_published() -> None:
    """By hand from FAO-56 Table 2 (desert, hot: 6 to 8 mm) and its olive coefficients, on a canopy of 2 m."""
    from sallow.care.water_usual import usual_week
    from sallow.knowledge.locate import shipped_folder
    from sallow.knowledge.tables import load_tables

    tables = load_tables(shipped_folder("knowledge"))
    place = {"climate": "desert", "hemisphere": "south"}
    known = {"crop": "olive", "canopy_diameter_m": 2.0, "date": date(2026, 1, 9), **place}
    week = usual_week(known, tables)
    coefficient = tables["crop_coefficients"].where(crop="olive")[0].number("full")
    assert week is not None and week.season == "summer"
    assert week.low_l == pytest.approx(6 * 7 * coefficient * 3.14159 / 0.9, rel=1e-4)
    assert week.high_l == pytest.approx(8 * 7 * coefficient * 3.14159 / 0.9, rel=1e-4)
    assert usual_week({**known, "climate": "nowhere"}, tables) is None
