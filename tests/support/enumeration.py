"""Belief by enumeration of every explanation, and likelihoods by enumeration of every cell of a joint table."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import combinations, product
from math import prod

from sallow.reasoning.diagram import Diagram, Piece, Residual

# How likely one, two or three causes are behind so many symptoms, as the reasoning states it.
KAPPA = {1: [1.0], 2: [0.75, 0.25], 3: [0.65, 0.28, 0.07]}


def all_explanations(
    priors: Sequence[float],
    tree: Sequence[float],
    symptoms: Sequence[Sequence[float]],
    overlap: Callable[[int, int], float],
) -> tuple[list[list[float]], list[float], list[float]]:
    """Beliefs per symptom and cause, per member, and per number of causes, by going through every assignment."""
    return shared_out([summed(priors, tree, symptoms, overlap)])


Sums = tuple[list[list[float]], list[float], list[float]]


def shared_out(worlds: Sequence[Sums]) -> Sums:
    """The sums of several worlds, of which one holds, added up and divided by what they come to together."""
    total = sum(sum(count) for *_, count in worlds)

    def mean(rows: Sequence[list[float]]) -> list[float]:
        return [sum(column) / total for column in zip(*rows, strict=True)]

    of_symptom, member, count = zip(*worlds, strict=True)
    return [mean(rows) for rows in zip(*of_symptom, strict=True)], mean(member), mean(count)


def summed(
    priors: Sequence[float],
    tree: Sequence[float],
    symptoms: Sequence[Sequence[float]],
    overlap: Callable[[int, int], float],
) -> Sums:
    """What all assignments weigh, per symptom and cause, per member, and per number of causes."""
    size, m = len(priors), len(symptoms)
    even = {n: sum(prod(priors[c] for c in members) for members in combinations(range(size), n)) for n in (1, 2, 3)}
    onto = {n: sum(len(set(ways)) == n for ways in product(range(n), repeat=m)) for n in range(1, m + 1)}
    of_symptom = [[0.0] * size for _ in symptoms]
    member, count = [0.0] * size, [0.0] * m
    for assignment in product(range(size), repeat=m):
        members = sorted(set(assignment))
        n = len(members)
        weight = KAPPA[m][n - 1] / onto[n] / (even[n] if n > 1 else 1.0)
        weight *= prod(priors[c] * tree[c] for c in members)
        weight /= prod(overlap(a, b) for a, b in combinations(members, 2))
        weight *= prod(symptoms[j][c] for j, c in enumerate(assignment))
        for j, c in enumerate(assignment):
            of_symptom[j][c] += weight
        for c in members:
            member[c] += weight
        count[n - 1] += weight
    return of_symptom, member, count


def holds_in(residual: Residual, cell: Mapping[str, str]) -> bool:
    """Whether a condition holds in one cell of a joint table."""
    if isinstance(residual, bool):
        return residual
    if residual[0] == "v":
        _, variable, values, positive = residual
        return (cell[str(variable)] in values) == positive  # type: ignore[operator]
    parts = [holds_in(part, cell) for part in residual[1]]  # type: ignore[attr-defined]
    return all(parts) if residual[0] == "&" else any(parts)


def decibans_in(pieces: Sequence[Piece], cell: Mapping[str, str]) -> float:
    """The decibans of one cell: within a clue the weightiest for and the weightiest against, clues added."""
    total = 0.0
    for about in {piece.about for piece in pieces}:
        told = [p.decibans for p in pieces if p.about == about and holds_in(p.condition, cell)]
        total += max([0.0, *told]) + min([0.0, *told])
    return total


def cells(domains: Mapping[str, Mapping[str, float]]) -> Iterator[tuple[dict[str, str], float]]:
    """Every cell of the joint table of independent variables, with its probability."""
    for values in product(*(domain.items() for domain in domains.values())):
        yield {name: value for name, (value, _) in zip(domains, values, strict=True)}, prod(p for _, p in values)


def leaf_of(diagram: Diagram, cell: Mapping[str, str]) -> int:
    """The leaf that a cell ends in, by walking down the diagram."""
    place, size = diagram.root, len(diagram.leaves)
    while place >= size:
        variable, children = diagram.nodes[place - size]
        place = children[diagram.classes[variable][cell[diagram.variables[variable]]]]
    return place
