"""A week's water from what a look knows: the usual range for the climate and the season, canopy and crop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sallow.care.known import Known, day_of, number_of, text_of, tree_from
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
    bare: bool = False


def size_of(known: Known) -> str | None:
    """``young`` for a small crown, ``full`` for a wider one, None while the crown is not known."""
    canopy = number_of(known, "canopy_diameter_m")
    return None if canopy is None else "young" if canopy < SMALL_CANOPY_M else "full"


def cover_of(known: Known) -> str:
    """``grass`` where grass or other plants drink beside the tree, else ``bare``."""
    place = text_of(known, "grown_in")
    grassy = place == "lawn" or (place != "pot" and text_of(known, "ground_cover") in ("grass", "plants"))
    return "grass" if grassy else "bare"


def system_of(known: Known) -> str:
    """The way of watering as the reckoning names it; a can where it is not told."""
    return SYSTEMS.get(text_of(known, "watering_how") or "", "bucket")


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
    bare = tree.deciduous and season == "winter"
    plan = plan_water(
        TreeWater(
            crop=tree.crop,
            canopy_m=tree.canopy_m,
            reference_mm=reference,
            season="leafless" if bare else "full",
            cover=cover_of(known),
            winter="frost" if tree.climate in ("cold_dry", "cool_humid") else "mild",
            size=size_of(known) or "full",
            system=system_of(known),
        ),
        tables,
    )
    return UsualWeek(plan.give[0] * 7, plan.give[1] * 7, reference, season, rows[0].source, bare)
