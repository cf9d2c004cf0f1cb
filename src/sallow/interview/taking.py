"""What an answer makes of the look: taken in, taken back, and answers dropped that no longer make sense."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from sallow.answers import find_crop, parse_number
from sallow.errors import BadInput
from sallow.interview.state import EXTRA_WORDS, NEVER, NOTHING, Key, State
from sallow.knowledge.conditions import nearest
from sallow.knowledge.model import Knowledge
from sallow.looks import NOT_SURE, Event, Look, Value
from sallow.reasoning.chain import holds
from sallow.reasoning.weigh import Weighed


class Taking:
    """Takes answers in. ``weighed`` weighs a look; ``fill`` adds what need not be asked once its date is known."""

    def __init__(
        self, knowledge: Knowledge, weighed: Callable[[Look], Weighed], fill: Callable[[Look], Look]
    ) -> None:
        self.knowledge, self.weighed, self.fill = knowledge, weighed, fill

    def answer(self, state: State, key: Key, value: Value) -> State:
        """The state after an answer; BadInput, with what was expected, when it cannot be used."""
        changed: State = getattr(self, f"_{key.kind}")(state, key, value)
        return replace(changed, history=(*state.history, replace(state, history=())), log=(*state.log, (key, value)))

    def back(self, state: State) -> State:
        """The state before the last answer (the same state when there is none)."""
        if not state.history:
            return state
        return replace(state.history[-1], history=state.history[:-1])

    def finish(self, state: State) -> State:
        """Stop asking and use what there is; BadInput when nothing odd has been told yet."""
        if not state.look.symptoms and not state.look.no_more_symptoms:
            raise BadInput(
                "You have not told yet what is odd, so there is nothing to finish. (Ctrl-C stops and keeps it.)"
            )
        look = replace(state.look, no_more_symptoms=state.look.no_more_symptoms or bool(state.look.symptoms))
        return replace(state, look=look, done=True, history=(*state.history, replace(state, history=())))

    def _crop(self, state: State, _: Key, value: Value) -> State:
        if str(value).strip().lower() in ("", NOT_SURE, "not sure"):
            return replace(state, look=state.look.with_tree("crop", "other"))
        found = find_crop(str(value), self.knowledge)
        if found is None:
            names = [name for crop in self.knowledge.crops.values() for name in (crop.name, *crop.also_called)]
            close = nearest(str(value).strip().lower(), names)
            hint = f" Did you mean '{close}' (y)?" if close else ""
            raise BadInput(
                f"'{str(value)[:40]}' is not a tree I know.{hint} For another fruit tree type: other.", close
            )
        return replace(state, look=state.look.with_tree("crop", found))

    def taken_as(self, key: Key, value: Value, state: State) -> list[str]:
        """How a tree's name was taken, when the person typed another one."""
        crop = self.knowledge.crops.get(str(state.look.tree.get("crop", "")))
        typed = str(value).strip().lower()
        if key.kind != "crop" or crop is None or typed.rstrip("s") in (crop.id, crop.name):
            return []
        if crop.id == "other":
            return ["Taken as another fruit tree: only what troubles many kinds of trees is weighed."]
        return [f"'{typed[:40]}' is treated here as: {crop.name}. What is special to {typed[:40]} is not known here."]

    def _date(self, state: State, _: Key, value: Value) -> State:
        text = str(value).strip()
        try:
            day = date.fromisoformat(text) if text else state.look.date
        except ValueError:
            raise BadInput(f"'{text[:40]}' is not a date; type year-month-day, for instance 2026-05-20.") from None
        return replace(state, look=self.fill(replace(state.look, date=day)), date_asked=True)

    def _word(self, state: State, key: Key, value: Value) -> State:
        return replace(state, look=state.look.with_tree(key.id, value))

    def _intention(self, state: State, _: Key, value: Value) -> State:
        return replace(state, look=replace(state.look, about_to=str(value)))

    def _part(self, state: State, key: Key, value: Value) -> State:
        if key.symptom is not None and key.symptom < len(state.look.symptoms):
            others = [*state.look.symptoms]
            if value == NOTHING:
                del others[key.symptom]
            elif value != others[key.symptom]["part"]:
                others[key.symptom] = {"part": value}
            return replace(state, look=replace(state.look, symptoms=tuple(others)))
        if value == NOTHING:
            return replace(state, look=replace(state.look, no_more_symptoms=True))
        symptoms = (*state.look.symptoms, {"part": value})
        return replace(state, look=replace(state.look, symptoms=symptoms))

    def _sign(self, state: State, key: Key, value: Value) -> State:
        sign = self.knowledge.signs[key.id]
        if sign.kind == "number" and isinstance(value, str) and value not in EXTRA_WORDS:
            number = parse_number(value, sign)
            if number is None:
                limits = f"from {sign.least or 0:g} to {sign.most or 0:g}"
                raise BadInput(f"'{value[:40]}' is not a likely value; type a number {limits}.")
            value = number
        if sign.kind == "date" and isinstance(value, str) and value not in EXTRA_WORDS:
            try:
                value = date.fromisoformat(value.strip()).isoformat()
            except ValueError:
                raise BadInput(f"'{value[:40]}' is not a date; type year-month-day.") from None
        return replace(state, look=self.pruned(state.look.with_answer(key.symptom, key.id, value), key.symptom))

    def pruned(self, look: Look, symptom: int | None) -> Look:
        """The look without answers to questions that no longer make sense after a correction."""
        answers = look.answers if symptom is None else look.symptoms[symptom]
        for name in answers:
            sign = self.knowledge.signs.get(name)
            if sign is None or sign.ask_when is None:
                continue
            weighed = self.weighed(look)
            if holds(sign.ask_when, weighed.facts, weighed.conclusions, symptom) is False:
                look = look.with_answer(symptom, name, None)
        return look

    def _event(self, state: State, key: Key, value: Value) -> State:
        kind = self.knowledge.events[key.id]
        if value == NOT_SURE:
            return replace(state, look=state.look.with_event(Event(key.id), key.id))
        index = int(str(value)[1:])
        within = NEVER if index >= len(kind.labels) else kind.labels[index]
        return replace(state, look=state.look.with_event(Event(key.id, within=within), key.id))
