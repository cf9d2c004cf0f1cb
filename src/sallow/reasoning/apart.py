"""How far single answers tell two causes apart."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import log10

from sallow.knowledge.model import Cause, Knowledge
from sallow.reasoning.compile import Component, compiler_for
from sallow.reasoning.diagram import leaf_ratios, sweep

# Two causes count as told apart by a question from this many decibans on.
NOTEWORTHY = 3.0
Tables = Mapping[str, Mapping[str, float]]


def cause_tables(knowledge: Knowledge, cause: Cause, context: Mapping[str, str]) -> dict[str, dict[str, float]]:
    """For each variable a cause speaks of, the likelihood ratio of each value with nothing else known."""
    return tables_of(compiler_for(knowledge, context).stored_or_compiled(cause.id)[0])


def tables_of(components: Iterable[Component]) -> dict[str, dict[str, float]]:
    """The same from compiled evidence."""
    tables: dict[str, dict[str, float]] = {}
    for component in components:
        swept = sweep(component.diagram, component.base)
        ratios = leaf_ratios(component.weights, component.prior, 1.0)
        for number, name in enumerate(component.diagram.variables):
            by_class = [sum(m * r for m, r in zip(masses, ratios, strict=True)) for masses in swept.given[number]]
            classes = component.diagram.classes[number]
            tables[name] = {value: by_class[place] for value, place in classes.items()}
    return tables


def difference(first: Tables, second: Tables) -> dict[str, float]:
    """For each variable the largest difference, in decibans, that one answer makes between two causes."""
    result = {}
    for name in {**first, **second}:
        mine, other = first.get(name, {}), second.get(name, {})
        result[name] = max(
            abs(10 * log10(max(mine.get(value, 1.0), 1e-6) / max(other.get(value, 1.0), 1e-6)))
            for value in {**mine, **other}
        )
    return result


def told_apart(first: Tables, second: Tables, without: str = "", least: float = NOTEWORTHY) -> bool:
    """Whether an answer to some question, other than ``without``, weighs ``least`` decibans between two causes."""
    return any(decibans >= least for name, decibans in difference(first, second).items() if name != without)
