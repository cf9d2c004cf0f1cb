"""What the person told: seen signs, parked questions, contradictions, what nothing explains."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date

from sallow.knowledge.model import Knowledge, Sign
from sallow.look_facts import context_of, winters_from_tree
from sallow.looks import GO_LOOK, NOT_SURE, SILENT, Event, Look, Value
from sallow.phrases import (
    PART_WORDS,
    answered,
    capital,
    context_words,
    day_words,
    event_words,
    value_words,
)
from sallow.reasoning.explain import answers_behind, finding_support
from sallow.reasoning.weigh import Scales, Weighed


def seen(knowledge: Knowledge, look: Look) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What was told, in groups (each odd thing, the tree, what happened), in reading order."""
    groups: list[tuple[str, tuple[str, ...]]] = []
    for number, symptom in enumerate(look.symptoms, 1):
        heading = f"Odd thing {number}: {PART_WORDS[str(symptom.get('part', 'leaf'))]}"
        groups.append((heading, told_lines(knowledge, symptom, look.dated, {})))
    tree = (*place_lines(knowledge, look), *told_lines(knowledge, look.answers, look.dated, look.origins))
    groups.append(("The tree and its place", tree))
    happened = {event.what: event_line(knowledge, event, look) for event in look.events if event.when or event.within}
    groups.append(("What happened", tuple(happened[kind] for kind in knowledge.events if kind in happened)))
    return tuple(group for group in groups if group[1])


def event_line(knowledge: Knowledge, event: Event, look: Look) -> str:
    """An event as 'question answer', with where it comes from when nobody typed it."""
    origin = look.origins.get(f"event.{event.what}", "")
    words = capital(event_words(event, knowledge))
    return f"{knowledge.events[event.what].ask} {words}{f' ({origin})' if origin else ''}."


def place_lines(knowledge: Knowledge, look: Look) -> tuple[str, ...]:
    """The kind of tree, where it stands, the climate kind, the season, and the plan."""
    context = context_of(look, knowledge)
    standing = {"ground": "in open ground", "pot": "in a pot", "lawn": "in a lawn"}
    words = [
        context_words(look, knowledge, "crop") if "crop" in context else "",
        standing.get(context.get("grown_in", ""), ""),
        climate_words(look, knowledge, context),
        context.get("season", ""),
    ]
    lines = [f"{capital('; '.join(word for word in words if word))}."] if any(words) else []
    if look.about_to in knowledge.intentions:
        lines.append(f"What were you about to do or buy? {capital(knowledge.intentions[look.about_to].say)}.")
    return tuple(lines)


def climate_words(look: Look, knowledge: Knowledge, context: Mapping[str, str]) -> str:
    """The climate kind, how it was taken where the winters were not told, or that it is not known."""
    if "climate" in context:
        words = context_words(look, knowledge, "climate")
        taken = "climate" not in look.tree and winters_from_tree(look.tree, knowledge)
        return f"{words} (winters not told: taken from an evergreen in open ground)" if taken else words
    unsure = any(look.tree.get(str(question["question"])) == NOT_SURE for question in knowledge.climate_questions)
    return "kind of climate not known" if unsure else ""


def told_lines(
    knowledge: Knowledge, answers: Mapping[str, Value], dated: Mapping[str, str], origins: Mapping[str, str]
) -> tuple[str, ...]:
    """Every answer that says something, as 'question answer', with its day when it was given later, and its origin
    when nobody typed it."""
    lines = []
    for key, sign in reading_order(knowledge, answers):
        value = answers.get(key)
        if value is None or (isinstance(value, str) and value in SILENT):
            continue
        later = f" (on {day_words(date.fromisoformat(dated[key]))})" if key in dated else ""
        origin = f" ({origins[key]})" if key in origins else ""
        lines.append(f"{sign.ask} {capital(value_words(sign, value))}{later}{origin}.")
    return tuple(lines)


def reading_order(knowledge: Knowledge, wanted: Collection[str]) -> list[tuple[str, Sign]]:
    """Those signs as a report lists them: those asked first come first, the others by name."""
    late = len(knowledge.signs)
    signs = [(key, knowledge.signs[key]) for key in wanted if key in knowledge.signs]
    return sorted(signs, key=lambda pair: (pair[1].opening or late, pair[1].core or late, pair[0]))


def to_look(knowledge: Knowledge, look: Look) -> tuple[str, ...]:
    """The parked questions: to be looked at and taken up later."""
    scopes: list[Mapping[str, object]] = [*look.symptoms, look.answers]
    return tuple(
        f"{sign.ask} {sign.how_to_tell}".strip()
        for scope in scopes
        for key, sign in reading_order(knowledge, scope)
        if scope.get(key) == GO_LOOK
    )


def answered_pairs(look: Look) -> Iterable[tuple[int | None, str]]:
    """Every (symptom, sign) that has been answered in any way."""
    for number, symptom in enumerate(look.symptoms):
        yield from ((number, key) for key in symptom if key != "part")
    yield from ((None, key) for key in look.answers)
    yield from ((None, f"event.{event.what}") for event in look.events)


def unexplained(look: Look, weighed: Weighed) -> tuple[str, ...]:
    """Symptoms that 'something not in this knowledge base' explains as well as the cause put behind them."""
    if len(look.symptoms) < 2:
        return ()
    lines = []
    for number, shares in enumerate(weighed.beliefs.of_symptom):
        leader = max(range(len(shares)), key=lambda i: (shares[i], -i))
        if leader == len(shares) - 1 or weighed.symptoms[number][leader] < weighed.symptoms[number][-1]:
            part = PART_WORDS[str(look.symptoms[number].get("part", "leaf"))]
            lines.append(
                f"Nothing in this knowledge base explains odd thing {number + 1} ({part}) well; "
                "look at it once more by itself."
            )
    return tuple(lines)


def contradictions(knowledge: Knowledge, look: Look, scales: Scales, weighed: Weighed) -> tuple[str, ...]:
    """Findings told both true and false, in plain words with the answers to check on either side."""
    lines = []
    for name in weighed.conclusions.contradictions():
        finding = knowledge.findings[name]
        sides = []
        for concludes in (True, False):
            supports = finding_support(scales, weighed, name, concludes)
            behind = dict.fromkeys(pair for item in supports for pair in answers_behind(item.support))
            sides.append(" ".join(answered(look, knowledge, symptom, variable) for symptom, variable in behind))
        lines.append(
            f"Two of your answers do not fit together: one says that {finding.says} ({sides[0]}), another that "
            f"{finding.says_not or 'it is not so'} ({sides[1]}). Please check both; nothing was dropped."
        )
    return tuple(lines)
