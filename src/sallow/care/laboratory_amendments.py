"""How much lime or sulfur the published tables give for a soil, and when they give none."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from sallow.care.units import lb_per_sqft_to_g_per_m2
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table

# Penn State laboratory notes: pounds per 100 sq ft above which lime is split, half a year apart.
TWO_PARTS_ABOVE_LB_PER_100_SQFT = 10.0
THREE_PARTS_ABOVE_LB_PER_100_SQFT = 20.0


@dataclass(frozen=True, slots=True)
class Amendment:
    """Material in g/m2 in all, in how many parts, and how many months lie between them."""

    g_per_m2: float
    parts: int
    months_between: int
    mark: str
    source: tuple[str, ...]


def lime_for_strength(rate: float, calcium_carbonate_equivalent: float) -> float:
    """Rate corrected for the strength on the label: recommended x 100 / CCE (Penn State)."""
    if not 20 <= calcium_carbonate_equivalent <= 180:
        raise BadInput(
            f"a lime strength (CCE) of {calcium_carbonate_equivalent:g} % is not believable; expected 50 to 180."
        )
    return rate * 100 / calcium_carbonate_equivalent


def lime_rate(ph: float, texture: str, table: Table, calcium_carbonate_equivalent: float = 100.0) -> Amendment | None:
    """Limestone to bring the top 15 cm to pH 6.5, in proportion between steps; None above pH 6.2."""
    if ph > 6.2:
        return None
    rows = sorted(table.where(texture=texture), key=lambda row: row.number("ph"))
    if not rows:
        raise BadInput(f"no lime table for '{texture}' soil; expected sand, loam or clay.")
    steps = [*((row.number("ph"), row.number("rate")) for row in rows), (6.5, 0.0)]
    per_1000 = lime_for_strength(_between(max(ph, steps[0][0]), steps), calcium_carbonate_equivalent)
    per_100 = per_1000 / 10
    parts = 1 if per_100 <= TWO_PARTS_ABOVE_LB_PER_100_SQFT else 2
    parts = 3 if per_100 > THREE_PARTS_ABOVE_LB_PER_100_SQFT else parts
    return Amendment(lb_per_sqft_to_g_per_m2(per_1000 / 1000), parts, 6, rows[0].mark, rows[0].source)


def sulfur_rate(ph: float, texture: str, fizzes: bool | None, table: Table) -> Amendment | None:
    """Sulfur to bring pH 7.0 to 7.5 down to 6.0 to 6.5; None outside that range or where the soil fizzes."""
    if fizzes or not 7.0 <= ph <= 7.5:
        return None
    rows = table.where(texture=texture)
    if not rows:
        raise BadInput(f"no sulfur table for '{texture}' soil; expected sand, loam or clay.")
    rate = rows[0].number("rate")
    most = lb_per_sqft_to_g_per_m2(rows[0].number("most_at_once") / 1000)
    parts = max(1, -int(-rate // most))
    return Amendment(rate, parts, 3, rows[0].mark, rows[0].source)


def _between(ph: float, steps: list[tuple[float, float]]) -> float:
    for (low, rate_low), (high, rate_high) in pairwise(steps):
        if low <= ph <= high:
            return rate_low + (rate_high - rate_low) * (ph - low) / (high - low)
    return steps[-1][1]
