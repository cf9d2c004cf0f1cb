"""Checks an export row by row before a single one is taken in."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from datetime import date
from typing import Any

from sallow.errors import BadInput, BookError
from sallow.trees.ledger import TABLES_WITH_UNDO
from sallow.trees.model import CAME_OF_IT, checked_event, checked_tree, name_key
from sallow.trees.rows import event_of, look_of, tree_of
from sallow.trees.schema import COLUMNS

Rows = list[dict[str, Any]]


def check_tables(document: Mapping[str, Any], source: str) -> dict[str, Rows]:
    """The tables, each cell of the right type, each reference met; BadInput names table, row and cell."""
    tables = {table: _table(document, table, source) for table in COLUMNS}
    uids = {table: _uids(tables[table], table, source) for table in TABLES_WITH_UNDO}
    _refer(tables["events"], "events", {"tree": uids["trees"]}, source)
    _refer(tables["look_trees"], "look_trees", {"look": uids["looks"], "tree": uids["trees"]}, source)
    _refer(tables["photos"], "photos", {"look": uids["looks"]}, source)
    numbers = {row["number"] for row in tables["acts"]}
    _refer(tables["acts"], "acts", {"undoes": numbers | {None}}, source)
    _refer(tables["changes"], "changes", {"act": numbers}, source)
    _once(tables["acts"], "acts", ("number",), source)
    _once(tables["changes"], "changes", ("act", "place"), source)
    _once(tables["look_trees"], "look_trees", ("look", "tree"), source)
    _values(tables, source)
    return tables


def is_sound(table: str, row: dict[str, Any]) -> bool:
    """Whether one row has cells of the right type and values that the book may hold."""
    if not all(_fits(row[name], kind) for name, kind in COLUMNS[table].items()):
        return False
    try:
        _check_row(table, row, set())
    except (BadInput, BookError, ValueError, KeyError, TypeError, AttributeError):
        return False
    return True


def _table(document: Mapping[str, Any], table: str, source: str) -> Rows:
    rows = document.get(table)
    if not isinstance(rows, list):
        raise BadInput(f"{source}: '{table}' is missing or is not a list.")
    for place, row in enumerate(rows, 1):
        where = f"{source}: {table}, row {place}"
        if not isinstance(row, dict) or set(row) != set(COLUMNS[table]):
            raise BadInput(f"{where}: expected exactly the cells {', '.join(COLUMNS[table])}.")
        for name, kind in COLUMNS[table].items():
            if not _fits(row[name], kind):
                raise BadInput(f"{where}: '{name}' is {row[name]!r}; expected {_expected(kind)}.")
    return [{name: row[name] for name in COLUMNS[table]} for row in rows]


def _fits(value: object, kind: str) -> bool:
    if value is None:
        return kind.endswith("?")
    if kind == "text":
        return isinstance(value, str) and _encodable(value)
    if isinstance(value, bool):
        return False
    if kind.startswith("whole"):
        return isinstance(value, int) and abs(value) < 2**53
    return isinstance(value, int | float) and math.isfinite(value)


def _encodable(text: str) -> bool:
    return "\x00" not in text and not any(0xD800 <= ord(mark) <= 0xDFFF for mark in text)


def _expected(kind: str) -> str:
    words = {"text": "text", "whole": "a whole number", "number": "a number"}[kind.rstrip("?")]
    return words + (" or nothing" if kind.endswith("?") else "")


def _uids(rows: Rows, table: str, source: str) -> set[str]:
    _once(rows, table, ("uid",), source)
    if any(not row["uid"] for row in rows):
        raise BadInput(f"{source}: {table}: a row has no uid.")
    return {row["uid"] for row in rows}


def _once(rows: Rows, table: str, names: tuple[str, ...], source: str) -> None:
    seen: set[tuple[Any, ...]] = set()
    for place, row in enumerate(rows, 1):
        key = tuple(row[name] for name in names)
        if key in seen:
            raise BadInput(f"{source}: {table}, row {place}: {' and '.join(names)} {key} stands there twice.")
        seen.add(key)


def _refer(rows: Rows, table: str, references: Mapping[str, set[Any]], source: str) -> None:
    for place, row in enumerate(rows, 1):
        for name, known in references.items():
            if row[name] not in known:
                raise BadInput(f"{source}: {table}, row {place}: {name} {row[name]!r} is not in the export.")


def _values(tables: Mapping[str, Rows], source: str) -> None:
    names: set[str] = set()
    for table in TABLES_WITH_UNDO:
        for place, row in enumerate(tables[table], 1):
            try:
                _check_row(table, row, names)
            except (BadInput, BookError, ValueError, KeyError, TypeError, AttributeError) as fault:
                raise BadInput(f"{source}: {table}, row {place}: {fault}") from None
    for place, row in enumerate(tables["changes"], 1):
        _check_change(row, f"{source}: changes, row {place}")
    for place, row in enumerate(tables["acts"], 1):
        _check_day(row["day"], f"{source}: acts, row {place}")


def _check_row(table: str, row: dict[str, Any], names: set[str]) -> None:
    if row.get("gone", 0) not in (0, 1):
        raise ValueError(f"'gone' is {row['gone']}; expected 0 or 1")
    if table == "trees":
        checked_tree(tree_of(row))
        if not row["gone"] and name_key(row["name"]) in names:
            raise ValueError(f"a second tree is called '{row['name']}'")
        names.update({name_key(row["name"])} if not row["gone"] else ())
    elif table == "events":
        checked_event(event_of(row))
        if row["product_known"] not in (None, 0, 1):
            raise ValueError(f"'product_known' is {row['product_known']}; expected 0, 1 or nothing")
    elif table == "looks":
        look_of(row, (), ())
        if row["came_of_it"] not in CAME_OF_IT:
            raise ValueError(f"'came_of_it' is '{row['came_of_it']}'; expected better, same, worse or nothing")


def _check_day(text: str, where: str) -> None:
    try:
        date.fromisoformat(text)
    except ValueError:
        raise BadInput(f"{where}: '{text}' is not a day; expected YYYY-MM-DD.") from None


def _check_change(row: dict[str, Any], where: str) -> None:
    if row["kind"] not in TABLES_WITH_UNDO:
        raise BadInput(f"{where}: kind '{row['kind']}' is not one of {', '.join(TABLES_WITH_UNDO)}.")
    columns = {*COLUMNS[row["kind"]], "name_key"} - {"uid"}
    for name in ("before", "after"):
        try:
            cells = json.loads(row[name])
        except ValueError:
            cells = None
        if not isinstance(cells, dict) or not set(cells) <= columns:
            raise BadInput(f"{where}: '{name}' does not name cells of {row['kind']}.")
