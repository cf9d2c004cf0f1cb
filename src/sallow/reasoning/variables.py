"""The variables of a look: what may be told of a tree and of its odd parts, each value with its base rate."""

from __future__ import annotations

from collections.abc import Mapping

from sallow.knowledge.conditions import Not, Test, event_value
from sallow.knowledge.model import Knowledge
from sallow.values import dataclass, replace

PART_BASE = {
    "leaf": 0.5,
    "shoot": 0.12,
    "flower": 0.05,
    "fruit": 0.1,
    "bark": 0.09,
    "root": 0.04,
    "whole": 0.1,
}


@dataclass(frozen=True, slots=True)
class Variable:
    """A variable of the look: its values with base rates, the sign or event behind it, and where it belongs."""

    id: str
    base: Mapping[str, float]
    sign: str
    of_symptom: bool
    miss: float
    none_values: frozenset[str]
    defines: bool = False
    part: str = ""


def variables_of(knowledge: Knowledge) -> dict[str, Variable]:
    """Every variable conditions may test, except context."""
    found: dict[str, Variable] = {}
    for sign in knowledge.signs.values():
        if sign.kind == "several":
            for option in sign.answers.values():
                base = {"yes": option.base, "no": 1 - option.base}
                key = f"{sign.id}.{option.id}"
                none = frozenset(("no",))
                found[key] = Variable(key, base, sign.id, sign.of_symptom, sign.miss, none, part=sign.part)
        elif sign.kind != "date":
            base = {answer.id: answer.base for answer in sign.answers.values()}
            total = sum(base.values())
            none = frozenset(answer.id for answer in sign.answers.values() if answer.none)
            found[sign.id] = Variable(
                id=sign.id,
                base={k: v / total for k, v in base.items()},
                sign=sign.id,
                of_symptom=sign.of_symptom,
                miss=sign.miss,
                none_values=none,
                defines=sign.defines,
                part=sign.part,
            )
    for event in knowledge.events.values():
        key = f"event.{event.id}"
        base = {event_value(index): share for index, share in enumerate(event.base)}
        found[key] = Variable(key, base, key, False, 0.5, frozenset((event_value(len(event.windows)),)))
    for entry, shown in shown_by(knowledge).items():
        unticked = sum(found[shown].base[value] for value in found[shown].none_values)
        found[entry] = replace(found[entry], base={"yes": 1 - unticked, "no": unticked})
    return found


def shown_by(knowledge: Knowledge) -> dict[str, str]:
    """For each entry of a list the sign whose answer is 'none' exactly when the entry is not ticked."""
    found: dict[str, str] = {}
    for sign in knowledge.signs.values():
        none = {answer.id for answer in sign.answers.values() if answer.none}
        for rule in sign.implied if sign.kind == "one" and sign.of_symptom else ():
            match rule.when:
                case Not(Test(entry, values)) if values == {"yes"} and none == {rule.answer}:
                    found.setdefault(entry, sign.id)
    return found


def context_values(knowledge: Knowledge) -> dict[str, tuple[str, ...]]:
    """The values of the context variables."""
    return {
        "crop": tuple(knowledge.crops),
        "climate": tuple(knowledge.climates),
        "season": ("winter", "spring", "summer", "autumn"),
        "grown_in": ("ground", "pot", "lawn"),
        "hemisphere": ("north", "south"),
        "evergreen": ("yes", "no"),
    }


def pseudo_variable(name: str, share: float) -> Variable:
    """The yes/no variable of 'some symptom shows this'."""
    return Variable(name, {"yes": share, "no": 1 - share}, "", False, 0.5, frozenset(("no",)))


def class_weights(variable: Variable, classes: Mapping[str, int]) -> tuple[float, ...]:
    """The base rate of each class of a variable's values."""
    result = [0.0] * (max(classes.values()) + 1)
    for value, number in classes.items():
        result[number] += variable.base[value]
    return tuple(result)
