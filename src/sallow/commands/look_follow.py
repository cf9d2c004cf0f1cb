"""The follow-up of a look: later answers from a file or asked one by one, what changed, and the new report."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from sallow.answers import read_look
from sallow.commands.typed_line import typed_line
from sallow.environment import Environment
from sallow.errors import BadInput, Interrupted
from sallow.follow_up import (
    brings_news,
    change_lines,
    earlier_look,
    later,
    nothing_new_lines,
    wanted_questions,
)
from sallow.interview.follow import FollowSession
from sallow.interview.letters import FOLLOW_UP, LEAVE, LEFT
from sallow.interview.plain import Left, PlainInterview
from sallow.interview.session import State, start
from sallow.interview.typed import day_typed
from sallow.knowledge.files import read_text
from sallow.knowledge.model import Knowledge
from sallow.later_day import moved_on
from sallow.looks import Look
from sallow.phrases import day_words
from sallow.render.wrap import wrapped
from sallow.status import ExitStatus
from sallow.values import replace

if TYPE_CHECKING:
    from sallow.interview.keys import KeyInterview

ASKED = "What have you seen or tested since? 'Not sure' (n) leaves a thing as it was."
LOSS = "Leaving now loses what you answered; f finishes with it instead."


def follow_up(
    arguments: argparse.Namespace, knowledge: Knowledge, environment: Environment, fill: Callable[[Look], Look]
) -> ExitStatus:
    """Take up the earlier look, print what changed and the report of today, keep and save it where asked."""
    before = earlier_look(read_text(Path(arguments.follow_up)), arguments.follow_up, knowledge, environment.today)
    if arguments.answers:
        new = read_look(read_text(Path(arguments.answers)), arguments.answers, knowledge, environment.today)
        after = later(before, new, new.date)
    else:
        after = asked(before, knowledge, environment, arguments.plain)
    after = fill(after)
    if arguments.format == "text" and not arguments.save and not brings_news(before, after):
        say_all(environment, nothing_new_lines(knowledge, before, after.date))
        if arguments.trees:
            say_all(environment, ["Nothing was added to the tree book."])
        return ExitStatus.OK
    if arguments.format == "text":
        say_all(environment, [*change_lines(knowledge, before, after, after.date), ""])
    report_and_keep(arguments, knowledge, after, environment)
    return ExitStatus.OK


def report_and_keep(arguments: argparse.Namespace, knowledge: Knowledge, look: Look, environment: Environment) -> None:
    """The report; a person who was asked is offered to fill in what its amounts lack, and to keep and save the look,
    which otherwise goes to the trees named."""
    from sallow.commands.look import report
    from sallow.commands.look_book import keep, offer_to_keep
    from sallow.commands.look_offer import offer_to_save

    diagnosis = report(arguments, knowledge, look, environment)
    if not arguments.answers and arguments.format == "text":
        from sallow.commands.look_amounts import filled_in

        look, diagnosis = filled_in(arguments, knowledge, look, diagnosis, environment)
    if arguments.trees:
        keep(arguments.trees, arguments, knowledge, look, diagnosis, environment)
    elif not arguments.answers:
        offer_to_keep(arguments, knowledge, look, diagnosis, environment)
    if not arguments.answers and not arguments.save:
        offer_to_save(arguments, knowledge, look, environment)


def asked(before: Look, knowledge: Knowledge, environment: Environment, plain: bool) -> Look:
    """The earlier look with what the person tells now; at the end of input with what was told until then."""
    day = day_of_follow_up(before, environment)
    session = FollowSession(knowledge, before, wanted_questions(knowledge, before, day))
    begun = start(day, replace(moved_on(before, day), no_more_symptoms=False))
    latest = [begun]

    def keep(state: State) -> None:
        latest[0] = state

    def at_risk(state: State) -> str:
        return LOSS if brings_news(before, state.look) else ""

    say_all(environment, [ASKED])
    try:
        keep(interview(session, environment, keep, at_risk, plain).run(begun))
    except Left:
        raise
    except Interrupted:
        environment.say("")
    return replace(latest[0].look, no_more_symptoms=True)


def day_of_follow_up(before: Look, environment: Environment) -> date:
    """The day the later things were seen, asked before all else; Enter is today. Left when the person leaves."""
    today, place = environment.today, str(before.tree.get("hemisphere", ""))
    say_all(environment, [f"The look of {day_words(before.date)} is taken up."])
    while True:
        typed = typed_line(environment, f"Which day is this follow-up of? (Enter for {day_words(today)})")
        if typed.lower() in LEAVE:
            raise Left(LEFT)
        if not typed and today < before.date:
            return before.date
        try:
            day = day_typed(typed, today, place) if typed else today
        except BadInput as error:
            say_all(environment, [f"  {error}"])
            continue
        if day >= before.date:
            if typed:
                say_all(environment, [f"  (Taken as {day_words(day)}.)"])
            return day
        say_all(environment, [f"  The look was on {day_words(before.date)}; type that day or a later one."])


def interview(
    session: FollowSession,
    environment: Environment,
    keep: Callable[[State], None],
    at_risk: Callable[[State], str],
    plain: bool,
) -> PlainInterview | KeyInterview:
    """The interview by keys in a terminal, by plain prompts elsewhere."""
    if plain or not environment.terminal:
        return PlainInterview(session, environment, keep, at_risk, FOLLOW_UP)
    from sallow.interview.keys import KeyInterview

    return KeyInterview(session, environment, keep, None, at_risk, FOLLOW_UP)


def say_all(environment: Environment, lines: Sequence[str]) -> None:
    """Print lines wrapped to the width, each keeping its indent."""
    for text in lines:
        indent = " " * (len(text) - len(text.lstrip(" ")))
        hang = indent + "  " * text.lstrip(" ").startswith("- ")
        for number, line in enumerate(wrapped(text.strip(), environment.width - len(hang)) or [""]):
            environment.say((hang if number else indent) + line)
