"""Forward chaining: from the facts to the unique fixpoint of findings told true and told false.

Conditions compile to bit masks: every test of a tree variable, every finding and every ``some_symptom`` has one
bit for 'true' and one for 'false'. Rules only ever add bits, so learning more never undoes a conclusion, the
fixpoint does not depend on the order of rules, and chaining ends.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from itertools import product
from typing import TypeVar

from sallow.knowledge.conditions import All, Any_, Condition, Finds, Not, Some, Test, findings_in
from sallow.knowledge.model import Finding, Knowledge, Sign
from sallow.reasoning.facts import Facts, truth

_Key = TypeVar("_Key")


@dataclass(frozen=True, slots=True)
class CompiledRule:
    """``need``: the bits that must all be set; ``head``: the bit it sets; and which rule of the knowledge it is."""

    need: int
    head: int
    finding: str
    index: int


@dataclass(frozen=True, slots=True)
class Program:
    """The compiled findings of a knowledge base."""

    rules: tuple[CompiledRule, ...]
    masks: Mapping[str, Mapping[str, int]]
    findings: Mapping[str, tuple[int, int]]
    somes: tuple[tuple[Condition, int, int], ...]
    passes: int


@dataclass(frozen=True, slots=True)
class Conclusions:
    """The fixpoint. ``fired`` lists the rules that hold, in the order they first fired."""

    bits: int
    program: Program
    fired: tuple[CompiledRule, ...]

    def told(self, finding: str) -> tuple[bool, bool]:
        """Whether the finding was told true, and whether it was told false."""
        true_bit, false_bit = self.program.findings[finding]
        return bool(self.bits & true_bit), bool(self.bits & false_bit)

    def true_findings(self) -> tuple[str, ...]:
        """Every finding told true."""
        return tuple(name for name, (bit, _) in self.program.findings.items() if self.bits & bit)

    def contradictions(self) -> tuple[str, ...]:
        """Every finding told both true and false."""
        return tuple(name for name, (yes, no) in self.program.findings.items() if self.bits & yes and self.bits & no)

    def rules_for(self, finding: str, concludes: bool) -> tuple[CompiledRule, ...]:
        """The rules that told the finding true (or false), one entry per rule of the knowledge."""
        bit = self.program.findings[finding][0 if concludes else 1]
        seen: dict[int, CompiledRule] = {}
        for rule in self.fired:
            if rule.head == bit:
                seen.setdefault(rule.index, rule)
        return tuple(seen[index] for index in sorted(seen))


class _Compiler:
    def __init__(self, knowledge: Knowledge) -> None:
        self.bit = 0
        self.tests: dict[tuple[str, frozenset[str]], tuple[int, int]] = {}
        self.somes: dict[Condition, tuple[int, int]] = {}
        self.findings = {name: self.pair() for name in knowledge.findings}

    def pair(self) -> tuple[int, int]:
        self.bit += 2
        return 1 << (self.bit - 2), 1 << (self.bit - 1)

    def bits_of(self, known: dict[_Key, tuple[int, int]], key: _Key) -> tuple[int, int]:
        if key not in known:
            known[key] = self.pair()
        return known[key]

    def needs(self, condition: Condition, positive: bool = True) -> list[int]:
        """The disjunctive normal form of a condition, each conjunction one mask."""
        match condition:
            case Test(variable, values):
                return [self.bits_of(self.tests, (variable, values))[0 if positive else 1]]
            case Finds(finding):
                return [self.findings[finding][0 if positive else 1]]
            case Some():
                return [self.bits_of(self.somes, condition.inner)[0 if positive else 1]]
            case Not(inner):
                return self.needs(inner, not positive)
            case All(parts) | Any_(parts):
                branches = [self.needs(part, positive) for part in parts]
                if isinstance(condition, All) == positive:
                    return sorted({_union(combination) for combination in product(*branches)})
                return sorted({mask for branch in branches for mask in branch})


def _union(masks: Iterable[int]) -> int:
    result = 0
    for mask in masks:
        result |= mask
    return result


def compile_program(knowledge: Knowledge, variables: Mapping[str, tuple[str, ...]]) -> Program:
    """Compile all findings; ``variables`` maps every tree or context variable to its values."""
    compiler = _Compiler(knowledge)
    rules: list[CompiledRule] = []
    order = upstream_order(knowledge.findings)
    for name in order:
        for index, rule in enumerate(knowledge.findings[name].rules):
            head = compiler.findings[name][0 if rule.concludes else 1]
            rules += [CompiledRule(need, head, name, index) for need in compiler.needs(rule.when)]
    masks: dict[str, dict[str, int]] = {}
    for (variable, values), (true_bit, false_bit) in compiler.tests.items():
        row = masks.setdefault(variable, {})
        for value in variables.get(variable, ()):
            row[value] = row.get(value, 0) | (true_bit if value in values else false_bit)
    somes = tuple((inner, yes, no) for inner, (yes, no) in compiler.somes.items())
    return Program(
        tuple(rules),
        masks,
        compiler.findings,
        somes,
        1 if _acyclic(knowledge.findings, order) else len(order) + 1,
    )


def upstream_order(findings: Mapping[str, Finding]) -> list[str]:
    """The findings, each after those its rules read; members of a circle stand in order of name."""
    reads = {name: sorted(set().union(*(findings_in(rule.when) for rule in f.rules))) for name, f in findings.items()}
    order: list[str] = []
    visiting: set[str] = set()

    def visit(name: str) -> None:
        if name in order or name in visiting:
            return
        visiting.add(name)
        for other in reads[name]:
            visit(other)
        order.append(name)

    for name in sorted(findings):
        visit(name)
    return order


def _acyclic(findings: Mapping[str, Finding], order: list[str]) -> bool:
    position = {name: index for index, name in enumerate(order)}
    return all(
        position[read] < position[name]
        for name, f in findings.items()
        for rule in f.rules
        for read in findings_in(rule.when)
    )


def run(program: Program, facts: Facts) -> Conclusions:
    """The fixpoint of the facts under the program."""
    bits = 0
    masks = program.masks
    for values in (facts.context, facts.tree):
        for variable, value in values.items():
            row = masks.get(variable)
            if row is not None:
                bits |= row.get(value, 0)
    for inner, yes, no in program.somes:
        told = some_symptom(inner, facts)
        bits |= yes if told else (no if told is False else 0)
    fired: list[CompiledRule] = []
    seen: set[int] = set()
    for _ in range(program.passes):
        before = bits
        for number, rule in enumerate(program.rules):
            if bits & rule.need == rule.need and number not in seen:
                seen.add(number)
                bits |= rule.head
                fired.append(rule)
        if bits == before:
            break
    return Conclusions(bits, program, tuple(fired))


def some_symptom(inner: Condition, facts: Facts) -> bool | None:
    """Whether a condition holds for some symptom: false only once the person has said there are no more."""
    values = [truth(inner, partial(facts.known, j), _untold, _unknown) for j in range(len(facts.symptoms))]
    if any(value is True for value in values):
        return True
    return False if facts.closed and all(value is False for value in values) else None


def _untold(_: str) -> tuple[bool, bool]:
    return False, False


def _unknown(_: Condition) -> None:
    return None


def fill_implied(knowledge: Knowledge, facts: Facts) -> Facts:
    """The facts with every answer that follows from others ('no colour ticked' means the green is normal)."""
    for symptom in range(len(facts.symptoms)):
        for sign in signs_with_implied(knowledge):
            if sign.id in facts.symptoms[symptom]:
                continue
            for rule in sign.implied:
                if truth(rule.when, partial(facts.known, symptom), _untold, _unknown):
                    facts = facts.with_symptom(symptom, sign.id, rule.answer)
                    break
    return facts


def signs_with_implied(knowledge: Knowledge) -> tuple[Sign, ...]:
    """The symptom signs whose answer may follow from others."""
    return tuple(sign for sign in knowledge.signs.values() if sign.implied and sign.of_symptom)


def holds(condition: Condition, facts: Facts, conclusions: Conclusions, symptom: int | None) -> bool | None:
    """Three-valued truth of a condition in a look, seen from one symptom or from the tree."""
    return truth(condition, partial(facts.known, symptom), conclusions.told, lambda inner: some_symptom(inner, facts))
