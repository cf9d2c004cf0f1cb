"""Explains a weighed look: reasons for and against, and chains down to the answers."""

from __future__ import annotations

from functools import partial
from math import log10

from sallow.knowledge.conditions import All, Any_, Condition, Finds, Not, Some, Test, variables_in
from sallow.knowledge.model import Evidence
from sallow.reasoning.chain import holds
from sallow.reasoning.facts import Facts, not_concluded, not_seen, truth
from sallow.reasoning.weigh import Scales, Weighed
from sallow.values import dataclass


@dataclass(frozen=True, slots=True)
class Reason:
    """A piece of evidence that counts: ``decibans`` as discounted (negative speaks against), of which symptom."""

    evidence: Evidence
    decibans: float
    symptom: int | None


@dataclass(frozen=True, slots=True)
class Support:
    """What a true condition rests on: answers given, and findings with their own supports."""

    answers: tuple[tuple[int | None, str], ...]
    findings: tuple[FindingSupport, ...]


@dataclass(frozen=True, slots=True)
class FindingSupport:
    """One rule that told a finding true (or false), and what it rests on."""

    finding: str
    concludes: bool
    because: str
    source: tuple[str, ...]
    mark: str
    support: Support


def reasons(scales: Scales, weighed: Weighed, cause: str) -> list[Reason]:
    """The evidence of a cause that holds in this look, weightiest first; one entry per clue and direction."""
    candidate = scales.base.candidates[weighed.causes.index(cause)]
    kept: dict[tuple[str, bool, int | None], Reason] = {}
    for evidence in candidate.cause.evidence:
        if evidence.rules_out:
            continue
        for symptom in _scopes(scales, weighed, evidence):
            if holds(evidence.when, weighed.facts, weighed.conclusions, symptom):
                reason = Reason(evidence, evidence.decibans * weighed.discount, symptom)
                key = (evidence.about, reason.decibans > 0, symptom)
                if key not in kept or _weightier(reason, kept[key]):
                    kept[key] = reason
    # A clue of the whole tree that outweighs the same clue on one odd thing stands for both.
    for about, speaks_for, symptom in list(kept):
        whole = kept.get((about, speaks_for, None))
        if symptom is not None and whole and abs(whole.decibans) > abs(kept[about, speaks_for, symptom].decibans):
            del kept[about, speaks_for, symptom]
    return sorted(
        kept.values(),
        key=lambda r: (-abs(r.decibans), r.evidence.about, -1 if r.symptom is None else r.symptom),
    )


def _weightier(one: Reason, other: Reason) -> bool:
    """Whether one reason stands for its clue rather than another; of equal weight, the first by its words."""
    weights = abs(one.decibans), abs(other.decibans)
    return weights[0] > weights[1] or (weights[0] == weights[1] and one.evidence.because < other.evidence.because)


def missing(scales: Scales, weighed: Weighed, cause: str) -> list[Reason]:
    """The weighty evidence for a cause that was asked and denied, weightiest first: not what was never asked, nor
    what cannot be on this kind of tree in this place."""
    candidate = scales.base.candidates[weighed.causes.index(cause)]
    found: dict[str, Reason] = {}
    for evidence in candidate.cause.evidence:
        if evidence.rules_out or evidence.decibans < 6 or _only_what_is_odd(scales, evidence):
            continue
        scopes = _scopes(scales, weighed, evidence)
        if scopes and all(denied(evidence.when, weighed.told, s) for s in scopes):
            reason = Reason(evidence, evidence.decibans, scopes[0])
            if evidence.about not in found or _weightier(reason, found[evidence.about]):
                found[evidence.about] = reason
    held = {reason.evidence.about for reason in reasons(scales, weighed, cause) if reason.decibans > 0}
    return sorted(
        (r for r in found.values() if r.evidence.about not in held),
        key=lambda r: (-r.decibans, r.evidence.about),
    )


def _only_what_is_odd(scales: Scales, evidence: Evidence) -> bool:
    """Whether evidence rests on nothing but the list of what is odd: what was not ticked is not missing."""
    signs = [scales.base.knowledge.signs.get(name.split(".", 1)[0]) for name in variables_in(evidence.when)]
    return bool(signs) and all(sign is not None and sign.kind == "several" and sign.core == 1 for sign in signs)


def denied(condition: Condition, told: Facts, symptom: int | None) -> bool:
    """Whether a condition is false by what was told, and not already by crop, climate, season and place."""
    place = Facts(told.context, closed=False)
    here = truth(condition, partial(place.known, None), not_concluded, not_seen)
    return here is not False and truth(condition, partial(told.known, symptom), not_concluded, not_seen) is False


def unknown(scales: Scales, weighed: Weighed, cause: str) -> list[Reason]:
    """The weighty evidence for or against a cause that is not known yet."""
    candidate = scales.base.candidates[weighed.causes.index(cause)]
    return [
        Reason(evidence, evidence.decibans, symptom)
        for evidence in sorted(candidate.cause.evidence, key=lambda e: (-abs(e.decibans), e.about, e.because))
        for symptom in _scopes(scales, weighed, evidence)[:1]
        if abs(evidence.decibans) >= 6 and holds(evidence.when, weighed.facts, weighed.conclusions, symptom) is None
    ]


def _scopes(scales: Scales, weighed: Weighed, evidence: Evidence) -> list[int | None]:
    names = variables_in(evidence.when)
    of_symptom = any(
        name == "part_is" or (name in scales.base.variables and scales.base.variables[name].of_symptom)
        for name in names
    )
    if not of_symptom or any(isinstance(part, Some) for part in _parts(evidence.when)):
        return [None]
    parts = {scales.base.variables[name].part for name in names if name in scales.base.variables} - {"any", "tree", ""}
    symptoms = weighed.facts.symptoms
    return [j for j in range(len(symptoms)) if not parts or symptoms[j].get("part_is") in parts]


def _parts(condition: Condition) -> list[Condition]:
    match condition:
        case All(parts) | Any_(parts):
            return [inner for part in parts for inner in _parts(part)]
        case Not(inner):
            return _parts(inner)
        case _:
            return [condition]


def effective_decibans(weighed: Weighed, cause: str) -> float:
    """10 log10 of the product of a cause's likelihood ratios, tree and symptoms together."""
    index = weighed.causes.index(cause)
    total = weighed.tree[index]
    for row in weighed.symptoms:
        total *= row[index]
    return 10 * log10(total) if total > 0 else float("-inf")


def support(
    scales: Scales, weighed: Weighed, condition: Condition, symptom: int | None, positive: bool = True
) -> Support:
    """What makes a condition true (or false, when not ``positive``): answers and findings, down to the bottom."""
    match condition:
        case Test(variable, _):
            return Support(((symptom, variable),), ())
        case Finds(finding):
            return Support((), tuple(finding_support(scales, weighed, finding, positive)))
        case Not(inner):
            return support(scales, weighed, inner, symptom, not positive)
        case Some(inner):
            where = next(
                (j for j in range(len(weighed.facts.symptoms)) if holds(inner, weighed.facts, weighed.conclusions, j)),
                None,
            )
            return support(scales, weighed, inner, where, positive)
        case All(parts) | Any_(parts):
            wanted = [p for p in parts if holds(p if positive else Not(p), weighed.facts, weighed.conclusions, symptom)]
            if isinstance(condition, Any_) == positive:
                wanted = wanted[:1]
            inner_supports = [support(scales, weighed, part, symptom, positive) for part in wanted]
            return Support(
                tuple(dict.fromkeys(answer for s in inner_supports for answer in s.answers)),
                tuple(dict.fromkeys(finding for s in inner_supports for finding in s.findings)),
            )


def finding_support(scales: Scales, weighed: Weighed, finding: str, concludes: bool) -> list[FindingSupport]:
    """The rules that told a finding true or false, each with what it rests on."""
    rules = scales.base.knowledge.findings[finding].rules
    found = []
    for fired in weighed.conclusions.rules_for(finding, concludes):
        rule = rules[fired.index]
        found.append(
            FindingSupport(
                finding,
                concludes,
                rule.because,
                rule.source,
                rule.mark,
                support(scales, weighed, rule.when, None),
            )
        )
    return found


def answers_behind(item: Support) -> tuple[tuple[int | None, str], ...]:
    """Every answer below a support."""
    deeper = [answer for finding in item.findings for answer in answers_behind(finding.support)]
    return tuple(dict.fromkeys((*item.answers, *deeper)))
