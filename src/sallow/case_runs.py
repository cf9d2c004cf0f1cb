"""Runs the published cases: what the first answer is, whether it is right, and how sure it was."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sallow.answers import look_from
from sallow.diagnosis import CANNOT_TELL_BELOW, weigh_look
from sallow.diagnosis.causes import confirmed
from sallow.knowledge.model import Case, Knowledge
from sallow.looks import Look
from sallow.reasoning.compile import SOMETHING_ELSE
from sallow.reasoning.weigh import Weighed
from sallow.reasoning.words import at_least, word_for

DAY_FOR_UNDATED = date(2026, 5, 1)


@dataclass(frozen=True, slots=True)
class Outcome:
    """How one case came out. ``rank`` is the place of the best right cause (1 is first; 0: not listed).
    ``others``: how many causes that are not right were called by each word of certainty.

    ``shared`` tells whether the case rests on a source that its cause also rests on. ``flagged`` are causes that
    must not be likely but are. ``right`` is the overall verdict for the kind of case.
    """

    case: Case
    crop: str
    first: str
    belief: float
    truth: tuple[str, ...]
    rank: int
    truth_belief: float
    also_found: bool
    right: bool
    shared: bool
    flagged: tuple[str, ...]
    kind: str
    ranking: tuple[tuple[str, float], ...]
    others: Mapping[str, int]


def case_look(case: Case, knowledge: Knowledge) -> Look:
    """The look of a case; an account without a date is taken on a fixed day and without a season."""
    raw = dict(case.look)
    look = look_from(raw, f"case {case.id}", knowledge, DAY_FOR_UNDATED)
    if "date" not in raw:
        look = look.with_tree("hemisphere", None)
    return look


def run_case(case: Case, knowledge: Knowledge) -> Outcome:
    """Weigh one case and compare it with what it turned out to be."""
    look = case_look(case, knowledge)
    _, weighed = weigh_look(knowledge, look)
    expect = case.expect
    truth = tuple(dict.fromkeys([*([expect["first"]] if "first" in expect else []), *expect.get("any_of", ())]))
    ranking = [(cause, belief) for cause, belief in weighed.ranking() if cause != SOMETHING_ELSE]
    order = [cause for cause, _ in ranking]
    also = tuple(expect.get("also", ()))
    # Where two causes were at work neither is the first by right: either of them in front counts.
    rank = min((order.index(cause) + 1 for cause in (*truth, *also) if cause in order), default=0)
    first, belief = ranking[0] if ranking and look.symptoms else ("", 0.0)
    flagged = tuple(c for c in expect.get("must_not", ()) if at_least(weighed.belief(c), "likely"))
    kind = kind_of(case)
    return Outcome(
        case=case,
        crop=str(look.tree.get("crop", "")),
        first=first,
        belief=belief,
        truth=truth,
        rank=rank,
        truth_belief=max((weighed.belief(cause) for cause in truth), default=0.0),
        also_found=all(cause in order[: len(also) + 2] for cause in also),
        right=verdict(kind, knowledge, look, weighed, first, rank),
        shared=shares_source(case, knowledge, truth),
        flagged=flagged,
        kind=kind,
        ranking=tuple(ranking[:5]),
        others=Counter(word_for(belief) for cause, belief in ranking if cause not in {*truth, *also}),
    )


def kind_of(case: Case) -> str:
    """cannot_tell, nothing_wrong, two_causes or one_cause."""
    if case.expect.get("cannot_tell"):
        return "cannot_tell"
    if case.expect.get("nothing_wrong"):
        return "nothing_wrong"
    return "two_causes" if case.expect.get("also") else "one_cause"


def verdict(kind: str, knowledge: Knowledge, look: Look, weighed: Weighed, first: str, rank: int) -> bool:
    """Whether the first answer is right for this kind of case."""
    belief = weighed.belief(first) if first else 0.0
    if kind == "cannot_tell":
        unsure = not at_least(belief, "likely") or belief < CANNOT_TELL_BELOW
        return (unsure or rank == 1) and not (first and confirmed(knowledge, look, weighed, first))
    if kind == "nothing_wrong":
        return rank == 1 or not first or knowledge.causes[first].kind == "normal"
    return rank == 1


def shares_source(case: Case, knowledge: Knowledge, truth: Iterable[str]) -> bool:
    """Whether the case's source is also a source of the cause it should find."""
    own = set(case.source)
    for name in truth:
        cause = knowledge.causes.get(name)
        if cause is not None:
            used = set(cause.sources).union(*(evidence.source for evidence in cause.evidence))
            if own & used:
                return True
    return False


def run_cases(knowledge: Knowledge) -> list[Outcome]:
    """All cases, in order of id."""
    return [run_case(case, knowledge) for case in knowledge.cases]


def share(outcomes: Sequence[Outcome], within: int) -> float:
    """The share of cases with a stated cause whose right cause is among the first ``within``."""
    counted = [o for o in outcomes if o.truth]
    return sum(1 for o in counted if 0 < o.rank <= within) / len(counted) if counted else 0.0
