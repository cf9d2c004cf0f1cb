"""One bag: how much of it for one feeding, what rides along; several bags: which gives nitrogen cheapest."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sallow.care import units
from sallow.care.feeding.label import Content, Grade, content_of, parse_grade, product_for
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Row, Table

KINDS = ("quick", "coated", "organic")


@dataclass(frozen=True, slots=True)
class Bag:
    """A product: its grade, how its nitrogen comes free and, when known, its weight, price and cup.

    ``release`` names a row of organic_availability. ``weight_kg`` is the weight of the whole bag, ``price``
    what it cost in the person's own money, ``cup_kg`` what one level cup of it weighed. ``mark`` tells how sure
    the numbers of a material are; '' for those that were read on the bag.
    """

    name: str
    grade: Grade
    kind: str = "quick"
    release: str = "quick"
    material: str | None = None
    weight_kg: float | None = None
    price: float | None = None
    cup_kg: float | None = None
    mark: str = ""

    def __post_init__(self) -> None:
        sizes = {"weight of the bag": self.weight_kg, "price": self.price, "weight of a cup": self.cup_kg}
        for label, value in sizes.items():
            if value is not None and value <= 0:
                raise BadInput(f"the {label} is {value:g}; it must be more than zero.")


@dataclass(frozen=True, slots=True)
class Share:
    """The share of a bag's nitrogen that works in the first year (0 to 1) and the weeks it feeds for."""

    low: float
    high: float
    weeks: tuple[float, float]
    say: str
    source: tuple[str, ...]
    mark: str

    @property
    def middle(self) -> float:
        """The middle of the range."""
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class Helping:
    """One feeding from one bag: kilograms, cups (low and high), what it holds, share of the bag.

    ``cups_mark`` tells how sure the weight of a cup is; '' when the person weighed it.
    """

    kilograms: float
    cups: tuple[float, float]
    content: Content
    share: Share
    cups_mark: str = ""

    def bags(self, bag: Bag) -> float | None:
        """How many of these bags one feeding takes."""
        return None if bag.weight_kg is None else self.kilograms / bag.weight_kg


@dataclass(frozen=True, slots=True)
class Price:
    """What a kilogram of nitrogen costs from a bag: on the label, and of what works in the first year."""

    bag: Bag
    per_kg_total: float
    per_kg_available: float


def bag_from(text: str, tables: Mapping[str, Table], kind: str | None = None) -> Bag:
    """A Bag from three numbers (``6-2-3``) or the name of a known material (``ammonium sulfate``)."""
    wanted = text.strip().lower().replace(" ", "_").replace("-", "_")
    for row in tables["fertilizer_materials"].rows:
        if wanted == row["material"]:
            material_kind = str(row["kind"])
            return Bag(str(row["name"]), _grade(row), material_kind, material_kind, wanted, mark=row.mark)
    for row in tables["organic_materials"].rows:
        if wanted == row["material"]:
            return Bag(str(row["name"]), _grade(row), "organic", str(row["class"]), wanted, mark=row.mark)
    if not any(character.isdigit() for character in text):
        lists = (tables["fertilizer_materials"], tables["organic_materials"])
        known = [str(row["name"]) for table in lists for row in table.rows]
        raise BadInput(
            f"'{text}' is neither the three numbers of a bag (such as 6-2-3) nor a material known here: "
            f"{', '.join(known)}."
        )
    grade = parse_grade(text)
    if kind is not None and kind not in KINDS:
        raise BadInput(f"'{kind}' is not a kind of bag; expected one of: {', '.join(KINDS)}.")
    kind = kind or "quick"
    return Bag(str(grade), grade, kind, "organic_blend" if kind == "organic" else kind)


def available_share(bag: Bag, table: Table) -> Share:
    """The share of the bag's nitrogen that works in the first year."""
    row = table.where(**{"class": bag.release})[0]
    return Share(
        low=row.number("low") / 100,
        high=row.number("high") / 100,
        weeks=(row.number("weeks_from"), row.number("weeks_to")),
        say=str(row["say"]),
        source=row.source,
        mark=row.mark,
    )


def helping_of(bag: Bag, available_n_kg: float, tables: Mapping[str, Table]) -> Helping:
    """The weight of ``bag`` that gives ``available_n_kg``: wanted / (percent N / 100 x share)."""
    share = available_share(bag, tables["organic_availability"])
    if share.middle < 0.2:
        raise BadInput(
            f"{bag.name} gives so little nitrogen in its first year that it cannot be the tree's feed; "
            "count it as an extra (compost or manure) and choose another bag."
        )
    kilograms = product_for(available_n_kg / share.middle, bag.grade.n)
    cups = cups_of(bag, kilograms, tables["bulk_density"])
    mark = "" if bag.cup_kg is not None else _density_row(bag, tables["bulk_density"]).mark
    return Helping(kilograms, cups, content_of(kilograms, bag.grade), share, mark)


def cups_of(bag: Bag, kilograms: float, table: Table) -> tuple[float, float]:
    """About how many level US cups it fills, low and high; by the weighed cup, else by the table."""
    if bag.cup_kg is not None:
        return (kilograms / bag.cup_kg,) * 2
    row = _density_row(bag, table)
    low, high = (units.lb_to_kg(row.number(column)) for column in ("low", "high"))
    return kilograms / high, kilograms / low


def compared(bags: Iterable[Bag], table: Table) -> tuple[Price, ...]:
    """The bags that have a weight and a price, cheapest available nitrogen first."""
    prices = []
    for bag in bags:
        if bag.weight_kg is None or bag.price is None:
            continue
        nitrogen = content_of(bag.weight_kg, bag.grade).n
        share = available_share(bag, table).middle
        if nitrogen <= 0:
            raise BadInput(f"the bag {bag.name} holds no nitrogen to price; leave it out.")
        prices.append(Price(bag, bag.price / nitrogen, bag.price / (nitrogen * share)))
    return tuple(sorted(prices, key=lambda price: (price.per_kg_available, price.bag.name)))


def most_at_once(where: str, kind: str, area_m2: float, table: Table) -> tuple[float, Row]:
    """The most total nitrogen (kg) for one feeding on ``area_m2``, and the row it comes from."""
    row = table.where(where=where, kind=kind)[0]
    return units.lb_per_sqft_to_g_per_m2(row.number("most") / 100) / 1000 * area_m2, row


def _grade(row: Row) -> Grade:
    return Grade(row.number("n"), row.number("p2o5"), row.number("k2o"))


def _density_row(bag: Bag, table: Table) -> Row:
    wanted = bag.material or "any"
    if bag.kind == "organic" and not table.where(material=wanted):
        wanted = "compost" if bag.release in ("compost", "stable_manure", "poultry_manure") else "meal"
    return (table.where(material=wanted) or table.where(material="any"))[0]
