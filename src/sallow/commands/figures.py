"""Writes amounts as a person would measure them, in metric, US units or both."""

from __future__ import annotations

import textwrap

from sallow.care.units import c_to_f, l_to_gal, m_to_ft, mm_to_in, rounded_for_measuring
from sallow.environment import Environment

BOTH = "both"


def litres(amount: float, units: str) -> str:
    """``26 L (7 gal)`` and the like."""
    return _pair(f"{_measured(amount, 'L')} L", f"{_measured(l_to_gal(amount), 'gal')} gal", units)


def litre_range(low: float, high: float, units: str) -> str:
    """``20 to 35 L (5.5 to 9 gal)``, or one figure when both ends round alike."""
    metric = _span(_measured(low, "L"), _measured(high, "L")) + " L"
    us = _span(_measured(l_to_gal(low), "gal"), _measured(l_to_gal(high), "gal")) + " gal"
    return _pair(metric, us, units)


def flow(l_per_h: float, units: str) -> str:
    """Litres per hour or gallons per hour."""
    return _pair(f"{l_per_h:.2g} L/h", f"{l_to_gal(l_per_h):.2g} gal/h", units)


def metres(amount: float, units: str) -> str:
    """Metres or feet to two figures."""
    return _pair(f"{amount:.2g} m", f"{m_to_ft(amount):.2g} ft", units)


def millimetres(amount: float, units: str) -> str:
    """Millimetres or inches of water."""
    return _pair(f"{amount:.2g} mm", f"{_inches(amount)} in", units)


def millimetre_range(low: float, high: float, units: str) -> str:
    """A range of millimetres or inches of water."""
    metric = _span(f"{low:.2g}", f"{high:.2g}") + " mm"
    return _pair(metric, _span(_inches(low), _inches(high)) + " in", units)


def warmth(celsius: float, units: str) -> str:
    """Degrees Celsius or Fahrenheit, whole."""
    return _pair(f"{celsius:.0f} °C", f"{c_to_f(celsius):.0f} °F", units)


def hours(low: float, high: float) -> str:
    """A running time as a timer is set: minutes (in fives from twenty on) up to an hour and a half, else half hours."""
    if high < 1.5:
        return _span(_minutes(low * 60), _minutes(high * 60)) + " minutes"
    return _span(_half_hours(low), _half_hours(high)) + " hours"


def _minutes(minutes: float) -> str:
    return f"{5 * round(minutes / 5) if minutes >= 20 else max(1, round(minutes))}"


def _half_hours(hours: float) -> str:
    return f"{round(hours)}" if hours >= 10 else f"{max(0.5, round(2 * hours) / 2):g}"


def say_wrapped(environment: Environment, text: str, lead: str = "", hang: str = "  ") -> None:
    """Print ``text`` folded to the width, later lines indented by ``hang``."""
    width = min(environment.width, 90)
    for line in textwrap.wrap(
        lead + text,
        width,
        subsequent_indent=" " * len(lead) if lead.strip() else hang,
        break_long_words=False,
        break_on_hyphens=False,
    ):
        environment.say(line)


def _inches(millimetres: float) -> str:
    # A rain gauge in inches is read to the hundredth.
    return f"{round(mm_to_in(millimetres), 2):.2g}"


def _measured(amount: float, unit: str) -> str:
    return f"{rounded_for_measuring(amount, unit):g}"  # type: ignore[arg-type]


def _span(low: str, high: str) -> str:
    return low if low == high else f"{low} to {high}"


def _pair(metric: str, us: str, units: str) -> str:
    if units == "metric":
        return metric
    return us if units == "us" else f"{metric} ({us})"
