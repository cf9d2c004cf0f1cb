"""Compiled evidence as plain lists for JSON and back, so that a look need not compile what has not changed."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import product
from math import prod
from typing import Any

from sallow.knowledge.codec import condition_in, condition_out, evidence_in, evidence_out, flag_in, flag_out
from sallow.knowledge.conditions import CONTEXT, All, Any_, Condition, Finds, Not, Test
from sallow.knowledge.model import Cause, Knowledge
from sallow.reasoning.compile import Brief, Component, brief_of, compiler_for, grows_on
from sallow.reasoning.diagram import Diagram
from sallow.reasoning.variables import Variable, context_values, pseudo_variable, variables_of

# A cause that tells more combinations of context words apart than this is compiled when it is wanted.
MOST_CONTEXTS = 256
Pseudo = tuple[Variable, Condition]
Stored = tuple[tuple[Component, ...], tuple[Pseudo, ...], Brief]
# For each context word that a cause reads, the number of each value's class; values of one class are never told apart.
Classes = Mapping[str, Mapping[str, int]]


# The lines that hold once what many causes share: the tables of classes of a variable's values, then the components.
SHARED = ""


def stored_lines(knowledge: Knowledge) -> dict[str, list[str]]:
    """For every cause, lines of JSON: what is read of the context with a line number for each context, then the
    compiled evidence, each kind once."""
    writer = _Writer(knowledge)
    causes = list(knowledge.causes.values())
    heads = {cause.id: writer.contexts(cause) for cause in causes}
    speakers = Counter(
        text
        for _, kinds in heads.values()
        for text in dict.fromkeys(text for components, _ in kinds for text in components)
    )
    shared = {text: number for number, text in enumerate(text for text, count in speakers.items() if count > 1)}
    lines = {SHARED: [_listed(writer.tables), _listed(shared)]}
    for cause, (head, kinds) in heads.items():
        told = [
            f"[{_listed(str(shared.get(text, text)) for text in components)},{somes}]" for components, somes in kinds
        ]
        lines[cause] = [head, *told]
    return lines


def _listed(texts: Iterable[str]) -> str:
    return f"[{','.join(texts)}]"


Kind = tuple[tuple[str, ...], str]


class _Writer:
    """Writes compiled evidence as JSON, its tables of classes by number."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self.values = context_values(knowledge)
        self.variables = variables_of(knowledge)
        self.tables: dict[str, int] = {}

    def contexts(self, cause: Cause) -> tuple[str, list[Kind]]:
        """What is read of the context with a number for each context, and the kinds of compiled evidence from 1 on."""
        hosts = tuple(crop for crop in self.values["crop"] if grows_on(cause.id, crop, self.knowledge))
        classes = context_classes(cause, self.knowledge, {**self.values, "crop": hosts})
        size = prod(len(set(table.values())) + 1 for table in classes.values())
        numbers: dict[Kind, int] = {}
        slices = {
            _key(classes, context): numbers.setdefault(self.compiled(cause, context), len(numbers) + 1)
            for context in (_contexts(classes) if size <= MOST_CONTEXTS else ())
        }
        brief = _brief_out(brief_of(cause, self.variables))
        return _json([classes, slices, brief]), list(numbers)

    def compiled(self, cause: Cause, context: Mapping[str, str]) -> Kind:
        """The components in one context, and the 'some symptom ...' variables that they read."""
        compiler = compiler_for(self.knowledge, context)
        components = tuple([self.component(component) for component in compiler.components(cause)])
        somes = [
            [name, condition_out(inner), compiler.variables[name].base["yes"]]
            for name, inner in compiler.somes.items()
        ]
        return components, _json(somes)

    def component(self, c: Component) -> str:
        d = c.diagram
        classes = [self.tables.setdefault(_json(dict(table)), len(self.tables)) for table in d.classes]
        return _json([d.variables, classes, d.leaves, d.nodes, d.root, c.of_symptom, c.prior, c.base, c.weights])


def _json(value: Any) -> str:
    return json.dumps(value, separators=(",", ":"), ensure_ascii=False)


def _contexts(classes: Classes) -> Iterator[dict[str, str]]:
    """One context for each combination of classes, among them those in which a word is not known."""
    samples = [{number: value for value, number in table.items()} for table in classes.values()]
    for chosen in product(*((None, *sample.values()) for sample in samples)):
        yield {name: value for name, value in zip(classes, chosen, strict=True) if value is not None}


def _key(classes: Classes, context: Mapping[str, str]) -> str | None:
    """The combination of classes of a context, as text; None when a value is of no class."""
    numbers = [table.get(context[name], -1) if name in context else "" for name, table in classes.items()]
    return None if -1 in numbers else "|".join(map(str, numbers))


def _brief_out(brief: Brief) -> list[Any]:
    rules_out, flags = [evidence_out(e) for e in brief.rules_out], [flag_out(flag) for flag in brief.red_flag]
    return [dict(brief.how_common), dict(brief.part_ratio), rules_out, flags]


def _brief_in(raw: list[Any]) -> Brief:
    rules_out, flags = tuple([evidence_in(e) for e in raw[2]]), tuple([flag_in(flag) for flag in raw[3]])
    return Brief(raw[0], raw[1], rules_out, flags)


def _component_in(raw: list[Any], tables: Sequence[dict[str, int]]) -> Component:
    nodes = tuple([(variable, tuple(children)) for variable, children in raw[3]])
    diagram = Diagram(tuple(raw[0]), tuple([tables[number] for number in raw[1]]), tuple(raw[2]), nodes, raw[4])
    return Component(diagram, raw[5], tuple(raw[6]), tuple([tuple(row) for row in raw[7]]), tuple(raw[8]))


def stored_reader(lines: Mapping[str, Sequence[bytes]]) -> Callable[[str, Mapping[str, str]], Stored | None]:
    """A function from a cause and a context to its compiled evidence, or None where none is stored.

    What was read once is remembered, since most causes read no context at all.
    """
    tables, shared = (json.loads(line) for line in lines[SHARED])
    heads: dict[str, tuple[Classes, Mapping[str | None, int], list[Any]]] = {}
    made: dict[tuple[str, int], Stored] = {}

    def component(raw: Any) -> Component:
        if not isinstance(raw, int):
            return _component_in(raw, tables)
        if not isinstance(shared[raw], Component):
            shared[raw] = _component_in(shared[raw], tables)
        found: Component = shared[raw]
        return found

    def read(cause: str, context: Mapping[str, str]) -> Stored | None:
        if cause not in heads:
            heads[cause] = json.loads(lines[cause][0])
        classes, slices, brief = heads[cause]
        number = slices.get(_key(classes, context))
        if number is None:
            return None
        if (cause, number) not in made:
            components, somes = json.loads(lines[cause][number])
            pseudo = tuple([(pseudo_variable(name, share), condition_in(inner)) for name, inner, share in somes])
            made[cause, number] = tuple(map(component, components)), pseudo, _brief_in(brief)
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
            somes = tuple((compiler.variables[name], inner) for name, inner in compiler.somes.items())
            made[key] = components, somes, brief_of(knowledge.causes[cause], compiler.variables)
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
