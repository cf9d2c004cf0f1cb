"""From a knowledge base and the context of a look to the candidate causes and their likelihood diagrams."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache

from sallow.knowledge.conditions import CONTEXT, All, Any_, Condition, Finds, Not, Some, Test, variables_in
from sallow.knowledge.model import FREQUENCIES, PARTS, Cause, Evidence, Knowledge, RedFlag
from sallow.reasoning.chain import Program, compile_program
from sallow.reasoning.diagram import (
    Diagram,
    Masses,
    Piece,
    Residual,
    compile_diagram,
    conjoin,
    disjoin,
    leaf_weights,
    literals,
    sweep,
)
from sallow.reasoning.variables import (
    PART_BASE,
    Variable,
    class_weights,
    context_values,
    pseudo_variable,
    shown_by,
    variables_of,
)
from sallow.values import dataclass, field

SOMETHING_ELSE = "something_else"
SHARE_OF_SOMETHING_ELSE = 0.08
LISTED_PART_SHARE = 0.97
# A listed part whose own look the cause does not describe counts this much of a described one.
UNDESCRIBED_PART = 0.3
# Decibans against a cause that is silent on a defining sign when that sign shows something odd.
SILENCE = -3.0
# What is ruled out gets next to no probability, so that the other answers share it; setting aside itself is exact.
RULED_OUT = -200.0


@dataclass(frozen=True, slots=True)
class Component:
    """Evidence of one cause on connected variables. ``prior`` holds the leaf masses with nothing known, ``weights``
    the decibans of each leaf before the discount, such that the table sums to 1."""

    diagram: Diagram
    of_symptom: bool
    prior: Masses
    base: tuple[tuple[float, ...], ...]
    weights: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Brief:
    """What weighing reads of a cause besides its compiled evidence. ``part_ratio``: P(part | cause) / P0(part)."""

    how_common: Mapping[str, str]
    part_ratio: Mapping[str, float]
    rules_out: tuple[Evidence, ...]
    red_flag: tuple[RedFlag, ...]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A cause that can occur in this context, with its prior share and its evidence compiled."""

    id: str
    prior: float
    components: tuple[Component, ...]
    brief: Brief
    knowledge: Knowledge = field(compare=False, repr=False)

    @property
    def cause(self) -> Cause:
        """The whole cause, which most looks need of few candidates only."""
        return self.knowledge.causes[self.id]


@dataclass(frozen=True, slots=True)
class Base:
    """Everything compiled for one context: candidates in order of id, variables, and the finding program.

    ``shown_by``: for an entry of a list the sign that shows it in detail. The two are one variable to the reasoning:
    an entry that is not ticked means that its sign shows nothing odd, one that is ticked that it shows something.
    """

    knowledge: Knowledge
    context: Mapping[str, str]
    variables: Mapping[str, Variable]
    candidates: tuple[Candidate, ...]
    program: Program
    somes: Mapping[str, Condition]
    shown_by: Mapping[str, str]


def compile_base(knowledge: Knowledge, context: Mapping[str, str]) -> Base:
    """The compiled base for one context (crop, climate, season, grown_in ...; any of them may be missing)."""
    return _compile_base(_Held(knowledge), tuple(sorted(context.items())))


class _Held:
    """Lets a knowledge base be a cache key by identity."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge

    def __hash__(self) -> int:
        return id(self.knowledge)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and other.knowledge is self.knowledge


@lru_cache(maxsize=64)
def _compile_base(held: _Held, items: tuple[tuple[str, str], ...]) -> Base:
    knowledge, context = held.knowledge, dict(items)
    variables = _variables(held)
    possible = [name for name in knowledge.causes if grows_on(name, context.get("crop"), knowledge)]
    compiler = _Compiler(knowledge, variables, context)
    read = {name: compiler.stored_or_compiled(name) for name in possible}
    weights = {name: frequency(brief.how_common, context, knowledge) for name, (_, brief) in read.items()}
    total = sum(weights.values()) or 1.0
    candidates = tuple(
        Candidate(name, (1 - SHARE_OF_SOMETHING_ELSE) * weights[name] / total, components, brief, knowledge)
        for name, (components, brief) in read.items()
    )
    return Base(knowledge, context, compiler.variables, candidates, _program(held), compiler.somes, compiler.shown_by)


def compiler_for(knowledge: Knowledge, context: Mapping[str, str]) -> _Compiler:
    """A compiler of evidence for one context."""
    return _Compiler(knowledge, _variables(_Held(knowledge)), context)


@lru_cache(maxsize=8)
def _variables(held: _Held) -> dict[str, Variable]:
    return variables_of(held.knowledge)


@lru_cache(maxsize=8)
def _shown_by(held: _Held) -> dict[str, str]:
    return shown_by(held.knowledge)


@lru_cache(maxsize=8)
def _program(held: _Held) -> Program:
    values = {name: tuple(variable.base) for name, variable in _variables(held).items()}
    values |= context_values(held.knowledge) | {"part_is": PARTS}
    return compile_program(held.knowledge, values)


def grows_on(cause: str, crop: str | None, knowledge: Knowledge) -> bool:
    """Whether a cause can occur on a crop (an unknown crop, or 'other', can have whatever is not a specialist)."""
    crops = knowledge.crops_of(cause)
    return "any" in crops or crop is None or crop in crops or knowledge.crops[crop].group in crops


def frequency(how_common: Mapping[str, str], context: Mapping[str, str], knowledge: Knowledge) -> float:
    """How common a cause is here: the default word, times the ratio of each word that fits the context to it."""
    default = FREQUENCIES[how_common["default"]]
    crop = context.get("crop")
    group = knowledge.crops[crop].group if crop is not None and crop in knowledge.crops else None
    crop_key = crop if crop in how_common else group
    keys = [crop_key, context.get("climate"), context.get("season"), context.get("grown_in")]
    weight = default
    for key in keys:
        if key and key in how_common:
            weight *= FREQUENCIES[how_common[key]] / default
    return min(max(weight, 0.02), 16.0)


def brief_of(cause: Cause, variables: Mapping[str, Variable]) -> Brief:
    """The brief of a cause."""
    rules_out = tuple([evidence for evidence in cause.evidence if evidence.rules_out])
    return Brief(cause.how_common, part_ratios(cause, variables), rules_out, cause.red_flag)


def part_ratios(cause: Cause, variables: Mapping[str, Variable]) -> dict[str, float]:
    """P(part | cause) / P0(part) for each part of the plant; parts whose look the cause describes weigh most."""
    spoken = {name for evidence in cause.evidence if evidence.decibans > 0 for name in variables_in(evidence.when)}
    described = {variables[name].part for name in spoken if name in variables and variables[name].defines}
    weight = {part: PART_BASE[part] * (1.0 if part in described else UNDESCRIBED_PART) for part in cause.parts}
    listed = sum(weight.values())
    rest = sum(base for part, base in PART_BASE.items() if part not in weight)
    share = LISTED_PART_SHARE if rest else 1.0
    return {
        part: share * weight[part] / listed / base if part in weight else (1 - share) / rest
        for part, base in PART_BASE.items()
    }


class _Compiler:
    def __init__(self, knowledge: Knowledge, variables: Mapping[str, Variable], context: Mapping[str, str]) -> None:
        self.knowledge = knowledge
        self.variables = dict(variables)
        self.context = context
        self.shown_by = _shown_by(_Held(knowledge))
        self.expanded: dict[tuple[str, bool], Residual] = {}
        self.busy: set[tuple[str, bool]] = set()
        self.somes: dict[str, Condition] = {}

    def stored_or_compiled(self, name: str) -> tuple[tuple[Component, ...], Brief]:
        """The evidence of a cause from the knowledge's compiled form where that holds it, else compiled now."""
        stored = self.knowledge.stored(name, self.context) if self.knowledge.stored else None
        if stored is None:
            cause = self.knowledge.causes[name]
            return self.components(cause), brief_of(cause, self.variables)
        for variable, inner in stored[1]:
            self.variables.setdefault(variable.id, variable)
            self.somes.setdefault(variable.id, inner)
        return stored[0], stored[2]

    def components(self, cause: Cause) -> tuple[Component, ...]:
        residuals = [(e, self.residual(e.when, True)) for e in cause.evidence]
        pieces = [
            Piece(r, RULED_OUT if e.rules_out else e.decibans, e.about) for e, r in residuals if not isinstance(r, bool)
        ]
        pieces += self.refutations(cause)
        pieces += self.silences(cause, pieces)
        # A fixed order, so that the same rules in another order give the same numbers to the last bit.
        pieces.sort(key=lambda piece: (piece.about, piece.decibans, repr(piece.condition)))
        return tuple(self.component(group) for group in connected(pieces, self.of_symptom))

    def of_symptom(self, piece: Piece) -> bool:
        """Whether a piece speaks of a symptom rather than of the tree."""
        return any(self.variables[name].of_symptom for name, _ in literals(piece.condition))

    def refutations(self, cause: Cause) -> list[Piece]:
        """The results of checks that refute a cause."""
        return [
            Piece(("v", check.gives, (result.answer,), True), RULED_OUT, f"refuted:{check.gives}")
            for check in self.knowledge.checks.values()
            for result in check.results
            if cause.id in result.refutes and self.refutable(check.gives, result.answer)
        ]

    def refutable(self, sign: str, answer: str) -> bool:
        variable = self.variables.get(sign)
        return variable is not None and not variable.of_symptom and answer in variable.base

    def silences(self, cause: Cause, pieces: list[Piece]) -> list[Piece]:
        """A cause that says nothing of a defining sign of its parts is not expected to show anything odd there."""
        spoken = {name for piece in pieces for name, _ in literals(piece.condition)}
        silent = [
            variable
            for variable in self.variables.values()
            if variable.defines and variable.none_values and variable.part in cause.parts and variable.id not in spoken
        ]
        return [
            Piece(("v", v.id, tuple(sorted(set(v.base) - v.none_values)), True), SILENCE, f"silent:{v.id}")
            for v in silent
        ]

    def component(self, pieces: list[Piece]) -> Component:
        tests = [test for piece in pieces for test in literals(piece.condition)]
        domains = {name: tuple(self.variables[name].base) for name, _ in tests}
        diagram = compile_diagram(pieces, domains)
        base = tuple(
            class_weights(self.variables[name], table)
            for name, table in zip(diagram.variables, diagram.classes, strict=True)
        )
        of_symptom = any(self.variables[name].of_symptom for name in diagram.variables)
        prior = sweep(diagram, base).total
        hallmarks = [name for piece in pieces if piece.decibans > 0 for name, _ in literals(piece.condition)]
        defining = any(self.variables[name].defines for name in hallmarks)
        return Component(diagram, of_symptom, prior, base, leaf_weights(diagram.leaves, prior, defining))

    def residual(self, condition: Condition, positive: bool) -> Residual:
        """Negation normal form with the context decided and findings unfolded; an unknown context decides against."""
        match condition:
            case Test(variable, values) if variable in CONTEXT:
                value = self.context.get(variable)
                return value is not None and (value in values) == positive
            case Test(variable, values) if variable in self.shown_by:
                sign = self.variables[self.shown_by[variable]]
                odd = tuple(sorted(set(sign.base) - sign.none_values))
                return ("v", sign.id, odd, ("yes" in values) == positive)
            case Test(variable, values):
                return ("v", variable, tuple(sorted(values)), positive)
            case Finds(finding):
                return self.unfold(finding, positive)
            case Some(inner):
                return ("v", self.pseudo(inner), ("yes",), positive)
            case Not(inner):
                return self.residual(inner, not positive)
            case All(parts) | Any_(parts):
                residuals = ordered(self.residual(part, positive) for part in parts)
                return conjoin(residuals) if isinstance(condition, All) == positive else disjoin(residuals)

    def unfold(self, finding: str, positive: bool) -> Residual:
        key = (finding, positive)
        if key in self.busy:
            return False
        if key not in self.expanded:
            self.busy.add(key)
            rules = self.knowledge.findings[finding].rules
            told = ordered(self.residual(rule.when, True) for rule in rules if rule.concludes == positive)
            self.expanded[key] = disjoin(told)
            self.busy.discard(key)
        return self.expanded[key]

    def pseudo(self, inner: Condition) -> str:
        """A yes/no variable for 'some symptom shows this', with the base rate of one symptom."""
        name = f"some.{spelled(inner)}"
        if name not in self.variables:
            share = min(max(self.chance(inner), 0.002), 0.9)
            self.variables[name] = pseudo_variable(name, share)
            self.somes[name] = inner
        return name

    def chance(self, condition: Condition) -> float:
        match condition:
            case Test("part_is", values):
                return sum(PART_BASE.get(value, 0.0) for value in values)
            case Test(variable, values):
                known = self.variables.get(variable)
                return sum(known.base.get(value, 0.0) for value in values) if known else 0.5
            case Not(inner):
                return 1 - self.chance(inner)
            case All(parts):
                result = 1.0
                for part in parts:
                    result *= self.chance(part)
                return result
            case Any_(parts):
                result = 1.0
                for part in parts:
                    result *= 1 - self.chance(part)
                return 1 - result
            case _:
                return 0.5


def ordered(residuals: Iterable[Residual]) -> list[Residual]:
    """Parts in a fixed order, so that the same rules in another order give the same numbers to the last bit."""
    return sorted(residuals, key=repr)


def spelled(condition: Condition) -> str:
    """A condition as a short text that does not depend on the order in which sets are walked."""
    match condition:
        case Test(variable, values):
            return f"{variable}={'/'.join(sorted(values))}"
        case Finds(finding):
            return finding
        case Not(inner):
            return f"not({spelled(inner)})"
        case Some(inner):
            return f"some({spelled(inner)})"
        case All(parts):
            return f"all({','.join(sorted(spelled(part) for part in parts))})"
        case Any_(parts):
            return f"any({','.join(sorted(spelled(part) for part in parts))})"


def connected(pieces: Iterable[Piece], of_symptom: Callable[[Piece], bool]) -> list[list[Piece]]:
    """Pieces that share a variable or a clue, grouped; the order of pieces is kept. A clue of the tree is one, however
    many symptoms there are, so it is kept apart from a clue of the same name in a symptom."""
    groups: list[tuple[set[str], list[Piece]]] = []
    for piece in pieces:
        marks = {name for name, _ in literals(piece.condition)} | {f"about:{piece.about}:{of_symptom(piece)}"}
        joined = [group for group in groups if group[0] & marks]
        merged = (
            marks.union(*(group[0] for group in joined)),
            [item for group in joined for item in group[1]] + [piece],
        )
        groups = [group for group in groups if group not in joined] + [merged]
    return [items for _, items in groups]
