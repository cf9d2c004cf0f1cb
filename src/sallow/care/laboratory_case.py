"""What a laboratory case and its worked-through report hold, and how to get single figures from a case."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Literal

from sallow.care.laboratory import Place, Reading, conversion_sample
from sallow.care.laboratory_amendments import Amendment
from sallow.care.laboratory_salt import Hazard, SaltVerdict
from sallow.care.laboratory_sampling import Sampled
from sallow.care.laboratory_units import Measurement, Sample, convert
from sallow.care.season import Hemisphere
from sallow.care.water_salt import sodium_adsorption_ratio

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table


Tables = Mapping[str, "Table"]
PhSide = Literal["below", "above", ""]


@dataclass(frozen=True, slots=True)
class LabCase:
    """What was sampled and measured. ``regions`` picks among the leaf tables of a crop; empty means all."""

    sample: Sample
    crop: str
    measurements: tuple[Measurement, ...]
    regions: tuple[str, ...] = ()
    taken: date | None = None
    hemisphere: Hemisphere | None = None
    texture: str | None = None
    fizzes: bool | None = None
    lime_strength: float = 100.0
    overhead: bool = False


@dataclass(frozen=True, slots=True)
class LabReport:
    """The result. ``answers`` are signs for the look; ``hazards`` are low, raised or high by name.

    ``places`` is what the tables make of each test, ``differing`` the tests on which they do not agree.
    ``ph_side`` tells whether the soil's pH lies below or above the range of this tree. ``sampled`` tells for each leaf
    table when its leaves are taken and whether these were.
    """

    case: LabCase
    readings: tuple[Reading, ...] = ()
    answers: Mapping[str, str | float] = field(default_factory=dict)
    hazards: Mapping[str, Hazard] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    places: Mapping[str, Place] = field(default_factory=dict)
    differing: tuple[str, ...] = ()
    ph_side: PhSide = ""
    sampled: tuple[Sampled, ...] = ()
    salt: SaltVerdict | None = None
    soil_class: str | None = None
    sodium_ratio: float | None = None
    sodium_percent: float | None = None
    lime: Amendment | None = None
    sulfur: Amendment | None = None
    leaching_share: float | None = None
    yield_percent: float | None = None
    yield_mark: str = "published"


def figure_of(case: LabCase, test: str, unit: str = "") -> float | None:
    """One figure of the case in ``unit``, or None when it was not measured."""
    for entry in case.measurements:
        if entry.test == test:
            return convert(entry.value, entry.unit, unit, test, conversion_sample(entry, case.sample))
    return None


def sodium_ratio_of(case: LabCase) -> float | None:
    """The sodium adsorption ratio, as stated or from dissolved sodium, calcium and magnesium."""
    stated = figure_of(case, "sar")
    if stated is not None:
        return stated
    dissolved = {
        entry.test: convert(entry.value, entry.unit, "meq/L", entry.test, "water")
        for entry in case.measurements
        if entry.test in ("sodium", "calcium", "magnesium") and conversion_sample(entry, case.sample) == "water"
    }
    if len(dissolved) < 3:
        return None
    return sodium_adsorption_ratio(dissolved["sodium"], dissolved["calcium"], dissolved["magnesium"])
