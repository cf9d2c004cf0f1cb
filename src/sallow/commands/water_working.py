"""The water reckoning line by line, each number with its source and mark."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sallow.care.water_plan import TreeWater, Used, WaterPlan
    from sallow.commands.citations import Citations

MARK_WORDS = {
    "published": "published",
    "second_hand": "second-hand",
    "memory": "from memory",
    "common_practice": "common practice",
    "judgement": "our judgement",
    "computed": "computed",
    "given": "as given",
}


def working(
    tree: TreeWater | None, plan: WaterPlan | None, reference_how: str, sources: Citations | None = None
) -> list[str]:
    """The reckoning line by line, each number with its mark and its source: numbered in ``sources``, else its key."""
    if plan is None or tree is None:
        return []
    low, high = min(tree.reference_mm), max(tree.reference_mm)
    lines = [
        f"reference evapotranspiration: {_figure(low, high)} mm/day, {reference_how}",
        f"area under the crown: pi/4 x {tree.canopy_m:.3g} m squared = {plan.area_m2:.3g} m2",
        *(_used(part, sources) for part in (plan.coefficient, plan.factor, plan.efficiency)),
        f"use = evapotranspiration x coefficient x factor x area = {_figure(*plan.need)} L/day",
    ]
    leaching = f" / (1 - {plan.leaching_share:.2f})" if plan.leaching_share else ""
    lines.append(f"to give = use / efficiency{leaching} = {_figure(*plan.give)} L/day")
    if plan.leaching_share is not None:
        lines.append("leaching share = ECw / (5 ECe - ECw) (FAO 29)")
    lines.extend(_used(part, sources) for part in plan.store_used)
    if plan.store is not None:
        source = "a fifth of the pot (our judgement)" if tree.pot_l else "share x water held x depth x wetted area"
        lines.append(f"store: {source} = {plan.store.litres:.3g} L, {plan.store.days:.2g} days of use")
    if tree.gets_l_per_week is not None:
        lines.append(f"gets: {tree.gets_l_per_week:.3g} L + useful rain {plan.rain_l_per_week:.3g} L a week")
        lines.append("too little below 0.75 of the need, too much above 1.3 (our judgement)")
    return lines


def _figure(low: float, high: float) -> str:
    first, last = f"{low:.3g}", f"{high:.3g}"
    return first if first == last else f"{first} to {last}"


def _used(part: Used, sources: Citations | None) -> str:
    keys = f", {', '.join(part.source)}" if part.source and sources is None else ""
    number = "" if sources is None else sources.mark(part.source)
    return f"{part.what}: {_figure(part.low, part.high)} ({MARK_WORDS.get(part.mark, part.mark)}{keys}){number}"
