"""Salty water: salt left in the soil, the extra water that washes it down, and the yield that salt costs."""

from __future__ import annotations

from sallow.errors import BadInput

# FAO 29: at a usual leaching fraction of 15 to 20 % the soil extract ends up at 1.5 times the water.
SOIL_OVER_WATER = 1.5
MOST_LEACHING = 0.5


def soil_salt_from_water(ec_water: float) -> float:
    """Conductivity of the saturation extract (dS/m) that builds up from the water (FAO 29: 1.5 times)."""
    return SOIL_OVER_WATER * ec_water


def leaching_requirement(ec_water: float, ec_soil_accepted: float) -> float:
    """Share of the water that must pass below the roots: ECw / (5 ECe - ECw), all dS/m (FAO 29).

    BadInput when 5 ECe is not above ECw, where the formula has no meaning.
    """
    if ec_water < 0 or ec_soil_accepted <= 0:
        raise BadInput("electrical conductivities must not be negative.")
    margin = 5 * ec_soil_accepted - ec_water
    if margin <= 0 or ec_water / margin > MOST_LEACHING:
        raise BadInput(
            f"water of {ec_water:g} dS/m is too salty for a crop that bears {ec_soil_accepted:g} dS/m in "
            "the soil: no sensible amount of leaching keeps the roots safe. Use or mix in better water."
        )
    return ec_water / margin


def water_with_leaching(water_l: float, leaching_share: float) -> float:
    """Litres to give so that ``leaching_share`` (0 to below 1) drains below the roots: ET / (1 - LR)."""
    if not 0 <= leaching_share < 1:
        raise BadInput(f"the leaching share must be from 0 to below 1; got {leaching_share:g}.")
    return water_l / (1 - leaching_share)


def relative_yield(ec_soil: float, threshold: float, slope_percent: float) -> float:
    """Yield in % of what the crop gives without salt (Maas and Hoffman): 100 - b (ECe - a), from 0 to 100."""
    if ec_soil < 0:
        raise BadInput("the electrical conductivity of the soil cannot be negative.")
    return max(0.0, min(100.0, 100 - slope_percent * (ec_soil - threshold)))


def sodium_adsorption_ratio(sodium_meq: float, calcium_meq: float, magnesium_meq: float) -> float:
    """SAR = Na / sqrt((Ca + Mg) / 2), all in meq/L (USDA Handbook 60)."""
    if min(sodium_meq, calcium_meq, magnesium_meq) < 0:
        raise BadInput("sodium, calcium and magnesium cannot be negative.")
    if calcium_meq + magnesium_meq == 0:
        raise BadInput("calcium and magnesium are both zero; the sodium ratio (SAR) needs at least one.")
    return sodium_meq / float(((calcium_meq + magnesium_meq) / 2) ** 0.5)


def exchangeable_sodium_percent(sar: float) -> float:
    """Exchangeable sodium percentage estimated from SAR (USDA Handbook 60, regression), never below 0."""
    ratio = -0.0126 + 0.01475 * sar
    return max(0.0, 100 * ratio / (1 + ratio))
