"""'sallow knowledge compare': what a change of the knowledge does to cases and looks."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from sallow.commands.knowledge_show import hanging
from sallow.comparison import Change, Comparison, compare
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.knowledge.access import open_folders
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge
from sallow.status import ExitStatus

MOST_SHOWN = 25


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Compare two folders; exit status 1 when a published case comes out worse."""
    if arguments.looks < 0:
        raise BadInput("--looks must be 0 or more")
    found = compare(opened(arguments.base, environment), opened(arguments.new, environment), arguments.looks)
    if arguments.format == "json":
        environment.say(json.dumps([_data(change) for change in found.changes], indent=1, ensure_ascii=False))
    else:
        for line in lines(found):
            for part in hanging(line, environment.width):
                environment.say(part)
    return ExitStatus.COMPLAINTS if any(change.worse for change in found.changes) else ExitStatus.OK


def opened(name: str, environment: Environment) -> Knowledge:
    """The knowledge of a folder: by itself when it is a whole one, else laid over the shipped files."""
    folder = Path(name)
    if not folder.is_dir():
        raise BadInput(
            f"the knowledge folder {name} is missing; give the folder before and the folder after the change"
        )
    whole = (folder / "crops.yaml").is_file() and (folder / "climates.yaml").is_file()
    return open_folders(environment, [folder] if whole else [shipped_folder("knowledge"), folder], with_cases=True)


def lines(found: Comparison) -> list[str]:
    """The comparison as lines: what got worse first."""
    worse = [change for change in found.changes if change.worse]
    better = [change for change in found.changes if change.better and not change.worse]
    other = [change for change in found.changes if not change.worse and not change.better]
    result = [f"Compared {found.cases} published cases and {found.looks} looks."]
    if not found.changes:
        result.append("Nothing changes in any of them.")
    for heading, group in (
        ("PUBLISHED CASES THAT COME OUT WORSE", worse),
        ("Published cases that come out better", better),
        ("Other looks that come out otherwise", other),
    ):
        if group:
            result += ["", f"{heading}: {len(group)}"]
            for change in group[:MOST_SHOWN]:
                result += _lines(change)
            if len(group) > MOST_SHOWN:
                result.append(f"  and {len(group) - MOST_SHOWN} more (--format json shows all)")
    if found.left_out:
        result += ["", f"Not comparable, since one side lacks a word they use: {', '.join(found.left_out)}"]
    return result


def _lines(change: Change) -> list[str]:
    return [f"  {change.name}", *(f"    {what}" for what in change.what), *(f"    why: {why}" for why in change.why)]


def _data(change: Change) -> dict[str, object]:
    return {
        "name": change.name,
        "worse": change.worse,
        "better": change.better,
        "what": list(change.what),
        "why": list(change.why),
        "before": [list(pair) for pair in change.before.ranking],
        "after": [list(pair) for pair in change.after.ranking],
    }
