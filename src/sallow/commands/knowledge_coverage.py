"""'sallow knowledge coverage': how many causes can be told apart, by crop and leaf pattern."""

from __future__ import annotations

import argparse
import json

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
    """One line a crop and pattern: causes in question, and how many of them can be told from all others."""
    lines = ["For each crop and leaf pattern: causes in question / told from every other one by some question", ""]
    for crop, row in cells.items():
        lines.append(knowledge.crops[crop].name)
        shown = [f"{cell.pattern} {len(cell.causes)}/{cell.apart}" for cell in row if cell.causes]
        lines += [f"  {'; '.join(shown[start : start + 4])}" for start in range(0, len(shown), 4)]
        pairs = {pair for cell in row for pair in cell.mixed_up}
        none = [cell.pattern for cell in row if not cell.causes]
        if none:
            lines.append(f"  no cause yet for: {', '.join(none)}")
        lines.append(f"  pairs that no question separates: {len(pairs)}")
    return [*lines, "", "The pairs themselves: sallow knowledge coverage --crop CROP"]


def one_crop(row: list[Cell], knowledge: Knowledge) -> list[str]:
    """The patterns of one crop with their causes, and the pairs that no question separates."""
    lines = [f"{knowledge.crops[row[0].crop].name}: leaf patterns and the causes they bring into question", ""]
    for cell in row:
        lines.append(f"{cell.pattern}: {len(cell.causes)} causes, {cell.apart} told from every other one")
        if cell.causes:
            lines.append(f"  {', '.join(cell.causes)}")
        lines += [f"  nothing separates {first} and {second}" for first, second in cell.mixed_up]
    return lines


def _data(cell: Cell) -> dict[str, object]:
    return {
        "crop": cell.crop,
        "pattern": cell.pattern,
        "causes": list(cell.causes),
        "apart": cell.apart,
        "mixed_up": [list(pair) for pair in cell.mixed_up],
    }
