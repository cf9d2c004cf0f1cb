"""The surroundings of one run (streams, width, colour, today's date, folders), passed in and never looked up."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TextIO

from sallow.values import dataclass, field

MINIMUM_WIDTH = 40
MAXIMUM_WIDTH = 110
USUAL_WIDTH = 80


@dataclass(frozen=True, slots=True)
class Environment:
    """Everything a run needs to know about the world.

    ``width`` is in character cells. ``colours`` is 0, 16, 256 or 16777216. ``unicode`` tells whether the
    output stream can carry characters beyond ASCII. ``terminal`` is true when both input and output are
    terminals that can move the cursor; ``watched`` when they are terminals at all, a dumb one too. ``home`` folders
    may not exist yet.
    """

    stdin: TextIO
    stdout: TextIO
    stderr: TextIO
    today: date
    width: int = 80
    colours: int = 0
    unicode: bool = True
    terminal: bool = False
    watched: bool = False
    data_folder: Path = field(default_factory=lambda: Path("sallow-data"))
    cache_folder: Path | None = None
    user_knowledge: Path | None = None

    def say(self, text: str = "") -> None:
        """Write one line to the output, replacing what the stream's encoding cannot carry."""
        write_line(self.stdout, text)

    def complain(self, text: str) -> None:
        """Write one line to the error stream."""
        write_line(self.stderr, text)


def write_line(stream: TextIO, text: str) -> None:
    """Write a line even when the stream's encoding lacks some of its characters."""
    encoding = getattr(stream, "encoding", None) or "utf-8"
    stream.write(text.encode(encoding, "replace").decode(encoding) + "\n")


def from_process(variables: Mapping[str, str] | None = None) -> Environment:
    """The real surroundings of this process."""
    variables = os.environ if variables is None else variables
    terminal = sys.stdin.isatty() and sys.stdout.isatty()
    home = variables.get("HOME") or variables.get("USERPROFILE")
    base = Path(home) if home else None
    return Environment(
        stdin=sys.stdin,
        stdout=sys.stdout,
        stderr=sys.stderr,
        today=_today(variables),
        width=max(MINIMUM_WIDTH, min(terminal_columns(variables), MAXIMUM_WIDTH)),
        colours=_colours(variables, sys.stdout.isatty()),
        unicode=_can_carry(sys.stdout, "░▀–°"),
        terminal=terminal and variables.get("TERM") != "dumb",
        watched=terminal,
        data_folder=_folder(variables, "SALLOW_DATA", "XDG_DATA_HOME", base, ".local/share") or Path("sallow-data"),
        cache_folder=_folder(variables, "SALLOW_CACHE", "XDG_CACHE_HOME", base, ".cache"),
        user_knowledge=_folder(variables, "SALLOW_KNOWLEDGE", "XDG_CONFIG_HOME", base, ".config"),
    )


def terminal_columns(variables: Mapping[str, str]) -> int:
    """How many character cells a line of the terminal has."""
    stated = variables.get("COLUMNS", "")
    if stated.isascii() and stated.isdecimal() and int(stated) > 0:
        return int(stated)
    try:
        return os.get_terminal_size(sys.__stdout__.fileno()).columns or USUAL_WIDTH  # type: ignore[union-attr]
    except (OSError, ValueError, AttributeError):
        return USUAL_WIDTH


def _today(variables: Mapping[str, str]) -> date:
    stated = variables.get("SALLOW_TODAY", "")
    try:
        return date.fromisoformat(stated)
    except ValueError:
        return date.today()


def _colours(variables: Mapping[str, str], is_terminal: bool) -> int:
    if variables.get("NO_COLOR") or variables.get("TERM") == "dumb":
        return 0
    if not is_terminal and not variables.get("FORCE_COLOR"):
        return 0
    if variables.get("COLORTERM", "").lower() in ("truecolor", "24bit"):
        return 16777216
    return 256 if "256" in variables.get("TERM", "") else 16


def _can_carry(stream: TextIO, sample: str) -> bool:
    try:
        sample.encode(getattr(stream, "encoding", None) or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def _folder(variables: Mapping[str, str], own: str, standard: str, home: Path | None, beneath: str) -> Path | None:
    if variables.get(own):
        return Path(variables[own])
    if variables.get(standard):
        return Path(variables[standard]) / "sallow"
    return home / beneath / "sallow" if home is not None else None
