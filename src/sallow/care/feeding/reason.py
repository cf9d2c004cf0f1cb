"""One reason of a decision, in plain words, with its source and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reason:
    """A sentence, the keys of its sources, and its mark (published, common_practice, memory ...)."""

    text: str
    source: tuple[str, ...] = ("common_practice",)
    mark: str = "common_practice"
