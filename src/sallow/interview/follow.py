"""The session of a follow-up: results of the tests first, then how it goes on, then whatever else was found."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date

from sallow.errors import BadInput
from sallow.interview.finding import found
from sallow.interview.prompts import Prompts
from sallow.interview.session import Key, Prompt, Session, State
from sallow.interview.taking import Taking
from sallow.knowledge.model import Knowledge
from sallow.later_day import moved_again
from sallow.looks import NOT_SURE, Look, Value
from sallow.phrases import day_words, value_words
from sallow.reasoning.weigh import Weighed
from sallow.values import dataclass, replace

NOTHING_ELSE = "nothing else"
NONE_OF_THESE = "none of these"
NOT_DONE = "not done, or not sure: leave it as it was"


@dataclass(frozen=True, slots=True)
class Wanted:
    """A question that a follow-up puts of itself: its key, the test it belongs to, and until when that has to wait."""

    key: Key
    test: str = ""
    wait_until: date | None = None


class FollowSession(Session):
    """Puts the ``wanted`` questions, asks for a new odd thing, then takes any other test result or sign.

    'Not sure' to one of these leaves the earlier answer; an earlier answer that the person asks to change is changed.
    """

    def __init__(self, knowledge: Knowledge, before: Look, wanted: Sequence[Wanted]) -> None:
        super().__init__(knowledge)
        self.before = before
        self.wanted = {item.key: item for item in wanted}
        self._prompts = FollowPrompts(knowledge, before, self.wanted)
        self._taking = FollowTaking(knowledge, self._course.weighed, before)

    def next_prompt(self, state: State) -> Prompt | None:
        """The next prompt, or None when the person has nothing else to tell."""
        key = None if state.done else self.next_key(state)
        return None if key is None else self.prompt(key, state)

    def next_key(self, state: State) -> Key | None:
        """What is asked next."""
        told = {key for key, _ in state.log}
        for key in self.wanted:
            if key not in told:
                return key
        new = self._course.symptoms(state.look, len(self.before.symptoms))
        if new is not None:
            return new
        if (Key("other"), NOTHING_ELSE) in state.log:
            return None
        last, value = state.log[-1] if state.log else (Key(""), "")
        if last.kind == "other":
            return Key("which", str(value))
        if last.kind == "which" and value != NONE_OF_THESE:
            return _key_of(str(value))
        return Key("other")

    def answer(self, state: State, key: Key, value: Value) -> State:
        """The state after an answer, which is dated to the day of the follow-up."""
        if key.kind == "other" and str(value).strip().lower() in ("", "n", "no", "none", "nothing", "that is all"):
            value = NOTHING_ELSE
        left = value == NOT_SURE and key.kind in ("sign", "event") and key == self.next_key(state)
        changed = super().answer(state, key, value)
        if left:
            new_thing = key.symptom is not None and key.symptom >= len(self.before.symptoms)
            return changed if new_thing else replace(changed, look=state.look)
        look = changed.look
        if key.kind == "sign" and look.answer(key.symptom, key.id) != state.look.answer(key.symptom, key.id):
            look = replace(look, dated={**look.dated, key.id: look.date.isoformat()})
        return replace(changed, look=look)

    def finish(self, state: State) -> State:
        """Stop asking and use what there is."""
        return replace(state, done=True, history=(*state.history, replace(state, history=())))


class FollowPrompts(Prompts):
    """The prompts of a follow-up: what was told before stands beside a question."""

    def __init__(self, knowledge: Knowledge, before: Look, wanted: Mapping[Key, Wanted]) -> None:
        super().__init__(knowledge)
        self.before, self.wanted = before, wanted

    def _sign(self, key: Key, state: State) -> Prompt:
        prompt = super()._sign(key, state)
        if key.symptom is not None and key.symptom >= len(self.before.symptoms):
            return prompt
        wanted, told = self.wanted.get(key, Wanted(key)), state.look.answer(key.symptom, key.id)
        lines = [prompt.help]
        if wanted.wait_until is not None:
            lines.append(f"Its wait runs until {day_words(wanted.wait_until)}; tell it only if it shows already.")
        if told is not None and told != NOT_SURE:
            lines.append(f"So far: {value_words(self.knowledge.signs[key.id], told)}.")
        extras = tuple((answer, words) for answer, words in prompt.extras if answer.startswith(("none", "looked")))
        return replace(
            prompt,
            help=" ".join(filter(None, lines)),
            extras=((NOT_SURE, NOT_DONE), *extras),
            heading=f"Test: {wanted.test}" if wanted.test else prompt.heading,
        )

    def _part(self, key: Key, state: State) -> Prompt:
        prompt = super()._part(key, state)
        new = key.symptom is not None and key.symptom == len(state.look.symptoms)
        ask = "Has anything else gone odd since, of another kind or on another part?"
        return replace(prompt, ask=ask) if new and state.look.symptoms else prompt

    def _other(self, key: Key, _: State) -> Prompt:
        return Prompt(
            key,
            "text",
            "Have you tested or seen anything else since? (Enter: nothing else)",
            "Type a word of it, for instance: smell, roots, hole, pH, water, mites, fed, pruned. I then show what I "
            "can take in.",
            heading="Anything else",
            default=NOTHING_ELSE,
        )

    def _which(self, key: Key, state: State) -> Prompt:
        options = (*found(self.knowledge, key.id, state.look), (NONE_OF_THESE, NONE_OF_THESE))
        return Prompt(key, "one", "Which of these is it?", options=options, heading="Anything else")


class FollowTaking(Taking):
    """Takes the answers of a follow-up in; what was seen ``before`` stays as old as it is."""

    def __init__(self, knowledge: Knowledge, weighed: Callable[[Look], Weighed], before: Look) -> None:
        super().__init__(knowledge, weighed, lambda look: look)
        self.before = before

    def _other(self, state: State, _: Key, value: Value) -> State:
        word = str(value).strip()
        if word != NOTHING_ELSE and not found(self.knowledge, word, state.look):
            raise BadInput(
                f"I know no test or sign by '{word[:40]}'. Try another word, or just Enter for nothing else."
            )
        return state

    def _which(self, state: State, _: Key, __: Value) -> State:
        return state

    def _date(self, state: State, key: Key, value: Value) -> State:
        changed = super()._date(state, key, value)
        if changed.look.date < self.before.date:
            raise BadInput(
                f"The look that is followed up was on {day_words(self.before.date)}; type that day or a later."
            )
        return replace(changed, look=moved_again(changed.look, self.before, state.look.date))


def _key_of(identifier: str) -> Key:
    kind, name, *number = identifier.split(".")
    return Key(kind, name, int(number[0]) if number else None)
