"""The steps that the last look advised for its likely causes, each on the day from which it is due."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sallow.trees.model import HEMISPHERES, Look, Tree
from sallow.trees.need import likely_causes

# After a season the first steps are done or past; one that names its season waits for it, a year at most (judgement).
FIRST_COUNTS = timedelta(days=120)
SEASON_COUNTS = timedelta(days=365)
_SEASONS = ("winter", "spring", "summer", "autumn")
_NAMED = re.compile(r"\b(?:in|each|next|before|late|early|of)(?: (?:late|early))? (winter|spring|summer|autumn)\b")
_ALSO = re.compile(r"\b(?:or|and) (?:(?:late|early) )?(winter|spring|summer|autumn)\b")


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a look: its id for the round, what it is called, what to do, and from when."""

    id: str
    name: str
    do: str
    start: date


def steps_due(look: Look, tree: Tree, today: date) -> list[Step]:
    """For each likely cause its first step, and the first that names a season, due when that season is here."""
    causes = [cause for cause in likely_causes(look) if cause.get("kind") != "normal"]
    names = {str(cause["id"]): str(cause.get("name", cause["id"])) for cause in causes}
    found = []
    for cause, name in names.items():
        said = name[:1].lower() + name[1:]
        steps = [str(step["do"]) for step in _advised(look) if step.get("cause") == cause and step.get("do")]
        if steps and today - look.day <= FIRST_COUNTS:
            found.append(Step(f"step_{cause}", f"first against {said}", steps[0], look.day))
        later = next((do for do in steps if seasons_of(do) and do not in [step.do for step in found]), None)
        if later is not None and tree.hemisphere in HEMISPHERES:
            start = _season_start(seasons_of(later), tree.hemisphere, look.day)
            if start - look.day <= SEASON_COUNTS and today - look.day <= SEASON_COUNTS:
                found.append(Step(f"step_later_{cause}", f"in its season against {said}", later, start))
    return found


def seasons_of(text: str) -> tuple[str, ...]:
    """The seasons in which the words say to do something: 'in autumn or spring'."""
    first = _NAMED.search(text.lower())
    if first is None:
        return ()
    more = _ALSO.match(text.lower(), first.end() + 1)
    return (first[1], *([more[1]] if more else []))


def _advised(look: Look) -> Sequence[Mapping[str, Any]]:
    return [step for step in look.result.get("steps_now") or () if isinstance(step, Mapping)]


def _season_start(seasons: tuple[str, ...], hemisphere: str, day: date) -> date:
    """The day itself when it lies in one of the seasons, else the first day of the one that comes next."""
    year, month = day.year, day.month
    for ahead in range(12):
        quarter = (month - 1 + ahead) % 12 + 1
        place = (quarter % 12 // 3 + (2 if hemisphere == "south" else 0)) % 4
        if _SEASONS[place] in seasons:
            return day if not ahead else date(year + (month - 1 + ahead) // 12, quarter, 1)
    return day
