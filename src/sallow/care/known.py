"""Reads what is known about a tree for the named amounts; what does not fit counts as not known."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from types import MappingProxyType
from typing import cast

from sallow.care.feeding.tree import CLIMATES, CROPS, PLACES, Tree
from sallow.care.season import Hemisphere

Known = Mapping[str, str | float | date]
Lack = tuple[str, str]

QUESTIONS: Mapping[str, str] = MappingProxyType(
    {
        "crop": "Which fruit is it?",
        "age_years": "How many years ago was it planted?",
        "trunk_diameter_cm": "How thick is the trunk, just under knee height (30 cm, 1 ft)?",
        "canopy_diameter_m": "How wide is the canopy?",
        "height_m": "How tall is it?",
        "pot_diameter_m": "How wide is the pot?",
        "grown_in": "Does it grow in open ground, in lawn or in a pot?",
        "hemisphere": "Which half of the world?",
        "climate": "Which climate comes nearest?",
        "bag": "Which three numbers are on the bag?",
        "soil_texture": "Is the soil sand, loam or clay?",
    }
)


def tree_from(known: Known) -> Tree:
    """The tree, as far as it is known."""
    crop = text_of(known, "crop")
    if crop not in CROPS:
        crop = "other"
    climate, place = text_of(known, "climate"), text_of(known, "grown_in")
    hemisphere = text_of(known, "hemisphere")
    return Tree(
        crop=crop,
        age_years=number_of(known, "age_years"),
        trunk_cm=number_of(known, "trunk_diameter_cm"),
        canopy_m=number_of(known, "canopy_diameter_m"),
        height_m=number_of(known, "height_m"),
        grown_in=place if place in PLACES else None,
        pot_m=number_of(known, "pot_diameter_m"),
        climate=climate if climate in CLIMATES else None,
        hemisphere=cast("Hemisphere", hemisphere) if hemisphere in ("north", "south") else None,
    )


def texture_from(known: Known) -> str | None:
    """The soil as a row of the wetting-depth table, or None."""
    words = {"sandy": "sand", "clayey": "clay", "heavy": "clay", "loamy": "loam", "clay_loam": "clay"}
    texture = text_of(known, "soil_texture")
    texture = words.get(texture or "", texture)
    return texture if texture in ("sand", "sandy_loam", "loam", "clay") else None


def missing(known: Known, *names: str) -> tuple[Lack, ...]:
    """The named facts that are not known, each with its question."""
    return tuple((name, QUESTIONS[name]) for name in names if name not in known)


def text_of(known: Known, name: str) -> str | None:
    """A fact that is a word, or None."""
    value = known.get(name)
    return value if isinstance(value, str) else None


def number_of(known: Known, name: str) -> float | None:
    """A fact that is a number, or None."""
    value = known.get(name)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def day_of(known: Known, name: str) -> date | None:
    """A fact that is a day, given as one or written year-month-day, or None."""
    value = known.get(name)
    if isinstance(value, str):
        try:
            return date.fromisoformat(value)
        except ValueError:
            return None
    return value if isinstance(value, date) else None
