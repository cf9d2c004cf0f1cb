"""Weights, lengths, volumes and days as a person types them; a weight or size without its unit is refused."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date

from sallow.care import units
from sallow.commands.typed import LENGTH, VOLUME
from sallow.errors import BadInput

_TO_KG = {
    "kg": 1.0, "kilo": 1.0, "kilos": 1.0, "g": 0.001, "gram": 0.001, "grams": 0.001,
    "lb": units.KG_PER_LB, "lbs": units.KG_PER_LB, "pound": units.KG_PER_LB, "pounds": units.KG_PER_LB,
    "oz": units.KG_PER_LB / 16, "ounce": units.KG_PER_LB / 16, "ounces": units.KG_PER_LB / 16,
}  # fmt: skip
_AMOUNT = re.compile(r"^\s*(-?\d+(?:[.,]\d+)?)(?:\s+(\d+)/(\d+)|/(\d+))?\s*([a-z'\"3]*)\.?\s*$")


def kilograms(text: str, what: str = "the weight") -> float:
    """A weight such as ``20 lb``, ``9 kg``, ``1/2 lb`` in kilograms."""
    return _measured(text, what, _TO_KG, "20 lb or 9 kg")


def metres(text: str, what: str = "the length") -> float:
    """A length such as ``3 m``, ``10 ft``, ``18 in`` in metres."""
    return _measured(text, what, LENGTH.units, "3 m or 10 ft")


def litres(text: str, what: str = "the volume") -> float:
    """A volume such as ``40 L`` or ``10 gal`` in litres."""
    return _measured(text, what, VOLUME.units, "40 L or 10 gal")


def kilograms_or_litres(text: str, what: str) -> tuple[float | None, float | None]:
    """A weight in kg, or a volume in litres when the unit is one of volume."""
    unit = _split(text, what, "20 kg or 40 L")[1]
    if unit in VOLUME.units:
        return None, litres(text, what)
    return _measured(text, what, _TO_KG, "20 kg, 40 lb or 40 L"), None


def calendar_day(text: str, what: str = "the date") -> date:
    """A day written year-month-day, so that no country misreads it."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise BadInput(
            f"{what} '{text}' is not a day; write it as year-month-day, such as 2026-05-30."
        ) from None


def _measured(text: str, what: str, factors: Mapping[str, float], example: str) -> float:
    value, unit = _split(text, what, example)
    if unit == "":
        either = re.sub(r"[\d.]+", f"{value:g}", example)
        raise BadInput(f"{what} '{text.strip()}' has no unit: {either}?")
    if unit not in factors:
        raise BadInput(f"{what} '{text.strip()}' has a unit that does not fit; write it as {example}.")
    if value <= 0:
        raise BadInput(f"{what} of {text.strip()} must be more than zero.")
    return value * factors[unit]


def _split(text: str, what: str, example: str) -> tuple[float, str]:
    match = _AMOUNT.match(text.lower())
    if match is None:
        raise BadInput(
            f"{what} '{text.strip()}' cannot be read; write a number and its unit, such as {example}."
        )
    whole, top, bottom, half, unit = match.groups()
    value = float(whole.replace(",", "."))
    divisor = int(bottom or half or 1)
    if divisor == 0:
        raise BadInput(
            f"{what} '{text.strip()}' divides by zero; write a number and its unit, such as {example}."
        )
    return (value + int(top) / divisor if top else value / divisor), unit
