"""The whole book out and back, as one JSON file or a folder of CSV files; a round trip loses nothing."""

from __future__ import annotations

import json
import os
import sqlite3
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from sallow.bounded import read_bounded
from sallow.errors import BadInput
from sallow.trees.book import Book, reading, writing
from sallow.trees.csv_form import read_csv_folder, write_csv_folder
from sallow.trees.ledger import Change, insert, record
from sallow.trees.model import LONGEST_NAME, name_key
from sallow.trees.schema import ADDED_SINCE, COLUMNS, LATEST, OLDEST_EXPORT
from sallow.trees.validate import check_tables

Tables = Mapping[str, list[dict[str, Any]]]
_MARK = "sallow_tree_book"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What an import did: rows taken in by kind, rows known already, those that differ, trees renamed."""

    taken: Mapping[str, int]
    known: int
    differing: tuple[str, ...]
    renamed: tuple[tuple[str, str], ...]


def all_tables(book: Book) -> dict[str, list[dict[str, Any]]]:
    """Every row of the book, removed ones and the list of acts too, in the order they were written."""
    with reading(book) as connection:
        return {table: list(_rows(connection, table)) for table in COLUMNS}


def _rows(connection: sqlite3.Connection, table: str) -> Iterator[dict[str, Any]]:
    order = {"acts": "number", "changes": "act, place"}.get(table, "rowid")
    for row in connection.execute(f"SELECT {', '.join(COLUMNS[table])} FROM {table} ORDER BY {order}"):
        yield dict(row)


def export(tables: Tables, target: Path) -> None:
    """Write the tables to ``target``: JSON when it ends in .json, otherwise a folder of CSV files.

    A file is there whole or not at all; BadInput when it cannot be written.
    """
    try:
        if target.suffix.lower() == ".json":
            _write_whole(target, json.dumps({_MARK: LATEST, **tables}, ensure_ascii=False, indent=1) + "\n")
        else:
            write_csv_folder(tables, target)
    except (OSError, UnicodeError) as fault:
        why = getattr(fault, "strerror", None) or str(fault)
        raise BadInput(f"the export to {target} failed ({why}); name another place or make room.") from None


def _write_whole(target: Path, text: str) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        Path(name).replace(target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def read_export(source: Path) -> Tables:
    """The tables of an export, checked in full; BadInput names the file, the line and what was expected."""
    if source.is_dir():
        return check_tables(read_csv_folder(source), str(source))
    try:
        document = json.loads(read_bounded(source, 64, "export of a tree book"), parse_constant=_refuse_constant)
    except OSError as fault:
        raise BadInput(f"{source} cannot be read ({fault.strerror}); name an exported .json file or folder.") from None
    except (ValueError, RecursionError) as fault:
        raise BadInput(
            f"{source} is not a whole JSON file ({fault}); name a file that 'sallow trees export' wrote."
        ) from None
    if not isinstance(document, dict) or _MARK not in document:
        raise BadInput(f"{source} is JSON, but not an export of a tree book (it has no '{_MARK}').")
    if document[_MARK] not in range(OLDEST_EXPORT, LATEST + 1):
        raise BadInput(f"{source} is an export of form {document[_MARK]!r}; this sallow reads form {LATEST}.")
    return check_tables(_with_later_columns(document), str(source))


def _with_later_columns(document: Mapping[str, Any]) -> dict[str, Any]:
    """The document with the columns that its form did not have yet, empty."""
    filled = dict(document)
    for table, names in ADDED_SINCE.items():
        rows = filled.get(table)
        if filled[_MARK] < LATEST and isinstance(rows, list):
            filled[table] = [dict.fromkeys(names) | row if isinstance(row, dict) else row for row in rows]
    return filled


def _refuse_constant(word: str) -> None:
    raise ValueError(f"{word} is not a number JSON allows")


def take_in(book: Book, tables: Tables, today: date) -> Outcome:
    """Put an export in the book, all or nothing.

    An empty book becomes an exact copy, the list of acts included. Otherwise what is new is added as one act
    that can be undone; what is there already stays as it is, and is named when the export says otherwise. A
    tree whose name is taken gets a number behind it.
    """
    with writing(book) as connection:
        if not any(connection.execute(f"SELECT 1 FROM {table} LIMIT 1").fetchone() for table in COLUMNS):
            return _copy(connection, tables)
        return _merge(connection, tables, today)


def _copy(connection: sqlite3.Connection, tables: Tables) -> Outcome:
    for table, columns in COLUMNS.items():
        names = [*columns, *(["name_key"] if table == "trees" else [])]
        rows = [{**row, "name_key": name_key(row["name"])} if table == "trees" else row for row in tables[table]]
        connection.executemany(
            f"INSERT INTO {table} ({', '.join(names)}) VALUES ({', '.join('?' for _ in names)})",
            ([row[name] for name in names] for row in rows),
        )
    taken = {table: len(tables[table]) for table in ("trees", "events", "looks", "photos")}
    return Outcome(taken, 0, (), ())


def _merge(connection: sqlite3.Connection, tables: Tables, today: date) -> Outcome:
    changes: list[Change] = []
    taken = dict.fromkeys(("trees", "events", "looks", "photos"), 0)
    renamed: list[tuple[str, str]] = []
    differing: list[str] = []
    known = 0
    new_looks: set[str] = set()
    for table in taken:
        for row in tables[table]:
            there = connection.execute(
                f"SELECT {', '.join(COLUMNS[table])} FROM {table} WHERE uid = ?", (row["uid"],)
            ).fetchone()
            if there is not None:
                known += 1
                if dict(there) != row:
                    differing.append(f"{table} {row.get('name') or row.get('day') or row['uid']}")
                continue
            change = _insert(connection, table, row, renamed)
            taken[table] += 1
            if not row["gone"]:
                changes.append(change)
            if table == "looks":
                new_looks.add(row["uid"])
        if table == "looks":
            _join_looks(connection, tables, new_looks)
    if any(taken.values()):
        record(connection, today, f"took in an export: {taken['trees']} trees, {taken['events']} notes", changes)
    return Outcome(taken, known, tuple(differing), tuple(renamed))


def _insert(connection: sqlite3.Connection, table: str, row: dict[str, Any], renamed: list[tuple[str, str]]) -> Change:
    if table == "trees":
        name = row["name"] if row["gone"] else _free_name(connection, row["name"])
        if name != row["name"]:
            renamed.append((row["name"], name))
        row = {**row, "name": name, "name_key": name_key(name)}
    return insert(connection, table, row)


def _free_name(connection: sqlite3.Connection, name: str) -> str:
    number, tried = 1, name
    stem = name[: LONGEST_NAME - 5].strip()
    while connection.execute("SELECT 1 FROM trees WHERE name_key = ? AND gone = 0", (name_key(tried),)).fetchone():
        number += 1
        tried = f"{stem} {number}"
    return tried


def _join_looks(connection: sqlite3.Connection, tables: Tables, new_looks: set[str]) -> None:
    connection.executemany(
        "INSERT INTO look_trees (look, place, tree) VALUES (?, ?, ?)",
        ((row["look"], row["place"], row["tree"]) for row in tables["look_trees"] if row["look"] in new_looks),
    )
