"""The named calculations that a step in the knowledge may ask for; each says what it still lacks."""

from __future__ import annotations

from collections.abc import Mapping
from functools import wraps
from types import MappingProxyType

from sallow.care import amounts_feeding as feeding
from sallow.care import amounts_water as water
from sallow.care.amount_model import Amount, Calculation, Tables
from sallow.care.known import Known
from sallow.errors import BadInput


def amount(name: str, known: Known, tables: Tables) -> Amount:
    """The calculation ``name`` for what is known; BadInput only for a name that is not there."""
    if name not in AMOUNTS:
        raise BadInput(
            f"there is no amount called '{name}'; the ones there are: {', '.join(sorted(AMOUNTS))}."
        )
    return AMOUNTS[name](known, tables)


def _telling(calculate: Calculation) -> Calculation:
    """``calculate`` with a fact that cannot be right told in the lines instead of raised."""

    @wraps(calculate)
    def told(known: Known, tables: Tables) -> Amount:
        try:
            return calculate(known, tables)
        except BadInput as error:
            return Amount(lines=(f"This could not be worked out: {error}",))

    return told


_CALCULATIONS: Mapping[str, Calculation] = MappingProxyType(
    {
        "nitrogen_for_year": feeding.nitrogen_for_year,
        "next_feeding": feeding.next_feeding,
        "spread_ring": feeding.spread_ring,
        "potted_feeding": feeding.potted_feeding,
        "iron_chelate_soil": feeding.iron_chelate_soil,
        **{name: feeding.foliar(name) for name in feeding.FOLIAR_WORDS},
        "soak_depth": water.soak_depth,
        "mulch_ring": water.mulch_ring,
        "water_per_week": water.water_per_week,
        "emitter_check": water.emitter_check,
        "leaching": water.leaching,
    }
)
AMOUNTS: Mapping[str, Calculation] = MappingProxyType(
    {name: _telling(calculate) for name, calculate in _CALCULATIONS.items()}
)
