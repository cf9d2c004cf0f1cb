"""What giving one answer to a question does to the facts."""

from __future__ import annotations

from collections.abc import Collection

from sallow.knowledge.model import Knowledge, Sign
from sallow.reasoning.facts import OVERLOOKED, Facts


def with_answer(knowledge: Knowledge, facts: Facts, symptom: int | None, sign: str, value: str) -> Facts:
    """The facts once the question of a sign (or ``event.KIND``) has been answered; of a list, with one tick."""
    known = knowledge.signs.get(sign)
    values = ticks(known, (value,), False) if known is not None and known.kind == "several" else {sign: value}
    for name, told in values.items():
        facts = facts.with_tree(name, told) if symptom is None else facts.with_symptom(symptom, name, told)
    return facts


def ticks(sign: Sign, ticked: Collection[str], looked: bool) -> dict[str, str]:
    """The variables of a list once it has been ticked; what is not ticked is none only where the person looked."""
    rest = "no" if looked or sign.unticked == "looked" else OVERLOOKED
    return {f"{sign.id}.{option}": "yes" if option in ticked else rest for option in sign.answers}
