"""Liquid feed: dilution for a can, and feeding through a drip line."""

from __future__ import annotations

from dataclasses import dataclass

from sallow.errors import BadInput

# Usual strength for feeding pots with the water (common practice): 100 to 150 mg of nitrogen a litre.
CAN_PPM = (100.0, 150.0)
# Stronger than this in the drip water is better given in more rounds (judgement).
MOST_DRIP_PPM = 250.0


@dataclass(frozen=True, slots=True)
class DripFeed:
    """Feeding through the drip line: product in all (kg), mg N per L, rounds that keep it weak."""

    product_kg: float
    ppm: float
    rounds: int


def product_for_can(ppm_n: float, litres: float, percent_n: float) -> float:
    """Grams of product in ``litres`` of water for ``ppm_n`` mg N a litre: ppm x L / (10 x percent)."""
    if litres <= 0:
        raise BadInput(f"a can of {litres:g} L holds nothing; give its size in litres or gallons.")
    if not 0 < ppm_n <= 500:
        raise BadInput(f"{ppm_n:g} ppm of nitrogen is too strong for roots; usual is 100 to 150.")
    if percent_n <= 0:
        raise BadInput("this product holds no nitrogen (its first number is 0).")
    return ppm_n * litres / (10 * percent_n)


def can_strength(grams: float, litres: float, percent_n: float) -> float:
    """Milligrams of nitrogen per litre when ``grams`` of product are stirred into ``litres`` of water."""
    if litres <= 0:
        raise BadInput(f"a can of {litres:g} L holds nothing; give its size in litres or gallons.")
    return grams * percent_n * 10 / litres


def drip_feed(
    product_kg: float, percent_n: float, litres_per_hour: float, hours: float, trees: int = 1
) -> DripFeed:
    """One feeding given through the line: ``litres_per_hour`` is what one tree gets from all its emitters."""
    if litres_per_hour <= 0 or hours <= 0 or trees < 1:
        raise BadInput("the flow, the hours and the number of trees must all be more than zero.")
    ppm = can_strength(product_kg * 1000, litres_per_hour * hours, percent_n)
    rounds = max(1, -(-int(ppm * 1000) // int(MOST_DRIP_PPM * 1000)))
    return DripFeed(product_kg * trees, ppm / rounds, rounds)
