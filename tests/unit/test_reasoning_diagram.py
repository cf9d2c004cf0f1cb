"""Decision diagrams and expected ratios against enumeration of the full joint table."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.support.bases import Maker, random_rates
from tests.support.enumeration import cells, decibans_in, leaf_of

from sallow.reasoning.compile import Component, compile_base
from sallow.reasoning.diagram import Diagram, Piece, Residual, compile_diagram, leaf_ratios, leaf_weights, sweep
from sallow.reasoning.likelihood import Likelihoods
from sallow.reasoning.variables import class_weights, variables_of

SEEDS = st.integers(0, 2**32 - 1)
WEIGHTS = (3.0, 6.0, 10.0, 20.0, -3.0, -6.0, -10.0)


class Table:
    """Random pieces of evidence over a few variables, and their diagram."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)
        counts = [self.random.randint(2, 4) for _ in range(self.random.randint(1, 4))]
        self.domains = {
            f"v{i}": dict(zip("abcd", random_rates(self.random, count), strict=False)) for i, count in enumerate(counts)
        }
        self.pieces = [
            Piece(self.residual(2), self.random.choice(WEIGHTS), self.random.choice(("one", "two")))
            for _ in range(self.random.randint(1, 4))
        ]
        used = {name for piece in self.pieces for name in names_in(piece.condition)}
        self.domains = {name: row for name, row in self.domains.items() if name in used}
        self.diagram = compile_diagram(self.pieces, {name: tuple(row) for name, row in self.domains.items()})

    def residual(self, depth: int) -> Residual:
        if depth == 0 or self.random.random() < 0.4:
            name = self.random.choice(sorted(self.domains))
            values = sorted(self.domains[name])
            wanted = tuple(sorted(self.random.sample(values, self.random.randint(1, len(values) - 1))))
            return ("v", name, wanted, self.random.random() < 0.7)
        parts = tuple(dict.fromkeys(self.residual(depth - 1) for _ in range(2)))
        return parts[0] if len(parts) == 1 else (self.random.choice("&|"), parts)

    def weights(self, domains: dict[str, dict[str, float]]) -> list[list[float]]:
        rows = []
        for name, classes in zip(self.diagram.variables, self.diagram.classes, strict=True):
            row = [0.0] * (max(classes.values()) + 1)
            for value, number in classes.items():
                row[number] += domains[name][value]
            rows.append(row)
        return rows


def names_in(residual: Residual) -> set[str]:
    assert not isinstance(residual, bool)
    if residual[0] == "v":
        return {str(residual[1])}
    return set().union(*(names_in(part) for part in residual[1]))  # type: ignore[attr-defined]


def masses(diagram: Diagram, domains: dict[str, dict[str, float]]) -> list[float]:
    found = [0.0] * len(diagram.leaves)
    for cell, probability in cells(domains):
        found[leaf_of(diagram, cell)] += probability
    return found


@settings(max_examples=200, deadline=None)
@given(SEEDS)
def test_every_cell_ends_in_a_leaf_with_its_own_decibans(seed: int) -> None:
    table = Table(seed)
    for cell, _ in cells(table.domains):
        assert table.diagram.leaves[leaf_of(table.diagram, cell)] == pytest.approx(decibans_in(table.pieces, cell))


@settings(max_examples=200, deadline=None)
@given(SEEDS)
def test_a_sweep_equals_enumeration_of_the_joint_table(seed: int) -> None:
    table = Table(seed)
    swept = sweep(table.diagram, table.weights(table.domains))
    assert swept.total == pytest.approx(masses(table.diagram, table.domains), abs=1e-12)
    for v, name in enumerate(table.diagram.variables):
        for value, number in table.diagram.classes[v].items():
            same = {other: p for other, p in table.domains[name].items() if table.diagram.classes[v][other] == number}
            only = {**table.domains, name: {other: p / sum(same.values()) for other, p in same.items()}}
            assert value in same
            assert swept.given[v][number] == pytest.approx(masses(table.diagram, only), abs=1e-12)


@settings(max_examples=200, deadline=None)
@given(SEEDS, st.booleans(), st.sampled_from([1.0, 0.7, 0.2]))
def test_the_answers_given_a_cause_are_a_proper_distribution(seed: int, hallmark: bool, discount: float) -> None:
    table = Table(seed)
    prior = masses(table.diagram, table.domains)
    weights = leaf_weights(table.diagram.leaves, prior, hallmark)
    ratios = leaf_ratios(weights, prior, discount)
    assert min(ratios) > 0
    assert sum(ratios[leaf_of(table.diagram, cell)] * p for cell, p in cells(table.domains)) == pytest.approx(1.0)


def cell_ratio(component: Component, cell: dict[str, str], discount: float) -> float:
    ratios = leaf_ratios(component.weights, component.prior, discount)
    return ratios[leaf_of(component.diagram, cell)]


@settings(max_examples=20, deadline=None)
@given(SEEDS, st.floats(0.0, 0.1), st.integers(0, 20))
def test_expected_ratios_equal_enumeration_over_the_unknown_signs(seed: int, rho: float, answers: int) -> None:
    maker = Maker(seed, causes=3)
    base = compile_base(maker.knowledge, {})
    likelihoods = Likelihoods(base, rho, {})
    for number, (_, component) in enumerate(likelihoods.components):
        names = component.diagram.variables
        known = tuple(
            maker.random.choice(sorted(base.variables[name].base)) if maker.random.random() < 0.4 else None
            for name in names
        )
        free = {
            name: dict(base.variables[name].base) if value is None else {value: 1.0}
            for name, value in zip(names, known, strict=True)
        }
        lam = likelihoods.discount(answers)
        total = sum(p * cell_ratio(component, cell, lam) for cell, p in cells(free))
        assert likelihoods.ratio(number, known, answers) == pytest.approx(total, rel=1e-12)
        for name, table in zip(names, likelihoods.tables(number, known, answers), strict=True):
            if known[names.index(name)] is None:
                for value, ratio in zip(base.variables[name].base, table.ratios, strict=True):
                    given = {**free, name: {value: 1.0}}
                    expected = sum(p * cell_ratio(component, cell, lam) for cell, p in cells(given)) / total
                    assert ratio == pytest.approx(expected, rel=1e-9)


def test_values_that_no_rule_tells_apart_share_a_class() -> None:
    maker = Maker(3)
    variables = variables_of(maker.knowledge)
    for candidate in compile_base(maker.knowledge, {}).candidates:
        for component in candidate.components:
            for name, classes in zip(component.diagram.variables, component.diagram.classes, strict=True):
                if name in variables:
                    assert set(classes) == set(variables[name].base)
                    assert sum(class_weights(variables[name], classes)) == pytest.approx(1.0)
