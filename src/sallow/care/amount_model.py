"""What a calculation that a step names has to say: lines, reckoning, what it lacks, and the command that goes on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypedDict

from sallow.care.known import Known, Lack

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table

Tables = Mapping[str, "Table"]


@dataclass(frozen=True, slots=True)
class Amount:
    """What a calculation says: lines in plain words and both unit systems, their reckoning, what lacks.

    ``lacks`` holds a plain question for each fact still needed and ``facts`` the names of those facts, in the
    same order; ``command`` is the command that works the whole out ('' where none does) and ``adds`` what it
    tells beyond the lines; ``sources`` are keys of the sources.
    """

    lines: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    lacks: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()
    command: str = ""
    adds: str = ""
    cautions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


Calculation = Callable[[Known, Tables], Amount]


class Asking(TypedDict):
    """The two fields of an Amount that ask."""

    lacks: tuple[str, ...]
    facts: tuple[str, ...]


def asking(lacks: tuple[Lack, ...]) -> Asking:
    """The questions for the facts that lack, each once."""
    open_facts = dict(lacks)
    return {"lacks": tuple(open_facts.values()), "facts": tuple(open_facts)}
