"""A recorded look as a transcript: the questions in the order the session asks them, each with its answer."""

from __future__ import annotations

from sallow.interview.session import NOTHING, Key, Prompt, Session, State, start
from sallow.knowledge.model import Knowledge
from sallow.look_facts import event_window
from sallow.looks import NOT_SURE, Look, Value
from sallow.phrases import day_words
from sallow.render.wrap import wrapped

MOST_PROMPTS = 80


def transcript(knowledge: Knowledge, look: Look, width: int = 80) -> str:
    """Ask what the session would ask and answer from the recorded look ('not sure' where it says nothing)."""
    session = Session(knowledge)
    state = start(look.date)
    lines: list[str] = []
    heading = ""
    for _ in range(MOST_PROMPTS):
        prompt = session.next_prompt(state)
        if prompt is None:
            break
        value = recorded_answer(knowledge, look, state, prompt.key)
        if prompt.heading != heading:
            heading = prompt.heading
            lines += ["", f"-- {heading} --"]
        lines += [
            *wrapped(prompt.ask, width),
            *(f"  > {line}" for line in wrapped(answer_text(prompt, value), width - 4)),
        ]
        state = session.answer(state, prompt.key, value)
    return "\n".join(lines).lstrip("\n") + "\n"


def recorded_answer(knowledge: Knowledge, look: Look, state: State, key: Key) -> Value:
    """What the recorded look says to a prompt."""
    if key.kind == "crop":
        return str(look.tree.get("crop", "other"))
    if key.kind == "date":
        return look.date.isoformat()
    if key.kind == "word":
        return look.tree.get(key.id, NOT_SURE)
    if key.kind == "intention":
        return look.about_to or "nothing"
    if key.kind == "part":
        number = len(state.look.symptoms)
        return str(look.symptoms[number]["part"]) if number < len(look.symptoms) else NOTHING
    if key.kind == "event":
        event = next((e for e in look.events if e.what == key.id), None)
        return (event_window(event, look.date, knowledge) or NOT_SURE) if event else NOT_SURE
    value = look.answer(key.symptom, key.id)
    return NOT_SURE if value is None else value


def answer_text(prompt: Prompt, value: Value) -> str:
    """An answer in the words of its prompt."""
    words = dict((*prompt.options, *prompt.extras))
    if isinstance(value, tuple | list):
        return "; ".join(words.get(str(item), str(item)) for item in value)
    if prompt.key.kind == "date":
        from datetime import date

        return day_words(date.fromisoformat(str(value)))
    if isinstance(value, int | float):
        return f"{value:g}"
    return words.get(str(value), "not sure" if value == NOT_SURE else str(value))
