"""What odd things that were told may still show, where evidence of the tree asks whether some odd thing shows it.

'Some symptom is a wilting tree' hangs on what each symptom turns out to be, and so on the cause behind it. As long
as a symptom that could show it has not been described so far, every answer to come is thought through with what each
cause says of it. An answer is then expected to move no belief, whatever evidence reads it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from math import prod
from typing import TYPE_CHECKING

from sallow.knowledge.conditions import variables_in
from sallow.reasoning.chain import some_symptom
from sallow.reasoning.facts import SHOWN, Facts, Values
from sallow.reasoning.following import fill_implied
from sallow.reasoning.likelihood import left_of
from sallow.values import replace

if TYPE_CHECKING:
    from sallow.reasoning.weigh import Scales

# Beyond so many answers of one symptom what is not known enters at its base rate, as other signs do.
MOST_WORLDS = 32
Row = tuple[float, ...]
Place = tuple[int, str]
World = tuple[Row, Sequence[Row]]
# The chance of what a symptom may turn out to be, and what is then known of it.
Told = tuple[float, Values]


def waited_for(scales: Scales, facts: Facts, pseudo: Mapping[str, str]) -> list[Place]:
    """The signs of told symptoms on which it hangs what some symptom shows: symptom and variable."""
    places = [
        (symptom, name)
        for symptom, own in enumerate(facts.symptoms)
        for name in scales.heard_of.get(own.get("part_is", "leaf"), ())
        if name not in own and scales.base.shown_by.get(name) not in own
    ]
    if not places:
        return places
    undecided = {
        name for some, inner in scales.base.somes.items() if some not in pseudo for name in variables_in(inner)
    }
    return [place for place in places if place[1] in undecided]


def heard_of(scales: Scales) -> dict[str, tuple[str, ...]]:
    """For each part of the plant the variables that evidence of the tree asks of some symptom."""
    variables = scales.base.variables
    parts = {part for candidate in scales.base.candidates for part in candidate.brief.part_ratio}
    heard = sorted(name for name in scales.heard if name in variables and variables[name].of_symptom)
    return {part: tuple(name for name in heard if variables[name].part in ("any", part)) for part in sorted(parts)}


def worlds(
    scales: Scales,
    facts: Facts,
    places: Sequence[Place],
    answers: int,
    out: Mapping[str, object],
    out_for: Sequence[Mapping[str, object]],
) -> Iterator[World]:
    """The likelihood ratios of the tree and of each symptom in every world that evidence of the tree tells apart; those
    of a symptom waited for hold the chance of its answers in that world."""
    ratios, symptoms = scales.symptom_ratios, range(len(facts.symptoms))
    ways = [_ways(scales, facts, symptom, [name for at, name in places if at == symptom]) for symptom in symptoms]
    made: dict[tuple[int, int, tuple[tuple[str, str], ...]], Row] = {}
    for numbers in product(*(range(len(way)) for way in ways)):
        chosen = [way[number] for way, number in zip(ways, numbers, strict=True)]
        sample = replace(facts, symptoms=tuple(told[0][1] for told in chosen))
        pseudo = scales.pseudo_values(sample)
        read = tuple((name, value) for name, value in pseudo.items() if name in scales.likelihoods.places[True])
        for symptom, told in enumerate(chosen):
            key = (symptom, numbers[symptom], read)
            if key not in made:
                seen = [
                    (share, ratios(symptom, _with(sample, symptom, own), pseudo, answers, out_for[symptom]))
                    for share, own in told
                ]
                made[key] = tuple(sum(share * row[i] for share, row in seen) for i in range(len(seen[0][1])))
        rows = [made[symptom, numbers[symptom], read] for symptom in symptoms]
        yield scales.tree_ratios(sample, pseudo, answers, out), rows


def _ways(scales: Scales, facts: Facts, symptom: int, names: Sequence[str]) -> list[list[Told]]:
    """What a symptom may turn out to be, with the chance of each by base rates; what evidence of the tree does not
    tell apart stands together."""
    rates = [rates_at(scales, facts, (symptom, name)) for name in names]
    alike: dict[tuple[bool | None, ...], list[Told]] = {}
    for values in product(*(rate.items() for rate in rates)):
        told = facts
        for name, (value, _) in zip(names, values, strict=True):
            told = told.with_symptom(symptom, name, value)
        share = prod(chance for _, chance in values)
        own = fill_implied(scales.base.knowledge, told).symptoms[symptom] if names else facts.symptoms[symptom]
        alone = replace(facts, symptoms=(own,), closed=True)
        key = tuple(some_symptom(inner, alone) for inner in scales.base.somes.values()) if names else ()
        if share > 0:
            alike.setdefault(key, []).append((share, own))
    return list(alike.values())


def _with(facts: Facts, symptom: int, own: Values) -> Facts:
    return replace(facts, symptoms=(*facts.symptoms[:symptom], own, *facts.symptoms[symptom + 1 :]))


def rates_at(scales: Scales, facts: Facts, place: Place) -> Mapping[str, float]:
    """How likely each value is by base rates, as far as it is not known."""
    symptom, name = place
    variable = scales.base.variables[name]
    return left_of(variable, SHOWN) if scales.seen(facts, symptom).get(name) == SHOWN else variable.base


def thought_through(
    scales: Scales,
    facts: Facts,
    pseudo: Mapping[str, str],
    answers: int,
    out: Mapping[str, object],
    out_for: Sequence[Mapping[str, object]],
) -> list[World]:
    """The worlds of a look in which evidence of the tree waits for what a symptom shows; none of any other look."""
    places = waited_for(scales, facts, pseudo)
    waits = places and few_enough(scales, facts, places)
    return list(worlds(scales, facts, places, answers, out, out_for)) if waits else []


def few_enough(scales: Scales, facts: Facts, places: Sequence[Place]) -> bool:
    """Whether the answers of each symptom are few enough to be thought through."""
    of_each = (prod(len(rates_at(scales, facts, (at, name))) for at, name in places if at == j) for j, _ in places)
    return max(of_each, default=0) <= MOST_WORLDS
