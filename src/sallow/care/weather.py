"""What a daily weather record says about a garden: frost nights, heat, rain, soil warmth, water use.

Pure sums over days that somebody else has read. The bounds in ``Bounds`` are our own judgement, not a
publication's, except that water freezes at 0 °C.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from sallow.care.evapotranspiration import check_temperatures, hargreaves
from sallow.errors import BadInput

SoilWarmth = Literal["cold", "cool", "warm"]
RecentRain = Literal["none", "some", "heavy"]
MonthRain = Literal["little", "usual", "wet"]


@dataclass(frozen=True, slots=True)
class Day:
    """One day: °C and mm; None where the station has no figure."""

    day: date
    lowest_c: float | None = None
    highest_c: float | None = None
    rain_mm: float | None = None

    @property
    def mean_c(self) -> float | None:
        """Half way between lowest and highest, when both are known."""
        if self.lowest_c is None or self.highest_c is None:
            return None
        return (self.lowest_c + self.highest_c) / 2


@dataclass(frozen=True, slots=True)
class Bounds:
    """Where frost, heat, rain and soil warmth begin to matter (°C, mm, days)."""

    frost_at_or_below_c: float = 0.0
    heat_from_c: float = 35.0
    look_back_days: int = 365
    recent_days: int = 14
    rain_some_from_mm: float = 5.0
    rain_heavy_from_mm: float = 75.0
    rain_heavy_day_mm: float = 40.0
    month_little_below_mm: float = 15.0
    month_wet_from_mm: float = 120.0
    soil_days: int = 10
    soil_cold_below_c: float = 12.5
    soil_warm_from_c: float = 18.0
    wet_day_from_mm: float = 1.0
    stale_after_days: int = 10
    known_share: float = 0.7


USUAL = Bounds()


@dataclass(frozen=True, slots=True)
class Extreme:
    """A frosty night or a hot day with its temperature (°C)."""

    day: date
    temperature_c: float


@dataclass(frozen=True, slots=True)
class WeatherSummary:
    """What the record says up to ``last``. A total is None when too many of its days are missing.

    Temperatures in °C, rain in mm, ``reference_mm_per_day`` is the mean of the last seven days by Hargreaves
    and needs the latitude. ``missing_days`` counts days without both temperatures in the year looked back on.
    """

    first: date
    last: date
    today: date
    frost_nights: tuple[Extreme, ...]
    heat_days: tuple[Extreme, ...]
    rain_7_mm: float | None
    rain_recent_mm: float | None
    rain_30_mm: float | None
    rain_year_mm: float | None
    wettest_recent_mm: float | None
    dry_days_in_a_row: int | None
    soil_temperature_c: float | None
    reference_mm_per_day: float | None
    missing_days: int
    bounds: Bounds = USUAL

    @property
    def stale(self) -> bool:
        """Whether the record ends too long ago to say anything about recent weather."""
        return (self.today - self.last).days > self.bounds.stale_after_days

    @property
    def recent_rain(self) -> RecentRain | None:
        """None, some or heavy rain in the recent days; None when not known."""
        total = self.rain_recent_mm
        if self.stale or total is None:
            return None
        wettest = self.wettest_recent_mm or 0
        if total >= self.bounds.rain_heavy_from_mm or wettest >= self.bounds.rain_heavy_day_mm:
            return "heavy"
        return "some" if total >= self.bounds.rain_some_from_mm else "none"

    @property
    def month_rain(self) -> MonthRain | None:
        """Little, usual or wet over the last 30 days, in the words of the look; None when not known."""
        total = self.rain_30_mm
        if self.stale or total is None:
            return None
        if total >= self.bounds.month_wet_from_mm:
            return "wet"
        return "little" if total < self.bounds.month_little_below_mm else "usual"

    @property
    def soil_warmth(self) -> SoilWarmth | None:
        """Cold, cool or warm soil by the running estimate; None when not known."""
        if self.stale or self.soil_temperature_c is None:
            return None
        if self.soil_temperature_c < self.bounds.soil_cold_below_c:
            return "cold"
        return "warm" if self.soil_temperature_c >= self.bounds.soil_warm_from_c else "cool"


def check_days(days: Sequence[Day]) -> None:
    """BadInput for impossible temperatures, rain below zero, and days twice or out of order."""
    previous: date | None = None
    for entry in days:
        if previous is not None and entry.day <= previous:
            twice = "is there twice" if entry.day == previous else "is out of order"
            raise BadInput(f"the day {entry.day} {twice} in the weather record; expected one line for each day.")
        previous = entry.day
        if entry.lowest_c is not None and entry.highest_c is not None:
            check_temperatures(entry.lowest_c, entry.highest_c)
        if entry.rain_mm is not None and entry.rain_mm < 0:
            raise BadInput(f"rain on {entry.day} is {entry.rain_mm:g} mm; it cannot be less than nothing.")


def summarise(
    days: Sequence[Day], today: date, latitude_degrees: float | None = None, bounds: Bounds = USUAL
) -> WeatherSummary:
    """The summary of a record in date order; days after ``today`` (forecasts) are left out."""
    past = [entry for entry in days if entry.day <= today]
    if not past:
        raise BadInput(f"the weather record has no day up to today ({today}); is it the right file?")
    last = past[-1].day
    year = _last(past, last, bounds.look_back_days)
    check_days(year)
    recent = _last(year, last, bounds.recent_days)
    span = min(bounds.look_back_days, (last - past[0].day).days + 1)
    return WeatherSummary(
        first=past[0].day,
        last=last,
        today=today,
        frost_nights=tuple(
            Extreme(entry.day, entry.lowest_c)
            for entry in year
            if entry.lowest_c is not None and entry.lowest_c <= bounds.frost_at_or_below_c
        ),
        heat_days=tuple(
            Extreme(entry.day, entry.highest_c)
            for entry in year
            if entry.highest_c is not None and entry.highest_c >= bounds.heat_from_c
        ),
        rain_7_mm=_rain(_last(year, last, 7), 7, bounds),
        rain_recent_mm=_rain(recent, bounds.recent_days, bounds),
        rain_30_mm=_rain(_last(year, last, 30), 30, bounds),
        rain_year_mm=_rain(year, bounds.look_back_days, bounds),
        wettest_recent_mm=max((entry.rain_mm for entry in recent if entry.rain_mm is not None), default=None),
        dry_days_in_a_row=_dry_spell(year, bounds),
        soil_temperature_c=_soil_temperature(year, last, bounds),
        reference_mm_per_day=_reference(_last(year, last, 7), latitude_degrees),
        missing_days=span - sum(entry.mean_c is not None for entry in year),
        bounds=bounds,
    )


def _last(days: Sequence[Day], last: date, count: int) -> list[Day]:
    start = last - timedelta(days=count - 1)
    return [entry for entry in days if entry.day >= start]


def _rain(days: Sequence[Day], count: int, bounds: Bounds) -> float | None:
    known = [entry.rain_mm for entry in days if entry.rain_mm is not None]
    return sum(known) if len(known) >= bounds.known_share * count else None


def _dry_spell(days: Sequence[Day], bounds: Bounds) -> int | None:
    dry = 0
    for entry in reversed(days):
        if entry.rain_mm is None:
            return dry or None
        if entry.rain_mm >= bounds.wet_day_from_mm:
            return dry
        dry += 1
    return dry


def _soil_temperature(days: Sequence[Day], last: date, bounds: Bounds) -> float | None:
    means = [entry.mean_c for entry in _last(days, last, bounds.soil_days) if entry.mean_c is not None]
    return sum(means) / len(means) if len(means) >= bounds.known_share * bounds.soil_days else None


def _reference(days: Sequence[Day], latitude_degrees: float | None) -> float | None:
    if latitude_degrees is None:
        return None
    known = [
        hargreaves(entry.lowest_c, entry.highest_c, latitude_degrees, entry.day)
        for entry in days
        if entry.lowest_c is not None and entry.highest_c is not None
    ]
    return sum(known) / len(known) if len(known) >= 4 else None
