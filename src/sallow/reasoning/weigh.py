"""Weighs a look: likelihood ratios of every candidate cause, and from them the beliefs.

Weights of evidence after Good (1950, 1985); the discount for dependent clues after Spiegelhalter and
Knill-Jones (1984). Work on a component is remembered by what is known of its variables, so one more answer costs
only what depends on it and taking an answer back restores the very same numbers.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property, partial

from sallow.knowledge.conditions import All, Any_, Condition, Finds, Not, Some, Test, variables_in
from sallow.knowledge.model import Evidence
from sallow.reasoning.chain import Conclusions, holds, run, some_symptom
from sallow.reasoning.compile import SHARE_OF_SOMETHING_ELSE, SOMETHING_ELSE, Base
from sallow.reasoning.explanations import Beliefs, believe, mixed
from sallow.reasoning.facts import OVERLOOKED, SHOWN, Facts
from sallow.reasoning.following import fill_implied
from sallow.reasoning.likelihood import Known, Likelihoods, Memory, known_values, left_of
from sallow.reasoning.overlaps import Overlaps
from sallow.reasoning.variables import Variable
from sallow.reasoning.worlds import heard_of, thought_through
from sallow.values import dataclass, replace

# Chosen by cross-validation on the published cases that are not held out (tests/tools/fit_discount.py).
RHO = 0.0
TAU = 0.3


@dataclass(frozen=True, slots=True)
class Weighed:
    """A weighed look. ``told`` are the facts as told, ``facts`` those with what follows from them; ``causes`` the
    candidate ids in order with 'something else' last, ``tree`` and ``symptoms`` their likelihood ratios; ``out`` the
    causes set aside for the look, ``out_for`` per symptom."""

    told: Facts
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

    def __init__(self, base: Base, rho: float = RHO, tau: float = TAU, memory: Memory | None = None) -> None:
        self.base = base
        self.rho = rho
        self.tau = tau
        self.causes = (*(candidate.id for candidate in base.candidates), SOMETHING_ELSE)
        self.priors = (*(candidate.prior for candidate in base.candidates), SHARE_OF_SOMETHING_ELSE)
        if len(self.causes) == 1:
            self.priors = (1.0,)
        self.informative = frozenset(
            name
            for candidate in base.candidates
            for component in candidate.components
            for name in component.diagram.variables
        )
        self.informative |= {entry for entry, sign in base.shown_by.items() if sign in self.informative}
        self.odd = {
            name: odd_ratios(base.variables[name], tau) for name in sorted(self.informative) if self._may_be_odd(name)
        }
        self.likelihoods = Likelihoods(base, rho, {name: tuple(row.values()) for name, row in self.odd.items()}, memory)
        self.heard = frozenset(name for inner in base.somes.values() for name in variables_in(inner))
        self.heard_of = heard_of(self)
        # What some symptom shows, with the parts of the plant that can show it.
        self.some_parts = [(name, inner, self._parts(inner)) for name, inner in base.somes.items()]
        self.signs = {
            of_symptom: tuple(sorted({base.variables[name].sign for name in places if base.variables[name].sign}))
            for of_symptom, places in self.likelihoods.places.items()
        }
        self.overlaps = Overlaps(self.likelihoods)
        self.excluders = [
            (candidate.id, evidence, self._speaks_of_symptom(evidence), asked_of(evidence.when))
            for candidate in base.candidates
            for evidence in sorted(candidate.brief.rules_out, key=lambda e: (e.about, e.because))
        ]
        self.refuters = self._refuters()

    # -- one look ---------------------------------------------------------------------------------------------

    def weigh(self, facts: Facts, refuted: frozenset[str] = frozenset(), answers: int | None = None) -> Weighed:
        """Weigh the facts; ``refuted`` causes are set aside; the discount is that of so many ``answers``, else of
        those given."""
        # An answer that merely follows from another is no further clue, so the discount counts what was told.
        told, answers = facts, self.informative_answers(facts) if answers is None else answers
        facts = fill_implied(self.base.knowledge, told)
        conclusions = run(self.base.program, facts)
        pseudo = self.pseudo_values(facts)
        out = self._set_aside(facts, conclusions, refuted)
        out_for = tuple(self._set_aside_for(facts, conclusions, j) for j in range(len(facts.symptoms)))
        tree = self.tree_ratios(facts, pseudo, answers, out)
        rows = tuple(self.symptom_ratios(j, facts, pseudo, answers, out_for[j]) for j in range(len(facts.symptoms)))
        observed = tuple(
            sorted(name for name in facts.tree if name in self.informative and facts.tree[name] != OVERLOOKED)
        )
        found = thought_through(self, facts, pseudo, answers, out, out_for) or [(tree, rows)]
        linked = self.overlaps.linked(observed) if len(rows) > 1 else {}
        overlap = partial(self.overlaps.overlap, observed=observed)
        beliefs = mixed([believe(self.priors, of_tree, of_odd, overlap, linked) for of_tree, of_odd in found])
        return Weighed(
            told,
            facts,
            conclusions,
            answers,
            self.likelihoods.discount(answers),
            self.causes,
            tree,
            rows,
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
        told = {name: some_symptom(inner, able(parts, facts)) for name, inner, parts in self.some_parts}
        return {name: "yes" if value else "no" for name, value in told.items() if value is not None}

    def _parts(self, inner: Condition) -> frozenset[str]:
        return frozenset(self.base.variables[name].part for name in variables_in(inner) if name in self.base.variables)

    # -- likelihood ratios ------------------------------------------------------------------------------------

    def touched(self, facts: Facts, symptom: int | None, pseudo: Mapping[str, str]) -> dict[int, Known]:
        """What is known of each component that joins a known variable with others, as seen from a symptom or from
        the tree."""
        own = self.seen(facts, symptom)
        numbers = self.likelihoods.touched(symptom is not None, {*facts.tree, *pseudo, *own})
        if not numbers:
            return {}
        value = known_values(facts, own, pseudo).get
        components = self.likelihoods.components
        return {number: tuple(map(value, components[number][1].diagram.variables)) for number in numbers}

    def seen(self, facts: Facts, symptom: int | None) -> Mapping[str, str]:
        """What is known of a symptom, with the signs of which no more is known than that they show something odd."""
        if symptom is None:
            return {}
        own = facts.symptoms[symptom]
        part = {"yes": SHOWN, OVERLOOKED: OVERLOOKED}
        more = {
            sign: part[own[entry]]
            for entry, sign in self.base.shown_by.items()
            if sign not in own and own.get(entry) in part
        }
        return {**own, **more} if more else own

    def _weighed_in(
        self, ratios: list[float], facts: Facts, symptom: int | None, pseudo: Mapping[str, str], answers: int
    ) -> None:
        """Multiply the likelihood ratios of what is known of the tree (or of a symptom) into those of the causes."""
        likelihoods = self.likelihoods
        values = {**facts.tree, **pseudo} if symptom is None else self.seen(facts, symptom)
        for name in sorted(values):
            for cause, ratio in likelihoods.alone(symptom is not None, name, values[name], answers):
                ratios[cause] *= ratio
        for number, known in self.touched(facts, symptom, pseudo).items():
            cause = likelihoods.components[number][0]
            if ratios[cause]:
                ratios[cause] *= likelihoods.ratio(number, known, answers)

    def tree_ratios(
        self, facts: Facts, pseudo: Mapping[str, str], answers: int, out: Mapping[str, object]
    ) -> tuple[float, ...]:
        """The likelihood ratio of what is known of the tree, for each cause and 'something else'."""
        ratios = [0.0 if cause in out else 1.0 for cause in self.causes[:-1]]
        self._weighed_in(ratios, facts, None, pseudo, answers)
        return (*ratios, 1.0)

    def symptom_ratios(
        self, symptom: int, facts: Facts, pseudo: Mapping[str, str], answers: int, out: Mapping[str, object]
    ) -> tuple[float, ...]:
        """The likelihood ratio of what is known of a symptom, for each cause and 'something else'."""
        part = facts.symptoms[symptom].get("part_is", "leaf")
        ratios = [
            0.0 if cause in out else candidate.brief.part_ratio[part]
            for cause, candidate in zip(self.causes, self.base.candidates, strict=False)
        ]
        self._weighed_in(ratios, facts, symptom, pseudo, answers)
        return (*ratios, self.else_ratio(facts, symptom))

    def else_ratio(self, facts: Facts, symptom: int) -> float:
        """How well 'something not in this knowledge base' explains a symptom."""
        ratio = 1.0
        for name, value in sorted(self.seen(facts, symptom).items()):
            if name in self.odd:
                odd = self.odd[name]
                ratio *= odd[value] if value in odd else self._odd_among(name, value)
        return ratio

    def _odd_among(self, name: str, value: str) -> float:
        """The ratio under 'something else' when it is only known what is left of a variable's values."""
        left = left_of(self.base.variables[name], value)
        return sum(weight * self.odd[name][told] for told, weight in left.items())

    def _may_be_odd(self, name: str) -> bool:
        return "." not in name and self.base.variables[name].of_symptom

    # -- what questions lean on -------------------------------------------------------------------------------

    def names_of(self, sign: str) -> tuple[str, ...]:
        """The variables of a sign or event, in a fixed order."""
        return self._names.get(sign, ())

    @cached_property
    def _names(self) -> Mapping[str, tuple[str, ...]]:
        found: dict[str, list[str]] = {}
        for name, variable in sorted(self.base.variables.items()):
            found.setdefault(variable.sign, []).append(name)
        return {sign: tuple(names) for sign, names in found.items()}

    @cached_property
    def first_steps(self) -> tuple[object, ...]:
        """What each cause tells a person to do for now; causes with the same steps need not be told apart."""
        steps = [
            tuple(step.do for step in candidate.cause.steps if step.when in ("now", "likely"))
            for candidate in self.base.candidates
        ]
        return (*steps, SOMETHING_ELSE)

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
        for cause, evidence in self._excluding(False, {**facts.context, **facts.tree}):
            if holds(evidence.when, facts, conclusions, None):
                out[cause] = evidence
        return out

    def _set_aside_for(self, facts: Facts, conclusions: Conclusions, symptom: int) -> dict[str, Evidence]:
        known = {**facts.context, **facts.tree, **facts.symptoms[symptom]}
        return {
            cause: evidence
            for cause, evidence in self._excluding(True, known)
            if holds(evidence.when, facts, conclusions, symptom)
        }

    def _excluding(self, of_symptom: bool, known: Mapping[str, str]) -> Iterator[tuple[str, Evidence]]:
        """The evidence that rules causes out and may hold: a condition on nothing that is known never does."""
        for cause, evidence, symptomatic, asked in self.excluders:
            if symptomatic == of_symptom and (asked is None or not asked.isdisjoint(known)):
                yield cause, evidence


def asked_of(condition: Condition) -> frozenset[str] | None:
    """What a condition that reads answers alone reads; None for one that reads findings or what other symptoms show."""
    match condition:
        case Test(variable, _):
            return frozenset((variable,))
        case Finds() | Some():
            return None
        case Not(inner):
            return asked_of(inner)
        case All(parts) | Any_(parts):
            read = [asked_of(part) for part in parts]
            return None if None in read else frozenset().union(*(names for names in read if names)) or None


def able(parts: frozenset[str], facts: Facts) -> Facts:
    """The facts as belief reads them for 'some symptom ...': of the symptoms told, those whose part can show it.
    Where one was described without it, another that was not told is not expected."""
    showing = tuple(own for own in facts.symptoms if parts <= {"any", own.get("part_is", "leaf")})
    return replace(facts, symptoms=showing, closed=True) if showing else facts


def odd_ratios(variable: Variable, tau: float) -> dict[str, float]:
    """The likelihood ratio of each value under 'something not in this knowledge base': (1 - tau) * P0 + tau / k over
    P0, which notices odd answers and does not win on ordinary ones."""
    even = tau / len(variable.base)
    return {value: (1 - tau) + even / max(share, 1e-6) for value, share in variable.base.items()}
