"""The verbs of 'sallow trees' that put down what was done: note, and the done tasks of a round."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sallow.commands._trees_shared import book_path, document, join_names, say_wrapped
from sallow.environment import Environment
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.trees.book import Book
    from sallow.trees.rounds import Due


def note(arguments: argparse.Namespace, environment: Environment) -> None:
    """Put down what was done or happened, at one tree or several."""
    from dataclasses import replace

    from sallow.commands._trees_results import as_result
    from sallow.trees.book import open_book
    from sallow.trees.dates import say_ago
    from sallow.trees.ledger import add_events
    from sallow.trees.notes import read_note
    from sallow.trees.shelf import find_trees
    from sallow.trees.words import plain, say_event, say_kind, say_when

    if arguments.words[0].lower() == "photo":
        _note_photo(arguments, environment)
        return
    with open_book(book_path(arguments, environment)) as book:
        trees = find_trees(book, arguments.name)
        draft = read_note(
            arguments.words,
            environment.today,
            on=arguments.on,
            where=arguments.where,
            product_known=False if arguments.product_unknown else None,
            hemisphere=trees[0].hemisphere,
            more_kinds=[kind["event"] for kind in document("events")["events"]],
        )
        draft = as_result(book, trees[0], draft, " ".join(arguments.words), environment)
        names = join_names(tree.name for tree in trees)
        said = say_event(draft.event)
        add_events(
            book,
            [replace(draft.event, tree=tree.uid) for tree in trees],
            environment.today,
            f"noted for {names}: {said}",
        )
    event = draft.event
    when = say_when(event)
    ago = "" if event.precision in ("year", "season") else f" ({say_ago(event.when, environment.today)})"
    say_wrapped(environment, plain(f"Noted for {names}: {said}. Date: {when}{ago}."))
    say_wrapped(environment, f"Taken as: {say_kind(event)}.")
    if draft.remark:
        say_wrapped(environment, draft.remark)


def _note_photo(arguments: argparse.Namespace, environment: Environment) -> None:
    from sallow.photos import remember_named
    from sallow.trees.book import open_book
    from sallow.trees.ledger import add_photo
    from sallow.trees.shelf import find_tree, last_look_uid, looks_of
    from sallow.trees.words import plain

    if len(arguments.words) != 2:
        raise BadInput('name one picture file, in quotes if it has blanks: sallow trees note lemon photo "leaf 1.jpg"')
    picture = Path(arguments.words[1]).expanduser().absolute()
    with open_book(book_path(arguments, environment)) as book:
        tree = find_tree(book, arguments.name)
        noted = any(str(picture) in look.photos for look in looks_of(book, [tree.uid])[tree.uid])
        if not noted:
            add_photo(book, last_look_uid(book, tree), str(picture), environment.today)
    remember_named([str(picture)], environment.data_folder)
    missing = "" if picture.exists() else " There is no such file now; put it there before you print the page."
    where = f"Noted already for {tree.name}" if noted else f"Noted with the last look at {tree.name}"
    say_wrapped(environment, plain(f"{where}: {picture}.{missing}"))


def round_done(arguments: argparse.Namespace, environment: Environment, book: Book, items: Sequence[Due]) -> None:
    """Put down that a task of the round is done: where it is due, or at those of them that are named."""
    from sallow.trees.ledger import add_events
    from sallow.trees.model import Event
    from sallow.trees.rounds import DONE_MARK
    from sallow.trees.shelf import find_trees
    from sallow.trees.words import plain

    wanted = _tasks_called(arguments.done, items)
    due_at = {name: item for item in wanted for name in item.trees}
    trees = [tree for tree in find_trees(book, arguments.trees) if tree.name in due_at]
    if not trees:
        raise BadInput(f"'{wanted[0].name}' is not due at {arguments.trees}; it is at {join_names(sorted(due_at))}.")
    words = f"on the round: {wanted[0].name.lower()}, done"
    events = []
    for tree in trees:
        done_by, mark = due_at[tree.name].done_by, DONE_MARK + due_at[tree.name].id
        what = done_by if done_by != "fed" and done_by else "text"
        events.append(Event(what=what, when=environment.today, subject=mark, words=words, tree=tree.uid))
    names = join_names(tree.name for tree in trees)
    add_events(book, events, environment.today, f"noted for {names}: {words}")
    say_wrapped(environment, plain(f"Put down for {names}: {wanted[0].name.lower()}, done today."))


def _tasks_called(words: str, items: Sequence[Due]) -> list[Due]:
    """The tasks of the one name that the words call, whole or by a part of it; BadInput when none or several do."""
    said = set(words.lower().replace("_", " ").split())
    exact = [item for item in items if words.strip().lower() in (item.id, item.name.lower())]
    near = [item for item in items if said and said <= set(item.name.lower().replace("'s", "").split())]
    found = exact or near
    if len({item.name for item in found}) == 1:
        return found
    known = ", ".join(sorted({f"'{item.name.lower()}'" for item in items})) or "nothing"
    if found:
        raise BadInput(f"'{words}' fits several tasks of the round; write more of the name. What is due: {known}.")
    raise BadInput(f"the round has no task '{words}' now. What is due: {known}.")


VERBS = {"note": note}
