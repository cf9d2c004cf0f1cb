"""What a person may ask amid the questions of ``sallow feed``: why, what it looks like so far, what would change it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from sallow.care.feeding import Plan, wording
from sallow.commands.numbered import Asides

if TYPE_CHECKING:
    from sallow.commands.feed_facts import Facts
    from sallow.commands.feed_questions import Question

Decide = Callable[["Facts"], Plan]
MOST_LINES = 8


def asides(facts: Facts, rounds: Sequence[Sequence[Question]], decide: Decide) -> Asides:
    """The answers to s and m with what is known now."""
    return Asides(lambda: so_far_lines(facts, decide), lambda: change_lines(facts, rounds, decide))


def so_far_lines(facts: Facts, decide: Decide) -> list[str]:
    """The decision as it stands, with its reasons."""
    plan = decide(facts)
    return [wording.headline(plan), *wording.reasons(plan)][:MOST_LINES]


def change_lines(facts: Facts, rounds: Sequence[Sequence[Question]], decide: Decide) -> list[str]:
    """The answers still to give that would change the decision."""
    open_questions = [question for questions in rounds for question in questions if question.is_open(facts)]
    lines = [line for question in open_questions for line in _moved(question, facts, decide)]
    return lines[:MOST_LINES] or ["No single answer that is left to give would change the decision."]


def why_lines(question: Question, facts: Facts, decide: Decide) -> list[str]:
    """What the question is for, and which of its answers would change the decision."""
    return [question.why, *_moved(question, facts, decide)][: MOST_LINES + 1]


def _moved(question: Question, facts: Facts, decide: Decide) -> list[str]:
    now = wording.headline(decide(facts))
    lines = []
    for key, words in question.choices:
        then = wording.headline(decide(question.answered(facts, key)))
        if then != now:
            lines.append(f"'{words}' ({question.short}) would make it: {then}")
    return lines
