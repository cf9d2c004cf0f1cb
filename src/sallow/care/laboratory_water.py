"""A water report worked through: hazards for soil and leaves, salt and the crop, leaching, signs."""

from __future__ import annotations

from collections.abc import Mapping

from sallow.care import laboratory_salt as salt
from sallow.care.laboratory_case import LabCase, LabReport, Tables, figure_of, sodium_ratio_of
from sallow.care.laboratory_units import convert
from sallow.care.water_salt import leaching_requirement, relative_yield, soil_salt_from_water
from sallow.errors import BadInput


def water_report(case: LabCase, tables: Tables) -> LabReport:
    """Grade every figure of a water report (FAO 29 Table 1) and judge it for the crop."""
    classes = tables["water_classes"]
    hazards: dict[str, salt.Hazard] = {}
    method = "overhead" if case.overhead else "surface"
    for entry in case.measurements:
        for row in classes.where(test=entry.test):
            if row["method"] not in ("any", method):
                continue
            value = convert(entry.value, entry.unit, str(row["unit"]), entry.test, "water")
            hazard = salt.water_hazard(entry.test, value, classes, method)
            if hazard is not None:
                hazards[str(row["hazard"])] = salt.worst(hazard, hazards.get(str(row["hazard"]), "low"))
    sar, ec = sodium_ratio_of(case), figure_of(case, "ec", "dS/m")
    if sar is not None:
        hazards["sodium"] = salt.worst(
            salt.water_hazard("sar", sar, classes, "surface") or "low", hazards.get("sodium", "low")
        )
        if ec is not None:
            hazards["soaking in"] = salt.infiltration_hazard(sar, ec, tables["water_infiltration"])
    boron = figure_of(case, "boron", "mg/L")
    if boron is not None:
        hazards["boron"] = salt.water_boron(boron, case.crop, classes, tables["boron_tolerance"])
    limits = {"ec": ec, "chloride": figure_of(case, "chloride", "mg/L")}
    special = salt.special_hazard(
        case.crop,
        {name: value for name, value in limits.items() if value is not None},
        tables["water_special_limits"],
    )
    if special != "low":
        hazards["salt"] = salt.worst(special, hazards.get("salt", "low"))
    notes = _nitrogen_in_water(case)
    share, remaining, mark = _water_and_crop(ec, case.crop, tables, notes)
    return LabReport(
        case,
        answers=_water_answers(hazards),
        hazards=hazards,
        notes=tuple(notes),
        sodium_ratio=sar,
        leaching_share=share,
        yield_percent=remaining,
        yield_mark=mark,
    )


def _water_answers(hazards: Mapping[str, salt.Hazard]) -> dict[str, str | float]:
    answers: dict[str, str | float] = {}
    salty = [hazards[name] for name in ("salt", "chloride") if name in hazards]
    if salty:
        answers["water_salt"] = salt.worst(*salty)
    if "boron" in hazards:
        answers["water_boron"] = hazards["boron"]
    if "bicarbonate" in hazards:
        answers["water_hardness"] = "soft" if hazards["bicarbonate"] == "low" else "hard"
    return answers


def _water_and_crop(
    ec: float | None, crop: str, tables: Tables, notes: list[str]
) -> tuple[float | None, float | None, str]:
    """The leaching share, what is left of the crop in % with the mark of its number."""
    if ec is None:
        return None, None, "published"
    accepted, mark = salt.accepted_soil_salt(crop, tables["salt_tolerance"])
    shown = {"memory": "from memory", "judgement": "our stand-in for a tree without a published number"}
    notes.append(f"salt in the soil that this tree is taken to bear: {accepted:g} dS/m ({shown.get(mark, mark)})")
    row = salt.tolerance_of(crop, tables["salt_tolerance"])
    remaining = None
    if row is not None and row["threshold"] is not None:
        remaining = relative_yield(soil_salt_from_water(ec), row.number("threshold"), row.number("slope"))
    try:
        return leaching_requirement(ec, accepted), remaining, mark
    except BadInput as error:
        notes.append(str(error))
        return None, remaining, mark


def _nitrogen_in_water(case: LabCase) -> list[str]:
    nitrate = figure_of(case, "nitrate_nitrogen", "mg/L")
    if not nitrate:
        return []
    return [
        f"every 1000 L (264 gal) of this water brings {nitrate:.2g} g ({nitrate / 28.35:.2g} oz) of "
        "nitrogen: "
        "count it before feeding"
    ]
