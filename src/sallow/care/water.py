"""How much water a tree needs, how long to run the emitters, and whether it gets too little or too much.

The need is reference evapotranspiration x crop coefficient x canopy area / efficiency (Utah State University,
Kuhns, Drip Irrigation; FAO-56 chapter 5). One millimetre on one square metre is one litre, so
the US form with its factor 0.623 (gallons in one inch on one square foot) is the same sum.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sallow.errors import BadInput

Balance = Literal["too_little", "about_right", "too_much"]

# Our own judgement: crop coefficient, canopy and evapotranspiration are each known to about a tenth at best,
# so only a gap of more than a quarter is called wrong.
TOO_LITTLE_BELOW = 0.75
TOO_MUCH_ABOVE = 1.30


@dataclass(frozen=True, slots=True)
class Need:
    """Water a tree needs in a day: what the leaves use and what must be given (litres)."""

    used_l_per_day: float
    given_l_per_day: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the tree gets against what it needs (litres per week) and the ratio of the two."""

    balance: Balance
    gets_l_per_week: float
    needs_l_per_week: float
    ratio: float


def positive(value: float, what: str, unit: str, most: float, least: float = 0.0) -> float:
    """``value`` when it is above zero and from ``least`` to ``most``; else BadInput that names it."""
    if not math.isfinite(value) or value <= 0:
        raise BadInput(f"{what} must be more than zero; got {value:g} {unit}.")
    if value > most:
        raise BadInput(f"{what} of {value:g} {unit} is not believable (at most {most:g}); check the unit.")
    if value < least:
        raise BadInput(f"{what} of {value:g} {unit} is not believable (at least {least:g}); check the unit.")
    return value


def canopy_area_m2(diameter_m: float) -> float:
    """Ground under a round canopy in square metres: pi/4 times the diameter squared."""
    return math.pi / 4 * positive(diameter_m, "the canopy width", "m", 40, 0.05) ** 2


def water_need(
    reference_mm_per_day: float, coefficient: float, area_m2: float, efficiency: float, factor: float = 1.0
) -> Need:
    """Daily need in litres. ``efficiency`` is a share (0 to 1); ``factor`` is for young trees or grass."""
    if reference_mm_per_day < 0 or reference_mm_per_day > 20:
        raise BadInput(
            f"a reference evapotranspiration of {reference_mm_per_day:g} mm a day cannot be true; "
            "expected 0 to 20 mm (0 to 0.8 inch). Is it a weekly or monthly figure?"
        )
    positive(coefficient, "the crop coefficient", "", 2.5)
    positive(area_m2, "the canopy area", "m2", 1500)
    positive(factor, "the factor", "", 5)
    if not 0 < efficiency <= 1:
        raise BadInput(f"the efficiency must be a share above 0 and up to 1 (or 100 %); got {efficiency:g}.")
    used = reference_mm_per_day * coefficient * area_m2 * factor
    return Need(used_l_per_day=used, given_l_per_day=used / efficiency)


def run_hours(litres: float, emitters: int, flow_l_per_h: float) -> float:
    """Hours that ``emitters`` of the given flow need for ``litres``."""
    if emitters < 1:
        raise BadInput(f"expected at least one emitter; got {emitters}.")
    return litres / (emitters * positive(flow_l_per_h, "the flow of one emitter", "L/h", 2000))


def supplied_l_per_week(emitters: int, flow_l_per_h: float, minutes: float, times_a_week: float) -> float:
    """Litres that the emitters give in a week."""
    positive(minutes, "the run time", "minutes", 7 * 24 * 60)
    positive(times_a_week, "the number of waterings a week", "", 70)
    if emitters < 1:
        raise BadInput(f"expected at least one emitter; got {emitters}.")
    flow = positive(flow_l_per_h, "the flow of one emitter", "L/h", 2000)
    return emitters * flow * minutes / 60 * times_a_week


def effective_rain_mm(rain_mm: float, steps: tuple[tuple[float, float, float], ...]) -> float:
    """The part of one day's rain that counts (Texas A&M): ``steps`` are (from mm, to mm, share)."""
    if rain_mm < 0:
        raise BadInput(f"rain cannot be less than nothing; got {rain_mm:g} mm.")
    return sum(max(0.0, min(rain_mm, upper) - lower) * share for lower, upper, share in steps)


def verdict(gets_l_per_week: float, needs_l_per_week: float) -> Verdict:
    """Too little below three quarters of the need, too much above 1.3 times the need (our judgement)."""
    if gets_l_per_week < 0 or needs_l_per_week < 0:
        raise BadInput("water amounts cannot be negative.")
    if needs_l_per_week == 0:
        balance: Balance = "too_much" if gets_l_per_week > 0 else "about_right"
        return Verdict(balance, gets_l_per_week, 0.0, math.inf if gets_l_per_week else 1.0)
    ratio = gets_l_per_week / needs_l_per_week
    if ratio < TOO_LITTLE_BELOW:
        return Verdict("too_little", gets_l_per_week, needs_l_per_week, ratio)
    if ratio > TOO_MUCH_ABOVE:
        return Verdict("too_much", gets_l_per_week, needs_l_per_week, ratio)
    return Verdict("about_right", gets_l_per_week, needs_l_per_week, ratio)
