"""Tells a laboratory report: every figure with its class and aim, what it means, what to do, cautions."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from itertools import groupby
from typing import TYPE_CHECKING, Any

from sallow.care.laboratory import Reading, order_of_shortage, overall_imbalance
from sallow.commands import figures
from sallow.commands.citations import Citations
from sallow.commands.lab_conclusion import conclusion
from sallow.commands.water_working import MARK_WORDS
from sallow.knowledge.locate import shipped_folder
from sallow.months import MONTHS

if TYPE_CHECKING:
    from sallow.care.laboratory_amendments import Amendment
    from sallow.care.laboratory_case import LabReport
    from sallow.environment import Environment

HAZARD_WORDS = {"low": "no trouble expected", "raised": "some care needed", "high": "serious trouble likely"}
SOIL_CLASS_WORDS = {
    "normal": "not salty",
    "saline": "salty (saline)",
    "sodic": "too much sodium (sodic): it seals and drains badly",
    "saline_sodic": "salty and too much sodium (saline-sodic)",
}
SQ_M_IN_100_SQ_FT = 9.290304
GRAMS_IN_POUND = 453.59237


def report_text(
    report: LabReport, notes: Sequence[str], environment: Environment, units: str, show_working: bool
) -> None:
    """Print the report."""
    for title, lines in _sections(report, notes, units, show_working):
        if lines:
            environment.say("")
            figures.say_wrapped(environment, title, hang="")
            for line in lines:
                figures.say_wrapped(environment, line, "  ", "  ")


def _sections(report: LabReport, notes: Sequence[str], units: str, show_working: bool) -> list[tuple[str, list[str]]]:
    sections: list[tuple[str, list[str]]] = [("What to make of it", [conclusion(report)])]
    ordered = sorted(report.readings, key=lambda reading: (reading.mark != "published", reading.region))
    for region, group in groupby(ordered, lambda reading: reading.region):
        readings = list(group)
        title = f"Against the {_title(region)} table ({_marks(readings)})"
        sections.append((title, [_line(reading) for reading in readings]))
        if report.case.sample == "leaf":
            unless = ", if the classes hold" if any(reading.doubt for reading in readings) else ""
            sections.append((f"Order of shortage, the shortest first{unless}", _order(readings)))
    sections.append(
        ("Hazards of the water", [f"{name}: {HAZARD_WORDS[found]}" for name, found in report.hazards.items()])
    )
    sections.append(("Salt", _salt(report)))
    sections.append(("Lime or sulfur", _amendments(report, units)))
    sections.append(("Sampling", _sampling(report)))
    sections.append(("Notes", [_sentence(note) for note in (*report.notes, *notes)]))
    sections.append(("What a look can take from it (keep it with --save-answers)", _answers(report)))
    sections.append(("Mind", cautions(report)))
    if show_working:
        sources = Citations()
        sections.append(("Working", working(report, sources)))
        sections.append(("Sources", sources.lines(shipped_folder("knowledge")) if sources.keys else []))
    return sections


def _marks(readings: Sequence[Reading]) -> str:
    marks = dict.fromkeys(reading.mark for reading in readings)
    words = {"memory": "from memory, not checked against the printed table"}
    return ", ".join(words.get(mark, MARK_WORDS.get(mark, mark)) for mark in marks)


def _line(reading: Reading) -> str:
    method = f" ({reading.method.replace('_', ' ')})" if reading.method not in ("", "any", "water") else ""
    name = (
        reading.test.replace("_", " ")
        if reading.test not in ("ph", "ec")
        else {"ph": "pH", "ec": "salt (EC)"}[reading.test]
    )
    value = f"{reading.value:.3g} {reading.unit}".strip()
    hedge = "perhaps " if reading.doubt else ""
    return f"{name}{method} {value}: {hedge}{reading.class_name}; {_aim(reading)}"


def _aim(reading: Reading) -> str:
    low, high = reading.good
    unit = f" {reading.unit}" if reading.unit else ""
    if low is not None and high is not None:
        return f"aim {low:g} to {high:g}{unit}"
    if low is not None:
        return f"aim {low:g}{unit} or more"
    return f"aim up to {high:g}{unit}" if high is not None else "no aim given"


def _order(readings: Sequence[Reading]) -> list[str]:
    ordered = order_of_shortage(readings)
    if not ordered:
        return []
    parts = ", ".join(f"{reading.test} {reading.deviation or 0:+.0f}" for reading in ordered)
    return [
        f"{parts} (deviation from the middle of the aim, %; figures inside their aim need nothing)",
        f"All deviations together: {overall_imbalance(ordered):.0f} (0 would be perfect balance).",
    ]


def _salt(report: LabReport) -> list[str]:
    lines = []
    if report.salt is not None:
        found = report.salt
        lines.append(f"Salt in the soil: {HAZARD_WORDS[found.hazard]} for this tree.")
        if found.threshold is not None and found.yield_percent is not None:
            lines.append(
                f"This tree bears up to {found.threshold:g} dS/m "
                f"({MARK_WORDS.get(found.mark, found.mark)}); about "
                f"{found.yield_percent:.0f} % of the crop is left at this level."
            )
    if report.soil_class is not None:
        lines.append(f"The soil is {SOIL_CLASS_WORDS[report.soil_class]} (USDA Handbook 60).")
    if report.sodium_ratio is not None:
        lines.append(f"Sodium adsorption ratio (SAR) {report.sodium_ratio:.2g}.")
    if report.yield_percent is not None:
        lines.append(
            f"In the long run the soil ends up near 1.5 times the water's salt (FAO 29); about "
            f"{report.yield_percent:.0f} % of the crop is then left ({MARK_WORDS[report.yield_mark]})."
        )
    if report.leaching_share is not None:
        lines.append(
            f"To keep salt from gathering, about {report.leaching_share * 100:.0f} % of the water should drain below "
            "the roots (leaching requirement)."
        )
    return lines


def _amendments(report: LabReport, units: str) -> list[str]:
    lines = []
    if report.lime is not None:
        lines.append(
            f"Ground limestone to bring pH up to 6.5: about {_rate(report.lime, units)}, "
            f"{_parts(report.lime)}. The "
            "laboratory's own lime requirement comes first; on a standing tree spread it and water it in, "
            "do not dig."
        )
    if report.sulfur is not None:
        lines.append(
            f"Sulfur powder to bring pH down to 6.0 to 6.5: about {_rate(report.sulfur, units)}, "
            f"{_parts(report.sulfur)}. Only below 24 °C (75 F), watered in at once."
        )
    ph = report.answers.get("soil_ph")
    if report.case.fizzes and isinstance(ph, float) and ph > 7:
        lines.append("The soil fizzes: it holds free lime and cannot realistically be acidified. Live with it.")
    elif isinstance(ph, float) and ph > 7.5 and report.case.sample == "soil":
        lines.append("No sulfur rate is given above pH 7.5: such soil mostly holds free lime; try a drop of vinegar.")
    return lines


def _rate(amendment: Amendment, units: str) -> str:
    metric = f"{round(amendment.g_per_m2, -1):.0f} g per square metre"
    us = f"{amendment.g_per_m2 * SQ_M_IN_100_SQ_FT / GRAMS_IN_POUND:.2g} lb per 100 sq ft"
    mark = f" ({MARK_WORDS.get(amendment.mark, amendment.mark)})"
    return (metric if units == "metric" else us if units == "us" else f"{metric} or {us}") + mark


def _parts(amendment: Amendment) -> str:
    if amendment.parts == 1:
        return "at once"
    if amendment.parts <= 3:
        return f"in {amendment.parts} equal parts, {amendment.months_between} months apart"
    step = amendment.g_per_m2 / amendment.parts
    return (
        f"but never more than about {step:.0f} g per square metre "
        f"({step * 10 * SQ_M_IN_100_SQ_FT / GRAMS_IN_POUND:.1g} lb per 1000 sq ft) at once and "
        f"{amendment.months_between} months apart; test again after two such steps"
    )


def _sampling(report: LabReport) -> list[str]:
    lines: list[str] = []
    for entry in report.sampled:
        table = f"{_title(entry.region)}: " if len(report.sampled) > 1 else ""
        if entry.window is None:
            continue
        first = f"{entry.window.start[1]} {MONTHS[entry.window.start[0] - 1]}"
        last = f"{entry.window.end[1]} {MONTHS[entry.window.end[0] - 1]}"
        words = f"{table}its classes hold for {entry.window.which}, taken {first} to {last}"
        if entry.timing == "inside":
            words += ", as these were"
        elif entry.timing is not None:
            words += f"; these were taken too {entry.timing}"
        lines.append(_sentence(words))
    doubts = dict.fromkeys(reading.doubt for reading in report.readings if reading.doubt)
    if doubts:
        unknown = [_sentence(doubt) for doubt in doubts if "not known" in doubt]
        lines.append(
            " ".join([*unknown, "Leaves change as they age, so 'perhaps' stands before each class that may be wrong"])
            + ", and none of those is handed on to the look."
        )
    return lines


def _title(region: str) -> str:
    return region.replace("_", " ").title()


def _answers(report: LabReport) -> list[str]:
    return [f"{_of_sample(name)}: {str(value).replace('_', ' ')}" for name, value in sorted(report.answers.items())]


def _of_sample(sign: str) -> str:
    sample, _, test = sign.partition("_")
    return f"{'pH' if test == 'ph' else test} of the {sample}"


def cautions(report: LabReport) -> list[str]:
    """Warnings that belong to what was found."""
    lines = []
    answers, tests = report.answers, {entry.test for entry in report.case.measurements}
    if "boron" in tests:
        lines.append("Boron: the step from too little to too much is small. Never add it without a figure that is low.")
    if any(reading.test == "copper" and reading.place == "high" for reading in report.readings):
        lines.append("Copper builds up from sprays and stays in the soil: spray no more than label and need say.")
    if report.sulfur is not None:
        lines.append("Sulfur dust hurts eyes and lungs: still day, goggles, mask; keep it away from fire.")
    if report.lime is not None:
        lines.append("Lime dust burns eyes: goggles and gloves. Never together with ammonium fertilizer.")
    if report.leaching_share or answers.get("soil_salt") in ("raised", "high"):
        lines.append("Wash salt down only where water drains away freely; on wet ground it drowns the roots.")
    if report.hazards.get("bicarbonate") in ("raised", "high"):
        lines.append(
            "Acid to treat hard water is for trained people: it burns, and must never meet chlorine. Ask a "
            "licensed "
            "person; a backflow preventer is needed on any line that is joined to drinking water."
        )
    if report.case.sample == "soil":
        lines.append(
            "Old gardens near painted walls or busy roads may hold lead. Have the soil tested for it, and "
            "ask the local "
            "health authority what a figure means, before children play there or leafy food is grown."
        )
    lines.append("One report is one sample: trees are fed by what leaves, growth and crop show together.")
    return lines


def working(report: LabReport, sources: Citations | None = None) -> list[str]:
    """The sums, each with its source: numbered in ``sources``, else its key."""
    lines = []
    for reading in report.readings:
        table = f" of {', '.join(reading.source)}" if sources is None else sources.mark(reading.source)
        lines.append(
            f"{reading.written}: {reading.value:.4g} {reading.unit}".rstrip()
            + f" by the table{table} ({MARK_WORDS.get(reading.mark, reading.mark)})"
        )
        if reading.deviation is not None and report.case.sample == "leaf":
            low, high = reading.good
            middle = ((low or 0) + (high or 0)) / 2
            lines.append(f"  DOP = 100 x {reading.value:.4g} / {middle:.4g} - 100 = {reading.deviation:+.1f} %")
    if report.sodium_ratio is not None:
        lines.append("SAR = Na / sqrt((Ca + Mg) / 2), all in meq/L (Handbook 60)")
    if report.leaching_share is not None:
        lines.append(f"leaching requirement = ECw / (5 ECe - ECw) = {report.leaching_share:.3f} (FAO 29)")
    if report.salt is not None and report.salt.threshold is not None:
        lines.append("yield = 100 - slope x (ECe - threshold), Maas and Hoffman")
    return lines


def report_json(report: LabReport, notes: Sequence[str]) -> str:
    """The report as JSON; ``answers`` are the signs for the look."""
    data: dict[str, Any] = asdict(report)
    data["command"] = "lab"
    data["origins"] = dict.fromkeys(report.answers, f"from the {report.case.sample} report of the laboratory")
    data["case"]["taken"] = None if report.case.taken is None else str(report.case.taken)
    data["notes"] = [*report.notes, *notes]
    data["conclusion"] = conclusion(report)
    data["order_of_shortage"] = [reading.test for reading in order_of_shortage(report.readings)]
    data["cautions"] = cautions(report)
    data["working"] = working(report)
    return json.dumps(data, indent=2, ensure_ascii=False)


def _sentence(note: str) -> str:
    first = note if note.startswith("pH") else note[0].upper() + note[1:]
    return first.rstrip(".") + "."
