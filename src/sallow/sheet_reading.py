"""Reads the line or small file a field sheet was typed into, and makes a look of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from sallow.answers import find_crop
from sallow.errors import BadInput
from sallow.interview.session import MOST_SYMPTOMS, Key, Session, State, start
from sallow.knowledge.conditions import Condition, Test
from sallow.knowledge.model import PARTS, Knowledge
from sallow.looks import NONE_LOOKED, NONE_NOTICED, NOT_SURE, Look, Value
from sallow.sheet_code import Item, Sheet, make_sheet
from sallow.sheet_kept import brought

NEXT = "next"
MOST_CHARACTERS = 20_000
_MARK = re.compile(r"^[a-z_]+-[0-9a-f]{4}$")
_TOKEN = re.compile(r"^(\d{1,3})(?:([a-z]+(?:,[a-z]+)*)|([=:])(.+)|(\?))$")
_HOW = "for instance '12b 13a,c 2=6'"


@dataclass(slots=True)
class _Answers:
    """What was typed: answers by question, one map for the tree and one for each odd thing."""

    tree: dict[int, Value] = field(default_factory=dict)
    things: list[dict[int, Value]] = field(default_factory=lambda: [{}])


@dataclass(frozen=True, slots=True)
class Taken:
    """A sheet taken in: the look it tells, and in plain sentences what has changed since it was printed.

    ``assumed`` is the mark of the sheet it was read as when none was typed.
    """

    look: Look
    notes: tuple[str, ...] = ()
    assumed: str = ""


def look_from_code(text: str, knowledge: Knowledge, crop: str, today: date) -> Look:
    """The look of a sheet of today's knowledge; see ``taken_in``."""
    return taken_in(text, knowledge, crop, today).look


def taken_in(
    text: str, knowledge: Knowledge, crop: str, today: date, recall: Callable[[str], Sheet | None] | None = None
) -> Taken:
    """The look of a typed sheet; BadInput with every fault.

    ``crop`` is needed only when the code does not begin with the mark of its sheet. ``recall`` gives a sheet that was
    printed from older knowledge by its mark: what it asked and still is asked is taken in, and the notes say what
    changed. An older sheet of which nothing odd is left is refused.
    """
    if len(text) > MOST_CHARACTERS:
        raise BadInput("the sheet's code is far longer than any sheet; type only the numbers and letters.")
    words = [word for line in text.lower().splitlines() for word in _words(line)]
    if not words:
        raise BadInput(f"the sheet's code is empty; type the number and letter of each ticked box, {_HOW}.")
    marked = bool(_MARK.match(words[0]))
    sheet, words, older = _sheet_for(words, knowledge, crop, recall)
    faults: list[str] = []
    notes: list[str] = []
    answers = _read(words, sheet, faults)
    items = sheet.items()
    if older and not faults:
        answers, items = _today(answers, items, sheet, knowledge, notes)
    look = None if faults else _look(answers, items, sheet.crop, knowledge, today, faults)
    if look is not None and notes and not look.symptoms:
        faults += ["of what it tells, nothing odd is left that can be taken in today:", *notes, _ASK]
    if faults or look is None:
        raise BadInput("the sheet cannot be taken in:\n" + "\n".join(f"  {fault}" for fault in faults))
    return Taken(look, tuple(notes), "" if marked else sheet.mark)


_ASK = "Answer in 'sallow look' instead, or print a new sheet with 'sallow sheet'."


def _today(
    answers: _Answers, items: Mapping[int, Item], sheet: Sheet, knowledge: Knowledge, notes: list[str]
) -> tuple[_Answers, dict[int, Item]]:
    """The answers of an older sheet as they count today, the questions keeping their printed numbers."""
    current: dict[int, Item] = {}

    def brought_over(given: Mapping[int, Value]) -> dict[int, Value]:
        kept: dict[int, Value] = {}
        for number, value in given.items():
            found = brought(items[number], value, knowledge, sheet.crop)
            notes.extend(note for note in found.notes if note not in notes)
            if found.item is not None and found.value is not None:
                current[number], kept[number] = found.item, found.value
        return kept

    return _Answers(brought_over(answers.tree), [brought_over(thing) for thing in answers.things]), current


def _words(line: str) -> list[str]:
    bare = line.split("#", 1)[0].replace(";", " ")
    return re.sub(r"\s*([,=:])\s*", r"\1", bare).split()


def _sheet_for(
    words: list[str], knowledge: Knowledge, crop: str, recall: Callable[[str], Sheet | None] | None
) -> tuple[Sheet, list[str], bool]:
    """The sheet that the code is of, the code without its mark, and whether it was printed from older knowledge."""
    mark = words[0] if _MARK.match(words[0]) else ""
    if not mark:
        return make_sheet(knowledge, crop), words, False
    kind = mark.rsplit("-", 1)[0]
    found = "" if kind == "any" else find_crop(kind, knowledge)
    if found is None:
        raise BadInput(f"the sheet's mark '{mark}' names no tree I know; copy it from the head of the sheet.")
    for full in (False, True):
        sheet = make_sheet(knowledge, found, full)
        if sheet.mark == mark:
            return sheet, words[1:], False
    older = recall(mark) if recall else None
    if older is not None:
        return replace(older, crop=found), words[1:], True
    raise BadInput(
        f"the sheet '{mark}' was printed from other knowledge than I have now, and no copy of it is kept here, so its "
        "numbers may mean something else. Take it in where it was printed, print a new one with 'sallow sheet', or "
        "answer in 'sallow look'."
    )


def _read(words: list[str], sheet: Sheet, faults: list[str]) -> _Answers:
    items, answers = sheet.items(), _Answers()
    for word in words:
        if word == NEXT:
            answers.things.append({})
            continue
        match = _TOKEN.match(word)
        if not match:
            faults.append(f"'{_short(word)}' is not a number with letters or '=' behind it, {_HOW}.")
            continue
        item = items.get(int(match.group(1)))
        if item is None:
            faults.append(f"{_short(word)}: this sheet has questions 1 to {max(items)}.")
            continue
        place = answers.things[-1] if item.part != "tree" else answers.tree
        if item.number in place:
            faults.append(f"{_short(word)}: question {item.number} is answered twice.")
            continue
        value = _value(match, item, faults)
        if value is not None:
            place[item.number] = value
    return answers


def _value(match: re.Match[str], item: Item, faults: list[str]) -> Value | None:
    word = match.group(0)
    if match.group(5):
        return NOT_SURE
    if item.free:
        if match.group(4) is None:
            faults.append(f"{_short(word)}: question {item.number} wants a written answer, '{item.number}=...'.")
        return match.group(4)
    if match.group(2) is None:
        faults.append(f"{_short(word)}: question {item.number} wants a letter, {_letters(item)}.")
        return None
    return _lettered(word, match.group(2), item, faults)


def _lettered(word: str, typed: str, item: Item, faults: list[str]) -> Value | None:
    known = {mark: answer for mark, answer, _ in item.options}
    # Only a question with more than 26 boxes has double letters; elsewhere 'cd' means c and d.
    letters = [part for part in typed.split(",") if part]
    if len(known) <= 26:
        letters = [single for part in letters for single in part]
    wrong = [mark for mark in letters if mark not in known]
    if wrong:
        faults.append(f"{_short(word)}: question {item.number} has no '{wrong[0]}'; it has {_letters(item)}.")
        return None
    chosen = list(dict.fromkeys(known[mark] for mark in letters))
    if not item.several:
        if len(chosen) > 1:
            faults.append(f"{_short(word)}: question {item.number} takes one letter only.")
            return None
        return chosen[0]
    none = [answer for answer in chosen if answer in (NONE_NOTICED, NONE_LOOKED)]
    if none and len(chosen) > 1:
        faults.append(f"{_short(word)}: 'none' and another box of question {item.number} cannot both be ticked.")
        return None
    return none[0] if none else tuple(chosen)


def _letters(item: Item) -> str:
    return f"{item.options[0][0]} to {item.options[-1][0]}"


def _short(word: str) -> str:
    shown = "".join(character if character.isprintable() else "?" for character in word)
    return shown if len(shown) <= 40 else shown[:37] + "..."


# -- from answers to a look ------------------------------------------------------------------------------------------


def _look(
    answers: _Answers, items: Mapping[int, Item], crop: str, knowledge: Knowledge, today: date, faults: list[str]
) -> Look | None:
    session, state = Session(knowledge), start(today)
    if crop:
        state = session.answer(state, Key("crop"), crop)
    for number, value in answers.tree.items():
        state = _told(session, state, items[number].key, items[number], value, faults)
    for number, thing in enumerate(answers.things):
        state = _thing(session, state, {items[n].key.id: (items[n], v) for n, v in thing.items()}, number, faults)
    if not state.look.tree.get("crop"):
        state = session.answer(state, Key("crop"), "other")
    return replace(state.look, no_more_symptoms=True)


def _told(session: Session, state: State, key: Key, item: Item, value: Value, faults: list[str]) -> State:
    if key.kind == "date" and value == NOT_SURE:
        return state
    if item.free and isinstance(value, str) and value != NOT_SURE:
        value = value.replace("_", " ")
    try:
        return session.answer(state, key, value)
    except BadInput as error:
        faults.append(f"question {item.number}: {error}")
        return state


def _thing(
    session: Session, state: State, given: Mapping[str, tuple[Item, Value]], number: int, faults: list[str]
) -> State:
    """Add the odd things of one block: one for each part of the tree on which something odd was ticked."""
    knowledge = session.knowledge
    odd = [part for part in PARTS if any(_odd(knowledge, part, sign, value) for sign, (_, value) in given.items())]
    loose = [item.number for sign, (item, value) in given.items() if knowledge.signs[sign].part == "any" and value]
    if not odd:
        if number or loose:
            faults.append(
                "nothing odd is ticked on any part"
                + (f" to which question {loose[0]} could belong" if loose else " after 'next'")
                + "; tick at least one box about leaves, twigs, fruit, flowers, bark, roots or the whole tree."
            )
        return state
    if len(state.look.symptoms) + len(odd) > MOST_SYMPTOMS:
        faults.append(
            f"the sheet tells of more than {MOST_SYMPTOMS} odd things (here: {', '.join(odd)}); leave the least out."
        )
        return state
    for part in odd:
        index = len(state.look.symptoms)
        state = session.answer(state, Key("part", symptom=index), part)
        ticked = _ticked_by_others(knowledge, part, given)
        for sign, (item, value) in given.items():
            own = knowledge.signs[sign].part
            if own == part or (own == "any" and part == odd[0]):
                if sign in ticked and isinstance(value, tuple):
                    value = tuple(dict.fromkeys((*value, *ticked[sign])))
                elif sign in ticked and isinstance(value, Mapping):
                    value = {**value, **dict.fromkeys(ticked[sign], "yes")}
                state = _told(session, state, Key("sign", sign, index), item, value, faults)
        for sign in (sign for sign in ticked if sign not in given):
            state = session.answer(state, Key("sign", sign, index), dict.fromkeys(ticked[sign], "yes"))
    return state


def _odd(knowledge: Knowledge, part: str, sign: str, value: Value) -> bool:
    known = knowledge.signs[sign]
    if known.part != part or value in (NOT_SURE, NONE_NOTICED, NONE_LOOKED):
        return False
    if known.kind == "several":
        return not isinstance(value, Mapping) or "yes" in value.values()
    answer = known.answers.get(str(value))
    telling = known.defines or any(other.none for other in known.answers.values())
    return answer is not None and not answer.none and telling


def _ticked_by_others(
    knowledge: Knowledge, part: str, given: Mapping[str, tuple[Item, Value]]
) -> dict[str, tuple[str, ...]]:
    """Boxes that other answers imply: who names a colour pattern has ticked that the colour is wrong."""
    found: dict[str, tuple[str, ...]] = {}
    for sign, (_, value) in given.items():
        if not _odd(knowledge, part, sign, value):
            continue
        box = _box(knowledge.signs[sign].ask_when)
        if box is not None and knowledge.signs[box[0]].part == part:
            found[box[0]] = (*found.get(box[0], ()), box[1])
    return found


def _box(condition: Condition | None) -> tuple[str, str] | None:
    if isinstance(condition, Test) and "." in condition.variable and condition.values == frozenset(("yes",)):
        sign, option = condition.variable.split(".", 1)
        return (sign, option) if sign != "event" else None
    return None
