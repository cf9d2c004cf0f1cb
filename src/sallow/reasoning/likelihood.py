"""Expected likelihood ratios of the compiled evidence, remembered by what is known and by the discount.

A component of which nothing is known has the ratio 1, so a look costs only what its answers touch; taking an answer
back restores the very same numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import log2
from operator import mul
from typing import NamedTuple, TypeVar

from sallow.reasoning.compile import Base, Component
from sallow.reasoning.diagram import Diagram, Masses, leaf_ratios, masses_of
from sallow.reasoning.facts import OVERLOOKED, SHOWN, Facts
from sallow.reasoning.variables import Variable
from sallow.values import dataclass

# Remembered entries of each kind; beyond this the memory begins anew (a long run stays in constant memory).
MOST_REMEMBERED = 60_000
MOST_DISCOUNTS = 16
Known = tuple[str | None, ...]
Weights = Sequence[Sequence[float]]
_Key = TypeVar("_Key")
_Value = TypeVar("_Value")


class Table(NamedTuple):
    """P(value | cause, what is known) / P0(value) for each value of one variable, and the sum of P0 * r * log2 r."""

    ratios: tuple[float, ...]
    inner: float


class Place(NamedTuple):
    """Where a variable stands: candidate, component number, place in the component's diagram."""

    candidate: int
    number: int
    spot: int


@dataclass(frozen=True, slots=True)
class Spoken:
    """All that the candidates say of one variable: their indices, a column of ratios for each value, the inners."""

    speakers: tuple[int, ...]
    among: frozenset[int]
    columns: tuple[tuple[float, ...], ...]
    inner: tuple[float, ...]


class Memory:
    """Work on single components by what is known and the discount. Bases of several contexts may share one, since a
    component is one object wherever its evidence reads the same; ``held`` keeps each alive, so that its id stands for
    it."""

    def __init__(self, most: int = MOST_REMEMBERED) -> None:
        self.most = most
        self.held: dict[int, Component] = {}
        self.leaves: dict[tuple[int, float], tuple[float, ...]] = {}
        self.masses: dict[tuple[int, Known], Masses] = {}
        self.ratios: dict[tuple[int, float, Known], float] = {}
        self.tables: dict[tuple[int, float, Known | None], tuple[Table, ...]] = {}

    def hold(self, components: Iterable[Component]) -> None:
        """Keep components alive, and room for what they need."""
        self.held.update((id(component), component) for component in components)
        self.most = max(self.most, 4 * len(self.held))

    def keep(self, memory: dict[_Key, _Value], key: _Key, value: _Value) -> None:
        """Remember a value; a memory that is full begins anew."""
        if len(memory) >= self.most:
            memory.clear()
        memory[key] = value

    def __len__(self) -> int:
        return len(self.leaves) + len(self.masses) + len(self.ratios) + len(self.tables)


class Lone(NamedTuple):
    """A component of one variable: its candidate, its number, its id, and the leaf of each class of values."""

    candidate: int
    number: int
    key: int
    leaves: tuple[int, ...]
    classes: Mapping[str, int]


class Likelihoods:
    """The components of a base, numbered, with remembered work. ``odd`` holds what 'something not in this knowledge
    base', the candidate after the last, says of the variables of a symptom."""

    def __init__(
        self, base: Base, rho: float, odd: Mapping[str, Sequence[float]], memory: Memory | None = None
    ) -> None:
        self.base = base
        self.rho = rho
        self.memory = Memory() if memory is None else memory
        self.components: list[tuple[int, Component]] = [
            (i, component) for i, candidate in enumerate(base.candidates) for component in candidate.components
        ]
        self.places: dict[bool, dict[str, list[Place]]] = {False: {}, True: {}}
        for number, (candidate, component) in enumerate(self.components):
            for index, name in enumerate(component.diagram.variables):
                self.places[component.of_symptom].setdefault(name, []).append(Place(candidate, number, index))
        # Components that join several variables; the others are looked up by variable and value.
        self.joint = [len(component.diagram.variables) > 1 for _, component in self.components]
        # Many causes say the same of a sign, above all nothing, by one component; what it comes to is worked out once.
        self.ids = [id(component) for _, component in self.components]
        self.memory.hold([component for _, component in self.components])
        self.odd = {name: table_of(base.variables[name], ratios) for name, ratios in odd.items()}
        self._spoken: dict[float, dict[tuple[bool, str], Spoken]] = {}
        self._rows: dict[tuple[bool, str], Mapping[int, int]] = {}
        self._alone: dict[tuple[float, bool, str, str], tuple[tuple[int, float], ...]] = {}
        self._lone: dict[tuple[bool, str], list[Lone]] = {}
        self._joining: dict[tuple[bool, str], list[tuple[int, Place]]] = {}

    def discount(self, answers: int) -> float:
        """lambda(n) = 1 / (1 + rho * (n - 1)) for n informative answers."""
        return discount(answers, self.rho)

    # -- one component ----------------------------------------------------------------------------------------

    def leaves(self, number: int, answers: int) -> tuple[float, ...]:
        """The leaf ratios of a component at the discount for so many answers."""
        return self._leaves(self.ids[number], self.discount(answers))

    def _leaves(self, component: int, discount: float) -> tuple[float, ...]:
        found = self.memory.leaves.get((component, discount))
        if found is None:
            held = self.memory.held[component]
            found = leaf_ratios(held.weights, held.prior, discount)
            self.memory.keep(self.memory.leaves, (component, discount), found)
        return found

    def ratio(self, number: int, known: Known, answers: int) -> float:
        """The likelihood ratio of what is known of a component."""
        key = (self.ids[number], self.discount(answers), known)
        found = self.memory.ratios.get(key)
        if found is None:
            found = sum(map(mul, self._masses(number, known), self.leaves(number, answers)))
            self.memory.keep(self.memory.ratios, key, found)
        return found

    def _masses(self, number: int, known: Known) -> Masses:
        """How likely each leaf of a component is by base rates, given what is known: the same at every discount."""
        key = (self.ids[number], known)
        found = self.memory.masses.get(key)
        if found is None:
            component = self.components[number][1]
            found = masses_of(component.diagram, self.weights(component, known))
            self.memory.keep(self.memory.masses, key, found)
        return found

    def tables(self, number: int, known: Known | None, answers: int) -> tuple[Table, ...]:
        """For each variable of a component what each of its values would say, given what is known (None: nothing)."""
        return self._tables(number, known, self.discount(answers))

    def _tables(self, number: int, known: Known | None, discount: float) -> tuple[Table, ...]:
        key = (self.ids[number], discount, known)
        found = self.memory.tables.get(key)
        if found is None:
            component, leaves = self.components[number][1], self._leaves(self.ids[number], discount)
            if known is None and not self.joint[number] and component.diagram.nodes:
                found = (self._single(component, leaves),)
            else:
                found = self._work_out(component, leaves, known)
            self.memory.keep(self.memory.tables, key, found)
        return found

    def _single(self, component: Component, leaves: Sequence[float]) -> Table:
        """The table of a component of one variable of which nothing is known: the ratios of its leaves."""
        diagram = component.diagram
        children, classes = diagram.nodes[0][1], diagram.classes[0]
        ratios = [leaves[children[classes[value]]] for value in self.base.variables[diagram.variables[0]].base]
        inner = sum(map(mul, map(mul, component.prior, leaves), map(log2, leaves)))
        return Table(tuple(ratios), inner)

    def weights(self, component: Component, known: Known | None) -> Weights:
        """The probability of each class of each variable, given what is known."""
        if known is None:
            return component.base
        diagram = component.diagram
        return [
            row if value is None else observed_weights(self.base.variables[name], classes, value, row)
            for name, classes, value, row in zip(diagram.variables, diagram.classes, known, component.base, strict=True)
        ]

    def _work_out(self, component: Component, leaves: Sequence[float], known: Known | None) -> tuple[Table, ...]:
        diagram = component.diagram
        weights = self.weights(component, known)
        values = expected(diagram, weights, leaves)
        total = values[-1] or 1e-300
        tables = []
        for name, classes, masses, given in zip(
            diagram.variables, diagram.classes, component.base, expected_given(diagram, weights, values), strict=True
        ):
            ratios = [max(value / total, 0.0) for value in given]
            inner = sum([p * r * log2(r) for p, r in zip(masses, ratios, strict=True) if r > 1e-12])
            tables.append(Table(tuple([ratios[classes[value]] for value in self.base.variables[name].base]), inner))
        return tuple(tables)

    def remembered(self) -> int:
        """How many results about single components are remembered."""
        return len(self.memory) + len(self._alone)

    # -- all candidates ---------------------------------------------------------------------------------------

    def touched(self, of_symptom: bool, names: Iterable[str]) -> list[int]:
        """The numbers of the components that join one of these variables with others, in order."""
        return sorted({place.number for name in names for _, place in self.joining(of_symptom, name)})

    def joining(self, of_symptom: bool, name: str) -> list[tuple[int, Place]]:
        """Where a variable stands in components that join it with others, each with its row in what is spoken of it."""
        key = (of_symptom, name)
        found = self._joining.get(key)
        if found is None:
            places = enumerate(self.places[of_symptom].get(name, ()))
            found = self._joining[key] = [(row, place) for row, place in places if self.joint[place.number]]
        return found

    def alone(self, of_symptom: bool, name: str, value: str, answers: int) -> tuple[tuple[int, float], ...]:
        """The candidates that weigh a variable by itself, each with its likelihood ratio for a value."""
        key = (self.discount(answers), of_symptom, name, value)
        found = self._alone.get(key)
        if found is None:
            found = self._by_itself(of_symptom, name, value, answers)
            self.memory.keep(self._alone, key, found)
        return found

    def _by_itself(self, of_symptom: bool, name: str, value: str, answers: int) -> tuple[tuple[int, float], ...]:
        lone = self.lone(of_symptom, name)
        if value in (OVERLOOKED, SHOWN):
            return tuple([(one.candidate, self.ratio(one.number, (value,), answers)) for one in lone])
        discount, known = self.discount(answers), self.memory.leaves
        return tuple(
            [
                (
                    one.candidate,
                    (known.get((one.key, discount)) or self._leaves(one.key, discount))[one.leaves[one.classes[value]]],
                )
                for one in lone
            ]
        )

    def lone(self, of_symptom: bool, name: str) -> list[Lone]:
        """The components that weigh a variable by itself."""
        key = (of_symptom, name)
        if key not in self._lone:
            places = [place for place in self.places[of_symptom].get(name, ()) if not self.joint[place.number]]
            diagrams = [self.components[place.number][1].diagram for place in places]
            self._lone[key] = [
                Lone(place.candidate, place.number, self.ids[place.number], d.nodes[0][1], d.classes[0])
                for place, d in zip(places, diagrams, strict=True)
                if d.nodes
            ]
        return self._lone[key]

    def spoken(self, of_symptom: bool, name: str, known: Mapping[int, Known], answers: int) -> Spoken:
        """What every candidate says of a variable, given what is known of the touched components."""
        discount = self.discount(answers)
        remembered = self._spoken.get(discount)
        if remembered is None:
            if len(self._spoken) >= MOST_DISCOUNTS:
                del self._spoken[next(iter(self._spoken))]
            remembered = self._spoken[discount] = {}
        key = (of_symptom, name)
        untouched = remembered.get(key)
        if untouched is None:
            untouched = remembered[key] = self._gather(of_symptom, name, answers)
        joining = self.joining(of_symptom, name) if known else ()
        touched = [(row, place) for row, place in joining if place.number in known]
        return self._patched(untouched, touched, known, answers) if touched else untouched

    def rows(self, of_symptom: bool, name: str) -> Mapping[int, int]:
        """For each candidate that speaks of a variable its row in every column of what is spoken of it."""
        key = (of_symptom, name)
        if key not in self._rows:
            speakers = [place.candidate for place in self.places[of_symptom].get(name, ())]
            if of_symptom and name in self.odd:
                speakers.append(len(self.base.candidates))
            self._rows[key] = {cause: row for row, cause in enumerate(speakers)}
        return self._rows[key]

    def _gather(self, of_symptom: bool, name: str, answers: int) -> Spoken:
        places = self.places[of_symptom].get(name, ())
        discount, known, ids = self.discount(answers), self.memory.tables, self.ids
        tables = [
            (known.get((ids[number], discount, None)) or self._tables(number, None, discount))[spot]
            for _, number, spot in places
        ]
        speakers = [place.candidate for place in places]
        if of_symptom and name in self.odd:
            tables.append(self.odd[name])
            speakers.append(len(self.base.candidates))
        return Spoken(
            tuple(speakers),
            frozenset(speakers),
            tuple(zip(*(table.ratios for table in tables), strict=True)),
            tuple(table.inner for table in tables),
        )

    def _patched(
        self, untouched: Spoken, touched: Sequence[tuple[int, Place]], known: Mapping[int, Known], answers: int
    ) -> Spoken:
        """What the candidates say, with what is known of some components taken into account."""
        columns, inner = [list(column) for column in untouched.columns], list(untouched.inner)
        for row, place in touched:
            table = self.tables(place.number, known[place.number], answers)[place.spot]
            inner[row] = table.inner
            for column, ratio in zip(columns, table.ratios, strict=True):
                column[row] = ratio
        return Spoken(untouched.speakers, untouched.among, tuple(map(tuple, columns)), tuple(inner))


def folded(variable: Variable, spoken: Spoken) -> Spoken:
    """What is said of an entry of a list, from what is said of the sign that shows it: ticked, or nothing odd."""
    yes, no, share = [0.0] * len(spoken.speakers), [0.0] * len(spoken.speakers), 0.0
    for (value, base), column in zip(variable.base.items(), spoken.columns, strict=True):
        into = no if value in variable.none_values else yes
        share += base if into is no else 0.0
        into[:] = [total + base * ratio for total, ratio in zip(into, column, strict=True)]
    columns = tuple(total / (1 - share) for total in yes), tuple(total / share for total in no)
    return Spoken(spoken.speakers, spoken.among, columns, inner_of((1 - share, share), columns))


def narrowed(left: Mapping[str, float], spoken: Spoken) -> Spoken:
    """What is said of a variable of which only some values are left, at these rates."""
    rates = tuple(left.values())
    totals = [sum(map(mul, rates, row)) or 1.0 for row in zip(*spoken.columns, strict=True)]
    columns = tuple(
        tuple(ratio / total if rate else 0.0 for ratio, total in zip(column, totals, strict=True))
        for rate, column in zip(rates, spoken.columns, strict=True)
    )
    return Spoken(spoken.speakers, spoken.among, columns, inner_of(rates, columns))


def inner_of(rates: Sequence[float], columns: Sequence[Sequence[float]]) -> tuple[float, ...]:
    """For each speaker the sum of P0 * r * log2 r over the values."""
    rows = zip(*columns, strict=True)
    return tuple(sum(p * r * log2(r) for p, r in zip(rates, row, strict=True) if p * r > 1e-12) for row in rows)


def discount(answers: int, rho: float) -> float:
    """lambda(n) = 1 / (1 + rho * (n - 1)) for n informative answers (Spiegelhalter and Knill-Jones 1984)."""
    return 1.0 / (1.0 + rho * max(answers - 1, 0))


def expected(diagram: Diagram, weights: Weights, leaves: Sequence[float]) -> list[float]:
    """The expected leaf value below every node (leaves first), the root's last."""
    values = list(leaves)
    for variable, children in diagram.nodes:
        row = weights[variable]
        total = 0.0
        for place, child in enumerate(children):
            total += row[place] * values[child]
        values.append(total)
    if diagram.root != len(values) - 1:
        values.append(values[diagram.root])
    return values


def expected_given(diagram: Diagram, weights: Weights, values: Sequence[float]) -> list[list[float]]:
    """The expected leaf value when one variable is known to be in one class and the others keep their weights."""
    size = len(diagram.leaves)
    total = values[-1]
    given = [[total] * len(row) for row in weights]
    reach = [0.0] * (size + len(diagram.nodes))
    reach[diagram.root] = 1.0
    for place in range(len(diagram.nodes) - 1, -1, -1):
        share = reach[size + place]
        if share:
            variable, children = diagram.nodes[place]
            own, into, row = values[size + place], given[variable], weights[variable]
            for number, child in enumerate(children):
                into[number] += share * (values[child] - own)
                reach[child] += share * row[number]
    return given


def table_of(variable: Variable, ratios: Sequence[float]) -> Table:
    """The table of a variable from the likelihood ratio of each of its values."""
    shares = variable.base.values()
    inner = sum([p * r * log2(r) for p, r in zip(shares, ratios, strict=True) if r > 1e-12])
    return Table(tuple([max(ratio, 0.0) for ratio in ratios]), inner)


def observed_weights(
    variable: Variable, classes: Mapping[str, int], value: str, base: tuple[float, ...]
) -> tuple[float, ...]:
    """Class weights once a value is known, or what is left of the values."""
    if value not in (OVERLOOKED, SHOWN):
        return tuple(1.0 if number == classes[value] else 0.0 for number in range(len(base)))
    row = [0.0] * len(base)
    for name, weight in left_of(variable, value).items():
        row[classes[name]] += weight
    return tuple(row)


def left_of(variable: Variable, value: str) -> dict[str, float]:
    """How likely each value is by base rates: after 'none that I noticed', which keeps some of the chance of having
    overlooked it, or once something odd was told, not yet what."""
    none = 1.0 if value == OVERLOOKED else 0.0
    odd = variable.miss if value == OVERLOOKED else 1.0
    row = {name: share * (none if name in variable.none_values else odd) for name, share in variable.base.items()}
    total = sum(row.values())
    return {name: weight / total for name, weight in row.items()}


def known_values(facts: Facts, own: Mapping[str, str], pseudo: Mapping[str, str]) -> dict[str, str]:
    """Every known variable; ``own`` are those of the symptom from which it is seen."""
    return {**facts.context, **facts.tree, **own, **pseudo}
