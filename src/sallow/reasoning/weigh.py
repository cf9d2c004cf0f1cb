"""Weighs a look: likelihood ratios of every candidate cause, and from them the beliefs.

Weights of evidence after Good (1950, 1985); the discount for dependent clues after Spiegelhalter and
Knill-Jones (1984). Work on a component is remembered by what is known of its variables, so one more answer costs
only what depends on it and taking an answer back restores the very same numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import prod

from sallow.knowledge.conditions import variables_in
from sallow.knowledge.model import Evidence
from sallow.reasoning.chain import Conclusions, fill_implied, holds, run, some_symptom
from sallow.reasoning.compile import SHARE_OF_SOMETHING_ELSE, SOMETHING_ELSE, Base, Component, Variable
from sallow.reasoning.diagram import Sweep, leaf_ratios, sweep
from sallow.reasoning.explanations import Beliefs, believe
from sallow.reasoning.facts import OVERLOOKED, Facts

RHO = 0.04
TAU = 0.3
# Overlaps of two causes are worked out at the discount of a look of usual length.
USUAL_ANSWERS = 12


def discount(answers: int, rho: float = RHO) -> float:
    """lambda(n) = 1 / (1 + rho * (n - 1)) for n informative answers."""
    return 1.0 / (1.0 + rho * max(answers - 1, 0))


@dataclass(frozen=True, slots=True)
class Weighed:
    """A weighed look. ``causes`` are the candidate ids in order with 'something else' last; ``tree`` and ``symptoms``
    their likelihood ratios; ``out`` the causes set aside for the look, ``out_for`` per symptom."""

    facts: Facts
    conclusions: Conclusions
    answers: int
    discount: float
    causes: tuple[str, ...]
    tree: tuple[float, ...]
    symptoms: tuple[tuple[float, ...], ...]
    beliefs: Beliefs
    out: Mapping[str, Evidence | None]
    out_for: tuple[Mapping[str, Evidence], ...]

    def belief(self, cause: str) -> float:
        """How likely the cause is at work (0 when it is no candidate)."""
        return self.beliefs.member[self.causes.index(cause)] if cause in self.causes else 0.0

    def ranking(self) -> list[tuple[str, float]]:
        """Causes by belief, best first; ties by id."""
        return sorted(zip(self.causes, self.beliefs.member, strict=True), key=lambda pair: (-pair[1], pair[0]))


class Scales:
    """Weighs facts against one compiled base, remembering partial work."""

    def __init__(self, base: Base, rho: float = RHO, tau: float = TAU) -> None:
        self.base = base
        self.rho = rho
        self.tau = tau
        self.causes = (*(candidate.cause.id for candidate in base.candidates), SOMETHING_ELSE)
        self.priors = (*(candidate.prior for candidate in base.candidates), SHARE_OF_SOMETHING_ELSE)
        if len(self.causes) == 1:
            self.priors = (1.0,)
        self.informative = frozenset(
            name
            for candidate in base.candidates
            for component in candidate.components
            for name in component.diagram.variables
        )
        self.sweeps: dict[tuple[int, tuple[str | None, ...]], Sweep] = {}
        self.ratios: dict[tuple[int, int], tuple[float, ...]] = {}
        self.tables: dict[int, dict[str, dict[str, float]]] = {}
        self.overlaps: dict[tuple[int, int, str], float] = {}
        self.numbers = {
            (i, k): number
            for number, (i, k) in enumerate(
                (i, k) for i, c in enumerate(base.candidates) for k in range(len(c.components))
            )
        }
        self.excluders = [
            [
                (evidence, self._speaks_of_symptom(evidence))
                for evidence in candidate.cause.evidence
                if evidence.rules_out
            ]
            for candidate in base.candidates
        ]
        self.refuters = self._refuters()

    # -- one look ---------------------------------------------------------------------------------------------

    def weigh(self, facts: Facts, refuted: frozenset[str] = frozenset()) -> Weighed:
        """Weigh the facts; ``refuted`` causes are set aside."""
        # An answer that merely follows from another is no further clue, so the discount counts what was told.
        answers = self.informative_answers(facts)
        facts = fill_implied(self.base.knowledge, facts)
        conclusions = run(self.base.program, facts)
        lam = discount(answers, self.rho)
        pseudo = self.pseudo_values(facts)
        out = self._set_aside(facts, conclusions, refuted)
        out_for = tuple(self._set_aside_for(facts, conclusions, j) for j in range(len(facts.symptoms)))
        tree = [
            self.tree_ratio(i, facts, pseudo, answers) if self.causes[i] not in out else 0.0
            for i in range(len(self.base.candidates))
        ]
        rows = [
            [
                0.0 if self.causes[i] in out_for[j] else self.symptom_ratio(i, j, facts, pseudo, answers)
                for i in range(len(self.base.candidates))
            ]
            + [self.else_ratio(facts, j)]
            for j in range(len(facts.symptoms))
        ]
        tree.append(1.0)
        observed = tuple(
            sorted(name for name in facts.tree if name in self.informative and facts.tree[name] != OVERLOOKED)
        )
        beliefs = believe(self.priors, tree, rows, lambda a, b: self.overlap(a, b, observed))
        return Weighed(
            facts,
            conclusions,
            answers,
            lam,
            self.causes,
            tuple(tree),
            tuple(map(tuple, rows)),
            beliefs,
            out,
            out_for,
        )

    def informative_answers(self, facts: Facts) -> int:
        """How many signs with something to say have been answered (tree-wide ones plus the most of any symptom)."""

        def count(values: Mapping[str, str]) -> int:
            return len({self.base.variables[name].sign for name in values if name in self.informative})

        return count(facts.tree) + max((count(values) for values in facts.symptoms), default=0)

    def pseudo_values(self, facts: Facts) -> dict[str, str]:
        """The values of the 'some symptom ...' variables that are known."""
        told = {name: some_symptom(inner, facts) for name, inner in self.base.somes.items()}
        return {name: "yes" if value else "no" for name, value in told.items() if value is not None}

    # -- likelihood ratios ------------------------------------------------------------------------------------

    def tree_ratio(self, cause: int, facts: Facts, pseudo: Mapping[str, str], answers: int) -> float:
        """The tree-wide likelihood ratio of a candidate."""
        return prod(
            self.component_ratio(cause, k, component, facts, None, pseudo, answers)
            for k, component in enumerate(self.base.candidates[cause].components)
            if not component.of_symptom
        )

    def symptom_ratio(self, cause: int, symptom: int, facts: Facts, pseudo: Mapping[str, str], answers: int) -> float:
        """The likelihood ratio of a candidate on one symptom, its plant part included."""
        candidate = self.base.candidates[cause]
        ratio = candidate.part_ratio[facts.symptoms[symptom].get("part_is", "leaf")]
        for k, component in enumerate(candidate.components):
            if component.of_symptom:
                ratio *= self.component_ratio(cause, k, component, facts, symptom, pseudo, answers)
        return ratio

    def component_ratio(
        self,
        cause: int,
        k: int,
        component: Component,
        facts: Facts,
        symptom: int | None,
        pseudo: Mapping[str, str],
        answers: int,
    ) -> float:
        """The likelihood ratio of what is known of one component."""
        swept = self.swept(self.numbers[cause, k], component, facts, symptom, pseudo)
        ratios = self.leaf_ratios(self.numbers[cause, k], component, answers)
        return sum(mass * ratio for mass, ratio in zip(swept.total, ratios, strict=True))

    def swept(
        self, number: int, component: Component, facts: Facts, symptom: int | None, pseudo: Mapping[str, str]
    ) -> Sweep:
        """Leaf masses of a component given what is known of its variables."""
        known = tuple(pseudo.get(name) or facts.known(symptom, name) for name in component.diagram.variables)
        key = (number, known)
        found = self.sweeps.get(key)
        if found is None:
            weights = [
                row if value is None else observed_weights(self.base.variables[name], classes, value, row)
                for name, classes, value, row in zip(
                    component.diagram.variables, component.diagram.classes, known, component.base, strict=True
                )
            ]
            found = self.sweeps[key] = sweep(component.diagram, weights)
        return found

    def leaf_ratios(self, number: int, component: Component, answers: int) -> tuple[float, ...]:
        """The leaf ratios of a component at the discount for so many answers."""
        key = (number, answers)
        found = self.ratios.get(key)
        if found is None:
            found = self.ratios[key] = leaf_ratios(component.weights, component.prior, discount(answers, self.rho))
        return found

    def else_ratio(self, facts: Facts, symptom: int) -> float:
        """How well 'something not in this knowledge base' explains a symptom: (1 - tau) * P0 + tau / k over P0."""
        ratio = 1.0
        for name, value in sorted(facts.symptoms[symptom].items()):
            variable = self.base.variables.get(name)
            if variable is not None and name in self.informative and value != OVERLOOKED and "." not in name:
                ratio *= (1 - self.tau) + self.tau / (len(variable.base) * max(variable.base[value], 1e-6))
        return ratio

    # -- two causes at once -----------------------------------------------------------------------------------

    def overlap(self, first: int, second: int, observed: tuple[str, ...]) -> float:
        """W of two causes over the observed tree-wide variables (1 where they do not both speak)."""
        last = len(self.base.candidates)
        if last in (first, second):
            return 1.0
        mine, other = self.tree_tables(first), self.tree_tables(second)
        result = 1.0
        for name in observed:
            if name in mine and name in other:
                key = (min(first, second), max(first, second), name)
                if key not in self.overlaps:
                    base = self.base.variables[name].base
                    self.overlaps[key] = sum(
                        share * mine[name][value] * other[name][value] for value, share in base.items()
                    )
                result *= self.overlaps[key]
        return result

    def tree_tables(self, cause: int) -> dict[str, dict[str, float]]:
        """For each tree-wide variable of a candidate, the marginal likelihood ratio of each value."""
        if cause not in self.tables:
            self.tables[cause] = self._tree_tables(cause)
        return self.tables[cause]

    def _tree_tables(self, cause: int) -> dict[str, dict[str, float]]:
        tables: dict[str, dict[str, float]] = {}
        for k, component in enumerate(self.base.candidates[cause].components):
            if component.of_symptom:
                continue
            swept = sweep(component.diagram, component.base)
            ratios = self.leaf_ratios(self.numbers[cause, k], component, USUAL_ANSWERS)
            for v, name in enumerate(component.diagram.variables):
                by_class = [sum(m * r for m, r in zip(masses, ratios, strict=True)) for masses in swept.given[v]]
                tables[name] = {value: by_class[number] for value, number in component.diagram.classes[v].items()}
        return tables

    # -- setting aside ----------------------------------------------------------------------------------------

    def _speaks_of_symptom(self, evidence: Evidence) -> bool:
        return any(
            name == "part_is" or (name in self.base.variables and self.base.variables[name].of_symptom)
            for name in variables_in(evidence.when)
        )

    def _refuters(self) -> list[tuple[str, str, frozenset[str]]]:
        return [
            (check.gives, result.answer, frozenset(result.refutes))
            for check in self.base.knowledge.checks.values()
            for result in check.results
            if result.refutes
        ]

    def _set_aside(self, facts: Facts, conclusions: Conclusions, refuted: frozenset[str]) -> dict[str, Evidence | None]:
        out: dict[str, Evidence | None] = dict.fromkeys(sorted(refuted))
        for sign, answer, causes in self.refuters:
            if facts.tree.get(sign) == answer:
                out.update(dict.fromkeys(sorted(causes)))
        for candidate, excluders in zip(self.base.candidates, self.excluders, strict=True):
            for evidence, of_symptom in excluders:
                if not of_symptom and holds(evidence.when, facts, conclusions, None):
                    out[candidate.cause.id] = evidence
        return out

    def _set_aside_for(self, facts: Facts, conclusions: Conclusions, symptom: int) -> dict[str, Evidence]:
        return {
            candidate.cause.id: evidence
            for candidate, excluders in zip(self.base.candidates, self.excluders, strict=True)
            for evidence, of_symptom in excluders
            if of_symptom and holds(evidence.when, facts, conclusions, symptom)
        }


def observed_weights(
    variable: Variable, classes: Mapping[str, int], value: str, base: tuple[float, ...]
) -> tuple[float, ...]:
    """Class weights once a value is known; 'none that I noticed' keeps some of the chance of having overlooked it."""
    if value != OVERLOOKED:
        return tuple(1.0 if number == classes[value] else 0.0 for number in range(len(base)))
    row = [0.0] * len(base)
    for name, number in classes.items():
        row[number] += variable.base[name] * (1.0 if name in variable.none_values else variable.miss)
    total = sum(row)
    return tuple(weight / total for weight in row)
