"""``sallow feed``: should this tree be fed, and if so how much of the bag at hand, when and where."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from sallow.status import ExitStatus

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date
    from pathlib import Path

    from sallow.care.feeding import Plan
    from sallow.commands.feed_facts import Facts
    from sallow.environment import Environment
    from sallow.knowledge.tables import Table


def configure(parser: argparse.ArgumentParser) -> None:
    """Options; without any the command asks."""
    from sallow.commands.feed_options import add_options

    add_options(parser)


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Decide first; work out amounts only for a tree that may be fed. BadInput for facts that cannot be."""
    from pathlib import Path

    from sallow.commands import feed_options
    from sallow.commands.feed_answer import answer
    from sallow.commands.feed_facts import Facts, crop_named, facts_from_look
    from sallow.commands.feed_show import show_json, show_text
    from sallow.knowledge.locate import shipped_folder
    from sallow.knowledge.tables import load_tables

    knowledge = shipped_folder("knowledge")
    tables = load_tables(knowledge)
    facts = Facts()
    if arguments.tree:
        from sallow.commands.feed_book import facts_from_book

        facts = facts_from_book(arguments, environment)
    if arguments.look:
        facts = facts_from_look(Path(arguments.look), facts)
    if arguments.crop is not None:
        arguments.crop = crop_named(arguments.crop, _crops(knowledge))
    facts = feed_options.facts_from_options(arguments, facts)
    today = feed_options.stated_day(arguments, environment.today)
    if arguments.ask or not feed_options.stated_any(arguments):
        facts = _ask(arguments, environment, facts, today, tables)
    result = answer(arguments, facts, today, tables)
    if arguments.format == "json":
        show_json(result, environment)
    else:
        show_text(result, environment, arguments.units, arguments.show_working, knowledge)
    return ExitStatus.OK


def _crops(knowledge: Path) -> list[Mapping[str, Any]]:
    import yaml

    text = (knowledge / "crops.yaml").read_text(encoding="utf-8")
    crops: list[Mapping[str, Any]] = yaml.safe_load(text)["crops"]
    return crops


def _ask(
    arguments: argparse.Namespace,
    environment: Environment,
    facts: Facts,
    today: date,
    tables: Mapping[str, Table],
) -> Facts:
    from sallow.care.feeding import Wish, make_plan
    from sallow.commands.feed_questions import ROUNDS, ask_bag, ask_round, ask_size
    from sallow.commands.numbered import NumberedQuestions, asked_with_back

    def decide(found: Facts) -> Plan:
        return make_plan(found.tree(), found.condition(), Wish(), today, tables)

    def may_feed(found: Facts) -> bool:
        decision = decide(found).decision
        return decision.feeds or decision.verdict == "measure"

    def ask(asker: NumberedQuestions) -> tuple[Facts, dict[str, list[str]]]:
        found = facts
        for questions in ROUNDS:
            if not may_feed(found):
                return found, {}
            found = ask_round(questions, found, asker, decide)
        if not may_feed(found):
            return found, {}
        found = ask_size(found, asker, decide)
        return found, {} if arguments.bag else ask_bag(asker)

    opening = "Should this tree be fed, and how much? First what may forbid it, then its size and the bag."
    facts, bag = asked_with_back(environment, ask, judging=True, opening=opening)
    for name, value in bag.items():
        setattr(arguments, name, value)
    return facts
