"""Whatever can still be read of a damaged book, without ever writing to it."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

from sallow.errors import BookError
from sallow.trees.schema import COLUMNS
from sallow.trees.validate import is_sound

_UNREADABLE = (sqlite3.Error, UnicodeDecodeError)
_Rows = list[dict[str, Any]]
# What the cells hold that an older book does not have yet.
_FILLED_IN = {"precision": "day", "seen": "[]", "likely": "[]", "steps": "[]", "checks": "[]"}


def rescued_tables(path: Path) -> tuple[dict[str, _Rows], int]:
    """The sound rows that can be read, and how many tables had stretches or rows that could not.

    The list of acts cannot be trusted and is left out. BookError when nothing can be read at all.
    """
    tables: dict[str, _Rows] = {}
    lost = 0
    try:
        connection = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)
        connection.row_factory = sqlite3.Row
        try:
            connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
            for table in COLUMNS:
                rows, whole = _read(connection, table)
                tables[table] = rows
                lost += not whole
        finally:
            connection.close()
    except _UNREADABLE as fault:
        raise BookError(f"nothing can be read of {path} ({fault}); go back to your last export.") from fault
    return _belonging(tables), lost


def _read(connection: sqlite3.Connection, table: str) -> tuple[_Rows, bool]:
    if table in ("acts", "changes"):
        return [], True
    columns = _columns(connection, table)
    if table == "look_trees" and not columns:
        query = "SELECT uid AS look, 0 AS place, tree FROM looks NOT INDEXED"
    else:
        query = f"SELECT {', '.join(columns)} FROM {table} NOT INDEXED"
    if table == "photos" and not columns:
        return [], True
    forwards, whole = _as_far_as_possible(connection, query + " ORDER BY rowid")
    if not whole:
        backwards, _ = _as_far_as_possible(connection, query + " ORDER BY rowid DESC")
        forwards += [row for row in reversed(backwards) if row not in forwards]
    filled = [{name: row.get(name, _default(name, kind)) for name, kind in COLUMNS[table].items()} for row in forwards]
    sound = _unique([row for row in filled if is_sound(table, row)], table)
    return sound, whole and len(sound) == len(filled)


def _columns(connection: sqlite3.Connection, table: str) -> list[str]:
    there = {row["name"] for row in connection.execute(f"PRAGMA table_info({table})")}
    return [name for name in COLUMNS[table] if name in there]


def _default(name: str, kind: str) -> str | None:
    return _FILLED_IN.get(name, "") if kind == "text" else None


def _as_far_as_possible(connection: sqlite3.Connection, query: str) -> tuple[_Rows, bool]:
    found: _Rows = []
    try:
        cursor = connection.execute(query)
        while (row := cursor.fetchone()) is not None:
            found.append(dict(row))
    except _UNREADABLE:
        return found, False
    return found, True


def _unique(rows: _Rows, table: str) -> _Rows:
    """Only the first of rows with one key: what is read from both ends may come twice."""
    keys = ("look", "tree") if table == "look_trees" else ("uid",)
    kept: dict[tuple[Any, ...], dict[str, Any]] = {}
    for row in rows:
        kept.setdefault(tuple(row[key] for key in keys), row)
    return list(kept.values())


def _belonging(tables: dict[str, _Rows]) -> dict[str, _Rows]:
    """Rows whose tree or look was saved too; of a look whose trees are all lost the look itself is kept."""
    trees = {row["uid"] for row in tables["trees"]}
    looks = {row["uid"] for row in tables["looks"]}
    events = [row for row in tables["events"] if row["tree"] in trees]
    joined = [row for row in tables["look_trees"] if row["look"] in looks and row["tree"] in trees]
    photos = [row for row in tables["photos"] if row["look"] in looks]
    return {**tables, "events": events, "look_trees": joined, "photos": photos}
