"""Reads amounts as people type them (3 m, 10 ft, 1 gph, 72 F) into one unit."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from sallow.care.units import (
    CM_PER_INCH,
    LITRES_PER_CUP,
    LITRES_PER_GALLON,
    METRES_PER_FOOT,
    MM_PER_INCH,
    f_to_c,
)
from sallow.errors import BadInput


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of amount: its units with their factor to the base unit, and which one a bare number means."""

    name: str
    units: dict[str, float]
    metric: str
    us: str
    example: str


LENGTH = Kind(
    "a length",
    {
        "m": 1.0, "metre": 1.0, "metres": 1.0, "meter": 1.0, "meters": 1.0,
        "cm": 0.01, "mm": 0.001,
        "ft": METRES_PER_FOOT, "foot": METRES_PER_FOOT, "feet": METRES_PER_FOOT, "'": METRES_PER_FOOT,
        "in": CM_PER_INCH / 100, "inch": CM_PER_INCH / 100, "inches": CM_PER_INCH / 100,
        '"': CM_PER_INCH / 100,
    },
    "m", "ft", "3 m or 10 ft",
)  # fmt: skip
DEPTH_PER_DAY = Kind(
    "a water use per day",
    {"mm": 1.0, "mm/day": 1.0, "in": MM_PER_INCH, "in/day": MM_PER_INCH, "inch": MM_PER_INCH},
    "mm", "in", "5 mm or 0.2 in",
)  # fmt: skip
CUP_DEPTH = Kind(
    "a depth of water",
    {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH},
    "mm", "in", "8 mm or 0.3 in",
)  # fmt: skip
FLOW = Kind(
    "a flow",
    {
        "l/h": 1.0, "lph": 1.0, "l/hr": 1.0, "l/min": 60.0, "ml/min": 0.06,
        "gph": LITRES_PER_GALLON, "gal/h": LITRES_PER_GALLON, "gpm": LITRES_PER_GALLON * 60,
    },
    "l/h", "gph", "4 L/h or 1 gph",
)  # fmt: skip
VOLUME = Kind(
    "an amount of water",
    {
        "l": 1.0, "litre": 1.0, "litres": 1.0, "liter": 1.0, "liters": 1.0, "ml": 0.001,
        "gal": LITRES_PER_GALLON, "gallon": LITRES_PER_GALLON, "gallons": LITRES_PER_GALLON,
        "qt": LITRES_PER_GALLON / 4, "cup": LITRES_PER_CUP, "cups": LITRES_PER_CUP,
    },
    "l", "gal", "60 L or 15 gal",
)  # fmt: skip
CONDUCTIVITY = Kind(
    "a salt content",
    {
        "ds/m": 1.0, "ms/cm": 1.0, "mmho/cm": 1.0, "mmhos/cm": 1.0,
        "us/cm": 0.001, "µs/cm": 0.001, "umho/cm": 0.001, "ms/m": 0.01,
    },
    "ds/m", "ds/m", "0.9 dS/m (= mS/cm = mmho/cm) or 900 uS/cm",
)  # fmt: skip
NUMBER = re.compile(r"\s*([-+]?\d+(?:[.,]\d+)?|[-+]?\.\d+)\s*(.*?)\s*")


def amount(text: str, kind: Kind, units: str, what: str) -> float:
    """``text`` in the base unit of ``kind`` (m, mm, L/h, L, dS/m). BadInput names ``what`` was asked for.

    A bare number is in the unit usual in ``units``; with ``both`` it is refused, for nobody can tell which was meant.
    """
    value, unit = _split(text, what, kind.example)
    if not unit and units == "both" and value != 0:
        raise BadInput(f"{what}: '{text.strip()}' has no unit: {_either(value, kind)}?")
    chosen = unit.lower() if unit else (kind.us if units == "us" else kind.metric)
    if chosen not in kind.units:
        raise BadInput(
            f"{what}: '{text.strip()}' has a unit that is not {kind.name}; expected for example {kind.example}."
        )
    return value * kind.units[chosen]


def _either(value: float, kind: Kind) -> str:
    shown = {"l": "L", "l/h": "L/h", "ds/m": "dS/m"}
    first, second = (shown.get(unit, unit) for unit in (kind.metric, kind.us if kind.us != kind.metric else "us/cm"))
    return f"{value:g} {first} or {value:g} {second.replace('us/cm', 'uS/cm')}"


def temperature_c(text: str, units: str, what: str) -> float:
    """A temperature in °C from ``24``, ``24 C`` or ``75 F``."""
    value, unit = _split(text, what, "24 C or 75 F")
    if not unit and units == "both":
        raise BadInput(f"{what}: '{text.strip()}' has no unit: {value:g} C or {value:g} F?")
    letter = unit.lower().lstrip("°").strip() or ("f" if units == "us" else "c")
    if letter not in ("c", "f", "celsius", "fahrenheit"):
        raise BadInput(f"{what}: '{text.strip()}' is not a temperature; expected for example 24 C or 75 F.")
    return f_to_c(value) if letter.startswith("f") else value


def latitude(text: str) -> float:
    """Degrees north (south negative) from ``34``, ``-34``, ``34S`` or ``34 N``."""
    value, side = _split(text, "latitude", "34 N or 34 S")
    letter = side.lower().lstrip("°").strip()[:1]
    if letter not in ("", "n", "s") or not -90 <= value <= 90:
        raise BadInput(f"latitude: '{text.strip()}' is not on the map; expected for example 34 N or 34 S.")
    return -abs(value) if letter == "s" else value


def plain_number(text: str, what: str) -> float:
    """A number without unit (a percent sign is let through)."""
    value, rest = _split(text, what, "12")
    if rest not in ("", "%"):
        raise BadInput(f"{what}: '{text.strip()}' should be a plain number.")
    return value


def share(text: str, what: str) -> float:
    """A share between 0 and 1 from ``0.85``, ``85`` or ``85 %``."""
    value = plain_number(text, what)
    part = value / 100 if value > 1 else value
    if not 0 < part <= 1:
        raise BadInput(f"{what}: '{text.strip()}' must be above 0 and at most 100 %.")
    return part


def numbers(text: str, what: str) -> tuple[float, ...]:
    """Several plain numbers parted by spaces or semicolons (commas too, where they part whole items)."""
    parts = [part for part in re.split(r"[;\s]+|,\s+|,(?=\d{2,}\b)", text.strip()) if part]
    if not parts:
        raise BadInput(f"{what}: expected some numbers, for example 55 60 48 57.")
    return tuple(plain_number(part, what) for part in parts)


def _split(text: str, what: str, example: str) -> tuple[float, str]:
    match = NUMBER.fullmatch(text)
    if match is None:
        raise BadInput(f"{what}: '{text.strip()}' is not a number; expected for example {example}.")
    value = float(match[1].replace(",", "."))
    if not math.isfinite(value):
        raise BadInput(f"{what}: '{text.strip()}' is not a number; expected for example {example}.")
    return value, match[2]


def whole_number(text: str, what: str) -> int:
    """A whole number of at least one."""
    value = plain_number(text, what)
    if value != int(value) or value < 1:
        raise BadInput(f"{what}: '{text.strip()}' should be a whole number, 1 or more.")
    return int(value)


def salt_content(text: str, what: str) -> float:
    """Electrical conductivity in dS/m; sea water is about 50, so more is a mix-up of units."""
    value = amount(text, CONDUCTIVITY, "both", what)
    if not 0 <= value <= 60:
        raise BadInput(f"{what}: {value:g} dS/m is saltier than the sea; did you mean {value:g} uS/cm?")
    return value
