"""Reads answers files: from YAML or JSON text to a Look, every fault named with its place."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Any, Protocol

from sallow.answer_values import AnswerValues, short
from sallow.answer_values import parse_number as parse_number
from sallow.errors import BadInput
from sallow.knowledge.conditions import nearest, parse_days
from sallow.knowledge.document import Document
from sallow.knowledge.json_reader import read_json
from sallow.knowledge.model import PARTS, Knowledge, Sign
from sallow.looks import SPECIAL, TREE_KEYS, Event, Look, Value


def read_look(text: str, file: str, knowledge: Knowledge, today: date) -> Look:
    """A Look from the text of an answers file (YAML or JSON); BadInput lists every fault with its place."""
    quick = read_json(text, file)
    look = _look_in(quick, knowledge, today) if quick is not None else None
    if look is not None:
        return look
    from sallow.knowledge.yaml_reader import read_yaml

    document = read_yaml(text, file)
    look = _look_in(document, knowledge, today)
    if look is None:
        raise BadInput(
            "the answers cannot be used:\n" + "\n".join(f"  {complaint}" for complaint in sorted(document.complaints))
        )
    return look


def _look_in(document: Document, knowledge: Knowledge, today: date) -> Look | None:
    """The look of a document, or None when the document has complaints."""
    if not document.complaints:
        from sallow.knowledge.shape import check_shape

        check_shape(document, "look")
    look = None if document.complaints else build_look(document, knowledge, today)
    return None if document.complaints else look


def look_from(raw: Mapping[str, Any], name: str, knowledge: Knowledge, today: date) -> Look:
    """A Look from plain values, such as a cause's typical look; BadInput names the place inside it."""
    return read_look(json.dumps(raw), name, knowledge, today)


def read_value(knowledge: Knowledge, sign: str, text: str, today: date) -> Value:
    """One answer typed as text; several options with commas between. BadInput with what was expected."""
    words: Any = [word.strip() for word in text.split(",")] if knowledge.signs[sign].kind == "several" else text
    if words == [text] and text in SPECIAL:
        words = text
    document = Document(sign, {})
    value = _Reader(document, knowledge, today).value((), knowledge.signs[sign], words)
    if value is None:
        raise BadInput(
            "; ".join(complaint.message + f" (expected: {complaint.expected})" for complaint in document.complaints)
        )
    return value


def build_look(document: Document, knowledge: Knowledge, today: date) -> Look:
    """The Look of a schema-checked document; faults are added to the document's complaints."""
    return _Reader(document, knowledge, today).look()


class _Reader(AnswerValues):
    def __init__(self, document: Document, knowledge: Knowledge, today: date) -> None:
        super().__init__(document)
        self.knowledge = knowledge
        self.today = today
        self.raw: Mapping[str, Any] = document.value

    def look(self) -> Look:
        day = self.day(("date",), self.raw.get("date")) or self.today
        return Look(
            date=day,
            tree={
                key: self.tree_word(key, value)
                for key, value in self.raw.get("tree", {}).items()
                if key not in self.knowledge.signs
            },
            events=tuple(self.event(index, item, day) for index, item in enumerate(self.raw.get("events", ()))),
            symptoms=tuple(self.symptom(index, item) for index, item in enumerate(self.raw.get("symptoms", ()))),
            answers=self.answers(),
            about_to=self.intention(self.raw.get("about_to", "")),
            name=self.raw.get("name", ""),
            no_more_symptoms=self.raw.get("no_more_symptoms", True),
            dated={key: str(self.day(("dated", key), day)) for key, day in self.raw.get("dated", {}).items()},
            origins=dict(self.raw.get("origins", {})),
        )

    def answers(self) -> dict[str, Value]:
        given = {key: (("answers", key), value) for key, value in self.raw.get("answers", {}).items()}
        # Signs of the tree may also stand under 'tree:', where people look for them (age_years, for one).
        given |= {
            key: (("tree", key), value)
            for key, value in self.raw.get("tree", {}).items()
            if key in self.knowledge.signs
        }
        result = {}
        for key, (path, value) in given.items():
            sign = self.sign(path, key, tree=True)
            if sign is not None:
                checked = self.value(path, sign, value)
                if checked is not None:
                    result[key] = checked
        return result

    def symptom(self, index: int, item: Mapping[str, Any]) -> dict[str, Value]:
        path: tuple[str | int, ...] = ("symptoms", index)
        part = item.get("part")
        if part not in PARTS:
            self.document.complain(
                (*path, "part"),
                "illegal-value",
                f"'{part}' is not a part of the tree",
                ", ".join(PARTS),
                nearest(str(part), PARTS),
            )
            return {}
        result: dict[str, Value] = {"part": part}
        for key, value in item.items():
            if key == "part":
                continue
            sign = self.sign((*path, key), key, tree=False)
            if sign is None:
                continue
            if sign.part not in (part, "any"):
                self.document.complain(
                    (*path, key),
                    "wrong-part",
                    f"'{key}' belongs to the {sign.part}, not to the {part}",
                    "a sign of this part",
                )
                continue
            checked = self.value((*path, key), sign, value)
            if checked is not None:
                result[key] = checked
        return result

    def sign(self, path: tuple[str | int, ...], key: str, tree: bool) -> Sign | None:
        sign = self.knowledge.signs.get(key)
        if sign is None:
            known = [name for name, other in self.knowledge.signs.items() if other.of_symptom != tree]
            self.document.complain(
                path,
                "unknown-sign",
                f"there is no sign '{key}'",
                "a sign listed by 'sallow questions'",
                nearest(key, known),
            )
        elif sign.of_symptom == tree:
            where = "a symptom" if tree else "'answers'"
            self.document.complain(path, "misplaced-sign", f"'{key}' belongs to {where}", "the sign in its own place")
            return None
        return sign

    def event(self, index: int, item: Mapping[str, Any], day: date) -> Event:
        path: tuple[str | int, ...] = ("events", index)
        kind = self.knowledge.events.get(item["what"])
        if kind is None:
            self.document.complain(
                (*path, "what"),
                "unknown-event",
                f"there is no event '{item['what']}'",
                ", ".join(self.knowledge.events),
                nearest(item["what"], self.knowledge.events),
            )
            return Event("")
        within = item.get("within", "")
        if within and within not in ("never", "longer") and parse_days(within) is None:
            self.document.complain(
                (*path, "within"),
                "event-window",
                f"'{within}' is not a span of time",
                "for instance '3 weeks', or never",
            )
        when = self.day((*path, "when"), item.get("when"))
        if when and when > day:
            self.document.complain(
                (*path, "when"), "date", f"{when} is after the day of the look ({day})", "an earlier day"
            )
        return Event(kind.id, when, within, item.get("note", ""), item.get("where", ""), item.get("product_known"))

    def tree_word(self, key: str, value: Any) -> Value:
        path = ("tree", key)
        if key not in TREE_KEYS:
            self.document.complain(
                path,
                "unknown-key",
                f"there is no '{key}' among the words about the tree",
                ", ".join(TREE_KEYS),
                nearest(key, [*TREE_KEYS, *self.knowledge.signs]),
            )
            return ""
        if key == "crop":
            return self.crop(path, str(value))
        allowed = self.allowed(key)
        if allowed and value not in allowed and value not in SPECIAL:
            self.document.complain(
                path,
                "illegal-value",
                f"'{short(value)}' is not known for '{key}'",
                ", ".join(allowed),
                nearest(str(value), allowed),
            )
        return value if isinstance(value, str | int | float) else str(value)

    def allowed(self, key: str) -> tuple[str, ...]:
        if key == "climate":
            return tuple(self.knowledge.climates)
        fixed = {"hemisphere": ("north", "south"), "grown_in": ("ground", "pot", "lawn")}
        questions = {str(q["question"]): tuple(q["answers"]) for q in self.knowledge.climate_questions}
        return fixed.get(key, questions.get(key, ()))

    def crop(self, path: tuple[str | int, ...], text: str) -> str:
        found = find_crop(text, self.knowledge)
        if found is None:
            names = [name for crop in self.knowledge.crops.values() for name in (crop.id, crop.name, *crop.also_called)]
            self.document.complain(
                path,
                "unknown-crop",
                f"'{short(text)}' is not a tree sallow knows",
                "one of " + ", ".join(self.knowledge.crops) + ", or 'other'",
                nearest(text.lower(), names),
            )
            return ""
        return found

    def intention(self, text: str) -> str:
        if text and text not in self.knowledge.intentions:
            self.document.complain(
                ("about_to",),
                "illegal-value",
                f"'{short(text)}' is not a known intention",
                ", ".join(self.knowledge.intentions),
                nearest(text, self.knowledge.intentions),
            )
        return text


class NamedCrop(Protocol):
    """A crop with its names."""

    @property
    def id(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def also_called(self) -> Sequence[str]: ...


def find_crop(text: str, knowledge: Knowledge) -> str | None:
    """The crop a word or alias stands for (plural and letter case do not matter), or None."""
    return crop_called(text, knowledge.crops.values())


def crop_called(text: str, crops: Collection[NamedCrop]) -> str | None:
    """The id of the crop among these that a word or alias stands for, or None."""
    whole = " ".join(text.lower().replace("_", " ").split())
    word = whole.removesuffix(" tree").removesuffix(" vine")
    singular = (word.removesuffix("s"), word.removesuffix("es"), word.removesuffix("ies") + "y")
    for candidate in (whole, word, *singular):
        for crop in crops:
            if candidate in (crop.id, crop.name.lower(), *(alias.lower() for alias in crop.also_called)):
                return crop.id
    return None
