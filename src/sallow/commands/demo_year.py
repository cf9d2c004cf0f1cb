"""The demo of a year: plays a script of looks, notes, feeding and rounds over a tree book made for it."""

from __future__ import annotations

import io
import shlex
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sallow.answers import look_from
from sallow.brought import laid_over
from sallow.diagnosis import diagnose
from sallow.diagnosis.steps import COSTS
from sallow.environment import Environment
from sallow.knowledge.model import Knowledge
from sallow.look_kept import CAME_OF_IT, kept_look
from sallow.looks import Look
from sallow.phrases import capital, day_words, lower_first, value_words
from sallow.render.wrap import wrapped
from sallow.report_model import Diagnosis
from sallow.tree_looks import Begun, begun
from sallow.trees.book import open_book
from sallow.trees.ledger import add_tree, keep_look
from sallow.trees.model import Tree
from sallow.trees.shelf import find_trees, looks_of
from sallow.trees.start import start_of_look

WIDTH = 80
MOST_STEPS = 3


def played_year(script: Mapping[str, Any], knowledge: Knowledge, environment: Environment) -> str:
    """The transcript of a scripted year: 80 columns, no colour, the same on every machine."""
    with TemporaryDirectory() as folder:
        desk = replace(
            environment, width=WIDTH - 2, colours=0, unicode=True, terminal=False, data_folder=Path(folder),
            stdin=io.StringIO(), stderr=io.StringIO(),
        )  # fmt: skip
        return "\n".join(_lines(script, knowledge, desk)) + "\n"


def _lines(script: Mapping[str, Any], knowledge: Knowledge, desk: Environment) -> Iterator[str]:
    yield script["title"]
    yield "=" * len(script["title"])
    yield from wrapped("Played from a script, with a tree book made for it; your own is left alone.", WIDTH)
    path = desk.data_folder / "book.sqlite"
    steps = script["steps"]
    first = date.fromisoformat(str(steps[0]["day"]))
    yield ""
    yield "The trees in the book:"
    with open_book(path, create=True) as book:
        for row in script["trees"]:
            tree = add_tree(book, Tree(**{**script["place"], **row}), first)
            kind = lower_first(knowledge.crops[tree.crop].name)
            yield f"  {tree.name}: {kind}, planted {tree.planted}, {_WHERE[tree.grown]}"
    last = ""
    for step in steps:
        day = date.fromisoformat(str(step["day"]))
        yield ""
        if str(day) != last:
            last = str(day)
            yield f"-- {day_words(day)} {'-' * (WIDTH - 4 - len(day_words(day)))}"
        yield from wrapped(step.get("say", ""), WIDTH)
        if "look" in step:
            yield from _look_lines(step["look"], day, path, knowledge)
        else:
            yield from _run_lines(step["run"], replace(desk, today=day, stdout=io.StringIO()))


_WHERE = {"pot": "in a half barrel", "ground": "in open ground", "lawn": "in a lawn"}


def _run_lines(words: Sequence[str], desk: Environment) -> Iterator[str]:
    """A command as typed, and what it printed."""
    from sallow.cli import main

    yield f"$ sallow {shlex.join(words)}"
    main(words, desk)
    printed = f"{desk.stdout.getvalue()}{desk.stderr.getvalue()}"  # type: ignore[attr-defined]
    yield from (f"  {line}".rstrip() for line in printed.strip("\n").splitlines())


def _look_lines(raw: Mapping[str, Any], day: date, path: Path, knowledge: Knowledge) -> Iterator[str]:
    """A look at trees of the book: what it asks first, its result in short, kept in the book."""
    told = {key: value for key, value in raw.items() if key != "trees"}
    look = look_from({**told, "date": str(day)}, "the script", knowledge, day)
    names = " ".join(f"--tree {shlex.quote(name)}" for name in raw["trees"])
    yield f"$ sallow look {names}"
    with open_book(path) as book:
        trees = find_trees(book, ",".join(raw["trees"]))
        looks = looks_of(book, [trees[0].uid])[trees[0].uid]
        before = looks[-1] if looks else None
        starts = [start_of_look(book, tree, day, knowledge.events) for tree in trees]
        opening = begun(knowledge, starts, before, day, ())
        for line in _asked(opening, look, knowledge):
            yield from (f"  {piece}" for piece in wrapped(line, WIDTH - 2))
        look = laid_over(opening.look, look)
        diagnosis = diagnose(knowledge, look)
        kept = kept_look(knowledge, look, diagnosis, before=before)
        keep_look(book, trees=[tree.uid for tree in trees], look=kept, today=day)
    for lead, line in _short(diagnosis, before.steps == kept.steps if before else False):
        pieces = wrapped(line, WIDTH - 2 - len(lead))
        yield from (f"  {' ' * len(lead) if number else lead}{piece}" for number, piece in enumerate(pieces))


def _asked(opening: Begun, look: Look, knowledge: Knowledge) -> Iterator[str]:
    """The questions on whether the last step helped, each with its answer in the script."""
    for sign in opening.first:
        answers = [look.answers, *look.symptoms]
        value = next((scope[sign] for scope in answers if sign in scope), None)
        if value is not None and sign in CAME_OF_IT:
            yield f"{knowledge.signs[sign].ask} > {capital(value_words(knowledge.signs[sign], value))}."


def _short(diagnosis: Diagnosis, as_before: bool) -> Iterator[tuple[str, str]]:
    """The gist of a report: the plan answered, the headline, causes, the cheapest test, steps, the day to look again.

    Steps that are the same ``as_before`` are not said once more.
    """
    if diagnosis.about_to:
        yield "", diagnosis.about_to
    yield "", diagnosis.headline
    for cause in diagnosis.causes[:MOST_STEPS]:
        named = "" if len(diagnosis.causes) == 1 else f"{cause.name}: {cause.word}. "
        grounds = cause.grounds_for[0].text if cause.grounds_for else ""
        if named or grounds:
            yield "  why: ", f"{named}{grounds}".strip()
    if diagnosis.tests:
        yield "  test: ", min(diagnosis.tests, key=lambda test: (COSTS.index(test.cost), test.days)).name
    if as_before:
        yield "  do: ", "The same as after the last look."
    for step in () if as_before else diagnosis.steps_now[:MOST_STEPS]:
        yield "  do: ", " ".join((step.do, *step.amount))
    for step in () if as_before else diagnosis.not_to_do[:1]:
        yield "  not: ", step.do
    if diagnosis.look_again:
        yield "", f"Look again on {day_words(date.fromisoformat(diagnosis.look_again))}. Kept in the tree book."
