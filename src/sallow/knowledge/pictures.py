"""The leaf pictures as data: colours, outlines by crop, and which painters draw each answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

from sallow.knowledge.conditions import nearest
from sallow.values import dataclass, field

if TYPE_CHECKING:
    from sallow.knowledge.document import Document

Point = tuple[float, float]
HOLE = "hole"
_Value = TypeVar("_Value")


class Late(Mapping[str, _Value]):
    """A read-only mapping whose entries are made from their raw form when they are first asked for."""

    __slots__ = ("_made", "_make", "_raw")

    def __init__(self, raw: Mapping[str, Any], make: Callable[[str, Any], _Value]) -> None:
        self._raw = raw
        self._make = make
        self._made: dict[str, _Value] = {}

    def __getitem__(self, key: str) -> _Value:
        if key not in self._made:
            self._made[key] = self._make(key, self._raw[key])
        return self._made[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._raw)

    def __len__(self) -> int:
        return len(self._raw)


@dataclass(frozen=True, slots=True)
class Colour:
    """A named colour: ``rgb`` for screens and paper, ``plain`` and ``ascii`` the character that stands for it
    where there is no colour, ``ansi`` its number among the sixteen terminal colours."""

    id: str
    say: str
    rgb: tuple[int, int, int]
    plain: str
    ascii: str
    ansi: int
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class Outline:
    """A leaf outline. ``points`` run along the upper rim from stalk to tip, in leaf lengths (x along, y up);
    ``mains`` are the ends of main veins beside the midrib, in the upper half; ``angle`` in degrees."""

    id: str
    points: tuple[Point, ...]
    side_veins: int
    angle: float
    mains: tuple[Point, ...] = ()
    teeth: int = 0
    stalk: str = "plain"


@dataclass(frozen=True, slots=True)
class Paint:
    """One painter at work: its colours, how strong it covers (0 to 1), and how large, how many and where."""

    painter: str
    colours: tuple[str, ...] = ()
    strength: float = 1.0
    size: float = 1.0
    count: int = 0
    where: str = "scattered"
    half: str = "both"
    kind: str = ""

    def tone(self, number: int) -> str:
        """Colour ``number`` (from 0), or the last one where there are fewer."""
        return self.colours[min(number, len(self.colours) - 1)]


@dataclass(frozen=True, slots=True)
class Picture:
    """How one answer of a sign is drawn: the form of the leaf, then the painters in order."""

    sign: str
    answer: str
    paints: tuple[Paint, ...]
    form: str = "usual"
    note: str = ""


@dataclass(frozen=True, slots=True)
class PictureBook:
    """Every picture, keyed by 'sign.answer', with the colours and outlines they use."""

    colours: Mapping[str, Colour]
    outlines: Mapping[str, Outline]
    outline_of: Mapping[str, str]
    pictures: Mapping[str, Picture]
    raw: Mapping[str, Any] = field(default_factory=dict, compare=False, repr=False)

    def signs(self) -> tuple[str, ...]:
        """The signs that have pictures, in the order of the file."""
        return tuple(dict.fromkeys(key.split(".", 1)[0] for key in self.pictures))

    def get(self, sign: str, answer: str) -> Picture | None:
        """The picture of an answer, if it has one."""
        return self.pictures.get(f"{sign}.{answer}")

    def outline(self, crop: str, group: str = "") -> Outline:
        """The outline for a crop, its group, or the general one."""
        name = self.outline_of.get(crop) or self.outline_of.get(group) or self.outline_of["default"]
        return self.outlines[name]


def picture_book(raw: Mapping[str, Any]) -> PictureBook:
    """The book from checked raw values: colours, outlines, outline_of, and pictures by 'sign.answer'.

    Entries are made when first asked for, so that commands without pictures do not pay for them.
    """
    return PictureBook(
        Late(raw["colours"], _colour),
        Late(raw["outlines"], _outline),
        raw["outline_of"],
        Late(raw["pictures"], _picture),
        raw,
    )


NO_PICTURES: Mapping[str, Any] = {"colours": {}, "outlines": {}, "outline_of": {}, "pictures": {}}


def build_pictures(
    documents: Sequence[Document], answers: Mapping[str, Mapping[str, Any]], crops: Mapping[str, Any]
) -> PictureBook:
    """The pictures of all files (later ones win); a complaint for every unknown sign, answer, crop or colour.

    ``answers`` maps each sign to its answers; ``crops`` holds every crop and crop group.
    """
    raw: dict[str, Any] = {key: {} for key in NO_PICTURES}
    for document in documents:
        for key in ("colours", "outlines", "outline_of"):
            raw[key] |= document.value.get(key, {})
    for document in documents:
        checker = _Checker(document, raw, answers)
        checker.check_outlines(crops)
        raw["pictures"] |= checker.pictures()
    if documents and "default" not in raw["outline_of"]:
        documents[0].complain(("outline_of",), "missing-key", "the general outline is missing", "default: an outline")
    return picture_book(raw)


def _colour(key: str, raw: Mapping[str, Any]) -> Colour:
    digits = raw["hex"].removeprefix("#")
    rgb = (int(digits[0:2], 16), int(digits[2:4], 16), int(digits[4:6], 16))
    return Colour(key, raw["say"], rgb, raw["plain"], raw["ascii"], raw["ansi"], raw.get("weight", 1.0))


def _outline(key: str, raw: Mapping[str, Any]) -> Outline:
    def points(name: str) -> tuple[Point, ...]:
        return tuple((float(x), float(y)) for x, y in raw.get(name, ()))

    return Outline(
        key,
        points("points"),
        raw["side_veins"],
        raw["angle"],
        points("mains"),
        raw.get("teeth", 0),
        raw.get("stalk", "plain"),
    )


class _Checker:
    """Checks one file's references; complaints go to its document."""

    def __init__(self, document: Document, raw: Mapping[str, Any], answers: Mapping[str, Mapping[str, Any]]) -> None:
        self.document = document
        self.colours = {**raw["colours"], HOLE: None}
        self.outlines = raw["outlines"]
        self.answers = answers

    def check_outlines(self, crops: Mapping[str, Any]) -> None:
        for crop, outline in self.document.value.get("outline_of", {}).items():
            self.known(("outline_of", crop), crop, {**crops, "default": None}, "crop")
            self.known(("outline_of", crop), outline, self.outlines, "outline")

    def pictures(self) -> dict[str, Any]:
        """The file's pictures by 'sign.answer'."""
        found = {}
        for sign, entries in self.document.value.get("pictures", {}).items():
            if not self.known(("pictures", sign), sign, self.answers, "sign"):
                continue
            for answer, raw in entries.items():
                if self.known(("pictures", sign, answer), answer, self.answers[sign], "answer"):
                    self.check_colours(("pictures", sign, answer, "paint"), raw.get("paint", ()))
                    found[f"{sign}.{answer}"] = raw
        return found

    def check_colours(self, path: tuple[str | int, ...], paints: Sequence[Mapping[str, Any]]) -> None:
        for index, item in enumerate(paints):
            for position, colour in enumerate(item.get("colours", ())):
                self.known((*path, index, "colours", position), colour, self.colours, "colour")

    def known(self, path: tuple[str | int, ...], word: str, words: Mapping[str, Any], what: str) -> bool:
        if word in words:
            return True
        self.document.complain(
            path, "unknown-" + what, f"there is no {what} '{word}'", f"a known {what}", nearest(word, words)
        )
        return False


def _picture(key: str, raw: Mapping[str, Any]) -> Picture:
    sign, answer = key.split(".", 1)
    paints = tuple(_paint(item) for item in raw.get("paint", ()))
    return Picture(sign, answer, paints, raw.get("form", "usual"), raw.get("note", ""))


def _paint(raw: Mapping[str, Any]) -> Paint:
    return Paint(**{**raw, "colours": tuple(raw.get("colours", ()))})


EMPTY = picture_book(NO_PICTURES)
