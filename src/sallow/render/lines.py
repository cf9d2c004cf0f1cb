"""The pieces of a report's outline, and the words that both of its parts use: steps, tests, grounds, lists."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sallow.phrases import lower_first
from sallow.report_model import Ground, StepLine, TestLine
from sallow.values import dataclass

COST_WORDS = {"free": "free", "low": "costs little", "medium": "costs some", "high": "costs more"}


@dataclass(frozen=True, slots=True)
class Line:
    """One piece of the outline. ``kind``: title, heading, cause, text, item, sub, alert, quiet or tick."""

    kind: str
    text: str


def ground_words(ground: Ground, numbers: bool) -> str:
    """A reason with its mark, unless that is 'published', and its weight where numbers are wanted."""
    mark = "" if ground.mark == "published" else f" [{ground.mark.replace('_', ' ')}]"
    weight = f" [{ground.decibans:+.1f} dB]" if numbers else ""
    return f"{ground.text}{mark}{weight}"


def named_test(t: TestLine, several: bool) -> Line:
    """A test by its name, with what it costs and takes, and what it is for where ``several`` causes are shown."""
    wait = "" if t.days == 0 else f"; result after about {t.days} days" if t.days > 1 else "; result after a day"
    causes = f" For: {', '.join(map(lower_first, t.causes))}." if several else ""
    return Line("tick", f"{t.name} ({COST_WORDS[t.cost]}; {t.effort}{wait}).{causes}")


def test_lines(t: TestLine, told: frozenset[str], most_results: int | None, misleads: bool) -> Iterator[Line]:
    """How a test is done and what its results mean; steps ``told`` with another test are not told again."""
    fresh = [step for step in t.how if step not in told]
    need = [f"You need: {t.need}.".replace("..", ".")] if t.need and t.need.lower() not in ("nothing", "none") else []
    again = ["Otherwise as told above."] if len(fresh) < len(t.how) else []
    yield Line("sub", " ".join([*again, *fresh, *need]))
    for result in t.results[:most_results]:
        yield Line("sub", result)
    if t.misleads and misleads:
        yield Line("sub", f"What can mislead: {t.misleads}")


def step_lines(steps: Sequence[StepLine], named: bool, working: bool, commands: bool) -> Iterator[Line]:
    """Steps with their amounts; ``named``: each with the cause it is for, ``commands``: with what works them out."""
    for step in steps:
        yield Line("item", f"{step.do}{f' ({step.cause})' if named and step.cause else ''}")
        for line in step.amount:
            yield Line("sub", line)
        for line in step.amount_lacks:
            yield Line("sub", f"Still needed: {line}")
        if commands and step.command:
            yield Line("sub", step.command)
        for line in step.working if working else ():
            yield Line("sub", f"Reckoning: {line}")


def listed(title: str, lines: Sequence[str], kind: str = "item") -> Iterator[Line]:
    """A heading with its lines, or nothing when there are none."""
    if lines:
        yield Line("heading", title)
        for line in lines:
            yield Line(kind, line)
