"""Figures of a laboratory report from options and CSV files (with a column map)."""

from __future__ import annotations

import argparse
import csv
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sallow.bounded import read_bounded
from sallow.care.laboratory_case import LabCase
from sallow.care.laboratory_units import Measurement, measurement, parse_measurement, test_named
from sallow.commands.water_inputs import crop_named
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table

USUAL_COLUMNS = {
    "test": ("test", "analyte", "element", "nutrient", "parameter", "name", "determination"),
    "value": ("value", "result", "level", "concentration", "amount"),
    "unit": ("unit", "units"),
    "method": ("method", "extraction", "extractant"),
}


def told_anything(arguments: argparse.Namespace) -> bool:
    """Whether figures came with the command, so that nothing needs asking."""
    return bool(arguments.figures or arguments.values) or arguments.csv is not None


def case_from(arguments: argparse.Namespace, tables: Mapping[str, Table]) -> tuple[LabCase, tuple[str, ...]]:
    """The case told by options and file, and notes on lines that were left out."""
    if arguments.sample is None:
        raise BadInput("say what was sampled: sallow lab leaf, sallow lab soil or sallow lab water, then the figures.")
    figures = [parse_measurement(text) for text in (*arguments.figures, *arguments.values)]
    notes: tuple[str, ...] = ()
    if arguments.csv is not None:
        read, notes = read_report(arguments.csv, column_map(arguments.columns), arguments.row)
        figures.extend(read)
    case = LabCase(
        sample=arguments.sample,
        crop=crop_named(arguments.crop) if arguments.crop else "other",
        measurements=tuple(figures),
        regions=chosen_regions(arguments.table, tables["leaf_classes"]),
        taken=arguments.taken,
        hemisphere=arguments.hemisphere,
        texture=arguments.texture,
        fizzes=None if arguments.fizzes is None else arguments.fizzes == "yes",
        lime_strength=arguments.lime_strength,
        overhead=arguments.overhead,
    )
    return case, notes


def chosen_regions(names: Sequence[str] | None, table: Table) -> tuple[str, ...]:
    """Regions picked with --table, checked."""
    if not names:
        return ()
    known = tuple(dict.fromkeys(str(row["region"]) for row in table.rows))
    wanted = tuple(name.strip().lower().replace(" ", "_") for name in names)
    for name in wanted:
        if name not in known:
            raise BadInput(f"--table: '{name}' is not a leaf table here; expected {', '.join(known)}.")
    return wanted


def column_map(text: str | None) -> dict[str, str]:
    """``test=Analyte,value=Result`` as a mapping; BadInput for a part that is not one of the four."""
    if not text:
        return {}
    found: dict[str, str] = {}
    for part in text.split(","):
        key, sign, column = part.partition("=")
        key = key.strip().lower()
        if not sign or key not in USUAL_COLUMNS or not column.strip():
            raise BadInput(
                f"--columns: '{part.strip()}' cannot be used; expected test=, value=, unit= or method= and "
                "the name "
                "of a column, parted by commas."
            )
        found[key] = column.strip()
    return found


def read_report(path: Path, columns: Mapping[str, str], row: int) -> tuple[list[Measurement], tuple[str, ...]]:
    """Figures of a CSV: one figure a line, or one sample a line with the unit in each heading."""
    lines = _lines(path)
    header = [cell.strip() for cell in lines[0]]
    places = _places(path, header, columns)
    if "test" in places and "value" in places:
        return _one_figure_a_line(path, lines[1:], places)
    return _one_sample_a_line(path, header, lines[1:], row)


def _lines(path: Path) -> list[list[str]]:
    try:
        text = read_bounded(path, 2, "laboratory report")
    except UnicodeDecodeError as error:
        raise BadInput(f"{path}: this is not a text file; save the report as CSV, UTF-8.") from error
    except OSError as error:
        raise BadInput(f"{path}: cannot be read ({error.strerror}).") from error
    first = text.partition("\n")[0]
    separator = ";" if first.count(";") > first.count(",") else "\t" if "\t" in first else ","
    try:
        rows = csv.reader(text.splitlines(), delimiter=separator)
        lines = [[_printable(cell) for cell in line] for line in rows if any(map(str.strip, line))]
    except csv.Error as error:
        raise BadInput(f"{path}: cannot be read as CSV ({error}).") from error
    if len(lines) < 2:
        raise BadInput(f"{path}: no figures; expected a line of column names, then figures.")
    return lines


def _printable(cell: str) -> str:
    """A cell without characters that could steer a terminal."""
    return "".join(character for character in cell if character.isprintable())


def _places(path: Path, header: Sequence[str], columns: Mapping[str, str]) -> dict[str, int]:
    lowered = [cell.lower() for cell in header]
    places: dict[str, int] = {}
    for key, usual in USUAL_COLUMNS.items():
        if key in columns:
            wanted = columns[key].lower()
            if wanted not in lowered:
                raise BadInput(f"{path}: no column called '{columns[key]}'; the columns are {', '.join(header)}.")
            places[key] = lowered.index(wanted)
        else:
            found = [lowered.index(name) for name in usual if name in lowered]
            if found:
                places[key] = found[0]
    return places


def _one_figure_a_line(
    path: Path, lines: Sequence[Sequence[str]], places: Mapping[str, int]
) -> tuple[list[Measurement], tuple[str, ...]]:
    figures: list[Measurement] = []
    skipped: list[str] = []
    for number, line in enumerate(lines, 2):
        cells = {key: line[place].strip() if place < len(line) else "" for key, place in places.items()}
        name, unit = _unit_in_name(cells["test"], cells.get("unit", ""))
        if not cells["value"]:
            continue
        if not _known(name):
            skipped.append(name)
            continue
        try:
            figures.append(measurement(name, cells["value"], unit, cells.get("method", "")))
        except BadInput as error:
            raise BadInput(f"{path}, line {number}: {error}") from error
    return figures, _skipped(skipped)


def _one_sample_a_line(
    path: Path, header: Sequence[str], lines: Sequence[Sequence[str]], row: int
) -> tuple[list[Measurement], tuple[str, ...]]:
    if not 1 <= row <= len(lines):
        raise BadInput(f"{path}: --row {row}, but there are {len(lines)} lines of figures.")
    figures: list[Measurement] = []
    skipped: list[str] = []
    for heading, cell in zip(header, lines[row - 1], strict=False):
        name, unit = _unit_in_name(heading, "")
        if not cell.strip():
            continue
        if not _known(name):
            skipped.append(heading)
            continue
        try:
            figures.append(measurement(name, cell, unit))
        except BadInput as error:
            raise BadInput(f"{path}, column '{heading}': {error}") from error
    if not figures:
        raise BadInput(
            f"{path}: no column is known. Expected columns called test, value and unit (or say which with "
            "--columns), "
            "or one column for each test with its unit: N (%), Zn (ppm), pH."
        )
    return figures, _skipped(skipped)


def _unit_in_name(heading: str, unit: str) -> tuple[str, str]:
    match = re.fullmatch(r"(.*?)\s*[\[(,]\s*([^\])]+?)\s*[\])]?", heading.strip())
    if match and not unit:
        return match[1], match[2]
    return heading.strip(), unit


def _known(name: str) -> bool:
    try:
        test_named(name)
    except BadInput:
        return False
    return True


def _skipped(names: Sequence[str]) -> tuple[str, ...]:
    return (f"left out, not tests this command reads: {', '.join(dict.fromkeys(names))}",) if names else ()
