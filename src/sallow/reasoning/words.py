"""The words for degrees of belief, and where each begins."""

from __future__ import annotations

# Lower edges of the bands, as shares of belief; printed in every legend and checked on the published cases.
BANDS = (("very likely", 0.75), ("likely", 0.45), ("possible", 0.1), ("unlikely", 0.02), ("set aside", 0.0))


def word_for(belief: float) -> str:
    """The word for a share of belief between 0 and 1."""
    return next(word for word, edge in BANDS if belief >= edge)


def at_least(belief: float, word: str) -> bool:
    """Whether a belief reaches the band called ``word``."""
    return belief >= dict(BANDS)[word]
