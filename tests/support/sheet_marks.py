"""What a person would type for answers of a field sheet of the knowledge that the tests of sheets have at hand."""

from __future__ import annotations

from sallow.knowledge.model import Knowledge
from sallow.sheet_code import Item, make_sheet

known: list[Knowledge] = []


def find(sign: str, crop: str = "lemon") -> Item:
    """A question of the sheet."""
    items = make_sheet(known[0], crop).items().values()
    return next(item for item in items if sign in (item.key.id, item.key.kind))


def mark(sign: str, *answers: str, crop: str = "lemon") -> str:
    """The token that a person would type for these answers of a question."""
    item = find(sign, crop)
    letters = [next(m for m, answer, _ in item.options if answer == wanted) for wanted in answers]
    return f"{item.number}{','.join(letters)}"
