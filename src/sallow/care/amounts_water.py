"""The named amounts of water and mulch: one soak, a week's water, emitters, washing salt down, a mulch ring."""

from __future__ import annotations

import math

from sallow.care.amount_model import Amount, Tables, asking
from sallow.care.feeding import measures
from sallow.care.feeding.ring import litres_to_wet, pot_area
from sallow.care.feeding.tree import Tree
from sallow.care.known import Known, missing, number_of, text_of, texture_from, tree_from
from sallow.care.water_store import USABLE_SHARE_OF_POT, pot_litres
from sallow.care.water_usual import usual_week

COMMAND = "sallow water"
# Depth (m) to which a deep soak should reach: most feeder roots lie above it (Tucson: the top 1 to 2 ft).
_SOAK_DEPTH_M = 0.6
_STANDS_WET = {
    "soil_at_depth": ("wet", "soggy"), "ball_wetness": ("wet", "soggy"), "soil_smell": ("sour",),
    "drain_hole": ("stands",), "pot_drains": ("no",),
}  # fmt: skip


def soak_depth(known: Known, tables: Tables) -> Amount:
    """How much water one deep soak under the canopy takes."""
    tree = tree_from(known)
    if tree.grown_in == "pot":
        through = "Water until it runs out of the holes below, wait, and water once more; empty the saucer."
        return in_pot(known, (through,))
    area = _root_ground(tree)
    if area is None:
        return Amount(
            lines=("Soak slowly, and dig after: the ground should be wet to 60 cm (2 ft).",),
            **asking(missing(known, "canopy_diameter_m")),
            command=COMMAND,
        )
    texture = texture_from(known)
    litres = litres_to_wet(area, _SOAK_DEPTH_M, texture, tables)
    first = "Not while the roots stand wet; once the soil has dried: about" if roots_stand_wet(known) else "About"
    soil = (texture or "loam").replace("_", " ")
    lines = (
        f"{first} {measures.volume(litres)}, given slowly over {measures.area(area)} under the canopy, wets "
        f"{measures.length(_SOAK_DEPTH_M)} deep in {soil}. Dig the next day to see how far it went.",
    )
    lacks = () if texture else missing(known, "soil_texture")
    return Amount(
        lines=lines,
        working=(_wetted(litres, area),),
        **asking(lacks),
        command=COMMAND,
        cautions=("Not on ground that stands wet or does not drain: more water drowns roots.",),
        sources=tables["wetting_depth"].rows[0].source,
    )


def water_per_week(known: Known, tables: Tables) -> Amount:
    """How much water a week takes at this season; the water command makes it sharper."""
    if text_of(known, "grown_in") == "pot":
        return in_pot(known, ())
    week = usual_week(known, tables)
    if week is None:
        return Amount(
            **asking(missing(known, "crop", "canopy_diameter_m", "climate", "hemisphere")),
            command=COMMAND,
        )
    low, high = measures.volume(week.low_l), measures.volume(week.high_l)
    if week.bare:
        text = f"While it is bare: only if the soil a hand deep is dry, and then at most about {high} a week."
    elif roots_stand_wet(known):
        text = (
            "None now, while the roots stand wet. Once the soil a hand deep has dried to just moist: usually "
            f"{low} to {high} a week at this season, less what rain soaks in."
        )
    else:
        less = "less what rain soaks in; let the soil a hand deep decide"
        text = f"Usually {low} to {high} a week at this season, {less}."
    lines = (text,)
    reckoned = f"{week.reference_mm[0]:g} to {week.reference_mm[1]:g} mm a day, usual in {week.season} (from memory)"
    return Amount(
        lines=lines,
        working=(reckoned,),
        command=COMMAND,
        adds="Your own weather and emitters narrow it",
        sources=week.source,
    )


def in_pot(known: Known, lines: tuple[str, ...]) -> Amount:
    """How much one watering of a pot is, from its width alone: what the mix gives between full and time to water."""
    width = number_of(known, "pot_diameter_m")
    adds = "How often, from the width of its crown and the weather"
    if width is None:
        return Amount(lines, **asking(missing(known, "pot_diameter_m")), command=COMMAND, sources=("common_practice",))
    mix = pot_litres(width)
    once = mix * USABLE_SHARE_OF_POT
    first = "None now, while the mix is wet. Once the pot is light: about" if roots_stand_wet(known) else "About"
    amount = (
        f"{first} {measures.volume(once)} at one watering, slowly, until some runs out below; again when the pot "
        "feels light."
    )
    wide = measures.length(width)
    reckoned = f"a pot {wide} wide, three quarters as deep, holds {mix:.0f} L; a fifth = {once:.0f} L (our judgement)"
    return Amount(
        lines=(*lines, amount),
        working=(reckoned,),
        command=COMMAND,
        adds=adds,
        sources=("judgement",),
    )


def roots_stand_wet(known: Known) -> bool:
    """Whether the look was told of soil that is wet at root depth or does not let water through."""
    return any(known.get(sign) in words for sign, words in _STANDS_WET.items())


def emitter_check(known: Known, tables: Tables) -> Amount:  # noqa: ARG001
    """How to measure the emitters; the water command makes a verdict of the figures."""
    return Amount(
        lines=(
            "Dig a cup in under each emitter, let the line run for a minute, and note what each cup holds.",
        ),
        command=COMMAND,
        adds="How evenly they run, from what the cups held",
        sources=("common_practice",),
    )


def leaching(known: Known, tables: Tables) -> Amount:
    """One soaking that washes salt down past the roots; the water command works out how much from water and crop."""
    tree = tree_from(known)
    first = (
        "First see that a test hole drains. Then water slowly until the ground is wet well below the roots, wait a "
        "day, and repeat."
    )
    adds = "How much extra, from the salt in your water"
    area = None if tree.grown_in == "pot" else _root_ground(tree)
    if area is None:
        lacks = () if tree.grown_in == "pot" else missing(known, "canopy_diameter_m")
        return Amount((first,), **asking(lacks), command=COMMAND, adds=adds, sources=("common_practice",))
    soil = texture_from(known)
    litres = litres_to_wet(area, _SOAK_DEPTH_M, soil, tables)
    deep, ground = measures.length(_SOAK_DEPTH_M), (soil or "loam").replace("_", " ")
    return Amount(
        lines=(first, f"One such watering is about {measures.volume(litres)}: it wets {deep} deep in {ground}."),
        working=(_wetted(litres, area),),
        command=COMMAND,
        adds=adds,
        sources=("common_practice", *tables["wetting_depth"].rows[0].source),
    )


def mulch_ring(known: Known, tables: Tables) -> Amount:
    """How far and how deep to mulch, and how much mulch that takes."""
    tree = tree_from(known)
    row = tables["mulch"].rows[0]
    off, low, high = (row.number(name) / 100 for name in ("off_trunk_cm", "depth_low_cm", "depth_high_cm"))
    first = (
        f"Mulch {measures.length(low)} to {measures.length(high)} deep ({row['say']}), from "
        f"{measures.length(off)} off the trunk out to the edge of the canopy."
    )
    if tree.canopy_m is None:
        return Amount(lines=(first,), **asking(missing(known, "canopy_diameter_m")), sources=row.source)
    outer = max(tree.canopy_m / 2, 2 * off)
    area = math.pi * (outer**2 - off**2)
    litres = area * (low + high) / 2 * 1000
    return Amount(
        lines=(first, f"That takes about {measures.volume(litres)} of mulch."),
        working=(f"3.1416 x ({outer:.2f}^2 - {off:.2f}^2) m x {(low + high) / 2:.3f} m = {litres:.0f} L",),
        cautions=("Mulch against the bark rots it and hides gnawing.",),
        sources=row.source,
    )


def _wetted(litres: float, area: float) -> str:
    return f"{litres / area:.0f} mm over {area:.1f} m2 = {litres:.0f} L, from the depth one inch of water wets"


def _root_ground(tree: Tree) -> float | None:
    if tree.grown_in == "pot":
        return None if tree.pot_m is None else pot_area(tree.pot_m)
    return None if tree.canopy_m is None else math.pi * (tree.canopy_m / 2) ** 2
