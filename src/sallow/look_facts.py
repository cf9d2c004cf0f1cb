"""The facts a look amounts to: context, tree variables and the variables of each symptom."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from sallow.care.season import season_of
from sallow.knowledge.conditions import event_value, parse_days
from sallow.knowledge.model import Knowledge, Sign
from sallow.looks import NONE_LOOKED, NONE_NOTICED, NOT_SURE, SILENT, SPECIAL, Event, Look, Value
from sallow.reasoning.answering import ticks
from sallow.reasoning.facts import OVERLOOKED, Facts
from sallow.reasoning.following import only_sensible

# Winters in which an evergreen fruit tree lives in open ground.
FROST_SELDOM = ("mild", "never_cool")


def facts_of(look: Look, knowledge: Knowledge) -> Facts:
    """The facts a look amounts to; not sure, does not apply, go-and-look and what makes no sense leave a sign
    unknown."""
    tree = _values(look.answers, knowledge)
    for event in look.events:
        value = event_window(event, look.date, knowledge)
        if value is not None:
            tree[f"event.{event.what}"] = value
    symptoms = []
    for symptom in look.symptoms:
        values = _values(symptom, knowledge)
        values["part_is"] = str(symptom.get("part", "leaf"))
        symptoms.append(values)
    return only_sensible(knowledge, Facts(context_of(look, knowledge), tree, tuple(symptoms), look.no_more_symptoms))


def _values(answers: Mapping[str, Value], knowledge: Knowledge) -> dict[str, str]:
    result: dict[str, str] = {}
    for key, value in answers.items():
        sign = knowledge.signs.get(key)
        if sign is None or sign.kind == "date" or (isinstance(value, str) and value in SILENT):
            continue
        if sign.kind == "several":
            result |= _options(sign, value)
        elif sign.kind == "number" and isinstance(value, int | float):
            result[key] = band_of(sign, float(value))
        elif value in (NONE_NOTICED, NONE_LOOKED):
            none = next((answer.id for answer in sign.answers.values() if answer.none), None)
            if none is not None:
                result[key] = none if value == NONE_LOOKED else OVERLOOKED
        else:
            result[key] = str(value)
    return result


def _options(sign: Sign, value: Value) -> dict[str, str]:
    if isinstance(value, Mapping):
        return {f"{sign.id}.{option}": told for option, told in value.items()}
    ticked = () if isinstance(value, str) or not isinstance(value, Sequence) else value
    return ticks(sign, ticked, value == NONE_LOOKED)


def band_of(sign: Sign, number: float) -> str:
    """The band of a number sign that a value falls in."""
    for answer in sign.answers.values():
        if answer.below is None or number < answer.below:
            return answer.id
    return tuple(sign.answers)[-1]


def event_window(event: Event, day: date, knowledge: Knowledge) -> str | None:
    """Which window of its kind an event falls in on the day of the look; None when that is not known."""
    windows = knowledge.events[event.what].windows
    if event.within in ("never", "longer"):
        return event_value(len(windows))
    if event.when is not None:
        days = (day - event.when) // timedelta(days=1)
    elif event.within:
        days = (parse_days(event.within) or 1) - 1
    else:
        return None
    return event_value(next((index for index, edge in enumerate(windows) if days < edge), len(windows)))


def context_of(look: Look, knowledge: Knowledge) -> dict[str, str]:
    """Crop, climate, season, place and hemisphere, as far as they are known."""
    context = {
        key: str(look.tree[key])
        for key in ("crop", "climate", "hemisphere", "grown_in")
        if look.tree.get(key) not in (None, "", *SPECIAL)
    }
    if "climate" not in context:
        climate = climate_from(look.tree, knowledge)
        if climate:
            context["climate"] = climate
    if context.get("hemisphere") in ("north", "south"):
        context["season"] = season_of(look.date, "south" if context["hemisphere"] == "south" else "north")
    crop = knowledge.crops.get(context.get("crop", ""))
    if crop is not None and crop.id != "other":
        context["evergreen"] = "yes" if crop.evergreen else "no"
    return context


def climate_from(tree: Mapping[str, Value], knowledge: Knowledge) -> str | None:
    """The climate kind that the plain answers about winters and summers lead to.

    Where winters are not sure, an evergreen in open ground stands for winters without hard frost, if these lead to
    one kind.
    """
    if not winters_from_tree(tree, knowledge):
        return _reached(tree, knowledge)
    reached = {_reached({**tree, "winters": winters}, knowledge) for winters in FROST_SELDOM}
    return reached.pop() if len(reached) == 1 else None


def winters_from_tree(tree: Mapping[str, Value], knowledge: Knowledge) -> bool:
    """Whether the winters are not sure and the tree itself tells of them: an evergreen that lives in open ground."""
    crop = knowledge.crops.get(str(tree.get("crop", "")))
    evergreen = crop is not None and crop.id != "other" and crop.evergreen
    return tree.get("winters") == NOT_SURE and evergreen and tree.get("grown_in") in ("ground", "lawn")


def _reached(tree: Mapping[str, Value], knowledge: Knowledge) -> str | None:
    for climate in knowledge.climates.values():
        for wanted in climate.reached_by:
            if all(tree.get(key) == value for key, value in wanted.items()):
                return climate.id
    return None
