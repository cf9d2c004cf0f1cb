"""Where and how a feeding is given, in plain sentences."""

from __future__ import annotations

from collections.abc import Mapping

from sallow.care.feeding import measures
from sallow.care.feeding.measures import Show
from sallow.care.feeding.plan import Plan

_GAP = {"metric": "60 cm", "us": "2 ft"}
_SCRATCH = {"metric": "2.5 cm", "us": "1 in"}
_BARE_CIRCLE = {"metric": "1 m", "us": "3 ft"}


def place(plan: Plan, show: Show) -> tuple[str, ...]:
    """Where to spread, how thick, how to work it in, how much water."""
    if plan.tree.grown_in == "pot":
        return _pot_lines()
    lines = []
    ring = plan.ring
    if ring is not None:
        lines.append(
            f"Spread it evenly on the ring from {measures.length(ring.inner_m, show)} off the trunk to "
            f"{measures.length(ring.outer_m, show)}, that is under the outer canopy and past its edge: "
            f"about {measures.area(ring.area_m2, show)}. Nothing against the trunk."
        )
        if ring.small:
            lines.append(f"The gap is smaller than the usual {_in(_GAP, show)}, because the tree is still small.")
        if plan.helping is not None:
            kilograms = plan.helping.kilograms
            lines.append(
                "That is "
                f"{measures.rate(ring.grams_per_m2(kilograms), ring.ounces_per_step(kilograms), show)}."
            )
    else:
        lines.append(
            f"Spread it from at least {_in(_GAP, show)} off the trunk out past the edge of the canopy; measure "
            "how wide the canopy is to have the ring worked out."
        )
    lines.append(
        f"Rake the mulch off first, scratch the feed in no deeper than {_in(_SCRATCH, show)}, and rake the mulch back."
    )
    if plan.tree.grown_in == "lawn":
        lines += _lawn_lines(show)
    if plan.water_l is not None:
        lines.append(
            f"Water it in the same day: about {measures.volume(plan.water_l, show)} over the ring wets "
            f"{measures.length(0.2, show)} deep{_texture_words(plan)}. On moist ground only; more washes it "
            "below the roots."
        )
    return tuple(lines)


def _lawn_lines(show: Show) -> tuple[str, ...]:
    return (
        "Lawn runs up to this tree: spread on dry grass and wash it off the blades at once.",
        f"Grass takes much of it first; a bare, mulched circle of {_in(_BARE_CIRCLE, show)} round the trunk helps more "
        "than feed does.",
        "Never a lawn feed with weed killer in it near a tree.",
    )


def _in(length: Mapping[str, str], show: Show) -> str:
    """A round length as gardeners say it in either system; the two are not conversions of one another."""
    return length.get(show) or f"{length['metric']} ({length['us']})"


def _pot_lines() -> tuple[str, ...]:
    return (
        "Spread it over the whole pot, a finger's width off the stem; a coated feed in early spring suits "
        "pots best.",
        "Water until it runs out below, and throw that water away; twice a year rinse the pot through the "
        "same way.",
        "The label of a pot feed comes before these figures; half its strength twice as often is kinder.",
    )


def _texture_words(plan: Plan) -> str:
    if plan.wish.texture is None:
        return " in loam (sand needs half as much or less)"
    return f" in {plan.wish.texture.replace('_', ' ')}"
