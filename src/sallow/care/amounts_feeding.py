"""The named amounts of feeding: the year's nitrogen, the next feeding, the ring, pots, sprays and chelates."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sallow.care.amount_model import Amount, Calculation, Tables, asking
from sallow.care.feeding import cautions as caution_words
from sallow.care.feeding import measures, wording, wording_place, working
from sallow.care.feeding.bags import bag_from
from sallow.care.feeding.decision import Condition
from sallow.care.feeding.growth import WORDS
from sallow.care.feeding.plan import Plan, Wish, make_plan
from sallow.care.feeding.ring import spreading_ring
from sallow.care.feeding.tree import GROUPS
from sallow.care.known import Known, Lack, day_of, missing, number_of, text_of, tree_from

if TYPE_CHECKING:
    from sallow.knowledge.tables import Row, Table

COMMAND = "sallow feed"
_ADDS = "For the bag at hand, the days and the ground to spread on"
FOLIAR_WORDS = {
    "foliar_iron": "iron chelate",
    "foliar_manganese": "manganese spray",
    "foliar_magnesium": "magnesium spray",
    "foliar_zinc": "zinc chelate",
}


def nitrogen_for_year(known: Known, tables: Tables) -> Amount:
    """The year's actual nitrogen by crop and age, height or trunk."""
    plan = _plan(known, tables)
    if not plan.decision.feeds and plan.decision.verdict != "measure":
        return _refused(plan)
    lacks = _year_lacks(known, plan)
    lines = () if lacks else wording.nitrogen(plan, "both", say_once=False)
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
            **asking(missing(known, "canopy_diameter_m")),
            command=COMMAND,
        )
    lines = (
        f"The ring from {measures.length(ring.inner_m)} off the trunk to {measures.length(ring.outer_m)}: "
        f"about {measures.area(ring.area_m2)}.",
    )
    reckoned = f"3.1416 x ({ring.outer_m:.2f}^2 - {ring.inner_m:.2f}^2) m = {ring.area_m2:.1f} m2"
    return Amount(lines=lines, working=(reckoned,), command=COMMAND, adds=_ADDS, sources=ring.source)


def potted_feeding(known: Known, tables: Tables) -> Amount:
    """Feeding in a pot: what it takes in a year and how it is given."""
    plan = _plan({**known, "grown_in": "pot"}, tables)
    if not plan.decision.feeds and plan.decision.verdict != "measure":
        return _refused(plan)
    lacks = _year_lacks(known, plan)
    lines = wording.nitrogen(plan, "both") if not lacks else ()
    return _from_plan(plan, lines + wording_place.place(plan, "both"), lacks)


def foliar(name: str) -> Calculation:
    """The calculation of a trial spray by the name of its amount."""

    def calculate(known: Known, tables: Tables) -> Amount:
        crop = str(known.get("crop", "other"))
        row = _foliar_row(name, crop, tables["foliar_rates"])
        if row is None:
            return Amount(
                lines=(f"Only a {FOLIAR_WORDS[name]} whose label names this fruit, on one branch first.",),
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


def _refused(plan: Plan) -> Amount:
    return Amount(
        lines=(wording.headline(plan), *wording.reasons(plan)),
        sources=tuple(dict.fromkeys(key for reason in plan.decision.reasons for key in reason.source)),
    )


def _year_lacks(known: Known, plan: Plan) -> tuple[Lack, ...]:
    lacks = missing(known, "crop") + (plan.year.lacks if plan.year.rule is None else ())
    return lacks + (missing(known, "pot_diameter_m") if plan.pot_assumed else ())


def _from_plan(plan: Plan, lines: tuple[str, ...], lacks: tuple[Lack, ...]) -> Amount:
    unsure = wording.reasons(plan) if plan.decision.verdict == "measure" else ()
    return Amount(
        lines=unsure + lines,
        command=COMMAND,
        adds=_ADDS,
        working=() if plan.pot_assumed else working.working_lines(plan),
        **asking(lacks),
        cautions=caution_words.cautions_for(plan),
        sources=working.sources_used(plan),
    )
