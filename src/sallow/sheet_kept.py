"""Printed sheets remembered: what the numbers of an older sheet meant, and what became of its questions since."""

from __future__ import annotations

import json
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sallow.errors import BadInput
from sallow.interview.keep import write_atomically
from sallow.interview.session import Key, Prompt
from sallow.knowledge.model import Knowledge
from sallow.looks import NONE_LOOKED, NONE_NOTICED, NOT_SURE, Value
from sallow.sheet_code import Item, Sheet, Stop, item_for

FOLDER = "printed_sheets"
MOST_KEPT = 60
_MOST_BYTES = 500_000


@dataclass(frozen=True, slots=True)
class Brought:
    """An answer of an older sheet as it counts today: ``item`` None when it cannot be taken; ``notes`` say why."""

    item: Item | None
    value: Value | None
    notes: tuple[str, ...] = ()


# -- keeping and recalling -------------------------------------------------------------------------------------------


def remember(sheet: Sheet, data_folder: Path) -> None:
    """Keep what the numbers of a printed sheet mean; a folder that cannot be written is done without."""
    folder = data_folder / FOLDER
    with suppress(BadInput, OSError):
        write_atomically(folder / f"{sheet.mark}.json", json.dumps(plan_of(sheet), ensure_ascii=False) + "\n")
        kept = sorted(folder.glob("*.json"), key=lambda path: path.stat().st_mtime, reverse=True)
        for path in kept[MOST_KEPT:]:
            path.unlink(missing_ok=True)


def recall(mark: str, data_folder: Path) -> Sheet | None:
    """The sheet with this mark as it was printed here; None when there is no readable copy."""
    path = data_folder / FOLDER / f"{mark}.json"
    try:
        if path.stat().st_size > _MOST_BYTES:
            return None
        return sheet_of(mark, json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def plan_of(sheet: Sheet) -> dict[str, Any]:
    """A sheet as plain data: every number with what it stands for, every letter with its answer and words."""
    return {
        "crop": sheet.crop,
        "questions": [
            {
                "number": item.number,
                "about": [item.key.kind, item.key.id],
                "kind": item.prompt.kind,
                "part": item.part,
                "ask": item.prompt.ask,
                "boxes": [list(option) for option in item.options],
            }
            for item in sheet.items().values()
        ],
    }


def sheet_of(mark: str, plan: Mapping[str, Any]) -> Sheet:
    """The sheet of a plan; KeyError, TypeError or ValueError when it is none."""
    return Sheet(str(plan["crop"]), mark, (Stop("", "", tuple(_item_of(raw) for raw in plan["questions"])),))


def _item_of(raw: Mapping[str, Any]) -> Item:
    kind, identifier = raw["about"]
    boxes = tuple((str(mark), str(answer), str(words)) for mark, answer, words in raw["boxes"])
    prompt = Prompt(Key(str(kind), str(identifier)), str(raw["kind"]), str(raw["ask"]))
    return Item(int(raw["number"]), prompt, str(raw["part"]), boxes)


# -- what an older answer means today --------------------------------------------------------------------------------


def brought(old: Item, value: Value, knowledge: Knowledge, crop: str) -> Brought:
    """An answer of an older sheet, found again by what the question and the answer are, not by their number."""
    name = f"question {old.number} ({old.prompt.ask})"
    item = item_for(knowledge, crop, old.number, old.key)
    if item is None:
        return Brought(None, None, (f"{name} is not asked any more.",))
    if item.prompt.kind != old.prompt.kind or item.part != old.part:
        return Brought(None, None, (f"{name} has become a question of another kind.",))
    if item.free or value == NOT_SURE:
        return Brought(item, value)
    if isinstance(value, tuple) or value in (NONE_NOTICED, NONE_LOOKED):
        return _several(old, item, value, name, knowledge)
    kept, notes = _box(old, item, str(value))
    if kept is None:
        return Brought(None, None, notes)
    return Brought(item, kept, (*notes, *_not_offered(old, item)))


def _box(old: Item, item: Item, answer: str) -> tuple[str | None, tuple[str, ...]]:
    """The same box on today's sheet. Spans of time are the same only when they are worded alike."""
    mark, words = next((mark, words) for mark, other, words in old.options if other == answer)
    before = f"{old.number}{mark} ('{words}')"
    if item.key.kind == "event":
        spans = _spans(item)
        same = next((other for other, span in spans.items() if span == _spans(old).get(answer)), None)
        return same, () if same else (f"{before}: the spans of time are cut in another way now.",)
    now = next((say for _, other, say in item.options if other == answer), None)
    if now is None:
        return None, (f"{before} is no answer to that question any more.",)
    return answer, () if now == words else (f"{before} now reads '{now}'; it counts as that.",)


def _spans(item: Item) -> dict[str, tuple[str, ...]]:
    """Each span of an event with all that bound it: the last one begins where the one before it ends."""
    words = [words for _, _, words in item.options]
    return {answer: tuple(words[max(0, index - 1) : index + 1]) for index, (_, answer, _) in enumerate(item.options)}


def _several(old: Item, item: Item, value: Value, name: str, knowledge: Knowledge) -> Brought:
    """Ticked boxes; where boxes were added since, blank ones count only as far as the old sheet offered them."""
    fresh = _fresh(old, item)
    notes: list[str] = [*_not_offered(old, item)]
    offered = [answer for _, answer, _ in old.options if answer in knowledge.signs[item.key.id].answers]
    if isinstance(value, tuple):
        ticked = []
        for answer in value:
            kept, said = _box(old, item, str(answer))
            notes += said
            ticked += [kept] if kept else []
        if not ticked:
            return Brought(None, None, tuple(notes))
        looked = knowledge.signs[item.key.id].unticked == "looked"
        told = {answer: "yes" if answer in ticked else "no" for answer in offered if looked or answer in ticked}
        return Brought(item, told if fresh else tuple(ticked), tuple(notes))
    if not fresh:
        return Brought(item, value)
    if value == NONE_LOOKED:
        return Brought(item, dict.fromkeys(offered, "no"), tuple(notes))
    return Brought(None, None, (f"{name}: boxes were added, so 'none' would say more than you meant.", *notes))


def _fresh(old: Item, item: Item) -> list[str]:
    known = {answer for _, answer, _ in old.options}
    return [words for _, answer, words in item.options if answer not in known]


def _not_offered(old: Item, item: Item) -> tuple[str, ...]:
    words = "; ".join(_fresh(old, item))
    return (f"question {old.number} has answers now that your sheet did not offer: {words}.",) if words else ()

