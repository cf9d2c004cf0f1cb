"""The knowledge command: check, extend and inspect the knowledge files."""

from __future__ import annotations

import argparse
from importlib import import_module

from sallow.environment import Environment
from sallow.status import ExitStatus

# Each action lives in a module of its own, with run(arguments, environment).
ACTIONS = {
    "check": ("knowledge_check", "check knowledge files; every complaint with its place"),
    "meaning": ("knowledge_check", "what a code means and how to mend it"),
    "new": ("knowledge_new", "write a new cause, sign, finding, check, source or case"),
    "compare": ("knowledge_compare", "what a change does to cases and looks"),
    "show": ("knowledge_show", "an entry, with where each part comes from"),
    "graph": ("knowledge_graph", "the rules around a cause, as a tree or a picture"),
    "cases": ("knowledge_cases", "run the published cases and count how often the answer is right"),
    "coverage": ("knowledge_coverage", "how many causes can be told apart, by crop and symptom pattern"),
}
KINDS = ("cause", "sign", "finding", "check", "source", "case")


def configure(parser: argparse.ArgumentParser) -> None:
    """The actions of ``sallow knowledge`` and their options."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    made = {
        name: actions.add_parser(name, help=words, description=words[0].upper() + words[1:] + ".")
        for name, (_, words) in ACTIONS.items()
    }
    _check(made["check"])
    made["meaning"].add_argument("code", nargs="?", metavar="CODE", help="a code; without it all codes are listed")
    _new(made["new"])
    made["compare"].add_argument(
        "base", metavar="BASE", help="the folder as it was (whole, or laid over the shipped one)"
    )
    made["compare"].add_argument("new", metavar="NEW", help="the folder as it is now")
    made["compare"].add_argument("--looks", type=int, default=60, metavar="N", help="how many random looks to compare")
    made["compare"].add_argument("--format", choices=("text", "json"), default="text", help="how the result is printed")
    made["show"].add_argument("id", metavar="ID", help="the id of a cause, sign, finding, check, event, source or case")
    made["graph"].add_argument("cause", metavar="CAUSE", help="the id of a cause")
    made["graph"].add_argument("--svg", metavar="PATH", help="also write the picture to this file")
    cases = made["cases"]
    cases.add_argument("--calibration", action="store_true", help="how often each word of certainty was right")
    cases.add_argument("--by", choices=("crop", "kind", "basis"), help="one row for each crop, kind of case or basis")
    cases.add_argument("--format", choices=("text", "json"), default="text", help="how the result is printed")
    made["coverage"].add_argument(
        "--crop", metavar="CROP", help="only this crop, with the pairs that nothing separates"
    )
    made["coverage"].add_argument(
        "--format", choices=("text", "json"), default="text", help="how the result is printed"
    )
    for name in ("show", "graph", "cases", "coverage"):
        made[name].add_argument(
            "--knowledge",
            metavar="DIR",
            action="append",
            default=[],
            help="lay the knowledge files of this folder over the shipped ones (repeatable)",
        )


def _check(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "folders",
        nargs="*",
        metavar="DIR",
        help="folders to lay over the shipped knowledge; without any, the shipped and your own folder",
    )
    parser.add_argument("--alone", action="store_true", help="check the first DIR by itself, without the shipped files")
    parser.add_argument(
        "--format",
        choices=("text", "json", "annotations"),
        default="text",
        help="for people, for programs, or as continuous-integration services read them",
    )
    parser.add_argument("--advice", action="store_true", help="show advice on the shipped files too, not only faults")
    parser.add_argument("--strict", action="store_true", help="advice counts as a fault")
    parser.add_argument(
        "--looks", action="store_true", help="weigh the typical look and near miss of every cause (slow)"
    )


def _new(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("kind", choices=KINDS, metavar="KIND", help=", ".join(KINDS))
    parser.add_argument("--into", metavar="DIR", help="the folder to write to (default: your own knowledge folder)")
    parser.add_argument("--like", metavar="ID", help="begin with a copy of this entry, to mend a shipped one")


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Run one action of ``sallow knowledge``."""
    module, _ = ACTIONS[arguments.action]
    status: ExitStatus = import_module(f"sallow.commands.{module}").run(arguments, environment)
    return status
