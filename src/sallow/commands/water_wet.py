"""What the tree book last says of the soil at root depth: while it was wet, no watering is advised."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sallow.trees.model import Event, Look

# Older than this a word on the soil says nothing of now (our judgement).
COUNTS_DAYS = 60
WET = frozenset({"wet", "soggy"})
NOT_WET = frozenset({"dry", "moist"})
# The answers of a look that tell how wet the roots stand.
_SIGNS = ("soil_at_depth", "ball_wetness")
_ABOUT_SOIL = re.compile(r"\b(soil|ground|roots?|hole|mix|pot|clay)\b")
_SAYS_WET = re.compile(r"\b(wet|soggy|sodden|waterlogged|drowned|water (\w+ ){0,2}(stood|stands|standing))\b")
_SAYS_NOT = re.compile(r"\b(dry|moist|drained|drains|not (\w+ )?(wet|soggy)|no longer (wet|soggy))\b")


@dataclass(frozen=True, slots=True)
class WetSoil:
    """The day on which the soil at root depth was last known, and was wet, and who says so."""

    day: date
    told_by: str


def wet_soil(looks: Sequence[Look], events: Iterable[Event], today: date) -> WetSoil | None:
    """The last word of looks and notes on the soil, when it says wet and is not too old; else None."""
    words = [*_from_looks(looks), *_from_notes(events)]
    recent = [word for word in words if timedelta(0) <= today - word[0] <= timedelta(days=COUNTS_DAYS)]
    if not recent:
        return None
    last = max(day for day, _, _ in recent)
    told = [(wet, by) for day, wet, by in recent if day == last]
    by = next((by for wet, by in told if wet), None)
    return None if by is None else WetSoil(last, by)


def _from_looks(looks: Sequence[Look]) -> Iterable[tuple[date, bool, str]]:
    for look in looks:
        answers = look.answers.get("answers")
        told: Mapping[str, Any] = answers if isinstance(answers, Mapping) else {}
        states = {str(told[sign]) for sign in _SIGNS if sign in told}
        if states & (WET | NOT_WET):
            yield look.day, bool(states & WET), "the look of that day"


def _from_notes(events: Iterable[Event]) -> Iterable[tuple[date, bool, str]]:
    for event in events:
        text = f"{event.subject.replace('_', ' ')} {event.result} {event.words} {event.where}".lower()
        if not _ABOUT_SOIL.search(text):
            continue
        dry, wet = bool(_SAYS_NOT.search(text)), bool(_SAYS_WET.search(text))
        if wet != dry:
            yield event.when, wet, "a note of that day"
