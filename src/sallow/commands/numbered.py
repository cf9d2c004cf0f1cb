"""Plain numbered questions on the given streams, with the letters of a look: n not sure, b back, f finish."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from sallow.commands.figures import say_wrapped
from sallow.environment import Environment
from sallow.errors import BadInput, Interrupted

T = TypeVar("T")
UNSURE = frozenset({"", "n", "?", "not sure", "unsure", "don't know", "dont know", "ns"})
BACK = frozenset({"b", "back"})
FINISH = frozenset({"f", "finish"})
STOP = frozenset({"q", "quit", "stop"})
STOPPED = "nothing was worked out or changed."
HOW_TO_ANSWER = (
    "Answer with the number of a line, or type what is asked. At any question: n not sure (just Enter does the "
    "same); b back to the question before; f finish with what you have; q stop."
)
_LETTERS = "n not sure, b back, f finish with what you have, q stop"


class StepBack(Exception):
    """The person wants the question before once more."""


class NumberedQuestions:
    """Asks one question at a time; ``None`` always means not sure.

    ``earlier`` are answers given before a step back: they are taken as given, without asking or printing.
    """

    def __init__(self, environment: Environment, earlier: Sequence[Any] = (), stopped: str = STOPPED) -> None:
        self._environment = environment
        self._earlier = tuple(earlier)
        self._stopped = stopped
        self._finished = False
        self.answers: list[Any] = []

    def introduce(self) -> None:
        """The few words on how to answer and how to go back."""
        say_wrapped(self._environment, HOW_TO_ANSWER, hang="")

    def say(self, text: str = "") -> None:
        """Print words between the questions; not again while earlier answers are taken over."""
        if not self._known() and not self._finished:
            say_wrapped(self._environment, text) if text else self._environment.say()

    def choose(self, question: str, options: Sequence[tuple[str, str]]) -> str | None:
        """The key of the option picked, or None for not sure. ``options`` are (key, words)."""

        def picked(reply: str) -> str:
            if reply.isdecimal() and 1 <= int(reply) <= len(options):
                return options[int(reply) - 1][0]
            for key, words in options:
                if reply.lower() in (key, words.lower()):
                    return key
            raise BadInput(f"Please type a number from 1 to {len(options)}, or a letter: {_LETTERS}.")

        return self._settled(lambda: self._put(question, picked, [words for _, words in options]))

    def value(self, question: str, read: Callable[[str], T]) -> T | None:
        """What ``read`` makes of the reply, or None for not sure; asks again when ``read`` refuses it."""

        def checked(reply: str) -> T:
            try:
                return read(reply)
            except BadInput as error:
                raise BadInput(f"{error} (Or a letter: {_LETTERS}.)") from None

        return self._settled(lambda: self._put(question, checked, ()))

    def needed(self, ask: Callable[[], T | None]) -> T:
        """Puts ``ask`` (one question) until it has an answer; Interrupted when the person finishes without."""
        while True:
            answer = ask()
            if answer is not None:
                return answer
            if self._finished:
                raise Interrupted(f"Without this answer it cannot be done; {self._stopped}")
            self._environment.say("  This one is needed.")
            self.answers.pop()

    def _known(self) -> bool:
        return len(self.answers) < len(self._earlier)

    def _settled(self, ask: Callable[[], T | None]) -> T | None:
        answer: T | None = None
        if self._known():
            answer = self._earlier[len(self.answers)]
        elif not self._finished:
            answer = ask()
        self.answers.append(answer)
        return answer

    def _put(self, question: str, read: Callable[[str], T], lines: Sequence[str]) -> T | None:
        self._environment.say("")
        say_wrapped(self._environment, question, f"{len(self.answers) + 1}. ")
        for place, words in enumerate(lines, 1):
            say_wrapped(self._environment, words, f"  {place:2} ")
        self._environment.say("   n not sure; b back" if self.answers else "   n not sure")
        while True:
            reply = self._reply()
            word = reply.lower()
            if word in UNSURE:
                return None
            if word in FINISH:
                self._finished = True
                return None
            try:
                if word in BACK:
                    self._back()
                return read(reply)
            except BadInput as error:
                say_wrapped(self._environment, str(error), "  ")

    def _back(self) -> None:
        if not self.answers:
            raise BadInput("This is the first question; there is nothing to go back to.")
        raise StepBack

    def _reply(self) -> str:
        self._environment.stdout.write("> ")
        self._environment.stdout.flush()
        line = self._environment.stdin.readline()
        if not line:
            self._environment.say("")
            raise Interrupted(f"Stopped before the end of the questions; {self._stopped}")
        reply = "".join(mark for mark in line if mark.isprintable()).strip()
        if reply.lower() in STOP:
            raise Interrupted(f"Stopped as you asked; {self._stopped}")
        return reply


def asked_with_back(
    environment: Environment, ask: Callable[[NumberedQuestions], T], stopped: str = STOPPED
) -> T:
    """What ``ask`` returns. At ``b`` it is run again with all answers but the last, so it may do nothing but ask."""
    questions = NumberedQuestions(environment, stopped=stopped)
    questions.introduce()
    while True:
        try:
            return ask(questions)
        except StepBack:
            questions = NumberedQuestions(environment, questions.answers[:-1], stopped)
