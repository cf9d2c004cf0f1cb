"""How much two causes foretell of the same signs of the tree, so that what both predict is not counted twice."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from sallow.reasoning.likelihood import MOST_REMEMBERED, Likelihoods

# Overlaps of two causes are worked out at the discount of a look of usual length.
USUAL_ANSWERS = 12
MOST_LINKS = 256
Profile = Mapping[str, tuple[float, ...]]


class Overlaps:
    """The overlaps of the candidates of one base, remembered."""

    def __init__(self, likelihoods: Likelihoods) -> None:
        self.base = likelihoods.base
        self.likelihoods = likelihoods
        self.remembered: dict[tuple[int, int, str], float] = {}
        self.links: dict[tuple[str, ...], dict[int, float]] = {}

    @cached_property
    def profiles(self) -> tuple[Profile, ...]:
        """For each candidate, the marginal likelihood ratios of each tree-wide variable it speaks of."""
        found: list[dict[str, tuple[float, ...]]] = [{} for _ in self.base.candidates]
        for number, (cause, component) in enumerate(self.likelihoods.components):
            if not component.of_symptom:
                tables = self.likelihoods.tables(number, None, USUAL_ANSWERS)
                for name, table in zip(component.diagram.variables, tables, strict=True):
                    found[cause][name] = table.ratios
        return tuple(found)

    def linked(self, observed: tuple[str, ...]) -> Mapping[int, float]:
        """The candidates that may overlap on observed variables, each with the most that 1 / W can come to."""
        if observed not in self.links:
            if len(self.links) >= MOST_LINKS:
                self.links.clear()
            found: dict[int, float] = {}
            for name in observed:
                speakers = [i for i, profile in enumerate(self.profiles) if name in profile]
                if len(speakers) > 1:
                    for i in speakers:
                        found[i] = found.get(i, 1.0) / max(min(*self.profiles[i][name], 1.0), 1e-9)
            self.links[observed] = found
        return self.links[observed]

    def overlap(self, first: int, second: int, observed: tuple[str, ...]) -> float:
        """W of two causes over the observed tree-wide variables (1 where they do not both speak)."""
        last = len(self.base.candidates)
        if last in (first, second):
            return 1.0
        mine, other = self.profiles[first], self.profiles[second]
        result = 1.0
        for name in observed:
            if name in mine and name in other:
                key = (first, second, name) if first < second else (second, first, name)
                found = self.remembered.get(key)
                if found is None:
                    base = self.base.variables[name].base.values()
                    # Causes with no value in common never both have a ratio above 0, whatever their overlap.
                    found = sum(p * a * b for p, a, b in zip(base, mine[name], other[name], strict=True)) or 1.0
                    if len(self.remembered) >= MOST_REMEMBERED:
                        self.remembered.clear()
                    self.remembered[key] = found
                result *= found
        return result
