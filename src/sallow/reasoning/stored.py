"""Compiled evidence as plain lists for JSON and back, so that a look need not compile what has not changed."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import product
from typing import Any

from sallow.knowledge.codec import condition_in, condition_out
from sallow.knowledge.conditions import CONTEXT, All, Any_, Condition, Finds, Not, Test
from sallow.knowledge.model import Cause, Knowledge
from sallow.reasoning.compile import Component, compiler_for, grows_on
from sallow.reasoning.diagram import Diagram
from sallow.reasoning.variables import Variable, context_values, pseudo_variable

# A cause that tells more combinations of context words apart than this is compiled when it is wanted.
MOST_CONTEXTS = 256
Pseudo = tuple[Variable, Condition]
Stored = tuple[tuple[Component, ...], tuple[Pseudo, ...]]
# For each context word that a cause reads, the number of each value's class; values of one class are never told apart.
Classes = Mapping[str, Mapping[str, int]]


# The line that holds every table of classes of a variable's values once; the evidence of most causes shares them.
SHARED = ""
Tables = list[dict[str, int]]


def stored_lines(knowledge: Knowledge) -> dict[str, list[str]]:
    """For every cause, lines of JSON: what is read of the context with a line number for each context, then the
    compiled evidence, each kind once."""
    values = context_values(knowledge)
    shared: dict[str, int] = {}
    lines = {cause.id: _lines(cause, knowledge, values, shared) for cause in knowledge.causes.values()}
    return {SHARED: [f"[{','.join(shared)}]"], **lines}


def _lines(
    cause: Cause, knowledge: Knowledge, values: Mapping[str, tuple[str, ...]], shared: dict[str, int]
) -> list[str]:
    hosts = tuple(crop for crop in values["crop"] if grows_on(cause.id, crop, knowledge))
    classes = context_classes(cause, knowledge, {**values, "crop": hosts})
    size = 1
    for table in classes.values():
        size *= len(set(table.values())) + 1
    if size > MOST_CONTEXTS:
        return [json.dumps([classes, {}], separators=(",", ":"))]
    numbers: dict[str, int] = {}
    slices = {}
    for context in _contexts(classes):
        compiled = _compiled(cause, knowledge, context, shared)
        slices[_key(classes, context)] = numbers.setdefault(compiled, len(numbers) + 1)
    return [json.dumps([classes, slices], separators=(",", ":")), *numbers]


def _contexts(classes: Classes) -> Iterator[dict[str, str]]:
    """One context for each combination of classes, among them those in which a word is not known."""
    samples = [{number: value for value, number in table.items()} for table in classes.values()]
    for chosen in product(*((None, *sample.values()) for sample in samples)):
        yield {name: value for name, value in zip(classes, chosen, strict=True) if value is not None}


def _key(classes: Classes, context: Mapping[str, str]) -> str | None:
    """The combination of classes of a context, as text; None when a value is of no class."""
    numbers = [table.get(context[name], -1) if name in context else "" for name, table in classes.items()]
    return None if -1 in numbers else "|".join(map(str, numbers))


def _compiled(cause: Cause, knowledge: Knowledge, context: Mapping[str, str], shared: dict[str, int]) -> str:
    compiler = compiler_for(knowledge, context)
    components = [_component_out(component, shared) for component in compiler.components(cause)]
    somes = [
        [name, condition_out(inner), compiler.variables[name].base["yes"]] for name, inner in compiler.somes.items()
    ]
    return json.dumps([components, somes], separators=(",", ":"), ensure_ascii=False)


def _component_out(c: Component, shared: dict[str, int]) -> list[Any]:
    d = c.diagram
    tables = [json.dumps(dict(table), separators=(",", ":"), ensure_ascii=False) for table in d.classes]
    classes = [shared.setdefault(table, len(shared)) for table in tables]
    return [d.variables, classes, d.leaves, d.nodes, d.root, c.of_symptom, c.prior, c.base, c.weights]


def _component_in(raw: list[Any], tables: Tables) -> Component:
    nodes = tuple([(variable, tuple(children)) for variable, children in raw[3]])
    diagram = Diagram(tuple(raw[0]), tuple([tables[number] for number in raw[1]]), tuple(raw[2]), nodes, raw[4])
    return Component(diagram, raw[5], tuple(raw[6]), tuple([tuple(row) for row in raw[7]]), tuple(raw[8]))


def stored_reader(lines: Mapping[str, Sequence[bytes]]) -> Callable[[str, Mapping[str, str]], Stored | None]:
    """A function from a cause and a context to its compiled evidence, or None where none is stored.

    What was read once is remembered, since most causes read no context at all.
    """
    tables: Tables = json.loads(lines[SHARED][0])
    heads: dict[str, tuple[Classes, Mapping[str | None, int]]] = {}
    made: dict[tuple[str, int], Stored] = {}

    def read(cause: str, context: Mapping[str, str]) -> Stored | None:
        if cause not in heads:
            heads[cause] = json.loads(lines[cause][0])
        classes, slices = heads[cause]
        number = slices.get(_key(classes, context))
        if number is None:
            return None
        if (cause, number) not in made:
            components, somes = json.loads(lines[cause][number])
            pseudo = tuple([(pseudo_variable(name, share), condition_in(inner)) for name, inner, share in somes])
            made[cause, number] = tuple([_component_in(component, tables) for component in components]), pseudo
        return made[cause, number]

    return read


def remembering(knowledge: Knowledge) -> Callable[[str, Mapping[str, str]], Stored]:
    """Compiled evidence made when it is first wanted and remembered by the context words that the cause reads."""
    reads: dict[str, list[str]] = {}
    made: dict[tuple[str, tuple[str, ...]], Stored] = {}

    def read(cause: str, context: Mapping[str, str]) -> Stored:
        if cause not in reads:
            reads[cause] = sorted(context_read(knowledge.causes[cause], knowledge))
        key = (cause, tuple(context.get(name, "") for name in reads[cause]))
        if key not in made:
            compiler = compiler_for(knowledge, context)
            components = compiler.components(knowledge.causes[cause])
            made[key] = components, tuple((compiler.variables[name], inner) for name, inner in compiler.somes.items())
        return made[key]

    return read


def context_classes(cause: Cause, knowledge: Knowledge, values: Mapping[str, tuple[str, ...]]) -> Classes:
    """The values of every context word that a cause's evidence reads, each with the number of its class."""
    classes: dict[str, dict[str, int]] = {}
    for name, wanted in sorted(context_read(cause, knowledge).items()):
        numbers: dict[tuple[bool, ...], int] = {}
        tests = sorted(wanted, key=sorted)
        classes[name] = {
            value: numbers.setdefault(tuple(value in test for test in tests), len(numbers))
            for value in values.get(name, ())
        }
    return classes


def context_read(cause: Cause, knowledge: Knowledge) -> dict[str, set[frozenset[str]]]:
    """The context words that a cause's evidence reads, directly or through findings, each with the sets of values
    that it is tested for."""
    found: dict[str, set[frozenset[str]]] = {}
    followed: set[str] = set()

    def gather(condition: Condition) -> None:
        match condition:
            case Test(variable, values) if variable in CONTEXT:
                found.setdefault(variable, set()).add(values)
            case Finds(finding) if finding not in followed:
                followed.add(finding)
                for rule in knowledge.findings[finding].rules:
                    gather(rule.when)
            case Not(inner):
                gather(inner)
            case All(parts) | Any_(parts):
                for part in parts:
                    gather(part)

    for evidence in cause.evidence:
        gather(evidence.when)
    return found
