"""The answer at the tree, on one screen: what is probably going on, the test to do first, what to do now, when to look
again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from sallow.phrases import day_words
from sallow.render.lines import COST_WORDS, Line, ground_words, named_test, step_lines, test_lines
from sallow.render.terminal import text_lines
from sallow.report_model import Diagnosis, Flag, StepLine, TestLine
from sallow.values import dataclass

NOW = "What to do now"
TEST_FIRST = "The test to do first"
# One screen of 30 lines of 80 cells, less what is asked below the answer.
SCREEN_LINES, SCREEN_CELLS = 27, 80


@dataclass(frozen=True, slots=True)
class Cut:
    """How many steps and how many results of the test the first screen holds (None for all), and the reason or not."""

    steps: int | None
    results: int | None
    why: bool = True


WHOLE = Cut(None, None, False)
# The first of these that fits is taken.
CUTS = (Cut(3, 3), Cut(3, 2), Cut(2, 2), Cut(2, 1), Cut(2, 1, False))


def first_screen(d: Diagnosis, numbers: bool, working: bool, full: bool) -> Iterator[Line]:
    """The first part of the outline; ``full`` leaves no step and no result of the test for later."""
    return _first(d, numbers, working, WHOLE if full else cut_for(d))


def cut_for(d: Diagnosis) -> Cut:
    """The most that fits on one screen; the seasonal walk-round has all its steps."""
    if d.result == "nothing_odd":
        return Cut(None, 1)
    return next((cut for cut in CUTS if fits(_first(d, False, False, cut))), CUTS[-1])


def fits(lines: Iterable[Line]) -> bool:
    """Whether an outline fits on one screen."""
    return len(text_lines(list(lines), SCREEN_CELLS)) <= SCREEN_LINES


def steps_at_once(d: Diagnosis, cut: Cut) -> tuple[StepLine, ...]:
    """The steps that the first screen has room for."""
    return d.steps_now[: cut.steps]


def _first(d: Diagnosis, numbers: bool, working: bool, cut: Cut) -> Iterator[Line]:
    full = cut == WHOLE
    yield Line("title", f"What seems to be going on: {d.title}")
    for flag in d.flags:
        if flag.tier == "report_now":
            yield Line("alert", f"REPORT NOW: {flag.name}. {flag.say}")
    if d.about_to:
        yield Line("text", d.about_to)
    yield Line("text", d.headline)
    for contradiction in d.contradictions:
        yield Line("alert", contradiction)
    if cut.why and d.result == "causes" and d.causes[0].grounds_for:
        yield Line("text", f"Why: {ground_words(d.causes[0].grounds_for[0], numbers)}")
    yield from _test(d, cut, full)
    if d.steps_now:
        yield Line("heading", NOW)
        yield from step_lines(steps_at_once(d, cut), _named(d, full), working, full)
    for flag in to_rule_out(d):
        yield Line("text", f"Worth ruling out, with one look: {flag.say}")
    if d.look_again:
        yield Line("text", f"Look again on {day_words(date.fromisoformat(d.look_again))}, {d.look_again_because}.")


def _test(d: Diagnosis, cut: Cut, full: bool) -> Iterator[Line]:
    test = first_test(d)
    if test is not None:
        yield Line("heading", TEST_FIRST)
        yield named_test(test, len(d.causes) > 1)
        yield from test_lines(test, frozenset(), cut.results, full)


def first_test(d: Diagnosis) -> TestLine | None:
    """The most telling test that costs nothing and shows within a day, else the cheapest and quickest one."""
    quick = (test for test in d.tests if test.cost == "free" and test.days <= 1)
    cheapest = min(d.tests, key=lambda test: (list(COST_WORDS).index(test.cost), test.days), default=None)
    return next(quick, cheapest)


def to_rule_out(d: Diagnosis) -> tuple[Flag, ...]:
    """The red flags that want one look and are not what the report leads with anyway."""
    leading = {cause.id for cause in d.causes if cause.confirmed or cause.word in ("likely", "very likely")}
    return tuple(flag for flag in d.flags if flag.tier != "report_now" and flag.cause not in leading)


def _named(d: Diagnosis, full: bool) -> bool:
    """Whether each step tells its cause: where there are several, at once only if several things are odd."""
    several = len({step.cause for step in d.steps_now if step.cause}) > 1
    return several and (full or len(d.look["symptoms"]) > 1)
