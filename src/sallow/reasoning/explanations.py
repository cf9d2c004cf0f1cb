"""Belief in explanations: one cause for each symptom, two or three causes only when they earn it.

With m symptoms an explanation assigns a cause to every symptom; its members are the distinct causes. Its weight is
kappa(n | m) * product of priors / E_n / (number of onto assignments) * T(members) * product of L(cause of j, j),
where E_n sums the products of priors over all sets of n distinct causes, and T(members) is the product of the
members' tree-wide likelihood ratios over the overlap W of each pair (so that what two members both predict is not
counted twice, and what a second member speaks against is paid in full).

Causes whose overlap with every other is 1 enter by sums that leave each cause out in turn (linear in their number,
and without subtraction, so nothing cancels); only causes that overlap are paired one by one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from itertools import accumulate
from operator import add, mul

from sallow.values import dataclass

KAPPA = {1: (1.0,), 2: (0.75, 0.25), 3: (0.65, 0.28, 0.07)}
# Overlaps that together cannot move a belief by this much are taken as 1.
NEGLIGIBLE = 1e-11

Vector = list[float]


@dataclass(frozen=True, slots=True)
class Beliefs:
    """``of_symptom[j][c]``: how likely cause c is behind symptom j (sums to 1); ``member[c]``: that c is at work;
    ``count[n-1]``: how likely n distinct causes are; ``evidence``: what all explanations together weigh, which answers
    are expected to leave as it is."""

    of_symptom: tuple[tuple[float, ...], ...]
    member: tuple[float, ...]
    count: tuple[float, ...]
    evidence: float


def believe(
    priors: Sequence[float],
    tree: Sequence[float],
    symptoms: Sequence[Sequence[float]],
    overlap: Callable[[int, int], float],
    linked: Mapping[int, float] | None = None,
) -> Beliefs:
    """Beliefs from priors (summing to 1), tree-wide ratios, ratios per symptom, and the overlap W of two causes.

    ``linked`` names the causes whose overlap with another may differ from 1, each with the most that 1 / W can
    come to for it; None stands for all of them, without a limit.
    """
    weight = [prior * ratio for prior, ratio in zip(priors, tree, strict=True)]
    rows = [list(row) for row in symptoms] or [[1.0] * len(priors)]
    shares = _shares(tuple(priors), len(rows))
    tally = _Tally(len(priors), len(rows))
    single = [shares[0] * value for value in weight]
    for row in rows:
        single = list(map(mul, single, row))
    tally.add([single], [tuple(range(len(rows)))])
    if len(rows) > 1:
        scaled = [list(map(mul, weight, row)) for row in rows]
        splits = _two_causes(rows, scaled)
        among = _Among(_paired(scaled, [pair for pair, _ in splits], single, shares, linked), overlap, len(priors))
        for (first, second), explained in splits:
            tally.add(among.pairs(first, second, shares[1]), explained)
        if len(rows) == 3:
            tally.add(among.triples(scaled, shares[2]), [(0,), (1,), (2,)])
    return tally.beliefs()


def mixed(beliefs: Sequence[Beliefs]) -> Beliefs:
    """The beliefs over several worlds of which one holds, each as likely as its evidence weighs."""
    if len(beliefs) == 1:
        return beliefs[0]
    total = sum(one.evidence for one in beliefs) or 1.0
    weights = [one.evidence / total for one in beliefs]

    def mean(rows: Sequence[tuple[float, ...]]) -> tuple[float, ...]:
        return tuple(sum(map(mul, weights, column)) for column in zip(*rows, strict=True))

    return Beliefs(
        tuple(mean(rows) for rows in zip(*(one.of_symptom for one in beliefs), strict=True)),
        mean([one.member for one in beliefs]),
        mean([one.count for one in beliefs]),
        total,
    )


@lru_cache(maxsize=64)
def _shares(priors: tuple[float, ...], symptoms: int) -> Vector:
    """kappa(n | m) / E_n / number of onto assignments, for each number n of distinct causes."""
    total, second, third = (sum(prior**power for prior in priors) for power in (1, 2, 3))
    sums = (
        1.0,
        max((total**2 - second) / 2, 1e-300),
        max((total**3 - 3 * total * second + 2 * third) / 6, 1e-300),
    )
    onto = {1: (1,), 2: (1, 2), 3: (1, 6, 6)}[symptoms]
    return [kappa / e / count for kappa, e, count in zip(KAPPA[symptoms], sums, onto, strict=False)]


Split = tuple[tuple[Vector, Vector], list[tuple[int, ...]]]


def _two_causes(rows: list[Vector], scaled: list[Vector]) -> list[Split]:
    """Every way to give the symptoms to two causes: what each weighs as either member, and what each explains."""
    if len(rows) == 2:
        return [((scaled[0], scaled[1]), [(0,), (1,)])]
    splits: list[Split] = []
    for alone in range(3):
        first, second = (j for j in range(3) if j != alone)
        both = list(map(mul, scaled[first], rows[second]))
        splits.append(((both, scaled[alone]), [(first, second), (alone,)]))
    return splits


class _Tally:
    """Sums of explanation weights by symptom and cause, by member, and by number of causes."""

    def __init__(self, size: int, symptoms: int) -> None:
        self.marginal = [[0.0] * size for _ in range(symptoms)]
        self.member = [0.0] * size
        self.count = [0.0] * symptoms

    def add(self, weights: Sequence[Vector], explained: Sequence[tuple[int, ...]]) -> None:
        """``weights[k][c]``: weight of the explanations in which c is the k-th member, behind ``explained[k]``."""
        self.count[len(weights) - 1] += sum(weights[0])
        for row, symptoms in zip(weights, explained, strict=True):
            self.member = list(map(add, self.member, row))
            for symptom in symptoms:
                self.marginal[symptom] = list(map(add, self.marginal[symptom], row))

    def beliefs(self) -> Beliefs:
        total = sum(self.count)
        size = len(self.member)
        if total <= 0:
            even = (1 / size,) * size
            return Beliefs((even,) * len(self.marginal), even, (1.0, *[0.0] * (len(self.count) - 1)), 0.0)
        return Beliefs(
            tuple(tuple(value / total for value in row) for row in self.marginal),
            tuple(value / total for value in self.member),
            tuple(value / total for value in self.count),
            total,
        )


def _paired(
    scaled: Sequence[Vector],
    pairings: Sequence[tuple[Vector, Vector]],
    single: Vector,
    shares: Sequence[float],
    linked: Mapping[int, float] | None,
) -> list[int]:
    """The linked causes that must be paired one by one: the rest together move no belief by NEGLIGIBLE.

    What a cause can move is bounded by its pairs and triples at the greatest 1 / W; what all explanations weigh is
    bounded from below by single causes and by pairs with the last cause ('something else'), which overlaps with none.
    """
    if linked is None:
        return list(range(len(single)))
    least = sum(single) + shares[1] * sum((sum(u) - u[-1]) * v[-1] + (sum(v) - v[-1]) * u[-1] for u, v in pairings)
    moved = dict.fromkeys(linked, 0.0)
    for first, second in pairings:
        first_total, second_total = sum(first), sum(second)
        for cause, most in linked.items():
            moved[cause] += shares[1] * most * (first[cause] * second_total + second[cause] * first_total)
    if len(scaled) == 3:
        plain = [sum(row) for row in scaled]
        grown = [
            total + sum(row[c] * (most - 1) for c, most in linked.items())
            for row, total in zip(scaled, plain, strict=True)
        ]
        for j, row in enumerate(scaled):
            others = [i for i in range(3) if i != j]
            pair = shares[2] * plain[others[0]] * grown[others[1]]
            for cause, most in linked.items():
                moved[cause] += pair * row[cause] * most**2
    dropped = 0.0
    rising = sorted((value, cause) for cause, value in moved.items())
    for position, (value, _) in enumerate(rising):
        dropped += value
        if dropped > NEGLIGIBLE * least:
            return sorted(cause for _, cause in rising[position:])
    return []


def _without_each(values: Vector) -> Vector:
    """For each place, the sum of all other values."""
    before = accumulate(values, initial=0.0)
    after = list(accumulate(reversed(values), initial=0.0))[-2::-1]
    return list(map(add, before, after))


def _pairs_before(first: Vector, second: Vector) -> Vector:
    """For each place, the sum of first[y] * second[z] over distinct y, z before it; one entry more than places."""
    left = accumulate(first, initial=0.0)
    right = accumulate(second, initial=0.0)
    steps = (b * s + a * f for a, b, f, s in zip(right, left, first, second, strict=False))
    return list(accumulate(steps, initial=0.0))


def _pairs_without_each(first: Vector, second: Vector) -> Vector:
    """For each place, the sum of first[y] * second[z] over distinct y, z that are not that place."""
    before = _pairs_before(first, second)
    after = _pairs_before(first[::-1], second[::-1])[::-1]
    f_before, s_before = list(accumulate(first, initial=0.0)), list(accumulate(second, initial=0.0))
    f_after = list(accumulate(first[::-1], initial=0.0))[::-1]
    s_after = list(accumulate(second[::-1], initial=0.0))[::-1]
    return [
        before[i] + after[i + 1] + f_before[i] * s_after[i + 1] + s_before[i] * f_after[i + 1]
        for i in range(len(first))
    ]


class _Among:
    """Sums over distinct causes: ``inside`` those with overlaps, the others free of them."""

    def __init__(self, inside: list[int], overlap: Callable[[int, int], float], size: int) -> None:
        self.inside = inside
        self.size = size
        within = set(inside)
        self.outside = [cause for cause in range(size) if cause not in within]
        # factor[x][y] = 1 / W; zero on the diagonal, which leaves a cause paired with itself out of every sum.
        self.factor = [[0.0] * len(inside) for _ in inside]
        for i, x in enumerate(inside):
            for j in range(i):
                self.factor[i][j] = self.factor[j][i] = 1.0 / overlap(inside[j], x)

    def split(self, values: Vector) -> tuple[Vector, Vector]:
        return [values[cause] for cause in self.inside], [values[cause] for cause in self.outside]

    def joined(self, inside: Vector, outside: Vector) -> Vector:
        result = [0.0] * self.size
        for cause, value in zip(self.inside, inside, strict=True):
            result[cause] = value
        for cause, value in zip(self.outside, outside, strict=True):
            result[cause] = value
        return result

    def met(self, values: Vector) -> Vector:
        """For each inside cause, the sum of the other inside values, each over its overlap with it."""
        return [sum(map(mul, row, values)) for row in self.factor]

    def pairs(self, first: Vector, second: Vector, share: float) -> list[Vector]:
        """Weights of the explanations by two distinct causes, by the first member and by the second."""
        (f_in, f_out), (s_in, s_out) = self.split(first), self.split(second)
        return [self.led(f_in, f_out, s_in, s_out, share), self.led(s_in, s_out, f_in, f_out, share)]

    def led(self, own_in: Vector, own_out: Vector, other_in: Vector, other_out: Vector, share: float) -> Vector:
        free, bound = sum(other_out), sum(other_in)
        return self.joined(
            [share * own * (free + met) for own, met in zip(own_in, self.met(other_in), strict=True)],
            [share * own * (bound + rest) for own, rest in zip(own_out, _without_each(other_out), strict=True)],
        )

    def triples(self, scaled: Sequence[Vector], share: float) -> list[Vector]:
        """Weights of the explanations by three distinct causes, by the member behind each symptom."""
        ins, outs = zip(*(self.split(values) for values in scaled), strict=True)
        met = [self.met(values) for values in ins]
        inner = self.inner_triples(ins)
        result = []
        for j in range(3):
            k, other = (i for i in range(3) if i != j)
            k_free, other_free = sum(outs[k]), sum(outs[other])
            both_free = _pairs_before(outs[k], outs[other])[-1]
            inside = [
                share * own * (both_free + other_free * met_k + k_free * met_other + third)
                for own, met_k, met_other, third in zip(ins[j], met[k], met[other], inner[j], strict=True)
            ]
            both_bound = sum(map(mul, ins[k], met[other]))
            k_bound, other_bound = sum(ins[k]), sum(ins[other])
            rests = zip(
                outs[j],
                _pairs_without_each(outs[k], outs[other]),
                _without_each(outs[k]),
                _without_each(outs[other]),
                strict=True,
            )
            outside = [
                share * own * (both + k_bound * other_rest + other_bound * k_rest + both_bound)
                for own, both, k_rest, other_rest in rests
            ]
            result.append(self.joined(inside, outside))
        return result

    def inner_triples(self, ins: Sequence[Vector]) -> list[Vector]:
        """For each symptom and inside cause, the sum over two other inside causes behind the other symptoms."""
        by_third = self.thirds(ins[2])
        by_second = self.thirds(ins[1])
        return [
            [sum(map(mul, ins[1], row)) for row in by_third],
            [sum(map(mul, ins[0], row)) for row in by_third],
            [sum(map(mul, ins[0], row)) for row in by_second],
        ]

    def thirds(self, values: Vector) -> list[Vector]:
        """factor[x][y] times the sum over z of values[z] * factor[x][z] * factor[y][z]."""
        size = len(self.inside)
        result = [[0.0] * size for _ in range(size)]
        for x, row in enumerate(self.factor):
            weighted = list(map(mul, values, row))
            for y in range(x):
                result[x][y] = result[y][x] = row[y] * sum(map(mul, weighted, self.factor[y]))
        return result
