"""The guided look: the interview, the report, then short offers (amounts, tree book, saving)."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

from sallow.environment import Environment
from sallow.status import ExitStatus

if TYPE_CHECKING:
    from collections.abc import Callable

    from sallow.interview.keep import Keeper, Unfinished
    from sallow.interview.session import Prompt, Session, State
    from sallow.knowledge.model import Knowledge
    from sallow.looks import Look


def guided(
    arguments: argparse.Namespace, knowledge: Knowledge, environment: Environment, fill: Callable[[Look], Look]
) -> ExitStatus:
    """The guided look, by keys in a terminal and by plain prompts elsewhere; ``fill`` adds what files tell."""
    from sallow.commands.look import report
    from sallow.interview.keep import Keeper

    keeper = Keeper(environment, new=not arguments.resume)
    state, session, names = opened(arguments, knowledge, environment, fill)
    look = interviewed(arguments, session, state, environment, keeper).look
    environment.say("")
    diagnosis = report(arguments, knowledge, look, environment)
    if arguments.format == "text":
        from sallow.commands.look_amounts import filled_in

        look, diagnosis = filled_in(arguments, knowledge, look, diagnosis, environment)
    from sallow.commands.look_book import keep, offer_to_keep

    if names:
        keep(names, arguments, knowledge, look, diagnosis, environment)
    keeper.forget()
    if not names:
        offer_to_keep(arguments, knowledge, look, diagnosis, environment)
    if not arguments.save:
        from sallow.commands.look_offer import offer_to_save

        offer_to_save(arguments, knowledge, look, environment)
    return ExitStatus.OK


def opened(
    arguments: argparse.Namespace, knowledge: Knowledge, environment: Environment, fill: Callable[[Look], Look]
) -> tuple[State, Session, tuple[str, ...]]:
    """The state to begin with, its session, and the trees of the book that the look is for."""
    from sallow.commands.look_book import begin, trees_of_unfinished
    from sallow.interview.keep import take_up
    from sallow.interview.session import Session, start

    names = tuple(arguments.trees)
    state = start(environment.today)
    if not arguments.resume:
        tell_unfinished(environment, knowledge)
    else:
        state = take_up(environment, knowledge, chosen_unfinished(environment, knowledge))
        names = names or trees_of_unfinished(state.look, arguments, environment)
        state = replace(state, look=fill(state.look))
    if not names:
        return state, Session(knowledge, fill=fill), ()
    begun = begin(names, state.look, arguments, knowledge, environment)
    if not arguments.resume:
        state = replace(state, look=begun.look)
    for line in begun.lines:
        say(environment, line)
    return state, Session(knowledge, begun.first, fill), names


def tell_unfinished(environment: Environment, knowledge: Knowledge) -> None:
    """Say which unfinished looks are kept, since a new one is begun beside them."""
    from sallow.errors import BadInput
    from sallow.interview.keep import kept_files, unfinished

    if not kept_files(environment):
        return
    try:
        kept = unfinished(environment, knowledge)
    except BadInput:
        return
    words = "An unfinished look is kept" if len(kept) == 1 else "Unfinished looks are kept"
    say(
        environment,
        f"{words}: {'; '.join(one.words for one in kept)}. This is a new look beside "
        f"{'it' if len(kept) == 1 else 'them'}; 'sallow look --resume' goes on with the old one.",
    )
    environment.say("")


def chosen_unfinished(environment: Environment, knowledge: Knowledge) -> Unfinished | None:
    """The unfinished look to take up, asked for where several are kept; says which tree and how far."""
    from sallow.commands.typed_line import typed_line
    from sallow.interview.keep import unfinished

    kept = unfinished(environment, knowledge)
    if not kept:
        return None
    chosen = kept[0]
    if len(kept) > 1:
        say(environment, "Which unfinished look do you want to go on with?")
        for number, one in enumerate(kept, 1):
            say(environment, f"  {number:2} {one.words}")
        while True:
            typed = typed_line(environment, "Type its number, or just Enter for the first.")
            if typed.isdecimal() and 1 <= int(typed) <= len(kept):
                chosen = kept[int(typed) - 1]
            elif typed:
                continue
            break
    say(environment, f"Going on with: {chosen.words}.")
    return chosen


def say(environment: Environment, text: str) -> None:
    """Print a line wrapped to the width."""
    from sallow.render.wrap import wrapped

    for line in wrapped(text, environment.width):
        environment.say(line)


def interviewed(
    arguments: argparse.Namespace, session: Session, state: State, environment: Environment, keeper: Keeper
) -> State:
    """The finished interview."""
    latest = [state]

    def keep(new: State) -> None:
        latest[0] = new
        keeper(new)

    def picture(prompt: Prompt) -> str:
        from sallow.render.leaf.strip import strip_for

        return strip_for(prompt, session.knowledge, str(latest[0].look.tree.get("crop", "")), environment)

    if not environment.terminal or arguments.plain:
        from sallow.interview.plain import PlainInterview

        seen = environment.watched and not arguments.plain
        return PlainInterview(session, environment, keep, keeper.at_risk, picture=picture if seen else None).run(state)
    from sallow.interview.keys import KeyInterview

    return KeyInterview(session, environment, keep, picture, keeper.at_risk).run(state)
