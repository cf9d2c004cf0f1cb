"""The named calculations that a step in the knowledge may ask for; each says what it still lacks."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import wraps
from types import MappingProxyType
from typing import TYPE_CHECKING, TypedDict

from sallow.care.feeding import cautions as caution_words
from sallow.care.feeding import measures, wording, wording_place, working
from sallow.care.feeding.bags import bag_from
from sallow.care.feeding.decision import Condition
from sallow.care.feeding.growth import WORDS
from sallow.care.feeding.plan import Plan, Wish, make_plan
from sallow.care.feeding.ring import litres_to_wet, pot_area, spreading_ring
from sallow.care.feeding.tree import GROUPS, Tree
from sallow.care.known import Known, Lack, day_of, missing, number_of, text_of, texture_from, tree_from
from sallow.care.water_usual import usual_week
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Row, Table

Tables = Mapping[str, "Table"]

# Depth (m) to which a deep soak should reach: most feeder roots lie above it (Tucson: the top 1 to 2 ft).
_SOAK_DEPTH_M = 0.6


@dataclass(frozen=True, slots=True)
class Amount:
    """What a calculation says: lines in plain words and both unit systems, their reckoning, what lacks.

    ``lacks`` holds a plain question for each fact still needed and ``facts`` the names of those facts, in the
    same order; ``command`` is the command that works the whole out; ``sources`` are keys of the sources.
    """

    lines: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    lacks: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()
    command: str = "sallow feed"
    cautions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


Calculation = Callable[[Known, Tables], Amount]


def amount(name: str, known: Known, tables: Tables) -> Amount:
    """The calculation ``name`` for what is known; BadInput only for a name that is not there."""
    if name not in AMOUNTS:
        raise BadInput(
            f"there is no amount called '{name}'; the ones there are: {', '.join(sorted(AMOUNTS))}."
        )
    return AMOUNTS[name](known, tables)


def nitrogen_for_year(known: Known, tables: Tables) -> Amount:
    """The year's actual nitrogen by crop and age, height or trunk."""
    plan = _plan(known, tables)
    if not plan.decision.feeds and plan.decision.verdict != "measure":
        return _refused(plan)
    lacks = _year_lacks(known, plan)
    lines = () if lacks else wording.nitrogen(plan, "both")
    return _from_plan(plan, lines, lacks)


def next_feeding(known: Known, tables: Tables) -> Amount:
    """The next feeding: its day, its nitrogen and, for a known bag, its weight."""
    plan = _plan(known, tables)
    if not plan.decision.feeds and plan.decision.verdict != "measure":
        return _refused(plan)
    lacks = list(_year_lacks(known, plan))
    lacks += missing(known, "hemisphere", "climate")
    if plan.helping is None:
        lacks += missing(known, "bag")
    lines: tuple[str, ...] = ()
    if plan.each_kg:
        lines += (f"Each feeding carries {measures.weight(plan.each_kg)} of actual nitrogen.",)
    if plan.season is not None and plan.season.to_come:
        lines += (f"The next one falls about {measures.about(plan.season.to_come[0])}.",)
    return _from_plan(plan, lines + wording.bag(plan, "both"), tuple(lacks))


def spread_ring(known: Known, tables: Tables) -> Amount:
    """Where feed is spread and how large that ground is."""
    tree = tree_from(known)
    if tree.grown_in == "pot":
        return potted_feeding(known, tables)
    ring = spreading_ring(tree, tables["placement"])
    if ring is None:
        return Amount(
            lines=("At least 0.6 m (2 ft) off the trunk, out past the edge of the canopy.",),
            **_asking(missing(known, "canopy_diameter_m")),
        )
    lines = (
        f"The ring from {measures.length(ring.inner_m)} off the trunk to {measures.length(ring.outer_m)}: "
        f"about {measures.area(ring.area_m2)}.",
    )
    reckoned = f"3.1416 x ({ring.outer_m:.2f}^2 - {ring.inner_m:.2f}^2) m = {ring.area_m2:.1f} m2"
    return Amount(lines=lines, working=(reckoned,), sources=ring.source)


def soak_depth(known: Known, tables: Tables) -> Amount:
    """How much water one deep soak under the canopy takes."""
    tree = tree_from(known)
    if tree.grown_in == "pot":
        lines = ("Water until it runs out of the holes below, wait, and water once more; empty the saucer.",)
        return Amount(lines=lines, command="sallow water", sources=("common_practice",))
    area = _root_ground(tree)
    if area is None:
        return Amount(
            lines=("Soak slowly, and dig after: the ground should be wet to 60 cm (2 ft).",),
            **_asking(missing(known, "canopy_diameter_m")),
            command="sallow water",
        )
    texture = texture_from(known)
    litres = litres_to_wet(area, _SOAK_DEPTH_M, texture, tables)
    soil = (texture or "loam").replace("_", " ")
    lines = (
        f"About {measures.volume(litres)}, given slowly over {measures.area(area)} under the canopy, wets "
        f"{measures.length(_SOAK_DEPTH_M)} deep in {soil}. Dig the next day to see how far it went.",
    )
    reckoned = (
        f"{litres / area:.0f} mm over {area:.1f} m2 = {litres:.0f} L, from the depth one inch of water wets"
    )
    lacks = () if texture else missing(known, "soil_texture")
    return Amount(
        lines=lines,
        working=(reckoned,),
        **_asking(lacks),
        command="sallow water",
        cautions=("Not on ground that stands wet or does not drain: more water drowns roots.",),
        sources=tables["wetting_depth"].rows[0].source,
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
        return Amount(lines=(first,), **_asking(missing(known, "canopy_diameter_m")), sources=row.source)
    outer = max(tree.canopy_m / 2, 2 * off)
    area = math.pi * (outer**2 - off**2)
    litres = area * (low + high) / 2 * 1000
    return Amount(
        lines=(first, f"That takes about {measures.volume(litres)} of mulch."),
        working=(f"3.1416 x ({outer:.2f}^2 - {off:.2f}^2) m x {(low + high) / 2:.3f} m = {litres:.0f} L",),
        cautions=("Mulch against the bark rots it and hides gnawing.",),
        sources=row.source,
    )


def potted_feeding(known: Known, tables: Tables) -> Amount:
    """Feeding in a pot: what it takes in a year and how it is given."""
    plan = _plan({**known, "grown_in": "pot"}, tables)
    if not plan.decision.feeds and plan.decision.verdict != "measure":
        return _refused(plan)
    lacks = _year_lacks(known, plan)
    lines = wording.nitrogen(plan, "both") if not lacks else ()
    return _from_plan(plan, lines + wording_place.place(plan, "both"), lacks)


def _foliar(name: str) -> Calculation:
    def calculate(known: Known, tables: Tables) -> Amount:
        crop = str(known.get("crop", "other"))
        row = _foliar_row(name, crop, tables["foliar_rates"])
        if row is None:
            return Amount(
                lines=(f"Only a {_FOLIAR_WORDS[name]} whose label names this fruit, on one branch first.",),
                cautions=(caution_words.FOLIAR,),
                sources=("common_practice",),
            )
        grams = row.number("rate")
        lines = (
            f"For a trial on one marked branch: {row['name']} at {grams:g} g in a litre of water "
            f"({measures.weight(grams * 3.785411784 / 1000, 'us')} in a gallon), unless the label says "
            f"less; {row['say']}.",
        )
        return Amount(lines=lines, cautions=(caution_words.FOLIAR,), sources=row.source)

    calculate.__doc__ = f"The strength of a trial spray: {name}."
    return calculate


_FOLIAR_WORDS = {
    "foliar_iron": "iron chelate",
    "foliar_manganese": "manganese spray",
    "foliar_magnesium": "magnesium spray",
    "foliar_zinc": "zinc chelate",
}


def iron_chelate_soil(known: Known, tables: Tables) -> Amount:  # noqa: ARG001
    """Iron chelate to the soil goes by its label."""
    return Amount(
        lines=(
            "On limy soil only a chelate whose label names EDDHA holds iron; give it as growth starts, "
            "dissolved and watered in, at the rate of its label for the size of the tree.",
        ),
        cautions=("Iron stains fruit, paving and clothes.", caution_words.LABEL),
        sources=("usu_news", "tamu_kbtx"),
    )


def water_per_week(known: Known, tables: Tables) -> Amount:
    """How much water a week takes at this season; the water command makes it sharper."""
    week = usual_week(known, tables)
    if week is None:
        return Amount(
            lines=("A week's water hangs on the weather and the canopy.",),
            **_asking(missing(known, "crop", "canopy_diameter_m", "climate", "hemisphere")),
            command="sallow water",
        )
    lines = (
        f"Usually {measures.volume(week.low_l)} to {measures.volume(week.high_l)} a week at this season, less what "
        "rain soaks in; let the soil a hand deep decide. Your own weather and emitters narrow it: sallow water",
    )
    reckoned = f"{week.reference_mm[0]:g} to {week.reference_mm[1]:g} mm a day, usual in {week.season} (from memory)"
    return Amount(lines=lines, working=(reckoned,), command="sallow water", sources=week.source)


def emitter_check(known: Known, tables: Tables) -> Amount:  # noqa: ARG001
    """How to measure the emitters; the water command makes a verdict of the figures."""
    return Amount(
        lines=(
            "Dig a cup in under each emitter, let the line run for a minute, and note what each cup holds; "
            "'sallow water' works out from the figures how evenly they run.",
        ),
        command="sallow water",
        cautions=(caution_words.BACKFLOW,),
        sources=("common_practice",),
    )


def leaching(known: Known, tables: Tables) -> Amount:  # noqa: ARG001
    """How to wash salt down; the water command works out how much from the water and the crop."""
    return Amount(
        lines=(
            "First see that a test hole drains. Then water slowly until the ground is wet well below the roots, wait a "
            "day, and repeat; 'sallow water' works out the extra share from the salt in your water.",
        ),
        command="sallow water",
        sources=("common_practice",),
    )


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
        "nitrogen_for_year": nitrogen_for_year,
        "next_feeding": next_feeding,
        "spread_ring": spread_ring,
        "soak_depth": soak_depth,
        "mulch_ring": mulch_ring,
        "water_per_week": water_per_week,
        "emitter_check": emitter_check,
        "leaching": leaching,
        "potted_feeding": potted_feeding,
        "iron_chelate_soil": iron_chelate_soil,
        **{name: _foliar(name) for name in _FOLIAR_WORDS},
    }
)
AMOUNTS: Mapping[str, Calculation] = MappingProxyType(
    {name: _telling(calculate) for name, calculate in _CALCULATIONS.items()}
)


def _foliar_row(name: str, crop: str, table: Table) -> Row | None:
    for wanted in (crop, GROUPS.get(crop, crop), "any"):
        for row in table.where(amount=name, crop=wanted):
            return row
    return None


def _plan(known: Known, tables: Tables) -> Plan:
    tree = tree_from(known)
    bag = bag_from(str(known["bag"]), tables) if "bag" in known else None
    today, last_fed = day_of(known, "date"), day_of(known, "last_fed")
    condition = Condition(
        leaf_colour=text_of(known, "leaf_colour"),
        shoot_cm=number_of(known, "shoot_growth_cm"),
        shoot_word=word if (word := text_of(known, "shoot_growth")) in WORDS else None,
        soil=text_of(known, "soil") or text_of(known, "soil_at_depth"),
        last_fed=last_fed,
        unhurt=True,  # these steps follow a look, which has weighed frost, salt and weed killer
    )
    return make_plan(tree, condition, Wish(bag=bag), today, tables)


def _root_ground(tree: Tree) -> float | None:
    if tree.grown_in == "pot":
        return None if tree.pot_m is None else pot_area(tree.pot_m)
    return None if tree.canopy_m is None else math.pi * (tree.canopy_m / 2) ** 2


def _refused(plan: Plan) -> Amount:
    return Amount(
        lines=(wording.headline(plan), *wording.reasons(plan)),
        sources=tuple(dict.fromkeys(key for reason in plan.decision.reasons for key in reason.source)),
    )


def _year_lacks(known: Known, plan: Plan) -> tuple[Lack, ...]:
    lacks = missing(known, "crop") + (plan.year.lacks if plan.year.rule is None else ())
    return lacks + (missing(known, "pot_diameter_m") if plan.pot_assumed else ())


class _Asking(TypedDict):
    lacks: tuple[str, ...]
    facts: tuple[str, ...]


def _asking(lacks: tuple[Lack, ...]) -> _Asking:
    open_facts = dict(lacks)
    return {"lacks": tuple(open_facts.values()), "facts": tuple(open_facts)}


def _from_plan(plan: Plan, lines: tuple[str, ...], lacks: tuple[Lack, ...]) -> Amount:
    unsure = wording.reasons(plan) if plan.decision.verdict == "measure" else ()
    return Amount(
        lines=unsure + lines,
        working=working.working_lines(plan),
        **_asking(lacks),
        cautions=caution_words.cautions_for(plan),
        sources=working.sources_used(plan),
    )
