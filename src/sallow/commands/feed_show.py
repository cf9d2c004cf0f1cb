"""The answer of ``sallow feed`` told as text or as JSON."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from sallow.care import units
from sallow.care.feeding import cautions as caution_words
from sallow.care.feeding import wording, wording_place, working
from sallow.care.feeding.bags import Price
from sallow.care.feeding.measures import Show
from sallow.commands.citations import cited
from sallow.commands.feed_answer import Answer
from sallow.environment import Environment

_NO_BAG = "Give the three numbers of a bag (--bag 6-2-3) to have its weight and cups worked out."


def show_text(
    result: Answer, environment: Environment, show: Show, with_working: bool, knowledge: Path
) -> None:
    """The decision first, then the amounts, where they apply."""
    plan = result.plan
    _section(environment, "Should it be fed?", (wording.headline(plan), *wording.reasons(plan)))
    if plan.decision.verdict == "measure":
        environment.say()
        _paragraph(environment, "Should it turn out that it may be fed, these would be the amounts.")
    if plan.decision.feeds or plan.decision.verdict == "measure":
        _section(environment, "How much nitrogen", wording.nitrogen(plan, show))
        if plan.net_kg is None or plan.net_kg > 0:
            _section(environment, "When", wording.dates(plan))
            _section(environment, "How much of the bag", wording.bag(plan, show) or (_NO_BAG,))
            _section(environment, "Where and how", wording_place.place(plan, show))
        _section(environment, "Liquid feed", result.liquid)
        _section(environment, "Mulch", result.extra)
    _section(environment, "What the nitrogen costs", _price_lines(result.prices, show))
    _section(environment, "Take care", caution_words.cautions_for(plan, result.injected), bullet=True)
    if with_working:
        _section(environment, "How it was reckoned", working.working_lines(plan), bullet=True)
        _section(environment, "Sources", cited(working.sources_used(plan), knowledge), bullet=True)


def show_json(result: Answer, environment: Environment) -> None:
    """The same as data, metric units named in the keys, and the sentences beside."""
    plan = result.plan
    season = plan.season
    document: dict[str, Any] = {
        "decision": plan.decision.verdict,
        "feed": plan.decision.feeds,
        "not_before": None if plan.decision.until is None else plan.decision.until.isoformat(),
        "reasons": [
            {"text": r.text, "source": list(r.source), "mark": r.mark} for r in plan.decision.reasons
        ],
        "lacks": [{"fact": fact, "ask": question} for fact, question in plan.year.lacks],
        "cautions": list(caution_words.cautions_for(plan, result.injected)),
        "sources": list(working.sources_used(plan)),
        "prices": [
            {
                "bag": p.bag.name,
                "per_kg_nitrogen": round(p.per_kg_total, 4),
                "per_kg_available": round(p.per_kg_available, 4),
            }
            for p in result.prices
        ],
    }
    if plan.decision.feeds or plan.decision.verdict == "measure":
        document |= {
            "pot_width_m": plan.pot_m,
            "pot_width_assumed": plan.pot_assumed,
            "nitrogen_kg": _rounded(plan.gross_kg),
            "nitrogen_to_give_kg": _rounded(plan.net_kg),
            "feedings": plan.parts,
            "nitrogen_each_kg": _rounded(plan.each_kg),
            "dates": [] if season is None else [day.isoformat() for day in season.to_come],
            "last_safe_day": None if season is None else season.last_safe.isoformat(),
            "product_each_kg": None if plan.helping is None else _rounded(plan.helping.kilograms),
            "cups_each": None if plan.helping is None else [round(cups, 2) for cups in plan.helping.cups],
            "ring_m": None
            if plan.ring is None
            else [round(plan.ring.inner_m, 2), round(plan.ring.outer_m, 2)],
            "area_m2": _rounded(plan.area_m2),
            "water_l": None if plan.water_l is None else round(plan.water_l),
            "working": list(working.working_lines(plan)),
        }
    environment.say(json.dumps(document, indent=2, ensure_ascii=not environment.unicode))


def _price_lines(prices: Sequence[Price], show: Show) -> tuple[str, ...]:
    lines = []
    for price in prices:
        per_kg, per_lb = price.per_kg_available, price.per_kg_available * units.KG_PER_LB
        cost = {"metric": f"{per_kg:.2f} a kg", "us": f"{per_lb:.2f} a lb"}.get(
            show, f"{per_kg:.2f} a kg ({per_lb:.2f} a lb)"
        )
        lines.append(f"{price.bag.name}: {cost} of nitrogen that works in the first year.")
    if len(prices) > 1:
        lines[0] += " The cheapest of them."
    return tuple(lines)


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 4)


def _section(environment: Environment, title: str, lines: Sequence[str], bullet: bool = False) -> None:
    if not lines:
        return
    environment.say()
    environment.say(title)
    for line in lines:
        _paragraph(environment, line, "  - " if bullet else "  ")


def _paragraph(environment: Environment, text: str, lead: str = "") -> None:
    after = " " * len(lead)
    lines = textwrap.wrap(
        text, environment.width, initial_indent=lead, subsequent_indent=after, break_on_hyphens=False
    )
    for line in lines or [""]:
        environment.say(line)
