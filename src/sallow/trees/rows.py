"""Between the values of the book and its rows: one function each way per kind."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import fields
from datetime import date
from functools import wraps
from typing import Any, ParamSpec, Protocol, TypeVar

from sallow.errors import BadInput, BookError
from sallow.trees.model import Event, Look, PendingCheck, Tree, clean_text

P = ParamSpec("P")
T = TypeVar("T")
RECOVER = (
    "The file is damaged; it was left as it was. Copy it somewhere safe, save what can be read with "
    "'sallow trees export --rescue saved-trees', and take that into a new book with "
    "'sallow trees --book new-book.sqlite import saved-trees'."
)
_TREE_FIELDS = tuple(field.name for field in fields(Tree))
_EVENT_SAME = ("product", "amount", "unit", "subject", "result", "words", "precision", "tree", "uid")


class Row(Protocol):
    """A row whose cells are found by name: one of SQLite's, or a plain mapping."""

    def __getitem__(self, name: str, /) -> Any: ...


def readable(build: Callable[P, T]) -> Callable[P, T]:
    """A row whose cells are not what the book wrote (a damaged disk) is told in plain words."""

    @wraps(build)
    def build_or_tell(*cells: P.args, **more: P.kwargs) -> T:
        try:
            return build(*cells, **more)
        except (ValueError, TypeError, KeyError, IndexError) as fault:
            raise BookError(f"a line of the book cannot be read ({fault}). {RECOVER}") from fault

    return build_or_tell


@readable
def tree_of(row: Row) -> Tree:
    """The tree of one row."""
    return Tree(**{name: row[name] for name in _TREE_FIELDS})


def row_of_tree(tree: Tree) -> dict[str, Any]:
    """The cells of a tree, without the name's key and without 'gone'."""
    return {name: getattr(tree, name) for name in _TREE_FIELDS}


@readable
def event_of(row: Row) -> Event:
    """The event of one row."""
    known = row["product_known"]
    return Event(
        what=row["what"],
        when=date.fromisoformat(row["day"]),
        where=row["place"],
        product_known=None if known is None else bool(known),
        **{name: row[name] for name in _EVENT_SAME},
    )


def row_of_event(event: Event) -> dict[str, Any]:
    """The cells of an event, without 'gone'."""
    cells = {name: getattr(event, name) for name in _EVENT_SAME}
    known = None if event.product_known is None else int(event.product_known)
    return {
        **cells,
        "what": event.what,
        "day": event.when.isoformat(),
        "place": event.where,
        "product_known": known,
    }


@readable
def look_of(row: Row, trees: tuple[str, ...], photos: tuple[str, ...]) -> Look:
    """The look of one row with the uids of its trees and the paths of its photos."""
    return Look(
        day=date.fromisoformat(row["day"]),
        answers=json.loads(row["answers"]),
        result=json.loads(row["result"]),
        knowledge=row["knowledge"],
        seen=tuple(json.loads(row["seen"])),
        likely=tuple(json.loads(row["likely"])),
        steps=tuple(json.loads(row["steps"])),
        checks=tuple(_check_of(cell) for cell in json.loads(row["checks"])),
        look_again=_day(row["look_again"]),
        came_of_it=row["came_of_it"],
        photos=photos,
        trees=trees,
        uid=row["uid"],
    )


def row_of_look(look: Look) -> dict[str, Any]:
    """The cells of a look, without its trees, its photos and 'gone'; BadInput when it is not plain JSON."""
    return {
        "uid": look.uid,
        "day": look.day.isoformat(),
        "answers": to_json(look.answers, "the answers of the look"),
        "result": to_json(look.result, "the result of the look"),
        "knowledge": clean_text(look.knowledge, "the version of the knowledge", 200),
        "seen": to_json(list(look.seen), "what was seen"),
        "likely": to_json(list(look.likely), "the likely causes"),
        "steps": to_json(list(look.steps), "the steps"),
        "checks": to_json([_cell_of_check(check) for check in look.checks], "the checks"),
        "look_again": look.look_again.isoformat() if look.look_again else "",
        "came_of_it": look.came_of_it,
    }


def to_json(value: Any, what: str) -> str:
    """Compact JSON with sorted keys, dates in ISO form; BadInput for anything JSON cannot carry."""
    try:
        text = json.dumps(
            value, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False, default=_plain
        )
        text.encode("utf-8")
    except (TypeError, ValueError) as fault:
        raise BadInput(f"{what} cannot be kept in the tree book: {fault}.") from None
    return text


def _plain(value: object) -> object:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return dict(value)
    if isinstance(value, frozenset | set):
        return sorted(value)
    raise TypeError(f"a value of type {type(value).__name__} is not plain data")


def _day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


def _check_of(cell: Mapping[str, str]) -> PendingCheck:
    return PendingCheck(cell["check"], cell.get("name", ""), _day(cell.get("ready", "")))


def _cell_of_check(check: PendingCheck) -> dict[str, str]:
    return {"check": check.check, "name": check.name, "ready": check.ready.isoformat() if check.ready else ""}
