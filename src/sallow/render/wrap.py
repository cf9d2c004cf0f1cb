"""Plain text wrapped to a width."""

from __future__ import annotations

import textwrap


def wrapped(text: str, width: int) -> list[str]:
    """The text in lines of at most ``width`` cells (words longer than that are broken)."""
    return textwrap.wrap(text, max(width, 20), break_on_hyphens=False)
