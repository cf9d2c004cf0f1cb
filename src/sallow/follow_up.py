"""Days later: test results and new signs added to an earlier look, and what they changed."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from sallow.answers import look_from
from sallow.diagnosis import diagnose, possible_causes, weigh_look
from sallow.diagnosis.causes import confirmed
from sallow.interview.follow import Wanted
from sallow.interview.session import Key
from sallow.knowledge.model import Knowledge
from sallow.later_day import moved_on
from sallow.looks import GO_LOOK, SILENT, Look, Value
from sallow.phrases import (
    PART_WORDS,
    capital,
    context_words,
    day_words,
    event_words,
    lower_first,
    question_words,
    value_words,
)
from sallow.reasoning.compile import SOMETHING_ELSE
from sallow.reasoning.words import word_for

MOST_DUE = 3


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
    """An earlier look with the answers of a later one laid over it, each dated, on the later day."""
    look = moved_on(look, day)
    changed = replace(
        look,
        tree={**look.tree, **new.tree},
        about_to=new.about_to or look.about_to,
        answers={**look.answers, **new.answers},
        dated=dict(look.dated),
    )
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


def brings_news(before: Look, after: Look) -> bool:
    """Whether a later look says anything that the earlier one did not."""
    old = replace(moved_on(before, after.date), dated={}, origins={}, no_more_symptoms=True)
    return old != replace(after, dated={}, origins={}, no_more_symptoms=True)


def wanted_questions(knowledge: Knowledge, look: Look, day: date) -> tuple[Wanted, ...]:
    """What a follow-up asks of itself: the results of the tests that the report named (those whose wait has passed
    first), what was to be looked at later, and how it goes on."""
    report = diagnose(knowledge, look)
    ready: list[Wanted] = []
    waiting: list[Wanted] = []
    for test in report.tests:
        read_on = look.date + timedelta(days=test.days)
        for key in keys_of(knowledge, look, knowledge.checks[test.id].gives):
            due = read_on <= day
            (ready if due else waiting).append(Wanted(key, test.name, None if due else read_on))
    scopes: list[tuple[int | None, Mapping[str, Value]]] = [(None, look.answers), *enumerate(look.symptoms)]
    parked = [Wanted(Key("sign", key, scope)) for scope, told in scopes for key in told if told[key] == GO_LOOK]
    course: list[Wanted] = []
    for number, symptom in enumerate(look.symptoms):
        if symptom.get("part") == "leaf":
            course.append(Wanted(Key("sign", "new_leaves_since", number)))
        course.append(Wanted(Key("sign", "extent", number)))
    unique = {item.key: item for item in reversed([*ready, *parked, *course, *waiting])}
    known = [item for item in reversed(unique.values()) if item.key.id in knowledge.signs]
    return tuple(known)


def keys_of(knowledge: Knowledge, look: Look, sign: str) -> list[Key]:
    """The questions that a test answers: one about the tree, or one for every odd thing that it can be seen on."""
    if not knowledge.signs[sign].of_symptom:
        return [Key("sign", sign)]
    part = knowledge.signs[sign].part
    return [
        Key("sign", sign, number)
        for number, symptom in enumerate(look.symptoms)
        if part in ("any", symptom.get("part")) and sign not in symptom
    ]


def nothing_new_lines(knowledge: Knowledge, before: Look, day: date) -> list[str]:
    """That nothing was added, what stands first, and the steps and tests that are still due."""
    report = diagnose(knowledge, before)
    lines = [f"Since {day_words(before.date)}, answered on {day_words(day)}: nothing new."]
    if report.causes:
        first = report.causes[0]
        lines.append(f"The order stays as it was; first: {lower_first(first.name)} ({first.word}).")
    if report.steps_now:
        lines += ["Still to do:", *(f"  - {step.do}" for step in report.steps_now[:MOST_DUE])]
    if report.tests:
        lines.append("Tests still open:")
        for test in report.tests:
            read_on = before.date + timedelta(days=test.days)
            wait = f" (if done, read it from {day_words(read_on)} on)" if read_on > day else ""
            lines.append(f"  - {test.name}{wait}")
    if report.look_again:
        again = date.fromisoformat(report.look_again)
        lines.append(f"Look again: {'now' if again <= day else 'on ' + day_words(again)}.")
    return lines


def change_lines(knowledge: Knowledge, before: Look, after: Look, day: date) -> list[str]:
    """What changed and why, in plain sentences."""
    lines = [f"Since {day_words(before.date)}, answered on {day_words(day)}:"]
    lines += [f"  {line}" for line in new_answers(knowledge, before, after)] or ["  nothing new"]
    if before.tree.get("crop") != after.tree.get("crop"):
        lines.append("  (another kind of tree, so it was weighed anew)")
    lines.append("What that changed:")
    return [*lines, *(moved_words(knowledge, before, after) or ["  the order stays as it was"])]


def moved_words(knowledge: Knowledge, before: Look, after: Look) -> list[str]:
    """The causes whose word has changed, each with both words, the new first one ahead."""
    (scales_before, old), (scales, new) = weigh_look(knowledge, before), weigh_look(knowledge, after)
    said_before = {cause: word for cause, _, word in possible_causes(knowledge, scales_before, old)}
    said_now = {cause: word for cause, _, word in possible_causes(knowledge, scales, new)}
    first_before, first_now = old.ranking()[0][0], new.ranking()[0][0]
    lines = []
    if first_before != first_now:
        lines.append(
            f"  first now: {cause_words(knowledge, first_now)} (before: {cause_words(knowledge, first_before)})"
        )
    ranked = (*(n for n, _ in new.ranking()[:4]), *(n for n, _ in old.ranking()[:4]), *said_now)
    for name in dict.fromkeys(ranked):
        was = said_before.get(name, word_for(old.belief(name)))
        now = said_now.get(name, word_for(new.belief(name)))
        title, known = cause_words(knowledge, name), name != SOMETHING_ELSE
        if known and confirmed(knowledge, after, new, name) and not confirmed(knowledge, before, old, name):
            lines.append(f"  {title}: now confirmed by the test (it was {was})")
        elif name in new.out and name not in old.out:
            lines.append(f"  {title}: now set aside; the test spoke against it (it was {was})")
        elif was != now:
            lines.append(f"  {title}: {was} before, {now} now")
    return lines


def cause_words(knowledge: Knowledge, name: str) -> str:
    """A cause's name inside a sentence."""
    return (
        "something not in this knowledge base" if name == SOMETHING_ELSE else lower_first(knowledge.causes[name].name)
    )


def new_answers(knowledge: Knowledge, before: Look, after: Look) -> list[str]:
    """The answers that are new or different, in words."""
    lines = other_answers(knowledge, before, after)
    scopes: Sequence[tuple[Mapping[str, Value], Mapping[str, Value]]] = [
        (before.answers, after.answers),
        *(
            (before.symptoms[j] if j < len(before.symptoms) else {}, symptom)
            for j, symptom in enumerate(after.symptoms)
        ),
    ]
    for old, new in scopes:
        for key, value in new.items():
            if key not in knowledge.signs or old.get(key) == value or (_silent(value) and _silent(old.get(key))):
                continue
            sign, was = knowledge.signs[key], old.get(key)
            earlier = "" if was is None or _silent(was) else f" (before: {value_words(sign, was)})"
            lines.append(f"{question_words(knowledge, key)} {capital(value_words(sign, value))}{earlier}.")
    return lines


def other_answers(knowledge: Knowledge, before: Look, after: Look) -> list[str]:
    """New or different words about the tree, its plan, its odd parts and what happened, in words."""
    lines = []
    if before.tree.get("crop") != after.tree.get("crop"):
        lines.append(f"The tree: {context_words(after, knowledge, 'crop')}.")
    if any(before.tree.get(key) != after.tree.get(key) for key in after.tree if key != "crop"):
        words = (context_words(after, knowledge, key) for key in ("grown_in", "climate", "hemisphere"))
        lines.append(f"Its place: {'; '.join(words)}.")
    if before.about_to != after.about_to and after.about_to in knowledge.intentions:
        lines.append(f"What you were about to do: {knowledge.intentions[after.about_to].say}.")
    parts = [[str(symptom.get("part")) for symptom in look.symptoms] for look in (before, after)]
    if parts[0] != parts[1]:
        lines.append(f"What is odd: {', '.join(PART_WORDS[part] for part in parts[1]) or 'nothing any more'}.")
    happened = {event.what: event for event in moved_on(before, after.date).events}
    for event in after.events:
        if happened.get(event.what) != event and (event.when or event.within):
            lines.append(
                f"{question_words(knowledge, 'event.' + event.what)} {capital(event_words(event, knowledge))}."
            )
    return lines


def _silent(value: Value | None) -> bool:
    return value is None or (isinstance(value, str) and value in SILENT)
