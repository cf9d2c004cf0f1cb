"""What an explanation says is what the weighing did."""

from __future__ import annotations

from math import log10

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.support.bases import Maker, cause_of, evidence_of, knowledge_of, sign_of
from tests.support.oracle import fixpoint, holds

from sallow.knowledge.conditions import All, Not, Some
from sallow.knowledge.conditions import Test as Says
from sallow.knowledge.model import Knowledge
from sallow.reasoning.compile import compile_base
from sallow.reasoning.explain import effective_decibans, missing, reasons, support, unknown
from sallow.reasoning.facts import Facts
from sallow.reasoning.weigh import Scales

SEEDS = st.integers(0, 2**32 - 1)
LEAF = {"part_is": "leaf"}


def two_causes() -> Knowledge:
    """Iron shows on the newest leaves, nitrogen on the oldest; heavy soil speaks against iron."""
    signs = [
        sign_of("age", [0.4, 0.3, 0.3], "leaf"),
        sign_of("veins", [0.6, 0.4], "leaf"),
        sign_of("soil", [0.5, 0.5]),
    ]
    newest, oldest = Says("age", frozenset("b")), Says("age", frozenset("c"))
    iron = [
        evidence_of(newest, 6.0, "age"),
        evidence_of(All((newest, Says("veins", frozenset("b")))), 10.0, "age"),
        evidence_of(oldest, -10.0, "age"),
        evidence_of(Says("soil", frozenset("b")), -3.0, "soil"),
    ]
    return knowledge_of(signs, (), [cause_of("iron", iron), cause_of("nitrogen", [evidence_of(oldest, 10.0, "age")])])


def weighed_with(tree: dict[str, str], leaf: dict[str, str]):  # type: ignore[no-untyped-def]
    scales = Scales(compile_base(two_causes(), {}))
    return scales, scales.weigh(Facts({}, tree, ({**LEAF, **leaf},), True))


def test_the_weightiest_reason_of_a_clue_stands_for_it_with_its_discounted_weight() -> None:
    scales, weighed = weighed_with({"soil": "b"}, {"age": "b", "veins": "b"})
    assert weighed.answers == 3
    found = reasons(scales, weighed, "iron")
    assert [(r.evidence.about, r.symptom) for r in found] == [("age", 0), ("soil", None)]
    assert found[0].decibans == pytest.approx(10.0 / (1 + scales.rho * 2))
    assert found[1].decibans == pytest.approx(-3.0 / (1 + scales.rho * 2))
    assert not missing(scales, weighed, "iron")


def test_what_is_missing_and_what_is_unknown_are_kept_apart() -> None:
    scales, weighed = weighed_with({}, {"age": "c"})
    assert [r.evidence.decibans for r in missing(scales, weighed, "iron")] == [10.0]
    assert [r.evidence.decibans for r in unknown(scales, weighed, "iron")] == []
    scales, weighed = weighed_with({}, {"age": "b"})
    assert [r.evidence.decibans for r in unknown(scales, weighed, "iron")] == [10.0]
    assert not missing(scales, weighed, "iron")


def test_effective_decibans_are_those_of_the_likelihood_ratio() -> None:
    _, weighed = weighed_with({"soil": "b"}, {"age": "b"})
    place = weighed.causes.index("iron")
    assert effective_decibans(weighed, "iron") == pytest.approx(
        10 * log10(weighed.tree[place] * weighed.symptoms[0][place])
    )


@settings(max_examples=60, deadline=None)
@given(SEEDS, st.integers(1, 3))
def test_reasons_hold_and_none_that_holds_outweighs_them(seed: int, symptoms: int) -> None:
    maker = Maker(seed, causes=4)
    scales = Scales(compile_base(maker.knowledge, {}))
    weighed = scales.weigh(maker.facts(symptoms))
    told = fixpoint(maker.knowledge, weighed.facts)
    for cause in maker.knowledge.causes.values():
        found = {(r.evidence.about, r.decibans > 0, r.symptom): r for r in reasons(scales, weighed, cause.id)}
        for reason in found.values():
            assert holds(reason.evidence.when, True, weighed.facts, reason.symptom, told)
            assert reason.decibans == pytest.approx(reason.evidence.decibans * weighed.discount)
        for evidence in cause.evidence:
            for scope in (None, *range(symptoms)):
                key = (evidence.about, evidence.decibans > 0, scope)
                if key in found and holds(evidence.when, True, weighed.facts, scope, told) and not evidence.rules_out:
                    assert abs(found[key].evidence.decibans) >= abs(evidence.decibans)


def test_what_a_condition_rests_on_is_named_with_its_symptom() -> None:
    scales, _ = weighed_with({}, {})
    weighed = scales.weigh(Facts({}, {"soil": "a"}, ({**LEAF, "age": "a"}, {**LEAF, "age": "b"}), True))
    either = Some(Says("age", frozenset("b")))
    both = All((either, Not(Says("soil", frozenset("b")))))
    assert support(scales, weighed, both, None).answers == ((1, "age"), (None, "soil"))
