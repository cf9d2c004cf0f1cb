"""The sets of answers said to put another cause first do so when they are given to the ordinary engine."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import combinations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tests.support.bases import Maker, cause_of, evidence_of, knowledge_of, sign_of

from sallow.case_runs import case_look
from sallow.diagnosis import weigh_look
from sallow.diagnosis.small_print import REPORTED_EFFORT, change_words
from sallow.diagnosis.told import answered_pairs
from sallow.knowledge.conditions import Test as Says
from sallow.knowledge.model import Knowledge
from sallow.looks import Event, Look
from sallow.reasoning.answering import with_answer
from sallow.reasoning.ask import Asker, Question
from sallow.reasoning.compile import SOMETHING_ELSE, compile_base
from sallow.reasoning.facts import Facts
from sallow.reasoning.turn import LEAST_CHANCE, Change, changes
from sallow.reasoning.weigh import Scales, Weighed

SEEDS = st.integers(0, 2**32 - 1)
LEAF = {"part_is": "leaf"}
Answers = Iterable[tuple[Question, str]]


def first(weighed: Weighed) -> str:
    return next(cause for cause, _ in weighed.ranking() if cause != SOMETHING_ELSE)


def parts(change: Change) -> Iterator[tuple[tuple[Question, str], ...]]:
    """Every part of a set that is smaller than the set."""
    for size in range(len(change.answers)):
        yield from combinations(change.answers, size)


def told(knowledge: Knowledge, facts: Facts, answers: Answers) -> Facts:
    for question, value in answers:
        facts = with_answer(knowledge, facts, question.symptom, question.sign, value)
    return facts


@settings(max_examples=80, deadline=None)
@example(310, 1)
@given(SEEDS, st.integers(1, 3))
def test_a_set_changes_the_first_cause_and_no_part_of_it_does(seed: int, symptoms: int) -> None:
    maker = Maker(seed, causes=5)
    base = compile_base(maker.knowledge, {})
    facts = maker.facts(symptoms, 0.3)
    scales = Scales(base)
    before = scales.weigh(facts)
    found = changes(scales, before, frozenset())
    assert found == changes(Scales(base), before, frozenset()), "what is remembered makes no difference"
    assert len({len(change.answers) for change in found}) <= 1
    for change in found:
        after = Scales(base).weigh(told(maker.knowledge, facts, change.answers))
        assert first(after) == change.cause != first(before)
        assert after.belief(change.cause) == pytest.approx(change.belief, abs=1e-12)
        for part in parts(change):
            weighed = Scales(base).weigh(told(maker.knowledge, facts, part))
            assert weighed.belief(first(before)) >= weighed.belief(first(weighed)) * (1 - 1e-9)


def singles(asker: Asker) -> Iterator[tuple[Question, str]]:
    """Every single answer that is likely enough."""
    for question in asker.candidates():
        for name in asker.names(question.symptom, question.sign):
            for prospect in asker.prospects(question.symptom, name):
                if prospect.chance > LEAST_CHANCE and (name == question.sign or prospect.value == "yes"):
                    yield question, prospect.value if name == question.sign else name.split(".", 1)[1]


def test_two_or_three_answers_are_named_only_where_no_single_one_would_do(knowledge: Knowledge) -> None:
    """Where longer sets are named, or none, every single answer to the published case goes to the engine."""
    tried = 0
    for case in knowledge.cases[::2]:
        look = case_look(case, knowledge)
        scales, before = weigh_look(knowledge, look)
        asked = frozenset(answered_pairs(look))
        found = changes(scales, before, asked, REPORTED_EFFORT) if look.symptoms else []
        if look.symptoms and (not found or len(found[0].answers) > 1):
            for answer in singles(Asker(scales, before, asked, hardest=REPORTED_EFFORT)):
                after = scales.weigh(told(knowledge, before.told, [answer]))
                assert first(after) == first(before) or after.conclusions.contradictions(), (case.id, answer)
                tried += 1
    assert tried > 1000


def rivals(clues: int) -> Knowledge:
    """Iron leads by one strong clue; for nitrogen there are some moderate clues that are not known yet."""
    signs = [sign_of("age", [0.5, 0.5], "leaf"), *(sign_of(f"clue{i}", [0.6, 0.4], "leaf") for i in range(clues))]
    iron = [evidence_of(Says("age", frozenset("b")), 20.0, "age")]
    moderate = [evidence_of(Says(f"clue{i}", frozenset("b")), 2.5, f"clue{i}") for i in range(clues)]
    return knowledge_of(signs, (), [cause_of("iron", iron, "common"), cause_of("nitrogen", moderate, "occasional")])


@pytest.mark.parametrize(("clues", "needed"), [(4, 3), (2, 0)])
def test_the_least_number_of_answers_is_named(clues: int, needed: int) -> None:
    knowledge = rivals(clues)
    scales = Scales(compile_base(knowledge, {}))
    weighed = scales.weigh(Facts({}, {}, ({**LEAF, "age": "b"},), True))
    assert first(weighed) == "iron"
    found = changes(scales, weighed, frozenset())
    assert [len(change.answers) for change in found[:1]] == ([needed] if needed else [])
    for change in found:
        assert change.cause == "nitrogen"
        words = change_words(knowledge, change, several=False)
        assert words.startswith("Nitrogen would come first only if the answer to 'What about clue")
        assert words.count("were 'answer 1'") == 3


def with_look_answers(knowledge: Knowledge, look: Look, answers: Answers) -> Look:
    """The look with the answers given as a person gives them."""
    for question, value in answers:
        if question.sign.startswith("event."):
            kind = knowledge.events[question.sign.split(".", 1)[1]]
            place = int(value[1:])
            within = kind.labels[place] if place < len(kind.labels) else "never"
            look = look.with_event(Event(kind.id, within=within), kind.id)
            continue
        sign = knowledge.signs[question.sign]
        given: object = value
        if sign.kind == "several":
            given = (value,)
        elif sign.kind == "number":
            bounds = [answer.below for answer in sign.answers.values()]
            place = list(sign.answers).index(value)
            low = bounds[place - 1] if place else (sign.least or 0.0)
            given = float(low or 0.0)
        look = look.with_answer(question.symptom, question.sign, given)  # type: ignore[arg-type]
    return look


def test_sets_named_for_the_published_cases_hold_when_answered(knowledge: Knowledge) -> None:
    sizes: dict[int, int] = {}
    looks = [look for case in knowledge.cases[::3] if (look := case_look(case, knowledge)).symptoms]
    looks.append(Look(date(2026, 5, 20), {"crop": "lemon"}, symptoms=({"part": "leaf"},)))
    for look in looks:
        scales, before = weigh_look(knowledge, look)
        for change in changes(scales, before, frozenset(answered_pairs(look)), REPORTED_EFFORT):
            _, after = weigh_look(knowledge, with_look_answers(knowledge, look, change.answers))
            assert first(after) == change.cause != first(before)
            for part in parts(change):
                _, less = weigh_look(knowledge, with_look_answers(knowledge, look, part))
                assert first(less) == first(before)
            sizes[len(change.answers)] = sizes.get(len(change.answers), 0) + 1
    print(f"\nSets of answers that would put another cause first, by size: {dict(sorted(sizes.items()))}")
    assert sizes[1] > 50
    assert sizes[2] > 0
