"""Compiled evidence as plain lists for JSON and back, so that a look need not compile what has not changed."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from itertools import product
from typing import Any

from sallow.knowledge.codec import condition_in, condition_out
from sallow.knowledge.conditions import CONTEXT, All, Any_, Condition, Finds, Not, Test
from sallow.knowledge.model import Cause, Knowledge
from sallow.reasoning.compile import Component, Variable, compiler_for, context_values, grows_on, pseudo_variable
from sallow.reasoning.diagram import Diagram

# A cause that reads more combinations of context than this is compiled when it is wanted.
MOST_CONTEXTS = 64
Pseudo = tuple[Variable, Condition]
Stored = tuple[tuple[Component, ...], tuple[Pseudo, ...]]


def stored_lines(knowledge: Knowledge) -> dict[str, str]:
    """For every cause the JSON text of its compiled evidence in every context that it reads."""
    values = context_values(knowledge)
    return {cause.id: _line(cause, knowledge, values) for cause in knowledge.causes.values()}


def _line(cause: Cause, knowledge: Knowledge, values: Mapping[str, tuple[str, ...]]) -> str:
    read = context_read(cause, knowledge)
    hosts = tuple(crop for crop in values["crop"] if grows_on(cause, crop, knowledge))
    known = {**values, "crop": hosts}
    size = 1
    for name in read:
        size *= len(known.get(name, ())) + 1
    if size > MOST_CONTEXTS:
        return json.dumps([read, {}, []], separators=(",", ":"))
    numbers: dict[str, int] = {}
    slices = {}
    for context in _contexts(read, known):
        slices[_key(read, context)] = numbers.setdefault(_compiled(cause, knowledge, context), len(numbers))
    return f"[{json.dumps(read)},{json.dumps(slices)},[{','.join(numbers)}]]"


def _contexts(read: list[str], values: Mapping[str, tuple[str, ...]]) -> Iterator[dict[str, str]]:
    for chosen in product(*((None, *values.get(name, ())) for name in read)):
        yield {name: value for name, value in zip(read, chosen, strict=True) if value is not None}


def _key(read: list[str], context: Mapping[str, str]) -> str:
    return "|".join(context.get(name, "") for name in read)


def _compiled(cause: Cause, knowledge: Knowledge, context: Mapping[str, str]) -> str:
    compiler = compiler_for(knowledge, context)
    components = [_component_out(component) for component in compiler.components(cause)]
    somes = [
        [name, condition_out(inner), compiler.variables[name].base["yes"]] for name, inner in compiler.somes.items()
    ]
    return json.dumps([components, somes], separators=(",", ":"), ensure_ascii=False)


def _component_out(c: Component) -> list[Any]:
    d = c.diagram
    classes = [dict(table) for table in d.classes]
    return [d.variables, classes, d.leaves, d.nodes, d.root, c.of_symptom, c.prior, c.base, c.weights]


def _component_in(raw: list[Any]) -> Component:
    nodes = tuple([(variable, tuple(children)) for variable, children in raw[3]])
    diagram = Diagram(tuple(raw[0]), tuple(raw[1]), tuple(raw[2]), nodes, raw[4])
    return Component(diagram, raw[5], tuple(raw[6]), tuple([tuple(row) for row in raw[7]]), tuple(raw[8]))


def stored_reader(lines: Mapping[str, str]) -> Callable[[str, Mapping[str, str]], Stored | None]:
    """A function from a cause and a context to its compiled evidence, or None where none is stored.

    What was read once is remembered, since most causes read no context at all.
    """
    parsed: dict[str, list[Any]] = {}
    made: dict[tuple[str, int], Stored] = {}

    def read(cause: str, context: Mapping[str, str]) -> Stored | None:
        if cause not in parsed:
            parsed[cause] = json.loads(lines[cause])
        names, slices, compiled = parsed[cause]
        number = slices.get(_key(names, context))
        if number is None:
            return None
        if (cause, number) not in made:
            components, somes = compiled[number]
            pseudo = tuple([(pseudo_variable(name, share), condition_in(inner)) for name, inner, share in somes])
            made[cause, number] = tuple([_component_in(component) for component in components]), pseudo
        return made[cause, number]

    return read


def remembering(knowledge: Knowledge) -> Callable[[str, Mapping[str, str]], Stored]:
    """Compiled evidence made when it is first wanted and remembered by the context words that the cause reads."""
    reads: dict[str, list[str]] = {}
    made: dict[tuple[str, str], Stored] = {}

    def read(cause: str, context: Mapping[str, str]) -> Stored:
        if cause not in reads:
            reads[cause] = context_read(knowledge.causes[cause], knowledge)
        key = (cause, _key(reads[cause], context))
        if key not in made:
            compiler = compiler_for(knowledge, context)
            components = compiler.components(knowledge.causes[cause])
            made[key] = components, tuple((compiler.variables[name], inner) for name, inner in compiler.somes.items())
        return made[key]

    return read


def context_read(cause: Cause, knowledge: Knowledge) -> list[str]:
    """The context words that a cause's evidence reads, directly or through findings, in order."""

    def words(condition: Condition, seen: frozenset[str]) -> set[str]:
        match condition:
            case Test(variable, _):
                return {variable} if variable in CONTEXT else set()
            case Finds(finding):
                if finding in seen:
                    return set()
                rules = knowledge.findings[finding].rules
                return set().union(*(words(rule.when, seen | {finding}) for rule in rules))
            case Not(inner):
                return words(inner, seen)
            case All(parts) | Any_(parts):
                return set().union(*(words(part, seen) for part in parts))
            case _:
                return set()

    return sorted(set().union(*(words(e.when, frozenset()) for e in cause.evidence)))
