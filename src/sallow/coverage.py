"""What the knowledge covers: by crop and leaf pattern, which causes come into question and which are told apart."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from sallow.knowledge.model import Knowledge
from sallow.reasoning.apart import Tables, cause_tables, told_apart
from sallow.reasoning.compile import grows_on

PATTERN = "colour_pattern"
# A pattern brings a cause into question from this likelihood ratio on.
SPEAKS_FOR = 1.0
# An answer counts as telling two causes apart when it changes their odds this much: moderate evidence, four to one.
TELLING = 6.0
# Signs of more effort than this are trials or laboratory work; what only they separate is not told apart at the tree.
AT_THE_TREE = 4.0


@dataclass(frozen=True, slots=True)
class Cell:
    """One leaf pattern on one crop: the causes it brings into question, and the pairs that nothing separates."""

    crop: str
    pattern: str
    causes: tuple[str, ...]
    mixed_up: tuple[tuple[str, str], ...]

    @property
    def apart(self) -> int:
        """How many of the causes can be told from every other one."""
        stuck = {cause for pair in self.mixed_up for cause in pair}
        return len(self.causes) - len(stuck)


def coverage(knowledge: Knowledge, crop: str) -> list[Cell]:
    """A cell for each leaf pattern that some cause on this crop shows, in the order of the sign's answers."""
    far = {sign.id for sign in knowledge.signs.values() if sign.effort > AT_THE_TREE}
    tables = {
        cause.id: {
            name: table
            for name, table in cause_tables(knowledge, cause, {"crop": crop}).items()
            if name.split(".")[0] not in far
        }
        for cause in knowledge.causes.values()
        if grows_on(cause.id, crop, knowledge) and "leaf" in cause.parts
    }
    known: dict[tuple[str, str], bool] = {}
    cells = []
    for answer in knowledge.signs[PATTERN].answers.values():
        causes = tuple(sorted(name for name, table in tables.items() if _shows(table, answer.id)))
        pairs = tuple(pair for pair in combinations(causes, 2) if not _apart(pair, tables, known))
        cells.append(Cell(crop, answer.id, causes, pairs))
    return cells


def _shows(tables: Tables, pattern: str) -> bool:
    return tables.get(PATTERN, {}).get(pattern, 0.0) > SPEAKS_FOR


def _apart(
    pair: tuple[str, str], tables: dict[str, dict[str, dict[str, float]]], known: dict[tuple[str, str], bool]
) -> bool:
    if pair not in known:
        known[pair] = told_apart(tables[pair[0]], tables[pair[1]], PATTERN, TELLING)
    return known[pair]
