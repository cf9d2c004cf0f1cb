"""What a tree can bear now (newly planted, ailing), and in which order the things of a round are needed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from sallow.trees.model import Event, Look, Tree

if TYPE_CHECKING:
    from sallow.trees.rounds import Due

CALM = ("nothing_odd", "leave_alone")
_NEW = timedelta(days=365)
_LOOK_COUNTS = timedelta(days=180)
_LIKELY = 0.45  # the foot of the band "likely"
_ROOTS_WITHOUT_AIR = {
    "soil_at_depth": ("wet", "soggy"), "soil_smell": ("sour",), "drain_hole": ("stands",), "pot_drains": ("no",),
    "feeder_roots": ("black_brittle", "skin_slips"),
}  # fmt: skip


def conditions(tree: Tree, events: Sequence[Event], looks: Sequence[Look], today: date) -> set[str]:
    """Of ``new`` (planted within a year), ``ailing`` (the last look found a trouble likely, or wet roots) and
    ``hungry`` (the likeliest trouble is a shortage of food): what is true of the tree now."""
    found = set()
    planted = [event.when for event in events if event.what in ("planted", "moved")]
    if _planted_lately(tree.planted, today) or any(today - day <= _NEW for day in planted):
        found.add("new")
    last = next((look for look in reversed(looks) if look.day <= today), None)
    if last is None or today - last.day > _LOOK_COUNTS or last.result.get("result") in CALM:
        return found
    causes: list[dict[str, Any]] = list(last.result.get("causes", ()))
    wet = any(last.answers.get("answers", {}).get(sign) in words for sign, words in _ROOTS_WITHOUT_AIR.items())
    likely = [cause for cause in causes if cause.get("confirmed") or cause.get("belief", 0.0) >= _LIKELY]
    if wet or any("_shortage" not in str(cause.get("id")) for cause in likely):
        found.add("ailing")
    elif likely:
        found.add("hungry")
    return found


def likely_causes(look: Look) -> list[dict[str, Any]]:
    """The causes that a look found likely, or that were confirmed."""
    causes = [cause for cause in look.result.get("causes") or () if isinstance(cause, dict) and cause.get("id")]
    return [cause for cause in causes if cause.get("confirmed") or cause.get("belief", 0.0) >= _LIKELY]


def _planted_lately(planted: str, today: date) -> bool:
    """Whether it was planted within a year; of a bare year only the running one counts."""
    if len(planted) == 4:
        return int(planted) == today.year
    return bool(planted) and today - date.fromisoformat((planted + "-01")[:10]) <= _NEW


def by_need(items: Sequence[Due], today: date) -> list[Due]:
    """The round as it is walked: trees in trouble first, the longest overdue before others, then the season's jobs by
    the end of their time, then what is still to come. The tests of a tree that is to be looked at go with the look."""
    items = _tests_with_looks(items, today)
    oldest = {item.trees: min(other.start for other in items if other.trees == item.trees) for item in items}

    def key(item: Due) -> tuple[Any, ...]:
        if item.start > today:
            return (2, item.start, item.id, item.trees)
        if item.until:
            return (1, item.until, item.id, item.trees)
        return (0, item.calm, oldest[item.trees], item.trees, item.id == "look_again", item.start, item.id)

    return sorted(items, key=key)


def _tests_with_looks(items: Sequence[Due], today: date) -> list[Due]:
    looks = {name for item in items if item.id == "look_again" and item.start <= today for name in item.trees}
    tests = [item for item in items if item.id.startswith("test_") and set(item.trees) <= looks]
    kept = []
    for item in items:
        names = [f"'{test.name.removeprefix('Test: ')}'" for test in tests if set(test.trees) & set(item.trees)]
        if item.id == "look_again" and item.start <= today and names:
            also = f" Not done yet, as far as the book knows: {', '.join(names)}. The look asks what came out."
            item = replace(item, say=item.say + also)
        if item not in tests:
            kept.append(item)
    return kept
