"""The next question: the one that is expected to tell most for its effort, as long as it can change the next step."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import log2

from sallow.knowledge.conditions import variables_in
from sallow.knowledge.model import Knowledge, Sign
from sallow.reasoning.chain import holds
from sallow.reasoning.facts import OVERLOOKED
from sallow.reasoning.weigh import Scales, Weighed
from sallow.reasoning.words import word_for

# Gains under this many bits, or changes less likely than this, are not worth a person's time.
LEAST_GAIN = 0.002
LEAST_CHANCE = 0.05
TRIED_SINGLY = 16
TRIED_IN_PAIRS = 5
WORTH_RULING_OUT = 0.01
TRIAL_EFFORT = 5.0

Row = tuple[int, Mapping[str, float]]


@dataclass(frozen=True, slots=True)
class Question:
    """A sign to ask, of a symptom (its number) or of the tree (None), with its expected gain in bits.

    ``reason`` is 'change' when an answer can change the next step, 'flag' when it can rule out a red flag.
    """

    symptom: int | None
    sign: str
    gain: float
    effort: float
    reason: str = "change"


@dataclass(frozen=True, slots=True)
class Prospect:
    """One possible answer: how likely it is now, and the beliefs it would lead to (per cause)."""

    value: str
    chance: float
    beliefs: tuple[float, ...]


class Asker:
    """Chooses questions for one weighed look. ``asked`` holds the (symptom, sign) pairs already put to the person."""

    def __init__(
        self,
        scales: Scales,
        weighed: Weighed,
        asked: Collection[tuple[int | None, str]],
        hardest: float = TRIAL_EFFORT,
    ) -> None:
        self.scales = scales
        self.weighed = weighed
        self.asked = frozenset(asked)
        self.hardest = hardest
        self.knowledge: Knowledge = scales.base.knowledge
        self.rows = {symptom: self._rows(symptom) for symptom in self.scopes()}

    def scopes(self) -> tuple[int | None, ...]:
        """The tree and each symptom."""
        return (None, *range(len(self.weighed.facts.symptoms)))

    # -- candidates -------------------------------------------------------------------------------------------

    def _rows(self, symptom: int | None) -> dict[str, list[Row]]:
        """For every unanswered variable of a scope: each cause that speaks of it, and the ratio of each value."""
        facts, scales = self.weighed.facts, self.scales
        pseudo = scales.pseudo_values(facts)
        rows: dict[str, list[Row]] = {}
        for i, candidate in enumerate(scales.base.candidates):
            if self.weighed.beliefs.member[i] < 1e-7:
                continue
            for k, component in enumerate(candidate.components):
                if component.of_symptom != (symptom is not None):
                    continue
                number = scales.numbers[i, k]
                swept = scales.swept(number, component, facts, symptom, pseudo)
                ratios = scales.leaf_ratios(number, component, self.weighed.answers)
                total = sum(m * r for m, r in zip(swept.total, ratios, strict=True)) or 1e-300
                for v, name in enumerate(component.diagram.variables):
                    if name.startswith("some.") or facts.known(symptom, name) is not None:
                        continue
                    by_class = [
                        sum(m * r for m, r in zip(masses, ratios, strict=True)) / total for masses in swept.given[v]
                    ]
                    rows.setdefault(name, []).append(
                        (i, {value: by_class[c] for value, c in component.diagram.classes[v].items()})
                    )
        return rows

    def askable(self, symptom: int | None, sign: Sign) -> bool:
        """Whether a sign belongs to the scope and its ``ask_when`` holds."""
        if (symptom is None) == sign.of_symptom or (symptom, sign.id) in self.asked or sign.kind == "date":
            return False
        facts, conclusions = self.weighed.facts, self.weighed.conclusions
        if symptom is not None and sign.part not in ("any", facts.symptoms[symptom].get("part_is", "leaf")):
            return False
        return sign.ask_when is None or holds(sign.ask_when, facts, conclusions, symptom) is True

    def candidates(self) -> list[Question]:
        """Every question that may be asked now, by expected information for its effort, best first."""
        found: list[Question] = []
        for symptom in self.scopes():
            gains: dict[str, float] = {}
            for name in self.rows[symptom]:
                sign = self.scales.base.variables[name].sign
                gains[sign] = gains.get(sign, 0.0) + self.gain(symptom, name)
            for sign_id, gain in gains.items():
                effort = self.effort(symptom, sign_id)
                if effort is not None and gain >= LEAST_GAIN:
                    found.append(Question(symptom, sign_id, gain, effort))
        return sorted(found, key=lambda q: (-q.gain / (q.effort + 1.0), q.sign, -1 if q.symptom is None else q.symptom))

    def effort(self, symptom: int | None, sign_id: str) -> float | None:
        """The effort of a sign or event that may be asked now, else None."""
        if sign_id.startswith("event."):
            return 0.5 if symptom is None and (None, sign_id) not in self.asked else None
        sign = self.knowledge.signs[sign_id]
        return sign.effort if sign.effort <= self.hardest and self.askable(symptom, sign) else None

    # -- what an answer would do -------------------------------------------------------------------------------

    def shares(self, symptom: int | None) -> Sequence[float]:
        """The beliefs that a question of this scope works on."""
        beliefs = self.weighed.beliefs.of_symptom
        if symptom is not None:
            return beliefs[symptom]
        return [sum(row[i] for row in beliefs) / len(beliefs) for i in range(len(beliefs[0]))]

    def gain(self, symptom: int | None, name: str) -> float:
        """Expected information (bits) of a variable about the cause: H(mixture) minus the mean entropy of its rows."""
        base = self.scales.base.variables[name].base
        shares = self.shares(symptom)
        rows = self.rows[symptom][name]
        spoken = sum(shares[i] for i, _ in rows)
        total = 0.0
        for value, share in base.items():
            if share <= 0.0:
                continue
            mixed = (1 - spoken) + sum(shares[i] * ratios[value] for i, ratios in rows)
            if mixed <= 0.0:
                continue
            inner = sum(shares[i] * r * log2(r) for i, ratios in rows if (r := ratios[value]) > 1e-12)
            total += share * (inner - mixed * log2(mixed))
        return max(total, 0.0)

    def prospects(self, symptom: int | None, name: str, beliefs: Sequence[float] | None = None) -> list[Prospect]:
        """What each value of a variable would make of the beliefs (of this scope, or those given)."""
        shares = self.shares(symptom) if beliefs is None else beliefs
        rows = dict(self.rows[symptom].get(name, ()))
        result = []
        for value, share in self.scales.base.variables[name].base.items():
            raw = [belief * rows[i][value] if i in rows else belief for i, belief in enumerate(shares)]
            total = sum(raw)
            if total > 0:
                result.append(Prospect(value, share * total, tuple(belief / total for belief in raw)))
        return result

    def variables_of(self, question: Question) -> list[str]:
        """The variables of a question that some cause speaks of, in a fixed order."""
        return sorted(
            name for name in self.rows[question.symptom] if self.scales.base.variables[name].sign == question.sign
        )

    def decision(self, beliefs: Sequence[float]) -> tuple[object, ...]:
        """What the person would be told to do first: the first steps of the leading cause, and how sure the word is."""
        leader = max(range(len(beliefs)), key=lambda i: (beliefs[i], -i))
        word = word_for(beliefs[leader])
        if leader == len(beliefs) - 1:
            return ("something else", word)
        steps = self.scales.base.candidates[leader].cause.steps
        return (tuple(step.do for step in steps if step.when in ("now", "likely")), word)

    def can_change(self, question: Question) -> bool:
        """Whether some answer, likely enough, would change the decision."""
        before = self.decision(self.shares(question.symptom))
        changed = sum(
            prospect.chance
            for name in self.variables_of(question)
            for prospect in self.prospects(question.symptom, name)
            if self.decision(prospect.beliefs) != before
        )
        return changed >= LEAST_CHANCE

    def pair_can_change(self, first: Question, second: Question) -> bool:
        """Whether two answers together, likely enough, would change the decision."""
        if first.symptom != second.symptom:
            return False
        before = self.decision(self.shares(first.symptom))
        changed = 0.0
        for one in self.variables_of(first)[:3]:
            for prospect in self.prospects(first.symptom, one):
                for other in self.variables_of(second)[:3]:
                    changed += sum(
                        prospect.chance * later.chance
                        for later in self.prospects(second.symptom, other, prospect.beliefs)
                        if self.decision(later.beliefs) != before
                    )
        return changed >= LEAST_CHANCE

    # -- the choice --------------------------------------------------------------------------------------------

    def flag_questions(self) -> Iterator[Question]:
        """Signs that could raise or rule out a red flag that has not been settled yet."""
        for i, candidate in enumerate(self.scales.base.candidates):
            if self.weighed.beliefs.member[i] < WORTH_RULING_OUT:
                continue
            for flag in candidate.cause.red_flag:
                for symptom in self.scopes():
                    if holds(flag.when, self.weighed.facts, self.weighed.conclusions, symptom) is not None:
                        continue
                    for name in sorted(variables_in(flag.when)):
                        variable = self.scales.base.variables.get(name)
                        if variable is None or self.weighed.facts.known(symptom, name) not in (
                            None,
                            OVERLOOKED,
                        ):
                            continue
                        effort = self.effort(symptom, variable.sign)
                        if effort is not None and effort <= 3:
                            yield Question(symptom, variable.sign, 0.0, effort, "flag")

    def next(self) -> Question | None:
        """The next question, or None when nothing left to ask could change the next step."""
        ranked = self.candidates()
        for question in ranked[:TRIED_SINGLY]:
            if self.can_change(question):
                return question
        for first, second in combinations(ranked[:TRIED_IN_PAIRS], 2):
            if self.pair_can_change(first, second):
                return first
        return next(self.flag_questions(), None)
