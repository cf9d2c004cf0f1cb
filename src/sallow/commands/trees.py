"""The command 'sallow trees': the tree book, its notes, its rounds, its undo."""

from __future__ import annotations

import argparse

from sallow.environment import Environment
from sallow.status import ExitStatus

_TREE_OPTIONS = (
    ("--crop", "what it bears: lemon, avocado, apple ..."),
    ("--sort", "the named sort, if known: Eureka, Hass, Gala"),
    ("--rootstock", "the rootstock, if known, or 'own roots'"),
    ("--planted", "when it was planted: 2019, 'may 2024', '3 years ago'"),
    ("--grown", "ground, pot or lawn"),
    ("--soil", "the soil in your own words: sandy, heavy clay"),
    ("--water", "how it gets its water: drip, hose, rain"),
    ("--canopy", "how wide the leaves reach: '2.5 m' or '8 ft'"),
    ("--trunk", "how thick the trunk is: '6 cm', or '20 cm around'"),
    ("--pot", "how wide the pot is: '50 cm' or '20 in'"),
    ("--climate", "dry_summer, desert, humid_subtropical, cool_humid, cold_dry or tropical"),
    ("--hemisphere", "north or south"),
    ("--latitude", "in degrees, south negative"),
    ("--emitters", "how many, and the flow of each if known: '4 x 8 L/h'"),
)


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the verbs of the tree book and their options."""
    _book_option(parser, default=None)
    verbs = parser.add_subparsers(dest="verb", metavar="VERB", help="without one: the list")
    add = _verb(verbs, "add", "put a tree in the book; asks for what is missing when a person is at the keys")
    add.add_argument("name", nargs="?", default="", metavar="NAME", help="what you call the tree")
    _verb(verbs, "list", "all trees, with what was last done and seen")
    show = _verb(verbs, "show", "the story of one tree: seen, thought, done, what came of it")
    _tree_name(show)
    show.add_argument("--all", action="store_true", help="the whole story, however long")
    show.add_argument("--save", metavar="FILE.html", help="also save it as a page to print, with charts and photos")
    edit = _verb(verbs, "edit", "change what the book says of a tree; an empty value clears it")
    _tree_name(edit)
    edit.add_argument("--name", dest="new_name", metavar="NEW", help="a new name for the tree")
    for command in (add, edit):
        for option, words in _TREE_OPTIONS:
            command.add_argument(option, metavar="X", help=words)
    _tree_name(_verb(verbs, "remove", "take a tree out of the lists; its notes are kept and it can be brought back"))
    undo = _verb(verbs, "undo", "take back the last thing written, or the one with this number")
    undo.add_argument("number", nargs="?", type=int, metavar="NUMBER", help="a number from --list")
    undo.add_argument("--list", action="store_true", help="show what was written last, with numbers")
    _configure_note(_verb(verbs, "note", "put down what was done or what happened, in words"))
    _configure_round(_verb(verbs, "round", "what to do on the next walk round the trees"))
    export = _verb(verbs, "export", "write the whole book to a .json file or a folder of CSV files")
    export.add_argument("target", metavar="PLACE", help="a name ending in .json, or a folder")
    export.add_argument("--rescue", action="store_true", help="save what can be read of a damaged book")
    take_in = _verb(verbs, "import", "take in an export; what is in the book already stays as it is")
    take_in.add_argument("source", metavar="PLACE", help="an exported .json file or folder")


def _configure_note(note: argparse.ArgumentParser) -> None:
    note.add_argument("name", metavar="NAME", help="a tree, several with commas between, or 'all'")
    note.add_argument(
        "words",
        nargs="+",
        metavar="WORDS",
        help="fed 200 g blood meal yesterday; pruned last tuesday; measured shoot growth 30 cm; "
        "tested soil_fizz: it fizzed; frost last night; photo leaf.jpg; or any words",
    )
    note.add_argument(
        "--on",
        default="",
        metavar="DATE",
        help="yesterday, 'last tuesday', '3 weeks ago', '12 may', 2024-05-12",
    )
    note.add_argument("--where", default="", metavar="PLACE", help="where on the tree or near it")
    note.add_argument("--product-unknown", action="store_true", help="something was used, but what is not known")


def _configure_round(walk: argparse.ArgumentParser) -> None:
    walk.add_argument("--ahead", type=int, default=14, metavar="DAYS", help="how far to look ahead (14)")
    walk.add_argument("--all", action="store_true", help="everything that is due, also what can wait")
    walk.add_argument("--ics", metavar="FILE", help="write the coming year as a calendar file")
    walk.add_argument("--done", metavar="TASK", help="put down that a task of the round is done: 'wash the pot'")
    walk.add_argument("--trees", default="all", metavar="NAMES", help="with --done: at which trees (all)")


def _verb(
    verbs: argparse._SubParsersAction[argparse.ArgumentParser], name: str, summary: str
) -> argparse.ArgumentParser:
    verb = verbs.add_parser(name, help=summary, description=summary[0].upper() + summary[1:] + ".")
    _book_option(verb, default=argparse.SUPPRESS)
    return verb


def _book_option(parser: argparse.ArgumentParser, default: str | None) -> None:
    parser.add_argument("--book", metavar="PATH", default=default, help="the book to use instead of your own")


def _tree_name(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", metavar="NAME", help="the tree's name, or the beginning of it")


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Do what the verb says."""
    from sallow.commands import _trees_note, _trees_read, _trees_write

    doers = {**_trees_read.VERBS, **_trees_note.VERBS, **_trees_write.VERBS}
    doers[arguments.verb or "list"](arguments, environment)
    return ExitStatus.OK
