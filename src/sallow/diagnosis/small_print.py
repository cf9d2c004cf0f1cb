"""What would change the order, sources, marks and the honest lines."""

from __future__ import annotations

from collections.abc import Sequence

from sallow.knowledge.model import Knowledge
from sallow.phrases import answer_words, capital, lower_first, question_words
from sallow.reasoning.turn import Change, changes
from sallow.reasoning.weigh import Scales, Weighed
from sallow.report_model import RankedCause, SourceLine

# The effort up to which the report names answers that would change the order (no laboratory, no trial).
REPORTED_EFFORT = 5.0
MOST_CHANGES = 1
# More answers than this at once are no use to a reader: they are not named.
MOST_ANSWERS_NAMED = 2
MARK_WORDS = {
    "published": "published",
    "second_hand": "read in a copy or digest",
    "common_practice": "what growers usually do and say; no single source",
    "memory": "not yet checked against a source",
    "judgement": "our own",
    "computed": "worked out here",
}


def change_lines(
    knowledge: Knowledge,
    scales: Scales,
    weighed: Weighed,
    asked: frozenset[tuple[int | None, str]],
    hardest: float = REPORTED_EFFORT,
    most: int = MOST_CHANGES,
) -> tuple[str, ...]:
    """The shortest sets of one or two answers that would change the order, in words (no question of more effort)."""
    return tuple(
        change_words(knowledge, change, len(weighed.symptoms) > 1)
        for change in changes(scales, weighed, asked, hardest, most)
        if len(change.answers) <= MOST_ANSWERS_NAMED
    )


def change_words(knowledge: Knowledge, change: Change, several: bool) -> str:
    """A set of answers and the cause it would put first, in words; ``several``: there is more than one odd thing."""
    told = []
    for question, value in change.answers:
        where = f"For odd thing {question.symptom + 1}: " if several and question.symptom is not None else ""
        answer = answer_words(knowledge, question.sign, value)
        ticked = question.sign in knowledge.signs and knowledge.signs[question.sign].kind == "several"
        asked = question_words(knowledge, question.sign)
        told.append(f"the answer to '{where}{asked}' were '{answer}'{' and nothing else' if ticked else ''}")
    first = lower_first(knowledge.causes[change.cause].name)
    if len(told) == 1:
        return f"If {told[0]}, {first} would come first."
    return f"{capital(first)} would come first only if {' and '.join(map(lower_first, told))}."


def sources_used(knowledge: Knowledge, shown: Sequence[RankedCause]) -> tuple[SourceLine, ...]:
    """The sources behind the shown causes and their reasons."""
    ids: dict[str, None] = {}
    for cause in shown:
        for item in (*cause.grounds_for, *cause.grounds_against, *cause.missing):
            ids.update(dict.fromkeys(item.source))
        ids.update(dict.fromkeys(knowledge.causes[cause.id].sources))
    lines = [knowledge.sources[key] for key in ids if key in knowledge.sources]
    return tuple(
        SourceLine(s.id, s.cite, s.address, s.second_hand)
        for s in lines
        if s.id not in ("common_practice", "judgement", "from_memory")
    )


def marks_used(shown: Sequence[RankedCause]) -> tuple[str, ...]:
    """The marks other than 'published' that the shown reasons carry, explained."""
    marks = {item.mark for cause in shown for item in (*cause.grounds_for, *cause.grounds_against, *cause.missing)}
    carried = [mark for mark in MARK_WORDS if mark in marks and mark != "published"]
    return tuple(f"[{mark.replace('_', ' ')}]: {MARK_WORDS[mark]}." for mark in carried)


def honest_lines() -> tuple[str, ...]:
    """What this result rests on, said plainly."""
    return (
        "Worked out from your words; a person who can look, touch and smell sees more.",
        "Labels, local rules and licensed people come first; sources were mostly read in part.",
    )
