"""The salt that one feeding puts in the root zone, set against what the crop bears; a rough guide."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sallow.care.feeding.bags import Bag
from sallow.care.feeding.tree import Tree

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table

# 640 mg of dissolved salts per litre for each dS/m (USDA Handbook 60, from memory).
MG_PER_LITRE_PER_DS_M = 640.0
# The feed is taken to mix with the water of a spit of soil at saturation: 15 cm x 45 % (judgement).
LITRES_PER_M2 = 0.15 * 0.45 * 1000


@dataclass(frozen=True, slots=True)
class SaltLoad:
    """The rise of soil salt (dS/m, saturation extract), the crop's threshold, and a verdict in words."""

    rise: float
    threshold: float
    index: float
    verdict: str
    source: tuple[str, ...]


def salt_index(bag: Bag, table: Table) -> float | None:
    """The bag's salt index (sodium nitrate = 100): its own, or reckoned from its numbers; None for organics.

    A blend of unknown make-up is taken as ammonium sulfate, triple superphosphate and potassium chloride, the
    saltiest usual way to make it.
    """
    if bag.kind == "organic":
        return None
    own = table.where(material=bag.material)
    if own:
        return own[0].number("index")
    worst = {row["material"]: row.number("index") for row in table.rows}
    return (
        bag.grade.n * worst["ammonium_sulfate"] / 21
        + bag.grade.p2o5 * worst["triple_superphosphate"] / 45
        + bag.grade.k2o * worst["potassium_chloride"] / 60
    )


def salt_load(bag: Bag, grams_per_m2: float, tree: Tree, tables: Mapping[str, Table]) -> SaltLoad | None:
    """How much one feeding raises the salt of the top soil, against the crop's threshold.

    None for coated and organic feeds, which let their salt out over months.
    """
    index = salt_index(bag, tables["salt_index"])
    if index is None or bag.kind == "coated":
        return None
    rise = grams_per_m2 * 1000 * index / 100 / LITRES_PER_M2 / MG_PER_LITRE_PER_DS_M
    threshold, source = crop_threshold(tree, tables)
    if rise <= 0.5 * threshold:
        verdict = "light"
    elif rise <= threshold:
        verdict = "noticeable"
    else:
        verdict = "heavy"
    return SaltLoad(rise, threshold, index, verdict, source)


def crop_threshold(tree: Tree, tables: Mapping[str, Table]) -> tuple[float, tuple[str, ...]]:
    """Soil salt (dS/m) at which the crop starts to suffer: the number read on a page first, else the lowest listed
    one, else that of its class."""
    rows = [row for crop in (tree.crop, tree.group) for row in tables["salt_tolerance"].where(crop=crop)]
    listed = [row for row in rows if row["threshold"] is not None]
    if listed:
        row = min(listed, key=lambda row: (row.mark != "published", row.number("threshold")))
        return row.number("threshold"), row.source
    rating = str(rows[0]["rating"]) if rows else "sensitive"
    row = tables["feeding_salt_tolerance"].where(rating=rating)[0]
    return row.number("threshold"), row.source
