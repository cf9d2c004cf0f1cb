"""Conditions in a form that can be compared: a list of ways to be true, each a map from variable to allowed values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import product

from sallow.knowledge.conditions import All, Any_, Condition, Finds, Not, Some, Test
from sallow.reasoning.compile import spelled

Domain = Mapping[str, Sequence[str]]
Form = Mapping[str, frozenset[str]]
MOST_FORMS = 400
_TRUTH = ("true", "false")


def domain_of(variable: str, domains: Domain) -> frozenset[str]:
    """All values of a variable; findings and 'some symptom' are true or false."""
    return frozenset(domains.get(variable, _TRUTH))


def forms(condition: Condition, domains: Domain, positive: bool = True) -> list[Form]:
    """The ways in which a condition can be true (or false): none means never. Ways that contradict themselves are left
    out; beyond 400 ways the rest is left out too, so what is built on this may miss a fault but never invents one."""
    match condition:
        case Test(variable, values):
            known = domain_of(variable, domains)
            allowed = values & known if positive else known - values
            return [{variable: allowed}] if allowed else []
        case Finds(finding):
            return [{f"finding {finding}": frozenset(("true" if positive else "false",))}]
        case Some(inner):
            return [{f"some {spelled(inner)}": frozenset(("true" if positive else "false",))}]
        case Not(inner):
            return forms(inner, domains, not positive)
        case All(parts) | Any_(parts):
            branches = [forms(part, domains, positive) for part in parts]
            if isinstance(condition, All) == positive:
                return _joined(branches)
            return _unique([form for branch in branches for form in branch])[:MOST_FORMS]


def _joined(branches: Sequence[list[Form]]) -> list[Form]:
    found: list[Form] = []
    for number, combination in enumerate(product(*branches)):
        if number >= MOST_FORMS:
            break
        together: dict[str, frozenset[str]] = {}
        for form in combination:
            for variable, allowed in form.items():
                together[variable] = together.get(variable, allowed) & allowed
        if all(together.values()):
            found.append(together)
    return _unique(found)


def _unique(found: list[Form]) -> list[Form]:
    seen = {tuple(sorted((name, tuple(sorted(values))) for name, values in form.items())): form for form in found}
    return list(seen.values())


def implies(narrow: Sequence[Form], wide: Sequence[Form]) -> bool:
    """Whether every way of the narrow condition is also a way of the wide one."""
    return bool(narrow) and all(any(_within(form, other) for other in wide) for form in narrow)


def _within(narrow: Form, wide: Form) -> bool:
    return all(variable in narrow and narrow[variable] <= allowed for variable, allowed in wide.items())


def same(first: Sequence[Form], second: Sequence[Form]) -> bool:
    """Whether two conditions are true in the same ways."""
    return implies(first, second) and implies(second, first)


def merged_variable(first: Sequence[Form], second: Sequence[Form], domains: Domain) -> str:
    """The variable that two conditions together leave open: they differ in it alone and cover all its values."""
    if len(first) != 1 or len(second) != 1 or set(first[0]) != set(second[0]):
        return ""
    differing = [name for name in first[0] if first[0][name] != second[0][name]]
    if len(differing) != 1 or len(first[0]) < 2:
        return ""
    name = differing[0]
    return name if first[0][name] | second[0][name] == domain_of(name, domains) else ""
