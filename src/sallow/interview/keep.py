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

FILE = "unfinished_look.json"


class Keeper:
    """Writes the look of a state to the data folder; a folder that cannot be written is said once."""

    def __init__(self, environment: Environment) -> None:
        self.environment = environment
        self.path = environment.data_folder / FILE
        self.warned = False

    def __call__(self, state: State) -> None:
        """Keep the state's look."""
        try:
            write_atomically(self.path, json.dumps(kept_form(state), indent=1, ensure_ascii=False) + "\n")
        except BadInput as error:
            if not self.warned:
                self.environment.complain(f"(This look cannot be kept while you answer: {error})")
                self.warned = True

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


def take_up(environment: Environment, knowledge: Knowledge) -> State:
    """The kept look as a state to go on with, able to go back; BadInput when there is none or it cannot be read."""
    path = environment.data_folder / FILE
    if not path.is_file():
        raise BadInput("there is no unfinished look to take up. Begin one with 'sallow look'.")
    from sallow.knowledge.files import read_text

    text = read_text(path)
    try:
        data = json.loads(text)
    except ValueError:
        raise BadInput(f"{path} cannot be read as a kept look; begin a new one with 'sallow look'.") from None
    look = look_from(data.get("look", data), str(path), knowledge, environment.today)
    return replayed(data, look, knowledge, environment.today) or start(environment.today, look)


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
