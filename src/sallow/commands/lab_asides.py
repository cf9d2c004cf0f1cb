"""What a person may ask amid the questions of ``sallow lab``: how it reads so far, and what would change that."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from sallow.care.laboratory import Reading
from sallow.care.laboratory_case import LabCase, LabReport
from sallow.care.laboratory_report import work_through
from sallow.commands.lab_conclusion import conclusion
from sallow.commands.numbered import Asides
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table

MOST_LINES = 8
_NO_FIGURE = "Nothing yet: no figure has been typed that can be read."

# Why each question is asked, for those who want to know.
WHY = {
    "sample": "Leaves, soil and water are read against different tables.",
    "crop": "The published ranges differ from tree to tree.",
    "figure": "Each figure is read against the published classes for its own unit and method.",
    "table": "States publish different ranges for the same tree; mixing them would say nothing.",
    "half": "The sampling season is half a year apart.",
    "taken": "Leaves change as they age: out of season a class may only be the age of the leaves, and nothing is "
    "handed on to a look.",
    "method": "The same soil gives other figures by another extraction, so a class holds for its own method only.",
    "texture": "Heavy soil takes more lime or sulfur than sandy soil for the same step.",
    "fizzes": "Soil that fizzes holds free lime and cannot be made sour.",
    "overhead": "Water on the leaves burns at less salt than water on the ground.",
}


def asides(case: LabCase, tables: Mapping[str, Table]) -> Asides:
    """The answers to s and m with what is known now."""
    return Asides(lambda: so_far_lines(case, tables), lambda: change_lines(case, tables))


def so_far_lines(case: LabCase, tables: Mapping[str, Table]) -> Sequence[str]:
    """Each figure with its class, and what to make of it."""
    report = _report(case, tables)
    if report is None:
        return [_NO_FIGURE]
    read = [f"{_name(entry)}: {'perhaps ' if entry.doubt else ''}{entry.class_name}" for entry in report.readings]
    return [*read[:MOST_LINES], conclusion(report)]


def change_lines(case: LabCase, tables: Mapping[str, Table]) -> Sequence[str]:
    """From which figure on a class would be another, and what the sampling day would do."""
    report = _report(case, tables)
    if report is None:
        return [_NO_FIGURE]
    lines = [line for entry in report.readings if (line := _turns(entry))][:MOST_LINES]
    if any(entry.doubt for entry in report.readings):
        lines.append("A day within the sampling season would make these classes count, and hand them on to a look.")
    return lines or ["Nothing that is still to be told would change it."]


def _report(case: LabCase, tables: Mapping[str, Table]) -> LabReport | None:
    try:
        return work_through(case, tables) if case.measurements else None
    except BadInput:
        return None


def _name(entry: Reading) -> str:
    return f"{entry.test.replace('_', ' ')} ({entry.region.replace('_', ' ').title()})"


def _turns(entry: Reading) -> str:
    low, high = entry.good
    if entry.place == "low" and low is not None:
        return f"{_name(entry)}: at {low:g} {entry.unit} or more it would be right.".replace("  ", " ")
    if entry.place == "high" and high is not None:
        return f"{_name(entry)}: at {high:g} {entry.unit} or less it would be right.".replace("  ", " ")
    if low is None or entry.place != "about_right":
        return ""
    return f"{_name(entry)}: below {low:g} {entry.unit} it would be low.".replace(f"{low:g}  ", f"{low:g} ")
