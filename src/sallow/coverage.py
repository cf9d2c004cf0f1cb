"""What the knowledge covers: by crop and symptom pattern, which causes come into question and which are told apart."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations

from sallow.knowledge.model import Knowledge
from sallow.reasoning.apart import Tables, cause_tables
from sallow.reasoning.compile import grows_on

# The signs that say what the odd thing itself looks like, with the part of the plant they speak of.
SYMPTOMS = (
    ("leaf", "colour_pattern"),
    ("leaf", "spot_kind"),
    ("leaf", "leaf_shape"),
    ("leaf", "dead_areas"),
    ("leaf", "holes_kind"),
    ("leaf", "on_leaf"),
    ("leaf", "leaf_drop"),
    ("shoot", "shoot_change"),
    ("flower", "flower_change"),
    ("fruit", "fruit_change"),
    ("bark", "bark_change"),
    ("whole", "whole_change"),
)
# A pattern brings a cause into question from this likelihood ratio on.
SPEAKS_FOR = 1.0
# An answer counts as telling two causes apart when it changes their odds this much: moderate evidence, four to one.
TELLING = 10**0.6
LEAST = 1e-6
# Signs of more effort than this are trials or laboratory work; what only they separate is not told apart at the tree.
AT_THE_TREE = 4.0


@dataclass(frozen=True, slots=True)
class Cell:
    """One pattern on one crop: the causes it brings into question, and the pairs that no other question separates."""

    crop: str
    sign: str
    pattern: str
    causes: tuple[str, ...]
    mixed_up: tuple[tuple[str, str], ...]

    @property
    def apart(self) -> int:
        """How many of the causes can be told from every other one."""
        stuck = {cause for pair in self.mixed_up for cause in pair}
        return len(self.causes) - len(stuck)


def coverage(knowledge: Knowledge, crop: str) -> list[Cell]:
    """A cell for each pattern of each sign in SYMPTOMS, in the order of the sign's answers."""
    far = {sign.id for sign in knowledge.signs.values() if sign.effort > AT_THE_TREE}
    tables = {
        cause.id: {
            name: table
            for name, table in cause_tables(knowledge, cause, {"crop": crop}).items()
            if name.split(".")[0] not in far
        }
        for cause in knowledge.causes.values()
        if grows_on(cause.id, crop, knowledge)
    }
    known: dict[tuple[str, str], frozenset[str]] = {}
    cells = []
    for part, name in SYMPTOMS:
        sign = knowledge.signs.get(name)
        for answer in sign.answers.values() if sign else ():
            variable, value = (f"{name}.{answer.id}", "yes") if sign and sign.kind == "several" else (name, answer.id)
            causes = tuple(
                sorted(
                    cause
                    for cause, table in tables.items()
                    if part in knowledge.causes[cause].parts and table.get(variable, {}).get(value, 0.0) > SPEAKS_FOR
                )
            )
            pairs = tuple(pair for pair in combinations(causes, 2) if not _telling(pair, tables, known) - {variable})
            cells.append(Cell(crop, name, answer.id, causes, pairs))
    return cells


def _telling(
    pair: tuple[str, str], tables: Mapping[str, Tables], known: dict[tuple[str, str], frozenset[str]]
) -> frozenset[str]:
    """Up to two questions that tell a pair apart: two, so that one is left beside any pattern."""
    if pair not in known:
        found: list[str] = []
        for name in _questions(tables[pair[0]], tables[pair[1]]):
            found.append(name)
            if len(found) == 2:
                break
        known[pair] = frozenset(found)
    return known[pair]


def _questions(first: Tables, second: Tables) -> Iterator[str]:
    """The questions of which some answer changes the odds between two causes by at least TELLING."""
    for name in {**first, **second}:
        mine, other = first.get(name, {}), second.get(name, {})
        for value in {**mine, **other}:
            here, there = max(mine.get(value, 1.0), LEAST), max(other.get(value, 1.0), LEAST)
            if here >= TELLING * there or there >= TELLING * here:
                yield name
                break
