"""Reads laboratory figures against published classes: class, distance from the aim, index, order of shortage.

The index is the deviation from optimum percentage, DOP = 100 C / Cref - 100 (Montañés and others, J. Plant
Nutrition 16, 1993; Acta Horticulturae 383); Cref is taken as the middle of the published optimum range.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from sallow.care.laboratory_units import Measurement, Sample, convert, units_for
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Row, Table

Place = Literal["low", "about_right", "high", "borderline"]
LEAF_NAMES = "deficient|low|low|optimum|high|excess"
BOUNDS = ("low_1", "low_2", "low_3", "high_1", "high_2")


@dataclass(frozen=True, slots=True)
class Reading:
    """One measurement read against one table row.

    ``value`` and ``good`` (lower and upper end of the aim, either may be open) are in ``unit``. ``deviation``
    is the DOP index in %, None where the aim is open-ended. ``doubt`` says in a few words why the class may not
    hold (leaves of the wrong age); '' for a class that holds.
    """

    test: str
    value: float
    unit: str
    written: str
    region: str
    method: str
    class_name: str
    place: Place
    good: tuple[float | None, float | None]
    deviation: float | None
    source: tuple[str, ...]
    mark: str
    doubt: str = ""


def deviation_from_optimum(value: float, reference: float) -> float:
    """DOP index in %: zero at the reference, negative when short, positive when in surplus."""
    if reference <= 0:
        raise BadInput("the reference of the index must be above zero.")
    return value * 100 / reference - 100


def order_of_shortage(readings: Iterable[Reading]) -> tuple[Reading, ...]:
    """Readings that have an index, the shortest first."""
    known = [reading for reading in readings if reading.deviation is not None]
    return tuple(sorted(known, key=lambda reading: (reading.deviation or 0.0, reading.test)))


def overall_imbalance(readings: Iterable[Reading]) -> float:
    """Sum of the absolute indices in % (the greater, the less balanced)."""
    return sum(abs(reading.deviation) for reading in readings if reading.deviation is not None)


def class_index(value: float, row: Row) -> int:
    """Which of the six classes of ``row`` (0 lowest, 3 the middle, 5 highest) a value falls in.

    A low bound belongs to the class above it, a high bound to the class below it.
    """
    for index, name in enumerate(BOUNDS[:3]):
        bound = row[name]
        if isinstance(bound, int | float) and value < bound:
            return index
    for index, name in ((5, "high_2"), (4, "high_1")):
        bound = row[name]
        if isinstance(bound, int | float) and value > bound:
            return index
    return 3


def read_leaf(
    measurements: Sequence[Measurement], table: Table, crop: str, regions: Sequence[str] = ()
) -> list[Reading]:
    """Leaf figures against every table of the crop, or only those of ``regions``."""
    rows = [row for row in table.where(crop=crop) if not regions or row["region"] in regions]
    return [
        _reading(entry, row, "leaf", LEAF_NAMES)
        for entry in measurements
        for row in rows
        if row["nutrient"] == entry.test
    ]


def read_soil(measurements: Sequence[Measurement], table: Table) -> list[Reading]:
    """Soil figures against the classes of their own extraction method; a silent report gets no class."""
    return [
        _reading(entry, row, "soil", str(row["names"]))
        for entry in measurements
        for row in table.where(test=entry.test)
        if row["method"] in ("any", entry.method or _ONLY_METHOD.get(entry.test))
    ]


_ONLY_METHOD = {"ph": "water"}


def methods_of(table: Table, test: str) -> tuple[str, ...]:
    """The methods for which a soil test has classes, in the order of the table."""
    return tuple(dict.fromkeys(str(row["method"]) for row in table.where(test=test)))


def _reading(entry: Measurement, row: Row, sample: Sample, names: str) -> Reading:
    unit = str(row["unit"])
    value = convert(entry.value, entry.unit, unit, entry.test, sample)
    index = class_index(value, row)
    name = names.split("|")[index]
    good = (
        _bound(row, "low_3"),
        _bound(row, "high_1") if row["high_1"] is not None else _bound(row, "high_2"),
    )
    return Reading(
        test=entry.test,
        value=value,
        unit=unit,
        written=entry.written,
        region=str(row["region"]),
        method="" if sample == "leaf" else str(row["method"]),
        class_name=name,
        place=_place(index, name),
        good=good,
        deviation=_deviation(value, good),
        source=row.source,
        mark=row.mark,
    )


def _bound(row: Row, name: str) -> float | None:
    return None if row[name] is None else row.number(name)


def _place(index: int, name: str) -> Place:
    if name == "borderline":
        return "borderline"
    if index == 3:
        return "about_right"
    return "low" if index < 3 else "high"


def _deviation(value: float, good: tuple[float | None, float | None]) -> float | None:
    low, high = good
    if low is None or high is None:
        return None
    return deviation_from_optimum(value, (low + high) / 2)


def agreed_places(readings: Iterable[Reading]) -> Mapping[str, Place]:
    """Per test the place that all its tables agree on; a test on which they differ or waver is left out.

    Where some tables were read in print and others are from memory, only the former count.
    """
    by_test: dict[str, list[Reading]] = {}
    for reading in readings:
        by_test.setdefault(reading.test, []).append(reading)
    places: dict[str, Place] = {}
    for test, group in by_test.items():
        firm = [reading for reading in group if reading.mark == "published"] or group
        found = {reading.place for reading in firm}
        if len(found) == 1 and "borderline" not in found:
            places[test] = firm[0].place
    return places


def conversion_sample(entry: Measurement, sample: Sample) -> Sample:
    """A saturation extract of soil is a water as far as units go."""
    return "water" if sample == "soil" and entry.method == "paste" and entry.test not in ("ec", "ph") else sample


def check_plausible(entry: Measurement, table: Table, sample: Sample) -> None:
    """BadInput for a figure that cannot be true, naming the unit that would make sense of it."""
    if entry.unit == "%" and entry.value > 100:
        raise BadInput(f"{entry.written}: more than 100 % of anything is impossible; check the decimal point.")
    sample = conversion_sample(entry, sample)
    rows = table.where(sample=sample, test=entry.test)
    if not rows:
        raise BadInput(
            f"{entry.written}: {entry.test.replace('_', ' ')} is not read on a {sample} report; "
            "leave it out, or check that this is the right kind of report."
        )
    unit, low, high = str(rows[0]["unit"]), rows[0].number("low"), rows[0].number("high")
    try:
        value = convert(entry.value, entry.unit, unit, entry.test, sample)
    except BadInput as error:
        raise BadInput(f"{entry.written}: {error}") from error
    if low <= value <= high:
        return
    means = f", which is {_plain(value)} {unit}," if unit and entry.unit != unit.lower() else ""
    guess = _likely_unit(entry, unit, low, high, sample)
    raise BadInput(
        f"{entry.written}{means} cannot be true for {entry.test.replace('_', ' ')} in {_where(sample)}: "
        f"expected {low:g} to {high:g} {unit}".rstrip()
        + ". "
        + (f"Did you mean {entry.value:g} {guess}?" if guess else "Check the decimal point and the unit.")
    )


def _plain(value: float) -> str:
    return f"{value:,.0f}" if value >= 1000 else f"{value:.3g}" if value >= 1e-4 else f"{value:.6f}"


def _where(sample: Sample) -> str:
    return {"leaf": "leaves", "soil": "soil", "water": "water"}[sample]


def _likely_unit(entry: Measurement, unit: str, low: float, high: float, sample: Sample) -> str:
    for other in units_for(sample):
        if other.lower() == entry.unit:
            continue
        try:
            value = convert(entry.value, other, unit, entry.test, sample)
        except BadInput:
            continue
        if unit and low <= value <= high:
            return other
    return ""


def check_total(measurements: Iterable[Measurement], sample: Sample) -> None:
    """BadInput when the percentages of one sample add to more than 100."""
    total = sum(entry.value for entry in measurements if entry.unit == "%")
    if total > 100:
        raise BadInput(f"the percentages of this {sample} report add up to {total:g} %, which is more than all of it.")
