"""Writing in the book: every write is one act with its before and after, so that history.undo can take it back."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sallow.errors import BadInput
from sallow.trees.book import Book, writing
from sallow.trees.model import (
    CAME_OF_IT,
    Event,
    Look,
    Tree,
    checked_event,
    checked_tree,
    clean_text,
    name_key,
    name_taken,
)
from sallow.trees.rows import row_of_event, row_of_look, row_of_tree, to_json, tree_of

TABLES_WITH_UNDO = ("trees", "events", "looks", "photos")
_ABSENT, _PRESENT = {"gone": 1}, {"gone": 0}


@dataclass(frozen=True, slots=True)
class Change:
    """One row changed by an act: the cells that changed, before and after."""

    kind: str
    row: str
    before: Mapping[str, Any]
    after: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Act:
    """One write, as the list of acts shows it. ``undone_by`` is the act that took it back, if any."""

    number: int
    day: date
    words: str
    undoes: int | None = None
    undone_by: int | None = None


def add_tree(book: Book, tree: Tree, today: date) -> Tree:
    """Put a new tree in the book; BadInput when its name is taken or a value is out of range."""
    tree = replace(checked_tree(tree), uid=book.new_id())
    with writing(book) as connection:
        _refuse_taken_name(connection, tree)
        change = insert(connection, "trees", {**row_of_tree(tree), "name_key": name_key(tree.name)})
        record(connection, today, f"added the tree {tree.name}", [change])
    return tree


def edit_tree(book: Book, uid: str, changes: Mapping[str, Any], today: date) -> Tree:
    """Change what the book says of a tree; ``changes`` goes by the field names of Tree."""
    with writing(book) as connection:
        old = _living_tree(connection, uid)
        tree = checked_tree(replace(old, **changes))
        _refuse_taken_name(connection, tree)
        cells = {**row_of_tree(tree), "name_key": name_key(tree.name)}
        change = update(connection, "trees", uid, cells)
        if change.after:
            what = ", ".join(sorted(set(change.after) - {"name_key"}))
            record(connection, today, f"changed {old.name}: {what}", [change])
    return tree


def remove_tree(book: Book, uid: str, today: date) -> Act:
    """Take a tree out of the lists. Its notes and looks stay, and ``undo`` brings it back."""
    with writing(book) as connection:
        tree = _living_tree(connection, uid)
        change = update(connection, "trees", uid, _ABSENT)
        return record(connection, today, f"removed the tree {tree.name}", [change])


def add_events(book: Book, events: Sequence[Event], today: date, words: str) -> Act:
    """Put down events, all or none, as one act; each names its tree by uid."""
    rows = [row_of_event(replace(checked_event(event), uid=book.new_id())) for event in events]
    with writing(book) as connection:
        for row in rows:
            _living_tree(connection, row["tree"])
        return record(connection, today, words, [insert(connection, "events", row) for row in rows])


def keep_look(book: Book, *, trees: Sequence[str], look: Look, today: date | None = None) -> Look:
    """Keep a look at the trees with these uids: answers, knowledge version and result, with photo paths.

    Returns the look with its uid; of the same look at the same trees, told again, the one that is kept already.
    BadInput when there is no tree, or something in it is not plain data.
    """
    if not trees:
        raise BadInput("a look is kept with at least one tree; name the tree it belongs to.")
    if look.came_of_it not in CAME_OF_IT:
        raise BadInput(f"how the tree does since is '{look.came_of_it}'; expected better, same or worse.")
    look = replace(look, uid=book.new_id(), trees=tuple(dict.fromkeys(trees)))
    row = row_of_look(look)
    with writing(book) as connection:
        names = [_living_tree(connection, uid).name for uid in look.trees]
        if (kept := _kept_already(connection, look, row)) is not None:
            return replace(look, uid=kept)
        changes = [insert(connection, "looks", row)]
        for place, uid in enumerate(look.trees):
            connection.execute("INSERT INTO look_trees (look, place, tree) VALUES (?, ?, ?)", (look.uid, place, uid))
        changes += [_insert_photo(connection, book, look.uid, path) for path in look.photos]
        record(connection, today or look.day, f"kept a look at {', '.join(names)}", changes)
    return look


def _kept_already(connection: sqlite3.Connection, look: Look, row: Mapping[str, Any]) -> str | None:
    """The uid of a look of that day at the same trees, with the same photos, answers and result."""
    told = ("day", "answers", "knowledge", "result", "seen")
    alike = connection.execute(
        "SELECT l.uid FROM look_trees m JOIN looks l ON l.uid = m.look WHERE m.tree = ? AND l.gone = 0 AND "
        + " AND ".join(f"l.{cell} = ?" for cell in told),
        (look.trees[0], *(row[cell] for cell in told)),
    ).fetchall()
    for (uid,) in alike:
        trees = connection.execute("SELECT tree FROM look_trees WHERE look = ?", (uid,))
        photos = connection.execute("SELECT path FROM photos WHERE look = ? AND gone = 0", (uid,))
        if {tree for (tree,) in trees} == set(look.trees) and set(look.photos) <= {path for (path,) in photos}:
            return str(uid)
    return None


def add_photo(book: Book, look: str, path: str, today: date) -> Act:
    """Note the path of a photo with a look that is already kept; the picture itself stays where it is."""
    with writing(book) as connection:
        change = _insert_photo(connection, book, look, path)
        return record(connection, today, f"noted the photo {path}", [change])


def insert(connection: sqlite3.Connection, table: str, row: Mapping[str, Any]) -> Change:
    """Write a new row; the change that undoing turns into 'gone'."""
    marks = ", ".join("?" for _ in row)
    connection.execute(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks})", tuple(row.values()))
    return Change(table, str(row["uid"]), _ABSENT, _PRESENT)


def update(connection: sqlite3.Connection, table: str, uid: str, cells: Mapping[str, Any]) -> Change:
    """Write the cells that differ; the change holds only those."""
    old = connection.execute(f"SELECT * FROM {table} WHERE uid = ?", (uid,)).fetchone()
    differing = {name: value for name, value in cells.items() if old[name] != value}
    if differing:
        places = ", ".join(f"{name} = ?" for name in differing)
        connection.execute(f"UPDATE {table} SET {places} WHERE uid = ?", (*differing.values(), uid))
    return Change(table, uid, {name: old[name] for name in differing}, differing)


def record(
    connection: sqlite3.Connection,
    day: date,
    words: str,
    changes: Iterable[Change],
    undoes: int | None = None,
) -> Act:
    """Write down one act and its changes."""
    cursor = connection.execute(
        "INSERT INTO acts (day, words, undoes) VALUES (?, ?, ?)", (day.isoformat(), words, undoes)
    )
    number = int(cursor.lastrowid or 0)
    connection.executemany(
        "INSERT INTO changes (act, place, kind, row, before, after) VALUES (?, ?, ?, ?, ?, ?)",
        (
            (
                number,
                place,
                change.kind,
                change.row,
                to_json(change.before, "a change"),
                to_json(change.after, "a change"),
            )
            for place, change in enumerate(changes)
        ),
    )
    return Act(number, day, words, undoes)


def _insert_photo(connection: sqlite3.Connection, book: Book, look: str, path: str) -> Change:
    path = clean_text(path, "the path of the photo", 1000)
    if not path:
        raise BadInput("the path of the photo is empty; give the place of the picture file.")
    return insert(connection, "photos", {"uid": book.new_id(), "look": look, "path": path})


def _living_tree(connection: sqlite3.Connection, uid: str) -> Tree:
    row = connection.execute("SELECT * FROM trees WHERE uid = ? AND gone = 0", (uid,)).fetchone()
    if row is None:
        raise BadInput(
            "that tree is not in the book (any more); see 'sallow trees list' and 'sallow trees undo --list'."
        )
    return tree_of(row)


def _refuse_taken_name(connection: sqlite3.Connection, tree: Tree) -> None:
    rows = connection.execute("SELECT name FROM trees WHERE gone = 0 AND uid <> ?", (tree.uid,))
    if taken := name_taken(tree.name, [str(row["name"]) for row in rows]):
        raise BadInput(taken)
