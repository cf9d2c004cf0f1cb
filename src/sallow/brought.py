"""Answers brought to a look by a weather file, a laboratory report, a water reckoning or the tree book."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from sallow.knowledge.model import Knowledge
from sallow.looks import GO_LOOK, NOT_SURE, Event, Look, Value
from sallow.values import dataclass, field, replace

if TYPE_CHECKING:
    from sallow.care.weather import Day

# A night at or below this at the height of a weather station may still bring frost to leaves nearer the ground.
NO_FROST_ABOVE_C = 3.0
NO_HEAT_BELOW_C = 35.0
KNOWN_SHARE = 0.95
LONGEST_ORIGIN = 300


@dataclass(frozen=True, slots=True)
class Brought:
    """Answers to signs of the tree, and events, each with its origin (by sign, or ``event.KIND``)."""

    answers: Mapping[str, Value] = field(default_factory=dict)
    events: tuple[Event, ...] = ()
    origins: Mapping[str, str] = field(default_factory=dict)


def with_brought(look: Look, brought: Brought) -> Look:
    """The look with what was brought, never over what the person said; 'not sure' and 'later' say nothing."""
    for sign, value in brought.answers.items():
        if look.answers.get(sign) in (None, NOT_SURE, GO_LOOK):
            look = look.with_answer(None, sign, value).with_origin(sign, brought.origins[sign])
    told = {event.what for event in look.events if event.when or event.within}
    for event in latest_of_each_kind(brought.events):
        if event.what not in told:
            key = f"event.{event.what}"
            look = look.with_event(event, event.what).with_origin(key, brought.origins[key])
    return look


def moved_to(look: Look, day: date) -> Look:
    """The look on another day: what a weather file said of the old one, and events after the new one, are taken out."""
    if day == look.date:
        return look
    from sallow.care.weather_answers import ORIGIN

    stale = [key for key, origin in look.origins.items() if origin.startswith(ORIGIN)]
    stale += [f"event.{event.what}" for event in look.events if event.when is not None and event.when > day]
    for key in dict.fromkeys(stale):
        kind = key.removeprefix("event.")
        look = look.with_event(None, kind) if kind != key else look.with_answer(None, key, None)
    return replace(look, date=day)


def laid_over(base: Look, told: Look) -> Look:
    """What was known before, with what the person told now over it."""
    told_kinds = {event.what for event in told.events}
    overruled = {*told.answers, *(f"event.{kind}" for kind in told_kinds)}
    origins = {key: origin for key, origin in base.origins.items() if key not in overruled}
    return replace(
        told,
        tree={**base.tree, **told.tree},
        answers={**base.answers, **told.answers},
        events=(*(event for event in base.events if event.what not in told_kinds), *told.events),
        name=told.name or base.name,
        origins={**origins, **told.origins},
    )


def latest_of_each_kind(events: Iterable[Event]) -> tuple[Event, ...]:
    """The latest event of every kind, in the order in which the kinds first come."""
    latest: dict[str, Event] = {}
    for event in events:
        known = latest.get(event.what)
        if known is None or (event.when is not None and (known.when is None or event.when >= known.when)):
            latest[event.what] = event
    return tuple(latest.values())


def from_weather(days: Sequence[Day], day: date, knowledge: Knowledge) -> Brought:
    """What a weather record says on the day of the look; nothing when it begins later.

    The year before the day gives events (the latest frost and heat; 'longer ago' when the record rules them out),
    its last weeks give the signs of rain and soil.
    """
    from sallow.care.weather import summarise
    from sallow.care.weather_answers import ORIGIN, answers_from_weather

    past = [entry for entry in days if entry.day <= day]
    if not past:
        return Brought()
    summary = summarise(past, day)
    found = answers_from_weather(summary)
    events = list(latest_of_each_kind(Event(event.what, event.when) for event in found.events))
    because = {(event.what, event.when): event.because for event in found.events}
    origins = {f"event.{event.what}": f"{ORIGIN}: {because[event.what, event.when]}" for event in events if event.when}
    for what, ruled_out in (("frost", _no_frost), ("heat", _no_heat)):
        if f"event.{what}" not in origins and ruled_out(past, day, knowledge.events[what].windows[-1]):
            events.append(Event(what, within="longer"))
            origins[f"event.{what}"] = f"{ORIGIN}, which has none"
    signs = {name: sign for name, sign in found.signs.items() if name in knowledge.signs}
    origins |= {name: f"{ORIGIN}: {sign.because}"[:LONGEST_ORIGIN] for name, sign in signs.items()}
    return Brought({name: sign.value for name, sign in signs.items()}, tuple(events), origins)


def _no_frost(days: Sequence[Day], day: date, window: int) -> bool:
    lowest = [e.lowest_c for e in days if (day - e.day).days < window and e.lowest_c is not None]
    return len(lowest) >= KNOWN_SHARE * window and min(lowest) > NO_FROST_ABOVE_C


def _no_heat(days: Sequence[Day], day: date, window: int) -> bool:
    highest = [e.highest_c for e in days if (day - e.day).days < window and e.highest_c is not None]
    return len(highest) >= KNOWN_SHARE * window and max(highest) < NO_HEAT_BELOW_C
