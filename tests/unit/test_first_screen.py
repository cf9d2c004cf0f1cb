"""The answer at the tree fits on one screen, says what to do, and leaves the rest for below."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from io import StringIO
from typing import Any

import pytest

from sallow.answers import look_from
from sallow.commands.look_parts import OFFER, show_report
from sallow.diagnosis import diagnose
from sallow.environment import Environment
from sallow.knowledge.model import Knowledge
from sallow.render.first_screen import TEST_FIRST, first_screen
from sallow.render.outline import outline, the_rest
from sallow.render.terminal import plain_text
from sallow.report_model import Diagnosis

TODAY = date(2026, 7, 10)
SCREEN = 30


def typical(knowledge: Knowledge, cause: str) -> Diagnosis:
    return diagnose(knowledge, look_from(dict(knowledge.causes[cause].typical), cause, knowledge, TODAY))


def first_lines(found: Diagnosis) -> list[str]:
    return plain_text(list(first_screen(found, numbers=False, working=False, full=False))).splitlines()


def test_the_first_screen_of_a_typical_look_fits(knowledge: Knowledge, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every sixth cause, 80 columns; alerts and long answers to a plan may need a few lines more."""
    monkeypatch.setattr("sallow.diagnosis.change_lines", lambda *_: ())
    lengths = [len(first_lines(typical(knowledge, cause))) for cause in sorted(knowledge.causes)[::6]]
    assert len(lengths) > 25
    assert sum(length <= SCREEN for length in lengths) >= 0.8 * len(lengths)
    assert max(lengths) <= SCREEN + 6


@pytest.mark.parametrize("cause", ["overwatering", "peach_leaf_curl", "huanglongbing", "olive_leaf_turnover"])
def test_the_first_screen_says_what_the_test_what_to_do_and_when_to_look_again(
    knowledge: Knowledge, cause: str
) -> None:
    found = typical(knowledge, cause)
    shown = first_lines(found)
    words = " ".join(" ".join(shown).split())
    assert found.headline in words and f"Look again on {date.fromisoformat(found.look_again).day} " in words
    assert found.steps_now[0].do in words
    assert (TEST_FIRST in shown) == bool(found.tests)
    assert not any(heading in words for heading in ("What is probably behind it", "How far to trust this"))


@pytest.mark.parametrize("cause", ["overwatering", "nitrogen_shortage", "salt_burn", "drought"])
def test_the_two_parts_leave_nothing_out_and_repeat_no_step(knowledge: Knowledge, cause: str) -> None:
    found = typical(knowledge, cause)
    lines = [line.text for line in outline(found, full=False)]
    for step in found.steps_now:
        assert sum(line.startswith(step.do) for line in lines) == 1
    assert all(any(line.startswith(test.name) for line in lines) for test in found.tests)
    assert set(outline(found, full=False)) >= set(the_rest(found, full=False))


class Asked:
    """The options of a look that asked a person."""

    numbers = show_working = full = False
    answers = sheet = None


@pytest.mark.parametrize(("typed", "below"), [("\n", False), ("r\n", True), ("", False)])
def test_a_person_at_a_terminal_gets_the_rest_on_request(knowledge: Knowledge, typed: str, below: bool) -> None:
    desk = Environment(stdin=StringIO(typed), stdout=StringIO(), stderr=StringIO(), today=TODAY, watched=True)
    options: Any = Asked()
    show_report(typical(knowledge, "overwatering"), options, desk)
    shown = desk.stdout.getvalue()  # type: ignore[attr-defined]
    assert OFFER in " ".join(shown.split()) and ("How far to trust this" in shown) == below
    piped = replace(desk, watched=False, stdout=StringIO())
    show_report(typical(knowledge, "overwatering"), options, piped)
    whole = piped.stdout.getvalue()  # type: ignore[attr-defined]
    assert "How far to trust this" in whole and OFFER not in whole


def test_what_is_said_of_pots_is_left_out_in_the_ground(knowledge: Knowledge) -> None:
    tree = {"crop": "avocado", "climate": "dry_summer", "hemisphere": "north", "age_years": 3}
    limp = {"part": "leaf", "leaf_change": ["limp", "colour"], "colour_pattern": "even_pale", "leaf_age": "all"}
    told = {"soil_at_depth": "soggy", "soil_texture": "clay"}
    how = {}
    for place in ("ground", "pot"):
        raw = {"date": "2026-07-10", "tree": {**tree, "grown_in": place}, "symptoms": [limp], "answers": told}
        tests = diagnose(knowledge, look_from(raw, "a look", knowledge, TODAY)).tests
        how[place] = next(f"{' '.join(t.how)} {t.need}" for t in tests if t.id == "soil_smell_look")
    assert "pot" in how["pot"] and "pot" not in how["ground"]
    assert "Take a fresh spadeful" in how["ground"] and how["ground"].endswith("a spade")


@pytest.mark.parametrize(("crop", "said"), [("apple", False), ("lemon", True)])
def test_what_is_said_of_citrus_is_left_out_on_other_trees(knowledge: Knowledge, crop: str, said: bool) -> None:
    tree = {"crop": crop, "climate": "cool_humid", "hemisphere": "north", "grown_in": "ground", "age_years": 8}
    spots = {"part": "leaf", "leaf_change": ["spots", "falling"], "leaf_age": "all"}
    raw = {"date": "2026-07-05", "tree": tree, "symptoms": [spots]}
    tests = diagnose(knowledge, look_from(raw, "a look", knowledge, TODAY)).tests
    faces = next(test for test in tests if test.id == "both_faces")
    assert ("On citrus" in " ".join(faces.how)) == said
