"""A leaf report worked through: readings, sampling date, signs, and the nitrogen rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from sallow.care.laboratory import Reading, agreed_places, read_leaf
from sallow.care.laboratory_case import LabCase, LabReport, Tables
from sallow.care.laboratory_sampling import (
    FALL_WITH_AGE,
    RISE_WITH_AGE,
    Sampled,
    still_holds,
    timing_of,
    window_of,
)
from sallow.care.laboratory_units import Measurement
from sallow.care.water_plan import CITRUS

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table


LEAF_SIGNS = frozenset(
    {
        "nitrogen", "potassium", "magnesium", "zinc", "manganese", "boron", "chloride", "sodium", "copper",
        "phosphorus", "calcium",
    }
)  # fmt: skip


def leaf_crop(crop: str) -> str:
    """The crop under which leaf tables list a tree."""
    if crop in CITRUS:
        return "citrus"
    return "peach" if crop == "nectarine" else crop


def leaf_report(case: LabCase, tables: Tables) -> LabReport:
    """Read leaf figures; only leaves taken in a table's own season, and tables that agree, give a sign."""
    crop = leaf_crop(case.crop)
    readings = read_leaf(case.measurements, tables["leaf_classes"], crop, case.regions)
    notes = _unread(case.measurements, readings, "no published leaf range for {} of this tree in these tables")
    regions = dict.fromkeys(reading.region for reading in readings)
    sampled = tuple(_sampled(case, crop, region, tables["leaf_sampling"]) for region in regions)
    doubts = {entry.region: doubt_of(entry, case) for entry in sampled}
    readings = [replace(reading, doubt=doubts[reading.region]) for reading in readings]
    holding = [reading for reading in readings if not reading.doubt]
    places = agreed_places(readings)
    sure = agreed_places(holding)
    differing = tuple(sorted({reading.test for reading in readings} - set(places)))
    notes.extend(_still_telling(readings, sampled))
    notes.extend(_nitrogen_rule(holding))
    return LabReport(
        case,
        tuple(readings),
        answers={f"leaf_{test}": place for test, place in sure.items() if test in LEAF_SIGNS and test not in differing},
        notes=tuple(notes),
        places=places,
        differing=differing,
        sampled=sampled,
    )


def doubt_of(sampled: Sampled, case: LabCase) -> str:
    """Why the classes of a table may not hold for these leaves; '' when they were taken in its season."""
    if sampled.timing == "inside":
        return ""
    if case.taken is None:
        return "the day the leaves were taken is not known"
    if case.hemisphere is None:
        return "which half of the world the tree stands in is not known"
    if sampled.window is None or sampled.timing is None:
        return "when leaves are taken for this table is not known here"
    return f"the leaves were taken too {sampled.timing}"


def _sampled(case: LabCase, crop: str, region: str, table: Table) -> Sampled:
    rows = [row for row in table.where(crop=crop) if row["region"] in (region, "any")]
    # A region of its own without a row of its own is sampled as the crop is elsewhere.
    rows = rows or list(table.where(crop=crop))
    if not rows or case.hemisphere is None:
        return Sampled(region, None, None)
    window = window_of(rows[0], case.hemisphere)
    return Sampled(region, window, None if case.taken is None else timing_of(case.taken, window))


def _still_telling(readings: Sequence[Reading], sampled: Sequence[Sampled]) -> list[str]:
    """Classes that the wrong leaf age would rather have hidden: worth a word, not a sign."""
    timings = {entry.region: entry.timing for entry in sampled}
    told: dict[str, str] = {}
    for reading in readings:
        timing = timings[reading.region]
        if timing not in ("early", "late") or reading.place not in ("low", "high"):
            continue
        if reading.test in FALL_WITH_AGE | RISE_WITH_AGE and still_holds(reading.test, reading.place, timing):
            other = "more" if reading.place == "low" else "less"
            age = "young" if timing == "early" else "old"
            told[reading.test] = (
                f"{reading.test}: {age} leaves hold {other} of it than leaves of the right age, and it reads "
                f"{reading.place} even so; a sample in season would most likely say the same"
            )
    return list(told.values())


def _nitrogen_rule(readings: Sequence[Reading]) -> list[str]:
    # Michigan State, leaf analysis interpretation: 10 % of the rate for each 0.1 % of leaf nitrogen outside.
    for reading in readings:
        low, high = reading.good
        if reading.test != "nitrogen" or reading.region != "michigan" or low is None or high is None:
            continue
        gap = low - reading.value if reading.value < low else high - reading.value if reading.value > high else 0.0
        if gap:
            change = abs(gap) * 100
            way = "more" if gap > 0 else "less"
            return [
                f"Michigan's rule: about {change:.0f} % {way} nitrogen than before "
                "(10 % for each 0.1 % of leaf nitrogen)"
            ]
    return []


def _unread(measurements: Sequence[Measurement], readings: Sequence[Reading], words: str) -> list[str]:
    unread = {entry.test for entry in measurements} - {reading.test for reading in readings}
    return [words.format(", ".join(sorted(name.replace("_", " ") for name in unread)))] if unread else []
