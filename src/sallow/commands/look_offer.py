"""Offers to save a report after a guided look."""

from __future__ import annotations

import argparse

from sallow.commands.figures import say_wrapped
from sallow.commands.look_book import photos_for
from sallow.commands.typed_line import typed_line
from sallow.diagnosis import diagnose
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.knowledge.model import Knowledge
from sallow.looks import Look
from sallow.saving import ENDINGS, save

OFFER = f"Save this report? Type a file name ending in {', '.join(ENDINGS)}, or n (or just Enter) for no."


def offer_to_save(arguments: argparse.Namespace, knowledge: Knowledge, look: Look, environment: Environment) -> None:
    """Ask for a file name until one works or the person declines; end of input declines."""
    environment.say("")
    while True:
        name = typed_line(environment, OFFER)
        if name.lower() in ("", "n", "no", "q", "quit", "exit"):
            return
        try:
            photos = photos_for(arguments, name, environment)
            diagnosis = diagnose(knowledge, look)
            target = save(diagnosis, name, arguments.numbers, arguments.show_working, knowledge, photos)
        except BadInput as error:
            say_wrapped(environment, str(error))
            continue
        environment.say(f"Saved: {target}")
        return
