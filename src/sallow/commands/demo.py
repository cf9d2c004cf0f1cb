"""The demo command: replays a recorded look with nothing to type."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from sallow.environment import Environment
from sallow.status import ExitStatus

if TYPE_CHECKING:
    from sallow.knowledge.model import Knowledge


def configure(parser: argparse.ArgumentParser) -> None:
    """The options of ``sallow demo``."""
    parser.add_argument(
        "name",
        nargs="?",
        help="which recorded look, or 'year' for a year with three trees; without it the first is played",
    )
    parser.add_argument("--list", action="store_true", help="only list the recorded looks")


def recordings() -> dict[str, Path]:
    """The recorded looks by name."""
    from sallow.knowledge.locate import shipped_folder

    return {path.stem: path for path in sorted(shipped_folder("transcripts_demo").glob("*.yaml"))}


def scripts() -> dict[str, Path]:
    """The recorded stories of several looks, by name: a folder with a script, beside it what it prints."""
    from sallow.knowledge.locate import shipped_folder

    return {path.parent.name: path for path in sorted(shipped_folder("transcripts_demo").glob("*/script.yaml"))}


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Run ``sallow demo``."""
    from sallow.errors import BadInput
    from sallow.knowledge.access import open_knowledge
    from sallow.knowledge.conditions import nearest

    known = {**recordings(), **scripts()}
    if arguments.list:
        for name in known:
            environment.say(name)
        return ExitStatus.OK
    name = arguments.name or next(iter(known))
    if name not in known:
        close = nearest(name, known)
        raise BadInput(
            f"there is no recorded look '{name}'; there are {', '.join(known)}."
            + (f" Did you mean '{close}'?" if close else "")
        )
    play = told if name in scripts() else played
    environment.stdout.write(play(known[name], open_knowledge(environment), environment))
    if not arguments.name:
        environment.say("")
        environment.say(f"More recorded looks: {', '.join(f'sallow demo {other}' for other in known if other != name)}")
    return ExitStatus.OK


def played(path: Path, knowledge: Knowledge, environment: Environment) -> str:
    """The transcript of a recorded look: every question with its answer, then the report; 80 columns, no colour."""
    from sallow.answers import read_look
    from sallow.diagnosis import diagnose
    from sallow.interview.recording import transcript
    from sallow.knowledge.files import read_text
    from sallow.render.outline import outline
    from sallow.render.terminal import plain_text

    look = read_look(read_text(path), path.name, knowledge, environment.today)
    # The knowledge version is left out, so that a recording changes only when what it says changes.
    lines = [line for line in outline(diagnose(knowledge, look), full=False) if line.kind != "version"]
    return transcript(knowledge, look) + "\n" + plain_text(lines, 80)


def told(path: Path, knowledge: Knowledge, environment: Environment) -> str:
    """The transcript of a recorded story; 80 columns, no colour."""
    from sallow.commands.demo_year import played_year
    from sallow.knowledge.files import read_text
    from sallow.knowledge.yaml_reader import read_yaml

    return played_year(read_yaml(read_text(path), path.name).value, knowledge, environment)
