"""The tree to be fed, as far as it is known: kind, age, size, place."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sallow.care.season import Hemisphere
from sallow.errors import BadInput

GROUPS = {
    "orange": "citrus",
    "mandarin": "citrus",
    "lemon": "citrus",
    "lime": "citrus",
    "grapefruit": "citrus",
    "kumquat": "citrus",
    "peach": "stone_fruit",
    "nectarine": "stone_fruit",
    "plum": "stone_fruit",
    "apricot": "stone_fruit",
    "cherry": "stone_fruit",
    "almond": "stone_fruit",
    "apple": "pome",
    "pear": "pome",
}
ALONE = ("avocado", "fig", "persimmon", "pomegranate", "loquat", "olive", "mango", "guava", "grape", "other")
CROPS = (*GROUPS, *ALONE)
DECIDUOUS = frozenset({"stone_fruit", "pome", "fig", "persimmon", "pomegranate", "grape"})
CLIMATES = ("dry_summer", "desert", "humid_subtropical", "cool_humid", "cold_dry", "tropical")
PLACES = ("ground", "pot", "lawn")
# Year of its life in the garden from which a tree counts as grown; the published tables level off there.
GROWN_FROM_YEAR = 5

_LIMITS = {
    "age": (0.0, 300.0, "years"),
    "trunk width": (0.1, 300.0, "cm"),
    "canopy width": (0.05, 40.0, "m"),
    "height": (0.05, 60.0, "m"),
    "pot width": (0.05, 3.0, "m"),
}


@dataclass(frozen=True, slots=True)
class Tree:
    """What is known of the tree; ``None`` means not known. Lengths in the unit of the name."""

    crop: str = "other"
    age_years: float | None = None
    trunk_cm: float | None = None
    canopy_m: float | None = None
    height_m: float | None = None
    grown_in: str | None = None
    pot_m: float | None = None
    dwarf: bool = False
    bearing: bool | None = None
    climate: str | None = None
    hemisphere: Hemisphere | None = None
    frost: bool | None = None

    def __post_init__(self) -> None:
        check_size("age", self.age_years)
        check_size("trunk width", self.trunk_cm)
        check_size("canopy width", self.canopy_m)
        check_size("height", self.height_m)
        check_size("pot width", self.pot_m)

    @property
    def group(self) -> str:
        """The group whose tables serve this crop."""
        return GROUPS.get(self.crop, self.crop)

    @property
    def deciduous(self) -> bool:
        """Whether it drops all its leaves in the cold season."""
        return self.group in DECIDUOUS

    @property
    def year(self) -> int | None:
        """The year of its life in the garden, 1 for the first; a fraction counts as the year it lies in."""
        return None if self.age_years is None else max(1, math.ceil(self.age_years))

    @property
    def grown(self) -> bool | None:
        """Whether it is past the years of building its frame; None when the age is not known."""
        return None if self.year is None else self.year >= GROWN_FROM_YEAR

    @property
    def expects_frost(self) -> bool:
        """Frost in the cold months; not known counts as yes except in the mild and the tropical climate."""
        return self.climate not in ("tropical", "dry_summer") if self.frost is None else self.frost


def check_size(name: str, value: float | None) -> None:
    """BadInput when a size is zero, negative or beyond any tree."""
    least, most, unit = _LIMITS[name]
    if value is not None and not (math.isfinite(value) and least <= value <= most):
        raise BadInput(
            f"the {name} of {value:g} {unit} cannot be right; expected {least:g} to {most:g} {unit}. "
            "Measure again."
        )
