"""Weights, lengths, areas and volumes in words: metric, US or both, rounded as a person measures them."""

from __future__ import annotations

import math
from datetime import date
from typing import Literal

from sallow.care import units
from sallow.months import MONTHS

Show = Literal["metric", "us", "both"]
# What a kitchen scale tells apart; less than PINCH_G cannot be weighed on it.
GRAM_STEP = 1.0
OUNCE_STEP = 0.05
PINCH_G = 2.0


def weight(kilograms: float, show: Show = "both") -> str:
    """Grams below a kilogram, ounces below a pound, in the steps of a kitchen scale."""
    pounds = units.kg_to_lb(kilograms)
    metric = _figure(kilograms, "kg") if kilograms >= 1 else _little(kilograms * 1000, "g", GRAM_STEP)
    us = _figure(pounds, "lb") if pounds >= 1 else _little(pounds * 16, "oz", OUNCE_STEP)
    return _pair(metric, us, show)


def length(metres: float, show: Show = "both") -> str:
    """Centimetres below a metre, inches below two feet."""
    feet = units.m_to_ft(metres)
    metric = _figure(metres, "m") if metres >= 1 else _figure(metres * 100, "cm")
    us = _figure(feet, "ft") if feet >= 1.9 else _inches(feet * 12)
    return _pair(metric, us, show)


def area(square_metres: float, show: Show = "both") -> str:
    """Square metres and square feet."""
    return _pair(
        _figure(square_metres, "m2").replace("m2", "square metres"),
        _figure(units.m2_to_sqft(square_metres), "sq_ft").replace("sq_ft", "square feet"),
        show,
    )


def volume(litres: float, show: Show = "both") -> str:
    """Litres and US gallons; millilitres and cups for little."""
    if litres < 1:
        cups = units.l_to_cups(litres)
        return _pair(f"{units.rounded_for_measuring(litres * 1000, 'g'):g} ml", f"{_cups(cups)} cup", show)
    return _pair(_figure(litres, "L"), _figure(units.l_to_gal(litres), "gal"), show)


def rate(grams_per_m2: float, ounces_per_step: float | None, show: Show = "both") -> str:
    """Grams to a square metre and ounces to a walking step."""
    metric = f"{units.rounded_for_measuring(grams_per_m2, 'g'):g} g on each square metre"
    if ounces_per_step is None:
        return metric
    us = f"{units.rounded_for_measuring(ounces_per_step, 'oz'):g} oz at each step round the ring"
    return {"metric": metric, "us": us}.get(show, f"{metric}, or {us}")


def cups(low: float, high: float) -> str:
    """About how many level cups."""
    small, large = _cups(low), _cups(high)
    if high < 0.25:
        return _spoons((low + high) / 2 * units.TABLESPOONS_PER_CUP)
    if small == large:
        return f"{small} level cup" + ("" if small == "1" or high < 1 else "s")
    return f"{small} to {large} level cups"


def day(value: date) -> str:
    """A day in words, the month named so that no country misreads it."""
    return f"{value.day} {MONTHS[value.month - 1]} {value.year}"


def about(value: date) -> str:
    """A feeding day as a gardener keeps it: early, mid, late or end of a month."""
    part = ("early", "mid-", "late", "the end of")[(value.day > 10) + (value.day > 20) + (value.day > 27)]
    month = f"{MONTHS[value.month - 1]} {value.year}"
    return f"{part}{month}" if part == "mid-" else f"{part} {month}"


def _little(value: float, unit: units.Measure, step: float) -> str:
    # Below ten steps two figures would be finer than the scale; a tie goes down, the kinder side for roots.
    if value >= 20 * step:
        return _figure(value, unit)
    if 0 < value < step / 2:
        return f"less than {step:g} {unit}"
    return f"{round(math.ceil(value / step - 0.5) * step, 2):g} {unit}" if value else f"0 {unit}"


def _pair(metric: str, us: str, show: Show) -> str:
    return {"metric": metric, "us": us}.get(show, f"{metric} ({us})")


def _inches(inches: float) -> str:
    return f"{round(inches)} in" if inches >= 3 else _figure(inches, "in")


def _spoons(tablespoons: float) -> str:
    # Teaspoons below two tablespoons: a whole tablespoon for one teaspoon would be three times too much for roots.
    if tablespoons >= 2:
        return f"{round(tablespoons)} level tablespoons"
    quarters = max(1, round(tablespoons * units.TEASPOONS_PER_TABLESPOON * 4))
    if quarters >= 8:
        return f"{round(quarters / 4)} level teaspoons"
    whole, rest = divmod(quarters, 4)
    fraction = ("", "1/4", "1/2", "3/4")[rest]
    amount = " ".join(part for part in (str(whole) if whole else "", fraction) if part)
    return f"{amount} level teaspoon" + ("s" if quarters > 4 else "")


def _figure(value: float, unit: units.Measure) -> str:
    return f"{units.rounded_for_measuring(value, unit):g} {unit}"


def _cups(value: float) -> str:
    rounded = units.rounded_for_measuring(value, "cups")
    whole, rest = divmod(rounded, 1)
    fraction = {0.25: "1/4", 0.5: "1/2", 0.75: "3/4"}.get(rest)
    if fraction is None:
        return f"{rounded:g}"
    return f"{whole:g} {fraction}" if whole else fraction
