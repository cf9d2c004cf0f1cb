"""What is known of one look, per symptom and for the tree, and how a condition reads it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from sallow.knowledge.conditions import All, Any_, Condition, Finds, Not, Some, Test
from sallow.values import dataclass, field, replace

# The person noticed nothing of the kind, without having looked closely: weaker than 'looked, none'.
OVERLOOKED = "~overlooked"
# Something odd of the kind was told, not yet what: for the reasoning only, never a fact.
SHOWN = "~shown"
Values = Mapping[str, str]
_EMPTY: Values = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Facts:
    """Variable -> value, for the context, the tree, and each symptom.

    A missing variable is unknown ('not sure' and 'not asked' are the same). ``closed`` is true once the person
    has said that there are no more symptoms.
    """

    context: Values = field(default_factory=lambda: _EMPTY)
    tree: Values = field(default_factory=lambda: _EMPTY)
    symptoms: tuple[Values, ...] = ()
    closed: bool = False

    def known(self, symptom: int | None, variable: str) -> str | None:
        """The value of a variable as seen from one symptom (or from the tree when ``symptom`` is None)."""
        if symptom is not None:
            value = self.symptoms[symptom].get(variable)
            if value is not None:
                return value
        value = self.tree.get(variable)
        return self.context.get(variable) if value is None else value

    def with_tree(self, variable: str, value: str | None) -> Facts:
        """These facts with one tree variable set, or forgotten when ``value`` is None."""
        return replace(self, tree=_with(self.tree, variable, value))

    def with_symptom(self, symptom: int, variable: str, value: str | None) -> Facts:
        """These facts with one variable of a symptom set, or forgotten when ``value`` is None."""
        changed = _with(self.symptoms[symptom], variable, value)
        return replace(self, symptoms=(*self.symptoms[:symptom], changed, *self.symptoms[symptom + 1 :]))


def _with(values: Values, variable: str, value: str | None) -> Values:
    changed = dict(values)
    if value is None:
        changed.pop(variable, None)
    else:
        changed[variable] = value
    return MappingProxyType(changed)


Lookup = Callable[[str], str | None]
Told = Callable[[str], tuple[bool, bool]]


def truth(condition: Condition, lookup: Lookup, told: Told, some: Callable[[Condition], bool | None]) -> bool | None:
    """Three-valued truth of a condition: True, False or None for unknown.

    ``told(finding)`` gives (told true, told false). A finding told both ways reads as true where it is asked for
    and as false under ``not``: each condition reads its own side (Belnap 1977).
    """
    match condition:
        case Test(variable, values):
            value = lookup(variable)
            if value is None or value == OVERLOOKED:
                return None
            return value in values
        case Finds(finding):
            told_true, told_false = told(finding)
            return True if told_true else (False if told_false else None)
        case Not(Finds(finding)):
            told_true, told_false = told(finding)
            return True if told_false else (False if told_true else None)
        case Not(inner):
            return _negated(inner, lookup, told, some)
        case All(parts):
            return _every([truth(part, lookup, told, some) for part in parts])
        case Any_(parts):
            return _either([truth(part, lookup, told, some) for part in parts])
        case Some(inner):
            return some(inner)


def _negated(condition: Condition, lookup: Lookup, told: Told, some: Callable[[Condition], bool | None]) -> bool | None:
    match condition:
        case All(parts):
            return _either([truth(Not(part), lookup, told, some) for part in parts])
        case Any_(parts):
            return _every([truth(Not(part), lookup, told, some) for part in parts])
        case Not(inner):
            return truth(inner, lookup, told, some)
        case _:
            value = truth(condition, lookup, told, some)
            return None if value is None else not value


def _every(values: list[bool | None]) -> bool | None:
    if any(value is False for value in values):
        return False
    return None if any(value is None for value in values) else True


def _either(values: list[bool | None]) -> bool | None:
    if any(value is True for value in values):
        return True
    return None if any(value is None for value in values) else False


def not_concluded(_: str) -> tuple[bool, bool]:
    """For conditions that are read from answers alone: no finding has been concluded, either way."""
    return False, False


def not_seen(_: Condition) -> None:
    """For conditions that are read from one place alone: what some symptom shows is not known."""
    return
