"""A feeding plan in plain sentences, section by section; no layout, no markup."""

from __future__ import annotations

import math
from datetime import date

from sallow.care.feeding import measures
from sallow.care.feeding.bags import Bag, Helping
from sallow.care.feeding.measures import Show
from sallow.care.feeding.plan import Plan

_HEADLINES = {
    "no": "No, not this year.",
    "wait": "Not yet.",
    "look": "Not before the cause is found.",
    "measure": "I cannot say yet. Find out first:",
    "one": "One feeding at most.",
    "yes": "Yes, it may be fed.",
}
_MARKS = {
    "second_hand": "second-hand",
    "memory": "from memory, not checked",
    "judgement": "our judgement",
    "computed": "reckoned from the published rule",
    "common_practice": "common practice",
}


# Other sources bringing this many times the year's amount are told as too much.
_FAR_MORE = 1.25
# More feedings than this are told as a rhythm instead of a list of days.
_MOST_DATES = 6


def headline(plan: Plan) -> str:
    """The decision in one line."""
    decision = plan.decision
    text = _HEADLINES[decision.verdict]
    if decision.until is not None:
        text = f"Not yet: not before {measures.about(decision.until)}."
    return text


def reasons(plan: Plan) -> tuple[str, ...]:
    """Why, each with its mark where it is not a published rule."""
    return tuple(_with_mark(reason.text, reason.mark) for reason in plan.decision.reasons)


def nitrogen(plan: Plan, show: Show, say_once: bool = True) -> tuple[str, ...]:
    """The year's nitrogen, what is taken off, and what one feeding carries; ``say_once`` says so of a single one."""
    if plan.gross_kg is None or plan.net_kg is None:
        return _no_rule(plan)
    lines = _year_lines(plan, plan.gross_kg, show)
    lines += [f"{note[0].upper()}{note[1:]}." for note in plan.notes]
    for credit in plan.wish.credits:
        lines.append(
            f"Less {measures.weight(credit.middle_kg, show)} from {credit.name}{_range(credit, show)}."
        )
    if plan.net_kg <= 0:
        return (*lines, *_covered(plan))
    if plan.wish.credits:
        lines.append(f"Left to give: {measures.weight(plan.net_kg, show)} of nitrogen.")
    if plan.each_kg is not None and (plan.parts > 1 or say_once):
        lines.append(_each_line(plan, plan.each_kg, show))
        if plan.held:
            lines.append(_held_line(plan, plan.each_kg, show))
    return tuple(lines)


def _year_lines(plan: Plan, gross_kg: float, show: Show) -> list[str]:
    lead = f"Actual nitrogen for this {_span(plan)}: {measures.weight(gross_kg, show)}"
    lines = [f"{lead}{_rule_words(plan, show)}."]
    if plan.pot_m is not None and plan.pot_bound:
        lines = [
            f"{lead}. That is all a pot {measures.length(plan.pot_m, show)} wide bears in a year (our judgement): "
            "the roots have little soil there, so the larger published amounts, meant for open ground, would "
            "burn them."
        ]
    if plan.pot_m is not None and plan.pot_assumed:
        lines.append(
            f"The width of the pot is not known, so a small one of {measures.length(plan.pot_m, show)} is "
            "reckoned with, to be safe. Measure across the top (--pot-width): the amount hangs on it."
        )
    if plan.tree.grown_in is None:
        lines.append("Reckoned for open ground. In a pot it takes far less: say so first (--in pot).")
    return lines


def _each_line(plan: Plan, each_kg: float, show: Show) -> str:
    if plan.parts == 1:
        return "Given in one feeding."
    times = f"in {plan.parts} feedings over a whole season"
    if each_kg * 1000 < measures.PINCH_G:
        most = math.ceil(each_kg * 1000) / 1000
        return (
            f"Given {times}: less than {measures.weight(most, show)} of nitrogen each time, too little to weigh by "
            "itself; go by the weight of the product."
        )
    return f"Given {times}: {measures.weight(each_kg, show)} of nitrogen each time."


def _held_line(plan: Plan, each_kg: float, show: Show) -> str:
    in_pot = plan.tree.grown_in == "pot"
    text = (
        f"{'This pot' if in_pot else 'The ground under this tree'} takes no more of it at once without harm to "
        f"roots. That brings {measures.weight(each_kg * plan.parts, show)} in all; do not make up the rest."
    )
    coated = plan.wish.bag is not None and plan.wish.bag.kind == "coated"
    return f"{text} A coated feed, given once, saves these many small helpings." if in_pot and not coated else text


def dates(plan: Plan) -> tuple[str, ...]:
    """The days of the feedings, those gone by, and the last safe day."""
    season = plan.season
    if season is None:
        return (
            "First at the end of winter, before growth starts; the last by midsummer where frost comes. Say "
            "which half of the world and which climate it is for dates.",
        )
    days = list(season.to_come)
    if not days:
        return (f"Nothing more this season. The next one starts about {measures.about(season.next_start)}.",)
    lines = []
    if len(days) < plan.parts:
        lines.append(
            f"Of the season's {plan.parts} feedings {len(days)} {'is' if len(days) == 1 else 'are'} still to "
            "come. What has gone by is left out, not made up for."
        )
    if len(days) > _MOST_DATES:
        weeks = round((days[-1] - days[0]).days / 7 / (len(days) - 1))
        lines.append(f"Every {weeks} weeks from {measures.about(days[0])} to {measures.about(days[-1])}.")
    else:
        lines += _dated(days)
    lines.append(f"Last safe day: {measures.day(season.last_safe)}; {season.why_stop}{_marked(season.mark)}.")
    if plan.tree.frost is None and plan.tree.climate not in ("cool_humid", "cold_dry"):
        lines.append(_FROST_UNKNOWN[plan.tree.expects_frost])
    return tuple(lines)


_FROST_UNKNOWN = {
    True: "Reckoned as if frost came in winter; where it never does, feeding may go on for longer.",
    False: "Reckoned for a mild garden. Where frost comes in winter, leave the last feeding out.",
}


def _dated(days: list[date]) -> list[str]:
    return [f"{n}. about {measures.about(day)} ({measures.day(day)})" for n, day in enumerate(days, 1)]


def bag(plan: Plan, show: Show) -> tuple[str, ...]:
    """The weight and the cups of the bag for one feeding, and what else it carries."""
    chosen, helping = plan.wish.bag, plan.helping
    if chosen is None or helping is None:
        return ()
    lines = [_helping_line(chosen, helping, show)]
    if chosen.kind == "organic":
        lines.append(
            f"Counted with {helping.share.low * 100:.0f} to {helping.share.high * 100:.0f} % of its "
            f"nitrogen at work in the first year{_marked(helping.share.mark)}; it feeds for about "
            f"{helping.share.weeks[0]:.0f} to {helping.share.weeks[1]:.0f} weeks."
        )
    elif chosen.kind == "coated":
        lines.append(
            "Coated: it feeds for months, so it is given seldom; the label names the months and the most."
        )
    share = helping.bags(chosen)
    if share is not None:
        lines.append(_bag_share(share * plan.parts, plan.parts))
    lines += _rides_along(plan, show)
    if plan.salt is not None:
        lines.append(_salt_line(plan))
    return tuple(lines)


def _helping_line(chosen: Bag, helping: Helping, show: Show) -> str:
    if helping.kilograms * 1000 < measures.PINCH_G:
        return (
            f"{chosen.name}: a pinch for each feeding, less than {measures.weight(measures.PINCH_G / 1000, show)}. "
            "That is too little to weigh: give it as a liquid feed, or use a coated one."
        )
    rough = f"cups only roughly{_marked(helping.cups_mark)}: weigh one cup of your own bag once"
    numbers = ""
    if chosen.mark in ("memory", "second_hand", "judgement"):
        numbers = f" The numbers of {chosen.name} are {_MARKS[chosen.mark]}; those on your bag go before them."
    return (
        f"{chosen.name}: {measures.weight(helping.kilograms, show)} for each feeding, about "
        f"{measures.cups(*helping.cups)} ({rough}).{numbers}"
    )


def _no_rule(plan: Plan) -> tuple[str, ...]:
    if plan.year.lacks:
        return tuple(f"To work it out: {question}" for _, question in plan.year.lacks)
    return (
        "There is no published amount for this fruit and age here, and none is made up. If your local "
        "advisory service names one, give it as the year's nitrogen.",
    )


def _span(plan: Plan) -> str:
    return "one feeding" if plan.decision.once else "year"


def _rule_words(plan: Plan, show: Show) -> str:
    rule = plan.year.rule
    if rule is None or plan.wish.nitrogen_kg is not None:
        return ""
    name = rule.region.replace("_", " ").title()
    low, high = measures.weight(rule.low_kg, show), measures.weight(rule.high_kg, show)
    spread = low if rule.low_kg == rule.high_kg else f"{low} to {high}"
    return f" (rule of {name}: {spread} a year{_marked(rule.mark)})"


def _range(credit: object, show: Show) -> str:
    low, high = getattr(credit, "low_kg", 0.0), getattr(credit, "high_kg", 0.0)
    if low == high:
        return ""
    return f" (between {measures.weight(low, show) if low else 'none'} and {measures.weight(high, show)})"


def _bag_share(bags: float, parts: int) -> str:
    if bags > 0.95:
        return f"That takes {bags:.1f} bags for {'this feeding' if parts == 1 else 'all feedings together'}."
    times = int(1 / bags)
    if parts == 1:
        return "One bag is enough for it." if times < 2 else f"One bag is enough for {times} such feedings."
    return "One bag is enough for the year." if times < 2 else f"One bag is enough for {times} such years."


def _rides_along(plan: Plan, show: Show) -> list[str]:
    chosen, helping = plan.wish.bag, plan.helping
    if chosen is None or helping is None:
        return []
    content = helping.content
    if content.p2o5 + content.k2o == 0:
        return ["It brings no phosphorus or potassium; trees in good ground seldom want any."]
    phosphorus = _riding(content.p2o5, "phosphate (P2O5)", show)
    potassium = _riding(content.k2o, "potash (K2O)", show)
    lines = [f"Each time {phosphorus} and {potassium} ride along."]
    if chosen.grade.p2o5 > 0.5 * chosen.grade.n:
        lines.append(
            "That is more phosphorus than a tree asks for. Unless a soil test shows it short, choose a bag "
            "with a small second number: surplus phosphorus stays, hinders iron and zinc, and runs off into "
            "water."
        )
    elif chosen.grade.k2o <= 1.2 * chosen.grade.n:
        lines.append("That is no more than a tree can use; whether it is wanted at all a soil test tells.")
    return lines


def _riding(kilograms: float, name: str, show: Show) -> str:
    if not kilograms:
        return f"no {name}"
    if kilograms * 1000 < measures.PINCH_G:
        return f"a trace of {name}"
    return f"{measures.weight(kilograms, show)} of {name}"


def _salt_line(plan: Plan) -> str:
    salt = plan.salt
    if salt is None:
        return ""
    ends = {
        "light": "that is a light load.",
        "noticeable": "bearable on moist ground that drains; halve it where water or soil is salty already.",
        "heavy": "too much at once: halve it and give it twice, well watered in.",
    }
    return (
        f"Salt: one feeding adds roughly {salt.rise:.1f} dS/m to the top soil's water; this fruit begins to "
        f"suffer near {salt.threshold:.1f} dS/m in all (rough reckoning, from memory): {ends[salt.verdict]}"
    )


def _marked(mark: str) -> str:
    word = _MARKS.get(mark)
    return "" if word is None else f"; {word}"


def _with_mark(text: str, mark: str) -> str:
    word = None if mark == "common_practice" else _MARKS.get(mark)
    return text if word is None else f"{text.rstrip('.')} ({word})."


def _covered(plan: Plan) -> tuple[str, ...]:
    brought = sum(credit.middle_kg for credit in plan.wish.credits)
    line = "That covers the year: nothing more is needed from a bag."
    if plan.gross_kg is not None and brought > _FAR_MORE * plan.gross_kg:
        return (line, "It is more than the tree should get already: spread less next time.")
    return (line,)
