"""The leaves command: the plate of leaf pictures, in the terminal or as a drawing."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from sallow.environment import Environment
from sallow.status import ExitStatus

if TYPE_CHECKING:
    from sallow.knowledge.model import Knowledge


def configure(parser: argparse.ArgumentParser) -> None:
    """The options of ``sallow leaves``."""
    parser.add_argument("which", nargs="?", metavar="SIGN[.ANSWER]", help="only the pictures of a sign, or one of them")
    parser.add_argument("--crop", metavar="CROP", help="draw the leaf of this tree, for instance lemon or fig")
    parser.add_argument("--svg", metavar="PATH", help="write the pictures to a drawing (SVG) instead of printing them")
    parser.add_argument(
        "--knowledge",
        metavar="DIR",
        action="append",
        default=[],
        help="lay the knowledge files of this folder over the shipped ones (repeatable)",
    )


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Run ``sallow leaves``."""
    from sallow.knowledge.access import open_knowledge
    from sallow.render.leaf.plate import plate_lines, plate_svg, single_lines

    knowledge = open_knowledge(environment, arguments.knowledge)
    crop = crop_named(arguments.crop, knowledge)
    keys = keys_for(arguments.which or "", knowledge)
    if arguments.svg:
        return write_svg(arguments.svg, plate_svg(knowledge, keys, crop), environment)
    lines = (
        single_lines(knowledge, keys[0], crop, environment)
        if len(keys) == 1
        else plate_lines(knowledge, keys, crop, environment)
    )
    for line in lines:
        environment.say(line)
    return ExitStatus.OK


def write_svg(name: str, text: str, environment: Environment) -> ExitStatus:
    """Write a drawing; BadInput for an unwritable place."""
    from pathlib import Path

    from sallow.interview.keep import write_atomically

    target = Path(name).expanduser()
    write_atomically(target, text)
    environment.complain(f"Saved: {target}")
    return ExitStatus.OK


def crop_named(name: str | None, knowledge: Knowledge) -> str:
    """The crop a name stands for ('' for none given); BadInput with the nearest known name."""
    from sallow.answers import find_crop
    from sallow.errors import BadInput
    from sallow.knowledge.conditions import nearest

    if not name:
        return ""
    found = find_crop(name, knowledge)
    if found is None:
        names = [word for crop in knowledge.crops.values() for word in (crop.id, crop.name, *crop.also_called)]
        close = nearest(name.lower(), names)
        hint = f" Did you mean '{close}'?" if close else f" Known: {', '.join(knowledge.crops)}."
        raise BadInput(f"--crop: '{name[:40]}' is not a tree I know.{hint}")
    return found


def keys_for(which: str, knowledge: Knowledge) -> list[str]:
    """The pictures asked for: all, those of a sign, of an answer, or one; BadInput with the nearest right word."""
    from sallow.errors import BadInput
    from sallow.knowledge.conditions import nearest

    pictures = knowledge.pictures.pictures
    if not which:
        return list(pictures)
    if which in pictures:
        return [which]
    signs = knowledge.pictures.signs()
    if which in signs:
        return [key for key in pictures if key.startswith(which + ".")]
    if of_answer := [key for key in pictures if key.endswith("." + which)]:
        return of_answer
    close = nearest(which, [*signs, *pictures])
    hint = f" Did you mean '{close}'?" if close else f" Signs with pictures: {', '.join(signs)}."
    raise BadInput(f"there is no picture for '{which[:60]}'.{hint}")
