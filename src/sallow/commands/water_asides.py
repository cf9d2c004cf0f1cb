"""What a person may ask amid the questions of ``sallow water``: how it looks so far, and what would change it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from sallow.care.water import TOO_LITTLE_BELOW, TOO_MUCH_ABOVE
from sallow.care.water_plan import WaterPlan, plan_water
from sallow.commands import figures
from sallow.commands.numbered import Asides
from sallow.commands.water_inputs import WaterInputs, emitter_result, reference_range, still_needed, tree_from
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table


def asides(inputs: WaterInputs, today: date, tables: Mapping[str, Table]) -> Asides:
    """The answers to s and m with what is known now."""
    return Asides(lambda: so_far_lines(inputs, today, tables), lambda: change_lines(inputs, today, tables))


def so_far_lines(inputs: WaterInputs, today: date, tables: Mapping[str, Table]) -> Sequence[str]:
    """The need, and the verdict when what it gets is known."""
    plan = _plan(inputs, today, tables)
    if plan is None:
        return ["Nothing yet; I still need to know:", *still_needed(inputs)]
    low, high = (part * 7 for part in plan.give)
    lines = [f"It needs about {figures.litre_range(low, high, inputs.units)} a week, losses counted."]
    if plan.verdict is not None:
        gets = figures.litres(plan.verdict.gets_l_per_week, inputs.units)
        lines.append(f"It gets {gets} a week, which looks {plan.verdict.balance.replace('_', ' ')}.")
    return lines


def change_lines(inputs: WaterInputs, today: date, tables: Mapping[str, Table]) -> Sequence[str]:
    """Where the verdict would turn: below three quarters of the need, above 1.3 times it (our judgement)."""
    plan = _plan(inputs, today, tables)
    if plan is None:
        return so_far_lines(inputs, today, tables)
    low, high = (part * 7 for part in plan.give)
    little = figures.litres(low * TOO_LITTLE_BELOW, inputs.units)
    much = figures.litres(high * TOO_MUCH_ABOVE, inputs.units)
    return [
        f"Less than about {little} a week would be too little, more than about {much} too much.",
        "Soil that is wet a hand deep overrules the sum: then it gets enough, or the roots are in trouble.",
    ]


def _plan(inputs: WaterInputs, today: date, tables: Mapping[str, Table]) -> WaterPlan | None:
    if still_needed(inputs):
        return None
    try:
        reference, _ = reference_range(inputs, today, tables)
        return plan_water(tree_from(inputs, reference, emitter_result(inputs), today), tables)
    except BadInput:
        return None
