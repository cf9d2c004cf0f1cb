"""A look and the tree book: --tree begins a look from the book and keeps it there; the offer to keep any other."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sallow.environment import Environment
from sallow.errors import BadInput, BookError

if TYPE_CHECKING:
    from sallow.knowledge.model import Knowledge
    from sallow.looks import Look
    from sallow.photos import Photo
    from sallow.report_model import Diagnosis
    from sallow.tree_looks import Begun
    from sallow.trees.book import Book
    from sallow.trees.model import Look as KeptLook
    from sallow.trees.model import Tree

OFFER = "Keep this look in your tree book? Type a name for the tree, or n (or just Enter) for no."


def add_book_options(parser: argparse.ArgumentParser) -> None:
    """Add --tree, --book and --photo."""
    parser.add_argument(
        "--tree",
        dest="trees",
        metavar="NAME",
        action="append",
        default=[],
        help="begin from what the tree book knows of this tree, ask whether the last step helped, and keep the look "
        "there (repeat it for trees that show the same thing)",
    )
    parser.add_argument("--book", metavar="PATH", help="the tree book to use instead of your own")
    parser.add_argument(
        "--photo",
        dest="photos",
        metavar="PATH",
        action="append",
        default=[],
        help="show a picture file in the saved page, and note its place with the look in the book (repeatable; "
        "the picture stays where it is)",
    )


def check_options(arguments: argparse.Namespace) -> None:
    """BadInput for options of the book that do not fit the kind of look."""
    if arguments.many and (arguments.trees or arguments.photos or arguments.weather or arguments.with_results):
        raise BadInput("--many reads many looks; --tree, --photo, --weather and --with go with a single look.")
    asked = not (arguments.answers or arguments.follow_up or arguments.sheet is not None)
    paged = any(path.lower().endswith(".html") for path in arguments.save)
    if arguments.photos and not (arguments.trees or asked or paged):
        raise BadInput(
            "a photo is shown in a page or noted in the tree book: add --save look.html, or name the tree with --tree "
            "NAME."
        )


def photos_for(arguments: argparse.Namespace, target: str, environment: Environment) -> tuple[Photo, ...]:
    """The photos named in the command, when ``target`` is a page; what cannot be shown is said."""
    if not arguments.photos or not target.lower().endswith(".html"):
        return ()
    from sallow.photos import load_photos

    return load_photos(((path, "") for path in _places(arguments.photos)), environment.complain)


def _places(photos: Sequence[str]) -> list[str]:
    return [str(Path(photo).expanduser().absolute()) for photo in photos]


def begin(
    names: Sequence[str], look: Look, arguments: argparse.Namespace, knowledge: Knowledge, environment: Environment
) -> Begun:
    """What the book knows of the trees on the day of ``look``; BadInput or BookError when it cannot be had."""
    from sallow.commands._trees_shared import book_path
    from sallow.tree_looks import begun
    from sallow.trees.book import open_book
    from sallow.trees.shelf import looks_of
    from sallow.trees.start import start_of_look

    with open_book(book_path(arguments, environment)) as book:
        trees = _trees(book, names)
        starts = [start_of_look(book, tree, look.date, knowledge.events) for tree in trees]
        earlier = [kept for kept in looks_of(book, [trees[0].uid])[trees[0].uid] if kept.day <= look.date]
    before = earlier[-1] if earlier else None
    return begun(knowledge, starts, before, look.date, _story_lines(knowledge, trees, starts[0], before))


def _trees(book: Book, names: Sequence[str]) -> tuple[Tree, ...]:
    from sallow.trees.shelf import find_trees

    found = [tree for name in names for tree in find_trees(book, name)]
    return tuple({tree.uid: tree for tree in found}.values())


def _story_lines(
    knowledge: Knowledge, trees: Sequence[Tree], start: dict[str, object], before: KeptLook | None
) -> list[str]:
    from sallow.trees.dates import say_date
    from sallow.trees.words import plain, tree_facts

    lines = [f"From the tree book: {', '.join(tree.name for tree in trees)}."]
    if len(trees) == 1:
        crops = {crop.id: crop.name for crop in knowledge.crops.values()}
        climates = {climate.id: climate.name for climate in knowledge.climates.values()}
        lines.append(f"It is: {'; '.join(tree_facts(trees[0], crops, climates))}.")
    if before is not None:
        thought = f"; it was thought: {before.likely[0]}" if before.likely else ""
        lines.append(f"Last look on {say_date(before.day)}: {'; '.join(before.seen)}{thought}.")
        if before.steps:
            lines.append(f"It said to do first: {before.steps[0]}")
        last = start.get("last_look")
        done = last["done_since"] if isinstance(last, dict) else []
        said = [event["what"].replace("_", " ") for event in done]
        said += [f"'{event['words']}'" for event in (last["noted_since"] if isinstance(last, dict) else [])]
        lines.append(f"Done since, by the notes: {', '.join(dict.fromkeys(said)) or 'nothing noted'}.")
    return [plain(line) for line in lines]


def keep(
    names: Sequence[str],
    arguments: argparse.Namespace,
    knowledge: Knowledge,
    look: Look,
    diagnosis: Diagnosis,
    environment: Environment,
) -> None:
    """Keep a finished look in the book for the trees named, and say so."""
    from sallow.commands._trees_shared import book_path
    from sallow.trees.book import open_book

    with open_book(book_path(arguments, environment)) as book:
        trees = _trees(book, names)
        _keep(book, trees, arguments, knowledge, look, diagnosis, environment)


def _keep(
    book: Book,
    trees: Sequence[Tree],
    arguments: argparse.Namespace,
    knowledge: Knowledge,
    look: Look,
    diagnosis: Diagnosis,
    environment: Environment,
) -> None:
    from sallow.look_kept import kept_look
    from sallow.photos import remember_named
    from sallow.trees.ledger import keep_look
    from sallow.trees.shelf import looks_of
    from sallow.trees.words import plain

    photos = _places(arguments.photos)
    earlier = [old for old in looks_of(book, [trees[0].uid])[trees[0].uid] if old.day <= look.date]
    kept = kept_look(knowledge, look, diagnosis, photos, earlier[-1] if earlier else None)
    names = ", ".join(tree.name for tree in trees)
    if arguments.follow_up and any(old.day == kept.day and old.answers == kept.answers for old in earlier):
        tell(environment, plain(f"This look at {names} is kept already."))
        return
    keep_look(book, trees=[tree.uid for tree in trees], look=kept, today=environment.today)
    remember_named(photos, environment.data_folder)
    for photo in photos:
        if not Path(photo).exists():
            environment.complain(f"{photo}: there is no such file now; the path is noted all the same.")
    tell(environment, plain(f'Kept in the tree book: {names}. The story: sallow trees show "{trees[0].name}"'))


def tell(environment: Environment, text: str) -> None:
    """Write a remark to the error stream, wrapped to the width."""
    from sallow.render.wrap import wrapped

    for line in wrapped(text, environment.width):
        environment.complain(line)


def trees_of_unfinished(look: Look, arguments: argparse.Namespace, environment: Environment) -> tuple[str, ...]:
    """The trees that an unfinished look was begun for, when the book still has them; none otherwise."""
    from sallow.commands._trees_shared import book_path
    from sallow.trees.book import open_book

    path = book_path(arguments, environment)
    if not look.name or not path.exists():
        return ()
    try:
        with open_book(path) as book:
            return tuple(tree.name for tree in _trees(book, [look.name]))
    except (BadInput, BookError):
        return ()


def offer_to_keep(
    arguments: argparse.Namespace,
    knowledge: Knowledge,
    look: Look,
    diagnosis: Diagnosis,
    environment: Environment,
) -> None:
    """Ask once under which name to keep the look; Enter, end of input or a book that fails declines."""
    from sallow.commands._trees_shared import book_path
    from sallow.commands.figures import say_wrapped as say
    from sallow.commands.typed_line import typed_line
    from sallow.look_kept import tree_from_look
    from sallow.trees.book import open_book
    from sallow.trees.ledger import add_tree
    from sallow.trees.shelf import all_trees

    environment.say("")
    while True:
        name = typed_line(environment, OFFER)
        if name.lower() in ("", "n", "no", "q", "quit", "exit"):
            return
        if len(name) == 1 or name.isdecimal():
            say(
                environment, f"'{name}' is too short for a tree's name. Type a word, such as Barrel lemon, or n for no."
            )
            continue
        try:
            with open_book(book_path(arguments, environment), create=True) as book:
                known = {tree.name.casefold(): tree for tree in all_trees(book)}
                tree = known.get(name.casefold())
                if tree is None:
                    tree = add_tree(book, tree_from_look(name, knowledge, look), environment.today)
                elif look.tree.get("crop") not in (None, "other", tree.crop):
                    say(environment, f"{tree.name} is another kind of tree in the book; choose another name.")
                    continue
                _keep(book, [tree], arguments, knowledge, look, diagnosis, environment)
            return
        except BadInput as error:
            say(environment, str(error))
        except BookError as error:
            environment.complain(str(error))
            return
