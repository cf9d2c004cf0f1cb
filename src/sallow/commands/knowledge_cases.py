"""'sallow knowledge cases': the published cases run, counted and listed; what is right and what is not is shown."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from sallow.case_counts import Share, called, count, reliability, standing
from sallow.case_runs import Outcome, run_cases
from sallow.environment import Environment
from sallow.knowledge.access import open_knowledge
from sallow.reasoning.words import word_for
from sallow.status import ExitStatus

KEYS: dict[str, Callable[[Outcome], str]] = {
    "crop": lambda o: o.crop or "not told",
    "kind": lambda o: o.kind,
    "basis": lambda o: o.case.basis,
}


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Run the cases and print what came of them."""
    knowledge = open_knowledge(environment, arguments.knowledge, with_cases=True)
    outcomes = run_cases(knowledge)
    if arguments.format == "json":
        environment.say(json.dumps(as_data(outcomes), indent=1, ensure_ascii=False))
        return ExitStatus.OK
    for line in report(outcomes, arguments.by, arguments.calibration):
        environment.say(line)
    return ExitStatus.OK


def groups(outcomes: Sequence[Outcome]) -> list[tuple[str, list[Outcome]]]:
    """The outcomes set apart: held out or not, and by whether the cause rests on the same source."""
    return [
        ("all cases", list(outcomes)),
        ("held out (not looked at while writing)", [o for o in outcomes if o.case.held_out]),
        ("not held out", [o for o in outcomes if not o.case.held_out]),
        ("source not shared with the cause", [o for o in outcomes if o.truth and not o.shared]),
        ("source shared with the cause", [o for o in outcomes if o.truth and o.shared]),
    ]


def report(outcomes: Sequence[Outcome], by: str | None, calibration: bool) -> list[str]:
    """The tables and the misses as lines."""
    lines = ["How often the right cause comes first, and among the first three", ""]
    lines += [*table(groups(outcomes)), *NORM]
    if by:
        keys = sorted({KEYS[by](o) for o in outcomes})
        lines += ["", f"By {by}", "", *table([(key, [o for o in outcomes if KEYS[by](o) == key]) for key in keys])]
    if calibration:
        lines += ["", *reliability_lines(outcomes)]
    return [*lines, "", *misses(outcomes)]


def table(rows: Iterable[tuple[str, Sequence[Outcome]]]) -> list[str]:
    """Rows of name, number of cases, first and first-three shares with their intervals."""
    lines = [f"{'':<40} {'cases':>5}  {'first':<18} {'first three':<18}"]
    for name, outcomes in rows:
        told = [o for o in outcomes if o.truth]
        first, three = count(told, lambda o: o.rank == 1), count(told, lambda o: 0 < o.rank <= 3)
        lines.append(f"{name:<40} {len(told):>5}  {words(first):<18} {words(three):<18}".rstrip())
    lines.append("(in brackets: the Wilson interval that holds the true share 19 times in 20)")
    return lines


# Yu et al. 1979, as the shares were reported: advice rated acceptable by judges who did not know whose it was.
NORM = [
    "A published measure from medicine (Yu et al. 1979): of advice rated blind, 65% of that of a program was",
    "acceptable, and 42.5 to 62.5% of that of five specialists. Another field and another question: a yardstick only.",
]


def words(share: Share) -> str:
    """'62 % (51-72)', or a dash where there is nothing to count."""
    if not share.of:
        return "-"
    return f"{share.part:.0%} ({share.low * 100:.0f}-{share.high * 100:.0f})"


def reliability_lines(outcomes: Sequence[Outcome]) -> list[str]:
    """For each word of certainty: how often the first cause was right when that word was used."""
    lines = [
        "What the words are worth: of the times the first cause was called so, how often it was right",
        "",
        f"{'word':<14} {'meant':<12} {'times':>5}  {'right':<18} mean belief",
    ]
    for row in reliability(outcomes):
        meant = f"{row.low:.0%} to {row.high:.0%}"
        mean = f"{row.mean:.0%}" if row.share.of else "-"
        lines.append(f"{row.word:<14} {meant:<12} {row.share.of:>5}  {words(row.share):<18} {mean}")
    lines += [
        "",
        "Of all causes called so, in whatever place, how often right; and of all cases, how often the right cause",
    ]
    lines += ["was called so", "", f"{'word':<14} {'causes':>7}  {'right':<18} cases"]
    for (word, share), (_, stood) in zip(called(outcomes), standing(outcomes), strict=True):
        lines.append(f"{word:<14} {share.of:>7}  {words(share):<18} {words(stood)}")
    return lines


def misses(outcomes: Sequence[Outcome]) -> list[str]:
    """Every case that came out wrong, with what came first; held-out ones are counted, so that none is tuned to."""
    missed = [o for o in outcomes if not o.right or o.flagged]
    wrong = [o for o in missed if not o.case.held_out]
    lines = [
        f"Came out otherwise: {len(missed)} of {len(outcomes)}, "
        f"{len(missed) - len(wrong)} of them held out and therefore not listed"
    ]
    for o in wrong:
        should = " or ".join(o.truth) or o.kind.replace("_", " ")
        first = f"{o.first} ({word_for(o.belief)}, {o.belief:.0%})" if o.first else "nothing"
        place = (
            f"; the right one is number {o.rank}" if o.rank > 1 else "; the right one is not listed" if o.truth else ""
        )
        lines.append(f"  {o.case.id}: should be {should}; first is {first}{place if o.rank != 1 else ''}")
        if o.flagged:
            lines.append(f"    must not be likely, but is: {', '.join(o.flagged)}")
    return lines


def as_data(outcomes: Sequence[Outcome]) -> dict[str, Any]:
    """Everything as plain values."""
    told = {name: [o for o in group if o.truth] for name, group in groups(outcomes)}
    return {
        "groups": {
            name: {
                "cases": len(group),
                "first": count(group, lambda o: o.rank == 1).as_data(),
                "first_three": count(group, lambda o: 0 < o.rank <= 3).as_data(),
            }
            for name, group in told.items()
        },
        "reliability": [
            {"word": row.word, "from": row.low, "to": row.high, "mean": row.mean, **row.share.as_data()}
            for row in reliability(outcomes)
        ],
        "cases": [
            {
                "case": o.case.id,
                "crop": o.crop,
                "kind": o.kind,
                "basis": o.case.basis,
                "held_out": o.case.held_out,
                "shared_source": o.shared,
                "truth": list(o.truth),
                "first": o.first,
                "belief": round(o.belief, 4),
                "rank": o.rank,
                "right": o.right,
            }
            for o in outcomes
        ],
    }
