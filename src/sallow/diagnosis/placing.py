"""Which steps are said now, and which wait until a test has spoken for their cause."""

from __future__ import annotations

from collections.abc import Sequence

from sallow.knowledge.model import Knowledge, Step
from sallow.reasoning.words import at_least
from sallow.report_model import RankedCause, StepLine

SAFE, WHERE_FOUND = "safe", "where_found"
CHANGE_NOTHING = (
    "Leave the tree as it is until a test has spoken: no feed, no spray, no cutting. Feel the soil before you water, "
    "and water only if it is dry."
)
TEST_FIRST = (
    "Do not treat it yet: do the test above first, then see 'If a test confirms it'. Until then water only if the soil "
    "is dry."
)
NO_TEST = "Do not treat it yet; nothing is likely enough. Water only if the soil is dry."


def treatable(ranked: Sequence[RankedCause]) -> frozenset[str]:
    """The causes sure enough to treat the tree for: those confirmed or likely."""
    return frozenset(cause.id for cause in ranked if cause.confirmed or at_least(cause.belief, "likely"))


def place_of(step: Step, cause: RankedCause, treated: bool, can_tell: bool) -> str | None:
    """Where a step belongs, given how sure its cause is; ``treated``: sure enough to treat the tree for it."""
    if step.when == "now":
        said = treated or step.while_unsure == SAFE or (step.while_unsure == WHERE_FOUND and can_tell)
        return "now" if said else "confirmed"
    if step.when == "not_to_do":
        return step.when
    if step.when == "confirmed":
        return "now" if cause.confirmed else "confirmed"
    if step.when == "likely":
        return "now" if treated else "confirmed"
    return None if cause.confirmed else "refuted"


def waiting(can_tell: bool, tests: bool) -> StepLine:
    """What to do while no cause is sure enough to treat the tree for."""
    words = (TEST_FIRST if tests else NO_TEST) if can_tell else CHANGE_NOTHING
    return StepLine("", "now", words, (), (), (), ())


def upstream_first(knowledge: Knowledge, ranked: Sequence[RankedCause]) -> list[RankedCause]:
    """The shown causes (the likely ones, else the first two) and what brought them on, upstream first."""
    leading = [c for c in ranked if c.confirmed or at_least(c.belief, "likely")] or [
        c for c in ranked[:2] if at_least(c.belief, "possible")
    ]
    upstream = {name for cause in leading for name in knowledge.causes[cause.id].brought_on_by}
    leading += [cause for cause in ranked if cause.id in upstream and cause not in leading]
    ids = {cause.id for cause in leading}
    return sorted(leading, key=lambda c: (bool(ids & set(knowledge.causes[c.id].brought_on_by)), ranked.index(c)))
