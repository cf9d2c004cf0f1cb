"""Every cause has two confirming tests that really say something about it, and every test is told in full."""

from __future__ import annotations

import re

from tests.conftest import TODAY

from sallow.answers import look_from
from sallow.case_runs import case_look
from sallow.coverage import coverage
from sallow.diagnosis import diagnose, weigh_look
from sallow.diagnosis.steps import IN_FAVOUR, breadth_of, spoken_of, telling
from sallow.knowledge.model import Knowledge
from sallow.moved import in_words, moved
from sallow.reasoning.ask import Asker

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
            breadth_of(check, result, spoken) == IN_FAVOUR or cause.id in result.settles
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


def test_no_two_causes_of_a_pattern_are_left_without_a_question_that_tells_them_apart(knowledge: Knowledge) -> None:
    stuck = {
        (crop, cell.sign, cell.pattern, pair)
        for crop in knowledge.crops
        for cell in coverage(knowledge, crop)
        for pair in cell.mixed_up
    }
    assert not stuck


def test_how_far_a_result_moves_belief_can_be_told(knowledge: Knowledge) -> None:
    told = {answer: dict(causes) for answer, causes in moved(knowledge.checks["dig_root_depth"], knowledge)}
    assert told["dry"]["drought"] > 1 and told["dry"]["overwatering"] == 0.0 == told["soggy"]["drought"]
    assert in_words(told["dry"]["overwatering"]) == "ruled out"
    assert [in_words(ratio) for ratio in (4.0, 0.25)] == ["4 times likelier", "4 times less likely"]


def test_every_test_says_something_about_a_cause_that_names_it(knowledge: Knowledge) -> None:
    spoken = {cause: spoken_of(knowledge, cause) for cause in knowledge.causes}
    idle = [
        check.id
        for check in knowledge.checks.values()
        if not any(telling(check, spoken[c.id], {c.id}) for c in knowledge.causes.values() if check.id in c.checks)
    ]
    assert not idle


def test_a_result_settles_when_it_is_told_of_the_odd_thing_too(knowledge: Knowledge) -> None:
    raw = dict(knowledge.causes["rootstock_suckers"].typical)
    first, *rest = raw["symptoms"]
    for origin, settled in (("below", True), ("above", False)):
        told = {**raw, "symptoms": [{**first, "shoot_origin": origin}, *rest]}
        report = diagnose(knowledge, look_from(told, "odd shoot", knowledge, TODAY))
        assert any(cause.id == "rootstock_suckers" and cause.confirmed for cause in report.causes) is settled


def test_tests_come_in_order_of_what_they_tell_for_their_cost_and_wait(knowledge: Knowledge) -> None:
    """Worked by hand from the ratio that steps.burden states; 'free' and at once is 1, 'low' 2, a week more 1."""
    several = 0
    for case in knowledge.cases[::12]:
        look = case_look(case, knowledge)
        scales, weighed = weigh_look(knowledge, look)
        asker = Asker(scales, weighed, ())
        worth = []
        for line in diagnose(knowledge, look).tests:
            check = knowledge.checks[line.id]
            price = 1 + ("free", "low", "medium", "high").index(check.cost) + check.days / 7
            told = [sum(asker.gain(j, name) for name in asker.names(j, check.gives)) for j in asker.scopes()]
            worth.append(max(told) / price)
        assert worth == sorted(worth, reverse=True), case.id
        several += len(worth) > 1
    assert several > 5


def test_what_concerns_citrus_only_says_so_in_tests_of_other_trees(knowledge: Knowledge) -> None:
    elsewhere = {name for cause in knowledge.causes.values() if "citrus" not in cause.crops for name in cause.checks}
    for check in (knowledge.checks[name] for name in sorted(elsewhere)):
        for line in (*check.how, check.misleads):
            assert not re.search("citrus canker|canker may be about", line) or "on citrus" in line.lower(), line
