"""The verbs of 'sallow trees' that write about trees and the book: add, edit, remove, undo, import."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sallow.commands._trees_shared import (
    book_path,
    climate_names,
    counted,
    crops,
    join_names,
    say_hanging,
    say_wrapped,
    set_half,
)
from sallow.environment import Environment
from sallow.errors import BadInput, Interrupted

if TYPE_CHECKING:
    from sallow.trees.model import Tree

_TEXTS = ("sort", "rootstock", "grown", "soil", "water", "climate", "hemisphere")
_PLACE = ("climate", "hemisphere", "latitude")


def add(arguments: argparse.Namespace, environment: Environment) -> None:
    """Put a tree in the book; a person at the keys is asked for what is missing."""
    from sallow.trees.book import open_book
    from sallow.trees.ledger import add_tree
    from sallow.trees.model import Tree, checked_tree, name_taken
    from sallow.trees.shelf import all_trees
    from sallow.trees.words import plain, tree_facts

    path = book_path(arguments, environment)
    trees: Sequence[Tree] = ()
    if path.exists():
        with open_book(path) as book:
            trees = all_trees(book)
    place = _common_place(trees)
    given = {name: value for name in _OPTIONS if (value := getattr(arguments, name)) is not None}
    name = " ".join(arguments.name.split())
    from sallow.commands._trees_ask import ask_half, ask_tree, half_is_open

    taken = [tree.name for tree in trees]
    if not (name and "crop" in given):
        try:
            name, given = ask_tree(environment, name, given, place, taken)
        except Interrupted:
            if environment.terminal:
                raise
            raise BadInput(_needs(name)) from None
    elif refusal := name_taken(name, taken):
        raise BadInput(refusal)
    elif environment.terminal and half_is_open(given, place) and (half := ask_half(environment)):
        given["hemisphere"] = half
    cells = _cells(given, environment, place.get("hemisphere", ""))
    inherited = _inherited(cells, place)
    tree = checked_tree(Tree(**{"name": name, **inherited, **cells}))
    with open_book(path, create=True) as book:
        add_tree(book, tree, environment.today)
    say_wrapped(environment, f"Added {plain(tree.name)} to {path}.", whole=True)
    for fact in tree_facts(tree, crops().names, climate_names()):
        say_wrapped(environment, fact, "  ")
    if inherited:
        say_wrapped(environment, "(place taken from the other trees; 'sallow trees edit' changes it)", "  ")
    if not tree.hemisphere:
        say_wrapped(environment, f"(to have it in the round, say where it stands: {set_half(tree.name)})", "  ")


def _needs(name: str) -> str:
    from sallow.trees.words import plain

    return (
        "a new tree needs a name and a crop, and the answers ended too soon; nothing was written. Type for "
        f'example: sallow trees add "{plain(name) or "Barrel lemon"}" --crop lemon --grown pot --hemisphere south'
    )


def _inherited(cells: Mapping[str, Any], place: Mapping[str, Any]) -> dict[str, Any]:
    """The place of the other trees; only what they lack themselves may be told anew beside it."""
    told = [part for part in _PLACE if part in cells]
    return {} if any(place.get(part) for part in told) else {k: v for k, v in place.items() if k not in told}


_OPTIONS = ("crop", *_TEXTS, "planted", "canopy", "trunk", "pot", "latitude", "emitters")


def edit(arguments: argparse.Namespace, environment: Environment) -> None:
    """Change what the book says of a tree."""
    from sallow.trees.book import open_book
    from sallow.trees.ledger import edit_tree
    from sallow.trees.shelf import find_tree
    from sallow.trees.words import plain, tree_facts

    given = {name: value for name in _OPTIONS if (value := getattr(arguments, name)) is not None}
    if not given and arguments.new_name is None:
        raise BadInput("say what to change, for example: sallow trees edit lemon --canopy '2 m' (see --help)")
    with open_book(book_path(arguments, environment)) as book:
        tree = find_tree(book, arguments.name)
        cells = _cells(given, environment, tree.hemisphere)
        if arguments.new_name is not None:
            cells["name"] = arguments.new_name
        changed = edit_tree(book, tree.uid, cells, environment.today)
    say_wrapped(environment, f"{plain(changed.name)} {'now reads' if changed != tree else 'read so already'}:")
    for fact in tree_facts(changed, crops().names, climate_names()):
        say_wrapped(environment, fact, "  ")


def _cells(given: Mapping[str, str], environment: Environment, hemisphere: str) -> dict[str, Any]:
    """The typed options as fields of a tree; an empty text clears a field."""
    from sallow.trees.amounts import read_emitters, read_length, to_number
    from sallow.trees.crops import crop_id
    from sallow.trees.dates import read_planted

    cells: dict[str, Any] = {name: given[name] for name in _TEXTS if name in given}
    for name in ("grown", "hemisphere"):
        if name in cells:
            cells[name] = cells[name].strip().lower().replace(" ", "_").replace("-", "_")
    if "climate" in cells:
        cells["climate"] = _climate(cells["climate"])
    if "crop" in given:
        cells["crop"] = crop_id(given["crop"], crops().known_crop)
    if "planted" in given:
        half = cells.get("hemisphere", hemisphere)
        cells["planted"] = read_planted(given["planted"], environment.today, half) if given["planted"] else ""
    for name, field, unit in (("canopy", "canopy_m", "m"), ("trunk", "trunk_cm", "cm"), ("pot", "pot_m", "m")):
        if name in given:
            cells[field] = read_length(given[name], unit, f"the {name}") if given[name] else None
    if "latitude" in given:
        cells["latitude"] = to_number(given["latitude"]) if given["latitude"] else None
    if "emitters" in given:
        number, flow = read_emitters(given["emitters"]) if given["emitters"] else (None, None)
        cells.update(emitters=number, emitter_flow_lph=flow)
    return cells


def _climate(text: str) -> str:
    """The climate kind by its id or its words; '' clears it. BadInput tells what each kind means."""
    names = climate_names()
    said = " ".join(text.lower().replace("-", " ").replace("_", " ").split())
    for kind, words in names.items():
        if said in ("", kind.replace("_", " "), words):
            return kind if said else ""
    kinds = "; ".join(f"{kind} ({words})" for kind, words in names.items())
    raise BadInput(f"the climate kind '{text[:40]}' is not known; expected one of: {kinds}.")


def _common_place(trees: Sequence[Tree]) -> dict[str, Any]:
    places = {tuple(getattr(tree, part) for part in _PLACE) for tree in trees}
    if len(places) != 1:
        return {}
    return {part: value for part, value in zip(_PLACE, places.pop(), strict=True) if value not in ("", None)}


def remove(arguments: argparse.Namespace, environment: Environment) -> None:
    """Take a tree out of the lists."""
    from sallow.trees.book import open_book
    from sallow.trees.ledger import remove_tree
    from sallow.trees.shelf import find_tree
    from sallow.trees.words import plain

    with open_book(book_path(arguments, environment)) as book:
        tree = find_tree(book, arguments.name)
        act = remove_tree(book, tree.uid, environment.today)
    say_wrapped(
        environment,
        f"{plain(tree.name)} is out of the lists. Its notes and looks are kept; "
        f"'sallow trees undo {act.number}' brings it back.",
    )


def undo(arguments: argparse.Namespace, environment: Environment) -> None:
    """Take back the last act, or one by number; ``--list`` shows the last ones."""
    from sallow.trees import history
    from sallow.trees.book import open_book
    from sallow.trees.dates import say_date
    from sallow.trees.words import plain

    with open_book(book_path(arguments, environment)) as book:
        if not arguments.list:
            act = history.undo(book, environment.today, arguments.number)
            say_wrapped(environment, plain(f"Done: {act.words}. To turn that round: sallow trees undo {act.number}"))
            return
        acts = history.acts(book)
    environment.say("Written last, newest first")
    for act in acts:
        back = f" (taken back by {act.undone_by})" if act.undone_by else ""
        say_hanging(environment, f"{act.number:>5}  {say_date(act.day):<11}  ", plain(f"{act.words}{back}"))


def take_in(arguments: argparse.Namespace, environment: Environment) -> None:
    """Take in an export, all or nothing."""
    from sallow.trees import exchange
    from sallow.trees.book import open_book
    from sallow.trees.words import plain

    tables = exchange.read_export(Path(arguments.source))
    with open_book(book_path(arguments, environment), create=True) as book:
        outcome = exchange.take_in(book, tables, environment.today)
    taken = outcome.taken
    trees, notes, looks = (taken[name] for name in ("trees", "events", "looks"))
    say_wrapped(environment, f"Taken in: {counted(trees, 'tree')}, {counted(notes, 'note')}, {counted(looks, 'look')}.")
    if outcome.known:
        say_wrapped(environment, f"{outcome.known} entries were in the book already and stay as they are.")
    for old, new in outcome.renamed:
        say_wrapped(environment, plain(f"The name '{old}' was taken; the new tree is called '{new}'."))
    if outcome.differing:
        say_wrapped(
            environment,
            plain(f"The export says otherwise on: {join_names(outcome.differing)}. The book was kept."),
        )


VERBS = {"add": add, "edit": edit, "remove": remove, "undo": undo, "import": take_in}
