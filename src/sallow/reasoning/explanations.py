"""Belief in explanations: one cause for each symptom, two or three causes only when they earn it.

With m symptoms an explanation assigns a cause to every symptom; its members are the distinct causes. Its weight is
kappa(n | m) * product of priors / E_n / (number of onto assignments) * T(members) * product of L(cause of j, j),
where E_n sums the products of priors over all sets of n distinct causes, and T(members) is the product of the
members' tree-wide likelihood ratios over the overlap W of each pair (so that what two members both predict is not
counted twice, and what a second member speaks against is paid in full).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

KAPPA = {1: (1.0,), 2: (0.75, 0.25), 3: (0.65, 0.28, 0.07)}
# Causes this far (relative) below the leader of every symptom cannot move a belief by 1e-9.
NEGLIGIBLE = 1e-13


@dataclass(frozen=True, slots=True)
class Beliefs:
    """``of_symptom[j][c]``: how likely cause c is behind symptom j (sums to 1); ``member[c]``: that c is at work;
    ``count[n-1]``: how likely n distinct causes are."""

    of_symptom: tuple[tuple[float, ...], ...]
    member: tuple[float, ...]
    count: tuple[float, ...]


def believe(
    priors: Sequence[float],
    tree: Sequence[float],
    symptoms: Sequence[Sequence[float]],
    overlap: Callable[[int, int], float],
) -> Beliefs:
    """Beliefs from priors (summing to 1), tree-wide ratios, ratios per symptom, and the overlap W of two causes."""
    rows = [list(row) for row in symptoms] or [[1.0] * len(priors)]
    sums = _Sums(priors, tree, rows, overlap)
    return (sums.one, sums.two, sums.three)[len(rows) - 1]()


class _Sums:
    def __init__(
        self,
        priors: Sequence[float],
        tree: Sequence[float],
        rows: list[list[float]],
        overlap: Callable[[int, int], float],
    ) -> None:
        self.rows = rows
        self.size = len(priors)
        self.weight = [prior * ratio for prior, ratio in zip(priors, tree, strict=True)]
        self.overlap = overlap
        second = sum(prior**2 for prior in priors)
        third = sum(prior**3 for prior in priors)
        total = sum(priors)
        self.pairs_of_priors = max((total**2 - second) / 2, 1e-300)
        self.triples_of_priors = max((total**3 - 3 * total * second + 2 * third) / 6, 1e-300)
        self.marginal = [[0.0] * self.size for _ in rows]
        self.member = [0.0] * self.size
        self.count = [0.0] * len(rows)

    def singles(self) -> None:
        kappa = KAPPA[len(self.rows)][0]
        for cause in range(self.size):
            value = kappa * self.weight[cause]
            for row in self.rows:
                value *= row[cause]
            self.add(value, (cause,) * len(self.rows), (cause,))

    def add(self, value: float, assignment: Sequence[int], members: Sequence[int]) -> None:
        for symptom, cause in enumerate(assignment):
            self.marginal[symptom][cause] += value
        for cause in members:
            self.member[cause] += value
        self.count[len(members) - 1] += value

    def done(self) -> Beliefs:
        total = sum(self.count)
        if total <= 0:
            even = 1 / self.size
            return Beliefs(
                tuple((even,) * self.size for _ in self.rows),
                (even,) * self.size,
                (1.0, *[0.0] * (len(self.rows) - 1)),
            )
        return Beliefs(
            tuple(tuple(value / total for value in row) for row in self.marginal),
            tuple(value / total for value in self.member),
            tuple(value / total for value in self.count),
        )

    def one(self) -> Beliefs:
        self.singles()
        return self.done()

    def live(self) -> list[int]:
        """The causes that can still matter, by the best they do on any symptom."""
        strength = [max(weight * row[cause] for row in self.rows) for cause, weight in enumerate(self.weight)]
        floor = max(strength) * NEGLIGIBLE
        return [cause for cause in range(self.size) if strength[cause] > floor]

    def two(self) -> Beliefs:
        self.singles()
        share = KAPPA[2][1] / self.pairs_of_priors / 2
        live = self.live()
        for position, first in enumerate(live):
            for second in live[position + 1 :]:
                joint = share * self.weight[first] * self.weight[second] / self.overlap(first, second)
                self.add(joint * self.rows[0][first] * self.rows[1][second], (first, second), (first, second))
                self.add(joint * self.rows[0][second] * self.rows[1][first], (second, first), (first, second))
        return self.done()

    def three(self) -> Beliefs:
        self.singles()
        live = self.live()
        a, b, c = self.rows
        two_share = KAPPA[3][1] / self.pairs_of_priors / 6
        three_share = KAPPA[3][2] / self.triples_of_priors / 6
        between = {(x, y): 1 / self.overlap(x, y) for i, x in enumerate(live) for y in live[i + 1 :]}
        for (x, y), factor in between.items():
            joint = two_share * self.weight[x] * self.weight[y] * factor
            for one, other in ((x, y), (y, x)):
                self.add(joint * a[one] * b[one] * c[other], (one, one, other), (x, y))
                self.add(joint * a[one] * b[other] * c[one], (one, other, one), (x, y))
                self.add(joint * a[other] * b[one] * c[one], (other, one, one), (x, y))
        for i, x in enumerate(live):
            for j, y in enumerate(live[i + 1 :], i + 1):
                first = three_share * self.weight[x] * self.weight[y] * between[x, y]
                for z in live[j + 1 :]:
                    joint = first * self.weight[z] * between[x, z] * between[y, z]
                    for p, q, r in ((x, y, z), (x, z, y), (y, x, z), (y, z, x), (z, x, y), (z, y, x)):
                        self.add(joint * a[p] * b[q] * c[r], (p, q, r), (x, y, z))
        return self.done()
