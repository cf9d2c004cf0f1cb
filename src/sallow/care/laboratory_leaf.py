"""A leaf report worked through: readings, sampling date, signs, and the nitrogen rule."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sallow.care.laboratory import Reading, agreed_places, read_leaf
from sallow.care.laboratory_case import LabCase, LabReport, Tables
from sallow.care.laboratory_sampling import Timing, Window, still_holds, timing_of, window_of
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
    """Read leaf figures; a class that the sampling date or differing tables make doubtful gives no sign."""
    crop = leaf_crop(case.crop)
    readings = read_leaf(case.measurements, tables["leaf_classes"], crop, case.regions)
    notes = _unread(case.measurements, readings, "no published leaf range for {} of this tree in these tables")
    window, timing = _sampling(case, crop, readings, tables["leaf_sampling"])
    places = agreed_places(readings)
    differing = sorted({reading.test for reading in readings} - set(places))
    if differing:
        notes.append(f"the tables do not agree on {', '.join(differing)}, so no sign is made of it; pick one table")
    answers: dict[str, str | float] = {}
    for test, place in places.items():
        if test not in LEAF_SIGNS:
            continue
        if timing is not None and not still_holds(test, place, timing):
            notes.append(f"{test} changes as leaves age, so the figure of {timing} leaves makes no sign")
            continue
        answers[f"leaf_{test}"] = place
    notes.extend(_nitrogen_rule(readings))
    return LabReport(case, tuple(readings), answers=answers, notes=tuple(notes), window=window, timing=timing)


def _sampling(
    case: LabCase, crop: str, readings: Sequence[Reading], table: Table
) -> tuple[Window | None, Timing | None]:
    regions = {reading.region for reading in readings}
    rows = table.where(crop=crop)
    row = next((row for row in rows if row["region"] in regions), rows[0] if rows else None)
    if row is None or case.hemisphere is None:
        return None, None
    window = window_of(row, case.hemisphere)
    return window, None if case.taken is None else timing_of(case.taken, window)


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
