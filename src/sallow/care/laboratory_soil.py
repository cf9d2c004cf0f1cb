"""A soil report worked through: classes by method, salt, lime or sulfur, and signs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sallow.care import laboratory_salt as salt
from sallow.care.laboratory import Reading, agreed_places, conversion_sample, methods_of, read_soil
from sallow.care.laboratory_amendments import lime_rate, sulfur_rate
from sallow.care.laboratory_case import LabCase, LabReport, PhSide, Tables, figure_of, sodium_ratio_of
from sallow.care.laboratory_units import Measurement, convert
from sallow.care.water_plan import CITRUS
from sallow.care.water_salt import exchangeable_sodium_percent

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table


STONE_FRUIT = frozenset({"peach", "nectarine", "plum", "apricot", "cherry"})


def soil_report(case: LabCase, tables: Tables) -> LabReport:
    """Read soil figures, each against the classes of its own extraction method."""
    readings = read_soil(
        [entry for entry in case.measurements if conversion_sample(entry, "soil") == "soil"],
        tables["soil_classes"],
    )
    notes = _silent_methods(case.measurements, readings, tables["soil_classes"])
    answers: dict[str, str | float] = {}
    ph = figure_of(case, "ph")
    ph_side: PhSide = ""
    if ph is not None:
        answers["soil_ph"] = round(ph, 2)
        ph_side, note = _ph_against_range(ph, case.crop, tables["soil_ph_ranges"])
        notes.extend([note] if note else [])
    places = agreed_places(readings)
    differing = sorted({reading.test for reading in readings} - set(places) - {"ph", "ec"})
    if "phosphorus" in places:
        answers["soil_phosphorus"] = places["phosphorus"]
    sar = sodium_ratio_of(case)
    found, soil_class = None, None
    paste = next((entry for entry in case.measurements if entry.test == "ec" and entry.method == "paste"), None)
    if paste is not None:
        ec = convert(paste.value, paste.unit, "dS/m", "ec", "soil")
        found = salt.soil_salt(ec, case.crop, tables["salt_tolerance"])
        answers["soil_salt"] = found.hazard
        soil_class = salt.soil_class(ec, sar, tables["saline_soils"])
    elif any(reading.test == "ec" for reading in readings):
        reading = next(reading for reading in readings if reading.test == "ec")
        answers["soil_salt"] = {"optimal": "low", "borderline": "raised"}.get(reading.class_name, "high")
    notes.extend(_extract_notes(case, tables))
    texture = case.texture
    return LabReport(
        case,
        tuple(readings),
        answers=answers,
        notes=tuple(notes),
        places=places,
        differing=tuple(differing),
        ph_side=ph_side,
        salt=found,
        soil_class=soil_class,
        sodium_ratio=sar,
        sodium_percent=None if sar is None else exchangeable_sodium_percent(sar),
        lime=None
        if ph is None or texture is None
        else lime_rate(ph, texture, tables["lime_rates"], case.lime_strength),
        sulfur=None if ph is None or texture is None else sulfur_rate(ph, texture, case.fizzes, tables["sulfur_rates"]),
    )


def _ph_against_range(ph: float, crop: str, table: Table) -> tuple[PhSide, str]:
    """Below or above the range of this tree, and the note that says so."""
    name = "citrus" if crop in CITRUS else crop
    rows = table.where(crop=name) or (table.where(crop="stone_fruit") if crop in STONE_FRUIT else ())
    for row in rows:
        low, high = row["low"], row["high"]
        if isinstance(high, int | float) and ph > high:
            return "above", f"pH {ph:g} is above the range for this tree ({row['note']})"
        if isinstance(low, int | float) and ph < low:
            return "below", f"pH {ph:g} is below the range for this tree ({row['note']})"
    return "", ""


def _extract_notes(case: LabCase, tables: Tables) -> list[str]:
    """Chloride and boron in the saturation extract against what rootstocks and crops bear."""
    notes: list[str] = []
    group = "citrus" if case.crop in CITRUS else "stone_fruit" if case.crop in STONE_FRUIT else case.crop
    for entry in case.measurements:
        if entry.method != "paste":
            continue
        if entry.test == "chloride":
            value = convert(entry.value, entry.unit, "meq/L", "chloride", "water")
            hurt = [row for row in tables["chloride_tolerance"].where(crop=group) if value > row.number("limit")]
            notes.extend(
                f"chloride {value:.3g} meq/L is above what {row['rootstock']} stocks bear "
                f"({row.number('limit'):g} meq/L, from memory)"
                for row in hurt
            )
        if entry.test == "boron":
            value = convert(entry.value, entry.unit, "mg/L", "boron", "water")
            rows = tables["boron_tolerance"].where(crop=case.crop)
            if rows and value > rows[0].number("high"):
                notes.append(f"boron {value:.2g} mg/L is above what this tree bears ({rows[0].number('high'):g} mg/L)")
    return notes


_SAID_ELSEWHERE = frozenset({"lead", "sar"})


def _silent_methods(measurements: Sequence[Measurement], readings: Sequence[Reading], table: Table) -> list[str]:
    read = {reading.test for reading in readings}
    notes: list[str] = []
    for entry in measurements:
        methods = [name.replace("_", " ") for name in methods_of(table, entry.test)]
        if entry.test in read or conversion_sample(entry, "soil") == "water":
            continue
        if methods and not entry.method:
            notes.append(
                f"{entry.test.replace('_', ' ')}: its class depends on the extraction method, which the "
                "report names "
                f"({' or '.join(dict.fromkeys(methods))}); write it as {entry.test}(method)=value"
            )
        elif methods or entry.test not in _SAID_ELSEWHERE:
            notes.append(f"no published class here for {entry.test.replace('_', ' ')} by this method")
    return notes
