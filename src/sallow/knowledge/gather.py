"""Gathers the entries of all knowledge files: later folders replace, add to or switch off what earlier ones hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sallow.knowledge import model as m
from sallow.knowledge.conditions import Vocabulary, event_value, nearest, parse_days
from sallow.knowledge.document import Document

Path = tuple[str | int, ...]
Entry = tuple[Document, Path, Any]
Documents = Sequence[tuple[str, Document]]
CONTEXT_VALUES = {
    "season": ("winter", "spring", "summer", "autumn"),
    "grown_in": ("ground", "pot", "lawn"),
    "hemisphere": ("north", "south"),
    "evergreen": ("yes", "no"),
    "part_is": m.PARTS,
}
# How each kind of file holds its entries: the list below this key, each named by that key ...
LISTED = {
    "signs": ("signs", "sign"),
    "events": ("events", "event"),
    "findings": ("findings", "finding"),
    "checks": ("checks", "check"),
    "crops": ("crops", "crop"),
    "climates": ("climates", "climate"),
    "intentions": ("intentions", "intention"),
    "cases": ("cases", "case"),
}
# ... or the file itself is one entry, or it maps names to entries (below a key, or at the top).
SINGLE = {"cause": "cause", "table": "table"}
MAPPED = {"cautions": ("cautions", "caution"), "sources": ("", "source")}
MOST_NAMED = 6


@dataclass(slots=True)
class Layer:
    """What one overlay folder does to those below it: entries as 'cause broken_drain'."""

    adds: list[str] = field(default_factory=list)
    replaces: list[str] = field(default_factory=list)
    switches_off: list[str] = field(default_factory=list)

    def words(self, folder: str) -> str:
        """The folder and what it does, for the report."""
        parts = [
            f"{verb} {_some(names)}"
            for verb, names in (
                ("replaces", self.replaces),
                ("switches off", self.switches_off),
                ("adds", self.adds),
            )
            if names
        ]
        return f"{folder} ({'; '.join(parts)})" if parts else folder


def _some(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    return ", ".join(names[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


@dataclass(slots=True)
class Gathered:
    """Every entry by kind ('cause', 'sign', ...) and id, as the last folder that has it wrote it."""

    entries: dict[str, dict[str, Entry]]
    groups: dict[str, str]
    questions: list[dict[str, Any]]
    off: frozenset[str]
    layers: list[Layer]
    replaced: dict[tuple[str, str], Entry]

    def of(self, kind: str) -> dict[str, Entry]:
        """The entries of a kind."""
        return self.entries[kind]


def entries_in(kind: str, document: Document) -> Iterator[tuple[str, str, Path, Any]]:
    """(kind of entry, id, path in the file, value) of every entry of one checked file."""
    if kind in LISTED:
        key, name = LISTED[kind]
        for index, item in enumerate(document.value[key]):
            yield name, item[name], (key, index), item
    elif kind in SINGLE:
        yield SINGLE[kind], document.value[SINGLE[kind]], (), document.value
    elif kind in MAPPED:
        key, name = MAPPED[kind]
        for identifier, item in (document.value[key] if key else document.value).items():
            yield name, identifier, (key, identifier) if key else (identifier,), item


def beside_entries(kind: str, document: Document) -> Any:
    """What a checked file says beside its entries: the groups of crops, the questions about climate, pictures ..."""
    if kind in SINGLE or (kind in MAPPED and not MAPPED[kind][0]):
        return {}
    key = LISTED[kind][0] if kind in LISTED else MAPPED.get(kind, ("",))[0]
    return {name: value for name, value in document.value.items() if name != key}


def gather(documents: Documents, layers: int = 1) -> Gathered:
    """Lay the documents over one another; complaints about clashes within one folder go to the documents."""
    names = [name for _, name in LISTED.values()] + list(SINGLE.values()) + [name for _, name in MAPPED.values()]
    found = Gathered({name: {} for name in names}, {}, [], frozenset(), [Layer() for _ in range(layers)], {})
    off: set[str] = set()
    questions: dict[str, dict[str, Any]] = {}
    for kind, document in documents:
        for name, identifier, path, value in entries_in(kind, document):
            _add(found, name, identifier, (document, path, value))
        if kind == "crops":
            found.groups |= {key: value["name"] for key, value in document.value["groups"].items()}
        elif kind == "climates":
            questions |= {question["question"]: question for question in document.value["questions"]}
        elif kind == "switched_off":
            off |= _switch_off(found, document)
    found.off = frozenset(off)
    found.questions = list(questions.values())
    return found


def _add(found: Gathered, name: str, identifier: str, entry: Entry) -> None:
    document, path, value = entry
    earlier = found.of(name).get(identifier)
    if earlier is not None and earlier[0].layer == document.layer:
        if name not in ("source", "caution") or earlier[2] != value:
            line, _ = earlier[0].place(earlier[1])
            document.complain(
                path,
                "duplicate-id",
                f"the {name} '{identifier}' is already defined in {earlier[0].file}, line {line}"
                + (", and differently" if earlier[2] != value else ""),
                "one definition",
            )
    elif document.layer:
        layer = found.layers[document.layer]
        (layer.adds if earlier is None else layer.replaces).append(f"{name} {identifier}")
        if earlier is not None:
            found.replaced[name, identifier] = earlier
    found.of(name)[identifier] = entry


def _switch_off(found: Gathered, document: Document) -> set[str]:
    off: set[str] = set()
    for key, name in (("causes", "cause"), ("cases", "case")):
        for index, identifier in enumerate(document.value.get(key, ())):
            known = found.of(name)
            if identifier not in known and (name != "case" or known):
                document.complain(
                    (key, index),
                    f"unknown-{name}",
                    f"there is no {name} '{identifier}' to switch off",
                    f"a known {name}",
                    nearest(identifier, known),
                )
            off.add(identifier)
            found.layers[document.layer].switches_off.append(f"{name} {identifier}")
    return off


def make_vocabulary(found: Gathered) -> Vocabulary:
    """The words that conditions may use."""
    variables: dict[str, tuple[str, ...]] = dict(CONTEXT_VALUES)
    options: dict[str, tuple[str, ...]] = {}
    bands: dict[str, tuple[tuple[str, float | None], ...]] = {}
    units: dict[str, str] = {}
    for identifier, (_, _, raw) in found.of("sign").items():
        if raw["kind"] == "several":
            options[identifier] = tuple(raw.get("answers", ()))
            variables |= {f"{identifier}.{option}": ("yes", "no") for option in options[identifier]}
        elif raw["kind"] == "number":
            bands[identifier] = tuple((band, value.get("below")) for band, value in raw.get("bands", {}).items())
            variables[identifier] = tuple(raw.get("bands", ()))
            units[identifier] = raw.get("unit", "")
        elif raw["kind"] == "yes_no":
            variables[identifier] = ("yes", "no")
        elif raw["kind"] == "one":
            variables[identifier] = tuple(raw.get("answers", ()))
    windows = {
        identifier: tuple(parse_days(span) or 0 for span in raw["within"])
        for identifier, (_, _, raw) in found.of("event").items()
    }
    for identifier, days in windows.items():
        variables[f"event.{identifier}"] = tuple(event_value(index) for index in range(len(days) + 1))
    variables["crop"] = tuple(found.of("crop"))
    variables["climate"] = tuple(found.of("climate"))
    groups = {
        group: tuple(key for key, (_, _, raw) in found.of("crop").items() if raw.get("group") == group)
        for group in found.groups
    }
    return Vocabulary(variables, options, bands, units, windows, groups, frozenset(found.of("finding")))


def known_how_common(found: Gathered) -> Mapping[str, Any]:
    """The words that may stand in ``how_common``."""
    return {
        "default": 0,
        **found.of("climate"),
        **found.groups,
        **found.of("crop"),
        **dict.fromkeys(CONTEXT_VALUES["season"]),
        **dict.fromkeys(CONTEXT_VALUES["grown_in"]),
    }
