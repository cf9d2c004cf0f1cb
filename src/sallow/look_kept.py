"""What the tree book keeps of a look: all of it as data, and the gist in words for the story."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date, timedelta
from typing import Any

from sallow.knowledge.model import Knowledge
from sallow.look_facts import context_of
from sallow.looks import SILENT, Look, look_as_data
from sallow.phrases import PART_WORDS, value_words
from sallow.report_model import Diagnosis
from sallow.trees.model import Look as KeptLook
from sallow.trees.model import PendingCheck, Tree

FEW_WORDS = 30  # characters
MOST_SEEN, MOST_LIKELY, MOST_STEPS, MOST_CHECKS = 3, 3, 3, 3
CAME_OF_IT = {
    "waited": {"greened": "better", "same": "same", "worse": "worse"},
    "feed_trial": {"greened": "better", "no_change": "same"},
    "emitter_repair_trial": {"better": "better", "same": "same"},
    "soak_trial": {"lifted": "better", "no_change": "same"},
    "new_leaves_since": {"clean": "better", "same": "same", "worse": "worse"},
}


def kept_look(
    knowledge: Knowledge,
    look: Look,
    diagnosis: Diagnosis,
    photos: Sequence[str] = (),
    before: KeptLook | None = None,
) -> KeptLook:
    """What the book keeps of a look: all of it as data, and the gist in words for the story.

    ``before`` is the last look at the tree, against which this one is better, the same or worse.
    """
    result = {key: value for key, value in asdict(diagnosis).items() if key != "look"}
    return KeptLook(
        day=look.date,
        answers=look_as_data(look),
        result=result,
        knowledge=diagnosis.knowledge_version,
        seen=tuple(seen_words(knowledge, look)),
        likely=tuple(likely_words(diagnosis)),
        steps=tuple(step.do for step in diagnosis.steps_now[:MOST_STEPS]),
        checks=tuple(
            PendingCheck(test.id, test.name, look.date + timedelta(days=test.days) if test.days else None)
            for test in diagnosis.tests[:MOST_CHECKS]
        ),
        look_again=date.fromisoformat(diagnosis.look_again) if diagnosis.look_again else None,
        came_of_it=came_of_it(look, before),
        photos=tuple(photos),
    )


def seen_words(knowledge: Knowledge, look: Look) -> list[str]:
    """Each odd thing in a few words: 'leaves: the colour is wrong; at the tip, the youngest leaves'."""
    lines = []
    for symptom in look.symptoms:
        told = [
            short(value_words(knowledge.signs[key], symptom[key]))
            for key in sorted(symptom, key=lambda key: (not _core(knowledge, key), _core(knowledge, key), key))
            if key != "part" and not (isinstance(symptom[key], str) and symptom[key] in SILENT)
        ]
        lines.append(f"{PART_WORDS[str(symptom['part'])]}: {'; '.join(told[:MOST_SEEN]) or 'odd'}")
    return lines or ["nothing odd"]


def short(words: str) -> str:
    """An answer's words without what stands in brackets, and as far as a comma allows no longer than a few words."""
    return " and ".join(_few(part.split(" (")[0]) for part in words.split("; "))


def _few(words: str) -> str:
    first, *others = words.split(", ")
    for other in others:
        if len(first) + len(other) > FEW_WORDS:
            break
        first += f", {other}"
    return first


def _core(knowledge: Knowledge, sign: str) -> int:
    return knowledge.signs[sign].core if sign in knowledge.signs else 0


def likely_words(diagnosis: Diagnosis) -> list[str]:
    """What was thought, in a few words."""
    if diagnosis.result == "nothing_odd":
        return []
    if diagnosis.result == "cannot_tell":
        return ["could not be told from what was seen"]
    words = [f"{c.name} ({'confirmed' if c.confirmed else c.word})" for c in diagnosis.causes[:MOST_LIKELY]]
    return [*words, "nothing to worry about: leave it alone"] if diagnosis.result == "leave_alone" else words


def came_of_it(look: Look, before: KeptLook | None = None) -> str:
    """How the tree does since the look before: better, same, worse, or '' when that was not told.

    The person's own word goes first; where something was odd and now nothing is, it is better.
    """
    said = look.answers.get("since_last_look")
    if isinstance(said, str) and said in ("better", "same", "worse"):
        return said
    if before is not None and before.answers.get("symptoms") and not look.symptoms and look.no_more_symptoms:
        return "better"
    scopes: list[Mapping[str, Any]] = [look.answers, *look.symptoms]
    found = [
        words[value]
        for scope in scopes
        for sign, words in CAME_OF_IT.items()
        if isinstance(value := scope.get(sign), str) and value in words
    ]
    return next((word for word in ("worse", "better", "same") if word in found), "")


def tree_from_look(name: str, knowledge: Knowledge, look: Look) -> Tree:
    """A new tree for the book with what a look tells of it."""
    context = context_of(look, knowledge)
    age = look.answers.get("age_years")
    return Tree(
        name=name,
        crop=context.get("crop", "other"),
        sort=str(look.tree.get("sort") or ""),
        planted=str(look.date.year - round(age)) if isinstance(age, int | float) else "",
        grown=context.get("grown_in", ""),
        canopy_m=_number(look.tree.get("canopy_diameter_m")),
        trunk_cm=_number(look.tree.get("trunk_diameter_cm")),
        pot_m=_number(look.tree.get("pot_diameter_m")),
        climate=context.get("climate", ""),
        hemisphere=context.get("hemisphere", ""),
        latitude=_number(look.tree.get("latitude")),
    )


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) else None
