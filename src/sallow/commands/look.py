"""The look command: guided, from an answers file, or over many looks."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from sallow.environment import Environment
from sallow.status import ExitStatus

if TYPE_CHECKING:
    from pathlib import Path

    from sallow.knowledge.model import Knowledge
    from sallow.looks import Look
    from sallow.report_model import Diagnosis


def configure(parser: argparse.ArgumentParser) -> None:
    """The options of ``sallow look``."""
    from sallow.commands.look_book import add_book_options
    from sallow.commands.look_sources import add_source_options

    source = parser.add_mutually_exclusive_group()
    parser.add_argument("--plain", action="store_true", help="numbered prompts on standard input and output")
    source.add_argument(
        "--answers",
        metavar="FILE",
        help="no questions: take the answers from a YAML or JSON file ('-' for standard input)",
    )
    source.add_argument(
        "--many",
        metavar="FILE",
        help="one answers object a line (JSON Lines); one result a line ('-' for standard input)",
    )
    source.add_argument(
        "--sheet",
        metavar="CODE_OR_FILE",
        help="no questions: take a field sheet, typed as one line ('lemon-1a2b 12b 13a,c') or kept in a small file",
    )
    source.add_argument("--resume", action="store_true", help="take up the look that was interrupted")
    parser.add_argument(
        "--follow-up",
        metavar="LOOK",
        help="take up a saved look (.json) days later: adds test results and new signs and says what changed",
    )
    parser.add_argument(
        "--crop", metavar="CROP", help="which tree a sheet is about, when its mark is not typed (with --sheet)"
    )
    add_book_options(parser)
    add_source_options(parser)
    parser.add_argument(
        "--format", choices=("text", "markdown", "json"), default="text", help="how the report is printed"
    )
    parser.add_argument(
        "--save",
        metavar="PATH",
        action="append",
        default=[],
        help="also save the report; the ending decides the form (.txt .md .json .html .svg)",
    )
    parser.add_argument(
        "--numbers", action="store_true", help="show weights of evidence (decibans) and shares of belief"
    )
    parser.add_argument("--show-working", action="store_true", help="show how amounts were worked out")
    parser.add_argument(
        "--full", action="store_true", help="print every test step by step, all sources and what you told"
    )
    parser.add_argument(
        "--knowledge",
        metavar="DIR",
        action="append",
        default=[],
        help="lay the knowledge files of this folder over the shipped ones (repeatable)",
    )
    parser.add_argument(
        "--what-if",
        metavar="SIGN=VALUE",
        action="append",
        default=[],
        help="what another answer would make of it (repeatable; with --answers)",
    )
    parser.add_argument("--why", metavar="CAUSE", help="show the whole chain of reasons for a cause (with --answers)")
    parser.add_argument(
        "--why-not", metavar="CAUSE", help="show what is missing or speaks against a cause (with --answers)"
    )


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Run ``sallow look``."""
    from sallow.commands.look_book import check_options
    from sallow.commands.look_sources import sources_for
    from sallow.knowledge.access import open_knowledge
    from sallow.saving import form_of
    from sallow.values import replace

    check_options(arguments)
    if arguments.plain:
        environment = replace(environment, colours=0)
    for path in arguments.save:
        form_of(path)  # a wrong ending is told before the questions, not after them
    knowledge = open_knowledge(environment, arguments.knowledge)
    if arguments.many:
        from sallow.commands.look_many import run_many

        return run_many(arguments.many, knowledge, environment)
    fill = sources_for(arguments, knowledge, environment)
    if not (arguments.follow_up or arguments.sheet is not None or arguments.answers):
        from sallow.commands.look_guided import guided

        return guided(arguments, knowledge, environment, fill)
    if arguments.follow_up:
        from sallow.commands.look_follow import follow_up

        return follow_up(arguments, knowledge, environment, fill)
    look = fill(told_look(arguments, knowledge, environment))
    if arguments.answers and (arguments.why or arguments.why_not or arguments.what_if):
        from sallow.commands.look_asides import run_asides

        return run_asides(arguments, knowledge, look, environment)
    diagnosis = report(arguments, knowledge, look, environment)
    if arguments.trees:
        from sallow.commands.look_book import keep

        keep(arguments.trees, arguments, knowledge, look, diagnosis, environment)
    return ExitStatus.OK


def told_look(arguments: argparse.Namespace, knowledge: Knowledge, environment: Environment) -> Look:
    """The look that needs no questions: a field sheet or an answers file, over what the book knows."""
    if arguments.sheet is not None:
        look = look_of_sheet(arguments, knowledge, environment)
    else:
        look = answers_from(arguments.answers, knowledge, environment)
    if not arguments.trees:
        return look
    from sallow.brought import laid_over
    from sallow.commands.look_book import begin

    return laid_over(begin(arguments.trees, look, arguments, knowledge, environment).look, look)


def look_of_sheet(arguments: argparse.Namespace, knowledge: Knowledge, environment: Environment) -> Look:
    """The look of a field sheet, typed in the command or kept in a file."""
    from pathlib import Path

    from sallow.commands.leaves import crop_named
    from sallow.knowledge.files import read_text
    from sallow.sheet_kept import recall
    from sallow.sheet_reading import taken_in

    text, path = arguments.sheet, Path(arguments.sheet)
    if len(text) < 200 and "\n" not in text and (path.is_file() or path.suffix in (".txt", ".sheet")):
        text = read_text(path)
    crop = crop_named(arguments.crop, knowledge)
    taken = taken_in(text, knowledge, crop, environment.today, lambda mark: recall(mark, environment.data_folder))
    if taken.assumed:
        environment.complain(
            f"No mark was typed, so the numbers are read as on the sheet {taken.assumed}. If yours has another mark at "
            "its head, type that first."
        )
    if taken.notes:
        environment.complain("This sheet was printed from older knowledge. What still is asked was taken in. Changed:")
    for note in taken.notes:
        environment.complain(f"  {note}")
    return taken.look


def answers_from(name: str, knowledge: Knowledge, environment: Environment) -> Look:
    """The look of an answers file, or of standard input."""
    from pathlib import Path

    from sallow.answers import read_look
    from sallow.bounded import bounded
    from sallow.errors import BadInput
    from sallow.knowledge.files import read_text

    if name == "-":
        try:
            text = bounded(environment.stdin, 2, "answers file", "standard input")
        except UnicodeDecodeError:
            raise BadInput("standard input is not UTF-8 text") from None
        return read_look(text, "standard input", knowledge, environment.today)
    path = Path(name)
    if path.is_file() and path.stat().st_size > 2_000_000:
        raise BadInput(f"{name}: the file is larger than any answers file (2 MB at most)")
    return read_look(read_text(path), name, knowledge, environment.today)


def report(arguments: argparse.Namespace, knowledge: Knowledge, look: Look, environment: Environment) -> Diagnosis:
    """Print the report of a look and save it where asked, even when whoever read the output went away (``| head``)."""
    from sallow.diagnosis import diagnose
    from sallow.saving import rendered

    diagnosis = diagnose(knowledge, look)
    try:
        if arguments.format == "text":
            from sallow.commands.look_parts import show_report

            show_report(diagnosis, arguments, environment)
        else:
            environment.stdout.write(rendered(diagnosis, arguments.format, arguments.numbers, arguments.show_working))
    except BrokenPipeError:
        pass
    for path in arguments.save:
        environment.complain(f"Saved: {save_report(arguments, path, diagnosis, knowledge, environment)}")
    return diagnosis


def save_report(
    arguments: argparse.Namespace, path: str, diagnosis: Diagnosis, knowledge: Knowledge, environment: Environment
) -> Path:
    """Save the report to a path, with the photos that its form can hold; where it went."""
    from sallow.commands.look_book import photos_for
    from sallow.saving import save

    photos = photos_for(arguments, path, environment)
    return save(diagnosis, path, arguments.numbers, arguments.show_working, knowledge, photos)
