"""'sallow knowledge show': an entry as plain text, with the file, line and source that each part comes from."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from typing import Any

from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.knowledge.access import folders_for
from sallow.knowledge.conditions import nearest
from sallow.knowledge.gather import Entry, Gathered
from sallow.knowledge.load import load_linked
from sallow.knowledge.model import WEIGHTS, Knowledge
from sallow.moved import in_words, moved
from sallow.status import ExitStatus

NO_SOURCE = {"common_practice": "common practice", "judgement": "our judgement", "from_memory": "from memory"}


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Print every entry with this id (a sign and a check may share one)."""
    found, knowledge = load_linked(folders_for(environment, arguments.knowledge), with_cases=True)
    wanted = named(arguments.id, found)
    entries = [(kind, known[wanted]) for kind, known in found.entries.items() if wanted in known]
    if not entries:
        words = {name: identifier for name, identifier in names(found)}
        close = words.get(nearest(arguments.id.lower(), words) or "")
        raise BadInput(f"there is no entry '{arguments.id}'." + (f" Did you mean '{close}'?" if close else ""))
    for kind, entry in entries:
        for line in entry_lines(kind, wanted, entry, found, knowledge):
            for part in hanging(line, environment.width):
                environment.say(part)
        environment.say("")
    return ExitStatus.OK


def names(found: Gathered) -> Iterator[tuple[str, str]]:
    """What entries are called, each with its id: the id, and the names that reports use."""
    for known in found.entries.values():
        for identifier, (_, _, raw) in known.items():
            yield identifier, identifier
            if isinstance(raw, Mapping):
                for name in (raw.get("name"), *(raw.get("also_called") or ())):
                    yield str(name).lower(), identifier


def named(wanted: str, found: Gathered) -> str:
    """The id that is meant: an id as it stands, else what a report calls it."""
    if any(wanted in known for known in found.entries.values()):
        return wanted
    return next((identifier for name, identifier in names(found) if name == wanted.strip().lower()), wanted)


def hanging(line: str, width: int) -> list[str]:
    """A line wrapped with its indent kept, and control characters taken out."""
    import textwrap

    plain = "".join(character if character.isprintable() else "?" for character in line)
    indent = " " * (len(plain) - len(plain.lstrip()) + 4)
    return textwrap.wrap(plain, max(width, 40), subsequent_indent=indent, break_on_hyphens=False) or [""]


def entry_lines(kind: str, identifier: str, entry: Entry, found: Gathered, knowledge: Knowledge) -> Iterator[str]:
    """The lines of one entry: where it stands, what it replaces, its parts, and who refers to it."""
    document, path, raw = entry
    yield f"{kind} {identifier}"
    yield f"  from {document.file}, line {document.place(path)[0]}"
    earlier = found.replaced.get((kind, identifier))
    if earlier is not None:
        yield f"  replaces {earlier[0].file}, line {earlier[0].place(earlier[1])[0]}"
    if kind in ("cause", "case") and identifier in found.off:
        yield "  switched off by a folder laid over it"
    yield from _parts(raw, document, path, "  ", knowledge)
    if kind == "check" and identifier in knowledge.checks:
        yield "  how far each result moves belief, against a cause that is not in the base:"
        for answer, causes in moved(knowledge.checks[identifier], knowledge):
            told = ", ".join(f"{cause} {in_words(ratio)}" for cause, ratio in causes)
            yield f"    {answer}: {told or 'hardly'}"
    used = list(users(identifier, found))
    if used:
        yield f"  referred to by: {', '.join(used[:12])}{f' and {len(used) - 12} more' if len(used) > 12 else ''}"


def _parts(raw: Any, document: Any, path: tuple[str | int, ...], indent: str, knowledge: Knowledge) -> Iterator[str]:
    if not isinstance(raw, Mapping):
        yield f"{indent}{written(raw)}"
        return
    for key, value in raw.items():
        here = (*path, key)
        if isinstance(value, list) and value and isinstance(value[0], Mapping):
            yield f"{indent}{key}:"
            for index, item in enumerate(value):
                line = document.place((*here, index))[0]
                yield f"{indent}  - [line {line}] {_item(item)}"
                yield from _sources(item, f"{indent}    ", knowledge)
        elif key in ("source", "sources"):
            yield from _sources({"source": value}, indent, knowledge)
        else:
            yield f"{indent}{key}: {written(value)}"


def _item(item: Mapping[str, Any]) -> str:
    parts = []
    for key, value in item.items():
        if key == "weight" and isinstance(value, str):
            parts.append(f"weight: {value} ({WEIGHTS[value]:.0f} decibans)")
        elif key != "source":
            parts.append(f"{key}: {written(value)}")
    return "; ".join(parts)


def _sources(item: Mapping[str, Any], indent: str, knowledge: Knowledge) -> Iterator[str]:
    for key in item.get("source", ()):
        source = knowledge.sources.get(key)
        words = NO_SOURCE.get(key) or (f"{key}: {source.cite}" if source else key)
        address = f" {source.address}" if source and source.address else ""
        yield f"{indent}source {words}{address}"


def written(value: Any) -> str:
    """A value in the short form of the files."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {written(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(written(inner) for inner in value) + "]"
    return str(value).lower() if isinstance(value, bool) else str(value)


def users(identifier: str, found: Gathered) -> Iterator[str]:
    """Every entry that names this id."""
    for kind, known in found.entries.items():
        for other, (_, _, raw) in known.items():
            if other != identifier and identifier in _words(raw):
                yield f"{kind} {other}"


def _words(raw: Any) -> set[str]:
    if isinstance(raw, Mapping):
        return set(raw).union(*(_words(value) for value in raw.values())) if raw else set()
    if isinstance(raw, list):
        return set().union(*(_words(value) for value in raw)) if raw else set()
    return {raw} if isinstance(raw, str) else set()
