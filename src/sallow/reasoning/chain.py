"""Forward chaining: from the facts to the unique fixpoint of findings told true and told false.

Conditions compile to bit masks: every test of a tree variable, every finding and every ``some_symptom`` has one
bit for 'true' and one for 'false'. Rules only ever add bits, so learning more never undoes a conclusion, the
fixpoint does not depend on the order of rules, and chaining ends. A rule is tried only when one of the bits it needs
is set: a fact's, or that of the finding furthest downstream among those it reads.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from itertools import product
from typing import TypeVar

from sallow.knowledge.conditions import All, Any_, Condition, Finds, Not, Some, Test, findings_in
from sallow.knowledge.model import Finding, Knowledge
from sallow.reasoning.facts import Facts, not_concluded, not_seen, truth
from sallow.values import dataclass

_Key = TypeVar("_Key")


@dataclass(frozen=True, slots=True)
class CompiledRule:
    """``need``: the bits that must all be set; ``head``: the bit it sets; and which rule of the knowledge it is."""

    need: int
    head: int
    finding: str
    index: int


@dataclass(frozen=True, slots=True)
class CompiledSome:
    """A ``some_symptom`` condition: the bits to set when it is true or false, and the masks over one symptom's bits
    that make it hold there (``needs``) or fail there (``denials``)."""

    true_bit: int
    false_bit: int
    needs: tuple[int, ...]
    denials: tuple[int, ...]


# What a rule needs, the bit it sets, and its number.
Trial = tuple[int, int, int]
Trials = tuple[Trial, ...]


@dataclass(frozen=True, slots=True)
class Program:
    """The compiled findings of a knowledge base.

    ``values[variable][value]`` gives the bits of a tree or context variable's value and the rules to try for it;
    ``some_values`` the bits of a value within ``some_symptom``. ``always`` lists rules that need nothing that is
    asked of the tree, ``downstream`` the rules to try once a bit of a finding is set, upstream first; ``circular``
    is true when findings read each other in a circle.
    """

    rules: tuple[CompiledRule, ...]
    values: Mapping[str, Mapping[str, tuple[int, Trials]]]
    findings: Mapping[str, tuple[int, int]]
    somes: tuple[CompiledSome, ...]
    some_values: Mapping[str, Mapping[str, int]]
    always: Trials
    downstream: tuple[tuple[int, Trials], ...]
    circular: bool


@dataclass(frozen=True, slots=True)
class Conclusions:
    """The fixpoint. ``fired`` lists the numbers of the rules that hold, in order."""

    bits: int
    program: Program
    fired: tuple[int, ...]

    def told(self, finding: str) -> tuple[bool, bool]:
        """Whether the finding was told true, and whether it was told false."""
        true_bit, false_bit = self.program.findings[finding]
        return bool(self.bits & true_bit), bool(self.bits & false_bit)

    def true_findings(self) -> tuple[str, ...]:
        """Every finding told true, in order of name."""
        return tuple(name for name, (bit, _) in self.program.findings.items() if self.bits & bit)

    def contradictions(self) -> tuple[str, ...]:
        """Every finding told both true and false, in order of name."""
        return tuple(name for name, (yes, no) in self.program.findings.items() if self.bits & yes and self.bits & no)

    def rules_for(self, finding: str, concludes: bool) -> tuple[CompiledRule, ...]:
        """The rules that told the finding true (or false), one entry per rule of the knowledge."""
        bit = self.program.findings[finding][0 if concludes else 1]
        seen: dict[int, CompiledRule] = {}
        for rule in map(self.program.rules.__getitem__, self.fired):
            if rule.head == bit:
                seen.setdefault(rule.index, rule)
        return tuple(seen[index] for index in sorted(seen))


Bits = tuple[int, int]
_TestKey = tuple[str, frozenset[str]]


class _Masks:
    """Bits given out to tests, findings and ``some_symptom`` conditions as they are met."""

    def __init__(self, findings: Iterable[str] = ()) -> None:
        self.bit = 0
        self.tests: dict[_TestKey, Bits] = {}
        self.somes: dict[Condition, Bits] = {}
        self.findings = {name: self.pair() for name in sorted(findings)}

    def pair(self) -> Bits:
        self.bit += 2
        return 1 << (self.bit - 2), 1 << (self.bit - 1)

    def bits_of(self, known: dict[_Key, Bits], key: _Key) -> Bits:
        if key not in known:
            known[key] = self.pair()
        return known[key]

    def needs(self, condition: Condition, positive: bool = True) -> list[int]:
        """The disjunctive normal form of a condition, each conjunction one mask."""
        match condition:
            case Test(variable, values):
                return [self.bits_of(self.tests, (variable, values))[0 if positive else 1]]
            case Finds(finding):
                return [self.bits_of(self.findings, finding)[0 if positive else 1]]
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
    """Compile all findings; ``variables`` maps every variable to its values."""
    masks, within = _Masks(knowledge.findings), _Masks()
    rules: list[CompiledRule] = []
    order = upstream_order(knowledge.findings)
    for name in order:
        for index, rule in enumerate(knowledge.findings[name].rules):
            head = masks.findings[name][0 if rule.concludes else 1]
            rules += [CompiledRule(need, head, name, index) for need in masks.needs(rule.when)]
    somes = tuple(
        CompiledSome(yes, no, tuple(within.needs(inner)), tuple(within.needs(inner, False)))
        for inner, (yes, no) in masks.somes.items()
    )
    pivots = [bit for name in order for bit in masks.findings[name]]
    by_finding, by_test, always = _sorted_out(rules, pivots, masks.tests)
    values = {
        variable: {value: (mask, by_test(variable, value)) for value, mask in row.items()}
        for variable, row in _rows(masks.tests, variables).items()
    }
    return Program(
        tuple(rules),
        values,
        masks.findings,
        somes,
        _rows(within.tests, variables),
        always,
        by_finding,
        not _acyclic(knowledge.findings, order),
    )


def _rows(tests: Mapping[_TestKey, Bits], variables: Mapping[str, tuple[str, ...]]) -> dict[str, dict[str, int]]:
    """For each variable and value, the bits of the tests that it makes true or false."""
    rows: dict[str, dict[str, int]] = {}
    for (variable, wanted), (true_bit, false_bit) in tests.items():
        row = rows.setdefault(variable, {})
        for value in variables.get(variable, ()):
            row[value] = row.get(value, 0) | (true_bit if value in wanted else false_bit)
    return rows


def _sorted_out(
    rules: Sequence[CompiledRule], pivots: Sequence[int], tests: Mapping[_TestKey, Bits]
) -> tuple[tuple[tuple[int, Trials], ...], Callable[[str, str], Trials], Trials]:
    """The rules by the bit that calls for a trial: of the last finding they read, else of one test, else none."""
    by_bit: dict[int, list[Trial]] = {}
    test_bits = [bit for pair in tests.values() for bit in pair]
    for number, rule in enumerate(rules):
        pivot = next((bit for bit in (*reversed(pivots), *test_bits) if rule.need & bit), 0)
        by_bit.setdefault(pivot, []).append((rule.need, rule.head, number))

    def by_test(variable: str, value: str) -> Trials:
        return tuple(
            trial
            for (name, wanted), (true_bit, false_bit) in tests.items()
            if name == variable
            for trial in by_bit.get(true_bit if value in wanted else false_bit, ())
        )

    downstream = tuple((bit, tuple(by_bit[bit])) for bit in pivots if bit in by_bit)
    return downstream, by_test, tuple(by_bit.get(0, ()))


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
    bits = _some_bits(program, facts)
    trials = list(program.always)
    values = program.values
    for known in (facts.context, facts.tree):
        for variable, value in known.items():
            row = values.get(variable)
            if row is not None and value in row:
                mask, called = row[value]
                bits |= mask
                trials += called
    fired = []
    for need, head, number in trials:
        if bits & need == need:
            bits |= head
            fired.append(number)
    return Conclusions(*_chained(program, bits, fired))


def _chained(program: Program, bits: int, fired: list[int]) -> tuple[int, Program, tuple[int, ...]]:
    before = -1
    while bits != before:
        before = bits
        for pivot, trials in program.downstream:
            if bits & pivot:
                for need, head, number in trials:
                    if bits & need == need:
                        bits |= head
                        fired.append(number)
        if not program.circular:
            break
    return bits, program, tuple(sorted(set(fired)))


def _some_bits(program: Program, facts: Facts) -> int:
    """The bits of every ``some_symptom`` condition: false ones only once there are no more symptoms."""
    seen = [_symptom_bits(program.some_values, facts, own) for own in facts.symptoms]
    bits = 0
    for some in program.somes:
        if any(own & need == need for own in seen for need in some.needs):
            bits |= some.true_bit
        elif facts.closed and all(any(own & denial == denial for denial in some.denials) for own in seen):
            bits |= some.false_bit
    return bits


def _symptom_bits(values: Mapping[str, Mapping[str, int]], facts: Facts, own: Mapping[str, str]) -> int:
    bits = 0
    for variable, row in values.items():
        value = own.get(variable) or facts.known(None, variable)
        if value is not None:
            bits |= row.get(value, 0)
    return bits


def some_symptom(inner: Condition, facts: Facts) -> bool | None:
    """Whether a condition holds for some symptom: false only once the person has said there are no more."""
    values = [truth(inner, partial(facts.known, j), not_concluded, not_seen) for j in range(len(facts.symptoms))]
    if any(value is True for value in values):
        return True
    return False if facts.closed and all(value is False for value in values) else None


def holds(condition: Condition, facts: Facts, conclusions: Conclusions, symptom: int | None) -> bool | None:
    """Three-valued truth of a condition in a look, seen from one symptom or from the tree."""
    return truth(condition, partial(facts.known, symptom), conclusions.told, lambda inner: some_symptom(inner, facts))
