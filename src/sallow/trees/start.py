"""What the book can hand to the next look at a tree: the tree, its events, and how the last look ended."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date, timedelta
from types import MappingProxyType
from typing import Any

from sallow.trees.book import Book
from sallow.trees.model import Event, Look, Tree
from sallow.trees.pending import open_tests
from sallow.trees.shelf import events_of, looks_of
from sallow.trees.words import say_event

# What an answers file calls the words about a tree, by what the book calls them.
_TREE_WORDS = MappingProxyType(
    {
        "crop": "crop",
        "sort": "sort",
        "climate": "climate",
        "hemisphere": "hemisphere",
        "grown": "grown_in",
        "latitude": "latitude",
        "canopy_m": "canopy_diameter_m",
        "trunk_cm": "trunk_diameter_cm",
        "pot_m": "pot_diameter_m",
    }
)
_RECORDS = frozenset(("watered", "emitter_cleaned", "measured", "test_result", "harvest", "text"))
_STEPS = frozenset(
    ("fed", "watered", "pruned", "sprayed", "copper_spray", "weed_killer", "limed", "moved", "emitter_cleaned")
)
_TESTED_WITHIN = timedelta(days=60)
ANSWER_KEYS = ("name", "tree", "events")


def events_for_look(book: Book, tree: Tree) -> tuple[Event, ...]:
    """Everything that was done to the tree or happened to it, oldest first."""
    return events_of(book, [tree.uid])[tree.uid]


def start_of_look(book: Book, tree: Tree, today: date, kinds: Collection[str] | None = None) -> dict[str, Any]:
    """What the book knows when a look at the tree begins.

    The keys ANSWER_KEYS together are a valid answers file: ``tree`` holds only what is known, ``events`` those of
    the ``kinds`` that a look may use (by default all but the book's own records). After an earlier look there is
    ``last_look``: its date, likely causes and steps, what was done, tested and measured since, and the tests still
    to be read, so that the person can be asked whether the last step helped. Without one, ``tested`` holds the
    results of the last two months.
    """
    events = [event for event in _with_planting(tree, events_for_look(book, tree)) if event.when <= today]
    looks = [look for look in looks_of(book, [tree.uid])[tree.uid] if look.day <= today]
    start: dict[str, Any] = {
        "name": tree.name,
        "tree": {**_known(tree, _TREE_WORDS), **_age(tree, today)},
        "events": [_answer_event(event) for event in events if _may_use(event, kinds)],
    }
    if looks:
        start["last_look"] = _last_look(looks[-1], events)
    else:
        since = today - _TESTED_WITHIN
        tested = [event for event in events if event.what == "test_result" and event.when >= since]
        start["tested"] = [_plain_event(event) for event in tested]
    return start


def _with_planting(tree: Tree, events: tuple[Event, ...]) -> list[Event]:
    """The events, with the planting that the book tells of the tree when no note does and its month is known."""
    if len(tree.planted) < len("2019-05") or any(event.what == "planted" for event in events):
        return list(events)
    planted = date.fromisoformat((tree.planted + "-01")[:10])
    return [Event("planted", planted, tree=tree.uid), *events]


def _may_use(event: Event, kinds: Collection[str] | None) -> bool:
    return event.what not in _RECORDS if kinds is None else event.what in kinds


def _answer_event(event: Event) -> dict[str, Any]:
    cells: dict[str, Any] = {"what": event.what, "when": event.when.isoformat(), "note": say_event(event)[:900]}
    if event.where:
        cells["where"] = event.where[:200]
    if event.product_known is not None:
        cells["product_known"] = event.product_known
    return cells


def _age(tree: Tree, today: date) -> dict[str, float]:
    """Years since planting, to the tenth; to the whole year when only the year is known."""
    if not tree.planted:
        return {}
    planted = date.fromisoformat((tree.planted + "-01-01")[:10])
    if len(tree.planted) == 4:
        return {"age_years": today.year - planted.year}
    return {"age_years": round(max(0, (today - planted).days) / 365.25, 1)}


def _known(tree: Tree, words: Mapping[str, str]) -> dict[str, Any]:
    return {word: value for name, word in words.items() if (value := getattr(tree, name)) not in ("", None)}


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
        "noted_since": [_plain_event(event) for event in since if event.what == "text" and event.words],
        "tested_since": [_plain_event(event) for event in since if event.what == "test_result"],
        "measured_since": [_plain_event(event) for event in since if event.what == "measured"],
        "tests_open": [test.check for test in open_tests(look, since)],
        "look_again": look.look_again.isoformat() if look.look_again else "",
    }
