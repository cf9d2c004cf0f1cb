"""What the tree book knows for one water question: the tree, its pot, its emitters, its place."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from sallow.care.water_store import pot_litres
from sallow.commands.water_inputs import CLIMATES, CROPS, WaterInputs
from sallow.environment import Environment

if TYPE_CHECKING:
    from sallow.trees.model import Tree

# Words of a person's own account of the soil that name one of the textures here; the longer ones first.
_SOIL_WORDS = (
    ("sandy loam", "sandy_loam"),
    ("clay loam", "clay_loam"),
    ("clay", "clay"),
    ("loam", "loam"),
    ("sand", "sand"),
)
_SYSTEM_WORDS = (
    ("drip", "drip"),
    ("emitter", "drip"),
    ("micro", "micro_spray"),
    ("sprinkler", "sprinkler"),
    ("hose", "hose"),
    ("bucket", "bucket"),
    ("can", "bucket"),
)


def tree_named(arguments: argparse.Namespace, environment: Environment) -> Tree:
    """The tree that --tree names; BadInput or BookError when the book or the tree is not there."""
    from sallow.commands._trees_shared import book_path
    from sallow.trees.book import open_book
    from sallow.trees.shelf import find_tree

    with open_book(book_path(arguments, environment)) as book:
        return find_tree(book, arguments.tree)


def with_tree(inputs: WaterInputs, tree: Tree) -> WaterInputs:
    """The inputs, filled from the book where the options say nothing."""
    in_pot = tree.grown == "pot" or tree.pot_m is not None
    found: dict[str, Any] = {
        "crop": tree.crop if tree.crop in CROPS else None,
        "canopy_m": tree.canopy_m,
        "pot_m": tree.pot_m,
        "pot_l": pot_litres(tree.pot_m) if tree.pot_m is not None else None,
        "climate": tree.climate if tree.climate in CLIMATES else None,
        "latitude": tree.latitude,
        "texture": None if in_pot else _named(tree.soil, _SOIL_WORDS),
        "system": _named(tree.water, _SYSTEM_WORDS) or ("drip" if tree.emitters else None),
        "emitters": tree.emitters or None,
        "flow_l_per_h": tree.emitter_flow_lph or None,
        "cover": "grass" if tree.grown == "lawn" else None,
    }
    if inputs.pot_l is not None or inputs.texture is not None:
        # An option says where it stands or how big the pot is; the book's pot does not go over that.
        found |= {"pot_m": None, "pot_l": None}
    lacking = {name: value for name, value in found.items() if value is not None and getattr(inputs, name) is None}
    return replace(inputs, **lacking, in_pot=inputs.in_pot or in_pot)


def _named(text: str, words: tuple[tuple[str, str], ...]) -> str | None:
    plain = text.lower().replace("-", " ")
    return next((name for word, name in words if word in plain), None)
