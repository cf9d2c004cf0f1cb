"""Unit conversion: round trips, the independent units library, published factors, rounding for measuring."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sallow.care import units

PAIRS = [
    (units.lb_to_kg, units.kg_to_lb),
    (units.oz_to_g, units.g_to_oz),
    (units.in_to_cm, units.cm_to_in),
    (units.in_to_mm, units.mm_to_in),
    (units.ft_to_m, units.m_to_ft),
    (units.sqft_to_m2, units.m2_to_sqft),
    (units.gal_to_l, units.l_to_gal),
    (units.cups_to_l, units.l_to_cups),
    (units.f_to_c, units.c_to_f),
    (units.p2o5_to_p, units.p_to_p2o5),
    (units.k2o_to_k, units.k_to_k2o),
    (units.lb_per_acre_to_g_per_m2, units.g_per_m2_to_lb_per_acre),
    (units.lb_per_cup_to_kg_per_l, units.kg_per_l_to_lb_per_cup),
]


@pytest.mark.parametrize(("there", "back"), PAIRS, ids=lambda pair: pair.__name__)
@given(value=st.floats(-1e6, 1e6))
def test_there_and_back_again(there, back, value):
    assert back(there(value)) == pytest.approx(value, rel=1e-12, abs=1e-9)
    assert there(back(value)) == pytest.approx(value, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize(
    ("function", "source", "target"),
    [
        (units.lb_to_kg, "pound", "kilogram"),
        (units.oz_to_g, "ounce", "gram"),
        (units.in_to_cm, "inch", "centimeter"),
        (units.in_to_mm, "inch", "millimeter"),
        (units.ft_to_m, "foot", "meter"),
        (units.sqft_to_m2, "foot ** 2", "meter ** 2"),
        (units.gal_to_l, "US_liquid_gallon", "liter"),
        (units.cups_to_l, "US_liquid_cup", "liter"),
        (units.lb_per_acre_to_g_per_m2, "pound / international_acre", "gram / meter ** 2"),
        (units.lb_per_sqft_to_g_per_m2, "pound / foot ** 2", "gram / meter ** 2"),
        (units.lb_per_cup_to_kg_per_l, "pound / US_liquid_cup", "kilogram / liter"),
    ],
)
def test_agrees_with_an_independent_units_library(function, source, target):
    pint = pytest.importorskip("pint")
    registry = pint.UnitRegistry()
    registry.define("international_acre = 43560 * foot ** 2")
    assert function(3.7) == pytest.approx(registry.Quantity(3.7, source).to(target).magnitude, rel=1e-9)


def test_published_factors():
    # Penn State, How Much P and K are Really in Your Fertilizer (2022): 0.44 and 0.83.
    assert units.p2o5_to_p(1) == pytest.approx(0.44, abs=0.005)
    assert units.k2o_to_k(1) == pytest.approx(0.83, abs=0.005)
    # NCDA conversion: P to P2O5 2.29, K to K2O 1.2.
    assert units.p_to_p2o5(1) == pytest.approx(2.29, abs=0.005)
    assert units.k_to_k2o(1) == pytest.approx(1.2, abs=0.01)
    # Peace Corps, Soils, Crops and Fertilizer Use (1986): lb per acre to kg per hectare 1.12.
    assert units.lb_per_acre_to_g_per_m2(1) * 10 == pytest.approx(1.12, abs=0.005)


def test_temperatures():
    assert units.f_to_c(32) == 0
    assert units.f_to_c(212) == pytest.approx(100)
    assert units.c_to_f(-40) == pytest.approx(-40)


@pytest.mark.parametrize(
    ("value", "unit", "expected"),
    [
        (0.4167, "lb", 0.42),
        (4.762, "lb", 4.8),
        (231, "g", 230),
        (66.3, "g", 65),
        (1234, "g", 1200),
        (3.81, "cups", 3.75),
        (5.3, "cups", 5.5),
        (12.3, "cups", 12),
        (0.09, "cups", 0.0625),
        (0, "g", 0),
    ],
)
def test_rounding_as_a_person_would_measure(value, unit, expected):
    assert units.rounded_for_measuring(value, unit) == expected


@given(st.floats(0.3, 1e5), st.sampled_from(["kg", "g", "lb", "oz", "L", "gal", "cups", "m2", "sq_ft"]))
def test_rounding_stays_near_and_never_vanishes(value, unit):
    rounded = units.rounded_for_measuring(value, unit)
    assert rounded > 0
    assert abs(rounded - value) <= 0.06 * value or abs(rounded - value) <= 0.125
