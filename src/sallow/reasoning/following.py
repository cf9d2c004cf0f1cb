"""What follows from answers without being asked, and which answers make no sense for a tree and count nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial

from sallow.knowledge.conditions import Condition
from sallow.knowledge.model import Implied, Knowledge, Sign
from sallow.reasoning.facts import Facts, not_concluded, not_seen, truth

# Variables of the tree, each with the rules that may tell it.
TreeRules = tuple[tuple[str, tuple[Implied, ...]], ...]


def fill_implied(knowledge: Knowledge, facts: Facts) -> Facts:
    """The facts with every answer that follows from others ('no colour ticked' means the green is normal)."""
    signs, rules = signs_with_implied(knowledge), tree_rules(knowledge)
    while following := _following_of_tree(rules, facts):
        for variable, answer in following.items():
            facts = facts.with_tree(variable, answer)
    for symptom in range(len(facts.symptoms)):
        while following := _following(signs, facts, symptom):
            for sign, answer in following.items():
                facts = facts.with_symptom(symptom, sign, answer)
    return facts


def _following(signs: Sequence[Sign], facts: Facts, symptom: int) -> dict[str, str]:
    """The unknown signs of a symptom whose answer follows at once, with that answer."""
    rules = ((sign.id, sign.implied) for sign in signs if sign.id not in facts.symptoms[symptom])
    return _holding(rules, facts, symptom)


def _following_of_tree(rules: TreeRules, facts: Facts) -> dict[str, str]:
    """The unknown tree signs and events whose answer follows at once, with that answer."""
    return _holding((pair for pair in rules if pair[0] not in facts.tree), facts, None)


def _holding(rules: Iterable[tuple[str, tuple[Implied, ...]]], facts: Facts, symptom: int | None) -> dict[str, str]:
    known = partial(facts.known, symptom)
    found: dict[str, str] = {}
    for variable, implied in rules:
        answer = next((rule.answer for rule in implied if truth(rule.when, known, not_concluded, not_seen)), None)
        if answer is not None:
            found[variable] = answer
    return found


def signs_with_implied(knowledge: Knowledge) -> tuple[Sign, ...]:
    """The symptom signs whose answer may follow from others, in order of name."""
    found = (sign for sign in knowledge.signs.values() if sign.implied and sign.of_symptom)
    return tuple(sorted(found, key=lambda sign: sign.id))


def tree_rules(knowledge: Knowledge) -> TreeRules:
    """The tree signs and events whose answer may follow from others, with what implies it."""
    signs = [(sign.id, sign.implied) for sign in knowledge.signs.values() if sign.implied and not sign.of_symptom]
    return (*signs, *((f"event.{e.id}", e.implied) for e in knowledge.events.values() if e.implied))


def only_sensible(knowledge: Knowledge, facts: Facts) -> Facts:
    """The facts without answers to questions that make no sense for this tree (``not_if``): they count nothing."""
    tree = {f"event.{event.id}": event.not_if for event in knowledge.events.values() if event.not_if is not None}
    of_symptom: dict[str, Condition] = {}
    for sign in knowledge.signs.values():
        if sign.not_if is not None:
            (of_symptom if sign.of_symptom else tree)[sign.id] = sign.not_if
    for variable in _senseless(tree, facts, None):
        facts = facts.with_tree(variable, None)
    for symptom in range(len(facts.symptoms)):
        for variable in _senseless(of_symptom, facts, symptom):
            facts = facts.with_symptom(symptom, variable, None)
    return facts


def _senseless(unless: Mapping[str, Condition], facts: Facts, symptom: int | None) -> list[str]:
    known = partial(facts.known, symptom)
    return [
        variable
        for variable in (facts.tree if symptom is None else facts.symptoms[symptom])
        for condition in (unless.get(variable) or unless.get(variable.split(".")[0]),)
        if condition is not None and truth(condition, known, not_concluded, not_seen) is True
    ]
