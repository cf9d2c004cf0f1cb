"""What answers to a question would do: how likely each is, and the beliefs it would lead to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import log2
from operator import mul

from sallow.reasoning.facts import SHOWN, Values
from sallow.reasoning.likelihood import Known, Spoken, folded, left_of, narrowed
from sallow.reasoning.weigh import Scales, Weighed
from sallow.reasoning.worlds import waited_for
from sallow.values import dataclass, replace


@dataclass(frozen=True, slots=True)
class Prospect:
    """One possible answer: how likely it is now, and the beliefs it would lead to (per cause)."""

    value: str
    chance: float
    beliefs: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Lead:
    """One possible answer: how likely it is now, which cause it would put first, and how likely that would be."""

    value: str
    chance: float
    cause: int
    belief: float


class Outlook:
    """The possible answers to the questions of one weighed look."""

    def __init__(self, scales: Scales, weighed: Weighed) -> None:
        self.scales = scales
        self.weighed = weighed
        self.refuted = frozenset(cause for cause, evidence in weighed.out.items() if evidence is None)
        pseudo = scales.pseudo_values(weighed.facts)
        self.known: dict[int | None, Mapping[int, Known]] = {
            symptom: scales.touched(weighed.facts, symptom, pseudo) for symptom in self.scopes()
        }
        facts = weighed.facts
        whole: Values = {**facts.context, **facts.tree}
        self.told: dict[int | None, Values] = {None: whole}
        self.told |= {symptom: {**whole, **own} for symptom, own in enumerate(facts.symptoms)}
        # Signs of a symptom of which it is only known that they show something odd.
        self.shown: dict[int | None, Mapping[str, str]] = {
            symptom: {n: v for n, v in scales.seen(weighed.facts, symptom).items() if v == SHOWN}
            for symptom in self.scopes()
        }
        # Whether something told may yet show what evidence of the tree asks of some symptom.
        self.waiting = bool(waited_for(scales, facts, pseudo))
        self.beliefs = {symptom: self._shares(symptom) for symptom in self.scopes()}
        self._spoken: dict[tuple[int | None, str], Spoken] = {}
        self.mixtures: dict[tuple[int | None, str], list[float]] = {}

    def scopes(self) -> tuple[int | None, ...]:
        """The tree and each symptom."""
        return (None, *range(len(self.weighed.facts.symptoms)))

    def spoken(self, symptom: int | None, name: str) -> Spoken:
        """What each cause says of a variable of a scope, given what is known."""
        key = (symptom, name)
        if key not in self._spoken:
            likelihoods, sign = self.scales.likelihoods, self.scales.base.shown_by.get(name)
            if sign is not None:
                found = folded(self.scales.base.variables[sign], self.spoken(symptom, sign))
            else:
                known = self.known[symptom]
                found = likelihoods.spoken(symptom is not None, name, known, self.weighed.answers)
                if name in self.shown[symptom]:
                    found = narrowed(self.base(symptom, name), found)
            self._spoken[key] = found
        return self._spoken[key]

    def base(self, symptom: int | None, name: str) -> Mapping[str, float]:
        """The base rate of each value of a variable of a scope, as far as it is not known."""
        variable, left = self.scales.base.variables[name], self.shown[symptom].get(name)
        return variable.base if left is None else left_of(variable, left)

    def names(self, symptom: int | None, sign: str) -> list[str]:
        """The variables of a sign or event that some cause speaks of and that are not known, in a fixed order."""
        if symptom not in self.known:
            return []
        places, detail = self.scales.likelihoods.places[symptom is not None], self.scales.base.shown_by.get
        told = self.told[symptom]
        return [
            name
            for name in self.scales.names_of(sign)
            if name not in told and (shown := detail(name, name)) in places and shown not in told
        ]

    def shares(self, symptom: int | None) -> Sequence[float]:
        """The beliefs that a question of this scope works on."""
        return self.beliefs[symptom]

    def _shares(self, symptom: int | None) -> Sequence[float]:
        beliefs = self.weighed.beliefs.of_symptom
        if symptom is not None:
            return beliefs[symptom]
        return self._mean(beliefs)

    @staticmethod
    def _mean(beliefs: Sequence[Sequence[float]]) -> list[float]:
        return [sum(row) / len(beliefs) for row in zip(*beliefs, strict=True)]

    def gain(self, symptom: int | None, name: str) -> float:
        """Expected information (bits) of a variable about the cause: H(mixture) minus the mean entropy of its rows."""
        spoken = self.spoken(symptom, name)
        shares = self.shares(symptom)
        own = [shares[i] for i in spoken.speakers]
        silent = 1 - sum(own)
        total: float = sum(map(mul, own, spoken.inner))
        mixture = self.mixtures[symptom, name] = [silent + sum(map(mul, own, column)) for column in spoken.columns]
        for share, mixed in zip(self.base(symptom, name).values(), mixture, strict=True):
            if share > 0.0 and mixed > 0.0:
                total -= share * mixed * log2(mixed)
        return max(total, 0.0)

    def mixture(self, symptom: int | None, name: str) -> Sequence[float]:
        """For each value of a variable its chance over its base rate, with beliefs as they are."""
        if (symptom, name) not in self.mixtures:
            self.gain(symptom, name)
        return self.mixtures[symptom, name]

    def prospects(self, symptom: int | None, name: str) -> list[Prospect]:
        """What each value of a variable would make of the beliefs of this scope."""
        several = len(self.weighed.symptoms) > 1
        if name in self.scales.heard or (symptom is None and (several or self.waiting)):
            return self.prospects_together(symptom, name)
        return self.prospects_alone(symptom, name)

    def prospects_together(self, symptom: int | None, name: str) -> list[Prospect]:
        """The same where an answer bears on the causes of several symptoms at once: each value is weighed."""
        weighed, result = self.weighed, []
        for value, share in self.base(symptom, name).items():
            told = weighed.told
            told = told.with_tree(name, value) if symptom is None else told.with_symptom(symptom, name, value)
            later = self.scales.weigh(told, self.refuted, weighed.answers).beliefs
            beliefs = self._mean(later.of_symptom) if symptom is None else later.of_symptom[symptom]
            result.append(Prospect(value, share * later.evidence, tuple(beliefs)))
        total = sum(prospect.chance for prospect in result)
        return [replace(p, chance=p.chance / total) for p in result if p.chance > 0]

    def prospects_alone(self, symptom: int | None, name: str) -> list[Prospect]:
        """The same, as if each cause were alone: exact for a symptom or where there is but one, else near enough to
        choose a question by."""
        shares = self.shares(symptom)
        spoken = self.spoken(symptom, name)
        result = []
        for (value, share), column in zip(self.base(symptom, name).items(), spoken.columns, strict=True):
            raw = list(shares)
            for i, ratio in zip(spoken.speakers, column, strict=True):
                raw[i] *= ratio
            total = sum(raw)
            if share > 0 and total > 0:
                result.append(Prospect(value, share * total, tuple(belief / total for belief in raw)))
        return result

    def leads(self, symptom: int | None, name: str, beliefs: Sequence[float], order: Sequence[int]) -> Iterator[Lead]:
        """Which cause each value of a variable would put first; ``order`` lists the causes by belief, best first."""
        spoken = self.spoken(symptom, name)
        own = [beliefs[i] for i in spoken.speakers]
        silent = 1 - sum(own)
        quiet = next((i for i in order if i not in spoken.among), -1)
        for (value, share), column in zip(self.base(symptom, name).items(), spoken.columns, strict=True):
            raw = list(map(mul, own, column))
            total = silent + sum(raw)
            if share > 0 and total > 0:
                best, leader = max(zip(raw, (-i for i in spoken.speakers), strict=True))
                if quiet >= 0:
                    best, leader = max((best, leader), (beliefs[quiet], -quiet))
                yield Lead(value, share * total, -leader, best / total)
