"""From facts and options to the answer of ``sallow feed``, told as text or JSON."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from sallow.care import units
from sallow.care.feeding import (
    Bag,
    Credit,
    Plan,
    Wish,
    bag_from,
    compared,
    liquid,
    make_plan,
    material_credit,
    measures,
)
from sallow.care.feeding.bags import Price
from sallow.care.feeding.credits import nitrate_nitrogen, water_credit
from sallow.commands import feed_measures as read
from sallow.commands.feed_facts import Facts
from sallow.commands.feed_options import paired
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table


@dataclass(frozen=True, slots=True)
class Answer:
    """The plan, the comparison of bags, lines on liquid feed, and whether something is injected."""

    plan: Plan
    prices: tuple[Price, ...]
    liquid: tuple[str, ...]
    extra: tuple[str, ...]
    injected: bool


def answer(arguments: argparse.Namespace, facts: Facts, today: date, tables: Mapping[str, Table]) -> Answer:
    """Everything worked out; BadInput names the option that cannot be."""
    bags = bags_from(arguments, tables)
    prices = compared(bags, tables["organic_availability"])
    best = prices[0].bag if len(prices) > 1 else (bags[0] if bags else None)
    wish = Wish(
        bag=best,
        credits=_credits(arguments, tables),
        nitrogen_kg=None
        if arguments.nitrogen is None
        else read.kilograms(arguments.nitrogen, "the year's nitrogen"),
        region=arguments.region,
        texture=arguments.texture,
        leaf_n_percent=facts.leaf_nitrogen,
    )
    plan = make_plan(facts.tree(), facts.condition(), wish, today, tables)
    injected = arguments.drip_flow is not None or arguments.drip_hours is not None
    return Answer(plan, prices, _liquid_lines(arguments, plan), _mulch_lines(arguments), injected)


def bags_from(arguments: argparse.Namespace, tables: Mapping[str, Table]) -> tuple[Bag, ...]:
    """The bags named by the options, each with its own kind, weight and price."""
    count = len(arguments.bag)
    kinds = paired(arguments.bag_kind, count, "--bag-kind")
    weights = paired(arguments.bag_weight, count, "--bag-weight")
    prices = paired(arguments.price, count, "--price")
    bags = []
    for number, (text, kind, weight, price) in enumerate(
        zip(arguments.bag, kinds, weights, prices, strict=True)
    ):
        bag = bag_from(text, tables, kind)
        cup = (
            read.kilograms(arguments.cup_weight, "the weight of a cup")
            if arguments.cup_weight and not number
            else None
        )
        bags.append(
            Bag(
                name=bag.name,
                grade=bag.grade,
                kind=bag.kind,
                release=bag.release,
                material=bag.material,
                weight_kg=None if weight is None else read.kilograms(weight, "the weight of the bag"),
                price=None if price is None else _money(price),
                cup_kg=cup,
                mark=bag.mark,
            )
        )
    return tuple(bags)


# More runs of a drip line than this for one feeding are not worth the trouble (judgement).
_MOST_ROUNDS = 6


def _credits(arguments: argparse.Namespace, tables: Mapping[str, Table]) -> tuple[Credit, ...]:
    found = []
    if arguments.compost is not None:
        found.append(material_credit("compost", _heap(arguments.compost, "the compost", tables), tables))
    if arguments.manure is not None:
        if arguments.manure_kind is None:
            raise BadInput(
                "manure of which animal? Add --manure-kind cattle, horse, chicken, sheep or swine."
            )
        material = f"{arguments.manure_kind}_manure"
        found.append(material_credit(material, _heap(arguments.manure, "the manure", tables), tables))
    if arguments.nitrate_ppm is not None:
        found.append(_water(arguments))
    return tuple(found)


def _water(arguments: argparse.Namespace) -> Credit:
    if arguments.nitrate_as is None:
        raise BadInput(
            "is that nitrate stated as nitrogen or as nitrate? The two differ more than fourfold; add "
            "--nitrate-as n (NO3-N) or --nitrate-as no3."
        )
    if arguments.water_used is None:
        raise BadInput(
            "how much of that water does the tree get in a season? Add --water-used, such as '3000 L'."
        )
    ppm = nitrate_nitrogen(arguments.nitrate_ppm, arguments.nitrate_as)
    return water_credit(ppm, read.litres(arguments.water_used, "the water used"))


def _heap(text: str, what: str, tables: Mapping[str, Table]) -> float:
    kilograms, litres = read.kilograms_or_litres(text, what)
    if kilograms is not None:
        return kilograms
    row = tables["bulk_density"].where(material="compost")[0]
    density = units.lb_per_cup_to_kg_per_l((row.number("low") + row.number("high")) / 2)
    return (litres or 0.0) * density


def _liquid_lines(arguments: argparse.Namespace, plan: Plan) -> tuple[str, ...]:
    chosen = plan.wish.bag
    if arguments.can is None and arguments.drip_flow is None and arguments.drip_hours is None:
        return ()
    if chosen is None:
        raise BadInput("liquid feed is reckoned from the bag; give its three numbers with --bag.")
    lines = []
    if arguments.can is not None:
        litres = read.litres(arguments.can, "the size of the can")
        ppm = liquid.CAN_PPM[0] if arguments.ppm is None else arguments.ppm
        grams = liquid.product_for_can(ppm, litres, chosen.grade.n)
        lines.append(
            f"Stir {measures.weight(grams / 1000, arguments.units)} of {chosen.name} into "
            f"{measures.volume(litres, arguments.units)} of water for {ppm:g} mg of nitrogen a litre (ppm). "
            "Only what dissolves clear; give it on moist soil."
        )
    if arguments.drip_flow is not None or arguments.drip_hours is not None:
        lines += _drip_lines(arguments, plan, chosen)
    return tuple(lines)


def _drip_lines(arguments: argparse.Namespace, plan: Plan, chosen: Bag) -> list[str]:
    if arguments.drip_flow is None or arguments.drip_hours is None:
        raise BadInput(
            "feeding through the drip line needs both --drip-flow ('8 L', one tree, one hour) and "
            "--drip-hours."
        )
    if plan.helping is None:
        raise BadInput("the amount for one feeding is not known yet; give the fruit and the age of the tree.")
    flow = read.litres(arguments.drip_flow, "the flow of the drip line")
    feed = liquid.drip_feed(
        plan.helping.kilograms,
        chosen.grade.n,
        flow,
        arguments.drip_hours,
        1 if arguments.trees is None else arguments.trees,
    )
    if feed.rounds > _MOST_ROUNDS:
        return [
            f"This line gives too little water to carry one feeding: it would take {feed.rounds} runs to "
            f"stay under {liquid.MOST_DRIP_PPM:g} mg of nitrogen a litre. Spread the feed by hand instead."
        ]
    each = measures.weight(feed.product_kg / feed.rounds, arguments.units)
    times = "in one run" if feed.rounds == 1 else f"in {feed.rounds} runs, some days apart"
    return [
        f"Through the drip line each feeding is given {times}: {each} of {chosen.name} each run, all "
        "dissolved (only a product that dissolves clear), injected in the middle of the run; it makes the "
        f"water about {feed.ppm:.0f} mg of nitrogen a litre."
    ]


def _mulch_lines(arguments: argparse.Namespace) -> tuple[str, ...]:
    words = {
        "woody": "Wood chips lying on top bring next to no nitrogen this year, and take next to none; keep "
        "them on top and off the trunk.",
        "leafy": "Leafy mulch brings a little nitrogen as it rots; it is not counted, so lean to the smaller "
        "amount.",
        "none": "A mulch of rotted leaves or chips, a hand's breadth off the trunk, feeds slowly and saves "
        "water.",
    }
    return (words[arguments.mulch],) if arguments.mulch else ()


def _money(text: str) -> float:
    try:
        value = float(text.replace(",", ".").lstrip("$€£ "))
    except ValueError:
        raise BadInput(
            f"the price '{text}' is not a number; give it in your own money, such as 24.50."
        ) from None
    if value <= 0:
        raise BadInput(f"the price of {text} must be more than zero.")
    return value
