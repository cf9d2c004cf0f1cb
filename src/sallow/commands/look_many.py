"""Many looks at once: one answers object a line in, one result a line out."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from datetime import date
from pathlib import Path
from typing import TextIO

from sallow.answers import read_look
from sallow.bounded import bounded_lines
from sallow.diagnosis import diagnose
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.knowledge.model import Knowledge
from sallow.render.data import as_json
from sallow.status import ExitStatus


def results(lines: Iterable[str], knowledge: Knowledge, today: date) -> Iterator[tuple[int, str, bool]]:
    """For each non-empty line: its number, the result (or error) as one line of JSON, and whether it went well.

    Pure but for reading the iterator, and constant in memory, so that it can be mapped over partitions.
    """
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        try:
            look = read_look(line, f"line {number}", knowledge, today)
            yield number, as_json(diagnose(knowledge, look), indent=None), True
        except BadInput as error:
            yield number, json.dumps({"line": number, "error": str(error)}, ensure_ascii=False), False


def run_many(name: str, knowledge: Knowledge, environment: Environment) -> ExitStatus:
    """Diagnose every line of a file; bad lines are reported with their number while the rest goes on."""
    if name == "-":
        return _run(environment.stdin, "standard input", knowledge, environment)
    try:
        with Path(name).open(encoding="utf-8", errors="replace") as stream:
            return _run(stream, name, knowledge, environment)
    except OSError as error:
        raise BadInput(f"{name}: cannot be read ({error.strerror or error})") from None


def _run(stream: TextIO, name: str, knowledge: Knowledge, environment: Environment) -> ExitStatus:
    bad = 0
    for number, text, well in results(bounded_lines(stream, 2, "look", name), knowledge, environment.today):
        environment.say(text)
        if not well:
            bad += 1
            environment.complain(f"line {number}: {json.loads(text)['error']}")
    return ExitStatus.BAD_INPUT if bad else ExitStatus.OK
