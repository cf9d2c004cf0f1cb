"""This season's shoots against the published targets for the crop and its age."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from sallow.care import units
from sallow.care.feeding.reason import Reason
from sallow.care.feeding.tree import Tree
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.knowledge.tables import Row, Table

WORDS: dict[str, Literal["below", "inside", "above"]] = {
    "hardly": "below",
    "short": "below",
    "normal": "inside",
    "strong": "above",
}
_LONGEST_CM = 500.0


@dataclass(frozen=True, slots=True)
class Growth:
    """Below, inside or above every published target that fits; or not known."""

    verdict: Literal["below", "inside", "above", "unknown"]
    text: str = ""
    source: tuple[str, ...] = ()
    mark: str = "published"

    @property
    def reason(self) -> Reason:
        """The comparison as a reason of the decision."""
        return Reason(self.text, self.source, self.mark)


def judge_growth(tree: Tree, shoot_cm: float | None, word: str | None, table: Table) -> Growth:
    """Shoots of ``shoot_cm`` (or in a word) against the targets of all states that publish one for the crop.

    Where states differ, below means below all of them and above means above all of them.
    """
    if shoot_cm is None:
        if word is None:
            return Growth("unknown")
        text = f"This season's shoots are {_WORD_SAYS[word]}."
        return Growth(WORDS[word], text, ("common_practice",), "common_practice")
    if not (math.isfinite(shoot_cm) and 0 <= shoot_cm <= _LONGEST_CM):
        raise BadInput(
            f"shoots of {shoot_cm:g} cm cannot be right; give this season's growth, 0 to {_LONGEST_CM:g} cm."
        )
    rows = target_rows(tree, table)
    lows = [units.in_to_cm(row.number("low")) for row in rows]
    highs = [units.in_to_cm(row.number("high")) for row in rows]
    if shoot_cm < min(lows):
        verdict: Literal["below", "inside", "above"] = "below"
    elif shoot_cm > max(highs):
        verdict = "above"
    else:
        verdict = "inside"
    targets = "; ".join(_target(row) for row in rows)
    usual = "what we take as usual" if rows[0].mark == "judgement" else "what is published for it"
    text = f"Its shoots of {_length(shoot_cm)} are {_SAYS[verdict]} {usual} ({targets})."
    source = tuple(dict.fromkeys(key for row in rows for key in row.source))
    return Growth(verdict, text, source, rows[0].mark)


def target_rows(tree: Tree, table: Table) -> tuple[Row, ...]:
    """The rows of the target table for the crop and whether it bears; a general row when it has none."""
    bearing = tree.bearing if tree.bearing is not None else tree.grown is not False
    general = "any" if tree.deciduous else "evergreen"
    for crop in (tree.crop, general):
        rows = table.where(crop=crop, bearing=bearing)
        if rows:
            return rows
    return table.where(crop="any", bearing=bearing)


_SAYS = {"below": "below", "inside": "within", "above": "above"}
_WORD_SAYS = {
    "hardly": "hardly there",
    "short": "shorter than usual",
    "normal": "as long as usual",
    "strong": "very long and soft",
}


def _target(row: Row) -> str:
    low, high = row.number("low"), row.number("high")
    low_cm, high_cm = (5 * round(units.in_to_cm(inches) / 5) for inches in (low, high))
    metric = f"{low_cm} to {high_cm} cm"
    return f"{row['region']}: {metric}, {low:g} to {high:g} in"


def _length(cm: float) -> str:
    return f"{cm:.0f} cm ({units.cm_to_in(cm):.0f} in)"
