"""Chaining: the compiled engine against a plain one; learning more; contradictions; what a finding rests on."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.support.bases import Maker, cause_of, evidence_of, knowledge_of, sign_of
from tests.support.oracle import fixpoint

from sallow.knowledge.conditions import All, Finds, Not
from sallow.knowledge.conditions import Test as Says
from sallow.knowledge.model import Finding, FindingRule, Knowledge
from sallow.reasoning.chain import Conclusions, run
from sallow.reasoning.compile import compile_base
from sallow.reasoning.explain import answers_behind, finding_support
from sallow.reasoning.facts import Facts
from sallow.reasoning.weigh import Scales

SEEDS = st.integers(0, 2**32 - 1)


def concluded(knowledge: Knowledge, facts: Facts) -> Conclusions:
    return run(compile_base(knowledge, {}).program, facts)


def told(conclusions: Conclusions, knowledge: Knowledge) -> set[tuple[str, bool]]:
    sides = {name: conclusions.told(name) for name in knowledge.findings}
    return {(name, side) for name, pair in sides.items() for side in (True, False) if pair[0 if side else 1]}


@settings(max_examples=150, deadline=None)
@given(SEEDS, st.booleans(), st.integers(0, 3))
def test_compiled_chaining_tells_what_the_plain_engine_tells(seed: int, circular: bool, symptoms: int) -> None:
    maker = Maker(seed, causes=1, findings=8, circular=circular)
    for _ in range(4):
        facts = maker.facts(symptoms)
        assert told(concluded(maker.knowledge, facts), maker.knowledge) == fixpoint(maker.knowledge, facts)


@settings(max_examples=150, deadline=None)
@given(SEEDS, st.booleans(), st.integers(0, 3))
def test_learning_more_never_takes_back_a_conclusion(seed: int, circular: bool, symptoms: int) -> None:
    maker = Maker(seed, causes=1, findings=8, circular=circular)
    more = maker.facts(symptoms, share=0.8)
    fewer = maker.fewer(more)
    before = concluded(maker.knowledge, fewer)
    after = concluded(maker.knowledge, more)
    assert told(before, maker.knowledge) <= told(after, maker.knowledge)
    assert set(before.contradictions()) <= set(after.contradictions())
    assert {rule.index for name in maker.knowledge.findings for rule in before.rules_for(name, True)} <= {
        rule.index for name in maker.knowledge.findings for rule in after.rules_for(name, True)
    }


@settings(max_examples=60, deadline=None)
@given(SEEDS, st.booleans())
def test_the_order_of_rules_and_findings_does_not_matter(seed: int, circular: bool) -> None:
    maker = Maker(seed, causes=1, findings=8, circular=circular)
    facts = maker.facts(2)
    shuffled = list(maker.knowledge.findings.values())
    maker.random.shuffle(shuffled)
    other = replace(
        maker.knowledge,
        findings={f.id: replace(f, rules=tuple(maker.random.sample(f.rules, len(f.rules)))) for f in shuffled},
    )
    assert told(concluded(maker.knowledge, facts), maker.knowledge) == told(concluded(other, facts), other)


def ladder(length: int) -> Knowledge:
    """Findings that each need the one before, named so that reading them in order of name runs against the chain,
    and that read each other in a circle through a rule that never holds."""
    names = [f"f{length - i:04}" for i in range(length)]
    start, never = Says("t0", frozenset("b")), Says("t0", frozenset("c"))
    findings = []
    for place, name in enumerate(names):
        before = Finds(names[place - 1]) if place else start
        last = All((never, Finds(names[(place + 1) % length])))
        rules = (
            FindingRule(last, True, "never", (), "published"),
            FindingRule(before, True, "from the one before", (), "published"),
            FindingRule(before, False, "and told false too", (), "published"),
        )
        findings.append(Finding(name, name, name, name, rules))
    return knowledge_of([sign_of("t0", [0.3, 0.3, 0.4])], findings)


def test_a_long_chain_in_a_circle_is_followed_to_its_end() -> None:
    knowledge = ladder(60)
    conclusions = concluded(knowledge, Facts({}, {"t0": "b"}))
    assert len(conclusions.true_findings()) == 60
    assert len(conclusions.contradictions()) == 60
    assert not concluded(knowledge, Facts({}, {"t0": "a"})).true_findings()


def wet_and_dry() -> Knowledge:
    """One finding that leads to another which one answer tells true and another tells false."""
    signs = [sign_of("soil", [0.5, 0.5]), sign_of("water", [0.5, 0.5]), sign_of("hole", [0.5, 0.5])]
    heavy = Finding(
        "heavy",
        "Heavy ground",
        "the ground is heavy",
        "",
        (FindingRule(Says("soil", frozenset("b")), True, "clay", ("a_book",), "published"),),
    )
    wet = Finding(
        "wet",
        "Wet roots",
        "the roots are too wet",
        "the roots are not too wet",
        (
            FindingRule(All((Finds("heavy"), Says("water", frozenset("b")))), True, "daily water", (), "memory"),
            FindingRule(Says("hole", frozenset("b")), False, "the hole was dry", (), "published"),
        ),
    )
    return knowledge_of(signs, [heavy, wet], [cause_of("rot", [evidence_of(Finds("wet"), 10.0, "roots")])])


def test_a_contradiction_is_reported_with_both_chains_down_to_the_answers() -> None:
    knowledge = wet_and_dry()
    scales = Scales(compile_base(knowledge, {}))
    weighed = scales.weigh(Facts({}, {"soil": "b", "water": "b", "hole": "b"}, ({"part_is": "leaf"},), True))
    assert weighed.conclusions.contradictions() == ("wet",)
    assert weighed.conclusions.told("wet") == (True, True)
    (yes,) = finding_support(scales, weighed, "wet", True)
    (no,) = finding_support(scales, weighed, "wet", False)
    assert (yes.because, yes.mark, no.because) == ("daily water", "memory", "the hole was dry")
    assert [deeper.finding for deeper in yes.support.findings] == ["heavy"]
    assert yes.support.findings[0].source == ("a_book",)
    assert set(answers_behind(yes.support)) == {(None, "soil"), (None, "water")}
    assert answers_behind(no.support) == ((None, "hole"),)


def test_a_finding_told_both_ways_is_read_on_its_own_side_by_each_condition() -> None:
    knowledge = wet_and_dry()
    both = replace(
        knowledge,
        findings={
            **knowledge.findings,
            "x": Finding("x", "x", "x", "", (FindingRule(Finds("wet"), True, "wet", (), "published"),)),
            "y": Finding("y", "y", "y", "", (FindingRule(Not(Finds("wet")), True, "dry", (), "published"),)),
        },
    )
    conclusions = concluded(both, Facts({}, {"soil": "b", "water": "b", "hole": "b"}))
    assert conclusions.told("x") == (True, False)
    assert conclusions.told("y") == (True, False)
