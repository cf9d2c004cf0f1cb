"""The questions command: every sign with its answers, for writing an answers file by hand or by program."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from sallow.environment import Environment
from sallow.status import ExitStatus

if TYPE_CHECKING:
    from sallow.knowledge.model import Knowledge, Sign


def configure(parser: argparse.ArgumentParser) -> None:
    """The options of ``sallow questions``."""
    parser.add_argument("--json", action="store_true", help="as JSON, for programs")
    parser.add_argument(
        "--knowledge",
        metavar="DIR",
        action="append",
        default=[],
        help="lay the knowledge files of this folder over the shipped ones (repeatable)",
    )


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Run ``sallow questions``."""
    from sallow.knowledge.access import open_knowledge

    knowledge = open_knowledge(environment, arguments.knowledge)
    if arguments.json:
        import json

        environment.say(json.dumps(as_data(knowledge), indent=1, ensure_ascii=False))
    else:
        _print(knowledge, environment)
    return ExitStatus.OK


def as_data(knowledge: Knowledge) -> dict[str, Any]:
    """Every word that may stand in an answers file."""
    from sallow.knowledge.model import PARTS
    from sallow.looks import SPECIAL

    return {
        "tree": {
            "crop": {crop.id: [crop.name, *crop.also_called] for crop in knowledge.crops.values()},
            "climate": {climate.id: climate.name for climate in knowledge.climates.values()},
            "hemisphere": ["north", "south"],
            "grown_in": ["ground", "pot", "lawn"],
        },
        "about_to": {item.id: item.say for item in knowledge.intentions.values()},
        "events": {
            event.id: {"ask": event.ask, "within": [*event.labels, "never"]} for event in knowledge.events.values()
        },
        "parts": list(PARTS),
        "signs": {sign.id: sign_data(sign) for sign in knowledge.signs.values()},
        "answers_besides_the_list": list(SPECIAL),
    }


def sign_data(sign: Sign) -> dict[str, Any]:
    """One sign for programs."""
    data: dict[str, Any] = {
        "part": sign.part,
        "kind": sign.kind,
        "ask": sign.ask,
        "how_to_tell": sign.how_to_tell,
        "effort": sign.effort,
        "answers": {answer.id: answer.say for answer in sign.answers.values()},
    }
    if sign.kind == "number":
        data |= {"unit": sign.unit, "least": sign.least, "most": sign.most}
    return data


def _print(knowledge: Knowledge, environment: Environment) -> None:
    from sallow.render.wrap import wrapped

    say, width = environment.say, environment.width
    say("The form of an answers file (YAML or JSON):")
    for line in (
        "date: 2026-05-20",
        "about_to: feed",
        "tree: {crop: lemon, climate: dry_summer, hemisphere: south, grown_in: pot, age_years: 4}",
        "events: [{what: fed, within: 2 months}, {what: frost, when: 2026-05-02}]",
        "symptoms: [{part: leaf, leaf_change: [colour], leaf_age: newest, colour_pattern: fine_net}]",
        "answers: {soil_at_depth: wet}",
    ):
        say(f"  {line}")
    data = as_data(knowledge)
    say("")
    say("tree: crop is " + ", ".join(data["tree"]["crop"]) + " (or a name people use for it)")
    say(
        "tree: climate is "
        + ", ".join(data["tree"]["climate"])
        + "; hemisphere is north, south; grown_in is ground, pot, lawn"
    )
    say("about_to is " + ", ".join(data["about_to"]))
    say(
        "events: " + "; ".join(f"{key} (within: {', '.join(value['within'])})" for key, value in data["events"].items())
    )
    say("Any sign may also be answered: " + ", ".join(data["answers_besides_the_list"]))
    for part in (*data["parts"], "any", "tree"):
        where = (
            "Signs of the tree and its place, under 'answers'"
            if part == "tree"
            else f"Signs of a symptom, part: {part}"
        )
        say("")
        say(where)
        for sign in knowledge.signs.values():
            if sign.part == part:
                kind = (
                    f"number, {sign.unit}"
                    if sign.kind == "number"
                    else {"one": "one of", "several": "a list of", "yes_no": "yes or no", "date": "a date"}[sign.kind]
                )
                say("")
                for index, line in enumerate(wrapped(f"{sign.id} ({kind}): {sign.ask}", width - 2)):
                    say(("  " if index == 0 else "    ") + line)
                for answer in sign.answers.values():
                    for index, line in enumerate(wrapped(f"{answer.id}: {answer.say}", width - 8)):
                        say(("      " if index == 0 else "        ") + line)
