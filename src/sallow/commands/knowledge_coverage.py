"""'sallow knowledge coverage': how many causes can be told apart, by crop and symptom pattern."""

from __future__ import annotations

import argparse
import json
from textwrap import wrap

from sallow.answers import find_crop
from sallow.coverage import Cell, coverage
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.knowledge.access import open_knowledge
from sallow.knowledge.model import Knowledge
from sallow.status import ExitStatus


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Print the table for all crops, or one crop with the pairs that no question separates."""
    knowledge = open_knowledge(environment, arguments.knowledge)
    crops = list(knowledge.crops)
    if arguments.crop:
        found = find_crop(arguments.crop, knowledge)
        if found is None:
            raise BadInput(f"there is no crop '{arguments.crop}'; one of {', '.join(crops)}")
        crops = [found]
    cells = {crop: coverage(knowledge, crop) for crop in crops}
    if arguments.format == "json":
        environment.say(json.dumps([_data(cell) for row in cells.values() for cell in row], indent=1))
        return ExitStatus.OK
    for line in one_crop(cells[crops[0]], knowledge) if arguments.crop else all_crops(cells, knowledge):
        environment.say(line)
    return ExitStatus.OK


def all_crops(cells: dict[str, list[Cell]], knowledge: Knowledge) -> list[str]:
    """A line a crop and sign: for each pattern the causes in question, and how many can be told from all others."""
    lines = ["For each crop and symptom pattern: causes in question / told from every other one by some question", ""]
    for crop, row in cells.items():
        lines.append(knowledge.crops[crop].name)
        for sign in dict.fromkeys(cell.sign for cell in row):
            shown = [f"{c.pattern} {len(c.causes)}/{c.apart}" for c in row if c.sign == sign and c.causes]
            if shown:
                lines += wrap(f"{sign}: {'; '.join(shown)}", 78, initial_indent="  ", subsequent_indent="    ")
        none = [f"{cell.sign} {cell.pattern}" for cell in row if not cell.causes and cell.sign == "colour_pattern"]
        if none:
            lines.append(f"  no cause yet for: {', '.join(none)}")
        pairs = {pair for cell in row for pair in cell.mixed_up}
        lines.append(f"  pairs that no question separates: {len(pairs)}")
    return [*lines, "", "The pairs themselves: sallow knowledge coverage --crop CROP"]


def one_crop(row: list[Cell], knowledge: Knowledge) -> list[str]:
    """The patterns of one crop with their causes, and the pairs that no question separates."""
    lines = [f"{knowledge.crops[row[0].crop].name}: symptom patterns and the causes they bring into question"]
    sign = ""
    for cell in row:
        if cell.sign != sign:
            sign = cell.sign
            lines += ["", sign]
        lines.append(f"{cell.pattern}: {len(cell.causes)} causes, {cell.apart} told from every other one")
        if cell.causes:
            lines.append(f"  {', '.join(cell.causes)}")
        lines += [f"  nothing separates {first} and {second}" for first, second in cell.mixed_up]
    return lines


def _data(cell: Cell) -> dict[str, object]:
    return {
        "crop": cell.crop,
        "sign": cell.sign,
        "pattern": cell.pattern,
        "causes": list(cell.causes),
        "apart": cell.apart,
        "mixed_up": [list(pair) for pair in cell.mixed_up],
    }
