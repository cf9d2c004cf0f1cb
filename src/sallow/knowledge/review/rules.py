"""Faults of rules among rules: redundant, conflicting, subsumed, needless, circular, dead ends, out of reach.

The classes follow Suwa, Scott and Shortliffe (1982) and Nguyen, Perkins, Laffey and Pecora (1987).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from sallow.knowledge.conditions import All, Any_, Condition, Not, Some, Test, findings_in
from sallow.knowledge.model import Cause
from sallow.knowledge.review.forms import Form, domain_of, implies, merged_variable, same
from sallow.knowledge.review.subject import Path, Subject


@dataclass(frozen=True, slots=True)
class _Rule:
    """A rule made comparable: what it concludes (``says``), how weightily, and under which clue."""

    kind: str
    owner: str
    path: Path
    forms: list[Form]
    says: str
    weight: float
    clue: str


def review(subject: Subject) -> None:
    """Compare the rules of each finding and of each cause with one another."""
    for finding in subject.knowledge.findings.values():
        rules = [
            _Rule("finding", finding.id, ("rules", i), subject.forms(r.when), "yes" if r.concludes else "no", 1.0, "")
            for i, r in enumerate(finding.rules)
        ]
        _compare(subject, rules)
    for cause in subject.knowledge.causes.values():
        _compare(subject, _evidence_rules(subject, cause))
    _circles(subject)
    _reach(subject)
    for cause in subject.knowledge.causes.values():
        for index, evidence in enumerate(cause.evidence):
            _open_tests(subject, "cause", cause.id, ("evidence", index, "when"), evidence.when)
    for finding, index, rule in subject.rules():
        _open_tests(subject, "finding", finding.id, ("rules", index, "when"), rule.when)


def _evidence_rules(subject: Subject, cause: Cause) -> list[_Rule]:
    found = []
    for index, e in enumerate(cause.evidence):
        says = "out" if e.rules_out else "for" if e.decibans > 0 else "against"
        clue = "" if e.rules_out else e.about
        found.append(_Rule("cause", cause.id, ("evidence", index), subject.forms(e.when), says, abs(e.decibans), clue))
    return found


def _compare(subject: Subject, rules: Sequence[_Rule]) -> None:
    for first, second in combinations(rules, 2):
        alike = same(first.forms, second.forms)
        if alike and first.says == second.says and first.clue == second.clue and first.weight == second.weight:
            _say(subject, second, "redundant-rule", f"says what {_at(subject, first)} says already")
        elif alike and {first.says, second.says} in ({"yes", "no"}, {"for", "against"}):
            _say(subject, second, "conflicting-rules", f"contradicts {_at(subject, first)} on the same condition")
        elif first.says == second.says and first.clue == second.clue:
            _compare_width(subject, first, second)


def _compare_width(subject: Subject, first: _Rule, second: _Rule) -> None:
    for narrow, wide in ((first, second), (second, first)):
        if narrow.weight <= wide.weight and implies(narrow.forms, wide.forms):
            _say(subject, narrow, "subsumed-rule", f"never counts beside the wider rule at {_at(subject, wide)}")
            return
    variable = merged_variable(first.forms, second.forms, subject.domains)
    if variable and first.weight == second.weight:
        _say(
            subject,
            second,
            "needless-condition",
            f"with {_at(subject, first)} it allows every answer of '{variable}'",
        )


def _say(subject: Subject, rule: _Rule, code: str, message: str) -> None:
    subject.say(rule.kind, rule.owner, (*rule.path, "when"), code, f"the rule {message}")


def _at(subject: Subject, rule: _Rule) -> str:
    return subject.place(rule.kind, rule.owner, rule.path)


def _open_tests(subject: Subject, kind: str, owner: str, path: Path, condition: Condition) -> None:
    """Tests that allow every answer."""
    for test in _tests(condition):
        if test.values >= domain_of(test.variable, subject.domains):
            subject.say(
                kind,
                owner,
                path,
                "needless-condition",
                f"every answer of '{test.variable}' is allowed, so it asks nothing",
            )


def _tests(condition: Condition) -> list[Test]:
    match condition:
        case Test():
            # An event without a window asks whether it happened at all, never for every answer.
            return [condition]
        case Not(inner) | Some(inner):
            return _tests(inner)
        case All(parts) | Any_(parts):
            return [test for part in parts for test in _tests(part)]
        case _:
            return []


def _circles(subject: Subject) -> None:
    reads = {
        name: sorted(set().union(*(findings_in(rule.when) for rule in finding.rules)))
        for name, finding in subject.knowledge.findings.items()
    }
    done: set[str] = set()

    def walk(name: str, trail: tuple[str, ...]) -> None:
        if name in trail:
            circle = trail[trail.index(name) :]
            first = min(circle)
            if first not in done:
                done.add(first)
                chain = " rests on ".join(f"'{each}'" for each in (*circle, name))
                subject.say("finding", first, ("finding",), "circular-findings", f"a circle: {chain}")
            return
        for other in reads.get(name, ()):
            if name not in done:
                walk(other, (*trail, name))

    for name in sorted(reads):
        walk(name, ())


def _reach(subject: Subject) -> None:
    """Dead ends and entries that nothing can lead to; findings first, since rules rest on them."""
    reached = _reached_findings(subject)
    for finding in subject.knowledge.findings.values():
        if finding.id not in reached["yes"] and any(rule.concludes for rule in finding.rules):
            subject.say(
                "finding", finding.id, ("finding",), "unreachable-finding", f"nothing can tell '{finding.id}' true"
            )
        elif finding.id not in reached["yes"]:
            subject.say(
                "finding", finding.id, ("finding",), "unreachable-finding", f"no rule of '{finding.id}' tells it true"
            )
    for finding, index, rule in subject.rules():
        if not _possible(subject.forms(rule.when), reached):
            subject.say("finding", finding.id, ("rules", index, "when"), "dead-end-condition", "this can never be true")
    for cause in subject.knowledge.causes.values():
        _reach_cause(subject, cause, reached)


def _reach_cause(subject: Subject, cause: Cause, reached: dict[str, set[str]]) -> None:
    hosts = hosts_of(subject, cause)
    if not any(evidence.decibans > 0 for evidence in cause.evidence):
        subject.say("cause", cause.id, ("evidence",), "unreachable-cause", f"nothing speaks for '{cause.id}'")
    conditions: list[tuple[Path, Condition]] = [
        *((("evidence", i, "when"), e.when) for i, e in enumerate(cause.evidence)),
        *((("red_flag", i, "when"), flag.when) for i, flag in enumerate(cause.red_flag)),
        *((("steps", i, "not_if"), step.not_if) for i, step in enumerate(cause.steps) if step.not_if is not None),
    ]
    for path, condition in conditions:
        ways = [form for form in subject.forms(condition) if form.get("crop", hosts) & hosts]
        if not _possible(ways, reached):
            subject.say("cause", cause.id, path, "dead-end-condition", "this can never be true for this cause")


def hosts_of(subject: Subject, cause: Cause) -> frozenset[str]:
    """The crops a cause lives on."""
    crops = subject.knowledge.crops.values()
    return frozenset(
        crop.id for crop in crops if "any" in cause.crops or crop.id in cause.crops or crop.group in cause.crops
    )


def _reached_findings(subject: Subject) -> dict[str, set[str]]:
    """Which findings some look can tell true ('yes') and false ('no')."""
    reached: dict[str, set[str]] = {"yes": set(), "no": set()}
    rules = [
        (finding.id, "yes" if rule.concludes else "no", subject.forms(rule.when))
        for finding, _, rule in subject.rules()
    ]
    while True:
        before = sum(map(len, reached.values()))
        for name, side, ways in rules:
            if _possible(ways, reached):
                reached[side].add(name)
        if sum(map(len, reached.values())) == before:
            return reached


def _possible(ways: Sequence[Form], reached: dict[str, set[str]]) -> bool:
    """Whether some way asks only for findings that can be told as it needs them."""

    def fits(form: Form) -> bool:
        return all(
            name.removeprefix("finding ") in reached["yes" if "true" in values else "no"]
            for name, values in form.items()
            if name.startswith("finding ")
        )

    return any(fits(form) for form in ways)
