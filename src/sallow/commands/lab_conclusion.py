"""The sentence that heads a laboratory report: what the person should make of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sallow.care.laboratory_case import LabReport

_NAMES = {"ph": "pH", "ec": "salt"}
_SIDES = {"low": "short", "high": "in surplus"}


def conclusion(report: LabReport) -> str:
    """One sentence, hedged as far as the report is."""
    if report.case.sample == "leaf":
        return _leaves(report)
    return _soil(report) if report.case.sample == "soil" else _water(report)


def _leaves(report: LabReport) -> str:
    doubts = list(dict.fromkeys(reading.doubt for reading in report.readings if reading.doubt))
    if not report.readings:
        return "No published range is kept here for these figures, so judge the tree by its leaves, growth and crop."
    if doubts and all(reading.doubt for reading in report.readings):
        found = _sides(report.places, likely="")
        hint = f" (it hints that {found})" if found else ""
        remedy = ("find that out, or " if "not known" in doubts[0] else "") + "take leaves anew in season"
        return f"Change nothing on the strength of this report{hint}, because {doubts[0]}: {remedy}."
    found = _sides(report.places) or "nothing stands out as short or in surplus"
    if report.differing:
        return (
            f"{_upper(found)}; on {_names(report.differing)} the tables do not agree, which means near the edge of "
            "right: change nothing for that, let leaf colour and growth decide, and test again next season (or ask "
            "which table your laboratory uses and read that one alone with --table)."
        )
    return f"{_upper(found)}: take that as a reason to look, and change one thing only, if the tree shows it too."


def _soil(report: LabReport) -> str:
    places = {test: place for test, place in report.places.items() if test not in ("ph", "ec")}
    parts = [_sides(places)] if _sides(places) else []
    if report.answers.get("soil_salt") in ("raised", "high"):
        parts.append("salt is more than this tree likes")
    if report.lime is not None or report.ph_side == "below":
        parts.append("the soil is sour for it" if report.ph_side else "the soil is sour")
    if report.sulfur is not None or report.ph_side == "above":
        parts.append("the soil is too limy for it" if report.ph_side else "the soil is a little limy")
    found = ", and ".join(parts) or "nothing here is far from what a fruit tree wants"
    if report.differing:
        return (
            f"{_upper(found)}; {_names(report.differing)} lies between classes, or the tables differ on it, so add "
            "none and take none away on this report alone: see what the leaves say."
        )
    return f"{_upper(found)}; a soil test says what is there, not what the tree takes up, so let the leaves confirm it."


def _water(report: LabReport) -> str:
    high = [name for name, hazard in report.hazards.items() if hazard == "high"]
    raised = [name for name, hazard in report.hazards.items() if hazard == "raised"]
    if high:
        return (
            f"For this tree the water is likely to do harm through {_names(high)}: look for better water to use or to "
            "mix in, and watch the leaf tips until then."
        )
    if raised:
        return (
            f"The water can be used, with care because of its {_names(raised)}: watch the leaf tips and test again "
            "next year."
        )
    if not report.hazards:
        return "None of these figures says whether the water suits the tree."
    return "As far as these figures go, the water suits the tree."


def _sides(places: Mapping[str, str], likely: str = "likely ") -> str:
    parts = []
    for side, words in _SIDES.items():
        names = sorted(test for test, place in places.items() if place == side)
        if names:
            parts.append(f"{_names(names)} {'are' if len(names) > 1 else 'is'} {likely}{words}")
    return ", ".join(parts)


def _names(tests: Iterable[str]) -> str:
    names = [_NAMES.get(test, test.replace("_", " ")) for test in tests]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _upper(text: str) -> str:
    return text if text.startswith("pH") else text[:1].upper() + text[1:]
