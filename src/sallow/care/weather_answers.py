"""Turns a weather summary into answers for the look: events (frost, heat, drought, flood) and signs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from sallow.care.weather import Night, WeatherSummary

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
    """Events of the last year (the ``most_events`` latest of each kind, and the hardest) and the recent signs."""
    events = (
        *_events("frost", summary.frost_nights, most_events, hardest=min),
        *_events("heat", summary.heat_days, most_events, hardest=max),
    )
    return WeatherAnswers(tuple(sorted(events, key=lambda event: event.when)), MappingProxyType(_signs(summary)))


def _events(what: str, nights: tuple[Night, ...], most: int, hardest: object) -> list[WeatherEvent]:
    if not nights:
        return []
    pick = min if hardest is min else max
    chosen = {night.day: night for night in nights[-most:]}
    extreme = pick(nights, key=lambda night: night.temperature_c)
    chosen[extreme.day] = extreme
    word = "the night fell to" if what == "frost" else "the day reached"
    return [
        WeatherEvent(what, night.day, f"{word} {night.temperature_c:.1f} °C ({night.temperature_c * 1.8 + 32:.0f} °F)")
        for night in chosen.values()
    ]


def _signs(summary: WeatherSummary) -> dict[str, WeatherSign]:
    signs: dict[str, WeatherSign] = {}
    if summary.recent_rain is not None and summary.rain_recent_mm is not None:
        days, total = summary.bounds.recent_days, summary.rain_recent_mm
        signs["recent_rain"] = WeatherSign(
            summary.recent_rain,
            f"{total:.0f} mm ({total / 25.4:.1f} in) of rain in the {days} days to {summary.last.isoformat()}",
        )
    if summary.soil_warmth is not None and summary.soil_temperature_c is not None:
        warmth = summary.soil_temperature_c
        signs["soil_temperature"] = WeatherSign(
            summary.soil_warmth,
            f"the air averaged {warmth:.0f} °C ({warmth * 1.8 + 32:.0f} °F) over {summary.bounds.soil_days} days; "
            "soil at hand depth follows that to within about 3 °C (5 °F), wet or shaded soil being cooler",
        )
    return signs
