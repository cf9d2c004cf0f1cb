"""The diagnosis as data: everything a report shows, and nothing about how it is shown."""

from __future__ import annotations

from typing import Any

from sallow.values import dataclass


@dataclass(frozen=True, slots=True)
class Ground:
    """A reason in plain words: ``decibans`` as discounted, mark, sources, and the symptom it is about (from 0)."""

    text: str
    decibans: float
    mark: str
    source: tuple[str, ...]
    symptom: int | None = None


@dataclass(frozen=True, slots=True)
class RankedCause:
    """One cause in the ranking, with what speaks for it, against it, and what is not known."""

    id: str
    name: str
    also_called: tuple[str, ...]
    kind: str
    summary: str
    belief: float
    word: str
    decibans: float
    confirmed: bool
    regulated: bool
    explains: tuple[int, ...]
    grounds_for: tuple[Ground, ...]
    grounds_against: tuple[Ground, ...]
    missing: tuple[Ground, ...]
    look_alike: str
    chain: tuple[str, ...]
    explained_away: str
    note: str


@dataclass(frozen=True, slots=True)
class TestLine:
    """A confirming test, with what each result would mean and for which causes it is asked."""

    id: str
    name: str
    how: tuple[str, ...]
    need: str
    cost: str
    effort: str
    days: int
    results: tuple[str, ...]
    misleads: str
    causes: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StepLine:
    """A hedged step, for which cause, with its amount worked out where that was possible.

    ``amount_facts`` names the facts that ``amount_lacks`` asks for, in words an answers file knows; ``command`` is what
    works the amount out, or narrows it, with what that tells, or ''.
    """

    cause: str
    when: str
    do: str
    amount: tuple[str, ...]
    amount_lacks: tuple[str, ...]
    working: tuple[str, ...]
    cautions: tuple[str, ...]
    amount_facts: tuple[str, ...] = ()
    command: str = ""


@dataclass(frozen=True, slots=True)
class Flag:
    """A red flag: 'report_now' on top of the report, 'worth_ruling_out' beside the ranking."""

    cause: str
    name: str
    tier: str
    say: str


@dataclass(frozen=True, slots=True)
class SourceLine:
    """A source cited in the report."""

    id: str
    cite: str
    address: str
    second_hand: bool


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """One look, diagnosed. ``result`` is causes, leave_alone, cannot_tell or nothing_odd."""

    result: str
    headline: str
    about_to: str
    title: str
    date: str
    seen: tuple[tuple[str, tuple[str, ...]], ...]
    flags: tuple[Flag, ...]
    causes: tuple[RankedCause, ...]
    minor: tuple[tuple[str, str, float], ...]
    upstream: tuple[str, ...]
    findings: tuple[tuple[str, str], ...]
    tests: tuple[TestLine, ...]
    steps_now: tuple[StepLine, ...]
    steps_if_confirmed: tuple[StepLine, ...]
    steps_if_refuted: tuple[StepLine, ...]
    not_to_do: tuple[StepLine, ...]
    cautions: tuple[str, ...]
    unexplained: tuple[str, ...]
    changes: tuple[str, ...]
    contradictions: tuple[str, ...]
    to_look: tuple[str, ...]
    look_again: str
    look_again_because: str
    sources: tuple[SourceLine, ...]
    marks: tuple[str, ...]
    honest: tuple[str, ...]
    bands: tuple[tuple[str, float], ...]
    something_else: float
    answers: int
    discount: float
    knowledge_version: str
    overlays: tuple[str, ...]
    look: dict[str, Any]
