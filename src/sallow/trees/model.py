"""The values of the tree book: a tree, an event in its life, a look at it, and the words they may use."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from types import MappingProxyType
from typing import Any

from sallow.errors import BadInput

GROWN = ("ground", "pot", "lawn")
CLIMATES = ("dry_summer", "desert", "humid_subtropical", "cool_humid", "cold_dry", "tropical")
HEMISPHERES = ("north", "south")
PRECISIONS = ("day", "week", "month", "season", "year")
# Kinds the book itself puts to use; the knowledge may name more, and any tidy word is kept.
EVENT_KINDS = (
    "fed", "watered", "pruned", "sprayed", "copper_spray", "weed_killer", "limed", "planted", "moved",
    "dug_or_paved", "watering_failed", "emitter_cleaned", "flood", "frost", "heat", "hail", "wind",
    "measured", "test_result", "harvest", "text",
)  # fmt: skip
MEASURES = ("shoot_growth", "leaf_colour", "leaf_nitrogen")
CAME_OF_IT = ("", "better", "same", "worse")
LONGEST_NAME = 60
LONGEST_TEXT = 4000

_KIND = re.compile(r"[a-z][a-z0-9_]{1,59}")
_PARTIAL_DATE = re.compile(r"\d{4}(-\d{2}(-\d{2})?)?")


@dataclass(frozen=True, slots=True)
class Tree:
    """One tree: ``canopy_m`` and ``pot_m`` metres across, ``trunk_cm`` centimetres of diameter, flow in L/h.

    ``planted`` is ``YYYY``, ``YYYY-MM`` or ``YYYY-MM-DD``. Empty text and None mean "not known".
    """

    name: str
    crop: str
    sort: str = ""
    rootstock: str = ""
    planted: str = ""
    grown: str = ""
    soil: str = ""
    water: str = ""
    canopy_m: float | None = None
    trunk_cm: float | None = None
    climate: str = ""
    hemisphere: str = ""
    latitude: float | None = None
    emitters: int | None = None
    emitter_flow_lph: float | None = None
    pot_m: float | None = None
    uid: str = ""


@dataclass(frozen=True, slots=True)
class Event:
    """What happened to a tree or was done to it. ``precision`` tells how exactly ``when`` is known.

    ``subject`` is which measure or which test; ``result`` what the test showed; ``amount`` is in ``unit``.
    """

    what: str
    when: date
    where: str = ""
    product_known: bool | None = None
    product: str = ""
    amount: float | None = None
    unit: str = ""
    subject: str = ""
    result: str = ""
    words: str = ""
    precision: str = "day"
    tree: str = ""
    uid: str = ""


@dataclass(frozen=True, slots=True)
class PendingCheck:
    """A confirming test that a look asked for; ``ready`` is the day its answer can be read."""

    check: str
    name: str = ""
    ready: date | None = None


@dataclass(frozen=True, slots=True)
class Look:
    """One look at one or several trees.

    ``answers`` and ``result`` are kept as JSON, whole. ``seen``, ``likely``, ``steps`` are the same in plain
    sentences, for the story. ``came_of_it`` is how the tree does since the look before. ``trees`` holds uids.
    """

    day: date
    answers: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))
    result: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))
    knowledge: str = ""
    seen: tuple[str, ...] = ()
    likely: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    checks: tuple[PendingCheck, ...] = ()
    look_again: date | None = None
    came_of_it: str = ""
    photos: tuple[str, ...] = ()
    trees: tuple[str, ...] = ()
    uid: str = ""


def name_key(name: str) -> str:
    """The form in which two spellings of one name are equal: composed, folded, single spaces."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def name_taken(name: str, taken: Collection[str]) -> str:
    """That a tree of this name is in the book already, with the next free one; empty when the name is free."""
    keys = {name_key(other): other for other in taken}
    if name_key(name) not in keys:
        return ""
    old = keys[name_key(name)]
    number = next(number for number in range(2, len(keys) + 3) if name_key(f"{old} {number}") not in keys)
    return f"There is already a tree called '{old}' in the book. Choose another name, such as '{old} {number}'."


def clean_text(text: str, what: str, longest: int = LONGEST_TEXT) -> str:
    """The text without outer blanks; BadInput when it is too long or has characters no screen should get."""
    text = text.strip()
    if len(text) > longest:
        raise BadInput(f"{what} is {len(text)} characters long; the tree book takes up to {longest}. Shorten it.")
    for character in text:
        if unicodedata.category(character) in ("Cc", "Cs", "Cf") and character not in "\n\t\u200d\u200c":
            raise BadInput(
                f"{what} holds an invisible control character (code {ord(character):04X}); type it again without."
            )
    return text


def checked_tree(tree: Tree) -> Tree:
    """The same tree with tidy texts and its hemisphere told by the latitude; BadInput says what is wrong."""
    texts: dict[str, Any] = {
        name: clean_text(getattr(tree, name), f"the {name} of the tree", 400)
        for name in ("crop", "sort", "rootstock", "soil", "water")
    }
    name = " ".join(clean_text(tree.name, "the name of the tree", LONGEST_NAME).split())
    if not name:
        raise BadInput('a tree needs a name, for example: sallow trees add "Barrel lemon" --crop lemon')
    if "," in name or name_key(name) == "all":
        raise BadInput(f"'{name}' cannot be a tree's name: commas part names and 'all' means every tree.")
    _one_of(tree.grown, GROWN, "where the tree grows")
    _one_of(tree.climate, CLIMATES, "the climate kind")
    _one_of(tree.hemisphere, HEMISPHERES, "the hemisphere")
    _within(tree.canopy_m, 0, 40, "the width of the canopy in metres")
    _within(tree.trunk_cm, 0, 400, "the thickness of the trunk in centimetres")
    _within(tree.latitude, -90, 90, "the latitude in degrees (south is negative)")
    _within(tree.emitters, 0, 1000, "the number of emitters")
    _within(tree.emitter_flow_lph, 0, 1000, "the flow of one emitter in litres per hour")
    _within(tree.pot_m, 0.05, 3, "the width of the pot in metres")
    if tree.planted:
        check_partial_date(tree.planted, "the planting date")
    return replace(tree, name=name, hemisphere=_hemisphere(tree), **texts)


def check_partial_date(text: str, what: str) -> None:
    """BadInput unless ``text`` is a year, a month or a day in ISO form."""
    try:
        if not _PARTIAL_DATE.fullmatch(text):
            raise ValueError
        date.fromisoformat((text + "-01-01")[:10])
    except ValueError:
        raise BadInput(
            f"{what} is '{text}'; expected a year (2019), a month (2019-05) or a day (2019-05-12)."
        ) from None


def checked_event(event: Event) -> Event:
    """The same event with tidy texts; BadInput says what is wrong."""
    if not _KIND.fullmatch(event.what):
        raise BadInput(f"the kind of note is '{event.what}'; expected a word such as {', '.join(EVENT_KINDS[:4])}.")
    _one_of(event.precision, PRECISIONS, "how exactly the date is known", may_be_empty=False)
    if event.amount is not None and not (math.isfinite(event.amount) and event.amount >= 0):
        raise BadInput(f"the amount of a note is {event.amount}; expected a number of zero or more.")
    texts: dict[str, Any] = {
        name: clean_text(getattr(event, name), f"the {name} of the note")
        for name in ("where", "product", "unit", "subject", "result", "words")
    }
    return replace(event, **texts)


def _one_of(value: str, allowed: tuple[str, ...], what: str, may_be_empty: bool = True) -> None:
    if value not in allowed and not (may_be_empty and value == ""):
        raise BadInput(f"{what} is '{value}'; expected one of: {', '.join(word for word in allowed if word)}.")


def _within(value: float | None, low: float, high: float, what: str) -> None:
    if value is not None and not (math.isfinite(value) and low <= value <= high):
        raise BadInput(f"{what} is {value:g}; expected a number from {low:g} to {high:g}.")


def _hemisphere(tree: Tree) -> str:
    if tree.latitude is None or tree.latitude == 0:
        return tree.hemisphere
    from_latitude = "south" if tree.latitude < 0 else "north"
    if tree.hemisphere and tree.hemisphere != from_latitude:
        raise BadInput(
            f"the latitude {tree.latitude:g} lies in the {from_latitude}, but the hemisphere given is "
            f"{tree.hemisphere}. Southern latitudes are negative: mend one of the two."
        )
    return from_latitude
