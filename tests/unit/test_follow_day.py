"""A follow-up asks its day first, keeps a width told before, and gives steps only of causes that were shown."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest

from sallow.answers import look_from
from sallow.cli import main
from sallow.diagnosis import diagnose, shown_before
from sallow.environment import Environment
from sallow.follow_up import change_lines, later
from sallow.interview.follow import FollowSession
from sallow.interview.keep import FILE
from sallow.interview.session import Key, start
from sallow.knowledge.model import Knowledge
from sallow.later_day import moved_on
from sallow.looks import Event, Look, look_as_data
from sallow.saving import save
from sallow.values import replace

DAY = date(2026, 3, 2)
TODAY = date(2026, 3, 22)
TREE = {"crop": "lemon", "grown_in": "ground", "climate": "dry_summer", "hemisphere": "south"}
WILTED = [{"part": "whole", "whole_change": "wilt", "extent": "most"}]
DRAINAGE = "ground that does not drain"
SCALY = [{"part": "leaf", "leaf_change": ["on_it"], "on_leaf": ["bumps", "sticky", "soot"]}]


def look_of(knowledge: Knowledge, symptoms: list[dict[str, object]], **answers: object) -> Look:
    raw = {"date": DAY.isoformat(), "tree": TREE, "symptoms": symptoms, "answers": {"age_years": 6, **answers},
           "no_more_symptoms": True}  # fmt: skip
    return look_from(raw, "test", knowledge, DAY)


def followed(
    knowledge: Knowledge, surroundings: Callable[..., Environment], folder: Path, typed: str
) -> tuple[int, str, Path]:
    saved = save(diagnose(knowledge, look_of(knowledge, SCALY)), str(folder / "look.json"))
    again = folder / "again.json"
    environment = surroundings(typed, today=TODAY)
    status = main(["look", "--plain", "--follow-up", str(saved), "--save", str(again)], environment)
    assert isinstance(environment.stdout, io.StringIO) and isinstance(environment.stderr, io.StringIO)
    return status, " ".join((environment.stdout.getvalue() + environment.stderr.getvalue()).split()), again


def test_the_day_is_asked_before_all_else_and_enter_is_today(
    knowledge: Knowledge, surroundings: Callable[..., Environment], tmp_path: Path
) -> None:
    for typed, day in (("", TODAY), ("10 March", date(2026, 3, 10)), ("soon\n1 March\nlast week", date(2026, 3, 15))):
        status, printed, again = followed(knowledge, surroundings, tmp_path, f"{typed}\nf\n")
        assert status == 0 and printed.index("Which day is this follow-up of?") < printed.index("Not sure")
        assert json.loads(again.read_text(encoding="utf-8"))["date"] == day.isoformat()
        assert ("type that day or a later one" in printed) == ("1 March\n" in typed)


def test_the_day_can_be_left_alone(
    knowledge: Knowledge, surroundings: Callable[..., Environment], tmp_path: Path
) -> None:
    status, printed, again = followed(knowledge, surroundings, tmp_path, "q\n")
    assert status == 130 and "nothing was kept" in printed and not again.exists()


def test_a_refuted_cause_gives_a_step_only_where_it_was_shown(knowledge: Knowledge) -> None:
    thirst = knowledge.causes["drought"].name
    assert any(step.when == "refuted" for step in knowledge.causes["drought"].steps)
    for symptoms, shown in ((SCALY, False), (WILTED, True)):
        before = look_of(knowledge, symptoms, looks_well="poor", watering_every="irregular")
        after = later(before, look_of(knowledge, [], soil_at_depth="soggy"), TODAY)
        assert "soil_at_depth" in after.dated
        assert ("drought" in shown_before(knowledge, after)) == shown
        steps = diagnose(knowledge, after).steps_now
        assert any(step.cause == thirst and step.when == "refuted" for step in steps) == shown


def test_a_width_typed_after_the_report_is_in_the_saved_look(
    knowledge: Knowledge, surroundings: Callable[..., Environment], tmp_path: Path
) -> None:
    thirsty = [{"part": "leaf", "leaf_change": ["limp"], "leaf_age": "all", "wilt_recovery": "recovers"}]
    told = {"soil_at_depth": "dry", "watering_how": "hand", "watering_every": "rarely", "soil_texture": "loam"}
    environment = surroundings("f\ny\n3 m\n\n\n\n\n", today=DAY)
    environment.data_folder.mkdir(parents=True, exist_ok=True)
    kept = {"look": look_as_data(look_of(knowledge, thirsty, **told))}
    (environment.data_folder / FILE).write_text(json.dumps(kept), encoding="utf-8")
    saved = tmp_path / "look.json"
    assert main(["look", "--plain", "--resume", "--save", str(saved)], environment) == 0
    assert json.loads(saved.read_text(encoding="utf-8"))["look"]["tree"]["canopy_diameter_m"] == 3.0


def test_a_follow_up_offers_to_fill_in_what_its_amounts_lack(
    knowledge: Knowledge, surroundings: Callable[..., Environment], tmp_path: Path
) -> None:
    thirsty = [{"part": "leaf", "leaf_change": ["limp"], "leaf_age": "all", "wilt_recovery": "recovers"}]
    told = {"soil_at_depth": "dry", "watering_how": "hand", "watering_every": "rarely", "soil_texture": "loam"}
    saved = save(diagnose(knowledge, look_of(knowledge, thirsty, **told)), str(tmp_path / "look.json"))
    again = tmp_path / "again.json"
    desk = surroundings("\nc\n1\npeach\nf\ny\n3 m\n\n\n\n", today=TODAY)
    assert main(["look", "--plain", "--follow-up", str(saved), "--save", str(again)], desk) == 0
    assert isinstance(desk.stdout, io.StringIO)
    assert "how wide the canopy is" in " ".join(desk.stdout.getvalue().split())
    assert json.loads(again.read_text(encoding="utf-8"))["look"]["tree"]["canopy_diameter_m"] == 3.0


def test_another_day_reckons_from_the_earlier_look_how_long_ago_things_were(knowledge: Knowledge) -> None:
    """A frost within a week of the look is 8 days and more ago 10 days later, whatever day was typed at first."""
    before = replace(look_of(knowledge, SCALY), events=(Event("frost", within="1 week"),))
    session = FollowSession(knowledge, before, ())
    first, right = before.date + timedelta(days=60), before.date + timedelta(days=10)
    session.set_today(first)
    state = start(first, replace(moved_on(before, first), no_more_symptoms=True))
    state = session.answer(state, Key("sign", "soil_at_depth"), "dry")
    state = session.answer(state, Key("event", "fed"), "w0")
    state = session.answer(state, Key("date"), right.isoformat())
    kept = {event.what: event for event in state.look.events}
    assert kept["frost"] == moved_on(before, right).events[0]
    assert kept["frost"].within == "17 days" and kept["fed"].within == knowledge.events["fed"].labels[0]
    assert state.look.dated == {"soil_at_depth": right.isoformat()}


HANGING = {"leaf_change": ["limp", "colour"], "colour_pattern": "even_pale"}
PALE = {"leaf_change": ["colour"], "colour_pattern": "even_pale"}
BURNT = {"leaf_change": ["dead"], "dead_areas": "tips"}


@pytest.mark.parametrize("crop", ["avocado", "lemon", "apple"])
@pytest.mark.parametrize(
    ("leaf", "schedule"),
    [(HANGING, None), (HANGING, "daily"), (HANGING, "weekly"), (PALE, None), (PALE, "daily"), (BURNT, "daily")],
)
def test_a_hole_that_holds_water_in_soggy_clay_makes_bad_drainage_possible_and_shows_its_remedies(
    knowledge: Knowledge, leaf: dict[str, object], schedule: str | None, crop: str
) -> None:
    told = {"soil_at_depth": "soggy", "soil_texture": "clay", **({"watering_every": schedule} if schedule else {})}
    odd = {"part": "leaf", "leaf_age": "all", **leaf}
    raw = {"date": DAY.isoformat(), "tree": {**TREE, "crop": crop}, "symptoms": [odd], "answers": told}
    before = look_from(raw, "a look", knowledge, DAY)
    after = later(before, look_of(knowledge, [], drain_hole="stands"), TODAY)
    found = diagnose(knowledge, after)
    drainage = next(cause for cause in found.causes if cause.id == "poor_drainage")
    assert drainage.confirmed or drainage.word in ("possible", "likely", "very likely")
    assert "test hole" in drainage.grounds_for[0].text
    shown = [step.do for step in (*found.steps_now, *found.steps_if_confirmed) if step.cause == drainage.name]
    assert any("ditch" in do and "mound" in do for do in shown), (found.result, found.headline)
    changed = [line for line in change_lines(knowledge, before, after, TODAY) if line.startswith(f"  {DRAINAGE}: ")]
    assert all(drainage.word in line for line in changed)
