"""The whole answer for one tree: decision, nitrogen, dates, bag, ring, limits, salt, water; as data."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from sallow.care.feeding.bags import Bag, Helping, available_share, helping_of, most_at_once
from sallow.care.feeding.credits import Credit
from sallow.care.feeding.dates import Season, plan_season, season_row
from sallow.care.feeding.decision import Condition, Decision, decide
from sallow.care.feeding.ring import WATER_IN_DEPTH_M, Ring, litres_to_wet, pot_area, spreading_ring
from sallow.care.feeding.salt import SaltLoad, salt_load
from sallow.care.feeding.tree import Tree
from sallow.care.feeding.year import YearNitrogen, YearRule, check_nitrogen_claim, nitrogen_for_year
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table

# Feedings nearer together than this do not let one dose be used up before the next (judgement).
_CLOSEST_WEEKS = 4
_CLOSEST_WEEKS_IN_POT = 2
# A pot of unknown width is reckoned as a small one, so that the amount harms no roots (judgement).
SMALL_POT_M = 0.30


@dataclass(frozen=True, slots=True)
class Wish:
    """What the person brings: the bag, other nitrogen, an own figure, the soil, leaf nitrogen."""

    bag: Bag | None = None
    credits: tuple[Credit, ...] = ()
    nitrogen_kg: float | None = None
    region: str | None = None
    texture: str | None = None
    leaf_n_percent: float | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything the feed command and a look's step can say. Weights in kg, areas in m2, water in litres.

    ``net_kg`` is the available nitrogen still to be bought for the year, ``each_kg`` that of one feeding,
    ``held`` whether the root-protecting limit cut it, ``pot_bound`` whether the pot's width cut the year's
    amount. What is None could not be worked out.
    """

    tree: Tree
    decision: Decision
    year: YearNitrogen
    gross_kg: float | None
    net_kg: float | None
    parts: int
    each_kg: float | None
    season: Season | None
    ring: Ring | None
    area_m2: float | None
    helping: Helping | None
    limit_kg: float | None
    limit_say: str
    held: bool
    salt: SaltLoad | None
    water_l: float | None
    wish: Wish
    notes: tuple[str, ...]
    pot_bound: bool = False

    @property
    def pot_m(self) -> float | None:
        """The width of the pot that was reckoned with; None outside pots."""
        return _pot_width(self.tree)

    @property
    def pot_assumed(self) -> bool:
        """Whether that width is not the tree's own but a small pot's."""
        return self.tree.grown_in == "pot" and self.tree.pot_m is None


def make_plan(
    tree: Tree,
    condition: Condition,
    wish: Wish,
    today: date | None,
    tables: Mapping[str, Table],
) -> Plan:
    """Work everything out that the known facts allow; BadInput only for facts that cannot be true."""
    if wish.nitrogen_kg is not None:
        check_nitrogen_claim(wish.nitrogen_kg)
    ring = spreading_ring(tree, tables["placement"]) if tree.grown_in != "pot" else None
    area = _fed_area(tree, ring)
    year = nitrogen_for_year(tree, tables, wish.region)
    season = _season(tree, _rule_parts(year), today, tables, condition.last_fed)
    condition = _with_leaf_figure(tree, condition, wish.leaf_n_percent, tables["leaf_nitrogen_adjustment"])
    decision = decide(tree, condition, season, today, tables)
    gross, notes = _gross(year, decision, condition, wish, tree, tables)
    most = _most_in_pot(tree, area, tables)
    pot_bound = gross is not None and most is not None and gross > most
    gross = most if pot_bound else gross
    net = None if gross is None else max(0.0, gross - sum(credit.middle_kg for credit in wish.credits))
    parts = _parts(tree, year, decision, wish.bag, tables)
    parts, each, limit, limit_say, held = _within_limit(tree, parts, net, area, wish.bag, decision, tables)
    season = _season(tree, parts, today, tables, condition.last_fed)
    helping = helping_of(wish.bag, each, tables) if wish.bag is not None and each else None
    return Plan(
        tree=tree,
        decision=decision,
        year=year,
        gross_kg=gross,
        net_kg=net,
        parts=parts,
        each_kg=each,
        season=season,
        ring=ring,
        area_m2=area,
        helping=helping,
        limit_kg=limit,
        limit_say=limit_say,
        held=held,
        salt=_salt(tree, wish.bag, helping, area, tables),
        water_l=None if area is None else litres_to_wet(area, WATER_IN_DEPTH_M, wish.texture, tables),
        wish=wish,
        notes=notes,
        pot_bound=pot_bound,
    )


def _with_leaf_figure(tree: Tree, condition: Condition, percent: float | None, table: Table) -> Condition:
    # A leaf figure above the published range cuts the amount instead of forbidding it, as the rule has it.
    if percent is None or leaf_factor(tree, percent, table)[0] <= 1:
        return condition
    return replace(condition, leaf_test="low")


def _fed_area(tree: Tree, ring: Ring | None) -> float | None:
    width = _pot_width(tree)
    if width is not None:
        return pot_area(width)
    return None if ring is None else ring.area_m2


def _pot_width(tree: Tree) -> float | None:
    return (tree.pot_m or SMALL_POT_M) if tree.grown_in == "pot" else None


def _season(
    tree: Tree, parts: int, today: date | None, tables: Mapping[str, Table], last_fed: date | None
) -> Season | None:
    if today is None or tree.hemisphere is None:
        return None
    return plan_season(tree, parts, today, tree.hemisphere, tables, last_fed)


def _rule_parts(year: YearNitrogen) -> int:
    return 3 if year.rule is None else year.rule.parts


def _gross(
    year: YearNitrogen,
    decision: Decision,
    condition: Condition,
    wish: Wish,
    tree: Tree,
    tables: Mapping[str, Table],
) -> tuple[float | None, tuple[str, ...]]:
    if wish.nitrogen_kg is not None:
        return wish.nitrogen_kg, ("the nitrogen figure is your own, not worked out here",)
    rule = year.rule
    if rule is None:
        return None, ()
    if decision.once:
        share = max(2, rule.parts)
        return rule.low_kg / share, (f"one feeding only: one part in {share} of the year's amount",)
    if wish.leaf_n_percent is not None:
        factor, note = leaf_factor(tree, wish.leaf_n_percent, tables["leaf_nitrogen_adjustment"])
        return rule.middle_kg * factor, (note,)
    return _by_need(rule, condition), ()


def _most_in_pot(tree: Tree, area: float | None, tables: Mapping[str, Table]) -> float | None:
    if tree.grown_in != "pot" or area is None:
        return None
    return most_at_once("pot", "year", area, tables["application_limits"])[0]


def _by_need(rule: YearRule, condition: Condition) -> float:
    if condition.leaf_test == "low" or condition.leaf_colour in ("pale", "pale_old"):
        return rule.high_kg
    if condition.leaf_colour == "green":
        return rule.low_kg
    return rule.middle_kg


def leaf_factor(tree: Tree, percent: float, table: Table) -> tuple[float, str]:
    """What the leaf's percent nitrogen does to the year's amount (Michigan: 10 % for each 0.1 % N)."""
    if not 0.5 <= percent <= 6:
        raise BadInput(
            f"{percent:g} % nitrogen in a leaf cannot be right; leaves hold about 1 to 4 %. A figure in ppm "
            "or in g/kg is another unit."
        )
    rows = table.where(crop=tree.group)
    if not rows:
        raise BadInput(
            "the leaf-nitrogen rule is published for apple and pear only; say low, right or high instead."
        )
    row = rows[0]
    if percent < row.number("deficient"):
        factor = 1 + row.number("step") / 10 * (row.number("deficient") - percent)
    elif percent > row.number("excess"):
        factor = max(0.0, 1 - row.number("step") / 10 * (percent - row.number("excess")))
    else:
        return 1.0, f"leaf nitrogen of {percent:g} % is as it should be: no change"
    note = f"leaf nitrogen of {percent:g} %: the year's amount times {factor:.2f} (10 % for each 0.1 %)"
    return factor, note


def _parts(
    tree: Tree, year: YearNitrogen, decision: Decision, bag: Bag | None, tables: Mapping[str, Table]
) -> int:
    if decision.once:
        return 1
    parts = _rule_parts(year)
    if bag is None or parts == 1:
        return parts
    # A slow form feeds for longer, so fewer feedings cover the same season.
    weeks = available_share(bag, tables["organic_availability"]).weeks[1]
    if bag.kind == "quick" or weeks < 12:
        return parts
    return max(1, min(parts, math.ceil(_season_weeks(tree, tables) / weeks)))


def _season_weeks(tree: Tree, tables: Mapping[str, Table]) -> float:
    row = season_row(tree, tables["feeding_season"])
    first, last = (_plain_day(str(row[column])) for column in ("first", "last"))
    return (last - first).days / 7


def _plain_day(month_day: str) -> date:
    month, day = (int(part) for part in month_day.split("-"))
    return date(2001, month, day)


def _within_limit(
    tree: Tree,
    parts: int,
    net_kg: float | None,
    area: float | None,
    bag: Bag | None,
    decision: Decision,
    tables: Mapping[str, Table],
) -> tuple[int, float | None, float | None, str, bool]:
    if net_kg is None:
        return parts, None, None, "", False
    if area is None:
        return parts, net_kg / parts, None, "", False
    kind = "quick" if bag is None else bag.kind
    most_total, row = most_at_once(tree.grown_in or "ground", kind, area, tables["application_limits"])
    share = 1.0 if bag is None else available_share(bag, tables["organic_availability"]).middle
    most = most_total * share
    if net_kg / parts <= most:
        return parts, net_kg / parts, most, str(row["say"]), False
    closest = _CLOSEST_WEEKS_IN_POT if tree.grown_in == "pot" else _CLOSEST_WEEKS
    once = decision.once or kind == "coated"
    rounds = 1 if once else int(_season_weeks(tree, tables) / closest) + 1
    most_parts = max(parts, rounds)
    parts = min(most_parts, math.ceil(net_kg / most))
    return parts, min(net_kg / parts, most), most, str(row["say"]), net_kg / parts > most


def _salt(
    tree: Tree, bag: Bag | None, helping: Helping | None, area: float | None, tables: Mapping[str, Table]
) -> SaltLoad | None:
    if bag is None or helping is None or area is None:
        return None
    return salt_load(bag, helping.kilograms * 1000 / area, tree, tables)
