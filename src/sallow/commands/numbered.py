"""Plain numbered questions on the given streams, with the letters and offers of a plain look."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, TypeVar

from sallow.commands.figures import say_wrapped
from sallow.environment import Environment
from sallow.errors import BadInput, Interrupted
from sallow.interview.letters import (
    ALWAYS_GOOD,
    ANSWER_BY,
    COMMANDS,
    FIRST_QUESTION,
    LAST_QUESTION,
    MANY_UNSURE,
    offers,
)

T = TypeVar("T")
Lines = Callable[[], Sequence[str]]
UNSURE = frozenset({"", "n", "?", "not sure", "unsure", "don't know", "dont know", "ns"})
STOP = frozenset({"q", "quit", "stop"})
STOPPED = "nothing was worked out or changed."
_SPELLED_OUT = {"why": "w", "back": "b", "finish": "f"}
_NOT_SURE = "not sure"
_WHY = "What you answer is written down as you say it; it can be changed afterwards."


@dataclass(frozen=True, slots=True)
class Asides:
    """What a person may ask amid the questions: how it looks so far, and what would change that."""

    so_far: Lines
    change: Lines


@dataclass(frozen=True, slots=True)
class Given:
    """A question with its answer and the words it was given in; ``anew`` when it is to be put once more."""

    question: str
    answer: Any
    said: str
    anew: bool = False


class StepBack(Exception):
    """The person goes back or changes an answer: the questions are put again, with ``earlier`` taken as given."""

    def __init__(self, earlier: Sequence[Given]) -> None:
        super().__init__()
        self.earlier = tuple(earlier)


class NumberedQuestions:
    """Asks one question at a time; ``None`` always means not sure. Who asks nothing says nothing: the ``opening`` and
    the words on how to answer come before the first question.

    ``earlier`` are answers given before a step back: a question that is among them is not put again. With
    ``judging`` the letters s and m are offered too; ``asides`` then says what they answer, and may be set anew
    before each question.
    """

    def __init__(
        self,
        environment: Environment,
        earlier: Sequence[Given] = (),
        stopped: str = STOPPED,
        judging: bool = False,
        opening: str = "",
        introduced: bool = False,
    ) -> None:
        self._environment = environment
        self._earlier = list(earlier)
        self._stopped = stopped
        self._letters = "".join(COMMANDS) if judging else "wbcf"
        self._opening = opening
        self._introduced = introduced
        self._unsure = 0
        self._must = False
        self.finished = False
        self.asides: Asides | None = None
        self.given: list[Given] = []

    @property
    def today(self) -> date:
        """The day on which the questions are put."""
        return self._environment.today

    def introduce(self) -> None:
        """The opening and the few words on how to answer and what else one may do, once."""
        if self._introduced:
            return
        self._introduced = True
        if self._opening:
            say_wrapped(self._environment, self._opening, hang="")
        for text in (ANSWER_BY, offers(self._letters), f"{ALWAYS_GOOD} Ctrl-C stops."):
            say_wrapped(self._environment, text, hang="")

    def say(self, text: str = "") -> None:
        """Print words between the questions; not again while earlier answers are taken over."""
        if not self._earlier and not self.finished:
            self.introduce()
            say_wrapped(self._environment, text) if text else self._environment.say()

    def choose(self, question: str, options: Sequence[tuple[str, str]], why: Lines | str = _WHY) -> str | None:
        """The key of the option picked, or None for not sure. ``options`` are (key, words)."""

        def picked(reply: str) -> tuple[str, str]:
            if reply.isdecimal() and 1 <= int(reply) <= len(options):
                return options[int(reply) - 1]
            for key, words in options:
                if reply.lower() in (key, words.lower()):
                    return key, words
            raise BadInput(f"Please type a number from 1 to {len(options)}, or n (or {', '.join(self._letters)}).")

        return self._settled(question, lambda: self._put(question, picked, [words for _, words in options], why))

    def value(self, question: str, read: Callable[[str], T], why: Lines | str = _WHY) -> T | None:
        """What ``read`` makes of the reply, or None for not sure; asks again when ``read`` refuses it."""

        def checked(reply: str) -> tuple[T, str]:
            try:
                return read(reply), reply
            except BadInput as error:
                raise BadInput(f"{error} (Or n, or {', '.join(self._letters)}.)") from None

        return self._settled(question, lambda: self._put(question, checked, (), why))

    def needed(self, ask: Callable[[], T | None]) -> T:
        """Puts ``ask`` (one question) until it has an answer; Interrupted when the person finishes without."""
        while True:
            self._must = True
            answer = ask()
            self._must = False
            if answer is not None:
                return answer
            if self.finished:
                raise Interrupted(f"Without this answer it cannot be done; {self._stopped}")
            self._environment.say("  This one is needed.")
            self.given.pop()

    def last_word(self) -> None:
        """Before the report: a chance to go back or to change an answer; at end of input the report is shown."""
        if self.finished or not self.given:
            return
        self._environment.say("")
        say_wrapped(self._environment, LAST_QUESTION, hang="")
        while True:
            self._prompt()
            line = self._environment.stdin.readline()
            word = line.strip().lower()
            if not line or word in ("", "f", "y", "yes"):
                return
            try:
                if word == "b":
                    raise StepBack(self.given[:-1])
                if word == "c":
                    self._correct()
                else:
                    self._environment.say("  Please press Enter, or type b or c.")
            except BadInput as error:
                say_wrapped(self._environment, str(error), "  ")

    def _settled(self, question: str, ask: Callable[[], tuple[T | None, str]]) -> T | None:
        entry = self._taken_over(question)
        if entry is None:
            answer, said = (None, _NOT_SURE) if self.finished else ask()
            entry = Given(question, answer, said)
        self.given.append(entry)
        found: T | None = entry.answer
        return found

    def _taken_over(self, question: str) -> Given | None:
        for place, entry in enumerate(self._earlier):
            if entry.question == question:
                del self._earlier[place]
                return None if entry.anew else entry
        return None

    def _put(
        self, question: str, read: Callable[[str], tuple[T, str]], lines: Sequence[str], why: Lines | str
    ) -> tuple[T | None, str]:
        self.introduce()
        self._show(question, lines)
        while True:
            reply = self._reply()
            word = reply.lower()
            if word in UNSURE:
                self._count_unsure()
                return None, _NOT_SURE
            try:
                if self._command(_SPELLED_OUT.get(word, word), why):
                    if self.finished:
                        return None, _NOT_SURE
                    self._show(question, lines)
                    continue
                answer = read(reply)
            except BadInput as error:
                say_wrapped(self._environment, str(error), "  ")
                continue
            self._unsure = 0
            return answer

    def _show(self, question: str, lines: Sequence[str]) -> None:
        self._environment.say("")
        say_wrapped(self._environment, question, f"{len(self.given) + 1}. ")
        for place, words in enumerate(lines, 1):
            say_wrapped(self._environment, words, f"  {place:2} ")
        if not self._must:
            self._environment.say(f"   n {_NOT_SURE}")

    def _count_unsure(self) -> None:
        self._unsure += 1
        if self._unsure % 3 == 0:
            say_wrapped(self._environment, f"({MANY_UNSURE})", "  ")

    def _command(self, word: str, why: Lines | str) -> bool:
        """Carry out a command letter; True when the reply was one."""
        if word not in tuple(self._letters):
            return False
        if word == "f":
            self.finished = True
        elif word == "b":
            if not self.given:
                raise BadInput(FIRST_QUESTION)
            raise StepBack((*self.given[:-1], *self._earlier))
        elif word == "c":
            self._correct()
        else:
            asides = self.asides or Asides(_nothing_yet, _nothing_yet)
            lines = {"w": (lambda: [why]) if isinstance(why, str) else why, "s": asides.so_far, "m": asides.change}
            for line in lines[word]():
                say_wrapped(self._environment, line, "    ", "    ")
        return True

    def _correct(self) -> None:
        if not self.given:
            raise BadInput("There is no earlier answer yet.")
        self._environment.say("Which answer do you want to change? (Enter: none)")
        for number, entry in enumerate(self.given, 1):
            say_wrapped(self._environment, f"{entry.question} Your answer: {entry.said}", f"  {number:2} ")
        reply = self._reply()
        if not reply:
            return
        if not reply.isdecimal() or not 1 <= int(reply) <= len(self.given):
            raise BadInput(f"Type a number from 1 to {len(self.given)}, or Enter.")
        place = int(reply) - 1
        anew = replace(self.given[place], anew=True)
        raise StepBack((*self.given[:place], anew, *self.given[place + 1 :], *self._earlier))

    def _prompt(self) -> None:
        self._environment.stdout.write("> ")
        self._environment.stdout.flush()

    def _reply(self) -> str:
        self._prompt()
        line = self._environment.stdin.readline()
        if not line:
            self._environment.say("")
            raise Interrupted(f"Stopped before the end of the questions; {self._stopped}")
        reply = "".join(mark for mark in line if mark.isprintable()).strip()
        if reply.lower() in STOP:
            raise Interrupted(f"Stopped as you asked; {self._stopped}")
        return reply


def _nothing_yet() -> Sequence[str]:
    return ["Nothing yet: the answers are put together at the end."]


def asked_with_back(
    environment: Environment,
    ask: Callable[[NumberedQuestions], T],
    stopped: str = STOPPED,
    judging: bool = False,
    opening: str = "",
) -> T:
    """What ``ask`` returns. When the person goes back it is run again with the answers that stand, so it may do
    nothing but ask. With ``judging`` it ends in the last word of a look."""
    questions = NumberedQuestions(environment, stopped=stopped, judging=judging, opening=opening)
    while True:
        try:
            found = ask(questions)
            if judging:
                questions.last_word()
            return found
        except StepBack as step:
            questions = NumberedQuestions(environment, step.earlier, stopped, judging, introduced=True)
