"""Names and units on laboratory reports, turned into one name and one unit per test.

Equivalent weights follow from molar masses; lb/acre is taken for a 15 cm (6 to 7 inch) slice of soil, twice
the ppm (common practice).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from sallow.errors import BadInput

Sample = Literal["leaf", "soil", "water"]

# Grams per mole of charge.
EQUIVALENT_WEIGHTS = {
    "calcium": 20.039,
    "magnesium": 12.1525,
    "sodium": 22.98977,
    "potassium": 39.0983,
    "chloride": 35.453,
    "bicarbonate": 61.0168,
    "sulfur": 16.03,
    "nitrate_nitrogen": 14.0067,
}
MOLAR_OVER_EQUIVALENT = {"calcium": 2, "magnesium": 2, "sulfur": 2}
LB_PER_ACRE_PER_PPM = 2.0
KG_PER_HA_PER_PPM = 2.2417

# Written name -> (test, share of the test in what is written).
_NAMES: dict[str, tuple[str, float]] = {
    "n": ("nitrogen", 1),
    "total n": ("nitrogen", 1),
    "p": ("phosphorus", 1),
    "p2o5": ("phosphorus", 0.43643),
    "phosphate": ("phosphorus", 0.43643),
    "k": ("potassium", 1),
    "k2o": ("potassium", 0.83015),
    "potash": ("potassium", 0.83015),
    "ca": ("calcium", 1),
    "cao": ("calcium", 0.71469),
    "mg": ("magnesium", 1),
    "mgo": ("magnesium", 0.60304),
    "s": ("sulfur", 1),
    "sulphur": ("sulfur", 1),
    "so4-s": ("sulfur", 1),
    "so4": ("sulfur", 0.33378),
    "sulfate": ("sulfur", 0.33378),
    "fe": ("iron", 1),
    "mn": ("manganese", 1),
    "zn": ("zinc", 1),
    "cu": ("copper", 1),
    "b": ("boron", 1),
    "mo": ("molybdenum", 1),
    "cl": ("chloride", 1),
    "chlorine": ("chloride", 1),
    "na": ("sodium", 1),
    "pb": ("lead", 1),
    "no3-n": ("nitrate_nitrogen", 1),
    "nitrate-n": ("nitrate_nitrogen", 1),
    "nitrate nitrogen": ("nitrate_nitrogen", 1),
    "no3": ("nitrate_nitrogen", 0.22590),
    "nitrate": ("nitrate_nitrogen", 0.22590),
    "hco3": ("bicarbonate", 1),
    "alkalinity": ("bicarbonate", 1.2194),
    "ec": ("ec", 1),
    "ece": ("ec", 1),
    "ecw": ("ec", 1),
    "conductivity": ("ec", 1),
    "electrical conductivity": ("ec", 1),
    "salinity": ("ec", 1),
    "tds": ("tds", 1),
    "sar": ("sar", 1),
    "ph": ("ph", 1),
    "om": ("organic_matter", 1),
    "organic matter": ("organic_matter", 1),
    "hardness": ("hardness", 1),
}
TESTS = frozenset(test for test, _ in _NAMES.values())

# Written unit -> (kind, factor to the first unit of that kind).
_UNITS: dict[str, tuple[str, float]] = {
    "%": ("mass", 1e4),
    "percent": ("mass", 1e4),
    "ppm": ("mass", 1.0),
    "mg/kg": ("mass", 1.0),
    "ug/g": ("mass", 1.0),
    "g/kg": ("mass", 1e3),
    "mg/g": ("mass", 1e3),
    "mg/100g": ("mass", 10.0),
    "lb/acre": ("mass", 1 / LB_PER_ACRE_PER_PPM),
    "lb/ac": ("mass", 1 / LB_PER_ACRE_PER_PPM),
    "lbs/acre": ("mass", 1 / LB_PER_ACRE_PER_PPM),
    "lbs/ac": ("mass", 1 / LB_PER_ACRE_PER_PPM),
    "kg/ha": ("mass", 1 / KG_PER_HA_PER_PPM),
    "meq/100g": ("charge_mass", 1.0),
    "me/100g": ("charge_mass", 1.0),
    "cmol/kg": ("charge_mass", 1.0),
    "cmolc/kg": ("charge_mass", 1.0),
    "cmol(+)/kg": ("charge_mass", 1.0),
    "mg/l": ("mass_volume", 1.0),
    "g/l": ("mass_volume", 1e3),
    "ug/l": ("mass_volume", 1e-3),
    "ppb": ("mass_volume", 1e-3),
    "meq/l": ("charge_volume", 1.0),
    "me/l": ("charge_volume", 1.0),
    "mmol/l": ("moles_volume", 1.0),
    "mm": ("moles_volume", 1.0),
    "ds/m": ("conductivity", 1.0),
    "ms/cm": ("conductivity", 1.0),
    "mmho/cm": ("conductivity", 1.0),
    "mmhos/cm": ("conductivity", 1.0),
    "us/cm": ("conductivity", 1e-3),
    "umho/cm": ("conductivity", 1e-3),
    "umhos/cm": ("conductivity", 1e-3),
    "ms/m": ("conductivity", 1e-2),
}
_UNITLESS = frozenset({"ph", "sar"})
_MASS_KINDS = frozenset({"mass", "charge_mass"})
_VOLUME_KINDS = frozenset({"mass_volume", "charge_volume", "moles_volume"})


@dataclass(frozen=True, slots=True)
class Measurement:
    """One line of a report. ``unit`` as written (lower case); ``method`` is '' when the report is silent."""

    test: str
    value: float
    unit: str
    method: str = ""
    written: str = ""


def test_named(written: str) -> tuple[str, float]:
    """The test that a written name stands for and the factor from what is written to the element."""
    name = re.sub(r"[\s_]+", " ", written.strip().lower())
    if name in _NAMES:
        return _NAMES[name]
    plain = name.replace(" ", "_")
    if plain in TESTS:
        return plain, 1.0
    raise BadInput(
        f"'{written}' is not a test this command knows. Known: "
        f"{', '.join(sorted(test.replace('_', ' ') for test in TESTS))}, and their symbols (N, P, K, Zn ...)."
    )


def clean_unit(written: str) -> str:
    """A unit as it is spelled here; BadInput when it is not known."""
    unit = written.strip().lower().replace("µ", "u").replace("μ", "u").replace(" ", "")
    unit = unit.replace("cmol+/kg", "cmol(+)/kg")
    if unit and unit not in _UNITS:
        raise BadInput(
            f"the unit '{written}' is not known. Expected %, ppm, mg/kg, g/kg, meq/100g, cmol/kg, lb/acre, "
            "kg/ha, mg/L, meq/L, mmol/L, dS/m, mS/cm, mmho/cm or uS/cm."
        )
    return unit


def convert(value: float, unit: str, wanted: str, test: str, sample: Sample) -> float:
    """``value`` of a test in the ``wanted`` unit. In water 1 ppm is 1 mg/L."""
    if test in _UNITLESS or not wanted:
        return value
    kind, factor = _kind(unit, sample)
    target, divisor = _kind(wanted, sample)
    amount = value * factor
    if kind == target:
        return amount / divisor
    if {kind, target} <= _MASS_KINDS:
        weight = _weight(test, unit) * 10
        return amount * weight / divisor if target == "mass" else amount / weight / divisor
    if {kind, target} <= _VOLUME_KINDS:
        return _to_mass(amount, kind, test, unit) / _to_mass(1.0, target, test, wanted) / divisor
    raise BadInput(f"{unit} cannot be turned into {wanted} for {test.replace('_', ' ')}; check the unit.")


_LINE = re.compile(r"\s*([A-Za-z][\w +-]*?)\s*(?:\(([^)]*)\))?\s*(?:[=:]\s*|(?<=[\s)]))([-+<>~]?\d[\d.,]*)\s*(.*?)\s*")


def parse_measurement(text: str) -> Measurement:
    """A measurement from text like ``N=2.1%``, ``Zn 15 ppm``, ``P(olsen)=12 ppm`` or ``pH=7.8``."""
    match = _LINE.fullmatch(text)
    if match is None:
        raise BadInput(f"'{text}' cannot be read; expected NAME=VALUE UNIT, for example N=2.1% or Zn=15ppm.")
    name, method, number, unit = match.groups()
    return measurement(name, number, unit, method or "")


def measurement(name: str, number: str, unit: str, method: str = "") -> Measurement:
    """A measurement from the cells of a report; oxides become elements. BadInput says which cell is wrong."""
    test, share = test_named(name)
    value = _number(name, number)
    cleaned = "" if test in _UNITLESS else clean_unit(unit)
    if not cleaned and test not in _UNITLESS:
        raise BadInput(
            f"{name.strip()} {number.strip()} has no unit. Reports give one beside the figure: for leaves "
            "% or ppm, for soil ppm (mg/kg), meq/100g or lb/acre, for water mg/L or meq/L, for salt dS/m."
        )
    return Measurement(
        test, value * share, cleaned, clean_method(method), f"{name.strip()} {number.strip()} {unit}".strip()
    )


def clean_method(written: str) -> str:
    """The extraction method in one spelling; '' when not given, BadInput when not known."""
    name = re.sub(r"[^a-z0-9:]+", "", written.lower())
    if not name or name in ("notsure", "unknown"):
        return ""
    for method, spellings in _METHODS.items():
        if name in spellings:
            return method
    raise BadInput(
        f"the method '{written}' is not known. Expected Olsen (bicarbonate), Bray, Mehlich-3, ammonium "
        "acetate, DTPA, saturated paste, 1:1 or calcium chloride."
    )


_METHODS = {
    "olsen": ("olsen", "bicarbonate", "nahco3", "sodiumbicarbonate"),
    "bray": ("bray", "bray1", "brayp1", "p1"),
    "mehlich3": ("mehlich3", "m3", "mehlich"),
    "ammonium_acetate": ("ammoniumacetate", "nh4oac", "aa"),
    "dtpa": ("dtpa",),
    "paste": ("paste", "saturatedpaste", "saturationextract", "satpaste", "ece"),
    "one_to_one": ("1:1", "11", "onetoone", "1:2.5", "1:25", "1:2"),
    "cacl2": ("cacl2", "calciumchloride"),
    "water": ("water", "h2o"),
}


def _number(name: str, written: str) -> float:
    text = written.strip().lstrip("<>~ ")
    if re.fullmatch(r"-?\d+,\d{1,2}", text):
        text = text.replace(",", ".")
    try:
        value = float(text.replace(",", ""))
    except ValueError:
        raise BadInput(f"{name.strip()}: '{written.strip()}' is not a number.") from None
    if value < 0:
        raise BadInput(f"{name.strip()} cannot be negative; got {written.strip()}.")
    return value


def _kind(unit: str, sample: Sample) -> tuple[str, float]:
    if sample == "water" and unit == "ppm":
        return "mass_volume", 1.0
    try:
        return _UNITS[unit.lower()]
    except KeyError:
        raise BadInput(f"the unit '{unit}' is not known.") from None


def _weight(test: str, unit: str) -> float:
    if test not in EQUIVALENT_WEIGHTS:
        raise BadInput(f"{test.replace('_', ' ')} cannot be given in {unit}; use ppm or %.")
    return EQUIVALENT_WEIGHTS[test]


def _to_mass(amount: float, kind: str, test: str, unit: str) -> float:
    if kind == "mass_volume":
        return amount
    weight = _weight(test, unit)
    return amount * weight * (MOLAR_OVER_EQUIVALENT.get(test, 1) if kind == "moles_volume" else 1)


def units_for(sample: Sample) -> Iterable[str]:
    """Units that reports of this kind use, most usual first, for finding a mix-up."""
    usual = {
        "leaf": ("%", "ppm", "g/kg"),
        "soil": ("ppm", "meq/100g", "lb/acre", "%", "dS/m", "uS/cm", "mS/m"),
        "water": ("mg/L", "meq/L", "dS/m", "uS/cm", "mmol/L", "mS/m"),
    }
    return usual[sample]
