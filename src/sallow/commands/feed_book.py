"""What the tree book knows for one feeding question: the tree, what was noted, and its last look."""

from __future__ import annotations

import argparse
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from sallow.commands.feed_facts import Facts, facts_of_look
from sallow.commands.feed_troubles import troubles_told
from sallow.environment import Environment

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sallow.trees.model import Event, Look

# A look older than this does not tell how the roots are now, but its troubles are still named for a year (judgement).
LOOK_COUNTS_DAYS = 180
NAMED_DAYS = 365
# How moist the soil was is soon out of date (judgement).
SOIL_COUNTS_DAYS = 60
GROWTH_COUNTS_DAYS = 365


def facts_from_book(arguments: argparse.Namespace, environment: Environment) -> Facts:
    """The facts of the tree named; BadInput or BookError when the book or the tree is not there."""
    from sallow.commands._trees_shared import book_path
    from sallow.commands.feed_options import stated_day
    from sallow.commands.water_wet import wet_soil
    from sallow.trees.book import open_book
    from sallow.trees.shelf import events_of, find_tree, looks_of
    from sallow.trees.start import start_of_look

    today = stated_day(arguments, environment.today)
    with open_book(book_path(arguments, environment)) as book:
        tree = find_tree(book, arguments.tree)
        start = start_of_look(book, tree, today)
        events = [event for event in events_of(book, [tree.uid])[tree.uid] if event.when <= today]
        looks = [look for look in looks_of(book, [tree.uid])[tree.uid] if look.day <= today]
    wet = wet_soil(looks, events, today)
    facts = _with_last_look(Facts(), looks, today, environment)
    facts = facts_of_look({"tree": start["tree"]}, {}, facts)
    facts = replace(facts, **_noted(events, today))
    return facts if wet is None else replace(facts, soil="wet")


def _with_last_look(facts: Facts, looks: Sequence[Look], today: date, environment: Environment) -> Facts:
    if not looks:
        return facts
    last = looks[-1]
    age = today - last.day
    if age <= timedelta(days=NAMED_DAYS):
        held_by, beside = troubles_told(last)
        facts = replace(facts, held_by=held_by, beside=beside)
    if age <= timedelta(days=LOOK_COUNTS_DAYS):
        facts = facts_of_look(last.answers, last.result, facts)
        if facts.held_by or facts.beside:
            facts = replace(facts, unhurt=None)
        stale = age > timedelta(days=SOIL_COUNTS_DAYS) and facts.soil != "wet"
        return replace(facts, soil=None) if stale else facts
    if not facts.held_by:
        environment.complain(f"The last look at this tree ({last.day}) is too old to tell how its roots are now.")
    lasting: Mapping[str, Any] = {"tree": last.answers.get("tree", {})}
    return facts_of_look(lasting, {}, facts)


def _noted(events: Sequence[Event], today: date) -> dict[str, Any]:
    """The last feeding, and the shoot growth measured within the year."""
    changes: dict[str, Any] = {}
    for event in events:
        if event.what == "fed":
            changes["last_fed"] = event.when
        recent = today - event.when <= timedelta(days=GROWTH_COUNTS_DAYS)
        if event.what == "measured" and event.subject == "shoot_growth" and event.amount is not None and recent:
            changes["shoot_cm"] = event.amount
    return changes
