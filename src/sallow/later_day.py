"""A look as it stands on a later day: what happened 'within 3 weeks' then is so much longer ago now."""

from __future__ import annotations

from datetime import date

from sallow.errors import BadInput
from sallow.knowledge.conditions import parse_days
from sallow.looks import Event, Look
from sallow.phrases import day_words
from sallow.values import replace


def moved_on(look: Look, day: date) -> Look:
    """An earlier look as it stands on a later day. BadInput when the day is before the look."""
    passed = (day - look.date).days
    if passed < 0:
        raise BadInput(f"the look is of {day_words(look.date)}, and {day_words(day)} is before that")
    return replace(look, date=day, events=tuple(_longer_ago(event, passed) for event in look.events))


def moved_again(look: Look, before: Look, first_day: date) -> Look:
    """A follow-up of ``before`` that was begun for ``first_day`` and has got another day: what was told in the earlier
    look is reckoned from there anew, and what was told in the follow-up bears its new day."""
    as_it_was = {event.what: event for event in moved_on(before, first_day).events}
    as_it_is = {event.what: event for event in moved_on(before, look.date).events}
    events = tuple(
        as_it_is[event.what] if as_it_was.get(event.what) == event else event for event in look.events
    )
    told = {key for key, day in look.dated.items() if day == first_day.isoformat() and before.dated.get(key) != day}
    return replace(
        look,
        events=events,
        dated={key: look.date.isoformat() if key in told else day for key, day in look.dated.items()},
    )


def _longer_ago(event: Event, days: int) -> Event:
    within = None if event.when is not None or not days else parse_days(event.within)
    return event if within is None else replace(event, within=f"{within + days} days")
