"""The shortest sets of answers not yet given that would put another cause first: one, else two, else three.

Sets are found by what each answer does to the odds between the leading cause and another, as if answers did not
bear on each other, and then given to the ordinary engine: only a set that does turn the order, and of which no part
does so by itself, is named. The search is bounded, so a rare set may be missed; none is named that does not hold.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import chain, combinations
from math import prod
from operator import itemgetter, mul, truediv
from typing import NamedTuple

from sallow.reasoning.answering import with_answer
from sallow.reasoning.ask import Asker, Question
from sallow.reasoning.compile import SOMETHING_ELSE
from sallow.reasoning.facts import Facts
from sallow.reasoning.following import fill_implied, only_sensible
from sallow.reasoning.weigh import Scales, Weighed
from sallow.values import dataclass

NO_LIMIT = 10.0
MOST_ANSWERS = 3
# Answers less likely than this are not worth naming.
LEAST_CHANCE = 0.005
# How many rivals of the leading cause are looked at, and how many answers of each in sets of two and of three.
RIVALS = 24
MOST_OF_EACH = {2: 10, 3: 8}
# How many sets of each size are given to the engine at most; single answers until one of them holds.
MOST_TRIED = {1: 6, 2: 6, 3: 4}
# The engine is also asked about sets that fall short of turning the odds by this factor (three decibans, one deciban).
NEARLY = {1: 0.5, 2: 0.8, 3: 0.8}


# One number for each rival, after one for the leader where that is said.
Ratios = tuple[float, ...]


class Effect(NamedTuple):
    """What one value of a variable does: its chance, that over its base rate, what it says of leader and rivals."""

    value: str
    chance: float
    mixed: float
    ratios: Ratios


NO_EFFECT = Effect("", 0.0, 0.0, ())


@dataclass(frozen=True, slots=True)
class Change:
    """Answers not yet given that together put ``cause`` first, at this belief; ``chance``: how likely they are now,
    taken one by one."""

    answers: tuple[tuple[Question, str], ...]
    cause: str
    belief: float
    chance: float


class Option(NamedTuple):
    """One answer: its chance, and by how much it multiplies the belief in the leading cause and in each rival."""

    question: Question
    value: str
    chance: float
    factors: Ratios

    @property
    def place(self) -> tuple[int | None, str]:
        """The question's symptom and sign."""
        return self.question.symptom, self.question.sign

    @property
    def order(self) -> tuple[str, int, str]:
        """A fixed order among options."""
        return self.question.sign, -1 if self.question.symptom is None else self.question.symptom, self.value


def changes(
    scales: Scales,
    weighed: Weighed,
    asked: frozenset[tuple[int | None, str]],
    hardest: float = NO_LIMIT,
    most: int = 4,
) -> list[Change]:
    """The shortest sets of answers that would put another cause first, likeliest for their effort first."""
    if len(weighed.causes) < 3:
        # Without a rival nothing can turn.
        return []
    turner = _Turner(Asker(scales, weighed, asked, hardest=hardest))
    for size in range(1, MOST_ANSWERS + 1):
        found = turner.of_size(size, most)
        if found:
            shortest = min(len(change.answers) for change in found)
            return [change for change in found if len(change.answers) == shortest]
    return []


class _Turner:
    def __init__(self, asker: Asker) -> None:
        self.asker = asker
        self.scales, self.weighed = asker.scales, asker.weighed
        member = self.weighed.beliefs.member
        order = sorted(range(len(member) - 1), key=lambda i: (-member[i], self.weighed.causes[i]))
        # The leading cause, then its rivals, with their beliefs.
        self.watched = [i for i in order[: RIVALS + 1] if member[i] > 0]
        self.leader, self.beliefs = order[0], [member[i] for i in self.watched]
        self.contradictions = set(self.weighed.conclusions.contradictions())
        self.tried: dict[tuple[Option, ...], Change | None] = {}
        questions = asker.candidates() if len(self.watched) > 1 else ()
        self.options = sorted(chain.from_iterable(map(self.options_of, questions)), key=lambda option: option.order)

    # -- what single answers do -------------------------------------------------------------------------------

    def options_of(self, question: Question) -> Iterator[Option]:
        """The answers to a question that are likely enough, with what each does to the odds."""
        names = self.asker.names(question.symptom, question.sign)
        if names != [question.sign]:
            yield from self.ticks_of(question, names)
            return
        for effect in self.effects(question.symptom, question.sign):
            yield Option(question, effect.value, effect.chance, self.factors(question.symptom, effect))

    def ticks_of(self, question: Question, names: Sequence[str]) -> Iterator[Option]:
        """The entries of a list, each ticked by itself while the others are not."""
        effects = [{effect.value: effect for effect in self.effects(question.symptom, name, 0.0)} for name in names]
        clear = [self.unticked(name, by_value) for name, by_value in zip(names, effects, strict=True)]
        every = [prod(column) for column in zip(*clear, strict=True)]
        for name, by_value, own in zip(names, effects, clear, strict=True):
            effect = by_value.get("yes", NO_EFFECT)
            if effect.chance > LEAST_CHANCE:
                ratios = tuple(map(truediv, map(mul, effect.ratios, every), own))
                factors = self.factors(question.symptom, effect._replace(ratios=ratios))
                yield Option(question, name.split(".", 1)[1], effect.chance, factors)

    def effects(self, symptom: int | None, name: str, least: float = LEAST_CHANCE) -> Iterator[Effect]:
        """What each value of a variable that is likely enough does."""
        asker = self.asker
        spoken, mixture = asker.spoken(symptom, name), asker.mixture(symptom, name)
        rows = self.scales.likelihoods.rows(symptom is not None, name)
        watched = itemgetter(*[rows.get(cause, -1) for cause in self.watched])
        for (value, share), column, mixed in zip(
            asker.base(symptom, name).items(), spoken.columns, mixture, strict=True
        ):
            if share * mixed > least:
                yield Effect(value, share * mixed, mixed, watched((*column, 1.0)))

    def unticked(self, name: str, by_value: Mapping[str, Effect]) -> Ratios:
        """What it says of the leader and of each rival that an entry of a list is not ticked."""
        variable = self.scales.base.variables[name]
        looked = self.scales.base.knowledge.signs[variable.sign].unticked == "looked"
        yes, no = 0.0 if looked else variable.miss * variable.base["yes"], variable.base["no"]
        ticked, clear = by_value.get("yes", NO_EFFECT).ratios, by_value.get("no", NO_EFFECT).ratios
        return tuple([max((yes * a + no * b) / (yes + no), 1e-12) for a, b in zip(ticked, clear, strict=True)])

    def factors(self, symptom: int | None, effect: Effect) -> Ratios:
        """By how much an answer multiplies the beliefs (up to what is the same for all); one about a symptom leaves
        alone what a cause has from the others."""
        if symptom is None or len(self.weighed.symptoms) == 1:
            return effect.ratios
        shares = self.asker.shares(symptom)
        moved = [
            1.0 + shares[cause] * (ratio / effect.mixed - 1.0) / (now or 1.0)
            for cause, ratio, now in zip(self.watched, effect.ratios, self.beliefs, strict=True)
        ]
        return tuple(moved)

    # -- sets of answers --------------------------------------------------------------------------------------

    def of_size(self, size: int, most: int) -> list[Change]:
        """The sets of so many answers that hold, at most so many, each for another cause or by other questions."""
        kept: dict[tuple[object, ...], Change] = {}
        tried = 0
        for options, rival in self.ranked(size):
            key = (rival, *(option.place for option in options))
            if key in kept:
                continue
            tried += 1
            change = self.turned(options)
            if change is not None:
                kept[key] = change
            if len(kept) == most or (tried >= MOST_TRIED[size] and (kept or size > 1)):
                break
        return list({(change.cause, _places(change)): change for change in kept.values()}.values())

    def ranked(self, size: int) -> list[tuple[tuple[Option, ...], int]]:
        """The sets that should turn the odds, each with the rival it lifts most, likeliest for their effort first;
        then those that nearly should."""
        best = self.alone() if size == 1 else self.together(size)
        found = [(lift < 1.0, _worth(options), options, rival) for options, (lift, rival) in best.items()]
        return [(options, rival) for *_, options, rival in sorted(found, key=lambda one: one[:2])]

    def alone(self) -> dict[tuple[Option, ...], tuple[float, int]]:
        """The single answers that may turn the odds, with by how much and for which rival."""
        found: dict[tuple[Option, ...], tuple[float, int]] = {}
        for option in self.options:
            leader, *rivals = map(mul, option.factors, self.beliefs)
            best = max(rivals)
            if best >= NEARLY[1] * leader and max(option.factors[1:]) > option.factors[0]:
                found[(option,)] = best / max(leader, 1e-300), rivals.index(best)
        return found

    def together(self, size: int) -> dict[tuple[Option, ...], tuple[float, int]]:
        """The same of sets of two or three answers, among those that help a rival most."""
        best: dict[tuple[int, ...], tuple[float, int]] = {}
        for rival, (belief, column) in enumerate(zip(self.beliefs[1:], self.lifts, strict=False)):
            least = self.beliefs[0] / belief * NEARLY[size]
            if max(column) ** size < least * (1 - 1e-9):
                continue
            by_lift = sorted([(-lift, place) for place, lift in enumerate(column) if lift > 1.0])[: MOST_OF_EACH[size]]
            helpful = [(-lift, place) for lift, place in by_lift]
            if prod([lift for lift, _ in helpful[:size]]) < least:
                continue
            for together in combinations(helpful, size):
                lift = prod([one for one, _ in together])
                if lift >= least:
                    places = tuple(sorted([place for _, place in together]))
                    best[places] = max(best.get(places, (0.0, 0)), (lift / least * NEARLY[size], rival))
        found = {tuple([self.options[place] for place in places]): lift for places, lift in best.items()}
        return {options: lift for options, lift in found.items() if len({option.place for option in options}) == size}

    @cached_property
    def lifts(self) -> list[Ratios]:
        """For each rival by how much every option lifts it against the leader."""
        rows = ([factor / max(option.factors[0], 1e-12) for factor in option.factors[1:]] for option in self.options)
        return list(zip(*rows, strict=True))

    def turned(self, options: tuple[Option, ...]) -> Change | None:
        """What the engine makes of a set that turns the order: the change by it, or by the smallest part that does."""
        if self.given(options) is None:
            return None
        parts = (part for size in range(1, len(options) + 1) for part in combinations(options, size))
        return next((change for part in parts if (change := self.given(part)) is not None), None)

    def given(self, options: tuple[Option, ...]) -> Change | None:
        """What the engine makes of a set (remembered)."""
        if options not in self.tried:
            self.tried[options] = self.weigh(options)
        return self.tried[options]

    def weigh(self, options: tuple[Option, ...]) -> Change | None:
        """The set given to the engine; None unless another cause comes first and the answers fit together."""
        if len(options) > 1 and any(self.settled(option, options) for option in options):
            return None
        weighed = self.scales.weigh(self.told(options))
        if set(weighed.conclusions.contradictions()) - self.contradictions:
            return None
        cause, belief = next(pair for pair in weighed.ranking() if pair[0] != SOMETHING_ELSE)
        # Two causes may tie but for rounding: then neither is said to come first.
        if belief <= weighed.beliefs.member[self.leader] * (1 + 1e-9):
            return None
        answers = tuple((option.question, option.value) for option in options)
        return Change(answers, cause, belief, prod(option.chance for option in options))

    def told(self, options: Iterable[Option]) -> Facts:
        """What was told, with these answers given too."""
        facts = self.weighed.told
        for option in options:
            facts = with_answer(self.scales.base.knowledge, facts, *option.place, option.value)
        # An answer may leave another without sense, such as how it was last year of a tree that was planted since.
        return only_sensible(self.scales.base.knowledge, facts)

    def settled(self, option: Option, options: Iterable[Option]) -> bool:
        """Whether the other answers already settle what this one is about."""
        facts = fill_implied(self.scales.base.knowledge, self.told(other for other in options if other is not option))
        return any(facts.known(option.question.symptom, name) for name in self.variables(option))

    def variables(self, option: Option) -> Iterator[str]:
        """The variables that an answer tells."""
        names = self.scales.names_of(option.question.sign)
        yield from (name for name in names if name in (option.question.sign, f"{option.question.sign}.{option.value}"))


def _worth(options: tuple[Option, ...]) -> tuple[float, list[tuple[str, int, str]]]:
    """Likeliest for their effort first, then a fixed order."""
    chance = prod([option.chance for option in options])
    effort = sum([option.question.effort for option in options])
    return -chance / (1.0 + effort), [option.order for option in options]


def _places(change: Change) -> frozenset[tuple[int | None, str]]:
    return frozenset((question.symptom, question.sign) for question, _ in change.answers)
