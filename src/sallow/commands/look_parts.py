"""The report on a screen: all of it at once, or to a person at a terminal the answer first and the rest on request."""

from __future__ import annotations

import argparse

from sallow.environment import Environment
from sallow.render.first_screen import first_screen
from sallow.render.outline import outline, the_rest
from sallow.render.terminal import show
from sallow.report_model import Diagnosis

OFFER = "Type r for the reasons and further tests, or just Enter to go on."
WANTED = ("r", "y", "yes", "rest", "reasons", "more")


def show_report(diagnosis: Diagnosis, arguments: argparse.Namespace, environment: Environment) -> None:
    """Print the report. Who was asked at a terminal, and asked for no more than the usual, gets it in two parts."""
    wanted = (arguments.numbers, arguments.show_working, arguments.full)
    asked = arguments.answers is None and arguments.sheet is None
    if any(wanted) or not (environment.watched and asked):
        show(outline(diagnosis, *wanted), environment)
        return
    from sallow.commands.typed_line import typed_line

    show(list(first_screen(diagnosis, *wanted)), environment)
    environment.say("")
    if typed_line(environment, OFFER).lower() in WANTED:
        environment.say("")
        show(list(the_rest(diagnosis, *wanted)), environment)
