"""What the verbs of 'sallow trees' share: where the book is, and the knowledge documents they read."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from sallow.environment import Environment

if TYPE_CHECKING:
    from sallow.trees.crops import CropList

_NAMES_SHOWN = 6


def book_path(arguments: argparse.Namespace, environment: Environment) -> Path:
    """The book that ``--book`` names, or the person's own."""
    return Path(arguments.book).expanduser() if arguments.book else environment.data_folder / "book.sqlite"


@cache
def document(name: str) -> Mapping[str, Any]:
    """One document of the shipped knowledge, such as 'crops'."""
    import yaml

    from sallow.knowledge.locate import shipped_folder

    path = shipped_folder("knowledge") / f"{name}.yaml"
    loaded = yaml.load(path.read_text(encoding="utf-8"), Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    return MappingProxyType(loaded)


def crops() -> CropList:
    """The crops of the shipped knowledge, found by the same names as in a look."""
    from sallow.trees.crops import crop_list

    return crop_list(document("crops"), _crop_called)


def _crop_called(text: str) -> str | None:
    from sallow.answers import crop_called

    return crop_called(text, [_Named(c["crop"], c["name"], tuple(c.get("also_called", ()))) for c in _rows()])


def _rows() -> Sequence[Mapping[str, Any]]:
    rows: Sequence[Mapping[str, Any]] = document("crops")["crops"]
    return rows


@dataclass(frozen=True, slots=True)
class _Named:
    id: str
    name: str
    also_called: tuple[str, ...]


def climate_names() -> Mapping[str, str]:
    """Each climate kind in plain words."""
    return {kind["climate"]: kind["name"] for kind in document("climates")["climates"]}


def set_half(name: str) -> str:
    """What to type so that the book knows the half of the world a tree stands in."""
    from sallow.trees.words import plain

    return f'sallow trees edit "{plain(name)}" --hemisphere south (or north)'


def join_names(names: Iterable[str]) -> str:
    """Names with commas; a long row is cut short and counted."""
    names = list(names)
    if len(names) <= _NAMES_SHOWN:
        return ", ".join(names)
    return f"{', '.join(names[: _NAMES_SHOWN - 1])} and {len(names) - _NAMES_SHOWN + 1} more"


def counted(number: int, word: str) -> str:
    """A number with its word: '1 look', '2 looks'."""
    return f"{number} {word}{'' if number == 1 else 's'}"


def say_wrapped(environment: Environment, text: str, indent: str = "", whole: bool = False) -> None:
    """Print the text in lines that fit, each with the indent; with ``whole`` a path stays in one piece to copy."""
    if text.isprintable() and text == text.strip() and 0 < len(text) <= environment.width - len(indent):
        environment.say(indent + text)
        return
    import textwrap

    shape = textwrap.TextWrapper(
        environment.width, initial_indent=indent, subsequent_indent=indent, break_long_words=not whole,
        break_on_hyphens=not whole,
    )  # fmt: skip
    for line in shape.wrap(text) or [""]:
        environment.say(line)


def say_hanging(environment: Environment, lead: str, text: str) -> None:
    """Print the text behind the lead, its further lines set in as far as the lead is long."""
    import textwrap

    blank = " " * len(lead)
    for line in textwrap.wrap(text, environment.width, initial_indent=lead, subsequent_indent=blank):
        environment.say(line)
