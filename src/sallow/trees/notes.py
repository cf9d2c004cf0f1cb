"""A note as typed in words, read into an event: its kind, date, amount, product."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from difflib import get_close_matches
from types import MappingProxyType

from sallow.errors import BadInput
from sallow.trees.amounts import CENTIMETRES, split_off_amount
from sallow.trees.dates import When, read_date, refuse_unread_date, split_off_date
from sallow.trees.model import Event


def _spellings(table: Mapping[str, str]) -> Mapping[str, str]:
    pairs = {word: meant for meant, words in table.items() for word in words.split("|")}
    return MappingProxyType({**pairs, **{meant: meant for meant in table}})


KIND_WORDS = _spellings(
    {
        "fed": "feed|fertilised|fertilized|fertiliser|fertilizer",
        "watered": "water|watering|irrigated",
        "pruned": "prune|pruning",
        "sprayed": "spray|spraying",
        "copper_spray": "copper spray|copper-spray|sprayed copper",
        "weed_killer": "weed killer|weed-killer|weedkiller|herbicide",
        "limed": "lime",
        "planted": "planting",
        "moved": "transplanted|repotted",
        "dug_or_paved": "dug|paved|dug or paved|dug-or-paved",
        "watering_failed": "watering failed|watering-failed|no water",
        "emitter_cleaned": "emitter cleaned|emitters cleaned|cleaned emitter|cleaned emitters|cleaned the emitters",
        "flood": "flooded",
        "frost": "frosted|froze|freeze",
        "heat": "heatwave|heat wave",
        "hail": "hailed",
        "wind": "gale|storm",
        "measured": "measure",
        "test_result": "tested|test|test result",
        "harvest": "harvested|picked",
        "text": "said|noted",
    }
)
MEASURE_WORDS = _spellings(
    {
        "shoot_growth": "shoot growth|shoots|shoot|growth",
        "leaf_colour": "leaf colour score|leaf color score|leaf colour|leaf color|colour|color",
        "leaf_nitrogen": "leaf nitrogen|leaf n|nitrogen",
    }
)
KINDS_WITH_PRODUCT = ("fed", "sprayed", "copper_spray", "weed_killer", "limed")
_KINDS_WITH_AMOUNT = (*KINDS_WITH_PRODUCT, "watered", "harvest")
_UNKNOWN_PRODUCT = re.compile(r"(something|unknown|not sure|don'?t know|no idea|\?+)( .*)?", re.IGNORECASE)
_PART = re.compile(r",?\s*\bpart (\d+) of (\d+)\b", re.IGNORECASE)
_LONGEST_KIND = 3
# Grubs, suckers and holes are dug too; only work on the ground itself is what a look asks about.
_GROUND_WORK = re.compile(
    r"\b(paved|paving|dug[ -]or[ -]paved|trench\w*|ground|cables?|pipes?|ditch\w*|foundations?|drains?|path|drive\w*"
    r"|fence|posts?|pool|terrace|near|beside|next to|around|close to)\b",
    re.IGNORECASE,
)
_OF_THE_TREE = {"canopy": "canopy", "crown": "canopy", "width": "canopy", "trunk": "trunk", "pot": "pot"}


@dataclass(frozen=True, slots=True)
class Draft:
    """A note read into an event that has no tree yet, with a remark for the person ('' for none)."""

    event: Event
    remark: str = ""


def read_note(
    words: Sequence[str],
    today: date,
    *,
    on: str = "",
    where: str = "",
    product_known: bool | None = None,
    hemisphere: str = "",
    more_kinds: Sequence[str] = (),
) -> Draft:
    """The event that the typed words mean; ``more_kinds`` are kinds that only the knowledge names.

    BadInput when a measure, amount or date cannot be read.
    """
    words = [part for word in words for part in word.split()]
    if not words:
        raise BadInput("say what happened, for example: sallow trees note lemon fed 200 g blood meal yesterday")
    kind, rest, remark = _split_off_kind(words, {kind.replace("_", " "): kind for kind in more_kinds})
    subject, rest = _split_off_part(rest) if kind in KINDS_WITH_PRODUCT else ("", rest)
    if on:
        when = read_date(on, today, hemisphere)
    else:
        rest, found = split_off_date(rest, today, hemisphere)
        if found is None and kind != "text":
            refuse_unread_date(rest, today, hemisphere)
        when = found or When(today)
    if kind == "text" and not rest:
        raise BadInput("there is no text in the note; write what you saw or did.")
    event = _fill(kind, " ".join(rest), when)
    if product_known is not None:
        event = replace(event, product_known=product_known)
    return Draft(replace(event, where=where, subject=subject or event.subject), remark)


def _split_off_kind(words: Sequence[str], more: Mapping[str, str]) -> tuple[str, tuple[str, ...], str]:
    known = {**more, **{kind: kind for kind in more.values()}, **KIND_WORDS}
    for length in range(min(_LONGEST_KIND, len(words)), 0, -1):
        kind = known.get(" ".join(words[:length]).lower().rstrip(":,"))
        if kind == "dug_or_paved" and not _GROUND_WORK.search(" ".join(words)):
            break
        if kind:
            return kind, tuple(words[length:]), ""
    near = [] if words[0].lower() in known else get_close_matches(words[0].lower(), known, n=1, cutoff=0.8)
    remark = (
        f"Kept as free text. If you meant '{near[0]}', take this back with 'sallow trees undo' and "
        "write that word first."
        if near
        else ""
    )
    return "text", tuple(words), remark


def _fill(kind: str, rest: str, when: When) -> Event:
    event = Event(what=kind, when=when.day, precision=when.precision)
    if kind == "measured":
        return _measured(event, rest)
    if kind == "test_result":
        return _tested(event, rest)
    if kind not in _KINDS_WITH_AMOUNT:
        return replace(event, words=rest)
    amount, product = split_off_amount(rest)
    if amount is not None:
        event = replace(event, amount=amount.value, unit=amount.unit)
    if kind not in KINDS_WITH_PRODUCT or not product:
        return replace(event, words=product)
    known = not _UNKNOWN_PRODUCT.fullmatch(product)
    return replace(event, product=product.removeprefix("with "), product_known=known)


def _split_off_part(words: Sequence[str]) -> tuple[str, tuple[str, ...]]:
    text = " ".join(words)
    match = _PART.search(text)
    if not match:
        return "", tuple(words)
    number, of = int(match[1]), int(match[2])
    if not 1 <= number <= of <= 12:
        raise BadInput(f"'{match[0].strip(' ,')}' does not count; expected something like part 1 of 2.")
    return f"part {number} of {of}", tuple((text[: match.start()] + text[match.end() :]).split())


def _measured(event: Event, rest: str) -> Event:
    words = rest.lower().split()
    for length in range(min(3, len(words)), 0, -1):
        measure = MEASURE_WORDS.get(" ".join(words[:length]).rstrip(":"))
        if measure:
            return _with_value(event, measure, " ".join(words[length:]))
    option = next((_OF_THE_TREE[word] for word in words if word in _OF_THE_TREE), "")
    if option:
        amount = next((rest[place:] for place, mark in enumerate(rest) if mark.isdigit()), "2.5 m").replace("'", "")
        raise BadInput(
            f"how wide the {option} is belongs to the tree, where every command finds it: sallow trees edit NAME "
            f'--{option} "{amount}"'
        )
    raise BadInput(
        f"'{rest}' does not say what was measured; expected shoot growth, leaf colour or leaf "
        "nitrogen and a number: "
        "measured shoot growth 30 cm"
    )


def _with_value(event: Event, measure: str, text: str) -> Event:
    amount, rest = split_off_amount(text)
    if amount is None:
        raise BadInput(f"the number is missing after '{measure.replace('_', ' ')}'.")
    value, unit = amount.value, amount.unit
    if measure == "shoot_growth":
        _expect(unit in ("", *CENTIMETRES), "shoot growth is a length, for example 30 cm or 12 in")
        value, unit = round(value * CENTIMETRES[unit or "cm"], 3), "cm"
        _expect(0 <= value <= 600, "shoot growth in one season lies between 0 and 600 cm")
    elif measure == "leaf_colour":
        _expect(not unit and 1 <= value <= 5, "the leaf colour score goes from 1 (yellow) to 5 (full dark green)")
    else:
        _expect(
            unit in ("", "%") and 0.1 <= value <= 8,
            "leaf nitrogen in dry leaves is given in per cent, 0.1 to 8",
        )
        unit = "%"
    return replace(event, subject=measure, amount=value, unit=unit, words=rest)


def _expect(fine: bool, expected: str) -> None:
    if not fine:
        raise BadInput(f"that measure cannot be taken in: {expected}.")


def _tested(event: Event, rest: str) -> Event:
    subject, colon, result = rest.partition(":")
    if not colon:
        subject, _, result = rest.partition(" ")
    if not subject.strip() or not result.strip():
        raise BadInput("a test note says which test and what came out, for example: tested soil_fizz: it fizzed")
    return replace(event, subject=subject.strip(), result=result.strip())
