"""The acts written in the book, and taking any of them back: an undo is itself an act that can be undone."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from sallow.errors import BadInput, BookError
from sallow.trees.book import Book, reading, writing
from sallow.trees.ledger import TABLES_WITH_UNDO, Act, Change, record, update
from sallow.trees.rows import readable


def acts(book: Book, limit: int = 20) -> tuple[Act, ...]:
    """The newest acts, newest first."""
    with reading(book) as connection:
        history = _history(connection)
        rows = connection.execute("SELECT * FROM acts ORDER BY number DESC LIMIT ?", (limit,)).fetchall()
    return tuple(_act(row, history) for row in rows)


def undo(book: Book, today: date, number: int | None = None) -> Act:
    """Take back one act: the one that came into force last, or that with ``number``, which may itself be an undo.

    BadInput when there is none, when it was taken back already, when an act in force since then changed the same
    cells, or when a tree's name was taken meanwhile.
    """
    with writing(book) as connection:
        history = _history(connection)
        act = _act_to_undo(connection, history, number)
        changes = _changes_of(connection, act.number)
        if history.root(act.number) not in history.taken_back:
            _refuse_if_built_upon(connection, history, act, changes)
        done = [_take_back(connection, act, change) for change in changes]
        words = (
            f"took back {act.number}: {act.words}" if act.undoes is None else f"did again what {act.number} took back"
        )
        return record(connection, today, words, done, undoes=act.number)


@dataclass(frozen=True, slots=True)
class _History:
    """Who undid whom: ``undoes`` from each undo to its act, ``taken_back`` from an act to the undo that stands.

    ``since`` tells of an act that was taken back and brought back with which act it came into force again.
    """

    undoes: Mapping[int, int]
    taken_back: Mapping[int, int]
    since: Mapping[int, int]

    def root(self, number: int) -> int:
        """The act, itself no undo, that this one wrote, took back, or brought back."""
        while number in self.undoes:
            number = self.undoes[number]
        return number

    def in_force_since(self, number: int) -> int:
        """The act with which this one came into force last."""
        return self.since.get(number, number)


def _history(connection: sqlite3.Connection) -> _History:
    rows = connection.execute("SELECT number, undoes FROM acts WHERE undoes IS NOT NULL ORDER BY number DESC")
    undoes = {row["number"]: row["undoes"] for row in rows}
    taken_back: dict[int, int] = {}
    since: dict[int, int] = {}
    # An undo always has a higher number than what it undoes, so one pass from the newest settles both.
    for number, undone in undoes.items():
        if number not in taken_back:
            taken_back[undone] = number
        else:
            by = taken_back[number]
            since[undone] = max(since.get(undone, 0), since.get(by, by))
    return _History(undoes, taken_back, since)


@readable
def _act(row: sqlite3.Row, history: _History) -> Act:
    number = row["number"]
    return Act(number, date.fromisoformat(row["day"]), row["words"], row["undoes"], history.taken_back.get(number))


def _act_to_undo(connection: sqlite3.Connection, history: _History, number: int | None) -> Act:
    if number is None:
        number = _newest_in_force(connection, history)
    # as text, since a number of any length may have been typed
    row = connection.execute("SELECT * FROM acts WHERE CAST(number AS TEXT) = ?", (str(number),)).fetchone()
    if row is None or number in history.taken_back:
        why = (
            "is not in this book" if row is None else f"was taken back already, by number {history.taken_back[number]}"
        )
        raise BadInput(f"number {number} {why}; see 'sallow trees undo --list'.")
    return _act(row, history)


def _newest_in_force(connection: sqlite3.Connection, history: _History) -> int:
    originals = connection.execute("SELECT number FROM acts WHERE undoes IS NULL")
    standing: list[int] = [row["number"] for row in originals if row["number"] not in history.taken_back]
    if not standing:
        raise BadInput("there is nothing to take back in this book.")
    return max(standing, key=history.in_force_since)


@readable
def _changes_of(connection: sqlite3.Connection, number: int) -> list[Change]:
    rows = connection.execute(
        "SELECT kind, row, before, after FROM changes WHERE act = ? ORDER BY place DESC", (number,)
    ).fetchall()
    return [Change(row["kind"], row["row"], json.loads(row["before"]), json.loads(row["after"])) for row in rows]


def _refuse_if_built_upon(connection: sqlite3.Connection, history: _History, act: Act, changes: list[Change]) -> None:
    """BadInput when another act that is in force, and came so later, changed a cell that this one changed.

    Equal values are not enough to go by: a cell may have gone from a to b, back to a, and to b again.
    """
    root = history.root(act.number)
    mine = history.in_force_since(root)
    for change in changes:
        rows = connection.execute(
            "SELECT act, after FROM changes WHERE kind = ? AND row = ? AND act <> ?", (change.kind, change.row, root)
        )
        for other in rows:
            number = other["act"]
            if number in history.undoes or number in history.taken_back or history.in_force_since(number) < mine:
                continue
            if set(json.loads(other["after"])) & set(change.after):
                raise BadInput(_in_the_way(act, f"number {number} later"))


def _in_the_way(act: Act, what: str) -> str:
    return (
        f"number {act.number} ({act.words}) cannot be taken back by itself: {what} changed the same line. Take "
        "the later one back first; 'sallow trees undo --list' shows them."
    )


def _take_back(connection: sqlite3.Connection, act: Act, change: Change) -> Change:
    if change.kind not in TABLES_WITH_UNDO:
        raise BookError(f"act {act.number} changed '{change.kind}', which this sallow does not know.")
    now = connection.execute(f"SELECT * FROM {change.kind} WHERE uid = ?", (change.row,)).fetchone()
    if now is None or any(now[name] != value for name, value in change.after.items()):
        raise BadInput(_in_the_way(act, "something later"))
    if change.kind == "trees" and ("name_key" in change.before or change.before.get("gone") == 0):
        _refuse_name_taken_since(connection, act, change, now)
    return update(connection, change.kind, change.row, change.before)


def _refuse_name_taken_since(connection: sqlite3.Connection, act: Act, change: Change, now: sqlite3.Row) -> None:
    name, key = change.before.get("name", now["name"]), change.before.get("name_key", now["name_key"])
    query = "SELECT 1 FROM trees WHERE name_key = ? AND gone = 0 AND uid <> ?"
    if connection.execute(query, (key, change.row)).fetchone():
        raise BadInput(
            f"another tree is called '{name}' by now, so number {act.number} cannot be taken back yet. Give that one "
            f'a new name first: sallow trees edit "{name}" --name "another name"'
        )
