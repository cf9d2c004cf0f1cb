"""Tells the water reckoning: verdict first, then how to water, emitter test, salt, cautions, working."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sallow.commands import figures
from sallow.commands.citations import Citations
from sallow.commands.water_giving_words import FAR_TOO_LITTLE, far_too_little, giving_lines
from sallow.commands.water_working import working
from sallow.knowledge.locate import shipped_folder
from sallow.trees.dates import say_date

if TYPE_CHECKING:
    from sallow.care.water_emitters import EmitterTest
    from sallow.care.water_plan import TreeWater, WaterPlan
    from sallow.commands.water_wet import WetSoil
    from sallow.environment import Environment
    from sallow.knowledge.tables import Table

BALANCE = {
    "too_little": "Too little water.",
    "about_right": "About right.",
    "too_much": "Too much water.",
}
ADVICE = {
    "too_little": (
        "If the soil a hand deep feels dry, give more each time rather than more often, a quarter more every "
        "two weeks, until that soil stays moist from one watering to the next. If it is wet already, the "
        "roots "
        "may be in trouble instead: do not add water."
    ),
    "about_right": "Keep on, and let the soil a hand deep decide from week to week.",
    "too_much": (
        "If the soil a hand deep is wet, wait until it is only moist before the next watering, then give a "
        "quarter less, and look again in two weeks. Drowned roots make a tree look thirsty."
    ),
}

# Whoever does not water does not thereby give too little: nobody has told what rain and ground give.
UNWATERED = "Nobody waters it, so rain and the ground must give what it uses: by the sums about {needs} a week now."
FEEL_FIRST = (
    "Feel the soil a hand deep before you give any. If it is dry, give what is told below; if it is moist or wet, give "
    "nothing: drowned roots make a tree look thirsty."
)

BARE = (
    "While it is bare it uses little or nothing: water only if the soil a hand deep is dry. The amounts are the "
    "most it would need until its leaves come."
)


@dataclass(frozen=True, slots=True)
class WaterReport:
    """Everything the command tells; parts that were not asked for are None or empty."""

    tree: TreeWater | None
    plan: WaterPlan | None
    reference_how: str
    test: EmitterTest | None
    weather_lines: tuple[str, ...]
    weather_notes: tuple[str, ...]
    weather_data: dict[str, Any] | None
    unknown: tuple[str, ...]
    wet: WetSoil | None = None


def report_text(
    report: WaterReport, environment: Environment, units: str, show_working: bool, tables: Mapping[str, Table]
) -> None:
    """Print the report."""
    if report.plan is not None and report.tree is not None:
        first = [] if report.wet is None else [wet_words(report.wet)]
        told = _verdict(report.plan, report.tree, units) if not first else _by_the_sums(report.plan, units)
        _section(environment, "Verdict", [*first, *told])
        _section(environment, "What the tree needs", _need(report.plan, report.tree, units, report.reference_how))
        _section(environment, "How to give it", giving_lines(report.plan, report.tree, units))
    if report.test is not None:
        _section(environment, "Emitter test", _test(report.test, units, tables, report.plan is not None))
    if report.plan is not None and report.tree is not None and report.tree.ec_water is not None:
        _section(environment, "Salt in the water", _salt(report.plan, report.tree))
    if report.weather_lines:
        _section(environment, "From the weather file", [*report.weather_lines, *_sentences(report.weather_notes)])
    warnings = cautions(report)
    if warnings:
        _section(environment, "Mind", warnings)
    if show_working and report.plan is not None:
        sources = Citations()
        _section(environment, "Working", working(report.tree, report.plan, report.reference_how, sources))
        if sources.keys:
            _section(environment, "Sources", sources.lines(shipped_folder("knowledge")))
    elif report.plan is not None:
        environment.say("")
        environment.say("See the reckoning and its sources with --show-working.")


def _section(environment: Environment, title: str, lines: list[str]) -> None:
    environment.say("")
    environment.say(title)
    for line in lines:
        figures.say_wrapped(environment, line, "  ", "  ")


def _sentences(notes: tuple[str, ...]) -> list[str]:
    return [note[0].upper() + note[1:] + "." for note in notes]


def _verdict(plan: WaterPlan, tree: TreeWater, units: str) -> list[str]:
    if plan.verdict is not None:
        found = plan.verdict
        if not found.gets_l_per_week:
            return [UNWATERED.format(needs=figures.litres(found.needs_l_per_week, units)), FEEL_FIRST]
        gets = figures.litres(found.gets_l_per_week, units)
        rain = f", of which useful rain {figures.litres(plan.rain_l_per_week, units)}," if plan.rain_l_per_week else ""
        needs = figures.litres(found.needs_l_per_week, units)
        share = f"; that is {percent(found.ratio)}"
        lines = [f"{BALANCE[found.balance]} It gets {gets} a week{rain} and needs about {needs}{share}."]
        far = found.balance == "too_little" and found.ratio < FAR_TOO_LITTLE
        lines.append(far_too_little(plan, tree, units) if far else ADVICE[found.balance])
        if found.balance == "too_little" and not tree.pot_l:
            lines.append(
                "A tree that has looked well on this for years finds water elsewhere: rain, a lawn, deep roots."
            )
        return lines
    if plan.between is not None:
        low, high = plan.between
        return [
            f"Between '{_lower(high.balance)}' and '{_lower(low.balance)}': it gets "
            f"{figures.litres(low.gets_l_per_week, units)} a week and needs "
            f"{figures.litre_range(low.needs_l_per_week, high.needs_l_per_week, units)}. Temperatures "
            "of your own days, or a weather file, would narrow it; until then let the soil a hand deep decide."
        ]
    if tree.gets_l_per_week is not None and plan.store is not None:
        return [
            "No verdict on a single week: what a full root zone holds lasts about "
            f"{plan.store.days:.0f} days at this use. "
            "Feel the soil a hand deep once a month, and water only if it is dry."
        ]
    return ["I cannot say yet whether it gets enough: what it gets now is not known (how much each time, how often)."]


def wet_words(wet: WetSoil) -> str:
    """No water while the soil is wet: the day, who says so, and what to feel for first."""
    return (
        f"Do not water now: the soil at the roots was wet on {say_date(wet.day)}, by {wet.told_by}. Feel it first, a "
        "hand deep under the edge of the crown (in a pot, its bottom third), and water only when it is just moist "
        "there. What follows is for later."
    )


def _by_the_sums(plan: WaterPlan, units: str) -> list[str]:
    """The sums alone, without their advice: wet soil overrules them."""
    if plan.verdict is None:
        return []
    gets = figures.litres(plan.verdict.gets_l_per_week, units)
    needs = figures.litres(plan.verdict.needs_l_per_week, units)
    after = {
        "too_little": "The sums would call that too little; wet soil overrules them.",
        "about_right": "If the soil stays wet on that, it does not drain, or something else waters it.",
        "too_much": "That is too much, and fits the wet soil.",
    }[plan.verdict.balance]
    return [f"By the sums alone it gets {gets} a week and needs about {needs}. {after}"]


def _lower(balance: str) -> str:
    return BALANCE[balance].rstrip(".").lower()


def percent(ratio: float) -> str:
    percent = ratio * 100
    return f"about {round(percent, -1) if percent >= 20 else round(percent):.0f} %"


def _need(plan: WaterPlan, tree: TreeWater, units: str, reference_how: str) -> list[str]:
    usual = "; a usual range, from memory" if "from memory" in reference_how else ""
    lines = [BARE] if tree.season == "leafless" else []
    lines += [
        f"It uses about {figures.litre_range(*plan.need, units)} a day while well-watered grass would lose "
        f"{figures.millimetre_range(*tree.reference_mm, units)} (reference evapotranspiration{usual})."
    ]
    give = figures.litre_range(*plan.give, units)
    week = figures.litre_range(plan.give[0] * 7, plan.give[1] * 7, units)
    lines.append(f"Give about {give} a day, {week} a week, losses counted. Rain that soaks in comes off that.")
    lines.extend(_sentences(plan.notes))
    return lines


def _test(test: EmitterTest, units: str, tables: Mapping[str, Table], reckoned: bool) -> list[str]:
    rows = sorted(tables["emitter_uniformity"].rows, key=lambda row: -row.number("at_least"))
    name = next(str(row["class"]) for row in rows if test.uniformity_percent >= row.number("at_least"))
    lines = [
        f"{len(test.flows_l_per_h)} emitters give {figures.flow(test.mean_l_per_h, units)} on average. How evenly they "
        f"run (low-quarter distribution uniformity): {test.uniformity_percent:.0f} %, {name} (the word is from memory)."
    ]
    if len(test.flows_l_per_h) < 4:
        lines.append("Fewer than four emitters were measured, so the figure is rough.")
    if test.clogged:
        which = ", ".join(str(place) for place in test.clogged)
        lines.append(
            f"Probably clogged: number {which} as measured (less than half of the usual flow). Flush the line, clean "
            "the filter, replace the emitter, and measure again."
        )
        if reckoned:
            lines.append(
                "What to give is reckoned as if that were mended: watering longer for a clogged emitter drowns the "
                "roots at the others."
            )
    return lines


def _salt(plan: WaterPlan, tree: TreeWater) -> list[str]:
    share = plan.leaching_share or 0.0
    lines = [
        f"The water holds {tree.ec_water:g} dS/m (the usual measure of salt in water); the soil may end up near "
        f"{1.5 * (tree.ec_water or 0):.2g} dS/m."
    ]
    if share:
        lines.append(
            f"To wash salt down, about {share * 100:.0f} % of the water should drain below the roots; that "
            "is counted in "
            "the amounts above."
        )
    else:
        lines.append("Hardly any extra water is needed to wash salt down; winter rain usually does it where it rains.")
    return lines


def _how_good(report: WaterReport) -> str:
    """How far the amounts may be trusted: by the width of their range when that is a usual one."""
    plan = report.plan
    if plan is None or "usual range" not in report.reference_how:
        return "These amounts are estimates, good to about a quarter."
    low, high = plan.give
    wide = f" Its ends lie {round(high / low)} times apart." if low > 0 and high >= 2 * low else ""
    whole_year = "any days" in report.reference_how
    narrower = (
        "Say the season (--hemisphere, with --date unless today is meant) or how warm it is (--warmth) to narrow it."
        if whole_year
        else "Temperatures of your own days (--tmin, --tmax, --latitude) or a weather file would narrow it."
    )
    span = "a usual range over the whole year" if whole_year else "a usual range for such days"
    return f"How much the air takes was not measured: the amounts are {span} in such a climate.{wide} {narrower}"


def cautions(report: WaterReport) -> list[str]:
    lines = []
    plan = report.plan
    if plan is not None:
        feel = "Before changing anything, dig a hand deep under the edge of the crown and feel the soil."
        lines.append(f"{_how_good(report)} {feel}")
        if report.unknown:
            lines.append(f"Not known, so taken for granted: {'; '.join(report.unknown)}.")
        if plan.leaching_share:
            lines.append(
                "Wash salt down only where water drains away freely; on ground that stays wet it drowns the "
                "roots. "
                "Keep the trunk dry."
            )
    if report.test is not None:
        lines.append(
            "Cleaning emitters: never bring bleach (chlorine) and acid together, not even one after the "
            "other in an "
            "unflushed line: the gas is poisonous. Wear goggles and gloves and follow the label."
        )
        lines.append(
            "A backflow preventer must be in place before anything is injected into a line that is joined "
            "to drinking "
            "water; local rules often say which kind."
        )
    return lines
