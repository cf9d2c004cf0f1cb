"""A week's water from what a look knows: the usual range for the climate and the season, canopy and crop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sallow.care.known import Known, day_of, text_of, tree_from
from sallow.care.season import season_of
from sallow.care.water_plan import TreeWater, plan_water

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table

# Which lines of the table a season reads (judgement), and what the answers about watering mean as a system.
WARMTH = {"winter": "cool", "spring": "mild", "autumn": "mild", "summer": "hot"}
# Wider trees get no extra for being young: too much water harms sooner than a little too little (judgement).
SMALL_CANOPY_M = 1.2
SYSTEMS = {"drip": "drip", "sprinkler": "sprinkler", "hand": "hose"}


@dataclass(frozen=True, slots=True)
class UsualWeek:
    """Litres a week (low, high), losses counted and rain not; the range of mm a day it rests on, and the season."""

    low_l: float
    high_l: float
    reference_mm: tuple[float, float]
    season: str
    source: tuple[str, ...]


def usual_week(known: Known, tables: Mapping[str, Table]) -> UsualWeek | None:
    """The week's water, or None while canopy, climate, hemisphere or day is not known. Range of FAO-56 Table 2."""
    tree, day = tree_from(known), day_of(known, "date")
    if tree.canopy_m is None or tree.climate is None or tree.hemisphere is None or day is None:
        return None
    season = season_of(day, tree.hemisphere)
    rows = tables["reference_water_use"].where(climate=tree.climate, warmth=WARMTH[season])
    if not rows:
        return None
    reference = (rows[0].number("low"), rows[0].number("high"))
    plan = plan_water(
        TreeWater(
            crop=tree.crop,
            canopy_m=tree.canopy_m,
            reference_mm=reference,
            season="leafless" if tree.deciduous and season == "winter" else "full",
            winter="frost" if tree.climate in ("cold_dry", "cool_humid") else "mild",
            size="young" if tree.canopy_m < SMALL_CANOPY_M else "full",
            system=SYSTEMS.get(text_of(known, "watering_how") or "", "bucket"),
        ),
        tables,
    )
    return UsualWeek(plan.give[0] * 7, plan.give[1] * 7, reference, season, rows[0].source)
