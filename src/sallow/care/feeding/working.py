"""How each figure of a plan was reckoned, line by line, for --show-working."""

from __future__ import annotations

from sallow.care import units
from sallow.care.feeding.plan import Plan


def working_lines(plan: Plan) -> tuple[str, ...]:
    """The reckoning behind the figures, in the order in which they are used."""
    return (*_year(plan), *_pot(plan), *_net(plan), *_bag(plan), *_ground(plan))


def sources_used(plan: Plan) -> tuple[str, ...]:
    """The keys of every source behind the plan, each once, in order of use."""
    keys: list[str] = []
    for reason in plan.decision.reasons:
        keys += reason.source
    if plan.year.rule is not None:
        keys += plan.year.rule.source
    if plan.season is not None:
        keys += plan.season.source
    if plan.helping is not None:
        keys += plan.helping.share.source
    for credit in plan.wish.credits:
        keys += credit.source
    if plan.ring is not None:
        keys += plan.ring.source
    if plan.salt is not None:
        keys += plan.salt.source
    return tuple(dict.fromkeys(keys))


def _year(plan: Plan) -> list[str]:
    lines: list[str] = []
    if plan.year.rule is not None:
        lines += plan.year.rule.working
        for other in plan.year.others:
            amounts = dict.fromkeys((_kg(other.low_kg), _kg(other.high_kg)))
            lines.append(f"another rule, {other.region.replace('_', ' ').title()}: {' to '.join(amounts)}")
    return lines


def _pot(plan: Plan) -> list[str]:
    if plan.pot_m is None or plan.area_m2 is None or plan.gross_kg is None or not plan.pot_bound:
        return []
    return [
        f"most in this pot in a year: {plan.gross_kg * 1000 / plan.area_m2:.0f} g/m2 (our judgement: about what a "
        f"weekly liquid feed of 100 ppm brings in a season) x 3.1416 x ({plan.pot_m:.2f} m / 2)^2 = "
        f"{_kg(plan.gross_kg)}"
    ]


def _net(plan: Plan) -> list[str]:
    lines = [f"{credit.name}: {credit.working}" for credit in plan.wish.credits]
    if plan.net_kg is not None and plan.gross_kg is not None:
        taken = plan.gross_kg - plan.net_kg
        lines.append(f"nitrogen to give: {_kg(plan.gross_kg)} - {_kg(taken)} = {_kg(plan.net_kg)}")
    if plan.each_kg is not None and plan.net_kg:
        lines.append(f"one feeding: {_kg(plan.net_kg)} / {plan.parts} = {_kg(plan.net_kg / plan.parts)}")
    if plan.limit_kg is not None:
        lines.append(f"most at once on this ground: {_kg(plan.limit_kg)} ({plan.limit_say})")
    return lines


def _bag(plan: Plan) -> list[str]:
    chosen, helping = plan.wish.bag, plan.helping
    if chosen is None or helping is None or plan.each_kg is None:
        return []
    share = helping.share.middle
    lines = [
        f"{chosen.grade}: in 100 units of it {chosen.grade.n:g} are nitrogen (N), {chosen.grade.p2o5:g} "
        f"phosphate (P2O5, {chosen.grade.p:.1f} phosphorus), {chosen.grade.k2o:g} potash (K2O, "
        f"{chosen.grade.k:.1f} potassium)",
        f"product: {_kg(plan.each_kg)} / ({chosen.grade.n:g} / 100"
        + (f" x {share:.2f}" if share != 1 else "")
        + f") = {_kg(helping.kilograms)}",
    ]
    riding = helping.content
    lines.append(
        f"riding along: {_kg(riding.p2o5)} phosphate = {_kg(units.p2o5_to_p(riding.p2o5))} phosphorus (P); "
        f"{_kg(riding.k2o)} potash = {_kg(units.k2o_to_k(riding.k2o))} potassium (K)"
    )
    if share != 1:
        lines.append(
            f"share at work in the first year: {share:.2f}, middle of the range ({helping.share.say})"
        )
    low, high = helping.cups
    counts = dict.fromkeys((f"{low:.2g}", f"{high:.2g}"))
    lines.append(f"cups: {_kg(helping.kilograms)} / weight of a cup = {' to '.join(counts)}")
    if plan.salt is not None:
        lines.append(
            f"salt: index {plan.salt.index:.0f} (sodium nitrate 100), dissolved in the water of 15 cm of "
            f"soil, 640 mg/L to the dS/m: {plan.salt.rise:.2f} dS/m"
        )
    return lines


def _ground(plan: Plan) -> list[str]:
    lines = []
    if plan.ring is not None:
        ring = plan.ring
        lines.append(
            f"ring: 3.1416 x ({ring.outer_m:.2f} x {ring.outer_m:.2f} - {ring.inner_m:.2f} x "
            f"{ring.inner_m:.2f}) m = {ring.area_m2:.1f} m2 ({units.m2_to_sqft(ring.area_m2):.0f} sq ft)"
        )
    if plan.water_l is not None and plan.area_m2 is not None and plan.pot_m is None:
        lines.append(
            f"water: {plan.water_l / plan.area_m2:.0f} mm over {plan.area_m2:.1f} m2 = {plan.water_l:.0f} L"
        )
    return lines


def _kg(kilograms: float) -> str:
    pounds = units.kg_to_lb(kilograms)
    us = f"{pounds:.3g} lb" if pounds >= 1 else f"{pounds * 16:.3g} oz"
    if kilograms < 1:
        return f"{kilograms * 1000:.3g} g ({us})"
    return f"{kilograms:.3g} kg ({pounds:.3g} lb)"
