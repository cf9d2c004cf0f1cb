"""sallow lab: read a soil, leaf or water report against published classes."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from sallow.status import ExitStatus

if TYPE_CHECKING:
    from sallow.environment import Environment


def configure(parser: argparse.ArgumentParser) -> None:
    """Options; without figures the command asks for them."""
    parser.epilog = (
        "Figures are NAME=VALUE UNIT, the extraction method in brackets: N=2.1% Zn=15ppm 'P(Olsen)=12ppm' "
        "pH=7.8 "
        "'EC(paste)=2.3dS/m'. Example: sallow lab leaf --crop lemon --table florida --taken 2026-08-20 "
        "--hemisphere north --values N=2.1% Zn=15ppm"
    )
    parser.add_argument("sample", nargs="?", choices=("soil", "leaf", "water"), help="what was sampled")
    parser.add_argument("figures", nargs="*", metavar="NAME=VALUE", help="figures of the report, or --values")
    parser.add_argument("--values", nargs="+", default=[], metavar="NAME=VALUE", help="figures of the report")
    parser.add_argument("--crop", help="lemon, avocado, peach ... or other")
    parser.add_argument("--table", action="append", metavar="PLACE", help="leaf table to read against: florida ...")
    parser.add_argument("--csv", type=Path, metavar="FILE", help="read the figures from a CSV file")
    parser.add_argument(
        "--columns",
        metavar="MAP",
        help="which column is which: test=Analyte,value=Result,unit=Units,method=Method",
    )
    parser.add_argument("--row", type=int, default=1, help="with one sample a line: which line of the CSV (1)")
    parser.add_argument("--taken", type=date.fromisoformat, metavar="YYYY-MM-DD", help="day the leaves were taken")
    parser.add_argument("--hemisphere", choices=("north", "south"), help="for the sampling season")
    parser.add_argument("--texture", choices=("sand", "loam", "clay"), help="of the soil, for lime and sulfur")
    parser.add_argument("--fizzes", choices=("yes", "no"), help="does the soil fizz with vinegar")
    parser.add_argument("--lime-strength", type=float, default=100.0, metavar="CCE", help="of the lime, in %% (100)")
    parser.add_argument("--overhead", action="store_true", help="the water wets the leaves")
    parser.add_argument("--units", choices=("metric", "us", "both"), default="both", help="units of the answer")
    parser.add_argument("--show-working", action="store_true", help="show the sums and the sources")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="text to read, or JSON")
    parser.add_argument("--save-answers", metavar="FILE.json", help="keep the results for sallow look --with")


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Ask or read, work through, and tell."""
    from sallow.care.laboratory_report import work_through
    from sallow.commands.lab_inputs import case_from, told_anything
    from sallow.commands.lab_words import report_json, report_text
    from sallow.errors import BadInput
    from sallow.knowledge.locate import shipped_folder
    from sallow.knowledge.tables import load_tables

    tables = load_tables(shipped_folder("knowledge"))
    if told_anything(arguments):
        case, notes = case_from(arguments, tables)
    elif arguments.format == "json":
        raise BadInput("--format json needs the figures as options or --csv; the questions are for reading.")
    else:
        from sallow.commands.lab_questions import ask_report

        case, notes = ask_report(arguments, environment, tables), ()
    try:
        report = work_through(case, tables)
    except BadInput as error:
        raise BadInput(f"{arguments.csv}: {error}" if arguments.csv else str(error)) from None
    if arguments.format == "json":
        environment.say(report_json(report, notes))
    else:
        report_text(report, notes, environment, arguments.units, arguments.show_working)
    if arguments.save_answers:
        from sallow.commands.look_sources import save_results

        if not report.answers and any(reading.doubt for reading in report.readings):
            raise BadInput(
                "no file was written: nothing is handed on to a look from leaves that were not surely taken in season. "
                "Give the day and the half of the world with --taken and --hemisphere."
            )
        save_results(arguments.save_answers, "lab", report_json(report, notes), environment)
    return ExitStatus.OK
