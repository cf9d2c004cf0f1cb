"""Drives an interview from a recorded look: which keys to press, or what to type, at every prompt."""

from __future__ import annotations

from sallow.interview.plain import ANSWER_LETTERS
from sallow.interview.recording import recorded_answer
from sallow.interview.session import Prompt, Session, State, start
from sallow.knowledge.model import Knowledge
from sallow.looks import Look, Value

DOWN = "\x1b[B"
ENTER = "\r"


class Walk:
    """A session that mirrors the one under test, answering from the recorded look."""

    def __init__(self, knowledge: Knowledge, look: Look) -> None:
        self.knowledge = knowledge
        self.look = look
        self.session = Session(knowledge)
        self.state: State = start(look.date)

    def prompt(self) -> Prompt | None:
        """The prompt that should be on the screen now."""
        return self.session.next_prompt(self.state)

    def value(self, prompt: Prompt) -> Value:
        """What the recorded look says to it."""
        return recorded_answer(self.knowledge, self.look, self.state, prompt.key)

    def answer(self, prompt: Prompt, value: Value) -> None:
        """Move the mirror on."""
        self.state = self.session.answer(self.state, prompt.key, value)


def typed(prompt: Prompt, value: Value) -> str:
    """What to type at a plain prompt for a value."""
    letters = {answer: letter for letter, answer in ANSWER_LETTERS.items()}
    if isinstance(value, str) and value in letters and value in dict(prompt.extras):
        return letters[value]
    if prompt.kind in ("text", "number", "date"):
        return f"{value:g}" if isinstance(value, int | float) else str(value)
    places = {identifier: str(place) for place, (identifier, _) in enumerate(prompt.options, 1)}
    if isinstance(value, tuple | list):
        return ",".join(places[str(item)] for item in value)
    return places[str(value)]


def keys(prompt: Prompt, value: Value) -> str:
    """The keys to press at a prompt of the key interview for a value."""
    if prompt.kind in ("text", "number", "date"):
        return ("n" if value == "not_sure" else typed(prompt, value)) + ENTER
    if prompt.kind == "several":
        order = [identifier for identifier, _ in prompt.options]
        if isinstance(value, tuple | list):
            return "".join(" " + DOWN if item in value else DOWN for item in order) + ENTER
        extras = [identifier for identifier, _ in prompt.extras]
        return ENTER + DOWN * extras.index(str(value)) + ENTER
    order = [identifier for identifier, _ in (*prompt.options, *prompt.extras)]
    return DOWN * order.index(str(value)) + ENTER
