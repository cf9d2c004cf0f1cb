"""The command line: picks the sub-command, and turns every error into a plain message and an exit code."""

from __future__ import annotations

import argparse
import os
import re
import sys
from collections.abc import Sequence
from functools import partial
from importlib import import_module
from typing import NoReturn

from sallow.environment import Environment, from_process, terminal_columns
from sallow.errors import Interrupted, KnowledgeError, SallowError
from sallow.status import ExitStatus

# Each command lives in sallow/commands/<name>.py with configure(parser) and run(arguments, environment);
# only the one that was asked for is imported.
COMMANDS = {
    "look": "look at one tree: answer questions, get ranked causes, tests and next steps",
    "demo": "replay a recorded look, nothing to type",
    "questions": "list every sign that can be asked, with its answers",
    "feed": "should this tree be fed, and if so how much of the bag at hand",
    "lab": "read a soil, leaf or water report",
    "water": "how much water the tree needs, and whether it gets it",
    "trees": "the tree book: trees, notes, looks, what is due",
    "leaves": "show the leaf pictures",
    "sheet": "print a field sheet to take to the tree",
    "knowledge": "check, extend and inspect the knowledge files",
}


def build_parser(only: str | None = None) -> argparse.ArgumentParser:
    """The parser for all commands, or for ``only`` one of them when the rest need not be loaded."""
    # Told the width, argparse need not measure the terminal again for every option.
    shape = partial(argparse.HelpFormatter, width=terminal_columns(os.environ) - 2)
    parser = argparse.ArgumentParser(
        prog="sallow",
        description="Works out, with you, why the leaves of a home fruit tree look wrong, and what to do next.",
        epilog="Start with: sallow look",
        formatter_class=shape,
    )
    parser.add_argument("--version", action="store_true", help="print the version and stop")
    parser.add_argument("--traceback", action="store_true", help="show where a fault in sallow itself happened")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", prog="sallow")
    for name, summary in COMMANDS.items():
        if only in (None, name):
            told = f"{summary[0].upper()}{summary[1:]}."
            command = commands.add_parser(name, help=summary, description=told, formatter_class=shape)
            import_module(f"sallow.commands.{name}").configure(command)
    return parser


def main(words: Sequence[str], environment: Environment) -> int:
    """Run one command and return its exit status; no exception leaves here unless ``--traceback`` asks for it."""
    wanted = next((word for word in words if not word.startswith("-")), None)
    if wanted is None and "--version" in words:
        from sallow import __version__

        environment.say(f"sallow {__version__}")
        return ExitStatus.OK
    parser = build_parser(only=wanted if wanted in COMMANDS else None)
    try:
        arguments = parser.parse_args(_with_negative_amounts(words))
    except SystemExit as stop:
        return int(stop.code or 0)
    if not arguments.command:
        parser.print_help(environment.stdout)
        return ExitStatus.OK
    try:
        run = import_module(f"sallow.commands.{arguments.command}").run
        status = int(run(arguments, environment))
        environment.stdout.flush()
        return status
    except KnowledgeError as error:
        environment.complain(plain(str(error)))
        environment.complain("The knowledge files cannot be used as they are; nothing was half-loaded.")
        return ExitStatus.BAD_INPUT
    except Interrupted as error:
        complain(environment, plain(str(error)))
        return ExitStatus.INTERRUPTED
    except KeyboardInterrupt:
        environment.complain("Stopped.")
        return ExitStatus.INTERRUPTED
    except SallowError as error:
        complain(environment, plain(f"sallow: {error}"))
        return ExitStatus.BAD_INPUT
    except BrokenPipeError:
        return _close_broken_pipe()
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        complain(
            environment,
            f"sallow: {where}{error.strerror or error}. What is saved stays as it was; make room or choose another "
            "place, and run it again.",
        )
        _let_go_of(environment)
        return ExitStatus.BAD_INPUT
    except Exception as fault:
        if arguments.traceback:
            raise
        environment.complain(
            f"sallow: a fault in sallow itself ({type(fault).__name__}: {fault}). Nothing you typed is lost. "
            "Run it again with 'sallow --traceback ...' and pass the text on to the developers."
        )
        return ExitStatus.BUG


def _with_negative_amounts(words: Sequence[str]) -> list[str]:
    """The words with '--canopy -3m' as '--canopy=-3m', so that the command itself says what is wrong with it."""
    joined: list[str] = []
    for word in words:
        amount = word[:1] == "-" and word[1:2] in tuple("0123456789.,") and re.match(r"-[\d.,]+\s*[^\d.,\s]", word)
        if joined and amount and re.fullmatch(r"--[a-z0-9-]+", joined[-1]):
            joined[-1] = f"{joined[-1]}={word}"
        else:
            joined.append(word)
    return joined


def plain(text: str) -> str:
    """The text without characters that could steer a terminal, whatever file they were quoted from."""
    return "".join(character if character.isprintable() or character == "\n" else "?" for character in text)


def complain(environment: Environment, text: str) -> None:
    """Write to the error stream: wrapped for a person at a terminal, paths unbroken; else in lines as they are."""
    if not environment.terminal:
        environment.complain(text)
        return
    from textwrap import wrap

    for line in text.splitlines():
        for part in wrap(line, environment.width, break_long_words=False, break_on_hyphens=False) or [""]:
            environment.complain(part)


def _let_go_of(environment: Environment) -> None:
    """Keep the interpreter's last flush from failing once more on an output that cannot be written."""
    if environment.stdout is sys.stdout:
        try:
            sys.stdout.flush()
        except OSError:
            _close_broken_pipe()


def _close_broken_pipe() -> int:
    # The reader went away; pointing stdout at nothing keeps the interpreter's last flush from complaining.
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return ExitStatus.OK


def entry() -> NoReturn:
    """The console script."""
    status = main(sys.argv[1:], from_process())
    try:
        sys.stdout.flush()
        sys.stderr.flush()
    except (OSError, ValueError):
        sys.exit(status)
    # Nothing is left to be done, and taking every object apart would cost a tenth of a short run.
    os._exit(status)
