"""After a guided look: offers to fill in what the shown amounts lack, and prints the amounts again."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from sallow.care.feeding.bags import bag_from
from sallow.care.known import QUESTIONS
from sallow.commands.feed_measures import metres
from sallow.commands.typed_line import typed_line
from sallow.diagnosis import diagnose
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.interview.typed import number_typed
from sallow.knowledge.model import Knowledge
from sallow.looks import Look, Value
from sallow.render.wrap import wrapped
from sallow.report_model import Diagnosis, StepLine

# What each fact is called in the offer, and how it is typed.
FACTS = {
    "canopy_diameter_m": ("how wide the canopy is", "Such as 3 m or 10 ft."),
    "trunk_diameter_cm": ("how thick the trunk is", "Such as 8 cm or 3 in."),
    "height_m": ("how tall it is", "Such as 2 m or 7 ft."),
    "pot_diameter_m": ("how wide the pot is", "Such as 50 cm or 20 in."),
    "age_years": ("how long ago it was planted", "In years, such as 4."),
    "soil_texture": ("what kind of soil it is", "Type sand, loam or clay."),
    "climate": ("what the climate is like", ""),
    "hemisphere": ("which half of the world it stands in", ""),
    "grown_in": ("where it grows", ""),
    "bag": ("the numbers on the bag at hand", "Such as 6-2-3, or a material such as urea."),
}

PLACES = (("ground", "in the ground"), ("pot", "in a pot or barrel"), ("lawn", "in a lawn"))
HALVES = (("north", "the northern half"), ("south", "the southern half"))


def filled_in(
    arguments: argparse.Namespace, knowledge: Knowledge, look: Look, diagnosis: Diagnosis, environment: Environment
) -> tuple[Look, Diagnosis]:
    """The look and its report with what was typed when the offer was taken; reports that were saved are saved anew."""
    try:
        filled = offer_amounts(knowledge, look, diagnosis, environment)
    except BrokenPipeError:  # whoever read the output went away; the look is kept all the same
        filled = look
    if filled == look:
        return look, diagnosis
    from sallow.commands.look import save_report

    diagnosis = diagnose(knowledge, filled)
    for path in arguments.save:
        save_report(arguments, path, diagnosis, knowledge, environment)
    return filled, diagnosis


def offer_amounts(knowledge: Knowledge, look: Look, diagnosis: Diagnosis, environment: Environment) -> Look:
    """The look with what was typed; the same look when the person declines or nothing is lacking."""
    wanted = lacking(diagnosis, look)
    if not wanted:
        return look
    environment.say("")
    names = ", ".join(FACTS[fact][0] for fact in wanted)
    offer = f"The amounts for this tree need: {names}. Type y to fill that in, or just Enter for no."
    reply = typed_line(environment, offer)
    if reply.lower() not in ("y", "yes"):
        return look
    filled = look
    for fact in wanted:
        choices = "; ".join(f"{n} {words}" for n, (_, words) in enumerate(choices_of(knowledge, fact), 1))
        how = f"Type a number: {choices}." if choices else FACTS[fact][1]
        question = f"{QUESTIONS[fact]} {how} (Enter: not known)"
        filled = _asked(knowledge, filled, fact, question, environment)
    if filled != look:
        show_amounts(diagnosis, diagnose(knowledge, filled), environment)
    return filled


def lacking(diagnosis: Diagnosis, look: Look) -> list[str]:
    """The facts that the shown steps lack and that a person can type, each once."""
    facts = (fact for step in _steps(diagnosis) for fact in step.amount_facts)
    return [fact for fact in dict.fromkeys(facts) if fact in FACTS and fact not in look.answers]


def choices_of(knowledge: Knowledge, fact: str) -> tuple[tuple[str, str], ...]:
    """The words to pick from, each with what it means in an answers file; none where a number or words are typed."""
    if fact == "climate":
        return tuple((climate.id, climate.name) for climate in knowledge.climates.values())
    return {"hemisphere": HALVES, "grown_in": PLACES}.get(fact, ())


def _steps(diagnosis: Diagnosis) -> tuple[StepLine, ...]:
    return (*diagnosis.steps_now, *diagnosis.steps_if_confirmed)


def _asked(knowledge: Knowledge, look: Look, fact: str, question: str, environment: Environment) -> Look:
    while True:
        text = typed_line(environment, question)
        if not text:
            return look
        try:
            value = _read(knowledge, fact, text, look.date.year)
        except BadInput as error:
            _say(environment, str(error), "  ", "  ")
            continue
        return look.with_answer(None, fact, value) if fact in knowledge.signs else look.with_tree(fact, value)


def _read(knowledge: Knowledge, fact: str, text: str, this_year: int) -> Value:
    choices = choices_of(knowledge, fact)
    if choices:
        return _picked(choices, text)
    if fact == "bag":
        bag_from(text, knowledge.tables)
        return text
    sign = knowledge.signs.get(fact)
    if sign is not None and sign.kind == "number":
        number = number_typed(text, sign, this_year)
        if number is None:
            raise BadInput(f"'{text[:40]}' is not a likely number; {FACTS[fact][1]}")
        return number
    if sign is not None:
        if text.lower() not in ("sand", "loam", "clay"):
            raise BadInput(f"'{text[:40]}' is not one of the three. {FACTS[fact][1]}")
        return text.lower()
    measure: Callable[[str], float] = metres
    return round(measure(text) * (100 if fact.endswith("_cm") else 1), 3)


def _picked(choices: tuple[tuple[str, str], ...], text: str) -> str:
    said = text.strip().lower()
    if said.isdecimal() and 1 <= int(said) <= len(choices):
        return choices[int(said) - 1][0]
    for value, words in choices:
        if said in (value, value.replace("_", " "), words.lower()):
            return value
    raise BadInput(f"'{text[:40]}' is not one of the lines; type a number from 1 to {len(choices)}.")


def show_amounts(before: Diagnosis, after: Diagnosis, environment: Environment) -> None:
    """Print the steps whose amounts have changed."""
    known = {(step.do, step.amount) for step in _steps(before)}
    changed = [step for step in _steps(after) if step.amount and (step.do, step.amount) not in known]
    environment.say("")
    if not changed:
        environment.say("That changes none of the amounts.")
    for step in changed:
        _say(environment, step.do, "- ", "  ")
        for line in (*step.amount, *(f"Still needed: {lack}" for lack in step.amount_lacks)):
            _say(environment, line, "    ", "    ")


def _say(environment: Environment, text: str, lead: str, hang: str) -> None:
    for number, line in enumerate(wrapped(text, environment.width - len(lead))):
        environment.say((hang if number else lead) + line)
