"""Reads a daily weather file (CSV): the public station format, or plain columns with units in the name."""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Literal

from sallow.bounded import read_bounded
from sallow.care.units import f_to_c, in_to_mm
from sallow.care.weather import Day
from sallow.errors import BadInput

FileUnits = Literal["tenths", "metric", "us"]
MOST_LINES = 250_000
MOST_FAULTS_TOLD = 5
MISSING = frozenset({"", "-9999", "9999", "-9999.0", "M", "m", "NA", "na", "nan", "NaN", "null"})

Convert = Callable[[float], float]
_SAME: Convert = float
_TENTHS: Convert = lambda value: value / 10  # noqa: E731
_BY_UNITS: dict[FileUnits, tuple[Convert, Convert]] = {
    "tenths": (_TENTHS, _TENTHS),
    "metric": (_SAME, _SAME),
    "us": (f_to_c, in_to_mm),
}
_PLAIN: dict[str, tuple[str, Convert]] = {
    "tmax_c": ("highest", _SAME),
    "tmin_c": ("lowest", _SAME),
    "tmax_f": ("highest", f_to_c),
    "tmin_f": ("lowest", f_to_c),
    "rain_mm": ("rain", _SAME),
    "prcp_mm": ("rain", _SAME),
    "rain_in": ("rain", in_to_mm),
    "prcp_in": ("rain", in_to_mm),
}
_STATION = {"tmax": "highest", "tmin": "lowest", "prcp": "rain"}


@dataclass(frozen=True, slots=True)
class WeatherFile:
    """Days in order, notes on what was left out or assumed, and the station's latitude when given."""

    days: tuple[Day, ...]
    notes: tuple[str, ...]
    latitude_degrees: float | None = None


@dataclass(frozen=True, slots=True)
class _Column:
    place: int
    convert: Convert
    flags: int | None = None


def read_weather_file(path: Path, units: FileUnits | None = None) -> WeatherFile:
    """Read and check a daily file. BadInput, with the lines, when it cannot be trusted."""
    rows = _rows(path)
    if len(rows) < 2:
        raise BadInput(f"{path}: no days in this file; expected a line with DATE, TMAX, TMIN, PRCP, then days.")
    if len(rows) > MOST_LINES:
        raise BadInput(f"{path}: {len(rows)} lines is more than a daily record can have; is it one station only?")
    header = [cell.strip().lower() for cell in rows[0]]
    if "date" not in header:
        raise BadInput(
            f"{path}: no column called DATE in the first line ({', '.join(rows[0][:6])} ...). Expected DATE, "
            "TMAX, TMIN, PRCP, or date, tmax_c, tmin_c, rain_mm (or tmax_f, tmin_f, rain_in)."
        )
    columns, notes = _columns(path, header, rows[1:], units)
    days, faults, dropped = _days(rows[1:], header.index("date"), columns)
    if faults:
        raise BadInput(_tell(path, faults))
    days.sort(key=lambda entry: entry.day)
    if dropped:
        notes.append(f"{dropped} figures that the station itself flagged as doubtful were left out")
    notes.extend(_gap_notes(days))
    return WeatherFile(_without_twins(path, days, notes), tuple(notes), _latitude(header, rows[1]))


def _latitude(header: Sequence[str], row: Sequence[str]) -> float | None:
    if "latitude" not in header or len(row) <= header.index("latitude"):
        return None
    cell = row[header.index("latitude")].strip()
    return float(cell) if _is_number(cell) and -90 <= float(cell) <= 90 else None


def _rows(path: Path) -> list[list[str]]:
    try:
        text = read_bounded(path, 40, "daily record")
    except UnicodeDecodeError as error:
        raise BadInput(f"{path}: this is not a text file (CSV); save it as CSV, UTF-8.") from error
    except OSError as error:
        raise BadInput(f"{path}: cannot be read ({error.strerror}).") from error
    if (lines := text.count("\n")) > MOST_LINES:
        raise BadInput(f"{path}: {lines} lines is more than a daily record can have; is it one station only?")
    first = text.partition("\n")[0]
    separator = ";" if ";" in first and "," not in first else "\t" if "\t" in first else ","
    if separator == ";":
        text = text.replace(",", ".")
    try:
        return [row for row in csv.reader(text.splitlines(), delimiter=separator) if row]
    except csv.Error as error:
        raise BadInput(f"{path}: cannot be read as CSV ({error}).") from error


def _columns(
    path: Path, header: Sequence[str], rows: Sequence[Sequence[str]], units: FileUnits | None
) -> tuple[dict[str, _Column], list[str]]:
    notes: list[str] = []
    found: dict[str, _Column] = {}
    for place, name in enumerate(header):
        if name in _PLAIN:
            what, convert = _PLAIN[name]
            found.setdefault(what, _Column(place, convert))
    station = {what: header.index(name) for name, what in _STATION.items() if name in header and what not in found}
    if station:
        known = units or _guess_units(path, station, rows)
        if units is None:
            notes.append(f"units taken as {_units_in_words(known)}")
        warmth, rain = _BY_UNITS[known]
        for what, place in station.items():
            flags = f"{header[place]}_attributes"
            found[what] = _Column(
                place, rain if what == "rain" else warmth, header.index(flags) if flags in header else None
            )
    if not found:
        raise BadInput(
            f"{path}: no temperature or rain column. Expected TMAX, TMIN, PRCP, or tmax_c, tmin_c, rain_mm "
            "(or tmax_f, tmin_f, rain_in)."
        )
    return found, notes


def _guess_units(path: Path, station: dict[str, int], rows: Sequence[Sequence[str]]) -> FileUnits:
    """Tenths when only tenths explain the figures; metric or US by their decimals; else ask."""
    place = station.get("highest", station.get("lowest"))
    if place is None:
        decimals = any("." in row[station["rain"]] for row in rows if len(row) > station["rain"])
        if decimals:
            raise BadInput(f"{path}: is the rain in millimetres or inches? Say --weather-units metric or us.")
        return "tenths"
    cells = [row[place].strip() for row in rows if len(row) > place and row[place].strip() not in MISSING]
    values = [float(cell) for cell in cells if _is_number(cell)]
    if not values:
        return "tenths"
    if any("." in cell and not cell.endswith((".0", ".")) for cell in cells):
        return "us" if max(values) > 60 else "metric"
    if max(values) > 140 or min(values) < -60:
        return "tenths"
    raise BadInput(
        f"{path}: the temperatures run from {min(values):g} to {max(values):g}, which could be tenths of a "
        "degree Celsius, degrees Celsius or degrees Fahrenheit. Say --weather-units tenths, metric or us."
    )


def _units_in_words(units: FileUnits) -> str:
    words = {
        "tenths": "tenths of a degree Celsius and tenths of a millimetre (the public station format)",
        "metric": "degrees Celsius and millimetres",
        "us": "degrees Fahrenheit and inches",
    }
    return words[units]


def _days(
    rows: Iterable[Sequence[str]], date_place: int, columns: dict[str, _Column]
) -> tuple[list[Day], list[str], int]:
    days: list[Day] = []
    faults: list[str] = []
    dropped = 0
    for line, row in enumerate(rows, 2):
        try:
            day = date.fromisoformat(row[date_place].strip()[:10])
        except (ValueError, IndexError):
            faults.append(f"line {line}: no date like 2024-07-31")
            continue
        values: dict[str, float | None] = {}
        for what, column in columns.items():
            cell = row[column.place].strip() if len(row) > column.place else ""
            if cell in MISSING:
                values[what] = None
            elif column.flags is not None and _flagged(row, column.flags):
                values[what] = None
                dropped += 1
            elif what == "rain" and cell in ("T", "t"):
                values[what] = 0.0
            elif _is_number(cell):
                values[what] = column.convert(float(cell))
            else:
                faults.append(f"line {line}: '{cell[:20]}' is not a number")
                values[what] = None
        entry = Day(day, values.get("lowest"), values.get("highest"), values.get("rain"))
        fault = _fault(entry)
        if fault:
            faults.append(f"line {line} ({day}): {fault}")
        days.append(entry)
    return days, faults, dropped


def _is_number(cell: str) -> bool:
    try:
        return math.isfinite(float(cell))
    except ValueError:
        return False


def _flagged(row: Sequence[str], place: int) -> bool:
    # The second of the comma-separated attributes is the station's own quality flag.
    parts = row[place].split(",") if len(row) > place else []
    return len(parts) > 1 and bool(parts[1].strip())


def _fault(entry: Day) -> str:
    lowest, highest, rain = entry.lowest_c, entry.highest_c, entry.rain_mm
    for value in (lowest, highest):
        if value is not None and not -90 <= value <= 60:
            return f"{value:.1f} °C cannot be true; are the units right?"
    if lowest is not None and highest is not None and lowest > highest:
        return f"the lowest temperature ({lowest:.1f} °C) is above the highest ({highest:.1f} °C)"
    if rain is not None and not 0 <= rain <= 2000:
        return f"{rain:.0f} mm of rain in a day cannot be true"
    return ""


def _tell(path: Path, faults: Sequence[str]) -> str:
    told = "\n  ".join(faults[:MOST_FAULTS_TOLD])
    more = f"\n  and {len(faults) - MOST_FAULTS_TOLD} more" if len(faults) > MOST_FAULTS_TOLD else ""
    lines = f"{len(faults)} line{'s' * (len(faults) > 1)}"
    return f"{path}: {lines} cannot be used:\n  {told}{more}\nMend or remove them, then try again."


def _without_twins(path: Path, days: Sequence[Day], notes: list[str]) -> tuple[Day, ...]:
    kept: list[Day] = []
    twins = 0
    for entry in days:
        if kept and kept[-1].day == entry.day:
            if kept[-1] != entry:
                raise BadInput(
                    f"{path}: the day {entry.day} is there twice with different figures. "
                    "Keep one station and one line for each day."
                )
            twins += 1
        else:
            kept.append(entry)
    if twins:
        notes.append(f"{twins} line{'s' * (twins > 1)} repeated a day with the same figures and counted only once")
    return tuple(kept)


def _gap_notes(days: Sequence[Day]) -> list[str]:
    gaps = sum((after.day - before.day).days > 1 for before, after in pairwise(days))
    if not gaps:
        return []
    missing = (days[-1].day - days[0].day).days + 1 - len({entry.day for entry in days})
    return [
        f"{missing} day{'s are' if missing > 1 else ' is'} missing from the record, in {gaps} gap{'s' * (gaps > 1)}; "
        "totals may not be worked out there"
    ]
