"""The rules around one cause as a tree of plain sentences, for a terminal tree or a drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sallow.knowledge.conditions import All, Any_, Condition, Finds, Not, Some, Test, findings_in
from sallow.knowledge.model import Cause, Evidence, Knowledge


@dataclass(frozen=True, slots=True)
class Branch:
    """A line of the tree and the branches below it. ``kind``: cause, heading, for, against, finding, check or alike."""

    text: str
    kind: str
    below: tuple[Branch, ...] = ()


def cause_tree(cause: Cause, knowledge: Knowledge) -> Branch:
    """Everything that leads to a cause, speaks against it, tests it, looks like it, or brings it on."""
    groups = (
        ("brought on by", tuple(_upstream(name, knowledge, frozenset()) for name in cause.brought_on_by)),
        ("speaks for it", _evidence(cause, knowledge, True)),
        ("speaks against it", _evidence(cause, knowledge, False)),
        ("tests", tuple(_check(check, cause, knowledge) for check in cause.checks)),
        (
            "looks alike",
            tuple(Branch(f"{a.cause}: {a.tell_apart}", "alike") for a in cause.look_alikes),
        ),
        ("brings on", _downstream(cause, knowledge)),
    )
    below = tuple(Branch(name, "heading", branches) for name, branches in groups if branches)
    return Branch(f"{cause.id}: {cause.name}", "cause", below)


def _evidence(cause: Cause, knowledge: Knowledge, speaks_for: bool) -> tuple[Branch, ...]:
    entries = [e for e in cause.evidence if (e.decibans > 0) == speaks_for]
    entries.sort(key=lambda e: (not e.rules_out, -abs(e.decibans), e.about))
    return tuple(
        Branch(
            f"{weight_words(entry)}: {condition_words(entry.when, knowledge)}",
            "for" if speaks_for else "against",
            tuple(_finding(name, knowledge, frozenset()) for name in sorted(findings_in(entry.when))),
        )
        for entry in entries
    )


def weight_words(evidence: Evidence) -> str:
    """'strong (10)', or 'rules it out'."""
    if evidence.rules_out:
        return "rules it out"
    word = evidence.word.replace("_", " ") if not evidence.word.replace(".", "").isdigit() else "stated"
    return f"{word} ({abs(evidence.decibans):.0f})"


def _finding(name: str, knowledge: Knowledge, seen: frozenset[str]) -> Branch:
    finding = knowledge.findings[name]
    if name in seen:
        return Branch(f"{name} (see above)", "finding")
    rules = []
    for rule in finding.rules:
        told = "when" if rule.concludes else "not when"
        deeper = tuple(_finding(other, knowledge, seen | {name}) for other in sorted(findings_in(rule.when)))
        rules.append(Branch(f"{told} {condition_words(rule.when, knowledge)}", "finding", deeper))
    return Branch(f"{name}: {finding.says}", "finding", tuple(rules))


def _upstream(name: str, knowledge: Knowledge, seen: frozenset[str]) -> Branch:
    if name in knowledge.findings:
        return _finding(name, knowledge, frozenset())
    cause = knowledge.causes.get(name)
    if cause is None or name in seen:
        return Branch(name, "cause")
    deeper = tuple(_upstream(other, knowledge, seen | {name}) for other in cause.brought_on_by)
    return Branch(f"{name}: {cause.name}", "cause", deeper)


def _downstream(cause: Cause, knowledge: Knowledge) -> tuple[Branch, ...]:
    below = [other for other in knowledge.causes.values() if cause.id in other.brought_on_by]
    return tuple(Branch(f"{other.id}: {other.name}", "cause") for other in below)


def _check(name: str, cause: Cause, knowledge: Knowledge) -> Branch:
    check = knowledge.checks[name]
    results = []
    for result in check.results:
        tells = "settles it" if cause.id in result.settles else "refutes it" if cause.id in result.refutes else ""
        if tells:
            results.append(Branch(f"{result.answer} {tells}", "check"))
    return Branch(f"{name}: {check.name} (answers {check.gives})", "check", tuple(results))


def condition_words(condition: Condition, knowledge: Knowledge) -> str:
    """A condition in the short form of the files, values in the order of the sign."""
    match condition:
        case Test(variable, values):
            return f"{variable} is {_values(variable, values, knowledge)}"
        case Finds(finding):
            return f"it seems that {finding}"
        case Not(Finds(finding)):
            return f"it seems that not {finding}"
        case Not(inner):
            return f"not ({condition_words(inner, knowledge)})"
        case Some(inner):
            return f"some odd thing with {condition_words(inner, knowledge)}"
        case All(parts):
            return " and ".join(_bracketed(part, knowledge, Any_) for part in parts)
        case Any_(parts):
            return " or ".join(_bracketed(part, knowledge, All) for part in parts)


def _bracketed(condition: Condition, knowledge: Knowledge, kind: type) -> str:
    words = condition_words(condition, knowledge)
    return f"({words})" if isinstance(condition, kind) else words


def _values(variable: str, values: frozenset[str], knowledge: Knowledge) -> str:
    if variable.startswith("event."):
        return _window(variable.removeprefix("event."), values, knowledge)
    sign = knowledge.signs.get(variable)
    order: Mapping[str, object] = sign.answers if sign else {}
    listed = [value for value in order if value in values] + sorted(values - set(order))
    return listed[0] if len(listed) == 1 else "one of " + ", ".join(listed)


def _window(event: str, values: frozenset[str], knowledge: Knowledge) -> str:
    labels = (*knowledge.events[event].labels, "longer ago or never")
    numbers = sorted(int(value.removeprefix("w")) for value in values)
    return f"within {labels[numbers[-1]]}" if numbers[0] == 0 else labels[numbers[0]]
