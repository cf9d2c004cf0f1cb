"""A strip of small numbered leaves for one question: a row or rows that fit above its answers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from sallow.environment import Environment
from sallow.knowledge.model import Knowledge
from sallow.knowledge.pictures import Outline, PictureBook
from sallow.render.leaf.terminal import leaf_lines

MOST_ROWS = 12
LABEL = 2
_WIDEST = 24


class Pictured(Protocol):
    """What a strip needs of a question: the sign whose pictures belong to it, and its options (id, words)."""

    @property
    def picture_sign(self) -> str: ...

    @property
    def options(self) -> tuple[tuple[str, str], ...]: ...


def strip_for(
    prompt: Pictured, knowledge: Knowledge, crop: str, environment: Environment, labels: Sequence[str] = ()
) -> str:
    """The strip for a question, or '' when its sign has no pictures.

    The leaves carry the number of their answer in the list, or its entry in ``labels``.
    """
    book = knowledge.pictures
    numbered = [
        (labels[number - 1] if labels else str(number), f"{prompt.picture_sign}.{answer}")
        for number, (answer, _) in enumerate(prompt.options, 1)
        if f"{prompt.picture_sign}.{answer}" in book.pictures
    ]
    if not numbered:
        return ""
    outline = outline_for(knowledge, crop)
    per_row, columns, rows = layout(len(numbered), environment.width)
    lines: list[str] = []
    for start in range(0, len(numbered), per_row):
        cells = [
            _cell(book, label, key, outline, columns, rows, environment)
            for label, key in numbered[start : start + per_row]
        ]
        lines += ["".join(cell[row] for cell in cells).rstrip(" ") for row in range(rows)]
    return "\n".join(lines)


def outline_for(knowledge: Knowledge, crop: str) -> Outline:
    """The leaf outline of a crop ('' for the general one)."""
    found = knowledge.crops.get(crop)
    return knowledge.pictures.outline(crop, found.group if found else "")


def layout(count: int, width: int) -> tuple[int, int, int]:
    """Leaves in a row, and the columns and rows of each, so that all fit into ``width`` and a few rows."""
    best, most = (1, 6, 3), 0.0
    for lines in range(1, count + 1):
        per_row = -(-count // lines)
        columns = min(width // per_row - LABEL, _WIDEST)
        rows = max(3, min(MOST_ROWS // lines, round(columns * 0.42)))
        if columns < 6:
            continue
        # Rows beyond the share cost more than any gain in size.
        room = min(columns, rows * 3) * rows / max(1, lines * rows / MOST_ROWS) ** 9
        if room > most:
            best, most = (per_row, columns, rows), room
    return best


def _cell(
    book: PictureBook, label: str, key: str, outline: Outline, columns: int, rows: int, environment: Environment
) -> list[str]:
    art = leaf_lines(book, book.pictures[key], outline, columns, rows, environment.colours, environment.unicode, True)
    return [f"{label:>{LABEL}}" + art[0], *(" " * LABEL + line for line in art[1:])]
