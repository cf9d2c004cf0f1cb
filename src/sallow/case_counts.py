"""Counts over case outcomes: shares with Wilson intervals, and how far the words of certainty can be trusted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt

from sallow.case_runs import Outcome
from sallow.reasoning.words import BANDS, word_for

# The 97.5 % point of the standard normal distribution.
Z = 1.959963984540054


@dataclass(frozen=True, slots=True)
class Share:
    """``hits`` of ``of``, with the interval (``low``, ``high``) that holds the true share 19 times in 20."""

    hits: int
    of: int
    low: float
    high: float

    @property
    def part(self) -> float:
        """The share itself; 0 when there is nothing to count."""
        return self.hits / self.of if self.of else 0.0

    def as_data(self) -> dict[str, float | int]:
        """The share as plain values."""
        return {
            "hits": self.hits,
            "of": self.of,
            "share": round(self.part, 4),
            "low": round(self.low, 4),
            "high": round(self.high, 4),
        }


def wilson(hits: int, of: int, z: float = Z) -> tuple[float, float]:
    """The score interval of Wilson (1927) for a share of ``hits`` out of ``of``; (0, 1) when nothing was counted."""
    if of <= 0:
        return 0.0, 1.0
    share = hits / of
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    half = z / (1 + z * z / of) * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return max(0.0, middle - half), min(1.0, middle + half)


def count(outcomes: Sequence[Outcome], holds: Callable[[Outcome], bool]) -> Share:
    """How many outcomes hold, as a share."""
    hits = sum(1 for outcome in outcomes if holds(outcome))
    return Share(hits, len(outcomes), *wilson(hits, len(outcomes)))


@dataclass(frozen=True, slots=True)
class Reliability:
    """One word: the belief it stands for (``low`` to ``high``), the mean belief in its cases, and how often right."""

    word: str
    low: float
    high: float
    mean: float
    share: Share


def reliability(outcomes: Sequence[Outcome]) -> list[Reliability]:
    """For each word of certainty, how often the first cause was right among the cases it was used in."""
    told = [outcome for outcome in outcomes if outcome.truth and outcome.first]
    rows = []
    high = 1.0
    for word, low in BANDS:
        here = [o for o in told if low <= o.belief < high or (high == 1.0 and o.belief == 1.0)]
        mean = sum(o.belief for o in here) / len(here) if here else 0.0
        rows.append(Reliability(word, low, high, mean, count(here, lambda o: o.first in o.truth)))
        high = low
    return rows


def standing(outcomes: Sequence[Outcome]) -> list[tuple[str, Share]]:
    """For each word, the share of cases whose right cause was called so (the best of them where several are)."""
    told = [outcome for outcome in outcomes if outcome.truth]
    words = [word_for(outcome.truth_belief) for outcome in told]
    return [(word, Share(words.count(word), len(told), *wilson(words.count(word), len(told)))) for word, _ in BANDS]


def called(outcomes: Sequence[Outcome]) -> list[tuple[str, Share]]:
    """For each word, the share of right ones among all causes called so, in whatever place. Of several that would be
    right in one case the best counts; the others are left out."""
    rows = []
    for word, _ in BANDS:
        hits = sum(1 for o in outcomes if o.truth and word_for(o.truth_belief) == word)
        others = sum(o.others[word] for o in outcomes if o.truth)
        rows.append((word, Share(hits, hits + others, *wilson(hits, hits + others))))
    return rows
