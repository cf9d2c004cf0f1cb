"""Faults of evidence: what it speaks of, how weighty it comes out, and whether look-alikes can be told apart."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sallow.knowledge.conditions import CONTEXT, All, Any_, Condition, Finds, Not, Some, Test
from sallow.knowledge.model import WEIGHTS, Cause
from sallow.knowledge.review.subject import Subject
from sallow.reasoning.apart import NOTEWORTHY, Tables, tables_of, told_apart
from sallow.reasoning.compile import Component, compiler_for
from sallow.reasoning.variables import variables_of

WEAK_MARKS = {"memory": "from memory", "judgement": "our own judgement"}


def review(subject: Subject) -> None:
    """Look over every cause's evidence, then over pairs of look-alikes."""
    tree = {name for name, variable in variables_of(subject.knowledge).items() if not variable.of_symptom}
    for cause, index, evidence in subject.evidence():
        path = ("evidence", index, "when")
        scopes = set(_scopes(evidence.when, tree))
        if scopes >= {"symptom", "tree"}:
            subject.say(
                "cause", cause.id, path, "mixed-scope", "this mixes signs of the odd part with the whole tree's"
            )
        if not scopes and not evidence.rules_out:
            subject.say("cause", cause.id, path, "context-only", "this speaks of place, season or crop alone")
        if evidence.mark in WEAK_MARKS and abs(evidence.decibans) > WEIGHTS["moderate"] and not evidence.rules_out:
            subject.say(
                "cause",
                cause.id,
                ("evidence", index, "weight"),
                "weak-mark-strong-weight",
                f"'{evidence.word}' is too much for a claim that is {WEAK_MARKS[evidence.mark]}",
                "slight or moderate, or a source",
            )
    for cause in subject.knowledge.causes.values():
        if not any(evidence.decibans < 0 for evidence in cause.evidence):
            subject.say("cause", cause.id, ("evidence",), "nothing-against", f"nothing can speak against '{cause.id}'")
        _confirming(subject, cause)
    tables = {cause.id: _weights(subject, cause) for cause in subject.knowledge.causes.values()}
    _look_alikes(subject, tables)


def _scopes(condition: Condition, tree: set[str]) -> Iterator[str]:
    match condition:
        case Test(variable, _):
            if variable not in CONTEXT:
                yield "tree" if variable in tree else "symptom"
        case Finds(_) | Some(_):
            yield "tree"
        case Not(inner):
            yield from _scopes(inner, tree)
        case All(parts) | Any_(parts):
            for part in parts:
                yield from _scopes(part, tree)


def _confirming(subject: Subject, cause: Cause) -> None:
    checks = [subject.knowledge.checks[check] for check in cause.checks]
    read = {test.split(".")[0] for evidence in cause.evidence for test in read_signs(subject, evidence.when)}
    for check in checks:
        settles = any(cause.id in (*result.settles, *result.refutes) for result in check.results)
        if settles or check.gives in read:
            return
    subject.say(
        "cause",
        cause.id,
        ("checks",),
        "no-confirming-test",
        f"no check of '{cause.id}' gives an answer it is judged by",
    )


def read_signs(subject: Subject, condition: Condition) -> set[str]:
    """Every variable that a condition rests on, findings followed."""

    def walk(this: Condition, seen: frozenset[str]) -> set[str]:
        match this:
            case Test(variable, _):
                return {variable}
            case Finds(finding):
                if finding in seen:
                    return set()
                rules = subject.knowledge.findings[finding].rules
                return set().union(*(walk(rule.when, seen | {finding}) for rule in rules))
            case Not(inner) | Some(inner):
                return walk(inner, seen)
            case All(parts) | Any_(parts):
                return set().union(*(walk(part, seen) for part in parts))

    return walk(condition, frozenset())


# -- weights -----------------------------------------------------------------------------------------------------


def _own_context(subject: Subject, cause: Cause) -> dict[str, str]:
    """A context in which most of a cause's evidence is in force: one of its crops."""
    crops = subject.knowledge.crops
    first = next((crop for crop in cause.crops if crop in crops), None)
    if first is None:
        first = next((crop.id for crop in crops.values() if crop.group in cause.crops), None)
    return {"crop": first} if first else {}


def _weights(subject: Subject, cause: Cause) -> dict[str, dict[str, float]]:
    components = compiler_for(subject.knowledge, _own_context(subject, cause)).components(cause)
    for component in components:
        shift = _shift(component)
        if shift <= -NOTEWORTHY:
            _say_shift(subject, cause, component, shift)
    return tables_of(components)


def _shift(component: Component) -> float:
    """How many decibans the leaves that speak for a cause lose (negative) against what is stated."""
    leaves = zip(component.diagram.leaves, component.weights, strict=True)
    return min((weight - leaf for leaf, weight in leaves if leaf > 0), default=0.0)


def _say_shift(subject: Subject, cause: Cause, component: Component, shift: float) -> None:
    variables = set(component.diagram.variables)
    for index, evidence in enumerate(cause.evidence):
        if evidence.decibans <= 0 or not read_signs(subject, evidence.when) & variables:
            continue
        left = evidence.decibans + shift
        code = "weight-turned-round" if left <= 0 else "weight-not-reached"
        subject.say(
            "cause",
            cause.id,
            ("evidence", index, "weight"),
            code,
            f"stated {evidence.decibans:.0f} decibans come out as {left:.1f}",
            "rarer answers, or a lower weight",
        )


def _look_alikes(subject: Subject, tables: Mapping[str, Tables]) -> None:
    for cause in subject.knowledge.causes.values():
        for index, alike in enumerate(cause.look_alikes):
            if alike.cause not in tables or alike.cause == cause.id:
                continue
            if not told_apart(tables[cause.id], tables[alike.cause]):
                subject.say(
                    "cause",
                    cause.id,
                    ("look_alikes", index, "cause"),
                    "look-alikes-not-separated",
                    f"no question tells '{cause.id}' from '{alike.cause}'",
                    "evidence that differs",
                )
