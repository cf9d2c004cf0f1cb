"""A file that has been read: its value, the place of each part, and what is wrong with it; the limits of readers."""

from __future__ import annotations

import re
from typing import Any

from sallow.errors import Complaint
from sallow.values import dataclass, field

Place = tuple[int, int]
Path = tuple[str | int, ...]

MAXIMUM_CHARACTERS = 1_000_000
MAXIMUM_DEPTH = 24
MAXIMUM_NODES = 60_000
# Patterns are compiled where they are first needed: most looks need none.
_NUMBER = r"[-+]?(\d{1,15})(\.\d{1,12})?$"
# C0 and C1 controls, bidirectional overrides and isolates, line separators: text that could steer a terminal.
_UNSAFE = "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\u2028\u2029\ufeff]"


@dataclass(slots=True)
class Document:
    """A parsed file: its value, where each part stands, and what was wrong with it.

    ``layer`` is 0 for the shipped folder and counts the folders laid over it.
    """

    file: str
    value: Any = None
    places: dict[Path, Place] = field(default_factory=dict)
    complaints: list[Complaint] = field(default_factory=list)
    layer: int = 0

    def place(self, path: Path) -> Place:
        """The nearest known line and column (1-based) for a path into the value."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places.get(path, (1, 1))

    def complain(self, path: Path, code: str, message: str, expected: str = "", suggestion: str = "") -> None:
        """Add a complaint about the part at ``path``."""
        line, column = self.place(path)
        self.complaints.append(Complaint(self.file, line, column, code, message, expected, suggestion))


def unsafe_characters(text: str) -> str | None:
    """The first character that has no place in plain text, as a readable name, or None."""
    if text.isprintable():
        return None
    found = re.search(_UNSAFE, text)
    return f"U+{ord(found.group()):04X}" if found else None


def printable(text: str) -> str:
    """The text as it may be quoted in a complaint: nothing that could steer a terminal, and not too long."""
    return re.sub(_UNSAFE, "?", text)[:200]


def number_from(text: str) -> int | float | str:
    """The number that an unquoted word stands for; a word that is no plain number of usual length stays text."""
    if re.match(_NUMBER, text):
        return float(text) if "." in text else int(text)
    return text
