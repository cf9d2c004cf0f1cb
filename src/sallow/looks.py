"""A look as the person told it: an immutable value, and its written form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from sallow.values import dataclass, field, replace

# Answers besides a sign's own list. Only the first two carry any meaning for the reasoning.
NONE_NOTICED = "none_noticed"
NONE_LOOKED = "looked_none"
NOT_SURE = "not_sure"
NOT_APPLICABLE = "not_applicable"
GO_LOOK = "go_look"
SPECIAL = (NONE_NOTICED, NONE_LOOKED, NOT_SURE, NOT_APPLICABLE, GO_LOOK)
SILENT = (NOT_SURE, NOT_APPLICABLE, GO_LOOK)
TREE_KEYS = (
    "crop",
    "sort",
    "climate",
    "hemisphere",
    "grown_in",
    "winters",
    "summers",
    "heat",
    "name",
    "latitude",
    "canopy_diameter_m",
    "trunk_diameter_cm",
    "height_m",
    "pot_diameter_m",
    "bag",
    "weather_file",
)
Value = str | float | Sequence[str] | Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened: ``when`` a date, or ``within`` a window of the event kind in its own words."""

    what: str
    when: date | None = None
    within: str = ""
    note: str = ""
    where: str = ""
    product_known: bool | None = None


@dataclass(frozen=True, slots=True)
class Look:
    """One look at one tree, as the person told it. ``tree`` holds the context words, ``answers`` the tree's signs,
    ``symptoms`` one map of signs for each odd thing (with its ``part``), ``dated`` the day of answers given later,
    ``origins`` where answers come from that nobody typed (by sign of the tree, or ``event.KIND``)."""

    date: date
    tree: Mapping[str, Value] = field(default_factory=dict)
    events: tuple[Event, ...] = ()
    symptoms: tuple[Mapping[str, Value], ...] = ()
    answers: Mapping[str, Value] = field(default_factory=dict)
    about_to: str = ""
    name: str = ""
    no_more_symptoms: bool = True
    dated: Mapping[str, str] = field(default_factory=dict)
    origins: Mapping[str, str] = field(default_factory=dict)

    def answer(self, symptom: int | None, sign: str) -> Value | None:
        """What was answered to a sign, of a symptom or of the tree."""
        return self.answers.get(sign) if symptom is None else self.symptoms[symptom].get(sign)

    def with_answer(self, symptom: int | None, sign: str, value: Value | None) -> Look:
        """The look with one answer set, or taken back when ``value`` is None."""
        if symptom is None:
            return replace(self, answers=_set(self.answers, sign, value), origins=_without(self.origins, sign))
        changed = _set(self.symptoms[symptom], sign, value)
        return replace(self, symptoms=(*self.symptoms[:symptom], changed, *self.symptoms[symptom + 1 :]))

    def with_tree(self, key: str, value: Value | None) -> Look:
        """The look with one word about the tree set or taken back."""
        return replace(self, tree=_set(self.tree, key, value))

    def with_event(self, event: Event | None, what: str) -> Look:
        """The look with an event of this kind set, or taken back when ``event`` is None."""
        others = tuple(old for old in self.events if old.what != what)
        events = others if event is None else (*others, event)
        return replace(self, events=events, origins=_without(self.origins, f"event.{what}"))

    def with_origin(self, key: str, origin: str) -> Look:
        """The look with a note on where an answer comes from; answering it anew drops the note."""
        return replace(self, origins={**self.origins, key: origin})


def _set(values: Mapping[str, Value], key: str, value: Value | None) -> dict[str, Value]:
    changed = dict(values)
    if value is None:
        changed.pop(key, None)
    else:
        changed[key] = value
    return changed


def _without(origins: Mapping[str, str], key: str) -> Mapping[str, str]:
    return {other: origin for other, origin in origins.items() if other != key} if key in origins else origins


def look_as_data(look: Look) -> dict[str, Any]:
    """The look in answers-file form, ready for JSON or YAML, in one fixed order whatever the order of answers."""
    data: dict[str, Any] = {"date": look.date.isoformat()}
    if look.name:
        data["name"] = look.name
    if look.about_to:
        data["about_to"] = look.about_to
    data["tree"] = _in_order(look.tree)
    data["events"] = [_event_as_data(event) for event in sorted(look.events, key=lambda event: event.what)]
    data["symptoms"] = [_in_order(symptom) for symptom in look.symptoms]
    data["answers"] = _in_order(look.answers)
    data["no_more_symptoms"] = look.no_more_symptoms
    if look.dated:
        data["dated"] = dict(sorted(look.dated.items()))
    if look.origins:
        data["origins"] = dict(sorted(look.origins.items()))
    return data


def _event_as_data(event: Event) -> dict[str, Any]:
    data: dict[str, Any] = {"what": event.what}
    if event.when:
        data["when"] = event.when.isoformat()
    if event.within:
        data["within"] = event.within
    if event.note:
        data["note"] = event.note
    if event.where:
        data["where"] = event.where
    if event.product_known is not None:
        data["product_known"] = event.product_known
    return data


def _in_order(values: Mapping[str, Value]) -> dict[str, Any]:
    first = {key: _plain(values[key]) for key in ("part", "crop") if key in values}
    return first | {key: _plain(values[key]) for key in sorted(values) if key not in first}


def _plain(value: Value) -> Any:
    if isinstance(value, Mapping):
        return dict(sorted(value.items()))
    return sorted(value) if isinstance(value, tuple | list) else value
