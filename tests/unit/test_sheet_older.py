"""A field sheet printed from older knowledge: what still is asked is taken in, changes are said, nothing is guessed."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from tests.support.sheet_marks import known as _loaded
from tests.support.sheet_marks import mark

from sallow.cli import main
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.knowledge.model import Answer, Knowledge
from sallow.looks import NONE_LOOKED
from sallow.sheet_code import make_sheet
from sallow.sheet_kept import plan_of, recall, sheet_of
from sallow.sheet_reading import Taken, look_from_code, taken_in

Surroundings = Callable[..., Environment]
TODAY = date(2026, 5, 20)


@pytest.fixture(autouse=True)
def _share(knowledge: Knowledge) -> None:
    _loaded[:] = [knowledge]


def changed(sign: str, **cells: object) -> Knowledge:
    """The knowledge with a sign changed."""
    known = _loaded[0]
    new = replace(known.signs[sign], **cells)  # type: ignore[arg-type]
    return replace(known, signs={**known.signs, sign: new}, stored=None)


def without(sign: str, answer: str) -> Knowledge:
    """The knowledge without an answer of a sign."""
    answers = {key: value for key, value in _loaded[0].signs[sign].answers.items() if key != answer}
    return changed(sign, answers=answers)


def brought_to(new: Knowledge, code: str, crop: str = "lemon") -> Taken:
    """The code of a sheet printed from the shipped knowledge, taken in with other knowledge by its kept plan."""
    old = make_sheet(_loaded[0], crop)
    plan = json.loads(json.dumps(plan_of(old)))
    marks = {old.mark: sheet_of(old.mark, plan)}
    return taken_in(f"{old.mark} {code}", new, "", TODAY, marks.get)


def test_answers_are_found_again_by_what_they_are_when_all_numbers_have_moved() -> None:
    told = [mark("colour_pattern", "fine_net"), mark("leaf_age", "newest"), mark("fed", "w1"), mark("grown_in", "pot")]
    known = _loaded[0]
    turned = changed("stage", answers=dict(reversed(known.signs["stage"].answers.items())))
    turned = replace(turned, stations=tuple(reversed(known.stations)))
    assert make_sheet(turned, "lemon").items()[int(told[0].rstrip("abcdefghij"))].key.id != "colour_pattern"
    taken = brought_to(turned, " ".join(told))
    assert taken.notes == ()
    assert taken.look == look_from_code(" ".join(told), known, "lemon", TODAY)


def test_a_box_that_is_gone_is_left_out_and_named() -> None:
    code = f"{mark('colour_pattern', 'fine_net')} {mark('leaf_age', 'newest')} {mark('dead_areas', 'tips')}"
    taken = brought_to(without("colour_pattern", "fine_net"), code)
    symptom = taken.look.symptoms[0]
    assert "colour_pattern" not in symptom and symptom["leaf_age"] == "newest" and symptom["dead_areas"] == "tips"
    assert len(taken.notes) == 1
    assert taken.notes[0].startswith(mark("colour_pattern", "fine_net")) and "no answer" in taken.notes[0]


def test_a_question_that_is_gone_is_left_out_and_named() -> None:
    known = _loaded[0]
    first = next(i for i in make_sheet(known, "lemon").items().values() if i.key.id == "first_noticed")
    fewer = replace(
        known,
        signs={key: sign for key, sign in known.signs.items() if key != "first_noticed"},
        stations=tuple(replace(s, signs=tuple(x for x in s.signs if x != "first_noticed")) for s in known.stations),
    )
    code = f"{mark('colour_pattern', 'fine_net')} {first.number}=2026-04-01"
    taken = brought_to(fewer, code)
    assert taken.notes == (f"question {first.number} ({first.prompt.ask}) is not asked any more.",)
    assert taken.look == look_from_code(mark("colour_pattern", "fine_net"), known, "lemon", TODAY)


def test_a_question_of_another_kind_is_left_out_and_named() -> None:
    new = changed("looks_well", part="leaf")
    taken = brought_to(new, f"{mark('colour_pattern', 'fine_net')} {mark('looks_well', 'fair')}")
    assert "another kind" in " ".join(taken.notes)
    assert "looks_well" not in {*taken.look.answers, *taken.look.symptoms[0]}


def test_new_boxes_are_told_and_blank_ones_do_not_count_as_seen_and_absent() -> None:
    sign = _loaded[0].signs["leaf_change"]
    more = changed("leaf_change", answers={**sign.answers, "glows": Answer("glows", "it glows", 0.0)})
    taken = brought_to(more, mark("leaf_change", "colour", "spots"))
    told = taken.look.symptoms[0]["leaf_change"]
    assert isinstance(told, dict) and {key for key, value in told.items() if value == "yes"} == {"colour", "spots"}
    assert "glows" not in told and "did not offer: it glows" in " ".join(taken.notes)


def test_looked_closely_and_found_none_says_nothing_of_new_boxes() -> None:
    sign = _loaded[0].signs["on_leaf"]
    more = changed("on_leaf", answers={**sign.answers, "glitter": Answer("glitter", "glitter", 0.0)})
    taken = brought_to(more, f"{mark('colour_pattern', 'fine_net')} {mark('on_leaf', NONE_LOOKED)}")
    told = taken.look.symptoms[0]["on_leaf"]
    assert isinstance(told, dict) and set(told.values()) == {"no"} and "soot" in told and "glitter" not in told


def test_spans_of_time_cut_otherwise_are_not_guessed() -> None:
    known = _loaded[0]
    fed = known.events["fed"]
    other = replace(fed, labels=("3 weeks", "3 months", "12 months"), windows=(21, 90, 365))
    new = replace(known, events={**known.events, "fed": other})
    leaf = mark("colour_pattern", "fine_net")
    assert [event.within for event in brought_to(new, f"{leaf} {mark('fed', 'w0')}").look.events] == ["3 weeks"]
    cut = brought_to(new, f"{leaf} {mark('fed', 'w1')}")
    assert cut.look.events == () and "cut in another way" in " ".join(cut.notes)


def test_a_sheet_whose_odd_thing_is_gone_is_refused() -> None:
    with pytest.raises(BadInput, match="nothing odd is left that can be taken in today"):
        brought_to(without("colour_pattern", "fine_net"), mark("colour_pattern", "fine_net"))


def test_a_printed_sheet_is_remembered_and_a_spoiled_copy_is_as_none(surroundings: Surroundings) -> None:
    desk = surroundings()
    folder: Path = desk.data_folder
    assert main(["sheet", "--crop", "lemon"], desk) == 0
    sheet = make_sheet(_loaded[0], "lemon")
    kept = recall(sheet.mark, folder)
    assert kept is not None and plan_of(kept) == plan_of(sheet)
    path = folder / "printed_sheets" / f"{sheet.mark}.json"
    for spoiled in ("", "[]", "{}", '{"crop": "lemon", "questions": [{}]}', '{"crop": 1, "questions": 5}', "\x00"):
        path.write_text(spoiled, encoding="utf-8")
        assert recall(sheet.mark, folder) is None
    old = {**plan_of(sheet), "questions": plan_of(sheet)["questions"][:40]}
    (folder / "printed_sheets" / "lemon-0001.json").write_text(json.dumps(old), encoding="utf-8")
    code = f"lemon-0001 {mark('colour_pattern', 'fine_net')}"
    desk = surroundings()
    assert main(["look", "--sheet", code], desk) == 0
    assert isinstance(desk.stdout, StringIO) and isinstance(desk.stderr, StringIO)
    assert "Iron shortage" in desk.stdout.getvalue() and desk.stderr.getvalue() == ""
