"""Were the leaves taken when the published classes hold, and what does a wrong date do to a figure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

from sallow.care.season import Hemisphere, shift_month

if TYPE_CHECKING:
    from sallow.knowledge.tables import Row

Timing = Literal["inside", "early", "late"]

# Nitrogen, phosphorus and potassium fall as a leaf ages; calcium, boron, iron and manganese rise
# (Oswalt, Citrus Industry, 2022). Magnesium, copper and zinc change little.
FALL_WITH_AGE = frozenset({"nitrogen", "phosphorus", "potassium"})
RISE_WITH_AGE = frozenset({"calcium", "boron", "iron", "manganese"})


DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True, slots=True)
class Window:
    """Sampling window of a crop for one hemisphere, as (month, day)."""

    start: tuple[int, int]
    end: tuple[int, int]
    which: str


@dataclass(frozen=True, slots=True)
class Sampled:
    """A leaf table with its sampling window and the timing of these leaves; None for what is not known."""

    region: str
    window: Window | None
    timing: Timing | None


def window_of(row: Row, hemisphere: Hemisphere) -> Window:
    """The window of a ``leaf_sampling`` row; six months later in the south."""
    start = (shift_month(int(row.number("from_month")), hemisphere), int(row.number("from_day")))
    last = shift_month(int(row.number("to_month")), hemisphere)
    end = (last, min(int(row.number("to_day")), DAYS_IN_MONTH[last - 1]))
    return Window(start, end, str(row["which"]))


def timing_of(taken: date, window: Window) -> Timing:
    """Inside the window, or early or late, whichever is nearer."""
    start = _day_of_leap_year(*window.start)
    length = (_day_of_leap_year(*window.end) - start) % 366
    after_start = (_day_of_leap_year(taken.month, taken.day) - start) % 366
    if after_start <= length:
        return "inside"
    return "late" if after_start - length <= 366 - after_start else "early"


def still_holds(test: str, place: str, timing: Timing) -> bool:
    """Whether a class stands although the leaves were taken early (young) or late (old).

    A nutrient that reads high in young leaves and is low even so is low; the other way round for old leaves.
    """
    if timing == "inside" or test not in FALL_WITH_AGE | RISE_WITH_AGE:
        return True
    reads_high = (test in FALL_WITH_AGE) == (timing == "early")
    return place == ("low" if reads_high else "high")


def _day_of_leap_year(month: int, day: int) -> int:
    return date(2000, month, day).timetuple().tm_yday
