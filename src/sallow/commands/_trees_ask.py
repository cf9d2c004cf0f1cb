"""Asking for what a new tree lacks: plain numbered questions with the letters of a look."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from sallow.commands._trees_shared import crops, document, say_wrapped
from sallow.commands.numbered import NumberedQuestions, asked_with_back
from sallow.environment import Environment
from sallow.errors import BadInput

_PLACES = (("ground", "in the ground"), ("pot", "in a pot or barrel"), ("lawn", "in a lawn"))
_HALVES = (("north", "the northern half of the world"), ("south", "the southern half"))
_WATERED = (
    ("drip", "drip emitters"),
    ("hose", "a hose"),
    ("can", "a can or bucket"),
    ("sprinkler", "a sprinkler, or with the lawn"),
    ("rain", "rain only"),
)
_SOILS = (("sandy", "sandy: gritty, falls apart"), ("loam", "loam: crumbly"), ("heavy clay", "heavy, sticky clay"))
_PICKED = {"grown": _PLACES, "water": _WATERED, "soil": _SOILS}
_OPEN_QUESTIONS = (
    ("sort", "Which sort, if you know?"),
    ("planted", "Planted when? A year, a month, or '3 years ago'."),
    ("grown", "Where does it grow?"),
    ("pot", "How wide is the pot? Such as 50 cm or 20 in."),
    ("soil", "What is the soil like?"),
    ("water", "How does it get water?"),
    ("canopy", "How wide do the leaves reach? Such as 2 m or 6 ft."),
)
_CALLED = "What do you call it? For example: Barrel lemon."
UNWRITTEN = "nothing was written."


def ask_tree(
    environment: Environment, name: str, given: Mapping[str, str], place: Mapping[str, Any], taken: Collection[str] = ()
) -> tuple[str, dict[str, str]]:
    """The name and the options of a new tree, asking for those not given; a known ``place`` is not asked.

    A name among those ``taken`` is told at once, and asked for again.
    Interrupted when the person stops, or when the input ends before the name and the crop are known.
    """

    def ask(asker: NumberedQuestions) -> tuple[str, dict[str, str]]:
        found = dict(given)
        called = name if name and not refusal else asker.needed(lambda: asker.value(_CALLED, free_name))
        if "crop" not in found:
            words = "What does it bear? Lemon, avocado, apple ..."
            found["crop"] = asker.needed(lambda: asker.value(words, _crop))
        for option, question in _OPEN_QUESTIONS:
            if option == ("pot" if found.get("grown") != "pot" else "soil"):
                continue
            if option not in found and (answer := _open_answer(asker, option, question, environment)):
                found[option] = answer
        return called, found | _place_answers(asker, found, place)

    def free_name(text: str) -> str:
        if wrong := _name_refused(text, taken):
            raise BadInput(wrong)
        return text

    environment.say("A new tree for the book.")
    refusal = _name_refused(name, taken) if name else ""
    if refusal:
        say_wrapped(environment, refusal)
    return asked_with_back(environment, ask, UNWRITTEN)


def _name_refused(text: str, taken: Collection[str]) -> str:
    """Why a new tree cannot have this name; empty when it can."""
    from sallow.trees.model import Tree, checked_tree, name_taken

    try:
        checked_tree(Tree(name=text, crop="other"))
    except BadInput as error:
        return str(error)
    return name_taken(text, taken)


def ask_half(environment: Environment) -> str:
    """Which half of the world a new tree stands in: ``north``, ``south``, or empty for not sure."""
    return asked_with_back(environment, lambda asker: _half(asker), UNWRITTEN)


def half_is_open(given: Mapping[str, str], place: Mapping[str, Any]) -> bool:
    """Whether neither the options nor the other trees tell in which half of the world the tree stands."""
    return not (given.get("hemisphere") or given.get("latitude") or place.get("hemisphere"))


def _place_answers(asker: NumberedQuestions, found: Mapping[str, str], place: Mapping[str, Any]) -> dict[str, str]:
    answers = {}
    if half_is_open(found, place):
        answers["hemisphere"] = _half(asker)
    if not found.get("climate") and not place.get("climate"):
        answers["climate"] = _climate(asker)
    return {option: answer for option, answer in answers.items() if answer}


def _half(asker: NumberedQuestions) -> str:
    words = "In which half of the world does it stand? (The seasons of its care hang on it.)"
    return asker.choose(words, _HALVES) or ""


def _climate(asker: NumberedQuestions) -> str:
    answers = {}
    for question in document("climates")["questions"]:
        choices = [(answer, words["say"]) for answer, words in question["answers"].items()]
        answers[question["question"]] = asker.choose(question["ask"], choices)
    return next(
        (
            kind["climate"]
            for kind in document("climates")["climates"]
            if any(all(answers.get(key) == value for key, value in way.items()) for way in kind["any"])
        ),
        "",
    )


def _crop(text: str) -> str:
    from sallow.trees.crops import crop_id

    return crop_id(text, crops().known_crop)


def _open_answer(asker: NumberedQuestions, option: str, question: str, environment: Environment) -> str | None:
    from sallow.trees.amounts import read_length
    from sallow.trees.dates import read_planted

    def planted(text: str) -> str:
        return read_planted(text, environment.today)

    def length(text: str) -> str:
        read_length(text, "m", f"the {option}")
        return text

    if option in _PICKED:
        return asker.choose(question, _PICKED[option])
    return asker.value(question, {"planted": planted, "canopy": length, "pot": length}.get(option, str))
