"""How much water the root zone or a pot holds, and how many days that lasts."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sallow.care.units import METRES_PER_FOOT, in_to_mm
from sallow.care.water import positive
from sallow.errors import BadInput

# A potting mix gives roughly a fifth of its volume to roots before the tree feels it (our judgement).
USABLE_SHARE_OF_POT = 0.20
# Pots are about three quarters as deep as wide, filled (our judgement; a half barrel so comes to about 110 L).
POT_DEPTH_OF_WIDTH = 0.75


@dataclass(frozen=True, slots=True)
class Store:
    """Water between full and time-to-water: litres, and the days it lasts at the tree's daily use."""

    litres: float
    days: float


def inches_per_foot_to_mm_per_m(value: float) -> float:
    """Available water from inches per foot of soil to millimetres per metre."""
    return in_to_mm(value) / METRES_PER_FOOT


def soil_store(
    holds_mm_per_m: float, depth_m: float, usable_share: float, wetted_area_m2: float, used_l_per_day: float
) -> Store:
    """Store of a root zone and days between waterings: share x available water x depth / daily use.

    ``usable_share`` is the allowed depletion (FAO-56 Table 22, 0 to 1).
    """
    positive(holds_mm_per_m, "the water held by the soil", "mm/m", 400)
    positive(depth_m, "the rooting depth", "m", 5)
    positive(wetted_area_m2, "the wetted area", "m2", 1500)
    if not 0 < usable_share <= 1:
        raise BadInput(f"the usable share of the store must be above 0 and up to 1; got {usable_share:g}.")
    litres = usable_share * holds_mm_per_m * depth_m * wetted_area_m2
    return Store(litres, _days(litres, used_l_per_day))


def pot_litres(width_m: float) -> float:
    """Litres of soil in a round pot from its width: pi/4 x width squared x depth, three quarters of the width."""
    wide = positive(width_m, "the width of the pot", "m", 3, 0.05)
    return math.pi / 4 * wide**2 * POT_DEPTH_OF_WIDTH * wide * 1000


def pot_store(pot_litres: float, used_l_per_day: float) -> Store:
    """Store of a pot and days it lasts; a fifth of the pot's volume is taken as usable (our judgement)."""
    litres = positive(pot_litres, "the size of the pot", "L", 3000) * USABLE_SHARE_OF_POT
    return Store(litres, _days(litres, used_l_per_day))


def _days(litres: float, used_l_per_day: float) -> float:
    if used_l_per_day < 0:
        raise BadInput("the daily use cannot be negative.")
    return float("inf") if used_l_per_day == 0 else litres / used_l_per_day
