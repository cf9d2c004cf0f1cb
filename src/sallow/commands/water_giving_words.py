"""The words on how to give the water: how often, how much each time, how long, and when the emitters are too few."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sallow.care.water_giving import LONGEST_DAYS, MOST_HOURS
from sallow.commands import figures

if TYPE_CHECKING:
    from sallow.care.water_plan import TreeWater, WaterPlan

# Below this share of the need a quarter more every two weeks would take a season to help (our judgement).
FAR_TOO_LITTLE = 0.5


def giving_lines(plan: WaterPlan, tree: TreeWater, units: str) -> list[str]:
    """The rhythm, and the running time or how many emitters are lacking."""
    if plan.giving.days_between is None:
        lines = ["The soil is not known, so how many days to leave between waterings is not worked out."]
    else:
        lines = [_rhythm(plan, tree, units)]
    if tree.system == "sprinkler":
        lines.append(_in_a_cup(plan, units))
    return [*lines, *_running(plan, tree, units)]


def far_too_little(plan: WaterPlan, tree: TreeWater, units: str) -> str:
    """What to do when it gets less than half of what it needs: measure, soak once, then mend the system."""
    first = "That is so far from enough that a little more would not help."
    check = " Check the figures first: catch what each emitter gives in a minute." if tree.emitters else ""
    soak = "give it one slow soak"
    if plan.giving.per_watering is not None:
        soak += f" of about {figures.litre_range(*plan.giving.per_watering, units)}"
    then = "then water as told under 'How to give it'"
    if plan.giving.emitters_needed is not None:
        then = "then mend the line as told under 'How to give it'"
    return (
        f"{first}{check} If the soil a hand deep feels dry, {soak} with the hose or can now, {then}. If it is wet "
        "already, the roots may be in trouble instead: do not add water."
    )


def _rhythm(plan: WaterPlan, tree: TreeWater, units: str) -> str:
    giving = plan.giving
    assert plan.store is not None and giving.per_watering is not None and giving.days_between is not None
    amount = figures.litre_range(*giving.per_watering, units)
    where = "The pot" if tree.pot_l else "The root zone"
    holds = f"{where} holds about {figures.litres(plan.store.litres, units)} between full and time to water"
    if giving.times_a_day > 1:
        return (
            f"{holds}, less than a day's use at the top of the range: about {amount}, "
            f"{_times(giving.times_a_day)} a day in the hottest spells, and never more than it holds at one watering. "
            + _larger(tree)
        )
    if giving.days_between >= LONGEST_DAYS:
        return f"{holds}, which lasts two months or more at this use: hardly any watering is needed now."
    longest = giving.days_longest or giving.days_between
    if longest == giving.days_between:
        every = "every day" if longest == 1 else f"every {longest} days"
        return f"{holds}: about {amount} {every}."
    least = "day" if giving.days_between == 1 else f"{giving.days_between} days"
    most = "two months" if longest >= LONGEST_DAYS else f"{longest} days"
    return (
        f"{holds}, so never give more at one watering: about {amount}, every {least} when the air takes most and "
        f"every {most} when it takes least."
    )


def _in_a_cup(plan: WaterPlan, units: str) -> str:
    low, high = (litres / plan.area_m2 for litres in plan.giving.per_watering or plan.give)
    when = "each time" if plan.giving.per_watering is not None else "a day"
    return (
        f"Under a sprinkler that is {figures.millimetre_range(low, high, units)} {when} in a straight-sided cup that "
        "stands at the tree; run it only until the cup holds that."
    )


def _larger(tree: TreeWater) -> str:
    if tree.pot_l:
        return "A larger pot would make it easier."
    return "Check the width of the crown and the depth of the roots; a wider watered ring holds more."


def _times(times: int) -> str:
    return {2: "twice", 3: "three times"}.get(times, f"{times} times")


def _running(plan: WaterPlan, tree: TreeWater, units: str) -> list[str]:
    giving = plan.giving
    if giving.hours_per_watering is None or not tree.emitters or not tree.flow_l_per_h:
        return []
    those = (
        f"{tree.emitters} emitter{'s' * (tree.emitters > 1)} of {figures.flow(tree.flow_l_per_h, units)}"
    )
    if giving.emitters_needed is not None:
        more = giving.emitters_needed - tree.emitters
        return [
            f"{those} cannot give that, even if they ran for half a day every day: they are too few for this tree, or "
            f"clogged. About {giving.emitters_needed} of that flow are needed, {more} more than there are, or fewer of "
            "a larger flow. Until then water the rest by hand."
        ]
    days = giving.days_between or 1
    low, high = giving.hours_per_watering
    daily = (plan.give[0] / (tree.emitters * tree.flow_l_per_h), plan.give[1] / (tree.emitters * tree.flow_l_per_h))
    if days > 1 and high > MOST_HOURS:
        return [f"With {those} run it every day instead: about {figures.hours(*daily)} a day."]
    each = "a day" if giving.days_between is None else "each time"
    suits = f", or {figures.hours(*daily)} every day, which suits drip" if days > 1 and high >= 4 else ""
    return [f"With {those} that is about {figures.hours(low, high)} {each}{suits * (tree.system == 'drip')}."]
