"""The knowledge as immutable values: signs, findings, causes, checks and the lists they lean on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from sallow.knowledge.conditions import Condition
from sallow.knowledge.pictures import EMPTY, PictureBook
from sallow.knowledge.sheet import Station
from sallow.knowledge.tables import Table
from sallow.values import dataclass, field

PARTS = ("leaf", "shoot", "flower", "fruit", "bark", "root", "whole")
WEIGHTS = {"slight": 3.0, "moderate": 6.0, "strong": 10.0, "near_proof": 20.0}
FREQUENCIES = {"rare": 0.1, "uncommon": 0.3, "occasional": 1.0, "common": 3.0, "very_common": 8.0}


@dataclass(frozen=True, slots=True)
class Answer:
    """One possible answer. ``base`` is its probability under 'something not in this knowledge base'; ``only_on`` the
    crops or crop groups to which it is offered (none listed: all)."""

    id: str
    say: str
    base: float
    means: str = ""
    none: bool = False
    below: float | None = None
    only_on: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Implied:
    """An answer that follows from others: when ``when`` is true, the sign has ``answer``."""

    when: Condition
    answer: str


@dataclass(frozen=True, slots=True)
class Sign:
    """One thing that can be asked or observed.

    ``part`` is the plant part whose symptoms it describes, 'any' for every symptom, or 'tree' for the look.
    ``kind`` is one, several, yes_no, number or date. ``effort`` runs from 0 (known) to 10 (laboratory).
    ``core`` orders the signs that every symptom of the part is asked (where ``core_when`` holds); ``opening`` those
    that every look is asked.
    ``defines`` marks the signs that say what the odd thing is (its pattern, its kind of spot ...).
    ``miss`` is the probability that a person who noticed nothing overlooked it.
    """

    id: str
    part: str
    kind: str
    ask: str
    answers: Mapping[str, Answer]
    effort: float
    how_to_tell: str = ""
    core: int = 0
    opening: int = 0
    miss: float = 0.5
    defines: bool = False
    unticked: str = "overlooked"
    unit: str = ""
    least: float | None = None
    most: float | None = None
    ask_when: Condition | None = None
    implied: tuple[Implied, ...] = ()
    result_of: str = ""
    core_when: Condition | None = None
    not_if: Condition | None = None

    @property
    def of_symptom(self) -> bool:
        """Whether it is asked for each symptom rather than once for the look."""
        return self.part != "tree"


@dataclass(frozen=True, slots=True)
class EventKind:
    """Something that happens to a tree; ``windows`` are its time windows in days, ``labels`` their words.

    ``implied`` answers are event values; where ``not_if`` holds the question makes no sense and counts nothing.
    """

    id: str
    ask: str
    windows: tuple[int, ...]
    labels: tuple[str, ...]
    base: tuple[float, ...]
    implied: tuple[Implied, ...] = ()
    not_if: Condition | None = None


@dataclass(frozen=True, slots=True)
class FindingRule:
    """When ``when`` is true the finding is told true (or false, when ``concludes`` is False)."""

    when: Condition
    concludes: bool
    because: str
    source: tuple[str, ...]
    mark: str


@dataclass(frozen=True, slots=True)
class Finding:
    """Something concluded, not asked. ``says`` completes 'It seems that ...'."""

    id: str
    name: str
    says: str
    says_not: str
    rules: tuple[FindingRule, ...]


@dataclass(frozen=True, slots=True)
class Evidence:
    """A piece of evidence for (positive) or against (negative) a cause, in decibans."""

    when: Condition
    decibans: float
    about: str
    because: str
    source: tuple[str, ...]
    mark: str
    rules_out: bool = False
    word: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """A hedged next step; ``when`` is now, likely, confirmed, refuted or not_to_do.

    ``plan`` names the intention that the step amounts to: where that does harm, the step is withheld. ``while_unsure``
    says what becomes of a step of ``now`` while its cause is not likely: 'safe' (looking, testing, waiting, leaving
    alone) is said all the same, 'where_found' (its own words tell the finding it waits for) unless nothing can be told,
    and '' (it changes how the tree is treated) waits until a test speaks for the cause.
    """

    when: str
    do: str
    amount: str = ""
    not_if: Condition | None = None
    caution: tuple[str, ...] = ()
    source: tuple[str, ...] = ()
    plan: str = ""
    while_unsure: str = ""


@dataclass(frozen=True, slots=True)
class LookAlike:
    """Another cause that looks similar, and the sign that separates the two."""

    cause: str
    tell_apart: str


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause: what it looks like, what speaks for and against it, how to test it, what to do."""

    id: str
    name: str
    kind: str
    summary: str
    crops: tuple[str, ...]
    parts: tuple[str, ...]
    how_common: Mapping[str, str]
    evidence: tuple[Evidence, ...]
    checks: tuple[str, ...]
    steps: tuple[Step, ...]
    look_alikes: tuple[LookAlike, ...]
    sources: tuple[str, ...]
    also_called: tuple[str, ...] = ()
    brought_on_by: tuple[str, ...] = ()
    goes_with: tuple[str, ...] = ()
    regulated: bool = False
    red_flag: tuple[RedFlag, ...] = ()
    recovery_days: int = 28
    typical: Mapping[str, Any] = field(default_factory=dict)
    near_miss: Mapping[str, Any] = field(default_factory=dict)
    note: str = ""


@dataclass(frozen=True, slots=True)
class RedFlag:
    """A sign that puts a cause on top of the report whatever its rank ('report_now'), or beside the ranking."""

    when: Condition
    tier: str
    say: str


@dataclass(frozen=True, slots=True)
class Result:
    """What one result of a check means, and which causes it settles or refutes."""

    answer: str
    means: str
    settles: tuple[str, ...] = ()
    refutes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Check:
    """A confirming test: how it is done, what it takes, and what each result means."""

    id: str
    name: str
    how: tuple[str, ...]
    need: str
    cost: str
    effort: str
    days: int
    gives: str
    results: tuple[Result, ...]
    misleads: str
    caution: tuple[str, ...]
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Harm:
    """A finding or cause that makes an intention a bad idea now."""

    condition: str
    because: str


@dataclass(frozen=True, slots=True)
class Untimely:
    """A cause for which an intention is the right kind of thing at the wrong time, and why."""

    cause: str
    because: str


@dataclass(frozen=True, slots=True)
class Intention:
    """Something people are about to do or buy, the causes it may fit, what speaks against it, and when it comes at
    the wrong time."""

    id: str
    say: str
    fits: tuple[str, ...]
    harms: tuple[Harm, ...]
    not_now: tuple[Untimely, ...] = ()


@dataclass(frozen=True, slots=True)
class Crop:
    """A tree people grow; ``facts`` carries what crops.yaml says of seasons and tolerances."""

    id: str
    name: str
    group: str
    evergreen: bool
    also_called: tuple[str, ...]
    facts: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Climate:
    """A climate kind and the plain answers that lead to it."""

    id: str
    name: str
    reached_by: tuple[Mapping[str, str], ...]


@dataclass(frozen=True, slots=True)
class Source:
    """A publication, or a stand-in such as common practice."""

    id: str
    cite: str
    address: str = ""
    second_hand: bool = False


@dataclass(frozen=True, slots=True)
class Case:
    """A published case: a look, what it turned out to be, and where it is told."""

    id: str
    look: Mapping[str, Any]
    expect: Mapping[str, Any]
    source: tuple[str, ...]
    basis: str
    held_out: bool
    note: str


@dataclass(frozen=True, slots=True)
class Knowledge:
    """The whole knowledge base; the only value the rest of the program receives.

    ``overlays`` names the folders laid over the shipped one and what each changes. ``stored`` gives the compiled
    evidence of a cause in a context when it was read from the compiled form, else None. ``hosts`` gives the crops of
    causes that need not be read to know them.
    """

    signs: Mapping[str, Sign]
    findings: Mapping[str, Finding]
    causes: Mapping[str, Cause]
    checks: Mapping[str, Check]
    events: Mapping[str, EventKind]
    crops: Mapping[str, Crop]
    crop_groups: Mapping[str, str]
    climates: Mapping[str, Climate]
    climate_questions: tuple[Mapping[str, Any], ...]
    cautions: Mapping[str, str]
    intentions: Mapping[str, Intention]
    sources: Mapping[str, Source]
    tables: Mapping[str, Table]
    cases: tuple[Case, ...]
    version: str
    overlays: tuple[str, ...] = ()
    pictures: PictureBook = EMPTY
    stations: tuple[Station, ...] = ()
    stored: Callable[[str, Mapping[str, str]], Any] | None = field(default=None, compare=False, repr=False)
    hosts: Mapping[str, tuple[str, ...]] = field(default_factory=dict, compare=False, repr=False)

    def crops_of(self, cause: str) -> tuple[str, ...]:
        """The crops and crop groups that a cause lives on."""
        return self.hosts[cause] if cause in self.hosts else self.causes[cause].crops

    def answers_of(self, sign: str) -> Mapping[str, Answer]:
        """The answers of a sign, by id."""
        return self.signs[sign].answers
