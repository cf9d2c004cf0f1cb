"""The sheet command: a field sheet to print and take to the tree."""

from __future__ import annotations

import argparse

from sallow.environment import Environment
from sallow.status import ExitStatus


def configure(parser: argparse.ArgumentParser) -> None:
    """The options of ``sallow sheet``."""
    parser.add_argument("--crop", metavar="CROP", help="the sheet for this kind of tree, for instance lemon")
    parser.add_argument("--full", action="store_true", help="with every question, also the rarer ones")
    parser.add_argument("--short", action="store_true", help="without the appendix of questions that are rarely needed")
    parser.add_argument("--save", metavar="PATH", help="write it to a file ending in .html (with pictures) or .txt")
    parser.add_argument(
        "--knowledge",
        metavar="DIR",
        action="append",
        default=[],
        help="lay the knowledge files of this folder over the shipped ones (repeatable)",
    )


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Run ``sallow sheet``."""
    from dataclasses import replace
    from pathlib import Path

    from sallow.commands.leaves import crop_named
    from sallow.errors import BadInput
    from sallow.interview.keep import write_atomically
    from sallow.knowledge.access import open_knowledge
    from sallow.render.sheet_page import sheet_lines, sheet_page
    from sallow.sheet_code import make_sheet
    from sallow.sheet_kept import remember

    ending = Path(arguments.save).suffix.lower() if arguments.save else ""
    if arguments.save and ending not in (".html", ".txt"):
        raise BadInput(
            f"'{arguments.save}' ends in neither .html nor .txt; the ending decides how the sheet is written."
        )
    knowledge = open_knowledge(environment, arguments.knowledge)
    sheet = make_sheet(knowledge, crop_named(arguments.crop, knowledge), arguments.full)
    remember(sheet, environment.data_folder)
    if arguments.short:
        sheet = replace(sheet, stops=tuple(stop for stop in sheet.stops if not stop.appendix))
    if ending == ".html":
        text = sheet_page(sheet, knowledge)
    else:
        text = "\n".join(sheet_lines(sheet, knowledge, environment)) + "\n"
    if arguments.save:
        target = Path(arguments.save).expanduser()
        write_atomically(target, text)
        environment.complain(f"Saved: {target}")
    else:
        for line in text.splitlines():
            environment.say(line)
    return ExitStatus.OK
