"""Keeps an unfinished look on disk after every answer, so that nothing typed is lost."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from sallow.answers import look_from
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.interview.session import Key, Session, State, start
from sallow.knowledge.model import Knowledge
from sallow.looks import Look, Value, look_as_data
from sallow.phrases import day_words
from sallow.values import dataclass

FILE = "unfinished_look.json"
ASIDE = "unfinished_look_{}.json"


class Keeper:
    """Writes the look of a state to the data folder; a folder that cannot be written is said once.

    A ``new`` look puts an unfinished one that is kept there aside before it writes the first time.
    """

    def __init__(self, environment: Environment, new: bool = False) -> None:
        self.environment = environment
        self.path = environment.data_folder / FILE
        self.new = new
        self.warned = False

    def __call__(self, state: State) -> None:
        """Keep the state's look."""
        try:
            if self.new:
                put_aside(self.environment)
                self.new = False
            write_atomically(self.path, json.dumps(kept_form(state), indent=1, ensure_ascii=False) + "\n")
        except BadInput as error:
            if not self.warned:
                self.environment.complain(f"(This look cannot be kept while you answer: {error})")
                self.warned = True

    def at_risk(self, _: State) -> str:
        """What leaving would lose: something only where the look could not be kept."""
        return "What you answered could not be kept, so leaving loses it." if self.warned else ""

    def forget(self) -> None:
        """Remove the kept look once the report has been shown."""
        self.path.unlink(missing_ok=True)


def kept_form(state: State) -> dict[str, Any]:
    """A state as plain data: its look, the look it began with, and every answer in the order given."""
    first = state.history[0].look if state.history else state.look
    log = [[key.kind, key.id, key.symptom, plain(value)] for key, value in state.log]
    return {"look": look_as_data(state.look), "first": look_as_data(first), "log": log}


def plain(value: Value) -> Any:
    """An answer as JSON can hold it."""
    return list(value) if isinstance(value, tuple) else dict(value) if isinstance(value, Mapping) else value


@dataclass(frozen=True, slots=True)
class Unfinished:
    """An unfinished look that is kept: its file, its state, and in words which tree and day and how far."""

    path: Path
    state: State
    words: str


def unfinished(environment: Environment, knowledge: Knowledge) -> list[Unfinished]:
    """The unfinished looks that are kept, the latest first; BadInput when the latest cannot be read."""
    found = []
    for number, path in enumerate(kept_files(environment)):
        try:
            state = state_of(path, knowledge, environment.today)
        except BadInput:
            if number == 0:
                raise
            continue
        found.append(Unfinished(path, state, kept_words(state, knowledge)))
    return found


def kept_files(environment: Environment) -> list[Path]:
    """The files of unfinished looks: the one at hand, then those put aside, the latest first."""
    folder = environment.data_folder
    aside = folder.glob(ASIDE.format("*")) if folder.is_dir() else iter(())
    older = sorted(aside, key=lambda path: (path.stat().st_mtime, path.name), reverse=True)
    return [path for path in (folder / FILE, *older) if path.is_file()]


def kept_words(state: State, knowledge: Knowledge) -> str:
    """Which tree, which day, and how many answers: 'pear, 4 May 2026, 12 answers'."""
    look = state.look
    crop = knowledge.crops.get(str(look.tree.get("crop", "")))
    kind = crop.name if crop is not None else "kind of tree not told yet"
    name = f"{look.name} ({kind})" if look.name else kind
    count = len({key for key, _ in state.log}) or len(Session(knowledge).given(state))
    return f"{name}, {day_words(look.date)}, {count} answer{'' if count == 1 else 's'}"


def put_aside(environment: Environment) -> None:
    """Move the unfinished look at hand out of the way, so that a new one does not replace it."""
    path = environment.data_folder / FILE
    if not path.is_file():
        return
    number = 2
    while (free := environment.data_folder / ASIDE.format(number)).exists():
        number += 1
    try:
        path.rename(free)
    except OSError as error:
        raise BadInput(f"{path} cannot be moved ({error.strerror or error})") from None


def take_up(environment: Environment, knowledge: Knowledge, chosen: Unfinished | None = None) -> State:
    """A kept look as a state to go on with, able to go back; BadInput when there is none or it cannot be read.

    The one ``chosen``, or the latest, becomes the look at hand.
    """
    if chosen is None:
        kept = unfinished(environment, knowledge)
        if not kept:
            raise BadInput("there is no unfinished look to take up. Begin one with 'sallow look'.")
        chosen = kept[0]
    at_hand = environment.data_folder / FILE
    if chosen.path != at_hand:
        put_aside(environment)
        chosen.path.rename(at_hand)
    return chosen.state


def state_of(path: Path, knowledge: Knowledge, today: date) -> State:
    """The state that a kept look was left in; BadInput when the file cannot be read."""
    from sallow.knowledge.files import read_text

    text = read_text(path)
    try:
        data = json.loads(text)
        look = look_from(data.get("look", data), str(path), knowledge, today)
    except (ValueError, AttributeError):
        raise BadInput(f"{path} cannot be read as a kept look; begin a new one with 'sallow look'.") from None
    return replayed(data, look, knowledge, today) or start(today, look)


def replayed(data: Mapping[str, Any], look: Look, knowledge: Knowledge, today: date) -> State | None:
    """The state reached by giving the kept answers again, or None when that no longer leads to the kept look."""
    session = Session(knowledge)
    try:
        first = look_from(data["first"], "kept look", knowledge, today)
        state = State(first)
        for kind, identifier, symptom, value in data["log"]:
            answer = tuple(value) if isinstance(value, list) else value
            state = session.answer(state, Key(str(kind), str(identifier), symptom), answer)
    except (BadInput, KeyError, TypeError, ValueError, IndexError, AttributeError):
        return None
    return state if look_as_data(state.look) == look_as_data(look) else None


def write_atomically(path: Path, text: str) -> None:
    """Write a file so that it is either the old one or the new one, never a part; BadInput when it cannot be."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as stream:
                stream.write(text)
                stream.flush()
                os.fsync(stream.fileno())
            # Temporary files are private; what the person saved is an ordinary file.
            Path(temporary).chmod(0o644)
            Path(temporary).replace(path)
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise BadInput(f"{path} cannot be written ({error.strerror or error}); choose another place.") from None
