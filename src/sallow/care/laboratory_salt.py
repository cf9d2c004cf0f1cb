"""Salt, chloride, sodium and boron in soil and irrigation water, judged for a crop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from sallow.care.water_salt import relative_yield

if TYPE_CHECKING:
    from sallow.knowledge.tables import Row, Table

Hazard = Literal["low", "raised", "high"]
ORDER: tuple[Hazard, ...] = ("low", "raised", "high")

# Our judgement: a quarter of the crop lost is called high.
HIGH_BELOW_YIELD_PERCENT = 75.0
# Where a crop has no published threshold: saturation extract, dS/m (Washington tree fruit, EM119E).
PLAIN_RAISED_ABOVE, PLAIN_HIGH_ABOVE = 2.6, 4.0
SENSITIVE_STAND_IN = 1.5
# Wu and Dodge: leaf tips of sensitive trees burn badly between 1 and 2 mg/L in the water.
BORON_BURNS_FROM_MG_L = 1.0

_GROUPS = {"nectarine": "peach", "kumquat": "orange"}


@dataclass(frozen=True, slots=True)
class SaltVerdict:
    """Hazard of the soil's salt; the expected yield in % where the crop has published numbers."""

    hazard: Hazard
    threshold: float | None
    yield_percent: float | None
    rating: str
    mark: str
    source: tuple[str, ...]


def tolerance_of(crop: str, table: Table) -> Row | None:
    """The salt-tolerance row of a crop: the one read on a page first, else the lowest threshold."""
    rows = table.where(crop=_GROUPS.get(crop, crop))
    known = [row for row in rows if row["threshold"] is not None]
    if known:
        return min(known, key=lambda row: (row.mark != "published", row.number("threshold")))
    return rows[0] if rows else None


def soil_salt(ec_paste: float, crop: str, table: Table) -> SaltVerdict:
    """Low up to the crop's threshold, high where a quarter of the crop is lost; general bounds else."""
    row = tolerance_of(crop, table)
    if row is not None and row["threshold"] is not None:
        threshold = row.number("threshold")
        remaining = relative_yield(ec_paste, threshold, row.number("slope"))
        hazard: Hazard = "low" if ec_paste <= threshold else "raised"
        if remaining < HIGH_BELOW_YIELD_PERCENT:
            hazard = "high"
        return SaltVerdict(hazard, threshold, remaining, str(row["rating"]), row.mark, row.source)
    rating = str(row["rating"]) if row is not None else ""
    raised = SENSITIVE_STAND_IN if rating == "sensitive" else PLAIN_RAISED_ABOVE
    hazard = "low" if ec_paste <= raised else "high" if ec_paste > PLAIN_HIGH_ABOVE else "raised"
    mark = "judgement" if rating == "sensitive" else "published"
    return SaltVerdict(hazard, None, None, rating, mark, ("wsu_em119",))


def accepted_soil_salt(crop: str, table: Table) -> tuple[float, str]:
    """Salt in the soil (dS/m) that the crop may be asked to bear, and the mark of that number."""
    row = tolerance_of(crop, table)
    if row is not None and row["threshold"] is not None:
        return row.number("threshold"), row.mark
    return SENSITIVE_STAND_IN, "judgement"


def soil_class(ec_paste: float, sar: float | None, table: Table) -> str:
    """Normal, saline, sodic or saline-sodic (USDA Handbook 60)."""
    salty = table.where(**{"class": "saline"})[0].number("ece_above")
    sodic = table.where(**{"class": "sodic"})[0].number("sar_above")
    is_salty, is_sodic = ec_paste > salty, sar is not None and sar > sodic
    if is_salty and is_sodic:
        return "saline_sodic"
    return "saline" if is_salty else "sodic" if is_sodic else "normal"


def graded(value: float, none_below: float | None, severe_above: float | None) -> Hazard:
    """Low below the first bound, high above the second, raised between; FAO 29 Table 1."""
    if none_below is not None and value < none_below:
        return "low"
    return "high" if severe_above is not None and value > severe_above else "raised"


def water_hazard(test: str, value: float, table: Table, method: str = "any") -> Hazard | None:
    """Hazard of one figure of a water report, in the table's unit; None when the table has no such line."""
    rows = [row for row in table.where(test=test) if row["method"] in ("any", method)]
    if not rows:
        return None
    severe = rows[0]["severe_above"]
    return graded(value, rows[0].number("none_below"), severe if isinstance(severe, int | float) else None)


def infiltration_hazard(sar: float, ec_water: float, table: Table) -> Hazard:
    """Will the water soak in: for each band of SAR it is a LOW conductivity that seals the soil (FAO 29)."""
    for row in table.rows:
        if row.number("sar_from") <= sar < row.number("sar_to"):
            if ec_water > row.number("none_above"):
                return "low"
            return "high" if ec_water < row.number("severe_below") else "raised"
    return "high"


def water_boron(boron_mg_l: float, crop: str, classes: Table, tolerance: Table) -> Hazard:
    """FAO 29 class of the water's boron, raised or high sooner for the sensitive crops."""
    hazard = water_hazard("boron", boron_mg_l, classes) or "low"
    rows = tolerance.where(crop=_GROUPS.get(crop, crop))
    if rows and boron_mg_l > BORON_BURNS_FROM_MG_L:
        return "high"
    if rows and boron_mg_l > rows[0].number("high"):
        return worst(hazard, "raised")
    return hazard


def special_hazard(crop: str, values: Mapping[str, float], table: Table) -> Hazard:
    """Raised when a tender crop's own limit for water is passed (avocado); else low."""
    passed = any(
        row["test"] in values and values[str(row["test"])] > row.number("raised_above")
        for row in table.where(crop=crop)
    )
    return "raised" if passed else "low"


def worst(*hazards: Hazard) -> Hazard:
    """The most serious of several hazards."""
    return max(hazards, key=ORDER.index)
