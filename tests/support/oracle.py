"""A plain forward-chaining engine: the oracle for the compiled one. It tries every rule again until nothing changes."""

from __future__ import annotations

from sallow.knowledge.conditions import All, Any_, Condition, Finds, Not, Some, Test
from sallow.knowledge.model import Knowledge
from sallow.reasoning.facts import OVERLOOKED, Facts

Told = set[tuple[str, bool]]


def fixpoint(knowledge: Knowledge, facts: Facts) -> Told:
    """Every (finding, True or False) that the rules tell."""
    told: Told = set()
    while True:
        new = {
            (finding.id, rule.concludes)
            for finding in knowledge.findings.values()
            for rule in finding.rules
            if holds(rule.when, True, facts, None, told)
        }
        if new <= told:
            return told
        told |= new


def holds(condition: Condition, positive: bool, facts: Facts, symptom: int | None, told: Told) -> bool:
    """Whether a condition is known to be true (or, when not ``positive``, known to be false)."""
    match condition:
        case Test(variable, values):
            value = facts.known(symptom, variable)
            return value not in (None, OVERLOOKED) and (value in values) == positive
        case Finds(finding):
            return symptom is None and (finding, positive) in told
        case Not(inner):
            return holds(inner, not positive, facts, symptom, told)
        case Some(inner):
            seen = [holds(inner, positive, facts, j, told) for j in range(len(facts.symptoms))]
            return any(seen) if positive else facts.closed and all(seen)
        case All(parts) | Any_(parts):
            seen = [holds(part, positive, facts, symptom, told) for part in parts]
            return all(seen) if isinstance(condition, All) == positive else any(seen)
