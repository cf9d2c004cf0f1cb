"""Leaves out of the words of a test what is meant for other trees: for pots in the ground, for citrus elsewhere."""

from __future__ import annotations

import re
from collections.abc import Sequence

_POT = ("in a pot", "a pot ", "for a pot", "for a big pot")
_CITRUS = ("on citrus",)


def for_tree(texts: Sequence[str], grown_in: str, crop_group: str) -> tuple[str, ...]:
    """The texts without the sentences on pots, if the tree is known to stand in the ground, and without those on
    citrus, if its ``crop_group`` is known to be another."""
    others = (_POT if grown_in in ("ground", "lawn") else ()) + (_CITRUS if crop_group not in ("", "citrus") else ())
    return tuple(kept for text in texts if (kept := _without(text, others)))


def _without(text: str, others: tuple[str, ...]) -> str:
    parts = re.split(r"(?<=[.;]) ", text)
    kept = " ".join(part for part in parts if not part.lower().startswith(others))
    return kept[:-1] + "." * text.endswith(".") if kept.endswith(";") else kept
