"""Fits the discount for dependent clues by cross-validation on the published cases that are not held out.

Run from the top folder: PYTHONPATH=src python tests/tools/fit_discount.py

Held-out cases are dropped before anything is weighed. In each of ten rounds a tenth of the cases is left out, the rho
of the least log loss over the rest is taken, and the left-out cases are scored with it. The rho to ship is the one that
the most rounds take.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import log, sqrt

from sallow.case_runs import case_look
from sallow.knowledge.load import load
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Case, Knowledge
from sallow.look_facts import context_of, facts_of
from sallow.reasoning.compile import SOMETHING_ELSE, compile_base
from sallow.reasoning.stored import remembering
from sallow.reasoning.weigh import RHO, Scales

GRID = (0.0, 0.005, 0.01, 0.015, 0.02, 0.03, 0.04, 0.06, 0.1)
FOLDS = 10
LEAST_BELIEF = 1e-6


@dataclass(frozen=True, slots=True)
class Scored:
    """One case at one discount: the log loss of its right cause, and the place of that cause."""

    loss: float
    rank: int


@dataclass(frozen=True, slots=True)
class Fit:
    """``scores[i][j]``: case j at rho ``GRID[i]``; ``picked``: the rho of each round; ``left_out``: the mean loss of
    cases weighed with a rho that they had no part in; ``chosen``: the rho to ship."""

    scores: tuple[tuple[Scored, ...], ...]
    picked: tuple[float, ...]
    left_out: float
    chosen: float


def right_causes(case: Case) -> tuple[str, ...]:
    """The causes that count as right."""
    expect = case.expect
    return tuple(dict.fromkeys([*([expect["first"]] if "first" in expect else []), *expect.get("any_of", ())]))


def development(knowledge: Knowledge) -> list[Case]:
    """The cases that may choose: not held out, with a stated cause."""
    return [case for case in knowledge.cases if not case.held_out and right_causes(case) and case.look.get("symptoms")]


def scored(knowledge: Knowledge, case: Case) -> list[Scored]:
    """One case at every rho of the grid."""
    look = case_look(case, knowledge)
    base, facts = compile_base(knowledge, context_of(look, knowledge)), facts_of(look, knowledge)
    right = right_causes(case)
    found = []
    for rho in GRID:
        weighed = Scales(base, rho).weigh(facts)
        order = [cause for cause, _ in weighed.ranking() if cause != SOMETHING_ELSE]
        best = max(weighed.belief(cause) for cause in right)
        rank = min((order.index(cause) + 1 for cause in right if cause in order), default=len(order))
        found.append(Scored(-log(max(best, LEAST_BELIEF)), rank))
    return found


def mean(values: Sequence[float]) -> float:
    """The mean of some numbers."""
    return sum(values) / len(values)


def least(scores: Sequence[Sequence[Scored]], cases: Sequence[int]) -> int:
    """The place in the grid of the least loss over some cases."""
    return min(range(len(GRID)), key=lambda i: (mean([scores[i][j].loss for j in cases]), i))


def error_of_difference(one: Sequence[Scored], other: Sequence[Scored]) -> float:
    """The standard error of the mean difference of two losses, case by case."""
    differences = [a.loss - b.loss for a, b in zip(one, other, strict=True)]
    middle = mean(differences)
    return sqrt(sum((value - middle) ** 2 for value in differences) / (len(differences) - 1) / len(differences))


def fit(knowledge: Knowledge) -> Fit:
    """The discount chosen by the cases at hand."""
    knowledge = replace(knowledge, stored=remembering(knowledge))
    columns = [scored(knowledge, case) for case in development(knowledge)]
    scores = tuple(zip(*columns, strict=True))
    every = range(len(columns))
    picked, losses = [], []
    for fold in range(FOLDS):
        place = least(scores, [j for j in every if j % FOLDS != fold])
        picked.append(GRID[place])
        losses += [scores[place][j].loss for j in every if j % FOLDS == fold]
    return Fit(scores, tuple(picked), mean(losses), Counter(picked).most_common(1)[0][0])


def table(found: Fit) -> list[str]:
    """The fit as lines to print."""
    best = least(found.scores, range(len(found.scores[0])))
    lines = [
        f"{len(found.scores[0])} cases that are not held out",
        "   rho  log loss  above the least (its error)    first  three",
    ]
    for rho, row in zip(GRID, found.scores, strict=True):
        loss = mean([one.loss for one in row])
        more = loss - mean([one.loss for one in found.scores[best]])
        error = error_of_difference(row, found.scores[best])
        first, three = (sum(one.rank <= place for one in row) / len(row) for place in (1, 3))
        lines.append(f"{rho:6.3f}  {loss:8.4f}  {more:15.4f} ({error:.4f})    {first:7.1%} {three:6.1%}")
    lines.append(f"chosen in {FOLDS} rounds: {', '.join(f'{rho:g}' for rho in found.picked)}")
    lines.append(f"log loss of the cases left out of their own choice: {found.left_out:.4f}")
    lines.append(f"to ship: {found.chosen:g}; shipped: {RHO:g}")
    return lines


if __name__ == "__main__":
    print("\n".join(table(fit(load([shipped_folder("knowledge")], with_cases=True)))))
