"""A year's actual nitrogen for one tree, from the published table that fits it best."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sallow.care import units
from sallow.care.feeding.tree import Tree
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Row, Table

# More than this for a home tree and year is nearly always pounds of product taken for pounds of nitrogen.
MOST_NITROGEN_KG = units.lb_to_kg(3.0)
_MEASURES = {
    "tree": (None, ""),
    "year_of_age": ("age_years", "How many years ago was it planted?"),
    "foot_of_height": ("height_m", "How tall is it?"),
    "inch_of_trunk": ("trunk_cm", "How thick is the trunk, just under knee height (30 cm, 1 ft)?"),
}


@dataclass(frozen=True, slots=True)
class YearRule:
    """One published rule worked out for this tree: kilograms of actual nitrogen, parts, reckoning."""

    region: str
    low_kg: float
    high_kg: float
    parts: int
    source: tuple[str, ...]
    mark: str
    working: tuple[str, ...]

    @property
    def middle_kg(self) -> float:
        """The middle of the published range."""
        return (self.low_kg + self.high_kg) / 2


@dataclass(frozen=True, slots=True)
class YearNitrogen:
    """The rule used, the other rules that fit, and what would have to be known to use one when none fits."""

    rule: YearRule | None
    others: tuple[YearRule, ...] = ()
    lacks: tuple[tuple[str, str], ...] = ()


def check_nitrogen_claim(kilograms: float) -> None:
    """BadInput for a year's nitrogen that no home tree needs: product and nitrogen were mixed up."""
    if kilograms <= 0:
        raise BadInput("the year's nitrogen must be more than zero; leave it out to have it worked out.")
    if kilograms > MOST_NITROGEN_KG * 1.000001:
        raise BadInput(
            f"{kilograms:.2g} kg ({units.kg_to_lb(kilograms):.2g} lb) of actual nitrogen for one home tree "
            "and year is refused: over 3 lb (1.4 kg), the weight of the product was nearly always meant. "
            "Give the nitrogen in it: weight times the first number on the bag over 100."
        )


def nitrogen_for_year(tree: Tree, tables: Mapping[str, Table], region: str | None = None) -> YearNitrogen:
    """The year's nitrogen by crop and age, height or trunk; ``region`` asks for one state's rule by name."""
    rows = _fitting_rows(tree, tables["nitrogen_for_the_year"])
    if region is not None:
        known = sorted({str(row["region"]) for row in rows})
        if region not in known:
            raise BadInput(
                f"there is no rule of '{region}' for this tree here; those that fit: "
                f"{', '.join(known) or 'none'}."
            )
        rows = [row for row in rows if row["region"] == region]
    rules = [rule for rule in (_worked_out(row, tree) for row in rows) if rule is not None]
    if not rules:
        return YearNitrogen(None, lacks=_lacks(rows, tree, tables["nitrogen_for_the_year"]))
    preferred = _preferred_region(tree, tables["feeding_regions"])
    first = next((rule for rule in rules if rule.region == preferred), rules[0])
    adjusted = _adjusted(first, tree, tables["nitrogen_factors"])
    return YearNitrogen(adjusted, tuple(rule for rule in rules if rule is not first))


def _fitting_rows(tree: Tree, table: Table) -> list[Row]:
    for crop in (tree.crop, tree.group, "other"):
        own = [row for row in table.rows if row["crop"] == crop and _age_fits(row, tree)]
        if own and crop != "other":
            regions = {row["region"] for row in own}
            group = [row for row in table.rows if row["crop"] == tree.group and _age_fits(row, tree)]
            return own + [row for row in group if row["region"] not in regions]
        if own and tree.crop != "grape":
            return own
    return []


def _age_fits(row: Row, tree: Tree) -> bool:
    if tree.year is None:
        # Without an age only a rule that does not change with age can be used.
        return row["basis"] == "inch_of_trunk"
    return row.number("year_from") <= tree.year <= row.number("year_to")


def _worked_out(row: Row, tree: Tree) -> YearRule | None:
    basis = str(row["basis"])
    attribute, _ = _MEASURES[basis]
    times, words = 1.0, "for the tree"
    if attribute is not None:
        value = getattr(tree, attribute)
        if value is None:
            return None
        times, words = _multiplier(basis, value, tree)
    low, high = (units.lb_to_kg(row.number(column)) * times for column in ("low", "high"))
    region = str(row["region"])
    working = [f"{_region_name(region)}: {_pounds(row.number('low'), row.number('high'))} {words}"]
    if row["say"]:
        working.append(f"as published: {row['say']}")
    if row["cap"] is not None:
        cap = units.lb_to_kg(row.number("cap"))
        if high > cap:
            working.append(f"held at the published most of {row.number('cap'):g} lb")
        low, high = min(low, cap), min(high, cap)
    return YearRule(region, low, high, int(row.number("splits")), row.source, row.mark, tuple(working))


def _multiplier(basis: str, value: float, tree: Tree) -> tuple[float, str]:
    if basis == "year_of_age":
        years = float(tree.year or 1)
        return years, f"for each year of age, times {years:g}"
    if basis == "foot_of_height":
        feet = units.m_to_ft(value)
        return feet, f"for each foot of height, times {feet:.1f}"
    inches = units.cm_to_in(value)
    return inches, f"for each inch of trunk, times {inches:.1f}"


def _adjusted(rule: YearRule, tree: Tree, table: Table) -> YearRule:
    for row in table.rows:
        applies = {"desert": tree.climate == "desert", "pot": tree.grown_in == "pot", "dwarf": tree.dwarf}
        if tree.grown_in == "pot" and row["applies_to"] == "dwarf":
            continue
        if applies[str(row["applies_to"])] and row["crop"] in ("any", tree.crop):
            factor = row.number("factor")
            rule = replace(
                rule,
                low_kg=rule.low_kg * factor,
                high_kg=rule.high_kg * factor,
                source=tuple(dict.fromkeys(rule.source + row.source)),
                working=(*rule.working, f"times {factor:g}: {row['say']}"),
            )
    return rule


def _preferred_region(tree: Tree, table: Table) -> str | None:
    for crop in (tree.crop, tree.group):
        for row in table.where(crop=crop, climate=tree.climate):
            return str(row["region"])
    return None


def _lacks(rows: Iterable[Row], tree: Tree, table: Table) -> tuple[tuple[str, str], ...]:
    if tree.year is None and any(row["crop"] in (tree.crop, tree.group) for row in table.rows):
        return (("age_years", _MEASURES["year_of_age"][1]),)
    wanted = {}
    for row in rows:
        attribute, question = _MEASURES[str(row["basis"])]
        if attribute is not None:
            wanted[{"trunk_cm": "trunk_diameter_cm"}.get(attribute, attribute)] = question
    return tuple(wanted.items())


def _region_name(region: str) -> str:
    return region.replace("_", " ").title()


def _pounds(low: float, high: float) -> str:
    grams = [f"{units.lb_to_kg(value) * 1000:.0f}" for value in (low, high)]
    if low == high:
        return f"{low:g} lb ({grams[0]} g) of nitrogen"
    return f"{low:g} to {high:g} lb ({' to '.join(grams)} g) of nitrogen"
