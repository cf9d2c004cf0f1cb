"""Nitrogen that comes by other ways: compost, manure, irrigation water, lawn feed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sallow.care import units
from sallow.care.feeding.bags import available_share, bag_from
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table

# Nitrogen is 14.007 of the 62.005 parts by weight of nitrate.
N_IN_NITRATE = 14.007 / 62.005
_MOST_NITRATE_N = 200.0


@dataclass(frozen=True, slots=True)
class Credit:
    """Kilograms of available nitrogen to take off the year's amount, with the range and the reckoning."""

    name: str
    low_kg: float
    high_kg: float
    working: str
    source: tuple[str, ...]
    mark: str

    @property
    def middle_kg(self) -> float:
        """The middle of the range."""
        return (self.low_kg + self.high_kg) / 2


def material_credit(material: str, kilograms: float, tables: Mapping[str, Table]) -> Credit:
    """What compost, manure or meal bring in their first year: weight x percent N x share."""
    if kilograms <= 0:
        raise BadInput(f"{kilograms:g} kg of {material} is not an amount; give a weight above zero.")
    bag = bag_from(material, tables)
    share = available_share(bag, tables["organic_availability"])
    total = kilograms * bag.grade.n / 100
    return Credit(
        name=bag.name,
        low_kg=total * share.low,
        high_kg=total * share.high,
        working=(
            f"{kilograms:.3g} kg x {bag.grade.n:g} % nitrogen = {total * 1000:.3g} g, of which "
            f"{share.low * 100:g} to {share.high * 100:g} % works in the first year ({share.say})"
        ),
        source=share.source,
        mark=share.mark,
    )


def nitrate_nitrogen(ppm: float, stated_as: str) -> float:
    """Milligrams of nitrogen per litre from a report that states nitrogen (``n``) or nitrate (``no3``)."""
    if stated_as not in ("n", "no3"):
        raise BadInput(f"nitrate is stated as n (nitrogen) or no3 (nitrate), not as '{stated_as}'.")
    if ppm < 0:
        raise BadInput(f"{ppm:g} ppm of nitrate is below zero; read the water report again.")
    nitrogen = ppm * (N_IN_NITRATE if stated_as == "no3" else 1.0)
    if nitrogen > _MOST_NITRATE_N:
        raise BadInput(f"{ppm:g} ppm of nitrate is far beyond any well; read the report and its unit again.")
    return nitrogen


def water_credit(ppm_n: float, litres: float) -> Credit:
    """Nitrogen in irrigation water: mg per litre x litres (UC: 10 ppm N in an acre-foot is 27 lb)."""
    if litres <= 0:
        raise BadInput("the water used in the season must be more than zero; leave it out if not known.")
    kilograms = ppm_n * litres / 1e6
    return Credit(
        name="nitrate in the irrigation water",
        low_kg=kilograms,
        high_kg=kilograms,
        working=f"{ppm_n:.3g} mg of nitrogen a litre x {litres:.3g} L = {kilograms * 1000:.3g} g",
        source=("ucanr_nitrate", "ucanr_inm"),
        mark="published",
    )


def pounds_per_acre_from_water(ppm_n: float, inches: float) -> float:
    """Pounds of nitrogen per acre in ``inches`` of water (UC: 0.227 lb per acre-inch and ppm)."""
    litres_per_acre_inch = units.gal_to_l(units.SQUARE_FEET_PER_ACRE * 144 / 231)
    return units.kg_to_lb(ppm_n * inches * litres_per_acre_inch / 1e6)
