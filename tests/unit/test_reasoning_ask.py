"""The next question: some answer to it leads to another report, and why it is asked tells what each answer would do."""

from __future__ import annotations

import pytest
from tests.support.bases import cause_of, evidence_of, knowledge_of, sign_of

from sallow.case_runs import case_look
from sallow.diagnosis import scales_for, weigh_look
from sallow.diagnosis.told import answered_pairs
from sallow.interview.asides import change_my_mind_lines, why_lines
from sallow.interview.session import Key, Session, State
from sallow.knowledge import conditions
from sallow.knowledge.model import Knowledge, RedFlag
from sallow.look_facts import facts_of
from sallow.looks import Look
from sallow.reasoning.answering import with_answer
from sallow.reasoning.ask import TRIED_IN_PAIRS, Asker, Question
from sallow.reasoning.chain import holds
from sallow.reasoning.compile import SOMETHING_ELSE, compile_base
from sallow.reasoning.facts import Facts
from sallow.reasoning.weigh import Scales
from sallow.reasoning.words import word_for


def outcome(scales: Scales, facts: Facts) -> tuple[object, ...]:
    """What a report would say first: the causes in order with their words, and the red flags raised."""
    weighed = scales.weigh(facts)
    shown = tuple((cause, word_for(belief)) for cause, belief in weighed.ranking()[:4] if cause != SOMETHING_ELSE)
    flags = tuple(
        (candidate.id, number, scope)
        for candidate in scales.base.candidates
        for number, flag in enumerate(candidate.brief.red_flag)
        for scope in (None, *range(len(facts.symptoms)))
        if holds(flag.when, weighed.facts, weighed.conclusions, scope)
    )
    return shown, flags


def answers_to(scales: Scales, question: Question) -> list[str]:
    names = scales.names_of(question.sign)
    if names == (question.sign,):
        return list(scales.base.variables[question.sign].base)
    return [name.split(".", 1)[1] for name in names]


@pytest.fixture(scope="module")
def looks(knowledge: Knowledge) -> list[Look]:
    found = [case_look(case, knowledge) for case in knowledge.cases[::8]]
    return [look for look in found if look.symptoms]


@pytest.fixture(scope="module")
def many_looks(knowledge: Knowledge) -> list[Look]:
    """Every fourth case: a question that helps only together with another is too seldom to be met in every ninth."""
    found = [case_look(case, knowledge) for case in knowledge.cases[::4]]
    return [look for look in found if look.symptoms]


def test_no_question_is_asked_whose_answers_all_lead_to_the_same_report(
    knowledge: Knowledge, many_looks: list[Look]
) -> None:
    asked, in_pairs = 0, 0
    for look in many_looks:
        scales, facts = scales_for(knowledge, look), facts_of(look, knowledge)
        pairs = set(answered_pairs(look))
        for _ in range(4):
            asker = Asker(scales, scales.weigh(facts), pairs)
            question = asker.next()
            if question is None:
                break
            after = [
                with_answer(knowledge, facts, question.symptom, question.sign, value)
                for value in answers_to(scales, question)
            ]
            if question.reason == "change":
                assert len({outcome(scales, told) for told in after}) > 1, (look, question)
            if question.reason == "together":
                partners = [q for q in asker.candidates()[:TRIED_IN_PAIRS] if q[:2] != question[:2]]
                both = [
                    with_answer(knowledge, told, other.symptom, other.sign, value)
                    for told in after
                    for other in partners
                    for value in answers_to(scales, other)
                ]
                assert len({outcome(scales, told) for told in both}) > 1, (look, question)
                in_pairs += 1
            asked += 1
            pairs.add((question.symptom, question.sign))
            facts = after[0]
    assert asked > 20 and in_pairs > 0


def test_why_do_you_ask_names_causes_and_what_answers_would_do(knowledge: Knowledge, looks: list[Look]) -> None:
    told = 0
    for look in looks[:8]:
        scales, weighed = weigh_look(knowledge, look)
        question = Asker(scales, weighed, set(answered_pairs(look))).next()
        if question is None or question.sign.startswith("event."):
            continue
        lines = why_lines(Session(knowledge), State(look), Key("sign", question.sign, question.symptom))
        assert lines[0].startswith(("It helps to tell apart:", "By itself it moves little"))
        told += any("would speak for" in line or "would speak against" in line for line in lines[1:])
    assert told >= 3


def test_what_would_change_your_mind_is_answered_in_the_interview(knowledge: Knowledge, looks: list[Look]) -> None:
    session = Session(knowledge)
    told = [change_my_mind_lines(session, State(look)) for look in looks]
    turned = sum(any(line.endswith("would come first.") for line in lines) for lines in told)
    assert turned >= 0.6 * len(looks)


# -- red flags, on a base small enough to read -----------------------------------------------------------------------


def test_a_red_flag_is_asked_about_before_the_end() -> None:
    """Nothing left can change the next step, but a grave sign of a cause in the running is not settled."""
    grave = RedFlag(conditions.Test("ooze", frozenset(("b",))), "report_now", "Tell the plant-health office.")
    signs = [sign_of("ooze", (0.9, 0.1)), sign_of("spots", (0.5, 0.5), "leaf", defines=True)]
    spotted = evidence_of(conditions.Test("spots", frozenset(("b",))), 10.0, "spots")
    oozing = evidence_of(conditions.Test("ooze", frozenset(("b",))), 3.0, "ooze")
    blight = cause_of("blight", [spotted, oozing], red_flag=(grave,))
    scales = Scales(compile_base(knowledge_of(signs, (), [blight]), {}))
    facts = Facts({}, {}, ({"part_is": "leaf", "spots": "b"},), True)
    asker = Asker(scales, scales.weigh(facts), {(0, "spots")})
    question = asker.next()
    assert question is not None and (question.sign, question.reason) == ("ooze", "flag")
    settled = facts.with_tree("ooze", "a")
    assert not list(Asker(scales, scales.weigh(settled), {(0, "spots")}).flag_questions())
