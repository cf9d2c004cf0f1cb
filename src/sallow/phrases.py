"""Puts signs, answers, events and windows of time into words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from math import ceil

from sallow.knowledge.model import Knowledge, Sign
from sallow.looks import GO_LOOK, NONE_LOOKED, NONE_NOTICED, NOT_APPLICABLE, NOT_SURE, Event, Look, Value
from sallow.months import MONTHS

SPECIAL_WORDS = {
    NONE_NOTICED: "none that I noticed",
    NONE_LOOKED: "looked, none",
    NOT_SURE: "not sure",
    NOT_APPLICABLE: "does not apply",
    GO_LOOK: "to be looked at",
}
PART_WORDS = {
    "leaf": "leaves",
    "shoot": "shoots",
    "flower": "flowers",
    "fruit": "fruit",
    "bark": "bark and trunk",
    "root": "roots",
    "whole": "the whole tree",
}
LEAST_DAYS_IN_WEEKS, LEAST_DAYS_IN_MONTHS = 15, 70


def day_words(day: date) -> str:
    """A date that reads the same in every country: 3 May 2026."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def capital(text: str) -> str:
    """The text with its first letter large, where that letter may be ('pH' stays)."""
    return text if text.startswith("pH") else text[:1].upper() + text[1:]


def lower_first(name: str) -> str:
    """A name inside a sentence: its first letter small, unless it is an abbreviation or a proper name."""
    proper = ("Asian", "Texas", "Phytophthora", "Verticillium", "Armillaria", "Alternaria", "Sphaeropsis", "Nectria")
    abbreviation = name[1:2] == "-" or (name[:2].isupper() and name[1:2] != " ")
    return name if abbreviation or name.split()[0] in proper else name[:1].lower() + name[1:]


def value_words(sign: Sign, value: Value) -> str:
    """An answer in words."""
    if isinstance(value, str) and value in SPECIAL_WORDS:
        return SPECIAL_WORDS[value]
    if isinstance(value, Mapping):
        ticked = [answer.say for option, answer in sign.answers.items() if value.get(option) == "yes"]
        return "; ".join(ticked) or SPECIAL_WORDS[NONE_LOOKED]
    if isinstance(value, list | tuple):
        return "; ".join(a.say for option, a in sign.answers.items() if option in value) or SPECIAL_WORDS[NONE_NOTICED]
    if isinstance(value, int | float):
        return number_words(value, sign.unit)
    answer = sign.answers.get(str(value))
    return answer.say if answer else str(value)


def number_words(value: float, unit: str) -> str:
    """A number with its unit as people say it: 'pH 7.8', '4 years', 'about 4 months'."""
    if unit == "pH":
        return f"pH {value:g}"
    if unit == "years":
        if value < 1:
            months = max(1, round(value * 12))
            return "about 1 month" if months == 1 else f"about {months} months"
        unit = "year" if value == 1 else unit
    return f"{value:g} {unit}".strip()


def event_words(event: Event, knowledge: Knowledge) -> str:
    """When something happened, in words."""
    labels = knowledge.events[event.what].labels
    if event.within in ("never", "longer"):
        return "longer ago, or never"
    if event.when is not None:
        return day_words(event.when)
    if event.within in labels:
        return window_words(knowledge, event.what, labels.index(event.within))
    return f"within the last {without_one(event.within)}" if event.within else "not known"


def window_words(knowledge: Knowledge, kind: str, index: int) -> str:
    """A window of an event kind in words: 'within 3 weeks', '3 weeks to 2 months ago', 'longer ago, or never'."""
    labels = knowledge.events[kind].labels
    if index == 0:
        return f"within the last {without_one(labels[0])}"
    if index >= len(labels):
        return f"more than {labels[-1]} ago, or never"
    return f"{labels[index - 1]} to {labels[index]} ago"


def without_one(span: str) -> str:
    """A span of time after 'the last': '1 week' becomes 'week', '31 days' becomes '5 weeks' (rounded up)."""
    count, _, unit = span.partition(" ")
    days = int(count) if unit == "days" and count.isdecimal() else 0
    if days >= LEAST_DAYS_IN_WEEKS:
        size, unit = (30.5, "months") if days > LEAST_DAYS_IN_MONTHS else (7, "weeks")
        return f"{ceil(days / size)} {unit}"
    return span.removeprefix("1 ")


def answered(look: Look, knowledge: Knowledge, symptom: int | None, variable: str) -> str:
    """What was answered to the sign behind a variable, as 'question: answer'."""
    if variable.startswith("event."):
        kind = variable.split(".", 1)[1]
        event = next((e for e in look.events if e.what == kind), None)
        words = event_words(event, knowledge) if event else "not told"
        return f"{knowledge.events[kind].ask} {capital(words)}."
    sign_id = variable.split(".", 1)[0]
    sign = knowledge.signs.get(sign_id)
    if sign is None:
        return f"{capital(variable.replace('_', ' '))}: {context_words(look, knowledge, variable)}."
    value = look.answer(symptom, sign_id)
    if value is None and symptom is None:
        value = next((s[sign_id] for s in look.symptoms if sign_id in s), None)
    words = value_words(sign, value) if value is not None else "follows from your other answers"
    return f"{sign.ask} {capital(words)}."


def context_words(look: Look, knowledge: Knowledge, key: str) -> str:
    """A word of the context (crop, climate, season ...) as people say it."""
    from sallow.look_facts import context_of

    value = context_of(look, knowledge).get(key, "")
    if key == "crop" and value in knowledge.crops:
        return knowledge.crops[value].name
    if key == "climate" and value in knowledge.climates:
        return knowledge.climates[value].name
    return value or "not told"


def question_words(knowledge: Knowledge, sign: str) -> str:
    """The question behind a sign or event."""
    return knowledge.events[sign.split(".", 1)[1]].ask if sign.startswith("event.") else knowledge.signs[sign].ask


def answer_words(knowledge: Knowledge, sign: str, value: str) -> str:
    """The words of one answer to a sign or event."""
    if sign.startswith("event."):
        return window_words(knowledge, sign.split(".", 1)[1], int(value[1:]))
    return knowledge.signs[sign].answers[value].say
