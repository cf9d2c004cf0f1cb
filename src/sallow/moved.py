"""How far each result of a confirming test moves belief in the causes that name the test."""

from __future__ import annotations

from collections.abc import Iterator

from sallow.knowledge.model import Cause, Check, Knowledge
from sallow.reasoning.apart import Tables, cause_tables

# Less than this (as a likelihood ratio, either way) is not worth a line: one deciban.
WORTH_TELLING = 10**0.1
LEAST = 1e-6


def moved(check: Check, knowledge: Knowledge) -> Iterator[tuple[str, list[tuple[str, float]]]]:
    """(answer, [(cause, likelihood ratio against something unknown)]) of each result, the farthest mover first.

    The ratios are those with nothing else known; a result that rules a cause out has the ratio 0.
    """
    tables = {
        cause.id: cause_tables(knowledge, cause, _own_crop(cause, knowledge))
        for cause in knowledge.causes.values()
        if check.id in cause.checks
    }
    for result in check.results:
        found = [(name, _ratio(table, check.gives, result.answer)) for name, table in tables.items()]
        telling = [(name, ratio) for name, ratio in found if _span(ratio) >= WORTH_TELLING]
        yield result.answer, sorted(telling, key=lambda pair: (-_span(pair[1]), pair[0]))


def _ratio(table: Tables, sign: str, answer: str) -> float:
    ratio = table.get(sign, {}).get(answer, table.get(f"{sign}.{answer}", {}).get("yes", 1.0))
    return 0.0 if ratio < LEAST else ratio


def _span(ratio: float) -> float:
    return max(ratio, 1 / max(ratio, LEAST))


def in_words(ratio: float) -> str:
    """A likelihood ratio as a person says it."""
    if ratio == 0.0:
        return "ruled out"
    times = ratio if ratio >= 1 else 1 / ratio
    return f"{times:.3g} times {'likelier' if ratio >= 1 else 'less likely'}"


def _own_crop(cause: Cause, knowledge: Knowledge) -> dict[str, str]:
    crops = knowledge.crops.values()
    first = next((crop.id for crop in crops if crop.id in cause.crops or crop.group in cause.crops), None)
    return {"crop": first} if first else {}
