"""The --weather option shared by commands: reads the file, sums it up, and tells it in words and data."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sallow.care.weather import Day, Extreme, WeatherSummary
    from sallow.environment import Environment
    from sallow.knowledge.tables import Table


def add_weather_options(parser: argparse.ArgumentParser) -> None:
    """Add --weather and --weather-units."""
    parser.add_argument(
        "--weather",
        type=Path,
        metavar="FILE.csv",
        help="daily weather: DATE, TMAX, TMIN, PRCP as stations give them, or date, tmax_c, tmin_c, rain_mm",
    )
    parser.add_argument(
        "--weather-units",
        choices=("tenths", "metric", "us"),
        help="units of TMAX, TMIN, PRCP: tenths of °C and mm, °C and mm, or °F and inches",
    )


def read_weather(
    arguments: argparse.Namespace,
    environment: Environment,
    latitude_degrees: float | None,
    tables: Mapping[str, Table],
) -> tuple[WeatherSummary, float, tuple[str, ...]] | None:
    """The summary, the effective rain of the last seven days in mm, and notes; None without the option."""
    if arguments.weather is None:
        return None
    from sallow.care.weather import summarise
    from sallow.weather_file import read_weather_file

    found = read_weather_file(arguments.weather, arguments.weather_units)
    if latitude_degrees is None:
        latitude_degrees = found.latitude_degrees
    summary = summarise(found.days, environment.today, latitude_degrees)
    return summary, _effective_week(found.days, summary, tables), found.notes


def _effective_week(days: tuple[Day, ...], summary: WeatherSummary, tables: Mapping[str, Table]) -> float:
    from sallow.care.units import in_to_mm
    from sallow.care.water import effective_rain_mm

    rows = tables["effective_rain"].rows
    steps = tuple((in_to_mm(row.number("from")), in_to_mm(row.number("to")), row.number("share")) for row in rows)
    week = [day.rain_mm for day in days if 0 <= (summary.last - day.day).days < 7]
    return sum(effective_rain_mm(rain, steps) for rain in week if rain is not None)


def weather_lines(summary: WeatherSummary, units: str) -> list[str]:
    """The summary in sentences, each a line."""
    from sallow.commands.figures import millimetres, warmth

    missing = summary.missing_days
    gaps = f" ({missing} day{'s' * (missing > 1)} of the last year without temperatures)" if missing else ""
    lines = [f"Record to {summary.last}{gaps}."]
    if summary.stale:
        lines.append("It ends too long ago to say anything about the weather now; only the past year is used.")
    lines.append(_extremes("frost night", summary.frost_nights, units, coldest=True))
    heat = f"day of {warmth(summary.bounds.heat_from_c, units)} or more"
    lines.append(_extremes(heat, summary.heat_days, units, coldest=False))
    for words, total in (("7 days", summary.rain_7_mm), ("30 days", summary.rain_30_mm)):
        lines.append(
            f"Rain in the last {words}: "
            + ("not known, days are missing." if total is None else millimetres(total, units) + ".")
        )
    if summary.soil_temperature_c is not None:
        lines.append(
            f"Soil at hand depth: about {warmth(summary.soil_temperature_c, units)}, an estimate from ten "
            "days of "
            "air temperature (our rule of thumb; wet or shaded soil is cooler)."
        )
    if summary.reference_mm_per_day is not None:
        lines.append(
            f"The air took {millimetres(summary.reference_mm_per_day, units)} a day over the last seven days "
            "(reference evapotranspiration; Hargreaves, FAO-56)."
        )
    return lines


def _extremes(what: str, found: tuple[Extreme, ...], units: str, *, coldest: bool) -> str:
    from sallow.commands.figures import warmth

    plural = what.replace("night", "nights") if "night" in what else what.replace("day", "days", 1)
    if not found:
        return f"No {plural} in the past year of the record."
    hardest = (min if coldest else max)(found, key=lambda entry: entry.temperature_c)
    count = f"1 {what}" if len(found) == 1 else f"{len(found)} {plural}"
    return (
        f"{count} in the past year, the last on {found[-1].day}, the hardest on {hardest.day} "
        f"at {warmth(hardest.temperature_c, units)}."
    )


def weather_data(summary: WeatherSummary) -> dict[str, Any]:
    """Events and signs as plain data, each with its origin."""
    from sallow.care.weather_answers import answers_from_weather

    answers = answers_from_weather(summary)
    return {
        "first": str(summary.first),
        "last": str(summary.last),
        "frost_nights": len(summary.frost_nights),
        "heat_days": len(summary.heat_days),
        "rain_7_mm": summary.rain_7_mm,
        "rain_30_mm": summary.rain_30_mm,
        "soil_temperature_c": summary.soil_temperature_c,
        "reference_mm_per_day": summary.reference_mm_per_day,
        "events": [
            {"what": event.what, "when": str(event.when), "because": event.because, "origin": event.origin}
            for event in answers.events
        ],
        "signs": {
            name: {"value": sign.value, "because": sign.because, "origin": sign.origin}
            for name, sign in answers.signs.items()
        },
    }
