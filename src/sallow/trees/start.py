"""What the book can hand to the next look at a tree: the tree, its events, and how the last look ended."""

from __future__ import annotations

from datetime import date
from typing import Any

from sallow.trees.book import Book
from sallow.trees.model import Event, Look, Tree
from sallow.trees.shelf import events_of, looks_of

_NOT_ASKED = ("uid", "name")
_STEPS = frozenset(
    (
        "fed",
        "watered",
        "pruned",
        "sprayed",
        "copper_spray",
        "weed_killer",
        "limed",
        "moved",
        "emitter_cleaned",
    )
)


def events_for_look(book: Book, tree: Tree) -> tuple[Event, ...]:
    """Everything that was done to the tree or happened to it, oldest first."""
    return events_of(book, [tree.uid])[tree.uid]


def start_of_look(book: Book, tree: Tree, today: date) -> dict[str, Any]:
    """What the book knows, in answers-file form: ``tree``, ``events`` and, after a look, ``last_look``.

    ``tree`` holds only what is known. ``last_look`` has the date, the likely causes, the steps it gave,
    what was done and tested since, and the tests still to be read, so that the person can be asked whether
    the last step helped.
    """
    events = [event for event in events_for_look(book, tree) if event.when <= today]
    looks = [look for look in looks_of(book, [tree.uid])[tree.uid] if look.day <= today]
    known: dict[str, Any] = {"name": tree.name, **_known(tree)}
    start: dict[str, Any] = {"tree": known, "events": [_plain_event(event) for event in events]}
    if looks:
        start["last_look"] = _last_look(looks[-1], events)
    return start


def open_checks(look: Look, events: list[Event]) -> list[str]:
    """The ids of the tests that the look asked for and that have no result since."""
    answered = {_key(event.subject) for event in events if event.what == "test_result" and event.when >= look.day}
    return [check.check for check in look.checks if not answered & {_key(check.check), _key(check.name)}]


def _key(text: str) -> str:
    return text.strip().lower().replace(" ", "_")


def _known(tree: Tree) -> dict[str, Any]:
    names = (name for name in tree.__slots__ if name not in _NOT_ASKED)
    return {name: value for name in names if (value := getattr(tree, name)) not in ("", None)}


def _plain_event(event: Event) -> dict[str, Any]:
    cells: dict[str, Any] = {"what": event.what, "when": event.when.isoformat()}
    if event.precision != "day":
        cells["about"] = event.precision
    for name in ("where", "product", "amount", "unit", "subject", "result", "words", "product_known"):
        value = getattr(event, name)
        if value not in ("", None):
            cells[name] = value
    return cells


def _last_look(look: Look, events: list[Event]) -> dict[str, Any]:
    since = [event for event in events if event.when >= look.day]
    return {
        "date": look.day.isoformat(),
        "likely": list(look.likely),
        "steps": list(look.steps),
        "done_since": [_plain_event(event) for event in since if event.what in _STEPS],
        "tested_since": [_plain_event(event) for event in since if event.what == "test_result"],
        "measured_since": [_plain_event(event) for event in since if event.what == "measured"],
        "tests_open": open_checks(look, since),
        "look_again": look.look_again.isoformat() if look.look_again else "",
    }
