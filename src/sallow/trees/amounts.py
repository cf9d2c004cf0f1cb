"""Amounts as people write them: a number, a unit, and what is left of the words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from math import pi
from types import MappingProxyType

from sallow.errors import BadInput

_UNITS = {
    "g": "g gram grams gm", "kg": "kg kilo kilos kilogram kilograms", "oz": "oz ounce ounces",
    "lb": "lb lbs pound pounds", "ml": "ml millilitre millilitres milliliter milliliters",
    "l": "l litre litres liter liters", "gal": "gal gallon gallons", "cup": "cup cups",
    "tbsp": "tbsp tablespoon tablespoons", "tsp": "tsp teaspoon teaspoons", "handful": "handful handfuls",
    "bucket": "bucket buckets", "bag": "bag bags", "mm": "mm", "cm": "cm centimetre centimetres "
    "centimeter centimeters",
    "m": "m metre metres meter meters", "in": "in inch inches", "ft": "ft foot feet", "%": "% "
    "percent per-cent",
    "min": "min mins minute minutes", "h": "h hour hours hr hrs", "fruit": "fruit fruits",
}  # fmt: skip
_UNIT_OF: Mapping[str, str] = MappingProxyType({word: unit for unit, words in _UNITS.items() for word in words.split()})
_FRACTIONS = {
    "½": 0.5,
    "¼": 0.25,
    "¾": 0.75,
    "half": 0.5,
    "a": 1.0,
    "an": 1.0,
    "one": 1.0,
    "two": 2.0,
    "three": 3.0,
}
# Exact by definition (international yard and pound, 1959; US gallon of 231 cubic inches).
GRAMS: Mapping[str, float] = MappingProxyType({"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237})
CENTIMETRES: Mapping[str, float] = MappingProxyType({"mm": 0.1, "cm": 1.0, "m": 100.0, "in": 2.54, "ft": 30.48})
LITRES: Mapping[str, float] = MappingProxyType({"ml": 0.001, "l": 1.0, "gal": 3.785411784})

_NUMBER = r"(?P<whole>\d+(?:[.,]\d+)?)(?:\s+(?P<over>\d)/(?P<under>\d+)|/(?P<divisor>\d+))?"
_AMOUNT = re.compile(rf"(?:{_NUMBER}|(?P<word>½|¼|¾|half|an?|one|two|three)\b)\s*(?:an? )?(?P<unit>%|[a-zA-Z]+)?")


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its unit ('' when none was told)."""

    value: float
    unit: str


def split_off_amount(text: str) -> tuple[Amount | None, str]:
    """The amount at the start of the words, and the rest: '200 g blood meal' -> (200 g, 'blood meal')."""
    text = text.strip()
    match = _AMOUNT.match(text)
    if not match:
        return None, text
    unit = _UNIT_OF.get((match["unit"] or "").lower(), "")
    if match["word"] and match["word"].isalpha() and not unit:
        return None, text
    end = match.end() if unit else match.start("unit") if match["unit"] else match.end()
    rest = text[end:].strip()
    if not unit and rest[:1] in ("-", ":", "/"):
        return None, text  # an analysis such as 16-4-8, not an amount
    return Amount(_value(match), unit), re.sub(r"^of\s+", "", rest)


def _value(match: re.Match[str]) -> float:
    if match["word"]:
        return _FRACTIONS[match["word"]]
    number = to_number(match["whole"])
    if match["divisor"]:
        return number / _nonzero(match["divisor"])
    if match["under"]:
        return number + int(match["over"]) / _nonzero(match["under"])
    return number


def to_number(text: str) -> float:
    """A number with a point or a decimal comma; BadInput when a comma could as well part thousands."""
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", text):
        raise BadInput(
            f"'{text}' can be read two ways; write {text.replace(',', '')} for thousands or {text.replace(',', '.')}."
        )
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise BadInput(f"'{text}' is not a number.") from None


def read_length(text: str, unit: str, what: str) -> float:
    """A length in ``unit`` ('m' or 'cm'). 'around' divides by pi. BadInput for one without a unit: who can tell?"""
    around = re.search(r"\b(around|girth|round)\b", text)
    amount, rest = split_off_amount(re.sub(r"\b(around|girth|round|across|wide|thick)\b", "", text))
    if amount is None or rest or (amount.unit and amount.unit not in CENTIMETRES):
        raise BadInput(f"{what} is '{text}'; expected a length such as 2.5 m, 60 cm or 8 ft.")
    if not amount.unit:
        other = {"m": "ft", "cm": "in"}[unit]
        raise BadInput(
            f"{what} is '{text.strip()}', without a unit: {amount.value:g} {unit} or {amount.value:g} {other}?"
        )
    value = amount.value * CENTIMETRES[amount.unit] / CENTIMETRES[unit]
    return round(value / pi if around else value, 4)


def read_emitters(text: str) -> tuple[int, float | None]:
    """Emitters as '4' or '4 x 8 L/h' or '2 x 1 gal/h': how many, and litres per hour of each."""
    match = re.fullmatch(
        r"\s*(\d+)\s*(?:(?:x|×|of)?\s*([\d.,]+)\s*([a-zA-Z]+)\s*(?:/|an?\s+|per\s+)\s*(?:h|hour|hr))?\s*",
        text,
    )
    unit = _UNIT_OF.get((match[3] or "l").lower(), "") if match else ""
    if not match or unit not in LITRES:
        raise BadInput(
            f"the emitters are '{text}'; expected how many, and if known the flow of each: 4 or '4 x 8 L/h'."
        )
    return int(match[1]), round(to_number(match[2]) * LITRES[unit], 4) if match[2] else None


def say_amount(value: float, unit: str) -> str:
    """The amount in a few figures with its unit."""
    figures = f"{value:,.4g}" if abs(value) < 10000 else f"{value:,.0f}"
    figures = figures.replace(",", " ")
    unit = "L" if unit == "l" else unit
    if unit == "%":
        return f"{figures} %"
    longer = unit in ("cup", "handful", "bucket", "bag") and value > 1
    return f"{figures} {unit}{'s' if longer else ''}".strip()


def _nonzero(text: str) -> int:
    if int(text) == 0:
        raise BadInput("a fraction cannot be divided by nought.")
    return int(text)
