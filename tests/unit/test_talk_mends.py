"""Small things of the talk: true reasons, no verdict before a sign, a count that a person would make, plain output."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from sallow.cli import main
from sallow.environment import Environment
from sallow.interview.asides import so_far_lines, why_lines
from sallow.interview.keep import kept_words
from sallow.interview.session import Key, Session, State, start
from sallow.knowledge.model import Knowledge

DAY = date(2026, 5, 20)
OPENING = ("pear", "4", "ground", "mild", "dry", "moderate", "south", "", "nothing", "fair")


def told(session: Session, *answers: object) -> State:
    """A look after the opening questions and further answers."""
    state = start(DAY)
    for value in (*OPENING, *answers):
        prompt = session.next_prompt(state)
        assert prompt is not None
        state = session.answer(state, prompt.key, value)  # type: ignore[arg-type]
    return state


def test_every_opening_question_tells_a_reason_of_its_own(knowledge: Knowledge) -> None:
    session, state, reasons = Session(knowledge), start(DAY), {}
    for value in OPENING:
        prompt = session.next_prompt(state)
        assert prompt is not None
        reasons[prompt.key.id or prompt.key.kind] = why_lines(session, state, prompt.key)[0]
        state = session.answer(state, prompt.key, value)
    assert "season" in reasons["hemisphere"] and "season" in reasons["date"]
    assert "season" not in reasons["grown_in"] and "pot" in reasons["grown_in"]
    climate = {reasons.pop(key) for key in ("winters", "summers", "heat")}
    assert len(climate) == 1 and len(set(reasons.values())) == len(reasons)


def test_nothing_is_called_possible_before_a_sign_of_the_part(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    assert so_far_lines(session, told(session, "leaf")) == ["Nothing stands out yet."]
    assert so_far_lines(session, told(session, "leaf", "not_sure")) == ["Nothing stands out yet."]


def test_a_list_of_causes_that_are_all_unlikely_is_not_told(knowledge: Knowledge) -> None:
    session, seen = Session(knowledge), set()
    for part in ("leaf", "fruit", "whole", "bark", "shoot"):
        state = told(session, part)
        for _ in range(4):
            prompt = session.next_prompt(state)
            if prompt is None or prompt.key.kind != "sign":
                break
            value = prompt.options[0][0]
            state = session.answer(state, prompt.key, (value,) if prompt.kind == "several" else value)
            lines = so_far_lines(session, state)
            assert lines == ["Nothing stands out yet."] or not lines[0].startswith("unlikely")
            seen.add(lines[0].split(":")[0])
    assert len(seen) > 1


@pytest.mark.parametrize("crop", ["lemon", "peach", "avocado"])
def test_an_answer_speaks_only_for_a_cause_whose_evidence_names_it(knowledge: Knowledge, crop: str) -> None:
    session = Session(knowledge)
    state = told(session, "whole", "thin")
    state = replace(state, look=state.look.with_tree("crop", crop))
    lines = why_lines(session, state, Key("sign", "trunk_base"))
    speaking = [line for line in lines if "speak for" in line]
    assert speaking, "the trunk base says something"
    gum_rots = [cause.name.lower() for key, cause in knowledge.causes.items() if key in ("phytophthora_gummosis",)]
    for line in speaking:
        if line.startswith(("'holes", "'tooth", "'wire", "'an old")):
            assert not any(name in line.split(" and speak against")[0].lower() for name in gum_rots), line


def test_an_answer_given_twice_counts_once(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    state = told(session, "leaf")
    assert kept_words(state, knowledge).endswith(f"{len(OPENING) + 1} answers")
    changed = session.answer(state, Key("word", "grown_in"), "pot")
    assert kept_words(changed, knowledge) == kept_words(state, knowledge)
    assert kept_words(replace(state, log=()), knowledge) == kept_words(state, knowledge)


def test_plain_sends_no_codes_to_a_terminal_with_colours(surroundings: Callable[..., Environment]) -> None:
    environment = replace(surroundings("pear\n4\n1\n2\n2\n1\n\n1\n2\n1\n1\nf\n\n"), colours=256, watched=True)
    assert main(["look", "--plain"], environment) == 0
    assert isinstance(environment.stdout, io.StringIO)
    printed = environment.stdout.getvalue()
    assert "How far to trust this" in printed and "\x1b" not in printed
