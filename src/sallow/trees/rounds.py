"""What is due on the next walk round the trees: looks, tests to read, feeding in parts, seasonal tasks."""

from __future__ import annotations

from calendar import monthrange
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache, lru_cache
from typing import Any

from sallow.trees.dates import say_date
from sallow.trees.model import HEMISPHERES, Event, Look, Tree
from sallow.trees.need import CALM, conditions
from sallow.trees.pending import open_tests, say_test
from sallow.trees.steps import steps_due

DONE_MARK = "round:"
_EARLY = timedelta(days=21)
# No older note bears on a round: a window is open for less than a year, and feeding looks back half a year from it.
EVENTS_COUNT_DAYS = 600
_FEEDING_YEAR = timedelta(days=180)
# After a season a test of the last look says little of today; the next look names those still worth doing.
_TESTS_COUNT = timedelta(days=120)
# Tests that are themselves nothing but another look.
_SECOND_LOOKS = ("look_again", "watch_new_leaves", "wait_and_look")


@dataclass(frozen=True, slots=True)
class Task:
    """A seasonal task; ``months`` gives the first and last month (1 to 12) of its window by hemisphere."""

    id: str
    name: str
    say: str
    climates: str
    crops: str
    grown: str
    months: Mapping[str, tuple[int, int]]
    after: str = ""
    after_days: int = 0
    done_by: str = ""
    needs: str = ""
    not_while: str = ""
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Due:
    """One thing to do at these trees (their names), from ``start`` until ``until`` if it has an end.

    ``done_by`` is the kind of note that ends it, if there is one. ``calm`` tells that the last look saw no trouble.
    """

    start: date
    until: date | None
    id: str
    name: str
    say: str
    trees: tuple[str, ...]
    done_by: str = ""
    calm: bool = False


@dataclass(frozen=True, slots=True)
class Ledger:
    """What the round is worked out from: the trees, and the events and looks of each uid, oldest first."""

    trees: Sequence[Tree]
    events: Mapping[str, Sequence[Event]]
    looks: Mapping[str, Sequence[Look]]


Belongs = Callable[[str, str], bool]
ShiftMonth = Callable[[int, Any], int]


def tasks_of(rows: Iterable[Mapping[str, Any]], shift_month: ShiftMonth) -> tuple[Task, ...]:
    """The tasks of the rows of the table round_tasks, whose months are those of the north."""
    return tuple(
        Task(
            id=str(row["task"]),
            name=str(row["name"]),
            say=str(row["say"]),
            climates=str(row["climate"]),
            crops=str(row["crops"]),
            grown=str(row["grown"]),
            months={
                half: (shift_month(int(row["from_month"]), half), shift_month(int(row["to_month"]), half))
                for half in ("north", "south")
            },
            after=str(row.get("after") or ""),
            after_days=int(row.get("after_days") or 0),
            done_by=str(row.get("done_by") or ""),
            needs=str(row.get("needs") or ""),
            not_while=str(row.get("not_while") or ""),
            mark=str(row.get("mark") or ""),
        )
        for row in rows
    )


def due(ledger: Ledger, tasks: Sequence[Task], belongs: Belongs, today: date, ahead: int) -> list[Due]:
    """Everything due by ``ahead`` days from today and not done yet, earliest first; alike tasks are joined.

    ``belongs(crop, groups)`` tells whether a crop is of the crops a task names. Trees without a hemisphere
    get no seasonal tasks.
    """
    horizon = today + timedelta(days=ahead)
    belongs = cache(belongs)
    found: list[Due] = []
    for tree in ledger.trees:
        events, looks = ledger.events.get(tree.uid, ()), ledger.looks.get(tree.uid, ())
        found += _of_last_look(tree, events, looks, today)
        if tree.hemisphere in HEMISPHERES:
            now = conditions(tree, events, looks, today)
            fitting = [task for task in tasks if not now & set(task.not_while.split()) and _fits(task, tree, belongs)]
            for task in fitting:
                found += _of_task(task, tree, events, today, horizon)
    return _joined(item for item in found if item.start <= horizon)


def _of_last_look(tree: Tree, events: Sequence[Event], looks: Sequence[Look], today: date) -> list[Due]:
    if not looks:
        return []
    last = looks[-1]
    calm = last.result.get("result") in CALM
    found = []
    if last.look_again:
        thought = f" Last time it was thought: {last.likely[0]}." if last.likely else ""
        say = f"Look again, and say whether it is better, the same or worse.{thought}"
        found.append(Due(last.look_again, None, "look_again", "Look again", say, (tree.name,), calm=calm))
    waiting = open_tests(last, events) if today - last.day <= _TESTS_COUNT else []
    for test in waiting:
        if test.check in _SECOND_LOOKS and last.look_again:
            continue
        name = test.name or test.check.replace("_", " ")
        say, start = say_test(last, test, tree.name), test.ready or last.day
        found.append(Due(start, None, f"test_{test.check}", f"Test: {name}", say, (tree.name,), calm=calm))
    for step in [] if calm else steps_due(last, tree, today):
        if not any(event.subject == DONE_MARK + step.id and event.when >= last.day for event in events):
            found.append(Due(step.start, None, step.id, f"Step: {step.name}", step.do, (tree.name,)))
    return found


def _fits(task: Task, tree: Tree, belongs: Belongs) -> bool:
    if task.climates != "any" and tree.climate not in task.climates.split():
        return False
    if task.grown != "any" and tree.grown and tree.grown not in task.grown.split():
        return False
    if task.needs == "drip" and not (tree.emitters or "drip" in tree.water.lower() or "emitter" in tree.water.lower()):
        return False
    return belongs(tree.crop, task.crops)


def _of_task(task: Task, tree: Tree, events: Sequence[Event], today: date, horizon: date) -> Iterable[Due]:
    for start, end in _windows(task.months[tree.hemisphere], today, horizon):
        if _is_done(task, events, start - _EARLY, end):
            continue
        begin = start
        if task.after:
            earliest = _after(task, events, start)
            if earliest is None or earliest > end:
                continue
            begin = max(start, earliest)
        yield Due(begin, end, task.id, task.name, task.say, (tree.name,), task.done_by)


@lru_cache(maxsize=1000)
def _windows(months: tuple[int, int], today: date, horizon: date) -> tuple[tuple[date, date], ...]:
    """Each window that is open today or opens by the horizon; one may run over the turn of the year."""
    first, last = months
    found = []
    for year in range(today.year - 1, horizon.year + 1):
        end_year = year + (last < first)
        start, end = date(year, first, 1), date(end_year, last, monthrange(end_year, last)[1])
        if end >= today and start <= horizon:
            found.append((start, end))
    return tuple(found)


def _is_done(task: Task, events: Sequence[Event], start: date, end: date) -> bool:
    return any(
        start <= event.when <= end
        for event in events
        if event.subject == DONE_MARK + task.id or (task.done_by and event.what == task.done_by and not task.after)
    )


def _after(task: Task, events: Sequence[Event], start: date) -> date | None:
    """The day the task falls due after the last such note; None when there was none or no part is left."""
    recent = [event for event in events if event.what == task.after and event.when >= start - _FEEDING_YEAR]
    if not recent:
        return None
    words = recent[-1].subject.split()
    in_parts = len(words) == 4 and words[0] == "part"
    parts_left = words[1] != words[3] if in_parts else len(recent) == 1
    return recent[-1].when + timedelta(days=task.after_days) if parts_left else None


def _joined(items: Iterable[Due]) -> list[Due]:
    together: defaultdict[Due, list[str]] = defaultdict(list)
    for item in items:
        together[replace(item, trees=())].extend(item.trees)
    joined = [replace(item, trees=tuple(sorted(names, key=str.casefold))) for item, names in together.items()]
    return sorted(joined, key=lambda item: (item.start, item.id, item.trees))


def say_span(item: Due, today: date) -> str:
    """When it is due, in words: 'now, until 31 May', 'from 1 April', 'since 3 April'."""
    until = f", until {say_date(item.until, year=item.until.year != today.year)}" if item.until else ""
    if item.start > today:
        return f"from {say_date(item.start, year=item.start.year != today.year)}{until}"
    if item.until:
        return f"now{until}"
    return "today" if item.start == today else f"since {say_date(item.start, year=item.start.year != today.year)}"
