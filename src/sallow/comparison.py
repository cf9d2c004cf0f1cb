"""What a change of the knowledge does: rankings, words, next questions and steps, look by look, and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from random import Random
from typing import Any

from sallow.answers import look_from
from sallow.case_runs import case_look, run_case
from sallow.diagnosis import scales_for
from sallow.errors import BadInput
from sallow.knowledge.model import Case, Knowledge
from sallow.look_facts import facts_of
from sallow.looks import Look
from sallow.reasoning.ask import Asker
from sallow.reasoning.compile import SOMETHING_ELSE
from sallow.reasoning.explain import reasons
from sallow.reasoning.weigh import Scales, Weighed
from sallow.reasoning.words import word_for

SEED = 20260501
DAY = date(2026, 5, 1)
# Changes of belief below this are not worth a line of 'why'.
NOTICEABLE = 0.02


@dataclass(frozen=True, slots=True)
class Told:
    """What one knowledge base says of one look: the first causes with their words, the next question, the steps."""

    ranking: tuple[tuple[str, str], ...]
    beliefs: Mapping[str, float]
    question: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One look of which the two bases say different things. ``what`` names what differs, ``why`` gives reasons;
    ``worse`` and ``better`` tell whether a published case came out right before and not now, or the other way."""

    name: str
    before: Told
    after: Told
    what: tuple[str, ...]
    why: tuple[str, ...]
    worse: bool = False
    better: bool = False


@dataclass(frozen=True, slots=True)
class Comparison:
    """All changes, those that make a published case worse first; ``looked_at`` counts cases and looks compared."""

    changes: tuple[Change, ...]
    cases: int
    looks: int
    left_out: tuple[str, ...]


def compare(base: Knowledge, new: Knowledge, looks: int = 60) -> Comparison:
    """Compare over every case of the new base and a fixed sample of looks drawn from the old base's causes."""
    changes: list[Change] = []
    left_out: list[str] = []
    cases = 0
    for case in new.cases:
        try:
            changes += _case_change(base, new, case)
            cases += 1
        except BadInput:
            left_out.append(case.id)
    sample = list(sample_looks(base, looks))
    compared = 0
    for name, raw in sample:
        try:
            pair = tuple(look_from(raw, name, knowledge, DAY) for knowledge in (base, new))
        except BadInput:
            left_out.append(name)
            continue
        compared += 1
        changes += _look_change(name, (base, pair[0]), (new, pair[1]))
    changes.sort(key=lambda change: (not change.worse, not change.better, change.name))
    return Comparison(tuple(changes), cases, compared, tuple(left_out))


def _case_change(base: Knowledge, new: Knowledge, case: Case) -> list[Change]:
    before, after = case_look(case, base), case_look(case, new)
    found = _look_change(f"case {case.id}", (base, before), (new, after))
    was, now = run_case(case, base), run_case(case, new)
    # Falling behind counts as worse also where the right cause was not first before.
    order = [outcome.rank if outcome.rank else 1000 for outcome in (was, now)]
    worse = (was.right and not now.right) or order[1] > order[0]
    better = (now.right and not was.right) or order[1] < order[0]
    if not found and not (worse or better):
        return []
    change = found[0] if found else Change(f"case {case.id}", _told(base, before)[0], _told(new, after)[0], (), ())
    what = (*change.what, f"place of the right cause: {was.rank or 'not listed'} -> {now.rank or 'not listed'}")
    kept = what if was.rank != now.rank else change.what
    return [Change(change.name, change.before, change.after, kept, change.why, worse, better)]


def _look_change(name: str, base: tuple[Knowledge, Look], new: tuple[Knowledge, Look]) -> list[Change]:
    before, old_scales, old_weighed = _told(*base)
    after, new_scales, new_weighed = _told(*new)
    what = tuple(_differences(before, after))
    if not what:
        return []
    why = tuple(_why(before, after, (old_scales, old_weighed), (new_scales, new_weighed)))
    return [Change(name, before, after, what, why)]


def _told(knowledge: Knowledge, look: Look) -> tuple[Told, Scales, Weighed]:
    scales = scales_for(knowledge, look)
    weighed = scales.weigh(facts_of(look, knowledge))
    ranking = [(cause, belief) for cause, belief in weighed.ranking() if cause != SOMETHING_ELSE]
    question = Asker(scales, weighed, frozenset()).next() if look.symptoms else None
    leader = knowledge.causes[ranking[0][0]] if ranking else None
    return (
        Told(
            tuple((cause, word_for(belief)) for cause, belief in ranking[:3]),
            dict(ranking),
            question.sign if question else "",
            tuple(f"{step.when}: {step.do}" for step in leader.steps) if leader else (),
        ),
        scales,
        weighed,
    )


def _differences(before: Told, after: Told) -> Iterator[str]:
    if [cause for cause, _ in before.ranking] != [cause for cause, _ in after.ranking]:
        yield f"ranking: {_ranked(before)} -> {_ranked(after)}"
    elif before.ranking != after.ranking:
        yield f"words: {_ranked(before)} -> {_ranked(after)}"
    if before.question != after.question:
        yield f"next question: {before.question or 'none'} -> {after.question or 'none'}"
    gone = [step for step in before.steps if step not in after.steps]
    come = [step for step in after.steps if step not in before.steps]
    if gone or come:
        yield f"steps: {len(gone)} gone, {len(come)} new" + (f" (new: {come[0]})" if come else "")


def _ranked(told: Told) -> str:
    return ", ".join(f"{cause} ({word})" for cause, word in told.ranking)


def _why(before: Told, after: Told, old: tuple[Scales, Weighed], new: tuple[Scales, Weighed]) -> Iterator[str]:
    """The causes whose belief moved most, with the evidence that weighs otherwise than before."""
    causes = sorted({*before.beliefs, *after.beliefs})
    moved = {cause: after.beliefs.get(cause, 0.0) - before.beliefs.get(cause, 0.0) for cause in causes}
    for cause in sorted(causes, key=lambda name: (-abs(moved[name]), name))[:2]:
        if abs(moved[cause]) < NOTICEABLE:
            continue
        if cause not in before.beliefs or cause not in after.beliefs:
            yield f"{cause} is {'new' if cause not in before.beliefs else 'gone'} ({moved[cause]:+.0%})"
            continue
        yield f"{cause} {moved[cause]:+.0%}: {'; '.join(_reasons(cause, old, new)) or 'others moved'}"


def _reasons(cause: str, old: tuple[Scales, Weighed], new: tuple[Scales, Weighed]) -> Iterator[str]:
    weights = [
        {reason.evidence.because: reason.evidence.decibans for reason in reasons(scales, weighed, cause)}
        for scales, weighed in (old, new)
    ]
    for because in sorted({*weights[0], *weights[1]}):
        was, now = weights[0].get(because, 0.0), weights[1].get(because, 0.0)
        if was != now:
            yield f"'{because}' {was:+.0f} -> {now:+.0f}"
    shares = [scales.priors[scales.causes.index(cause)] for scales, _ in (old, new)]
    if abs(shares[0] - shares[1]) > 0.1 * max(shares):
        yield f"beforehand {shares[0]:.1%} -> {shares[1]:.1%}"


def sample_looks(knowledge: Knowledge, count: int) -> Iterator[tuple[str, dict[str, Any]]]:
    """A fixed sample: typical looks and near misses, each with some answers left out. Same knowledge, same sample."""
    random = Random(SEED)
    pool = [
        (f"look {cause.id} {kind}", dict(raw))
        for cause in knowledge.causes.values()
        for kind, raw in (("typical", cause.typical), ("near_miss", cause.near_miss))
        if raw
    ]
    random.shuffle(pool)
    for name, raw in pool[:count]:
        raw.pop("first", None)
        yield name, _thinned(raw, random)


def _thinned(raw: dict[str, Any], random: Random) -> dict[str, Any]:
    """The look with about a quarter of its answers left out."""
    kept = dict(raw)
    kept["answers"] = {key: value for key, value in raw.get("answers", {}).items() if random.random() > 0.25}
    kept["symptoms"] = [
        {key: value for key, value in symptom.items() if key == "part" or random.random() > 0.25}
        for symptom in raw.get("symptoms", ())
    ]
    return kept
