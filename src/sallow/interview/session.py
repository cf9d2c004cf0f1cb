"""The session behind every interview: which prompt comes next, and what an answer makes of the look."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from sallow.interview.course import MOST_SYMPTOMS, Course
from sallow.interview.prompts import Prompts
from sallow.interview.state import NOTHING, Key, Prompt, State, start
from sallow.interview.taking import Taking
from sallow.knowledge.model import Knowledge
from sallow.looks import Look, Value
from sallow.reasoning.ask import Asker
from sallow.reasoning.weigh import Weighed

__all__ = ["MOST_SYMPTOMS", "NOTHING", "Key", "Prompt", "Session", "State", "start"]
TREE_WORDS = ("grown_in", "winters", "summers", "heat", "climate", "hemisphere")


class Session:
    """Prompts and answers over one knowledge base. ``first`` are signs to ask before the rest; ``fill`` adds to a
    look what need not be asked once its date is known."""

    def __init__(
        self, knowledge: Knowledge, first: Sequence[str] = (), fill: Callable[[Look], Look] = lambda look: look
    ) -> None:
        self.knowledge = knowledge
        self._course = Course(knowledge, first)
        self._prompts = Prompts(knowledge)
        self._taking = Taking(knowledge, self._course.weighed, fill)

    def pictured(self) -> tuple[str, ...]:
        """The signs whose answers have leaf pictures."""
        return self.knowledge.pictures.signs()

    def next_prompt(self, state: State) -> Prompt | None:
        """The next prompt, or None when the look is complete."""
        key = None if state.done else self._course.next_key(state)
        return None if key is None else self.prompt(key, state)

    def prompt(self, key: Key, state: State) -> Prompt:
        """The prompt for a key."""
        return self._prompts.prompt(key, state)

    def answer(self, state: State, key: Key, value: Value) -> State:
        """The state after an answer; BadInput, with what was expected, when it cannot be used."""
        return self._taking.answer(state, key, value)

    def back(self, state: State) -> State:
        """The state before the last answer (the same state when there is none)."""
        return self._taking.back(state)

    def finish(self, state: State) -> State:
        """Stop asking and use what there is; BadInput when nothing odd has been told yet."""
        return self._taking.finish(state)

    def taken_as(self, key: Key, value: Value, state: State) -> list[str]:
        """How a tree's name was taken, when the person typed another one."""
        return self._taking.taken_as(key, value, state)

    def asker(self, look: Look) -> Asker:
        """The chooser of questions for a look."""
        return self._course.asker(look)

    def weighed(self, look: Look) -> Weighed:
        """The look weighed."""
        return self._course.weighed(look)

    def given(self, state: State) -> Sequence[Key]:
        """Every answer given so far that can be changed, always in the same order."""
        look = state.look
        keys = [Key("crop")] if look.tree.get("crop") else []
        keys += [Key("word", key) for key in TREE_WORDS if key in look.tree]
        keys += [Key("intention")] if look.about_to else []
        order = list(self.knowledge.signs)
        for number, symptom in enumerate(look.symptoms):
            keys.append(Key("part", symptom=number))
            keys += [Key("sign", key, number) for key in order if key in symptom]
        keys += [Key("sign", key) for key in order if key in look.answers]
        return [*keys, *(Key("event", event.what) for event in sorted(look.events, key=lambda e: e.what))]
