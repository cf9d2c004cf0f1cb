"""How an answer was understood, told back where what was typed left room for doubt."""

from __future__ import annotations

import re
from datetime import date

from sallow.interview.session import Prompt, Session, State
from sallow.looks import NOT_SURE, Value
from sallow.phrases import day_words, value_words


def understood(session: Session, prompt: Prompt, typed: str, value: Value, state: State) -> list[str]:
    """Sentences on how ``typed`` was taken; none where it was plain."""
    if value == NOT_SURE:
        no = next((number for number, (answer, _) in enumerate(prompt.options, 1) if answer == "no"), None)
        doubtful = no is not None and typed.strip().lower() == "n" and len(prompt.options) == 2
        return [f"Taken as not sure; for no, go back with b and type {no}."] if doubtful else []
    if prompt.kind == "date":
        given = state.look.date.isoformat() if prompt.key.kind == "date" else _given(prompt, state)
        plain = not typed.strip() or typed.strip() == given
        return [] if plain else [f"Taken as {day_words(date.fromisoformat(str(given)))}."]
    if prompt.kind == "number":
        number = _given(prompt, state)
        if not isinstance(number, int | float) or re.fullmatch(r"[\d.,]+", typed.strip()):
            return []
        return [f"Taken as {value_words(session.knowledge.signs[prompt.key.id], number)}."]
    return session.taken_as(prompt.key, value, state)


def _given(prompt: Prompt, state: State) -> Value | None:
    return state.look.answer(prompt.key.symptom, prompt.key.id)
