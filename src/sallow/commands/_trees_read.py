"""The verbs of 'sallow trees' that only read: list, show, round, export."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from sallow.commands._trees_shared import (
    book_path,
    climate_names,
    counted,
    crops,
    document,
    join_names,
    say_wrapped,
    set_half,
)
from sallow.environment import Environment
from sallow.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sallow.trees.book import Book
    from sallow.trees.model import Tree
    from sallow.trees.rounds import Due, Task
    from sallow.trees.shelf import Line

_STORY_SHOWN = 40
_CALENDAR_DAYS = 365
_NEXT_DAYS = 30
_ROUND_SHOWN = 8


def list_trees(arguments: argparse.Namespace, environment: Environment) -> None:
    """All trees by name, each with what was last done, seen and is to be looked at."""
    from sallow.trees.book import open_book
    from sallow.trees.shelf import list_lines

    path = book_path(arguments, environment)
    if not path.exists():
        environment.say("The tree book is still empty. Put a tree in it:")
        environment.say('  sallow trees add "Barrel lemon" --crop lemon --grown pot')
        return
    with open_book(path) as book:
        lines = list_lines(book)
    names = crops().names
    say_wrapped(environment, f"{counted(len(lines), 'tree')} in the book {path}", whole=True)
    for line in lines:
        environment.say()
        _say_line(line, environment, names.get(line.tree.crop, line.tree.crop))


def _say_line(line: Line, environment: Environment, crop: str) -> None:
    from sallow.trees.dates import say_ago, say_date
    from sallow.trees.words import plain, say_event, say_place

    tree, today = line.tree, environment.today
    sort = f" '{tree.sort}'" if tree.sort else ""
    planted = f", planted {tree.planted}" if tree.planted else ""
    say_wrapped(environment, plain(f"{tree.name}: {crop}{sort}, {say_place(tree)}{planted}"))
    if line.last_event:
        say_wrapped(
            environment,
            f"last note, {say_ago(line.last_event.when, today)}: {say_event(line.last_event)}",
            "    ",
        )
    if line.last_look:
        again = f"; look again {say_date(line.look_again)}" if line.look_again else ""
        say_wrapped(environment, f"last look, {say_ago(line.last_look, today)}{again}", "    ")
    if not line.last_event and not line.last_look:
        environment.say("    no notes and no looks yet")


def show(arguments: argparse.Namespace, environment: Environment) -> None:
    """The story of one tree, its charts, and what comes next; ``--save`` makes a page of it, with the photos."""
    from sallow.commands._trees_page import check_ending, save_story
    from sallow.trees import story
    from sallow.trees.book import open_book
    from sallow.trees.shelf import events_of, find_tree, looks_of
    from sallow.trees.words import plain, tree_facts

    if arguments.save:
        check_ending(arguments.save)
    with open_book(book_path(arguments, environment)) as book:
        tree = find_tree(book, arguments.name)
        events, looks = events_of(book, [tree.uid])[tree.uid], looks_of(book, [tree.uid])[tree.uid]
        next_up = _due(book, [tree], environment, _NEXT_DAYS)
    facts = tree_facts(tree, crops().names, climate_names())
    environment.say(plain(tree.name))
    for fact in facts:
        say_wrapped(environment, fact, "  ")
    entries = story.entries(events, looks)
    environment.say()
    if not entries:
        say_wrapped(environment, f'Nothing noted yet. Begin with: sallow trees note "{plain(tree.name)}" WORDS')
    hidden = 0 if arguments.all else max(0, len(entries) - _STORY_SHOWN)
    if hidden:
        environment.say(f"({hidden} earlier lines; --all shows them)")
    for line in story.tell(entries[hidden:], environment.width):
        environment.say(line)
    for item in story.series(events):
        environment.say()
        for line in story.draw_series(item, width=environment.width, unicode=environment.unicode):
            environment.say(line)
    if next_up:
        environment.say()
        environment.say("Next for this tree")
        _say_short(next_up, environment)
    if arguments.save:
        save_story(arguments.save, tree, events, looks, next_up, facts, environment)


def _say_short(items: Sequence[Due], environment: Environment) -> None:
    from sallow.trees.rounds import say_span

    for item in items:
        say_wrapped(environment, f"{item.name} ({say_span(item, environment.today)})", "  ")


def walk_round(arguments: argparse.Namespace, environment: Environment) -> None:
    """What is due, for a walk with the paper or the telephone in hand; ``--ics`` writes a calendar."""
    from sallow.trees.book import open_book
    from sallow.trees.shelf import all_trees

    if arguments.ahead < 0 or arguments.ahead > 3660:
        raise BadInput(f"--ahead is {arguments.ahead}; expected a number of days from 0 to 3660.")
    if arguments.done:
        from sallow.commands._trees_note import round_done

        with open_book(book_path(arguments, environment)) as book:
            items = _due(book, all_trees(book), environment, arguments.ahead)
            doable = [item for item in items if item.until or item.id.startswith("step_")]
            round_done(arguments, environment, book, doable)
        return
    with open_book(book_path(arguments, environment)) as book:
        trees = all_trees(book)
        if arguments.ics:
            _write_calendar(_due(book, trees, environment, _CALENDAR_DAYS), Path(arguments.ics), environment)
            return
        items = _due(book, trees, environment, arguments.ahead)
    _say_round(items, trees, arguments, environment)


def _say_round(
    items: Sequence[Due], trees: Sequence[Tree], arguments: argparse.Namespace, environment: Environment
) -> None:
    from sallow.trees.dates import say_date
    from sallow.trees.need import by_need
    from sallow.trees.rounds import say_span
    from sallow.trees.words import plain

    days = f"and the {counted(arguments.ahead, 'day')} after" if arguments.ahead else "only"
    say_wrapped(environment, f"Walk round the trees, {say_date(environment.today)} {days}")
    items = by_need(items, environment.today)
    shown = items if arguments.all else items[:_ROUND_SHOWN]
    for number, item in enumerate(shown, 1):
        environment.say()
        say_wrapped(environment, f"{number}. {item.name} ({say_span(item, environment.today)})")
        say_wrapped(environment, plain(f"at: {join_names(item.trees)}"), "   ")
        say_wrapped(environment, plain(item.say), "   ")
        if item.done_by == "fed":
            tree = plain(item.trees[0])
            say_wrapped(environment, f'when done: sallow trees note "{tree}" fed "(how much of what)"', "   ")
        elif item.id == "look_again":
            names = " ".join(f'--tree "{plain(name)}"' for name in item.trees)
            say_wrapped(environment, f"with: sallow look {names}", "   ")
        elif not item.id.startswith("test_"):
            say_wrapped(environment, f'when done: sallow trees round --done "{item.name.lower()}"', "   ")
    if len(shown) < len(items):
        environment.say()
        say_wrapped(environment, f"{len(items) - len(shown)} more can wait: sallow trees round --all")
    if not items:
        environment.say()
        environment.say("Nothing is due. A good day to just look at the leaves.")
    unplaced = [plain(tree.name) for tree in trees if not tree.hemisphere]
    if unplaced:
        environment.say()
        say_wrapped(
            environment,
            f"The jobs of the season are left out for {join_names(unplaced)}: the book does not know in which half "
            f"of the world that is. Say it once, and they are here: {set_half(unplaced[0])}",
        )


def _write_calendar(items: Sequence[Due], target: Path, environment: Environment) -> None:
    from sallow.trees.ics import calendar

    try:
        target.write_text(calendar(items, environment.today), encoding="utf-8", newline="")
    except OSError as fault:
        raise BadInput(f"the calendar {target} cannot be written ({fault.strerror}); name another place.") from None
    written = f"{counted(len(items), 'date')} for the coming year written to {target}; open it with your calendar."
    say_wrapped(environment, written, whole=True)


def _tasks() -> tuple[Task, ...]:
    from sallow.care.season import shift_month
    from sallow.knowledge.tables import build_table
    from sallow.trees.rounds import tasks_of

    table = build_table(document("tables/round_tasks"))
    return tasks_of(({**row.cells, "mark": row.mark} for row in table.rows), shift_month)


def _due(book: Book, trees: Sequence[Tree], environment: Environment, ahead: int) -> list[Due]:
    from datetime import timedelta

    from sallow.trees.rounds import EVENTS_COUNT_DAYS, Ledger, due
    from sallow.trees.shelf import events_of, looks_of

    uids = [tree.uid for tree in trees]
    since = environment.today - timedelta(days=EVENTS_COUNT_DAYS)
    ledger = Ledger(trees, events_of(book, uids, since), looks_of(book, uids))
    return due(ledger, _tasks(), crops().belongs, environment.today, ahead)


def export(arguments: argparse.Namespace, environment: Environment) -> None:
    """The whole book as JSON or CSV; with ``--rescue`` whatever a damaged one still gives."""
    from sallow.trees import exchange
    from sallow.trees.book import open_book

    path, target = book_path(arguments, environment), Path(arguments.target)
    lost = 0
    if arguments.rescue:
        from sallow.trees.rescue import rescued_tables

        if not path.exists():
            raise BadInput(f"there is no book at {path}; name the damaged one with --book PATH.")
        tables, lost = rescued_tables(path)
    else:
        with open_book(path) as book:
            tables = exchange.all_tables(book)
    exchange.export(tables, target)
    trees, notes, looks = (len(tables[name]) for name in ("trees", "events", "looks"))
    counts = f"{counted(trees, 'tree')}, {counted(notes, 'note')} and {counted(looks, 'look')}"
    say_wrapped(environment, f"{counts} written to {target} (removed ones included).", whole=True)
    if lost:
        say_wrapped(
            environment,
            f"In {lost} place{'' if lost == 1 else 's'} the book could not be read; what stood there "
            "is not in the "
            "export. Compare it with your last export if you have one.",
        )


VERBS = {"list": list_trees, "show": show, "round": walk_round, "export": export}
