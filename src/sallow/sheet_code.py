"""The field sheet as data: its questions along the walk, numbered and lettered, made from the knowledge."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from sallow.interview.session import Key, Prompt, Session, start
from sallow.knowledge.conditions import All, Any_, Condition, Not, Test
from sallow.knowledge.model import Knowledge, Sign
from sallow.knowledge.sheet import Station
from sallow.looks import NONE_LOOKED, NONE_NOTICED, Look

TREE_WORDS = ("grown_in", "winters", "summers", "heat", "hemisphere")
# Where a sign is asked that no station names: by the part it belongs to.
_PLACE = {"leaf": "leaf", "shoot": "twig", "flower": "crown", "fruit": "crown", "bark": "trunk", "root": "ground"}
_MOST_EFFORT = 5


@dataclass(frozen=True, slots=True)
class Item:
    """One question of the sheet. ``part`` is the plant part of a sign, else 'tree'. ``options`` are (letter,
    answer, words); a free one is written out instead."""

    number: int
    prompt: Prompt
    part: str
    options: tuple[tuple[str, str, str], ...]

    @property
    def key(self) -> Key:
        """What the question is about."""
        return self.prompt.key

    @property
    def several(self) -> bool:
        """Whether more than one box may be ticked."""
        return self.prompt.kind == "several"

    @property
    def free(self) -> bool:
        """Whether the answer is written out: a name, a number or a date."""
        return not self.options


@dataclass(frozen=True, slots=True)
class Stop:
    """One stop of the walk with its questions; those of the ``appendix`` are rarely needed."""

    name: str
    hint: str
    items: tuple[Item, ...]
    appendix: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """A field sheet. ``mark`` names the tree kind and the exact set of questions, so that a code from another
    sheet is noticed."""

    crop: str
    mark: str
    stops: tuple[Stop, ...]

    def items(self) -> dict[int, Item]:
        """Every question by its number."""
        return {item.number: item for stop in self.stops for item in stop.items}


def letter(number: int) -> str:
    """The letter of option ``number`` (from 0): a to z, then aa, ab ..."""
    return chr(97 + number) if number < 26 else "a" + chr(97 + number - 26)


def make_sheet(knowledge: Knowledge, crop: str = "", full: bool = False) -> Sheet:
    """The sheet for a crop ('' for any). ``full`` adds the signs that no station names."""
    session = Session(knowledge)
    named = {sign for station in knowledge.stations for sign in station.signs}
    stops, number = [], 1
    for station in knowledge.stations:
        prompts = list(_prompts(session, station, crop, named, full))
        items = tuple(_item(number + index, prompt, knowledge) for index, prompt in enumerate(prompts))
        number += len(items)
        if items:
            stops.append(Stop(station.name, station.hint, items, station.appendix))
    return Sheet(crop, f"{crop or 'any'}-{_digest(stops)}", tuple(stops))


def _digest(stops: Sequence[Stop]) -> str:
    """Four letters that change with everything an answer's meaning hangs on; an event's box means its span of time."""
    plan = [
        (item.key.kind, item.key.id, item.prompt.kind, item.part, *_meanings(item))
        for stop in stops
        for item in stop.items
    ]
    return hashlib.blake2b(repr(plan).encode(), digest_size=2).hexdigest()


def _meanings(item: Item) -> list[str]:
    return [words if item.key.kind == "event" else answer for _, answer, words in item.options]


def _prompts(session: Session, station: Station, crop: str, named: set[str], full: bool) -> Iterator[Prompt]:
    look = Look(date=date(2000, 1, 1), tree={"crop": crop} if crop else {})
    state = start(look.date, look)
    knowledge = session.knowledge
    if "tree" in station.takes:
        if not crop:
            yield session.prompt(Key("crop"), state)
        yield Prompt(Key("date"), "date", "Which day did you look at it? (blank for the day you type it in)")
        for word in TREE_WORDS:
            yield session.prompt(Key("word", word), state)
    if "plan" in station.takes:
        yield session.prompt(Key("intention"), state)
    for sign in _signs(knowledge, station, named, full):
        if not ruled_out(sign.ask_when, crop):
            yield session.prompt(Key("sign", sign.id), state)
    for event in _events(knowledge, station):
        yield session.prompt(Key("event", event), state)


def _signs(knowledge: Knowledge, station: Station, named: set[str], full: bool) -> Iterator[Sign]:
    yield from (knowledge.signs[sign] for sign in station.signs)
    for sign in knowledge.signs.values():
        wanted = sign.core or sign.opening or (full and sign.effort <= _MOST_EFFORT and not sign.result_of)
        if sign.id not in named and wanted and _PLACE.get(sign.part, "from_afar") == station.id:
            yield sign


def _events(knowledge: Knowledge, station: Station) -> Iterator[str]:
    yield from station.events
    if "events" in station.takes:
        named = {event for other in knowledge.stations for event in other.events}
        yield from (event for event in knowledge.events if event not in named)


def ruled_out(condition: Condition | None, crop: str) -> bool:
    """Whether a condition cannot hold for this crop, whatever else is true."""
    return bool(crop) and condition is not None and _truth(condition, crop) is False


def _truth(condition: Condition, crop: str) -> bool | None:
    match condition:
        case Test("crop", values):
            return crop in values
        case Not(inner):
            value = _truth(inner, crop)
            return None if value is None else not value
        case All(parts):
            found = [_truth(part, crop) for part in parts]
            return False if False in found else None if None in found else True
        case Any_(parts):
            found = [_truth(part, crop) for part in parts]
            return True if True in found else None if None in found else False
        case _:
            return None


def item_for(knowledge: Knowledge, crop: str, number: int, key: Key) -> Item | None:
    """The question about ``key`` under a number; None when the knowledge does not ask it of this crop (any more)."""
    session, look = Session(knowledge), Look(date=date(2000, 1, 1), tree={"crop": crop} if crop else {})
    words = {"grown_in", "hemisphere", *(str(question["question"]) for question in knowledge.climate_questions)}
    known = {"sign": set(knowledge.signs), "event": set(knowledge.events), "word": words}.get(key.kind, {key.id})
    if key.id not in known or (key.kind == "sign" and ruled_out(knowledge.signs[key.id].ask_when, crop)):
        return None
    return _item(number, session.prompt(key, start(look.date, look)), knowledge)


def _item(number: int, prompt: Prompt, knowledge: Knowledge) -> Item:
    options = list(prompt.options)
    if prompt.kind == "several":
        options += [extra for extra in prompt.extras if extra[0] in (NONE_NOTICED, NONE_LOOKED)]
    if prompt.key.kind == "event":
        options[-1] = (options[-1][0], "longer ago, or never")
    lettered = tuple((letter(index), answer, words) for index, (answer, words) in enumerate(options))
    part = knowledge.signs[prompt.key.id].part if prompt.key.kind == "sign" else "tree"
    return Item(number, prompt, part, lettered if prompt.kind in ("one", "several") else ())
