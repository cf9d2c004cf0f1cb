"""Decision diagrams: one cause's evidence on connected signs, as a small graph instead of a large table.

Each inner node branches on one variable; each leaf holds the raw decibans of its cells. Expectations and
probability masses over all cells are worked out in one sweep over the nodes, with unknown variables entering at
their base rates. The result equals enumeration of the full joint table (a test proves it).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import log10
from operator import mul

from sallow.values import dataclass

# A residual condition: True, False, a literal ("v", variable, values, positive), or ("&"/"|", parts).
Residual = bool | tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Leaf:
    """Where a path ends: the raw decibans of its cells."""

    decibans: float


@dataclass(frozen=True, slots=True)
class Diagram:
    """A compiled component.

    ``variables`` in branching order; ``classes[v][value]`` is the class of a value of variable v (values that no
    rule tells apart share a class); ``nodes`` are (variable index, children) with every child before its parent,
    children numbered below ``len(leaves)`` being leaves; ``root`` is the last node or a leaf.
    """

    variables: tuple[str, ...]
    classes: tuple[Mapping[str, int], ...]
    leaves: tuple[float, ...]
    nodes: tuple[tuple[int, tuple[int, ...]], ...]
    root: int


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of evidence ready for compiling: a residual in negation normal form, its decibans and clue."""

    condition: Residual
    decibans: float
    about: str


def literals(residual: Residual) -> list[tuple[str, tuple[str, ...]]]:
    """The (variable, values) tests in a residual."""
    if isinstance(residual, bool):
        return []
    if residual[0] == "v":
        return [(str(residual[1]), residual[2])]  # type: ignore[list-item]
    return [test for part in residual[1] for test in literals(part)]  # type: ignore[attr-defined]


def conjoin(parts: Sequence[Residual]) -> Residual:
    """All parts, simplified."""
    kept = [part for part in parts if part is not True]
    if any(part is False for part in kept):
        return False
    return True if not kept else kept[0] if len(kept) == 1 else ("&", tuple(dict.fromkeys(kept)))


def disjoin(parts: Sequence[Residual]) -> Residual:
    """Any part, simplified."""
    kept = [part for part in parts if part is not False]
    if any(part is True for part in kept):
        return True
    return False if not kept else kept[0] if len(kept) == 1 else ("|", tuple(dict.fromkeys(kept)))


def _assign(residual: Residual, variable: str, value: str) -> Residual:
    if isinstance(residual, bool):
        return residual
    if residual[0] == "v":
        if residual[1] != variable:
            return residual
        return (value in residual[2]) == residual[3]  # type: ignore[operator]
    parts = [_assign(part, variable, value) for part in residual[1]]  # type: ignore[attr-defined]
    return conjoin(parts) if residual[0] == "&" else disjoin(parts)


def combined_decibans(pieces: Sequence[Piece], fired: Sequence[bool]) -> float:
    """Within one clue the weightiest for and the weightiest against count, added; clues add up."""
    best: dict[str, float] = {}
    worst: dict[str, float] = {}
    for piece, holds in zip(pieces, fired, strict=True):
        if holds:
            best[piece.about] = max(best.get(piece.about, 0.0), piece.decibans)
            worst[piece.about] = min(worst.get(piece.about, 0.0), piece.decibans)
    return sum(best.values()) + sum(worst.values())


def compile_diagram(pieces: Sequence[Piece], domains: Mapping[str, Sequence[str]]) -> Diagram:
    """Compile pieces of evidence; ``domains`` gives the values of every variable they read."""
    tests = [test for piece in pieces for test in literals(piece.condition)]
    variables = tuple(dict.fromkeys(variable for variable, _ in tests))
    classes = tuple(_classes(variable, tests, domains[variable]) for variable in variables)
    return _Builder(pieces, variables, classes).diagram()


def _classes(variable: str, tests: Sequence[tuple[str, tuple[str, ...]]], domain: Sequence[str]) -> dict[str, int]:
    signatures: dict[tuple[bool, ...], int] = {}
    result = {}
    for value in domain:
        signature = tuple(value in values for name, values in tests if name == variable)
        result[value] = signatures.setdefault(signature, len(signatures))
    return result


class _Builder:
    def __init__(
        self, pieces: Sequence[Piece], variables: tuple[str, ...], classes: tuple[Mapping[str, int], ...]
    ) -> None:
        self.pieces = pieces
        self.variables = variables
        self.classes = classes
        self.samples = [{number: value for value, number in table.items()} for table in classes]
        self.leaves: dict[float, int] = {}
        self.inner: dict[tuple[int, tuple[tuple[str, int], ...]], int] = {}
        self.order: list[tuple[int, tuple[tuple[str, int], ...]]] = []
        self.memo: dict[tuple[int, tuple[Residual, ...]], tuple[str, int]] = {}

    def diagram(self) -> Diagram:
        root = self.expand(0, tuple(piece.condition for piece in self.pieces))
        shift = len(self.leaves)

        def number(child: tuple[str, int]) -> int:
            return child[1] if child[0] == "leaf" else shift + child[1]

        nodes = tuple((variable, tuple(number(child) for child in children)) for variable, children in self.order)
        return Diagram(self.variables, self.classes, tuple(self.leaves), nodes, number(root))

    def expand(self, index: int, state: tuple[Residual, ...]) -> tuple[str, int]:
        if all(isinstance(residual, bool) for residual in state):
            decibans = combined_decibans(self.pieces, [residual is True for residual in state])
            return "leaf", self.leaves.setdefault(decibans, len(self.leaves))
        key = (index, state)
        if key not in self.memo:
            self.memo[key] = self.branch(index, state)
        return self.memo[key]

    def branch(self, index: int, state: tuple[Residual, ...]) -> tuple[str, int]:
        variable = self.variables[index]
        if not any(name == variable for residual in state for name, _ in literals(residual)):
            return self.expand(index + 1, state)
        children = tuple(
            self.expand(index + 1, tuple(_assign(residual, variable, value) for residual in state))
            for _, value in sorted(self.samples[index].items())
        )
        if all(child == children[0] for child in children):
            return children[0]
        node = (index, children)
        if node not in self.inner:
            self.inner[node] = len(self.order)
            self.order.append(node)
        return "node", self.inner[node]


Masses = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Sweep:
    """For one state of knowledge: the mass of every leaf, and the masses given each class of each variable."""

    total: Masses
    given: tuple[tuple[Masses, ...], ...]


def sweep(diagram: Diagram, weights: Sequence[Sequence[float]]) -> Sweep:
    """Leaf masses with ``weights[v][class]`` the probability of each class of variable v (each row sums to 1).

    ``given[v][class]`` is the distribution over leaves when variable v is known to be in that class and the
    others keep their weights.
    """
    size = len(diagram.leaves)
    below: list[list[float]] = [[1.0 if leaf == k else 0.0 for k in range(size)] for leaf in range(size)]
    for variable, children in diagram.nodes:
        row = [0.0] * size
        for weight, child in zip(weights[variable], children, strict=True):
            if weight:
                for k, mass in enumerate(below[child]):
                    row[k] += weight * mass
        below.append(row)
    total = below[diagram.root]
    reach = _reach(diagram, weights, len(below))
    given = [[list(total) for _ in row] for row in weights]
    for number, (variable, children) in enumerate(diagram.nodes, size):
        share = reach[number]
        if share:
            own = below[number]
            for into, child in zip(given[variable], children, strict=True):
                branch = below[child]
                for k in range(size):
                    into[k] += share * (branch[k] - own[k])
    return Sweep(tuple(total), tuple(tuple(tuple(row) for row in rows) for rows in given))


def masses_of(diagram: Diagram, weights: Sequence[Sequence[float]]) -> Masses:
    """The mass of every leaf with ``weights[v][class]`` the probability of each class of variable v."""
    return tuple(_reach(diagram, weights, len(diagram.leaves) + len(diagram.nodes))[: len(diagram.leaves)])


def _reach(diagram: Diagram, weights: Sequence[Sequence[float]], count: int) -> list[float]:
    reach = [0.0] * count
    reach[diagram.root] = 1.0
    size = len(diagram.leaves)
    for number in range(len(diagram.nodes) - 1, -1, -1):
        share = reach[size + number]
        if share:
            variable, children = diagram.nodes[number]
            for weight, child in zip(weights[variable], children, strict=True):
                reach[child] += share * weight
    return reach


# What the stated answers of a sign may take together at most, and what a hallmark takes at least.
STATED_SHARE = 0.8
HALLMARK_SHARE = 0.5
MOST_RATIO = 100.0


def leaf_weights(leaves: Sequence[float], masses: Masses, hallmark: bool = False) -> tuple[float, ...]:
    """The decibans of each leaf before the discount, such that P(cell | cause) sums to 1.

    Leaves with weight keep their ratio to each other; if together they would take more than 0.8 of the probability
    they are scaled down to that. When ``hallmark`` is true (the component says what the odd thing itself looks
    like), the leaves that speak for the cause are scaled up to take at least half, as long as none exceeds 20
    decibans. Leaves without weight share the rest in proportion to P0.
    """
    ratios = [10 ** (decibans / 10) if decibans else 0.0 for decibans in leaves]
    if hallmark:
        ratios = _raised(leaves, masses, ratios)
    taken = sum(ratio * mass for ratio, mass in zip(ratios, masses, strict=True))
    free = sum(mass for decibans, mass in zip(leaves, masses, strict=True) if not decibans)
    if free <= 1e-12:
        return tuple(10 * log10(ratio / taken) for ratio in ratios)
    scale = min(1.0, STATED_SHARE / taken) if taken else 1.0
    rest = (1.0 - scale * taken) / free
    return tuple(
        10 * log10(scale * ratio if decibans else rest) for ratio, decibans in zip(ratios, leaves, strict=True)
    )


def _raised(leaves: Sequence[float], masses: Masses, ratios: list[float]) -> list[float]:
    speaking = sum(r * m for r, m, decibans in zip(ratios, masses, leaves, strict=True) if decibans > 0)
    if not 0 < speaking < HALLMARK_SHARE:
        return ratios
    factor = max(min(HALLMARK_SHARE / speaking, MOST_RATIO / max(ratios)), 1.0)
    return [ratio * factor if decibans > 0 else ratio for ratio, decibans in zip(ratios, leaves, strict=True)]


def leaf_ratios(weights: Sequence[float], masses: Masses, discount: float) -> tuple[float, ...]:
    """The likelihood ratio P(cell | cause) / P0(cell) of each leaf at a discount; the table sums to 1."""
    power = discount / 10
    raw = [10 ** (power * decibans) for decibans in weights]
    total = sum(map(mul, raw, masses))
    return tuple([ratio / total for ratio in raw])
