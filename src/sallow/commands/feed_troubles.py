"""The troubles that the last look at a tree found likely, in words for the question whether to feed it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sallow.commands.feed_facts import troubles_from
from sallow.trees.dates import say_date

if TYPE_CHECKING:
    from sallow.trees.model import Look

# Troubles of roots, trunk or water: a tree that has one of them cannot use feed, or is harmed by it (judgement).
ROOTS_TRUNK_WATER = frozenset(
    (
        "armillaria_root_rot", "avocado_branch_canker", "avocado_root_rot", "bacterial_canker", "buried_crown",
        "citrus_branch_canker", "clogged_emitters", "compacted_ground", "construction_injury", "crown_gall",
        "crown_rot_deciduous", "cytospora_canker", "drought", "dry_root_rot", "girdled_trunk", "graft_failure",
        "invasive_shot_hole_borer", "iron_shortage_wet_roots", "laurel_wilt", "nematodes", "overwatering",
        "peachtree_borer", "phytophthora_gummosis", "phytophthora_root_rot_citrus", "poor_drainage",
        "pot_bound_roots", "pot_dries_out", "road_salt_injury", "rodent_gnawing", "salt_burn", "silver_leaf",
        "sooty_canker", "sprinkler_salt_burn", "transplant_shock", "trunk_borers", "verticillium_wilt",
    )
)  # fmt: skip
ROOT_FINDINGS = frozenset(("roots_too_wet", "salty_root_zone"))
_LIKELY = ("very likely", "very_likely", "likely")


def troubles_told(look: Look) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sentences on the likely troubles of roots, trunk or water, and on the other likely ones, of one look.

    A shortage of food is no trouble here, since feed is what mends it; nor is a look that says to leave it alone.
    """
    if look.result.get("result") in ("leave_alone", "nothing_odd"):
        return (), ()
    causes = [cause for cause in look.result.get("causes") or () if isinstance(cause, dict) and _likely(cause)]
    held = [_named(cause) for cause in causes if _at_root(str(cause.get("id")))]
    held += [str(words) for finding, words in _findings(look) if finding in ROOT_FINDINGS]
    beside = [
        _named(cause)
        for cause in causes
        if not _at_root(str(cause.get("id"))) and not str(cause.get("id")).endswith("_shortage")
    ]
    day = say_date(look.day)
    when = f"The last look, on {day}, found"
    again = "Put that right first, and feed only when a new look ('sallow look --tree') no longer finds it."
    held_by = (f"{when}: {'; '.join(dict.fromkeys(held))}. {again}",) if held else ()
    others = (f"{when}: {'; '.join(beside)}. See first whether that is over; feed does not mend it.",) if beside else ()
    return held_by, others


def _at_root(cause: str) -> bool:
    return cause in ROOTS_TRUNK_WATER or bool(troubles_from((), (cause,)) & {"roots_wet", "root_rot", "salted"})


def _likely(cause: dict[str, Any]) -> bool:
    return cause.get("confirmed") is True or cause.get("word") in _LIKELY


def _named(cause: dict[str, Any]) -> str:
    word = "confirmed" if cause.get("confirmed") is True else str(cause.get("word")).replace("_", " ")
    name = str(cause.get("name") or str(cause.get("id")).replace("_", " "))
    return f"{name[:1].lower()}{name[1:]} ({word})"


def _findings(look: Look) -> list[tuple[str, str]]:
    found = look.result.get("findings") or ()
    return [(str(item[0]), str(item[1])) for item in found if isinstance(item, list | tuple) and len(item) > 1]
