"""Every cause has two confirming tests that really say something about it, and every test is told in full."""

from __future__ import annotations

import re

from sallow.diagnosis.steps import spoken_of, telling
from sallow.knowledge.model import Knowledge

# Causes for which no second test exists, each with the reason. None so far.
ONE_TEST_ONLY: dict[str, str] = {}


def test_two_tests_of_every_cause_have_a_result_that_speaks_of_it(knowledge: Knowledge) -> None:
    too_few = {}
    for cause in knowledge.causes.values():
        spoken = spoken_of(knowledge, cause.id)
        working = [name for name in cause.checks if telling(knowledge.checks[name], spoken, {cause.id})]
        if len(working) < 2 and cause.id not in ONE_TEST_ONLY:
            too_few[cause.id] = working
    assert not too_few


def test_some_result_of_every_cause_speaks_for_it_or_settles_it(knowledge: Knowledge) -> None:
    for cause in knowledge.causes.values():
        spoken = spoken_of(knowledge, cause.id)
        assert any(
            spoken.get((check.gives, result.answer))
            or spoken.get((f"{check.gives}.{result.answer}", "yes"))
            or cause.id in result.settles
            for check in (knowledge.checks[name] for name in cause.checks)
            for result in check.results
        ), cause.id


def test_every_test_tells_what_each_possible_answer_means(knowledge: Knowledge) -> None:
    """Signs in lists of several are left out: such a test looks for some of them only."""
    silent = {}
    for check in knowledge.checks.values():
        sign = knowledge.signs[check.gives]
        if sign.kind == "several":
            continue
        answers = set(sign.answers) or {"yes", "no"}
        missing = answers - {result.answer for result in check.results}
        if missing:
            silent[check.id] = sorted(missing)
    assert not silent


def test_every_test_has_its_steps_needs_effort_days_and_pitfalls(knowledge: Knowledge) -> None:
    for check in knowledge.checks.values():
        assert len(check.how) >= 2 and all(len(step) > 15 for step in check.how), check.id
        assert check.need and check.effort and check.misleads and check.source, check.id
        assert check.cost in ("free", "low", "medium", "high") and 0 <= check.days <= 60, check.id


def test_what_concerns_citrus_only_says_so_in_tests_of_other_trees(knowledge: Knowledge) -> None:
    elsewhere = {name for cause in knowledge.causes.values() if "citrus" not in cause.crops for name in cause.checks}
    for check in (knowledge.checks[name] for name in sorted(elsewhere)):
        for line in (*check.how, check.misleads):
            assert not re.search("citrus canker|canker may be about", line) or "on citrus" in line.lower(), line
