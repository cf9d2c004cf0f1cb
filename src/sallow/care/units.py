"""Unit conversion between the metric and the US system, and rounding as a person would measure it.

Every function takes and returns plain floats; the unit is in the name. Factors are the legal definitions
(1 lb = 0.45359237 kg, 1 in = 2.54 cm, 1 US gal = 3.785411784 L), so each pair of functions undoes the other.
"""

from __future__ import annotations

import math
from typing import Literal

KG_PER_LB = 0.45359237
GRAMS_PER_OUNCE = KG_PER_LB * 1000 / 16
CM_PER_INCH = 2.54
METRES_PER_FOOT = 0.3048
SQUARE_METRES_PER_SQUARE_FOOT = METRES_PER_FOOT**2
SQUARE_FEET_PER_ACRE = 43560.0
LITRES_PER_GALLON = 3.785411784
LITRES_PER_CUP = LITRES_PER_GALLON / 16
TABLESPOONS_PER_CUP = 16
TEASPOONS_PER_TABLESPOON = 3
MM_PER_INCH = 25.4

# Molar masses in g/mol: the share of the element in the oxide that a fertilizer label states.
_P, _K, _O = 30.973762, 39.0983, 15.999
P_IN_P2O5 = 2 * _P / (2 * _P + 5 * _O)
K_IN_K2O = 2 * _K / (2 * _K + _O)

System = Literal["metric", "us"]
Measure = Literal["kg", "g", "lb", "oz", "L", "gal", "cups", "cm", "in", "m", "ft", "m2", "sq_ft", "mm"]


def lb_to_kg(pounds: float) -> float:
    """Pounds to kilograms."""
    return pounds * KG_PER_LB


def kg_to_lb(kilograms: float) -> float:
    """Kilograms to pounds."""
    return kilograms / KG_PER_LB


def oz_to_g(ounces: float) -> float:
    """Ounces (weight) to grams."""
    return ounces * GRAMS_PER_OUNCE


def g_to_oz(grams: float) -> float:
    """Grams to ounces (weight)."""
    return grams / GRAMS_PER_OUNCE


def in_to_cm(inches: float) -> float:
    """Inches to centimetres."""
    return inches * CM_PER_INCH


def cm_to_in(centimetres: float) -> float:
    """Centimetres to inches."""
    return centimetres / CM_PER_INCH


def in_to_mm(inches: float) -> float:
    """Inches to millimetres (rain, evapotranspiration)."""
    return inches * MM_PER_INCH


def mm_to_in(millimetres: float) -> float:
    """Millimetres to inches."""
    return millimetres / MM_PER_INCH


def ft_to_m(feet: float) -> float:
    """Feet to metres."""
    return feet * METRES_PER_FOOT


def m_to_ft(metres: float) -> float:
    """Metres to feet."""
    return metres / METRES_PER_FOOT


def sqft_to_m2(square_feet: float) -> float:
    """Square feet to square metres."""
    return square_feet * SQUARE_METRES_PER_SQUARE_FOOT


def m2_to_sqft(square_metres: float) -> float:
    """Square metres to square feet."""
    return square_metres / SQUARE_METRES_PER_SQUARE_FOOT


def gal_to_l(gallons: float) -> float:
    """US gallons to litres."""
    return gallons * LITRES_PER_GALLON


def l_to_gal(litres: float) -> float:
    """Litres to US gallons."""
    return litres / LITRES_PER_GALLON


def cups_to_l(cups: float) -> float:
    """US cups (a sixteenth of a US gallon) to litres."""
    return cups * LITRES_PER_CUP


def l_to_cups(litres: float) -> float:
    """Litres to US cups."""
    return litres / LITRES_PER_CUP


def f_to_c(fahrenheit: float) -> float:
    """Degrees Fahrenheit to degrees Celsius."""
    return (fahrenheit - 32) / 1.8


def c_to_f(celsius: float) -> float:
    """Degrees Celsius to degrees Fahrenheit."""
    return celsius * 1.8 + 32


def p2o5_to_p(oxide: float) -> float:
    """Phosphate (P2O5) to the element P, by molar mass (0.436)."""
    return oxide * P_IN_P2O5


def p_to_p2o5(element: float) -> float:
    """The element P to phosphate (P2O5), by molar mass (2.29)."""
    return element / P_IN_P2O5


def k2o_to_k(oxide: float) -> float:
    """Potash (K2O) to the element K, by molar mass (0.830)."""
    return oxide * K_IN_K2O


def k_to_k2o(element: float) -> float:
    """The element K to potash (K2O), by molar mass (1.205)."""
    return element / K_IN_K2O


def lb_per_acre_to_g_per_m2(rate: float) -> float:
    """Pounds per acre to grams per square metre."""
    return rate * KG_PER_LB * 1000 / (SQUARE_FEET_PER_ACRE * SQUARE_METRES_PER_SQUARE_FOOT)


def g_per_m2_to_lb_per_acre(rate: float) -> float:
    """Grams per square metre to pounds per acre."""
    return rate / lb_per_acre_to_g_per_m2(1.0)


def lb_per_sqft_to_g_per_m2(rate: float) -> float:
    """Pounds per square foot to grams per square metre."""
    return rate * KG_PER_LB * 1000 / SQUARE_METRES_PER_SQUARE_FOOT


def lb_per_cup_to_kg_per_l(density: float) -> float:
    """Pounds per US cup to kilograms per litre (bulk density)."""
    return density * KG_PER_LB / LITRES_PER_CUP


def kg_per_l_to_lb_per_cup(density: float) -> float:
    """Kilograms per litre to pounds per US cup."""
    return density * LITRES_PER_CUP / KG_PER_LB


def rounded_for_measuring(value: float, unit: Measure) -> float:
    """``value`` rounded to what kitchen and garden tools can measure in ``unit``: two figures at most.

    Cups go to quarters below four and halves below ten; the other units go to two significant figures,
    the second of them a 0 or a 5 from fifty up. A value above zero never becomes zero.
    """
    if value == 0 or not math.isfinite(value):
        return value
    size = abs(value)
    step = _cup_step(size) if unit == "cups" else _two_figure_step(size)
    rounded = max(step, round(size / step) * step)
    return math.copysign(_tidy(rounded, step), value)


def _cup_step(cups: float) -> float:
    if cups < 0.25:
        return 1 / 16  # a tablespoon
    if cups < 4:
        return 0.25
    return 0.5 if cups < 10 else 1.0


def _two_figure_step(size: float) -> float:
    magnitude: float = 10.0 ** (math.floor(math.log10(size)) - 1)
    return magnitude if size / magnitude < 50 else 5 * magnitude


def _tidy(value: float, step: float) -> float:
    # Multiplying back by a step such as 0.05 leaves dust (0.15000000000000002) that would be printed.
    digits = max(0, 2 - math.floor(math.log10(step)))
    return round(value, digits)
