"""Turns a weather summary into answers for the look: events (frost, heat, drought, flood) and signs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from sallow.care.units import c_to_f, mm_to_in
from sallow.care.weather import Extreme, WeatherSummary

ORIGIN = "from the weather file"


@dataclass(frozen=True, slots=True)
class WeatherEvent:
    """Something that happened to the garden, in the words of the look's events."""

    what: str
    when: date
    because: str
    origin: str = ORIGIN


@dataclass(frozen=True, slots=True)
class WeatherSign:
    """One answered sign; the person may overrule it."""

    value: str
    because: str
    origin: str = ORIGIN


@dataclass(frozen=True, slots=True)
class WeatherAnswers:
    """Everything the record answers by itself."""

    events: tuple[WeatherEvent, ...]
    signs: Mapping[str, WeatherSign]


def answers_from_weather(summary: WeatherSummary, most_events: int = 3) -> WeatherAnswers:
    """Events of the last year (the latest ``most_events`` of each kind, and the hardest) and recent signs."""
    frost = _events("frost", "the night fell to", summary.frost_nights, most_events)
    heat = _events("heat", "the day reached", summary.heat_days, most_events)
    events = tuple(sorted((*frost, *heat), key=lambda event: event.when))
    return WeatherAnswers(events, MappingProxyType(_signs(summary)))


def _events(what: str, words: str, extremes: tuple[Extreme, ...], most: int) -> list[WeatherEvent]:
    if not extremes:
        return []
    chosen = {entry.day: entry for entry in extremes[-most:]}
    hardest = (min if what == "frost" else max)(extremes, key=lambda entry: entry.temperature_c)
    chosen[hardest.day] = hardest
    return [
        WeatherEvent(what, entry.day, f"{words} {entry.temperature_c:.1f} °C ({c_to_f(entry.temperature_c):.0f} °F)")
        for entry in chosen.values()
    ]


def _signs(summary: WeatherSummary) -> dict[str, WeatherSign]:
    signs: dict[str, WeatherSign] = {}
    if summary.month_rain is not None and summary.rain_30_mm is not None:
        total = summary.rain_30_mm
        signs["recent_rain"] = WeatherSign(
            summary.month_rain, f"{total:.0f} mm ({mm_to_in(total):.1f} in) of rain in the 30 days to {summary.last}"
        )
    if summary.soil_warmth is not None and summary.soil_temperature_c is not None:
        warmth = summary.soil_temperature_c
        signs["soil_temperature"] = WeatherSign(
            summary.soil_warmth,
            f"the air averaged {warmth:.0f} °C ({c_to_f(warmth):.0f} °F) over "
            f"{summary.bounds.soil_days} days; soil at hand depth follows that to within about 3 °C (5 °F), "
            "wet or shaded soil being cooler",
        )
    return signs
