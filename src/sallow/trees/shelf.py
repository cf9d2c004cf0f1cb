"""Reading the book: trees by name, their events and looks, and a line about each for the list."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches

from sallow.errors import BadInput
from sallow.trees.book import Book, reading
from sallow.trees.model import Event, Look, Tree, clean_text, name_key
from sallow.trees.rows import event_of, look_of, tree_of

_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Line:
    """What the list says of one tree: its last event, the day of its last look, the day to look again."""

    tree: Tree
    last_event: Event | None
    last_look: date | None
    look_again: date | None


def all_trees(book: Book) -> tuple[Tree, ...]:
    """Every tree that was not removed, by name."""
    rows = book.connection.execute("SELECT * FROM trees WHERE gone = 0 ORDER BY name_key")
    return tuple(tree_of(row) for row in rows)


def find_tree(book: Book, name: str) -> Tree:
    """The tree called ``name``, or the only one that begins so or has that word; BadInput offers others."""
    key = name_key(clean_text(name, "the name of the tree"))
    row = book.connection.execute("SELECT * FROM trees WHERE name_key = ? AND gone = 0", (key,)).fetchone()
    if row is not None:
        return tree_of(row)
    names = {name_key(tree.name): tree for tree in all_trees(book)}
    if not names:
        raise BadInput('the book has no trees yet. Begin with: sallow trees add "Barrel lemon" --crop lemon')
    beginning = [tree for other, tree in names.items() if key and other.startswith(key)]
    if len(beginning) == 1:
        return beginning[0]
    if beginning:
        raise BadInput(
            f"'{name}' fits several trees: {_listed(tree.name for tree in beginning)}. Write more of the name."
        )
    inside = [other for other in names if key and key in other.split()]
    if len(inside) == 1:
        return names[inside[0]]
    near = inside or get_close_matches(key, names, n=3, cutoff=0.5)
    hint = (
        f"Did you mean {_listed(names[other].name for other in near)}?" if near else "See them with: sallow trees list"
    )
    raise BadInput(f"no tree in the book is called '{name}'. {hint}")


def find_trees(book: Book, names: str) -> tuple[Tree, ...]:
    """The trees of a comma-separated list, or of 'all'."""
    if name_key(names) == "all":
        trees = all_trees(book)
        if not trees:
            raise BadInput('the book has no trees yet. Begin with: sallow trees add "Barrel lemon" --crop lemon')
        return trees
    found = [find_tree(book, name) for name in names.split(",") if name.strip()]
    if not found:
        raise BadInput("name a tree, several with commas between, or 'all'.")
    return tuple({tree.uid: tree for tree in found}.values())


def events_of(book: Book, trees: Sequence[str], since: date = date.min) -> Mapping[str, tuple[Event, ...]]:
    """The events of these trees (uids) from the day ``since`` on, each tree's in order of time."""
    found: defaultdict[str, list[Event]] = defaultdict(list)
    living = f"gone = 0 AND day >= '{since.isoformat()}'"
    query = f"SELECT * FROM events WHERE {living} AND tree IN ({{}}) ORDER BY day, rowid"
    with reading(book) as connection:
        for row in _in_batches(connection, query, trees):
            found[row["tree"]].append(event_of(row))
    return {tree: tuple(found[tree]) for tree in trees}


def looks_of(book: Book, trees: Sequence[str]) -> Mapping[str, tuple[Look, ...]]:
    """The looks at these trees (uids), each tree's in order of time, with photos."""
    query = (
        "SELECT l.*, m.tree AS of_tree FROM looks l JOIN look_trees m ON m.look = l.uid "
        "WHERE l.gone = 0 AND m.tree IN ({}) ORDER BY l.day, l.rowid"
    )
    found: defaultdict[str, list[Look]] = defaultdict(list)
    with reading(book) as connection:
        rows = list(_in_batches(connection, query, trees))
        uids = sorted({row["uid"] for row in rows})
        members = _grouped(connection, "SELECT look, tree FROM look_trees WHERE look IN ({}) ORDER BY place", uids)
        photos = _grouped(
            connection, "SELECT look, path FROM photos WHERE gone = 0 AND look IN ({}) ORDER BY rowid", uids
        )
    for row in rows:
        found[row["of_tree"]].append(look_of(row, members[row["uid"]], photos[row["uid"]]))
    return {tree: tuple(found[tree]) for tree in trees}


def list_lines(book: Book) -> tuple[Line, ...]:
    """One line for every tree, with three queries however many trees and notes there are."""
    newest_event = (
        "SELECT e.* FROM trees t JOIN events e ON e.rowid = (SELECT rowid FROM events WHERE tree = "
        "t.uid AND gone = 0 "
        "ORDER BY day DESC, rowid DESC LIMIT 1) WHERE t.gone = 0"
    )
    newest_look = (
        "SELECT m.tree, l.day, l.look_again FROM look_trees m JOIN looks l ON l.uid = m.look WHERE "
        "l.gone = 0 "
        "ORDER BY l.day, l.rowid"
    )
    with reading(book) as connection:
        trees = all_trees(book)
        events = {row["tree"]: event_of(row) for row in connection.execute(newest_event)}
        looks = {row["tree"]: (row["day"], row["look_again"]) for row in connection.execute(newest_look)}
    lines = []
    for tree in trees:
        day, again = looks.get(tree.uid, ("", ""))
        lines.append(Line(tree, events.get(tree.uid), _day(day), _day(again)))
    return tuple(lines)


def last_look_uid(book: Book, tree: Tree) -> str:
    """The uid of the newest look at a tree; BadInput when it was never looked at."""
    looks = looks_of(book, [tree.uid])[tree.uid]
    if not looks:
        raise BadInput(f"{tree.name} has no look in the book yet that a photo could belong to. First: sallow look")
    return looks[-1].uid


def _day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


def _listed(names: Iterable[str]) -> str:
    names = list(names)
    shown = [f"'{name}'" for name in names[:5]] + ([f"{len(names) - 5} more"] if len(names) > 5 else [])
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} or {shown[-1]}"


def _in_batches(connection: sqlite3.Connection, query: str, keys: Sequence[str]) -> Iterable[sqlite3.Row]:
    for start in range(0, len(keys), _AT_ONCE):
        batch = keys[start : start + _AT_ONCE]
        yield from connection.execute(query.format(", ".join("?" for _ in batch)), tuple(batch))


def _grouped(connection: sqlite3.Connection, query: str, keys: Sequence[str]) -> defaultdict[str, tuple[str, ...]]:
    found: defaultdict[str, tuple[str, ...]] = defaultdict(tuple)
    for key, value in _in_batches(connection, query, keys):
        found[key] += (value,)
    return found
