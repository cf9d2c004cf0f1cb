"""Keeps an unfinished look on disk after every answer, so that nothing typed is lost."""

from __future__ import annotations

import json
import os
import tempfile
from datetime import date
from pathlib import Path

from sallow.answers import read_look
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.interview.session import State, start
from sallow.knowledge.model import Knowledge
from sallow.looks import Look, look_as_data

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
            write_atomically(self.path, json.dumps(look_as_data(state.look), indent=1, ensure_ascii=False) + "\n")
        except BadInput as error:
            if not self.warned:
                self.environment.complain(f"(This look cannot be kept while you answer: {error})")
                self.warned = True

    def forget(self) -> None:
        """Remove the kept look once the report has been shown."""
        self.path.unlink(missing_ok=True)


def take_up(environment: Environment, knowledge: Knowledge) -> State:
    """The kept look as a state to go on with; BadInput when there is none or it cannot be read."""
    path = environment.data_folder / FILE
    if not path.is_file():
        raise BadInput("there is no unfinished look to take up. Begin one with 'sallow look'.")
    from sallow.knowledge.load import read_text

    return start(environment.today, kept_look(read_text(path), str(path), knowledge, environment.today))


def kept_look(text: str, name: str, knowledge: Knowledge, today: date) -> Look:
    """A look read back from its kept form."""
    return read_look(text, name, knowledge, today)


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
            Path(temporary).replace(path)
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise BadInput(f"{path} cannot be written ({error.strerror or error}); choose another place.") from None
