"""What the tree book knows for one water question: the tree, its pot, its emitters, its place, its last look."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from sallow.care.water_store import pot_litres
from sallow.care.water_usual import SMALL_CANOPY_M
from sallow.commands.water_inputs import CLIMATES, CROPS, WaterInputs
from sallow.commands.water_wet import WetSoil, wet_soil
from sallow.environment import Environment

if TYPE_CHECKING:
    from sallow.trees.model import Look, Tree

# Words of a person's own account of the soil that name one of the textures here; the longer ones first.
_SOIL_WORDS = (
    ("sandy loam", "sandy_loam"),
    ("clay loam", "clay_loam"),
    ("clay", "clay"),
    ("heavy", "clay"),
    ("loam", "loam"),
    ("sand", "sand"),
)
_SYSTEM_WORDS = (
    ("drip", "drip"),
    ("emitter", "drip"),
    ("micro", "micro_spray"),
    ("sprinkl", "sprinkler"),
    ("hose", "hose"),
    ("bucket", "bucket"),
    ("can", "bucket"),
)
# What the answers of a look about watering and ground mean here; ``hand`` may be a hose or a can.
_SYSTEM_TOLD = {"drip": "drip", "sprinkler": "sprinkler", "rain": "none"}
_COVER_TOLD = {**dict.fromkeys(("bare", "mulch", "paving", "fresh_wood"), "bare"), "grass": "grass", "plants": "grass"}
_TEXTURE_TOLD = {"sand": "sand", "loam": "loam", "clay": "clay"}
_OFTEN_TOLD = {"daily": 7.0, "weekly": 1.0}
# How often it is watered changes with the season, so an older look does not tell it (our judgement).
HABIT_COUNTS_DAYS = 60
YOUNG_DAYS = 2 * 365


@dataclass(frozen=True, slots=True)
class Kept:
    """A tree of the book, what its looks were told (newest last), and whether its soil was last found wet."""

    tree: Tree
    looks: tuple[Look, ...]
    wet: WetSoil | None


def kept_of(arguments: argparse.Namespace, environment: Environment) -> Kept:
    """What the book keeps of the tree that --tree names; BadInput or BookError when it is not there."""
    from sallow.commands._trees_shared import book_path
    from sallow.trees.book import open_book
    from sallow.trees.shelf import events_of, find_tree, looks_of

    with open_book(book_path(arguments, environment)) as book:
        tree = find_tree(book, arguments.tree)
        looks = tuple(look for look in looks_of(book, [tree.uid])[tree.uid] if look.day <= environment.today)
        events = events_of(book, [tree.uid])[tree.uid]
    return Kept(tree, looks, wet_soil(looks, events, environment.today))


def with_tree(inputs: WaterInputs, kept: Kept, today: date) -> WaterInputs:
    """The inputs, filled from the book where the options say nothing."""
    tree, told = kept.tree, _told(kept.looks)
    place = tree.grown or ("pot" if tree.pot_m is not None else told.get("grown_in"))
    in_pot = place == "pot"
    found: dict[str, Any] = {
        "crop": tree.crop if tree.crop in CROPS else None,
        "canopy_m": tree.canopy_m or _number(told.get("canopy_diameter_m")),
        "size": _young(tree, today),
        "place": place if place in ("ground", "lawn", "pot") else None,
        "pot_m": tree.pot_m,
        "pot_l": pot_litres(tree.pot_m) if tree.pot_m is not None else None,
        "climate": tree.climate if tree.climate in CLIMATES else None,
        "latitude": tree.latitude,
        "hemisphere": tree.hemisphere or None,
        "texture": None if in_pot else _texture(tree, told),
        "system": _system(tree, told),
        "emitters": tree.emitters or None,
        "flow_l_per_h": tree.emitter_flow_lph or None,
        "times_a_week": _often(kept.looks, today) if inputs.gets_l_per_week is None else None,
        "cover": "grass" if place == "lawn" else None if in_pot else _COVER_TOLD.get(told.get("ground_cover", "")),
    }
    if inputs.pot_l is not None or inputs.texture is not None:
        # An option says where it stands or how big the pot is; the book's pot does not go over that.
        found |= {"pot_m": None, "pot_l": None}
        if inputs.texture is not None and in_pot:
            found["place"] = "ground"
    lacking = {name: value for name, value in found.items() if value is not None and getattr(inputs, name) is None}
    return replace(inputs, **lacking)


def _told(looks: Sequence[Look]) -> dict[str, Any]:
    """What the looks were told, the newest word for each thing."""
    told: dict[str, Any] = {}
    for look in looks:
        for part in ("tree", "answers"):
            words = look.answers.get(part)
            told |= dict(words) if isinstance(words, Mapping) else {}
    return {name: value for name, value in told.items() if isinstance(value, str | int | float)}


def _texture(tree: Tree, told: Mapping[str, Any]) -> str | None:
    return _named(tree.soil, _SOIL_WORDS) or _TEXTURE_TOLD.get(str(told.get("soil_texture")))


def _system(tree: Tree, told: Mapping[str, Any]) -> str | None:
    named = _named(tree.water, _SYSTEM_WORDS) or ("drip" if tree.emitters else None)
    if named is None and "lawn" in tree.water.lower():
        return "sprinkler"
    if named is None and tree.water.strip().lower() in ("rain", "rain only", "only rain", "none"):
        return "none"
    return named or _SYSTEM_TOLD.get(str(told.get("watering_how")))


def _young(tree: Tree, today: date) -> str | None:
    """``young`` for a small crown, or one planted within two years; None when the book cannot tell."""
    if tree.canopy_m is not None and tree.canopy_m < SMALL_CANOPY_M:
        return "young"
    if len(tree.planted) < len("2019-05"):
        return None
    planted = date.fromisoformat((tree.planted + "-01")[:10])
    return "young" if (today - planted).days < YOUNG_DAYS else None


def _often(looks: Sequence[Look], today: date) -> float | None:
    recent = [look for look in looks if today - look.day <= timedelta(days=HABIT_COUNTS_DAYS)]
    return _OFTEN_TOLD.get(str(_told(recent).get("watering_every")))


def _number(value: Any) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _named(text: str, words: tuple[tuple[str, str], ...]) -> str | None:
    plain = text.lower().replace("-", " ")
    return next((name for word, name in words if word in plain), None)
