"""Leaves out of the words of a test what is meant for pots, where the tree stands in the ground."""

from __future__ import annotations

import re
from collections.abc import Sequence

_POT = ("in a pot", "a pot ", "for a pot", "for a big pot")


def for_place(texts: Sequence[str], grown_in: str) -> tuple[str, ...]:
    """The texts without what is said of pots only, if the tree is known to stand in the ground."""
    if grown_in not in ("ground", "lawn"):
        return tuple(texts)
    return tuple(text for text in map(_without_pot, texts) if text)


def _without_pot(text: str) -> str:
    parts = re.split(r"(?<=[.;]) ", text)
    kept = " ".join(part for part in parts if not part.lower().startswith(_POT))
    return kept[:-1] + "." * text.endswith(".") if kept.endswith(";") else kept
