"""Plain numbered questions on the given streams: pick a line, type a value, or say not sure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from sallow.commands.figures import say_wrapped
from sallow.environment import Environment
from sallow.errors import BadInput, Interrupted

T = TypeVar("T")
UNSURE = frozenset({"", "?", "not sure", "unsure", "don't know", "dont know", "ns"})
STOP = frozenset({"q", "quit", "stop"})


class NumberedQuestions:
    """Asks one question at a time; ``None`` always means not sure."""

    def __init__(self, environment: Environment) -> None:
        self._environment = environment
        self._asked = 0

    def choose(self, question: str, options: Sequence[tuple[str, str]]) -> str | None:
        """The key of the option picked, or None for not sure. ``options`` are (key, words)."""
        self._head(question)
        for place, (_, words) in enumerate(options, 1):
            self._environment.say(f"  {place}  {words}")
        self._environment.say(f"  {len(options) + 1}  not sure")
        while True:
            reply = self._reply().lower()
            if reply in UNSURE or reply == str(len(options) + 1):
                return None
            if reply.isdecimal() and 1 <= int(reply) <= len(options):
                return options[int(reply) - 1][0]
            named = [key for key, words in options if reply in (key, words.lower())]
            if named:
                return named[0]
            self._environment.say(f"  Please type a number from 1 to {len(options) + 1}.")

    def value(self, question: str, read: Callable[[str], T]) -> T | None:
        """What ``read`` makes of the reply, or None for not sure; asks again when ``read`` refuses it."""
        self._head(question)
        self._environment.say("  (type it, or press Enter if not sure)")
        while True:
            reply = self._reply()
            if reply.lower() in UNSURE:
                return None
            try:
                return read(reply)
            except BadInput as error:
                self._environment.say(f"  {error}")

    def _head(self, question: str) -> None:
        self._asked += 1
        self._environment.say("")
        say_wrapped(self._environment, question, f"{self._asked}. ")

    def _reply(self) -> str:
        self._environment.stdout.write("> ")
        self._environment.stdout.flush()
        line = self._environment.stdin.readline()
        if not line:
            self._environment.say("")
            raise Interrupted("Stopped before the end of the questions; nothing was worked out or changed.")
        reply = line.strip()
        if reply.lower() in STOP:
            raise Interrupted("Stopped as you asked; nothing was worked out or changed.")
        return reply
