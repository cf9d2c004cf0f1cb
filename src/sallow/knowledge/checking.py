"""Checks knowledge folders and gathers every complaint of one run: reading, shape, links, looks, and the review."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from sallow.answers import build_look
from sallow.errors import Complaint
from sallow.knowledge.build import link
from sallow.knowledge.conditions import nearest
from sallow.knowledge.document import Document
from sallow.knowledge.gather import Gathered
from sallow.knowledge.load import read_folders
from sallow.knowledge.model import Knowledge
from sallow.knowledge.review import review_knowledge
from sallow.knowledge.review.codes import FAULT, grade_of
from sallow.knowledge.shape import check_shape
from sallow.looks import Look

# A file of another kind holds words that many others need; while one of them is broken, links are not looked at.
LEAVES = ("cause", "cases", "table")
SOME_DAY = date(2026, 5, 1)


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found. ``knowledge`` is None while faults stand in its way; ``partial`` tells that links and rules
    could not be looked at."""

    complaints: tuple[Complaint, ...]
    knowledge: Knowledge | None
    found: Gathered | None
    partial: bool

    def faults(self) -> tuple[Complaint, ...]:
        """The complaints that are faults."""
        return tuple(complaint for complaint in self.complaints if grade_of(complaint.code) == FAULT)


def check_folders(folders: Sequence[Path], looks: str = "own") -> Checked:
    """Check the folders as they lie over one another.

    ``looks`` says which causes' typical looks and near misses are weighed: 'none', those of overlays ('own'), or 'all'.
    BadInput when a folder is missing or holds nothing.
    """
    documents, complaints = read_folders(folders, with_cases=True)
    broken = [(kind, document) for kind, document in documents if document.complaints]
    if any(kind not in LEAVES for kind, _ in broken):
        return Checked(tuple(sorted(complaints)), None, None, True)
    sound = [(kind, document) for kind, document in documents if not document.complaints]
    found, knowledge = link(sound, "", [str(folder) for folder in folders[1:]])
    faults = [complaint for _, document in sound for complaint in document.complaints]
    missing = {word for _, document in broken for word in _ids(document.value)}
    faults = [
        c for c in faults if not (c.code.startswith("unknown-") and any(f"'{word}'" in c.message for word in missing))
    ]
    if not any(document.complaints for _, document in sound):
        faults += check_looks(knowledge, found)
    complaints = [*complaints, *faults]
    if complaints:
        return Checked(tuple(sorted(complaints)), None, found, bool(broken))
    reviewed = review_knowledge(knowledge, found)
    if looks != "none":
        reviewed += [
            complaint for cause in _weighed(found, looks) for complaint in weigh_looks(knowledge, found, cause)
        ]
    return Checked(tuple(sorted(reviewed)), knowledge, found, False)


def _ids(value: Any) -> Iterator[str]:
    """The ids that a broken file seems to define."""
    if isinstance(value, Mapping):
        for key in ("cause", "case", "table"):
            if isinstance(value.get(key), str):
                yield value[key]
        for inner in value.values():
            if isinstance(inner, list):
                for item in inner:
                    yield from _ids(item)


# -- looks inside knowledge ----------------------------------------------------------------------------------------


def check_looks(knowledge: Knowledge, found: Gathered) -> list[Complaint]:
    """What is wrong with the looks that causes and cases hold, each at its own place."""
    complaints: list[Complaint] = []
    for _, (document, path, raw) in found.of("cause").items():
        for key in ("typical", "near_miss"):
            complaints += look_at(document, (*path, key), raw[key], knowledge)[1]
        first = raw["near_miss"].get("first", "")
        if first and first not in found.of("cause"):
            line, column = document.place((*path, "near_miss", "first"))
            suggestion = nearest(first, found.of("cause"))
            message = f"there is no cause '{first}'"
            complaints.append(
                Complaint(document.file, line, column, "unknown-cause", message, "a known cause", suggestion)
            )
    for _, (document, path, raw) in found.of("case").items():
        complaints += look_at(document, (*path, "look"), raw["look"], knowledge)[1]
    return complaints


def look_at(
    document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any], knowledge: Knowledge
) -> tuple[Look, list[Complaint]]:
    """The look written at ``path`` of a file, and what is wrong with it."""
    size = len(path)
    part = Document(document.file, {key: value for key, value in raw.items() if key != "first"})
    part.places = {place[size:]: where for place, where in document.places.items() if place[:size] == path}
    check_shape(part, "look")
    look = build_look(part, knowledge, SOME_DAY) if not part.complaints else Look(SOME_DAY)
    return look, part.complaints


def _weighed(found: Gathered, looks: str) -> list[str]:
    return [cause for cause, (document, _, _) in found.of("cause").items() if looks == "all" or document.layer]


def weigh_looks(knowledge: Knowledge, found: Gathered, cause: str) -> list[Complaint]:
    """Whether a cause leads its typical look, and the named one its near miss."""
    from sallow.diagnosis import weigh_look
    from sallow.reasoning.compile import SOMETHING_ELSE

    if cause not in knowledge.causes:
        return []
    document, path, raw = found.of("cause")[cause]
    complaints = []
    for key, wanted, code in (
        ("typical", cause, "typical-not-first"),
        ("near_miss", raw["near_miss"].get("first", ""), "near-miss-not-first"),
    ):
        look, _ = look_at(document, (*path, key), raw[key], knowledge)
        ranking = weigh_look(knowledge, look)[1].ranking()
        first = next((name for name, _ in ranking if name != SOMETHING_ELSE), "")
        if wanted and first != wanted:
            line, column = document.place((*path, key))
            message = f"'{first}' comes first here, not '{wanted}'"
            complaints.append(Complaint(document.file, line, column, code, message, wanted))
    return complaints
