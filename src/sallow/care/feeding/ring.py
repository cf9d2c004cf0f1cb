"""The ground to spread on: the ring under and past the edge of the canopy, its area, and the rate on it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sallow.care import units
from sallow.care.feeding.tree import Tree
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Row, Table

# A walking step along the ring (judgement).
STEP_M = units.ft_to_m(2.5)
# Nothing goes nearer the trunk than this, however small the tree (Mississippi: at least 6 in).
NEAREST_M = units.in_to_cm(6) / 100
# Water that carries the feed a spade's depth down, into the feeder roots (judgement).
WATER_IN_DEPTH_M = 0.20


@dataclass(frozen=True, slots=True)
class Ring:
    """From ``inner_m`` to ``outer_m`` off the trunk; ``small``: the tree is too small for the usual gap."""

    inner_m: float
    outer_m: float
    drip_m: float
    small: bool
    source: tuple[str, ...]
    mark: str

    @property
    def area_m2(self) -> float:
        """Area of the ring: pi (outer squared - inner squared)."""
        return math.pi * (self.outer_m**2 - self.inner_m**2)

    @property
    def steps(self) -> float:
        """Walking steps round the middle of the ring."""
        return 2 * math.pi * (self.inner_m + self.outer_m) / 2 / STEP_M

    def grams_per_m2(self, kilograms: float) -> float:
        """Grams per square metre when ``kilograms`` are spread evenly on the ring."""
        return kilograms * 1000 / self.area_m2

    def ounces_per_step(self, kilograms: float) -> float:
        """Ounces to let fall at each walking step round the ring."""
        return units.g_to_oz(kilograms * 1000) / self.steps


def ring_area(inner_m: float, outer_m: float) -> float:
    """Square metres between two circles; BadInput unless 0 <= inner < outer."""
    if not 0 <= inner_m < outer_m:
        raise BadInput(f"no ring goes from {inner_m:g} to {outer_m:g} m; the outer edge must be further out.")
    return math.pi * (outer_m**2 - inner_m**2)


def spreading_ring(tree: Tree, table: Table) -> Ring | None:
    """The ring for this tree, or None while its canopy width is not known."""
    if tree.canopy_m is None:
        return None
    row = _placement_row(tree, table)
    drip = tree.canopy_m / 2
    usual_inner = units.ft_to_m(row.number("inner"))
    beyond = units.ft_to_m(row.number("beyond"))
    if row["beyond_per_year"] is not None and tree.year is not None:
        grown = min(tree.year * row.number("beyond_per_year"), row.number("beyond_most"))
        beyond = max(beyond, units.ft_to_m(grown))
    small = drip < 1.5 * usual_inner
    inner = max(NEAREST_M, min(usual_inner, drip / 2)) if small else usual_inner
    # A young tree's roots reach little beyond its canopy: no further past the edge than the canopy is wide.
    outer = drip + (min(beyond, max(drip, 2 * NEAREST_M)) if small else beyond)
    return Ring(inner, outer, drip, small, row.source, row.mark)


def pot_area(pot_m: float) -> float:
    """Square metres of soil surface in a round pot ``pot_m`` across."""
    return math.pi * (pot_m / 2) ** 2


def litres_to_wet(area_m2: float, depth_m: float, texture: str | None, tables: Mapping[str, Table]) -> float:
    """Litres that wet ``area_m2`` to ``depth_m``, from the depth that one inch of water wets (table)."""
    row = _texture_row(texture, tables["wetting_depth"])
    inches_of_water = depth_m * 100 / units.CM_PER_INCH / row.number("depth")
    return units.in_to_mm(inches_of_water) * area_m2


def _texture_row(texture: str | None, table: Table) -> Row:
    rows = table.where(texture=texture or "loam")
    if not rows:
        known = ", ".join(str(row["texture"]) for row in table.rows)
        raise BadInput(f"'{texture}' is not a soil known here; expected one of: {known}.")
    return rows[0]


def _placement_row(tree: Tree, table: Table) -> Row:
    for crop, climate in ((tree.group, tree.climate), ("any", "any")):
        for row in table.where(crop=crop, climate=climate):
            return row
    return table.rows[0]
