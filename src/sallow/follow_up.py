"""Days later: test results and new signs added to an earlier look, and what they changed."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from sallow.answers import look_from
from sallow.diagnosis import diagnose, weigh_look
from sallow.diagnosis.causes import confirmed
from sallow.errors import BadInput
from sallow.interview.session import Key
from sallow.knowledge.model import Knowledge
from sallow.looks import SILENT, Look, Value
from sallow.phrases import day_words, lower_first, question_words, value_words
from sallow.reasoning.compile import SOMETHING_ELSE
from sallow.reasoning.words import word_for


def earlier_look(text: str, name: str, knowledge: Knowledge, today: date) -> Look:
    """The look inside a saved report (JSON), or an answers file."""
    try:
        data = json.loads(text)
    except ValueError:
        data = None
    if isinstance(data, Mapping) and "look" in data:
        return look_from(data["look"], name, knowledge, today)
    from sallow.answers import read_look

    return read_look(text, name, knowledge, today)


def later(look: Look, new: Look, day: date) -> Look:
    """An earlier look with the answers of a later one laid over it, each dated."""
    changed = replace(look, answers={**look.answers, **new.answers}, dated=dict(look.dated))
    for key in new.answers:
        changed = with_date(changed, key, day)
    for number, symptom in enumerate(new.symptoms):
        if number >= len(changed.symptoms):
            changed = replace(changed, symptoms=(*changed.symptoms, symptom))
            continue
        for key, value in symptom.items():
            if key != "part":
                changed = with_date(changed.with_answer(number, key, value), key, day)
    for event in new.events:
        changed = changed.with_event(event, event.what)
    return changed


def with_date(look: Look, key: str, day: date) -> Look:
    """The look with the day of a later answer noted."""
    return replace(look, dated={**look.dated, key: day.isoformat()})


def open_questions(knowledge: Knowledge, look: Look) -> list[Key]:
    """What is worth asking again: results of the tests the report named, and how new leaves look."""
    report = diagnose(knowledge, look)
    wanted = [Key("sign", knowledge.checks[test.id].gives) for test in report.tests]
    keys = [key for key in wanted if not knowledge.signs[key.id].of_symptom]
    keys += [Key("sign", "waited")]
    for number, symptom in enumerate(look.symptoms):
        if symptom.get("part") == "leaf":
            keys.append(Key("sign", "new_leaves_since", number))
        keys.append(Key("sign", "extent", number))
    return list(dict.fromkeys(keys))


def change_lines(knowledge: Knowledge, before: Look, after: Look, day: date) -> list[str]:
    """What changed and why, in plain sentences."""
    _, old = weigh_look(knowledge, before)
    _, new = weigh_look(knowledge, after)
    lines = [f"Since {day_words(before.date)}, answered on {day_words(day)}:"]
    lines += [f"  {line}" for line in new_answers(knowledge, before, after)] or ["  nothing new"]
    lines.append("What that changed:")
    first_before, first_now = old.ranking()[0][0], new.ranking()[0][0]
    if first_before != first_now:
        lines.append(
            f"  first now: {cause_words(knowledge, first_now)} (before: {cause_words(knowledge, first_before)})"
        )
    names = dict.fromkeys([n for n, _ in new.ranking()[:4]] + [n for n, _ in old.ranking()[:4]])
    for name in names:
        was, now = old.belief(name), new.belief(name)
        title = (
            "something not in this knowledge base"
            if name == SOMETHING_ELSE
            else lower_first(knowledge.causes[name].name)
        )
        if (
            name != SOMETHING_ELSE
            and confirmed(knowledge, after, new, name)
            and not confirmed(knowledge, before, old, name)
        ):
            lines.append(f"  {title}: now confirmed by the test (it was {word_for(was)})")
        elif name in new.out and name not in old.out:
            lines.append(f"  {title}: now set aside; the test spoke against it (it was {word_for(was)})")
        elif word_for(was) != word_for(now):
            lines.append(f"  {title}: {word_for(was)} before, {word_for(now)} now")
    if lines[-1] == "What that changed:":
        lines.append("  the order stays as it was")
    return lines


def cause_words(knowledge: Knowledge, name: str) -> str:
    """A cause's name inside a sentence."""
    return (
        "something not in this knowledge base" if name == SOMETHING_ELSE else lower_first(knowledge.causes[name].name)
    )


def new_answers(knowledge: Knowledge, before: Look, after: Look) -> list[str]:
    """The answers that are new or different, in words."""
    lines = []
    scopes: Sequence[tuple[Mapping[str, Value], Mapping[str, Value]]] = [
        (before.answers, after.answers),
        *(
            (before.symptoms[j] if j < len(before.symptoms) else {}, symptom)
            for j, symptom in enumerate(after.symptoms)
        ),
    ]
    for old, new in scopes:
        for key, value in new.items():
            silent = isinstance(value, str) and value in SILENT
            if key in knowledge.signs and old.get(key) != value and not silent:
                lines.append(f"{question_words(knowledge, key)} {value_words(knowledge.signs[key], value)}")
    return lines


def require_new(before: Look, after: Look) -> None:
    """BadInput when a follow-up brings nothing."""
    if before == after:
        raise BadInput("nothing new was answered, so the earlier report stands")
