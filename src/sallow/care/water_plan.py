"""The whole reckoning of one tree's water: need, watering, store, salt, and the verdict on what it gets.

Everything uncertain is carried as a range (low, high); a verdict is given only when both ends agree.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sallow.care.laboratory_salt import accepted_soil_salt
from sallow.care.units import l_to_gal, rounded_for_measuring
from sallow.care.water import Verdict, canopy_area_m2, verdict, water_need
from sallow.care.water_giving import Giving, how_to_give
from sallow.care.water_salt import leaching_requirement, water_with_leaching
from sallow.care.water_store import Store, inches_per_foot_to_mm_per_m, pot_store, soil_store
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Row, Table

Range = tuple[float, float]
Tables = Mapping[str, "Table"]

CITRUS = frozenset({"orange", "mandarin", "lemon", "lime", "grapefruit", "kumquat", "citrus"})
STONE_FRUIT = frozenset({"peach", "nectarine", "plum", "apricot", "stone_fruit"})
# FAO-56 puts cherry with apple and pear.
APPLE_LIKE = frozenset({"apple", "pear", "cherry", "pome"})
NO_FROST = "mild"

# Our judgement: roots of small trees reach no deeper than this, and this share of the root area gets wet.
DEEPEST_M = {"young": 0.4, "half_grown": 0.8}
PLAIN_DEPTH_M = 0.6
PLAIN_SHARE = 0.5
WETTED_SHARE = {"drip": 0.4, "micro_spray": 0.7, "sprinkler": 1.0, "hose": 1.0, "bucket": 0.6}
LEACHING_WORTH_DOING = 0.05
# A store that lasts this long is no sign of want after one dry week.
LASTS_LONG_DAYS = 30


@dataclass(frozen=True, slots=True)
class TreeWater:
    """What is known about a tree and its watering; None is not known. Metres, litres, mm, hours, dS/m.

    ``season`` is start, full, end or leafless; ``cover`` bare or grass; ``winter`` mild or frost; ``size``
    young, half_grown or full. ``uniformity`` (a share) replaces the usual efficiency of the ``system``.
    """

    crop: str
    canopy_m: float
    reference_mm: Range
    season: str = "full"
    cover: str = "bare"
    winter: str = NO_FROST
    size: str = "full"
    system: str = "drip"
    uniformity: float | None = None
    efficiency: float | None = None
    coefficient: float | None = None
    emitters: int | None = None
    flow_l_per_h: float | None = None
    gets_l_per_week: float | None = None
    rain_mm_per_week: float = 0.0
    texture: str | None = None
    root_depth_m: float | None = None
    pot_l: float | None = None
    pot_m: float | None = None
    ec_water: float | None = None


@dataclass(frozen=True, slots=True)
class Used:
    """A published number that went into the reckoning: what, its range, source and mark."""

    what: str
    low: float
    high: float
    source: tuple[str, ...]
    mark: str


@dataclass(frozen=True, slots=True)
class WaterPlan:
    """The reckoning. ``need`` and ``give`` are litres a day (low, high); ``give`` adds losses, ``giving`` tells how."""

    area_m2: float
    coefficient: Used
    factor: Used
    efficiency: Used
    need: Range
    give: Range
    rain_l_per_week: float
    leaching_share: float | None
    store: Store | None
    store_used: tuple[Used, ...]
    giving: Giving
    verdict: Verdict | None
    between: tuple[Verdict, Verdict] | None
    notes: tuple[str, ...]


def plan_water(tree: TreeWater, tables: Tables) -> WaterPlan:
    """Work out the plan; BadInput names the input that cannot be used."""
    notes: list[str] = []
    area = canopy_area_m2(tree.canopy_m)
    coefficient = _coefficient(tree, tables, notes)
    factor = _factor(tree, tables)
    efficiency = _efficiency(tree, tables)
    reference = _ordered(tree.reference_mm)
    low = water_need(reference[0], coefficient.low, area, efficiency.low, factor.low)
    high = water_need(reference[1], coefficient.high, area, efficiency.low, factor.high)
    need = (low.used_l_per_day, high.used_l_per_day)
    leaching = _leaching(tree, tables, notes)
    give = (
        water_with_leaching(low.given_l_per_day, leaching or 0.0),
        water_with_leaching(high.given_l_per_day, leaching or 0.0),
    )
    rain_l = 0.0 if tree.pot_l else tree.rain_mm_per_week * area
    if tree.pot_l and tree.pot_m:
        notes.append(
            f"a pot this wide is taken to hold about {rounded_for_measuring(tree.pot_l, 'L'):g} L "
            f"({rounded_for_measuring(l_to_gal(tree.pot_l), 'gal'):g} gal) of soil, three quarters as deep as wide "
            "(our judgement)"
        )
    if tree.pot_l and (tree.texture or tree.root_depth_m):
        notes.append("in a pot the soil and the rooting depth are not used: its size decides")
    if tree.pot_l and tree.rain_mm_per_week:
        notes.append("rain is not counted for a pot: the leaves shed most of it outside the rim")
    middle = (need[0] + need[1]) / 2
    store, store_used = _store(tree, tables, area, middle)
    giving = how_to_give(give, store, tree.emitters, tree.flow_l_per_h)
    judged, between = _judge(tree, give, rain_l)
    if store is not None and store.days >= LASTS_LONG_DAYS and (judged is None or judged.balance == "too_little"):
        judged, between = None, None
    return WaterPlan(
        area_m2=area,
        coefficient=coefficient,
        factor=factor,
        efficiency=efficiency,
        need=need,
        give=give,
        rain_l_per_week=rain_l,
        leaching_share=leaching,
        store=store,
        store_used=store_used,
        giving=giving,
        verdict=judged,
        between=between,
        notes=tuple(notes),
    )


def crop_group(crop: str) -> str:
    """The name under which FAO-56 lists a crop."""
    for name, members in (("citrus", CITRUS), ("stone_fruit", STONE_FRUIT), ("apple", APPLE_LIKE)):
        if crop in members:
            return name
    return crop


def _ordered(pair: Range) -> Range:
    return (min(pair), max(pair))


def _coefficient(tree: TreeWater, tables: Tables, notes: list[str]) -> Used:
    if tree.coefficient is not None:
        return Used("crop coefficient, as given", tree.coefficient, tree.coefficient, (), "given")
    if tree.season == "leafless":
        row = tables["leafless_coefficients"].where(cover=tree.cover)[0]
        return Used("crop coefficient without leaves", row.number("low"), row.number("high"), row.source, row.mark)
    rows = _coefficient_rows(tree, tables["crop_coefficients"])
    values = [row.number(tree.season) for row in rows]
    if len(rows) > 1:
        notes.append(
            "FAO-56 has no crop coefficient for this tree, so the lowest and highest of other fruit trees "
            "are used as a range (our judgement)"
        )
    mark = rows[0].mark if len(rows) == 1 else "judgement"
    return Used("crop coefficient", min(values), max(values), rows[0].source, mark)


def _coefficient_rows(tree: TreeWater, table: Table) -> list[Row]:
    rows = [row for row in table.where(crop=crop_group(tree.crop)) if row["winter"] in ("any", tree.winter)]
    if not rows:
        return [row for row in table.rows if row["cover"] == "bare" and row["crop"] not in ("grape",)]
    return [row for row in rows if row["cover"] == tree.cover] or rows[:1]


def _factor(tree: TreeWater, tables: Tables) -> Used:
    sizes = tables["young_trees"].where(size=tree.size)
    if not sizes:
        raise BadInput(f"'{tree.size}' is not a tree size; expected young, half_grown or full.")
    low, high = sizes[0].number("factor_low"), sizes[0].number("factor_high")
    names, source, mark = [f"{tree.size.replace('_', '-')} tree"], sizes[0].source, sizes[0].mark
    if tree.size == "young":
        return _young(tree, names[0], sizes[0])
    for what in (tree.crop, "grass"):
        rows = tables["water_adjustments"].where(what=what)
        if rows and (what != "grass" or _grass_not_in_row(tree, tables["crop_coefficients"])):
            low, high = low * rows[0].number("factor"), high * rows[0].number("factor")
            names.append(what)
            source = (*source, *rows[0].source)
    return Used("factor for " + " and ".join(names), low, high, source, mark)


def _young(tree: TreeWater, name: str, row: Row) -> Used:
    # Published for drip on open ground, to stand for all that a small tree takes from beyond its crown: the
    # adjustments found on grown trees are not put on top, and in grass or under sprinklers the lower end stands.
    low, high = row.number("factor_low"), row.number("factor_high")
    if tree.cover == "grass" or tree.system == "sprinkler":
        return Used(f"factor for {name} in grass or under a sprinkler", low, low, row.source, "judgement")
    return Used(f"factor for {name}", low, high, row.source, row.mark)


def _grass_not_in_row(tree: TreeWater, table: Table) -> bool:
    with_grass = table.where(crop=crop_group(tree.crop), cover="grass")
    return tree.cover == "grass" and tree.season != "leafless" and not with_grass


def _efficiency(tree: TreeWater, tables: Tables) -> Used:
    for what, share in (("measured uniformity", tree.uniformity), ("efficiency, as given", tree.efficiency)):
        if share is not None:
            return Used(what, share, share, (), "given")
    rows = tables["irrigation_efficiency"].where(system=tree.system)
    if not rows:
        raise BadInput(f"'{tree.system}' is not a way of watering; expected {', '.join(WETTED_SHARE)}.")
    share = rows[0].number("share")
    return Used(f"usual efficiency of {tree.system.replace('_', ' ')}", share, share, rows[0].source, rows[0].mark)


def _leaching(tree: TreeWater, tables: Tables, notes: list[str]) -> float | None:
    if tree.ec_water is None:
        return None
    accepted, mark = accepted_soil_salt(tree.crop, tables["salt_tolerance"])
    share = leaching_requirement(tree.ec_water, accepted)
    shown = {"memory": "from memory", "judgement": "our stand-in, no published number"}.get(mark, mark)
    notes.append(f"salt in the soil that this tree bears: {accepted:g} dS/m ({shown})")
    return share if share >= LEACHING_WORTH_DOING else 0.0


def _pot_from_width(tree: TreeWater) -> tuple[Used, ...]:
    if tree.pot_m is None or tree.pot_l is None:
        return ()
    what = f"litres in a pot {tree.pot_m:.3g} m wide, taken as three quarters as deep"
    return (Used(what, tree.pot_l, tree.pot_l, (), "judgement"),)


def _store(tree: TreeWater, tables: Tables, area: float, use: float) -> tuple[Store | None, tuple[Used, ...]]:
    if tree.pot_l is not None:
        return pot_store(tree.pot_l, use), _pot_from_width(tree)
    if tree.texture is None:
        return None, ()
    rows = tables["soil_water"].where(texture=tree.texture)
    if not rows:
        known = ", ".join(str(row["texture"]).replace("_", " ") for row in tables["soil_water"].rows)
        raise BadInput(f"'{tree.texture}' is not a soil this table knows; expected {known}.")
    holds = inches_per_foot_to_mm_per_m((rows[0].number("low") + rows[0].number("high")) / 2)
    depth, share = _roots(tree, tables)
    wetted = WETTED_SHARE.get(tree.system, 1.0)
    water = Used(
        f"water held by {tree.texture.replace('_', ' ')}, mm per m",
        holds,
        holds,
        rows[0].source,
        rows[0].mark,
    )
    part = Used("share of the root area that gets wet", wetted, wetted, (), "judgement")
    return soil_store(holds, depth.low, share.low, area * wetted, use), (water, depth, share, part)


def _roots(tree: TreeWater, tables: Tables) -> tuple[Used, Used]:
    rows = tables["root_depths"].where(crop=crop_group(tree.crop))
    source, mark = (rows[0].source, rows[0].mark) if rows else ((), "judgement")
    share = rows[0].number("share") if rows else PLAIN_SHARE
    portion = Used("share of the store that may be used", share, share, source, mark)
    if tree.root_depth_m is not None:
        return Used("rooting depth, as given, m", tree.root_depth_m, tree.root_depth_m, (), "given"), portion
    depth = rows[0].number("low") if rows else PLAIN_DEPTH_M
    shallow = min(depth, DEEPEST_M.get(tree.size, depth))
    depth_mark = "judgement" if shallow < depth else mark
    return Used("rooting depth, m", shallow, shallow, source, depth_mark), portion


def _judge(
    tree: TreeWater, give: Range, rain_l_per_week: float
) -> tuple[Verdict | None, tuple[Verdict, Verdict] | None]:
    if tree.gets_l_per_week is None:
        return None, None
    gets = tree.gets_l_per_week + rain_l_per_week
    ends = verdict(gets, give[0] * 7), verdict(gets, give[1] * 7)
    if ends[0].balance == ends[1].balance:
        return verdict(gets, (give[0] + give[1]) / 2 * 7), None
    return None, ends
