"""A report that is not sure of any cause treats the tree for none: it looks, tests and leaves alone."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sallow.answers import look_from
from sallow.case_runs import case_look
from sallow.diagnosis import diagnose
from sallow.knowledge.model import Knowledge, Step
from sallow.looks import Look
from sallow.report_model import Diagnosis
from sallow.values import replace

TODAY = date(2026, 6, 10)
SURE = ("likely", "very likely")
# How a step begins that does something to the tree or its water.
TREATS = re.compile(
    r"(water|soak|spray|prune|feed|hose|rinse|wash|move|mulch|thin|pick|pull|empty|shade|stake|turn the"
    r"|let the (pot|soil)|stop watering|do not water|cut (wire|out|off|back)|leave the can)\b(?! a handful)",
    re.IGNORECASE,
)


def sparse(look: Look, kept: int) -> Look:
    """The look with only the first few answers of each odd thing, and nothing told of the tree's place."""
    symptoms = tuple({"part": s["part"], **dict(list(s.items())[: kept + 1])} for s in look.symptoms)
    return replace(look, symptoms=symptoms, answers={}, events=(), about_to="")


def steps_of(knowledge: Knowledge) -> dict[str, list[Step]]:
    """Every step of the knowledge by its words."""
    found: dict[str, list[Step]] = {}
    for cause in knowledge.causes.values():
        for step in cause.steps:
            found.setdefault(step.do, []).append(step)
    return found


def treatments(found: Diagnosis, steps: dict[str, list[Step]]) -> list[str]:
    """The steps of 'what to do now' that treat the tree whatever is found."""
    told = [line for line in found.steps_now if line.cause and not line.do.startswith("Not now: ")]
    return [
        line.do
        for line in told
        if any(step.when != "refuted" and not step.while_unsure for step in steps[line.do]) or TREATS.match(line.do)
    ]


def looks_of_cases(knowledge: Knowledge, tellings: Sequence[int], each: int) -> Iterator[Look]:
    """Every so many-th published case, told with so many answers to each odd thing; 0 for all that is known."""
    for case in knowledge.cases[::each]:
        look = case_look(case, knowledge)
        if look.symptoms:
            yield from (sparse(look, kept) if kept else look for kept in tellings)


@pytest.mark.parametrize(
    ("tellings", "each", "least"),
    [((1, 2), 6, 5), pytest.param((1, 2, 0), 1, 30, marks=pytest.mark.proof)],
    ids=["some cases", "all cases"],
)
def test_no_case_told_sparsely_is_treated_before_anything_is_likely(
    knowledge: Knowledge, monkeypatch: pytest.MonkeyPatch, tellings: Sequence[int], each: int, least: int
) -> None:
    """Without the search for other orders, which says nothing of steps and takes long."""
    monkeypatch.setattr("sallow.diagnosis.change_lines", lambda *_: ())
    steps, cannot_tell, unsure = steps_of(knowledge), 0, 0
    for look in looks_of_cases(knowledge, tellings, each):
        found = diagnose(knowledge, look)
        if found.result == "cannot_tell":
            cannot_tell += 1
            assert not treatments(found, steps) and not found.steps_if_confirmed, look
            assert found.steps_now[0].do.startswith("Leave the tree as it is")
            conditional = {do for do, same in steps.items() if any(s.while_unsure == "where_found" for s in same)}
            assert not conditional & {line.do for line in found.steps_now}
        elif not any(cause.confirmed or cause.word in SURE for cause in found.causes):
            unsure += 1
            assert not [do for do in treatments(found, steps) if not steps[do][0].while_unsure], look
            assert found.result == "leave_alone" or found.steps_now[0].do.startswith("Do not treat it")
    assert cannot_tell > least and unsure > least, (cannot_tell, unsure)


LEAF = {
    "leaf_change": ["colour", "dead", "limp", "falling", "shape", "spots"],
    "leaf_age": ["newest", "oldest", "all"],
    "crown_place": ["whole", "one_side"],
    "onset": ["days", "weeks"],
}
TREE = {
    "soil_at_depth": ["dry", "moist", "wet", "soggy"],
    "watering_how": ["hand", "drip", "rain"],
    "soil_texture": ["sand", "clay"],
}


@st.composite
def a_few_words(draw: st.DrawFn) -> dict[str, Any]:
    """A look at the leaves of some tree with few answers."""
    symptom: dict[str, Any] = {"part": "leaf", "leaf_change": [draw(st.sampled_from(LEAF["leaf_change"]))]}
    symptom |= {
        key: draw(st.sampled_from(LEAF[key])) for key in ("leaf_age", "crown_place", "onset") if draw(st.booleans())
    }
    return {
        "date": TODAY.isoformat(),
        "tree": {
            "crop": draw(st.sampled_from(["lemon", "peach", "apple", "avocado", "fig", "olive"])),
            "grown_in": draw(st.sampled_from(["ground", "pot", "lawn"])),
        },
        "symptoms": [symptom],
        "answers": {key: draw(st.sampled_from(TREE[key])) for key in TREE if draw(st.integers(0, 2)) == 0},
    }


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(raw=a_few_words())
def test_a_report_that_cannot_tell_lists_no_treatment(knowledge: Knowledge, raw: dict[str, Any]) -> None:
    found = diagnose(knowledge, look_from(raw, "a look", knowledge, TODAY))
    if found.result == "cannot_tell":
        assert not treatments(found, steps_of(knowledge)) and not found.steps_if_confirmed


def test_what_is_safe_while_unsure_treats_nothing(knowledge: Knowledge) -> None:
    safe = [(cause.id, s) for cause in knowledge.causes.values() for s in cause.steps if s.while_unsure == "safe"]
    assert len(safe) > 100
    for cause, step in safe:
        assert step.when == "now" and step.amount in ("", "emitter_check") and not step.plan, cause
        assert not TREATS.match(step.do), (cause, step.do)


@pytest.mark.parametrize("wetness", ["soggy", "wet"])
def test_stop_watering_waits_for_a_likely_cause(knowledge: Knowledge, wetness: str) -> None:
    """The same leaf with and without the wet soil that makes too much water likely."""
    tree = {"crop": "lemon", "grown_in": "ground", "climate": "dry_summer", "hemisphere": "north", "age_years": 5}
    leaf = {"part": "leaf", "leaf_change": ["colour"], "colour_pattern": "even_pale"}
    raw = {"date": TODAY.isoformat(), "tree": tree, "symptoms": [leaf]}
    bare = diagnose(knowledge, look_from(raw, "a look", knowledge, TODAY))
    assert not [line for line in bare.steps_now if line.do.startswith("Stop watering")]
    wet = {"soil_at_depth": wetness, "soil_smell": "sour", "watering_every": "daily", "soil_texture": "clay"}
    told = diagnose(knowledge, look_from({**raw, "answers": wet}, "a look", knowledge, TODAY))
    assert [line for line in told.steps_now if line.do.startswith("Stop watering")]
