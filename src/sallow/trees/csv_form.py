"""The tables of the book as a folder of CSV files, safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import io
import os
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from sallow.errors import BadInput
from sallow.trees.schema import ADDED_SINCE, COLUMNS

# A spreadsheet would run a cell that begins with one of these as a formula, or drop the sign: such text gets
# a quote in front, and text that begins with a quote gets one more, so that reading can take one off.
_RISKY = ("=", "+", "-", "@", "\t", "\r", "\n", "'")
_LONGEST_CELL = 50_000_000


def write_csv_folder(tables: Mapping[str, Sequence[Mapping[str, Any]]], folder: Path) -> None:
    """One file per table; each is there whole or not at all. OSError when the disk will not have it."""
    folder.mkdir(parents=True, exist_ok=True)
    for table, columns in COLUMNS.items():
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\r\n")
        writer.writerow(columns)
        for row in tables[table]:
            writer.writerow([_cell(row[name], kind) for name, kind in columns.items()])
        handle, temporary = tempfile.mkstemp(dir=folder, prefix=".part-")
        try:
            with os.fdopen(handle, "w", encoding="utf-8-sig", newline="") as stream:
                stream.write(text.getvalue())
                stream.flush()
                os.fsync(stream.fileno())
            Path(temporary).replace(folder / f"{table}.csv")
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise


def _cell(value: object, kind: str) -> str:
    if value is None:
        return ""
    if kind != "text":
        return repr(value)
    text = str(value)
    return f"'{text}" if text.startswith(_RISKY) else text


def read_csv_folder(folder: Path) -> dict[str, list[dict[str, Any]]]:
    """The tables of a folder that ``write_csv_folder`` wrote; BadInput names the file and line of a fault."""
    csv.field_size_limit(_LONGEST_CELL)
    return {
        table: _read(folder / f"{table}.csv", columns, ADDED_SINCE.get(table, frozenset()))
        for table, columns in COLUMNS.items()
    }


def _read(path: Path, columns: Mapping[str, str], may_lack: frozenset[str]) -> list[dict[str, Any]]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as stream:
            reader = csv.reader(stream, strict=True)
            heads = next(reader, [])
            lacking = set(columns) - set(heads)
            if sorted([*heads, *lacking]) != sorted(columns) or not lacking <= may_lack:
                raise BadInput(
                    f"{path}:1: the heads are {', '.join(heads) or 'missing'}; expected {', '.join(columns)}."
                )
            empty = dict.fromkeys(lacking)
            return [empty | _row(path, reader.line_num, heads, cells, columns) for cells in reader if cells]
    except FileNotFoundError:
        raise BadInput(
            f"{path} is missing; an exported folder holds {', '.join(f'{name}.csv' for name in COLUMNS)}."
        ) from None
    except (OSError, csv.Error, UnicodeError) as fault:
        raise BadInput(f"{path} cannot be read as a CSV file ({fault}).") from None


def _row(path: Path, line: int, heads: list[str], cells: list[str], columns: Mapping[str, str]) -> dict[str, Any]:
    if len(cells) != len(heads):
        raise BadInput(f"{path}:{line}: {len(cells)} cells where {len(heads)} were expected.")
    try:
        return {name: _value(cell, columns[name]) for name, cell in zip(heads, cells, strict=True)}
    except ValueError as fault:
        raise BadInput(f"{path}:{line}: {fault}; expected a number.") from None


def _value(cell: str, kind: str) -> Any:
    if kind == "text":
        return cell[1:] if cell.startswith("'") else cell
    if cell == "" and kind.endswith("?"):
        return None
    return int(cell) if kind.startswith("whole") else float(cell)
