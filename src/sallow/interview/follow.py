"""The session of a follow-up: results of the tests first, then how it goes on, then whatever else was found."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date

from sallow.errors import BadInput
from sallow.interview.session import Key, Prompt, Session, State
from sallow.knowledge.model import Knowledge
from sallow.looks import NOT_SURE, Look, Value
from sallow.phrases import PART_WORDS, capital, day_words, value_words
from sallow.values import dataclass, replace

NOTHING_ELSE = "nothing else"
NONE_OF_THESE = "none of these"
MOST_OFFERED = 9
NOT_DONE = "not done, or not sure: leave it as it was"
_SMALL = frozenset(("the", "and", "for", "with", "test", "result", "soil test", "was", "are", "its", "how"))


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
        new = self.symptoms(state.look, len(self.before.symptoms))
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

    # -- prompts --------------------------------------------------------------------------------------------------

    def _sign_prompt(self, key: Key, state: State) -> Prompt:
        prompt = super()._sign_prompt(key, state)
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

    def _part_prompt(self, key: Key, state: State) -> Prompt:
        prompt = super()._part_prompt(key, state)
        new = key.symptom is not None and key.symptom == len(state.look.symptoms)
        ask = "Has anything else gone odd since, of another kind or on another part?"
        return replace(prompt, ask=ask) if new and state.look.symptoms else prompt

    def _other_prompt(self, key: Key, _: State) -> Prompt:
        return Prompt(
            key,
            "text",
            "Have you tested or seen anything else since? (Enter: nothing else)",
            "Type a word of it, for instance: smell, roots, hole, pH, water, mites, fed, pruned. I then show what I "
            "can take in.",
            heading="Anything else",
            default=NOTHING_ELSE,
        )

    def _which_prompt(self, key: Key, state: State) -> Prompt:
        options = (*self.found(key.id, state.look), (NONE_OF_THESE, NONE_OF_THESE))
        return Prompt(key, "one", "Which of these is it?", options=options, heading="Anything else")

    # -- answers --------------------------------------------------------------------------------------------------

    def _other_answer(self, state: State, _: Key, value: Value) -> State:
        word = str(value).strip()
        if word != NOTHING_ELSE and not self.found(word, state.look):
            raise BadInput(
                f"I know no test or sign by '{word[:40]}'. Try another word, or just Enter for nothing else."
            )
        return state

    def _which_answer(self, state: State, _: Key, __: Value) -> State:
        return state

    def _date_answer(self, state: State, key: Key, value: Value) -> State:
        changed = super()._date_answer(state, key, value)
        if changed.look.date < self.before.date:
            raise BadInput(
                f"The look that is followed up was on {day_words(self.before.date)}; type that day or a later."
            )
        return changed

    # -- finding what a word means ----------------------------------------------------------------------------------

    def found(self, typed: str, look: Look) -> tuple[tuple[str, str], ...]:
        """The questions that the typed words fit best, each as (id, words)."""
        words = [word for word in re.findall(r"[a-z]{2,}", typed.lower()) if word not in _SMALL]
        scored = []
        for number, (identifier, ask, text) in enumerate(self.takes(look)):
            score = sum(_fits(word, text) for word in words)
            if score:
                scored.append((-score, number, identifier, ask))
        most = min((item[0] for item in scored), default=0)
        return tuple((item[2], item[3]) for item in sorted(scored) if item[0] <= most / 2)[:MOST_OFFERED]

    def takes(self, look: Look) -> Iterator[tuple[str, str, str]]:
        """Every question that can be answered: its id, its words, and the words it is found by."""
        names: dict[str, str] = {}
        for check in self.knowledge.checks.values():
            names[check.gives] = f"{names.get(check.gives, '')} {check.name}"
        for sign in self.knowledge.signs.values():
            text = f"{sign.id.replace('_', ' ')} {sign.ask} {names.get(sign.id, '')}".lower()
            if not sign.of_symptom:
                yield f"sign.{sign.id}", sign.ask, text
            for number, symptom in enumerate(look.symptoms if sign.of_symptom else ()):
                if sign.part in ("any", symptom.get("part")):
                    thing = f"{capital(PART_WORDS[str(symptom['part'])])}: " if len(look.symptoms) > 1 else ""
                    yield f"sign.{sign.id}.{number}", f"{thing}{sign.ask}", text
        for event in self.knowledge.events.values():
            yield f"event.{event.id}", event.ask, f"{event.id.replace('_', ' ')} {event.ask}".lower()


def _fits(word: str, text: str) -> int:
    """2 for a whole word, 1 for the beginning of one, else 0."""
    if re.search(rf"\b{word}\b", text):
        return 2
    return 1 if re.search(rf"\b{word.removesuffix('s')}", text) else 0


def _key_of(identifier: str) -> Key:
    kind, name, *number = identifier.split(".")
    return Key(kind, name, int(number[0]) if number else None)
