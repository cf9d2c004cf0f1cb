"""Where an interview stands: what a prompt is about, the prompt as data, and the look so far with its history."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from sallow.looks import GO_LOOK, NONE_LOOKED, NONE_NOTICED, NOT_APPLICABLE, NOT_SURE, Look, Value

NOTHING = "nothing"
NEVER = "never"
EXTRA_WORDS = {
    NOT_SURE: "not sure",
    GO_LOOK: "I'll go and look later",
    NOT_APPLICABLE: "does not apply",
    NONE_NOTICED: "none that I noticed",
    NONE_LOOKED: "I looked closely: none",
}


@dataclass(frozen=True, slots=True)
class Key:
    """What a prompt is about: kind (crop, date, word, intention, part, sign, event), its id, and the symptom."""

    kind: str
    id: str = ""
    symptom: int | None = None


@dataclass(frozen=True, slots=True)
class Prompt:
    """One question as data. ``kind`` is one, several, number, date or text; ``options`` are (id, words);
    ``extras`` the answers besides the list; ``heading`` says which symptom or topic it belongs to."""

    key: Key
    kind: str
    ask: str
    help: str = ""
    options: tuple[tuple[str, str], ...] = ()
    extras: tuple[tuple[str, str], ...] = ()
    heading: str = ""
    default: str = ""
    picture_sign: str = ""


@dataclass(frozen=True, slots=True)
class State:
    """Where a session stands. Immutable; an answer gives a new state, and taking it back gives the old one."""

    look: Look
    date_asked: bool = False
    done: bool = False
    history: tuple[State, ...] = field(default=(), repr=False)
    log: tuple[tuple[Key, Value], ...] = field(default=(), repr=False)


def start(day: date, look: Look | None = None) -> State:
    """A fresh session, or one that goes on with a look that was begun."""
    return State(look or Look(date=day, no_more_symptoms=False), date_asked=look is not None)
