"""The words in which the book speaks of trees, events and looks; kept in one place."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from sallow.trees.amounts import say_amount
from sallow.trees.dates import say_date
from sallow.trees.model import Event, Tree

_DONE = MappingProxyType(
    {
        "fed": "fed", "watered": "watered", "pruned": "pruned", "sprayed": "sprayed",
        "copper_spray": "sprayed with copper", "weed_killer": "weed killer used near it", "limed": "limed",
        "planted": "planted", "moved": "moved", "dug_or_paved": "ground dug or paved near it",
        "watering_failed": "the watering failed", "emitter_cleaned": "emitters cleaned",
        "flood": "water stood round it", "frost": "frost", "heat": "extreme heat", "hail": "hail",
        "wind": "strong wind", "harvest": "picked",
    }
)  # fmt: skip
_LABEL = MappingProxyType(
    {
        "measured": "measured", "test_result": "tested", "harvest": "harvest", "text": "noted",
        "flood": "happened", "frost": "happened", "heat": "happened", "hail": "happened",
        "wind": "happened", "watering_failed": "happened",
    }
)  # fmt: skip
MEASURE_NAMES = MappingProxyType(
    {"shoot_growth": "shoot growth", "leaf_colour": "leaf colour", "leaf_nitrogen": "leaf nitrogen"}
)
_GROWN = MappingProxyType({"ground": "in the ground", "pot": "in a pot", "lawn": "in a lawn"})
_HALF = MappingProxyType({"south": "southern half of the world", "north": "northern half of the world"})
CAME_OF_IT = MappingProxyType(
    {
        "better": "better than at the last look",
        "same": "no better, no worse",
        "worse": "worse than at the last look",
    }
)


def plain(text: str) -> str:
    """The text without anything a terminal could take for a command; line ends become blanks."""
    return text if text.isprintable() else "".join(mark if mark.isprintable() else " " for mark in text)


def label_of(event: Event) -> str:
    """The word that stands beside an event in the story."""
    return _LABEL.get(event.what, "done")


_KINDS = {
    "text": "a note in plain words",
    "test_result": "what came out of a test",
    "measured": "a measurement",
    "fed": "feeding",
    "watered": "watering",
    "pruned": "pruning",
    "sprayed": "a spraying",
    "copper_spray": "a spraying with copper",
    "limed": "liming",
    "harvest": "a harvest",
}


def say_event(event: Event) -> str:
    """One event as a short line, without its date: 'fed 200 g of blood meal (part 1 of 2)'."""
    amount = say_amount(event.amount, event.unit) if event.amount is not None else ""
    if event.what == "measured":
        out_of = " of 5" if event.subject == "leaf_colour" else ""
        line = f"{MEASURE_NAMES.get(event.subject, event.subject)} {amount}{out_of}"
    elif event.what == "test_result":
        line = f"{event.subject.replace('_', ' ')}: {event.result}"
    elif event.what == "text":
        line = event.words
    else:
        line = _say_deed(event, amount)
    if event.what == "measured" and event.words:
        line += f"; {event.words}"
    if event.what == "test_result" and event.words:
        line += f" (your words: {event.words})"
    where = f", {event.where}" if event.where else ""
    return plain(line + where)


def _say_deed(event: Event, amount: str) -> str:
    line = _DONE.get(event.what, event.what.replace("_", " "))
    product = event.product
    if event.product_known is False:
        product = f"{product} (product not known)" if product else "product not known"
    joined = " of ".join(part for part in (amount, product) if part)
    if joined:
        line += f": {joined}" if event.what not in ("fed", "watered", "limed", "harvest") else f" {joined}"
    if event.subject.startswith("part "):
        line += f" ({event.subject})"
    return f"{line}: {event.words}" if event.words else line


def say_kind(event: Event) -> str:
    """How a note was read: 'feeding', or plain words."""
    return _KINDS.get(event.what, _DONE.get(event.what, event.what.replace("_", " ")))


def say_when(event: Event) -> str:
    """The event's date, as exactly as it is known."""
    return say_date(event.when, event.precision)


def say_place(tree: Tree) -> str:
    """Where the tree stands: 'in a pot'; said too when the book does not know."""
    return _GROWN.get(tree.grown, "pot or ground not noted")


def tree_facts(tree: Tree, crop_names: Mapping[str, str], climates: Mapping[str, str]) -> list[str]:
    """What the book says of a tree, in one to three lines."""
    kind = crop_names.get(tree.crop, tree.crop)
    first = [
        kind + (f" '{tree.sort}'" if tree.sort else ""),
        f"on {tree.rootstock}" if tree.rootstock else "",
    ]
    first += [_GROWN.get(tree.grown, "") + _say_pot(tree), f"planted {tree.planted}" if tree.planted else ""]
    second = [
        f"canopy {tree.canopy_m:.3g} m ({tree.canopy_m / 0.3048:.0f} ft) across" if tree.canopy_m is not None else "",
        f"trunk {tree.trunk_cm:.3g} cm ({tree.trunk_cm / 2.54:.1f} in) thick" if tree.trunk_cm is not None else "",
        f"soil: {tree.soil}" if tree.soil else "",
        f"water: {tree.water}" if tree.water else "",
        _say_emitters(tree),
    ]
    third = [climates.get(tree.climate, tree.climate), _HALF.get(tree.hemisphere, ""), _say_latitude(tree)]
    return [plain(line) for parts in (first, second, third) if (line := ", ".join(part for part in parts if part))]


def _say_pot(tree: Tree) -> str:
    if tree.pot_m is None or tree.grown not in ("pot", ""):
        return ""
    lead = " " if tree.grown else "in a pot "
    return f"{lead}{tree.pot_m * 100:.0f} cm ({tree.pot_m * 100 / 2.54:.0f} in) wide"


def _say_emitters(tree: Tree) -> str:
    if tree.emitters is None:
        return ""
    flow = tree.emitter_flow_lph
    each = f" of {flow:g} L ({flow / 3.785411784:.1f} gal) an hour" if flow is not None else ""
    return f"{tree.emitters} emitter{'' if tree.emitters == 1 else 's'}{each}"


def _say_latitude(tree: Tree) -> str:
    if tree.latitude is None:
        return ""
    return f"latitude {abs(tree.latitude):g} {'south' if tree.latitude < 0 else 'north'}"
