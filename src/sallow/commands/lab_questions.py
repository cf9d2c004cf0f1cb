"""The guided questions of ``sallow lab``: what was sampled, the tree, then the report line by line."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, cast

from sallow.care.laboratory import check_plausible, methods_of
from sallow.care.laboratory_case import LabCase
from sallow.care.laboratory_leaf import leaf_crop
from sallow.care.laboratory_units import Measurement, Sample, clean_method, parse_measurement
from sallow.care.season import Hemisphere
from sallow.commands.lab_asides import WHY, asides
from sallow.commands.numbered import NumberedQuestions, asked_with_back
from sallow.commands.water_inputs import CROPS, crop_named
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.environment import Environment
    from sallow.knowledge.tables import Table

EXAMPLES = {
    "leaf": "N 2.1 %   or   Zn 15 ppm",
    "soil": "pH 7.8   or   P(Olsen) 12 ppm   or   EC(paste) 2.3 dS/m",
    "water": "EC 0.9 dS/m   or   Cl 120 mg/L   or   B 0.4 mg/L",
}
METHOD_WORDS = {
    "olsen": "Olsen (bicarbonate)",
    "bray": "Bray",
    "mehlich3": "Mehlich-3",
    "ammonium_acetate": "ammonium acetate",
    "dtpa": "DTPA",
    "paste": "saturated paste",
    "one_to_one": "one part soil to one part water (1:1)",
    "cacl2": "calcium chloride",
}


# Notes the answers so far, for what a person may ask about them.
Told = Callable[[LabCase], LabCase]


def ask_report(arguments: argparse.Namespace, environment: Environment, tables: Mapping[str, Table]) -> LabCase:
    """The case from questions; BadInput when nothing that can be read was typed."""
    environment.say("Read a laboratory report. Have it beside you.")
    return asked_with_back(environment, lambda questions: _report(arguments, questions, tables), judging=True)


def _report(arguments: argparse.Namespace, questions: NumberedQuestions, tables: Mapping[str, Table]) -> LabCase:
    def told(case: LabCase) -> LabCase:
        questions.asides = asides(case, tables)
        return case

    sample = _sample(arguments, questions)
    crop = crop_named(arguments.crop) if arguments.crop else _crop(questions)
    case = _figures(LabCase(sample=sample, crop=crop, measurements=()), questions, tables, told)
    if sample == "leaf":
        return _about_leaves(case, questions, tables["leaf_classes"], told)
    if sample == "soil":
        return _about_soil(case, questions, tables["soil_classes"], told)
    overhead = questions.choose(
        "Does the water wet the leaves?",
        (("yes", "yes, it is sprayed over the crown"), ("no", "no, only the ground")),
        WHY["overhead"],
    )
    return told(replace(case, overhead=overhead == "yes"))


def _sample(arguments: argparse.Namespace, questions: NumberedQuestions) -> Sample:
    if arguments.sample:
        return cast(Sample, arguments.sample)
    picked = questions.choose(
        "What was sampled?",
        (("leaf", "leaves"), ("soil", "soil"), ("water", "the water the tree gets")),
        WHY["sample"],
    )
    if picked is None:
        raise BadInput(
            "which kind of report it is has to be known: leaf reports give nitrogen in %, soil reports give "
            "a pH, "
            "water reports give mg/L."
        )
    return cast(Sample, picked)


def _crop(questions: NumberedQuestions) -> str:
    words = f"What kind of tree is it for? ({', '.join(CROPS)})"
    return questions.value(words, crop_named, WHY["crop"]) or "other"


def _figures(case: LabCase, questions: NumberedQuestions, tables: Mapping[str, Table], told: Told) -> LabCase:
    sample = case.sample
    figures: list[Measurement] = []

    def read(text: str) -> Measurement:
        entry = parse_measurement(text)
        check_plausible(entry, tables["plausible_values"], sample)
        if any(known.test == entry.test and known.method == entry.method for known in figures):
            raise BadInput(f"{entry.test.replace('_', ' ')} was typed already; the first figure is kept.")
        return entry

    questions.say()
    questions.say(f"Now the figures, one at a time with the unit, as printed: {EXAMPLES[sample]}")
    while True:
        words = "First figure?" if not figures else "Next figure? (Enter when there are no more)"
        entry = questions.value(words, read, WHY["figure"])
        if entry is None:
            break
        figures.append(entry)
        case = told(replace(case, measurements=tuple(figures)))
    if not figures:
        raise BadInput("no figure was typed, so there is nothing to read.")
    return case


def _about_leaves(case: LabCase, questions: NumberedQuestions, table: Table, told: Told) -> LabCase:
    regions = tuple(dict.fromkeys(str(row["region"]) for row in table.where(crop=leaf_crop(case.crop))))
    if len(regions) > 1:
        picked = questions.choose(
            "Against which published table? (they differ; never mix them)",
            tuple((region, region.replace("_", " ").title()) for region in regions),
            WHY["table"],
        )
        case = told(replace(case, regions=() if picked is None else (picked,)))
    halves = (("north", "north of the equator"), ("south", "south of it"))
    half = questions.choose("Where is the tree?", halves, WHY["half"])
    case = told(replace(case, hemisphere=cast("Hemisphere | None", half)))
    taken = questions.value("On what day were the leaves taken? (like 2026-03-15)", _day, WHY["taken"])
    return told(replace(case, taken=taken))


def _about_soil(case: LabCase, questions: NumberedQuestions, table: Table, told: Told) -> LabCase:
    figures = []
    for entry in case.measurements:
        methods = [name for name in methods_of(table, entry.test) if name not in ("any", "water")]
        if methods and not entry.method:
            name = "the salt (EC)" if entry.test == "ec" else entry.test.replace("_", " ")
            picked = questions.choose(
                f"How was {name} extracted? (the report names it)",
                tuple((name, METHOD_WORDS[name]) for name in methods),
                WHY["method"],
            )
            entry = replace(entry, method=clean_method(picked or ""))
        figures.append(entry)
    case = told(replace(case, measurements=tuple(figures)))
    texture = questions.choose(
        "What kind of soil is it?",
        (("sand", "sandy, gritty"), ("loam", "loam"), ("clay", "clay, sticky when wet")),
        WHY["texture"],
    )
    case = told(replace(case, texture=texture))
    fizzes = questions.choose(
        "Does a spoon of dry soil fizz when vinegar is dripped on it?", (("yes", "yes"), ("no", "no")), WHY["fizzes"]
    )
    return told(replace(case, fizzes=None if fizzes is None else fizzes == "yes"))


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise BadInput(f"'{text.strip()}' is not a day; expected year-month-day, like 2026-03-15.") from None
