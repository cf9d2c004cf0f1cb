"""Finds the questions that a few typed words mean."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sallow.knowledge.model import Knowledge
from sallow.looks import Look
from sallow.phrases import PART_WORDS, capital

MOST_OFFERED = 4
# Words by which people speak of a thing that its question does not hold.
ALSO = {
    "watering_how": "watering watered sprinkler sprinklers drip hose turned switched off on changed stopped",
    "watering_every": "watering watered sprinkler sprinklers less more often turned switched off on changed stopped",
}
_SMALL = frozenset(("the", "and", "for", "with", "test", "result", "soil test", "was", "are", "its", "how"))


def found(knowledge: Knowledge, typed: str, look: Look) -> tuple[tuple[str, str], ...]:
    """The questions that the typed words fit best, each as (id, words); a word that fits few questions tells more."""
    words = [word for word in re.findall(r"[a-z]{2,}", typed.lower()) if word not in _SMALL]
    scored = []
    questions = list(takes(knowledge, look))
    fits = [[_fits(word, text) for word in words] for _, _, text in questions]
    often = [sum(map(bool, column)) for column in zip(*fits, strict=True)]
    for number, (identifier, ask, _) in enumerate(questions):
        score = sum(fit / fitting for fit, fitting in zip(fits[number], often, strict=True) if fit)
        if score:
            scored.append((-score, number, identifier, ask))
    most = min((item[0] for item in scored), default=0.0)
    return tuple((item[2], item[3]) for item in sorted(scored) if item[0] <= most / 2)[:MOST_OFFERED]


def takes(knowledge: Knowledge, look: Look) -> Iterator[tuple[str, str, str]]:
    """Every question that can be answered: its id, its words, and the words it is found by."""
    names: dict[str, str] = {}
    for check in knowledge.checks.values():
        names[check.gives] = f"{names.get(check.gives, '')} {check.name}"
    for sign in knowledge.signs.values():
        text = f"{sign.id.replace('_', ' ')} {sign.ask} {names.get(sign.id, '')} {ALSO.get(sign.id, '')}".lower()
        if not sign.of_symptom:
            yield f"sign.{sign.id}", sign.ask, text
        for number, symptom in enumerate(look.symptoms if sign.of_symptom else ()):
            if sign.part in ("any", symptom.get("part")):
                thing = f"{capital(PART_WORDS[str(symptom['part'])])}: " if len(look.symptoms) > 1 else ""
                yield f"sign.{sign.id}.{number}", f"{thing}{sign.ask}", text
    for event in knowledge.events.values():
        yield f"event.{event.id}", event.ask, f"{event.id.replace('_', ' ')} {event.ask}".lower()


def _fits(word: str, text: str) -> int:
    """2 for a whole word, 1 for the beginning of one, else 0."""
    if re.search(rf"\b{word}\b", text):
        return 2
    return 1 if re.search(rf"\b{word.removesuffix('s')}", text) else 0
