"""How the next look at a tree starts from what the tree book knows, and asks whether the last step helped."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sallow.answers import look_from, read_value
from sallow.brought import latest_of_each_kind
from sallow.errors import BadInput
from sallow.knowledge.model import Knowledge
from sallow.looks import SILENT, Look
from sallow.plain_results import answer_meant
from sallow.trees.model import Look as KeptLook
from sallow.trees.start import ANSWER_KEYS

ORIGIN = "from the tree book"
# What does not change from one look to the next, unless somebody says so.
LASTING = (
    "soil_texture", "soil_fizz", "soil_ph", "lime_signs", "water_source", "watering_how", "salt_near", "drain_hole",
    "rootstock", "sort_kind", "disease_area", "pollen_partner", "junipers_near",
)  # fmt: skip
LASTING_WORDS = (
    "grown_in", "climate", "hemisphere", "winters", "summers", "heat", "latitude",
    "canopy_diameter_m", "trunk_diameter_cm", "height_m", "pot_diameter_m",
)  # fmt: skip
# The sign that tells whether a thing done since the last look has helped, and after how many days it can.
HELPED = {"fed": ("feed_trial", 14), "emitter_cleaned": ("emitter_repair_trial", 14), "watered": ("soak_trial", 1)}
SINCE = "since_last_look"
SOAK = "deep_soak"
WAITED_DAYS = 14
MOST_ASKED = 4


@dataclass(frozen=True, slots=True)
class Begun:
    """A look as the book begins it: what is known already, the signs to ask first, and what to say before."""

    look: Look
    first: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()


def begun(
    knowledge: Knowledge, starts: Sequence[Mapping[str, Any]], before: KeptLook | None, day: date, lines: Sequence[str]
) -> Begun:
    """A look begun from what ``start_of_look`` gives for each tree, and the last look that is kept of the first.

    Of several trees only what is the same for all is taken. BadInput when they are of different kinds.
    """
    look = in_common([_known_look(knowledge, start, day) for start in starts])
    first: list[str] = []
    last = starts[0].get("last_look")
    if last is not None and before is not None:
        look = _with_lasting(knowledge, look, before, day)
        look, unread = _with_results(knowledge, look, last["tested_since"], day)
        asked = [*unread, *_since(knowledge, last, before), *_whether_helped(knowledge, last, before, day)]
        first = [sign for sign in asked if sign not in look.answers]
        if any(symptom.get("part") == "leaf" for symptom in before.answers.get("symptoms", ())):
            first.append("new_leaves_since")
    else:
        look, first = _with_results(knowledge, look, starts[0].get("tested", ()), day)
    return Begun(look, tuple(dict.fromkeys(first)), tuple(lines))


def _known_look(knowledge: Knowledge, start: Mapping[str, Any], day: date) -> Look:
    raw = {key: start[key] for key in ANSWER_KEYS if key in start}
    look = look_from({**raw, "date": day.isoformat(), "no_more_symptoms": False}, "the tree book", knowledge, day)
    look = Look(
        date=day,
        tree=look.tree,
        events=latest_of_each_kind(look.events),
        answers=look.answers,
        name=look.name,
        no_more_symptoms=False,
    )
    for key in (*look.answers, *(f"event.{event.what}" for event in look.events)):
        look = look.with_origin(key, ORIGIN)
    return look


def in_common(looks: Sequence[Look]) -> Look:
    """The look at several trees together: what the book says alike of all of them."""
    first = looks[0]
    if len({look.tree.get("crop") for look in looks}) > 1:
        raise BadInput(
            "one look covers trees of one kind; " + ", ".join(look.name for look in looks) + " are not. Look at each."
        )
    if len(looks) == 1:
        return first
    tree = {key: value for key, value in first.tree.items() if all(o.tree.get(key) == value for o in looks)}
    answers = {key: value for key, value in first.answers.items() if all(o.answers.get(key) == value for o in looks)}
    dates = [{(event.what, event.when) for event in look.events} for look in looks]
    events = tuple(event for event in first.events if all((event.what, event.when) in some for some in dates))
    keys = {*answers, *(f"event.{event.what}" for event in events)}
    return Look(
        date=first.date,
        tree=tree,
        events=events,
        answers=answers,
        name=", ".join(look.name for look in looks),
        no_more_symptoms=False,
        origins={key: origin for key, origin in first.origins.items() if key in keys},
    )


def _with_lasting(knowledge: Knowledge, look: Look, before: KeptLook, day: date) -> Look:
    """The look with what the last one was told and does not change; words the knowledge lost are left out."""
    told = {key: value for key, value in before.answers.get("answers", {}).items() if key in LASTING}
    words = {
        key: value
        for key, value in before.answers.get("tree", {}).items()
        if key in LASTING_WORDS and key not in look.tree
    }
    try:
        old = look_from({"tree": words, "answers": told}, "the last look", knowledge, day)
    except BadInput:
        return look
    for key, word in old.tree.items():
        look = look.with_tree(key, word)
    for sign, value in old.answers.items():
        if sign not in look.answers and not (isinstance(value, str) and value in SILENT):
            look = look.with_answer(None, sign, value).with_origin(sign, "from the last look")
    return look


def _with_results(
    knowledge: Knowledge, look: Look, tested: Sequence[Mapping[str, Any]], day: date
) -> tuple[Look, list[str]]:
    """Test results noted in the book as answers, and the signs of those whose words fit no answer."""
    unread = []
    for event in tested:
        check = sign_named(knowledge, str(event.get("subject", "")))
        if check is None or knowledge.signs[check].of_symptom:
            continue
        try:
            words = str(event.get("result", "")).strip()
            value = read_value(knowledge, check, answer_meant(knowledge.signs[check], words) or words, day)
            look = look.with_answer(None, check, value).with_origin(check, ORIGIN)
        except BadInput:
            unread.append(check)
    return look, unread


def sign_named(knowledge: Knowledge, words: str) -> str | None:
    """The sign that a test gives, by the test's id, its name, or the sign's own id."""
    key = words.strip().lower()
    for check in knowledge.checks.values():
        if key.replace(" ", "_") == check.id or key == check.name.lower():
            return check.gives
    sign = key.replace(" ", "_")
    return sign if sign in knowledge.signs else None


def _since(knowledge: Knowledge, last: Mapping[str, Any], before: KeptLook) -> list[str]:
    """The plain question how the tree is, where something was odd at the last look and something was done or noted."""
    done = [*last["done_since"], *last.get("noted_since", ())]
    return [SINCE] if done and before.answers.get("symptoms") and SINCE in knowledge.signs else []


def _whether_helped(knowledge: Knowledge, last: Mapping[str, Any], before: KeptLook, day: date) -> list[str]:
    """The signs that tell whether the last step helped, and those of the tests still to be read.

    Whether waiting helped is asked only where waiting was the advice and nothing else was done, since leaves that
    green by themselves speak for a cause that needs nothing. Whether water helped is asked only where thirst was
    among what was thought, since trees are watered all the time.
    """
    thought = [knowledge.causes[c["id"]] for c in before.result.get("causes", ()) if c.get("id") in knowledge.causes]
    thirsty = any(SOAK in cause.checks for cause in thought)
    done = [event for event in last["done_since"] if event["what"] != "watered" or thirsty]
    signs = [
        HELPED[event["what"]][0]
        for event in done
        if event["what"] in HELPED and (day - date.fromisoformat(event["when"])).days >= HELPED[event["what"]][1]
    ]
    tests = {str(test.get("id")) for test in before.result.get("tests", ())}
    waiting = "wait_and_look" in tests or before.result.get("result") == "leave_alone"
    if waiting and not done and (day - before.day).days >= WAITED_DAYS:
        signs.append("waited")
    open_tests = [knowledge.checks[check].gives for check in last["tests_open"] if check in knowledge.checks]
    signs += [sign for sign in open_tests if sign in knowledge.signs and not knowledge.signs[sign].of_symptom]
    return [sign for sign in dict.fromkeys(signs) if sign in knowledge.signs][:MOST_ASKED]
