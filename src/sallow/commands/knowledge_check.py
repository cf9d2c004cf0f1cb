"""'sallow knowledge check' and 'meaning': all complaints of one run, shown the way compilers show theirs."""

from __future__ import annotations

import argparse
import json
import re
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sallow.environment import Environment
from sallow.errors import BadInput, Complaint
from sallow.knowledge.review.codes import ADVICE, CODES, FAULT, grade_of
from sallow.status import ExitStatus

if TYPE_CHECKING:
    from sallow.knowledge.checking import Checked

_WORD = re.compile(r"\"[^\"]*\"|'[^']*'|[^\s,\[\]{}#]+")
_QUOTED = re.compile(r"'([^']+)'")
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\u2028\u2029\ufeff]")


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Run the check, or tell the meaning of a code."""
    if arguments.action == "meaning":
        return meaning(arguments.code, environment)
    from sallow.knowledge.access import folders_for
    from sallow.knowledge.checking import check_folders

    folders = alone(arguments.folders) if arguments.alone else folders_for(environment, arguments.folders)
    checked = check_folders(folders, "all" if arguments.looks else "own")
    shown = chosen(checked, arguments, len(folders) > 1 or arguments.alone)
    files = Lines(folders)
    if arguments.format == "json":
        environment.say(as_json(shown))
    elif arguments.format == "annotations":
        for complaint in shown:
            environment.say(annotation(complaint, files))
    else:
        for complaint in shown:
            for line in as_text(complaint, files, environment.unicode):
                environment.say(line)
        for line in summary(checked, shown):
            environment.say(line)
    graver = checked.complaints if arguments.strict else checked.faults()
    return ExitStatus.COMPLAINTS if graver else ExitStatus.OK


def alone(folders: Sequence[str]) -> list[Path]:
    """The one folder that is checked by itself; BadInput when it is not given or missing."""
    if len(folders) != 1:
        raise BadInput("--alone needs one folder: sallow knowledge check --alone DIR")
    if not Path(folders[0]).is_dir():
        raise BadInput(f"the knowledge folder {folders[0]} is missing")
    return [Path(folders[0])]


def chosen(checked: Checked, arguments: argparse.Namespace, overlays: bool) -> list[Complaint]:
    """The complaints to show: all faults; advice on overlays, and on shipped files when it is asked for."""
    shipped = ("knowledge/",) if overlays and not arguments.alone else ("",)
    wanted = arguments.advice or arguments.strict or arguments.alone
    return [
        complaint
        for complaint in checked.complaints
        if grade_of(complaint.code) == FAULT or wanted or not complaint.file.startswith(shipped)
    ]


class Lines:
    """The lines of the files that complaints speak of, read when wanted."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self.folders = folders
        self.read: dict[str, list[str]] = {}

    def path(self, file: str) -> Path:
        """Where a file named in a complaint lies: shipped files are named from the knowledge folder."""
        first = self.folders[0]
        below = first / Path(file).relative_to(first.name) if Path(file).parts[:1] == (first.name,) else Path(file)
        return below if below.is_file() else Path(file)

    def line(self, complaint: Complaint) -> str:
        """The line a complaint speaks of, or '' when it cannot be read."""
        if complaint.file not in self.read:
            try:
                text = self.path(complaint.file).read_text(encoding="utf-8-sig")
            except (OSError, UnicodeDecodeError):
                text = ""
            self.read[complaint.file] = text.splitlines() if len(text) < 2_000_000 else []
        lines = self.read[complaint.file]
        return lines[complaint.line - 1] if 0 < complaint.line <= len(lines) else ""


def as_text(complaint: Complaint, files: Lines, unicode: bool = True) -> list[str]:
    """A complaint as several lines: what and where, the line itself, the place underlined, what was expected."""
    grade = grade_of(complaint.code)
    found = [f"{grade}[{complaint.code}]: {_clean(complaint.message)}"]
    found.append(f"  {'→' if unicode else '->'} {complaint.file}:{complaint.line}:{complaint.column}")
    line = files.line(complaint)
    if line:
        start, width = offending(line, complaint)
        window = max(0, start - 50)
        part = _clean(line[window : window + 100])
        width = min(width, 100 - (start - window))
        margin = f"  {complaint.line:>5} | "
        found.append(margin + part)
        found.append(" " * (len(margin) - 2) + "| " + " " * (start - window) + "^" * max(width, 1))
    if complaint.expected:
        found.append(f"        expected: {_clean(_short(complaint.expected))}")
    if complaint.suggestion:
        found.append(f"        nearest: {_clean(complaint.suggestion)}")
    return [*found, ""]


def offending(line: str, complaint: Complaint) -> tuple[int, int]:
    """Where in its line the offending text begins, and how long it is: the words the message quotes if they stand
    there, else the word at the place of the complaint."""
    start = complaint.column - 1
    quoted = [words for words in _QUOTED.findall(complaint.message) if words]
    for words in quoted:
        if line.startswith(words, start):
            return start, len(words)
    for words in quoted:
        # The place of a map's value is told; the fault may be the key right before it.
        before = line.rfind(words, 0, start)
        if before >= 0 and line[before + len(words) : start].strip() == ":":
            return before, len(words)
        found = line.find(words, start)
        if found >= 0:
            return found, len(words)
    match = _WORD.match(line, start)
    return start, max(len(match.group()) if match else 1, 1)


def _short(text: str, most: int = 240) -> str:
    return text if len(text) <= most else text[: most - 3] + "..."


def _clean(text: str) -> str:
    return _CONTROL.sub("?", text.replace("\t", " "))


def summary(checked: Checked, shown: Sequence[Complaint]) -> list[str]:
    """How much was found, and what to do next."""
    count = Counter(grade_of(complaint.code) for complaint in checked.complaints)
    told = f"{_counted(count[FAULT], 'fault')}, {_counted(count[ADVICE], 'piece')} of advice"
    lines = [f"{told}." if checked.complaints else "No complaints."]
    hidden = len(checked.complaints) - len(shown)
    if hidden:
        lines.append(f"{_counted(hidden, 'piece')} of advice on the shipped files not shown; --advice shows them.")
    if checked.partial:
        lines.append("Links between entries and the rules themselves are looked at once these files can be read.")
    if shown:
        lines.append(f"What a code means: sallow knowledge meaning {shown[0].code}")
    if checked.knowledge is not None:
        k = checked.knowledge
        lines.append(
            f"{len(k.causes)} causes, {len(k.signs)} signs, {len(k.findings)} findings, {len(k.checks)} checks, "
            f"{len(k.sources)} sources, {len(k.cases)} cases."
        )
    return lines


def _counted(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def as_json(complaints: Sequence[Complaint]) -> str:
    """The complaints as a JSON list."""
    return json.dumps(
        [
            {
                "file": c.file,
                "line": c.line,
                "column": c.column,
                "code": c.code,
                "grade": grade_of(c.code),
                "message": c.message,
                "expected": c.expected,
                "suggestion": c.suggestion,
            }
            for c in complaints
        ],
        indent=1,
        ensure_ascii=False,
    )


def annotation(complaint: Complaint, files: Lines) -> str:
    """The workflow-command line that continuous-integration services show beside the code."""
    level = "error" if grade_of(complaint.code) == FAULT else "notice"
    text = complaint.message
    text += f" (expected: {complaint.expected})" if complaint.expected else ""
    text += f" Nearest: '{complaint.suggestion}'." if complaint.suggestion else ""
    place = f"file={_property(str(files.path(complaint.file)))},line={complaint.line},col={complaint.column}"
    return f"::{level} {place},title={_property(complaint.code)}::{_data(text)}"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")


def meaning(code: str | None, environment: Environment) -> ExitStatus:
    """Print what a code means and how to mend it, or list all codes."""
    if code is None:
        for each in CODES.values():
            environment.say(f"{each.id:<28} {each.grade:<7} {each.means}")
        return ExitStatus.OK
    if code not in CODES:
        from sallow.knowledge.conditions import nearest

        close = nearest(code, CODES)
        hint = f" Did you mean '{close}'?" if close else " 'sallow knowledge meaning' lists all codes."
        raise BadInput(f"there is no code '{_clean(code)}'.{hint}")
    found = CODES[code]
    environment.say(f"{found.id} ({found.grade})")
    environment.say(f"  Means: {found.means}")
    environment.say(f"  Mend:  {found.mend}")
    return ExitStatus.OK
