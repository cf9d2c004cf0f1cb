"""Asking at the keys for what a new tree lacks: plain numbered questions, Enter to pass over."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from sallow.commands._trees_shared import crops, document, say_wrapped
from sallow.environment import Environment
from sallow.errors import BadInput, Interrupted

_OPEN_QUESTIONS = (
    ("sort", "Which sort, if you know (Enter: not known)", None),
    ("planted", "Planted when: a year, a month, '3 years ago' (Enter: not known)", None),
    (
        "grown",
        "Where does it grow?",
        (("ground", "in the ground"), ("pot", "in a pot or barrel"), ("lawn", "in a lawn")),
    ),
    ("water", "How does it get water: drip, hose, sprinkler, rain (Enter: not sure)", None),
    ("canopy", "How wide do the leaves reach: 2 m, 6 ft (Enter: not measured)", None),
)
_HALVES = (("north", "the northern half of the world"), ("south", "the southern half"))


def ask_tree(
    environment: Environment, name: str, given: Mapping[str, str], place: Mapping[str, Any]
) -> tuple[str, dict[str, str]]:
    """The name and the options of a new tree, asking for those not given; a known ``place`` is not asked."""
    given = dict(given)
    say_wrapped(environment, "A new tree for the book. Enter passes a question over; Ctrl-C writes nothing.")
    while not name:
        name = _ask(environment, "What do you call it (for example: Barrel lemon)")
    if "crop" not in given:
        given["crop"] = _ask_until(environment, "What does it bear (lemon, avocado, apple ...)", _crop)
    for option, question, choices in _OPEN_QUESTIONS:
        if option not in given:
            answer = _choose(environment, question, choices) if choices else _ask_checked(environment, option, question)
            given |= {option: answer} if answer else {}
    if not place and "climate" not in given and "hemisphere" not in given:
        given |= _ask_place(environment)
    return name, given


def _ask_place(environment: Environment) -> dict[str, str]:
    half = _choose(environment, "In which half of the world does it stand?", _HALVES)
    answers = {}
    for question in document("climates")["questions"]:
        choices = [(answer, words["say"]) for answer, words in question["answers"].items()]
        answers[question["question"]] = _choose(environment, question["ask"], choices)
    climate = next(
        (
            kind["climate"]
            for kind in document("climates")["climates"]
            if any(all(answers.get(key) == value for key, value in way.items()) for way in kind["any"])
        ),
        "",
    )
    return {name: value for name, value in (("hemisphere", half), ("climate", climate)) if value}


def _crop(text: str) -> str:
    from sallow.trees.crops import crop_id

    return crop_id(text, crops().known_crop)


def _ask_checked(environment: Environment, option: str, question: str) -> str:
    from sallow.trees.amounts import read_length
    from sallow.trees.dates import read_planted

    def check(text: str) -> str:
        if text and option == "planted":
            return read_planted(text, environment.today)
        if text and option == "canopy":
            read_length(text, "m", "the canopy")
        return text

    return _ask_until(environment, question, check)


def _ask_until(environment: Environment, question: str, check: Callable[[str], str]) -> str:
    while True:
        try:
            return check(_ask(environment, question))
        except BadInput as fault:
            environment.say(f"  {fault}")


def _choose(environment: Environment, question: str, choices: Sequence[tuple[str, str]]) -> str:
    environment.say(question)
    for number, (_, words) in enumerate(choices, 1):
        environment.say(f"  {number}  {words}")
    while True:
        answer = _ask(environment, "Number (Enter: not sure)").lower()
        if not answer:
            return ""
        for number, (value, words) in enumerate(choices, 1):
            if answer in (str(number), value, words.lower()):
                return value
        environment.say(f"  Type a number from 1 to {len(choices)}, or Enter.")


def _ask(environment: Environment, question: str) -> str:
    environment.stdout.write(f"{question}: ")
    environment.stdout.flush()
    line = environment.stdin.readline()
    if not line:
        environment.say()
        raise Interrupted("Stopped before the end; nothing was written.")
    return line.strip()
