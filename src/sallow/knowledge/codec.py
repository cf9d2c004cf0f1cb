"""Knowledge as plain lists for JSON and back: what the compiled form holds, entry by entry."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import Any, TypeVar

from sallow.knowledge import model as m
from sallow.knowledge.conditions import All, Any_, Condition, Finds, Not, Some, Test
from sallow.knowledge.tables import Row, Table

_Value = TypeVar("_Value")
Plain = list[Any]


# -- conditions ------------------------------------------------------------------------------------------------


def condition_out(condition: Condition | None) -> Plain | None:
    """A condition as nested lists that start with a number for its kind."""
    match condition:
        case None:
            return None
        case Test(variable, values):
            return [0, variable, sorted(values)]
        case Finds(finding):
            return [1, finding]
        case Not(inner):
            return [2, condition_out(inner)]
        case All(parts):
            return [3, [condition_out(part) for part in parts]]
        case Any_(parts):
            return [4, [condition_out(part) for part in parts]]
        case Some(inner):
            return [5, condition_out(inner)]


def condition_in(raw: Any) -> Any:
    """A condition from its lists (None stays None)."""
    if raw is None:
        return None
    kind = raw[0]
    if kind == 0:
        return Test(raw[1], frozenset(raw[2]))
    if kind == 3:
        return All(tuple([condition_in(part) for part in raw[1]]))
    if kind == 4:
        return Any_(tuple([condition_in(part) for part in raw[1]]))
    if kind == 1:
        return Finds(raw[1])
    return Not(condition_in(raw[1])) if kind == 2 else Some(condition_in(raw[1]))


# -- entries ---------------------------------------------------------------------------------------------------


def sign_out(s: m.Sign) -> Plain:
    """A sign as a list in the order of its fields."""
    answers = [[a.id, a.say, a.base, a.means, a.none, a.below, list(a.only_on)] for a in s.answers.values()]
    implied = [[condition_out(i.when), i.answer] for i in s.implied]
    return [
        s.id, s.part, s.kind, s.ask, answers, s.effort, s.how_to_tell, s.core, s.opening, s.miss, s.defines,
        s.unticked, s.unit, s.least, s.most, condition_out(s.ask_when), implied, s.result_of,
        condition_out(s.core_when), condition_out(s.not_if),
    ]  # fmt: skip


def sign_in(raw: Plain) -> m.Sign:
    """A sign from its list."""
    answers = MappingProxyType({a[0]: _answer_in(a) for a in raw[4]})
    implied = tuple([m.Implied(condition_in(when), answer) for when, answer in raw[16]])
    fields = (*raw[:4], answers, *raw[5:15], condition_in(raw[15]), implied, raw[17], condition_in(raw[18]),
              condition_in(raw[19]))  # fmt: skip
    return m.Sign(*fields)


def _answer_in(a: Plain) -> m.Answer:
    return m.Answer(a[0], a[1], a[2], a[3], a[4], a[5], tuple(a[6]))


def event_out(e: m.EventKind) -> Plain:
    """An event kind as a list."""
    implied = [[condition_out(i.when), i.answer] for i in e.implied]
    return [e.id, e.ask, list(e.windows), list(e.labels), list(e.base), implied, condition_out(e.not_if)]


def event_in(raw: Plain) -> m.EventKind:
    """An event kind from its list."""
    implied = tuple([m.Implied(condition_in(when), answer) for when, answer in raw[5]])
    return m.EventKind(raw[0], raw[1], tuple(raw[2]), tuple(raw[3]), tuple(raw[4]), implied, condition_in(raw[6]))


def finding_out(f: m.Finding) -> Plain:
    """A finding with its rules as a list."""
    rules = [[condition_out(r.when), r.concludes, r.because, list(r.source), r.mark] for r in f.rules]
    return [f.id, f.name, f.says, f.says_not, rules]


def finding_in(raw: Plain) -> m.Finding:
    """A finding from its list."""
    rules = tuple([m.FindingRule(condition_in(r[0]), r[1], r[2], tuple(r[3]), r[4]) for r in raw[4]])
    return m.Finding(raw[0], raw[1], raw[2], raw[3], rules)


def check_out(c: m.Check) -> Plain:
    """A check as a list."""
    results = [[r.answer, r.means, list(r.settles), list(r.refutes)] for r in c.results]
    return [
        c.id, c.name, list(c.how), c.need, c.cost, c.effort, c.days, c.gives, results, c.misleads,
        list(c.caution), list(c.source),
    ]  # fmt: skip


def check_in(raw: Plain) -> m.Check:
    """A check from its list."""
    results = tuple([m.Result(r[0], r[1], tuple(r[2]), tuple(r[3])) for r in raw[8]])
    fields = (raw[0], raw[1], tuple(raw[2]), *raw[3:8], results, raw[9], tuple(raw[10]), tuple(raw[11]))
    return m.Check(*fields)


def evidence_out(e: m.Evidence) -> Plain:
    """A piece of evidence as a list."""
    return [condition_out(e.when), e.decibans, e.about, e.because, list(e.source), e.mark, e.rules_out, e.word]


def evidence_in(e: Plain) -> m.Evidence:
    """A piece of evidence from its list."""
    return m.Evidence(condition_in(e[0]), e[1], e[2], e[3], tuple(e[4]), e[5], e[6], e[7])


def flag_out(f: m.RedFlag) -> Plain:
    """A red flag as a list."""
    return [condition_out(f.when), f.tier, f.say]


def flag_in(f: Plain) -> m.RedFlag:
    """A red flag from its list."""
    return m.RedFlag(condition_in(f[0]), f[1], f[2])


def step_in(s: Plain) -> m.Step:
    """A step from its list."""
    return m.Step(s[0], s[1], s[2], condition_in(s[3]), tuple(s[4]), tuple(s[5]), s[6], s[7])


def cause_out(c: m.Cause, with_looks: bool) -> Plain:
    """A cause as a list; its typical look and near miss only where they are wanted."""
    evidence = [evidence_out(piece) for piece in c.evidence]
    steps = [
        [s.when, s.do, s.amount, condition_out(s.not_if), list(s.caution), list(s.source), s.plan, s.while_unsure]
        for s in c.steps
    ]
    flags = [flag_out(flag) for flag in c.red_flag]
    looks = [_thawed(c.typical), _thawed(c.near_miss)] if with_looks else [{}, {}]
    return [
        c.id, c.name, c.kind, c.summary, list(c.crops), list(c.parts), dict(c.how_common), evidence, list(c.checks),
        steps, [[a.cause, a.tell_apart] for a in c.look_alikes], list(c.sources), list(c.also_called),
        list(c.brought_on_by), list(c.goes_with), c.regulated, flags, c.recovery_days, *looks, c.note,
    ]  # fmt: skip


def cause_in(raw: Plain) -> m.Cause:
    """A cause from its list."""
    evidence = tuple([evidence_in(piece) for piece in raw[7]])
    steps = tuple([step_in(step) for step in raw[9]])
    fields = (
        *raw[:4], tuple(raw[4]), tuple(raw[5]), MappingProxyType(raw[6]), evidence, tuple(raw[8]), steps,
        tuple([m.LookAlike(*alike) for alike in raw[10]]), tuple(raw[11]), tuple(raw[12]), tuple(raw[13]),
        tuple(raw[14]), raw[15], tuple([flag_in(flag) for flag in raw[16]]), raw[17],
        MappingProxyType(raw[18]), MappingProxyType(raw[19]), raw[20],
    )  # fmt: skip
    return m.Cause(*fields)


def intention_out(i: m.Intention) -> Plain:
    """An intention as a list."""
    harms, untimely = [[h.condition, h.because] for h in i.harms], [[u.cause, u.because] for u in i.not_now]
    return [i.id, i.say, list(i.fits), harms, untimely]


def intention_in(raw: Plain) -> m.Intention:
    """An intention from its list."""
    harms, untimely = (tuple([m.Harm(*h) for h in raw[3]]), tuple([m.Untimely(*u) for u in raw[4]]))
    return m.Intention(raw[0], raw[1], tuple(raw[2]), harms, untimely)


def crop_out(c: m.Crop) -> Plain:
    """A crop as a list."""
    return [c.id, c.name, c.group, c.evergreen, list(c.also_called), _thawed(c.facts)]


def crop_in(raw: Plain) -> m.Crop:
    """A crop from its list."""
    return m.Crop(raw[0], raw[1], raw[2], raw[3], tuple(raw[4]), MappingProxyType(raw[5]))


def climate_out(c: m.Climate) -> Plain:
    """A climate kind as a list."""
    return [c.id, c.name, [_thawed(answers) for answers in c.reached_by]]


def climate_in(raw: Plain) -> m.Climate:
    """A climate kind from its list."""
    return m.Climate(raw[0], raw[1], tuple(raw[2]))


def source_out(s: m.Source) -> Plain:
    """A source as a list."""
    return [s.id, s.cite, s.address, s.second_hand]


def source_in(raw: Plain) -> m.Source:
    """A source from its list."""
    return m.Source(*raw)


def table_out(t: Table) -> Plain:
    """A table of published numbers as a list, each row's cells in the order of the columns."""
    rows = [[[row.cells[column] for column in t.columns], list(row.source), row.mark] for row in t.rows]
    return [t.id, t.title, list(t.columns), dict(t.units), rows, t.note]


def table_in(raw: Plain) -> Table:
    """A table from its list."""
    columns = tuple(raw[2])
    rows = tuple(
        Row(MappingProxyType(dict(zip(columns, cells, strict=True))), tuple(source), mark)
        for cells, source, mark in raw[4]
    )
    return Table(raw[0], raw[1], columns, MappingProxyType(raw[3]), rows, raw[5])


def case_out(c: m.Case) -> Plain:
    """A published case as a list."""
    return [c.id, _thawed(c.look), _thawed(c.expect), list(c.source), c.basis, c.held_out, c.note]


def case_in(raw: Plain) -> m.Case:
    """A published case from its list."""
    return m.Case(raw[0], MappingProxyType(raw[1]), MappingProxyType(raw[2]), tuple(raw[3]), raw[4], raw[5], raw[6])


def _thawed(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _thawed(inner) for key, inner in value.items()}
    return [_thawed(inner) for inner in value] if isinstance(value, list | tuple) else value


class Late(Mapping[str, _Value]):
    """A read-only mapping whose entries are made from their raw form when they are first asked for."""

    __slots__ = ("_made", "_make", "_raw")

    def __init__(self, raw: Mapping[str, Any], make: Callable[[Any], _Value]) -> None:
        self._raw = raw
        self._make = make
        self._made: dict[str, _Value] = {}

    def __getitem__(self, key: str) -> _Value:
        found = self._made.get(key)
        if found is None:
            found = self._made[key] = self._make(self._raw[key])
        return found

    def __contains__(self, key: object) -> bool:
        return key in self._raw

    def __iter__(self) -> Iterator[str]:
        return iter(self._raw)

    def __len__(self) -> int:
        return len(self._raw)
