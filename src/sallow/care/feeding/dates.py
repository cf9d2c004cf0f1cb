"""The days of a season's feedings and the last safe day, for the climate and the hemisphere."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

from sallow.care.feeding.tree import Tree
from sallow.care.season import Hemisphere, shift_month

if TYPE_CHECKING:
    from sallow.knowledge.tables import Row, Table

# Soluble nitrogen works for about six weeks (common practice), so that long passes before the next feeding.
WEEKS_BETWEEN = 6
# A feeding missed by no more than this is still worth giving (judgement).
GRACE_DAYS = 21
_SHORTEST_MONTH = 28


@dataclass(frozen=True, slots=True)
class Season:
    """One season: all feeding days, those still to come, the last safe day, the start of the next season."""

    days: tuple[date, ...]
    to_come: tuple[date, ...]
    missed: int
    last_safe: date
    next_start: date
    why_stop: str
    source: tuple[str, ...]
    mark: str

    @property
    def over(self) -> bool:
        """Whether nothing more may be given this season."""
        return not self.to_come


def season_row(tree: Tree, table: Table) -> Row:
    """The row of the season table for the tree's leaf habit, climate and frost."""
    habit = "deciduous" if tree.deciduous else "evergreen"
    climate = tree.climate or "cool_humid"
    frost = tree.expects_frost
    for wanted_climate in (climate, "any"):
        rows = table.where(crop=habit, climate=wanted_climate)
        fitting = [row for row in rows if row["frost"] == frost] or list(rows)
        if fitting:
            return fitting[0]
    return table.rows[0]


def plan_season(
    tree: Tree,
    parts: int,
    today: date,
    hemisphere: Hemisphere,
    tables: Mapping[str, Table],
    last_fed: date | None = None,
) -> Season:
    """The current season's feedings in ``parts`` parts; the coming season's when this one has closed."""
    row = season_row(tree, tables["feeding_season"])
    year = today.year - 1
    while _season_days(row, parts, year, hemisphere)[1] < today:
        year += 1
    days, last_safe = _season_days(row, parts, year, hemisphere)
    to_come = _still_to_come(days, today, last_safe, last_fed)
    next_start = _season_days(row, 1, year + 1, hemisphere)[0][0]
    return Season(
        days=days,
        to_come=to_come,
        missed=max(0, len(days) - len(to_come)),
        last_safe=last_safe,
        next_start=next_start,
        why_stop=str(row["why"]),
        source=row.source,
        mark=row.mark,
    )


def spread_days(first: date, middle: date, last: date, parts: int) -> tuple[date, ...]:
    """``parts`` feeding days: the named ones up to three, evenly from first to last beyond."""
    if parts <= 3:
        return (first, middle, last)[:parts]
    step = (last - first) / (parts - 1)
    return tuple(first + step * number for number in range(parts))


def _season_days(row: Row, parts: int, year: int, hemisphere: Hemisphere) -> tuple[tuple[date, ...], date]:
    # Each mark is the first such day on or after the one before it, so a southern season runs over new year.
    first = _day(str(row["first"]), year, hemisphere)
    marks = [first]
    for column in ("middle", "last", "last_safe"):
        day = _day(str(row[column]), year, hemisphere)
        marks.append(day if day >= marks[-1] else _day(str(row[column]), year + 1, hemisphere))
    return spread_days(marks[0], marks[1], marks[2], parts), marks[3]


def _day(month_day: str, year: int, hemisphere: Hemisphere) -> date:
    month, day = (int(part) for part in month_day.split("-"))
    shifted = shift_month(month, hemisphere)
    if day > _SHORTEST_MONTH and shifted == 2:
        day = _SHORTEST_MONTH
    return date(year, shifted, min(day, 30) if shifted in (4, 6, 9, 11) else day)


def _apart(days: tuple[date, ...]) -> int:
    return min((later - earlier).days for earlier, later in pairwise(days)) if len(days) > 1 else GRACE_DAYS


def _still_to_come(
    days: tuple[date, ...], today: date, last_safe: date, last_fed: date | None
) -> tuple[date, ...]:
    earliest = today if last_fed is None else max(today, last_fed + timedelta(weeks=WEEKS_BETWEEN))
    given = [day for day in days if last_fed is not None and day <= last_fed + timedelta(days=GRACE_DAYS)]
    left = [day for day in days if day not in given]
    to_come: list[date] = []
    for day in left:
        if day < today - timedelta(days=GRACE_DAYS):
            continue
        day = max(day, earliest)
        if day <= last_safe and (not to_come or (day - to_come[-1]).days >= min(GRACE_DAYS, _apart(days))):
            to_come.append(day)
    # All named days gone by and nothing given since: one feeding may still be given before the last safe day.
    fed_this_season = last_fed is not None and last_fed >= days[0] - timedelta(days=GRACE_DAYS)
    if not to_come and not fed_this_season and earliest <= last_safe:
        to_come.append(earliest)
    return tuple(to_come)
