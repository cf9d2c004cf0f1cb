"""How to give the water: how often, how much at one watering, how long to run, and when the emitters are too few."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sallow.care.water import run_hours
from sallow.care.water_store import Store

Range = tuple[float, float]

LONGEST_DAYS = 60
# Our judgement: a line that must run for more than half a day to give one day's water does not suit the tree.
MOST_HOURS = 12.0


@dataclass(frozen=True, slots=True)
class Giving:
    """One watering: litres (low, high), the days between (shortest, longest), times a day, hours to run.

    ``emitters_needed`` is set when those that are there cannot give a day's water in half a day: how many of the same
    flow could. None is not known.
    """

    days_between: int | None
    days_longest: int | None
    times_a_day: int
    per_watering: Range | None
    hours_per_watering: Range | None
    emitters_needed: int | None


def how_to_give(give: Range, store: Store | None, emitters: int | None, flow_l_per_h: float | None) -> Giving:
    """Waterings of no more than the root zone holds: days = store / litres to give a day, at both ends of the range.

    ``give`` is litres a day (low, high). Where the store is less than a day's water the day's water is split.
    """
    days, longest, times, each = _rhythm(give, store)
    running = emitters is not None and flow_l_per_h is not None
    hours = needed = None
    if running:
        assert emitters is not None and flow_l_per_h is not None
        low, high = each or give
        hours = (run_hours(low, emitters, flow_l_per_h), run_hours(high, emitters, flow_l_per_h))
        if run_hours(give[1], emitters, flow_l_per_h) > MOST_HOURS:
            needed = math.ceil(give[1] / (flow_l_per_h * MOST_HOURS))
    return Giving(days, longest, times, each, hours, needed)


def _rhythm(give: Range, store: Store | None) -> tuple[int | None, int | None, int, Range | None]:
    if store is None:
        return None, None, 1, None
    low, high = give
    if high > store.litres:
        times = math.ceil(high / store.litres)
        return 1, 1, times, (low / times, high / times)
    shortest, longest = _whole_days(store.litres, high), _whole_days(store.litres, low)
    ends = (high * shortest, low * longest)
    return shortest, longest, 1, (min(ends), max(ends))


def _whole_days(litres: float, a_day: float) -> int:
    return LONGEST_DAYS if a_day <= 0 else max(1, min(LONGEST_DAYS, int(litres / a_day)))
