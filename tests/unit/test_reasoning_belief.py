"""Belief against enumeration of every explanation; undo; not sure; order."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from tests.support.bases import Maker, large_base
from tests.support.enumeration import all_explanations, shared_out, summed

from sallow.reasoning.compile import compile_base
from sallow.reasoning.explanations import Beliefs, believe
from sallow.reasoning.facts import Facts
from sallow.reasoning.weigh import Scales, Weighed
from sallow.reasoning.worlds import few_enough, waited_for

SEEDS = st.integers(0, 2**32 - 1)
SYMPTOMS = st.integers(1, 3)
CLOSE = 1e-9


class Numbers:
    """Random priors, likelihood ratios and overlaps, over many orders of magnitude; the last cause overlaps none."""

    def __init__(self, seed: int, size: int, symptoms: int) -> None:
        random = Random(seed)
        raw = [random.uniform(0.01, 1.0) for _ in range(size)]
        self.priors = [value / sum(raw) for value in raw]
        self.tree = [10 ** random.uniform(-3, 3) for _ in range(size)]
        self.rows = [[10 ** random.uniform(-4, 3) for _ in range(size)] for _ in range(symptoms)]
        for row in self.rows:
            row[random.randrange(size - 1)] = 0.0
        spread = random.choice((0.2, 0.8))
        linked = [cause for cause in range(size - 1) if random.random() < spread]
        self.overlaps = {
            (a, b): 10 ** random.uniform(-1, 1) for a in linked for b in linked if a < b and random.random() < 0.6
        }
        self.linked = {
            cause: max([1.0, *(1 / w for pair, w in self.overlaps.items() if cause in pair)]) for cause in linked
        }

    def overlap(self, a: int, b: int) -> float:
        return self.overlaps.get((min(a, b), max(a, b)), 1.0)


def same(beliefs: Beliefs, expected: tuple[list[list[float]], list[float], list[float]]) -> None:
    for row, other in zip(beliefs.of_symptom, expected[0], strict=True):
        assert row == pytest.approx(other, abs=CLOSE)
    assert beliefs.member == pytest.approx(expected[1], abs=CLOSE)
    assert beliefs.count == pytest.approx(expected[2], abs=CLOSE)


@settings(max_examples=120, deadline=None)
@given(SEEDS, st.integers(3, 8), SYMPTOMS)
def test_belief_equals_the_sum_over_all_explanations(seed: int, size: int, symptoms: int) -> None:
    n = Numbers(seed, size, symptoms)
    expected = all_explanations(n.priors, n.tree, n.rows, n.overlap)
    same(believe(n.priors, n.tree, n.rows, n.overlap), expected)
    same(believe(n.priors, n.tree, n.rows, n.overlap, n.linked), expected)


@settings(max_examples=20, deadline=None)
@given(SEEDS, st.integers(2, 3))
def test_belief_among_many_causes_does_not_depend_on_which_are_paired_one_by_one(seed: int, symptoms: int) -> None:
    n = Numbers(seed, 50, symptoms)
    all_paired = believe(n.priors, n.tree, n.rows, n.overlap)
    same(
        believe(n.priors, n.tree, n.rows, n.overlap, n.linked),
        ([list(row) for row in all_paired.of_symptom], list(all_paired.member), list(all_paired.count)),
    )


@settings(max_examples=40, deadline=None)
@given(SEEDS, SYMPTOMS)
@example(3702, 2)  # two causes that leave each other no answer
def test_a_weighed_look_equals_the_sum_over_all_explanations(seed: int, symptoms: int) -> None:
    maker = Maker(seed, causes=6)
    scales = Scales(compile_base(maker.knowledge, {}))
    weighed = scales.weigh(maker.facts(symptoms))
    told = every_answer(scales, weighed)
    assume(len(told) <= 300)
    observed = tuple(
        sorted(
            name
            for name, value in weighed.facts.tree.items()
            if name in scales.informative and not value.startswith("~")
        )
    )
    worlds = []
    for share, facts in told:
        world = scales.weigh(facts, answers=weighed.answers)
        rows = [[share * ratio for ratio in world.symptoms[0]], *world.symptoms[1:]]
        worlds.append(summed(scales.priors, world.tree, rows, lambda a, b: scales.overlaps.overlap(a, b, observed)))
    same(weighed.beliefs, shared_out(worlds))
    for row in weighed.beliefs.of_symptom:
        assert sum(row) == pytest.approx(1.0)


def every_answer(scales: Scales, weighed: Weighed) -> list[tuple[float, Facts]]:
    """The facts with every answer to what evidence of the tree still waits for, each with its chance by base rates."""
    told = [(1.0, weighed.told)]
    places = waited_for(scales, weighed.facts, scales.pseudo_values(weighed.facts))
    for symptom, name in places if few_enough(scales, weighed.facts, places) else ():
        told = [
            (share * rate, facts.with_symptom(symptom, name, value))
            for share, facts in told
            for value, rate in scales.base.variables[name].base.items()
        ]
    return told


def apart(_: int, __: int) -> float:
    return 1.0


@pytest.mark.parametrize("symptoms", [2, 3])
def test_causes_added_to_the_knowledge_do_not_make_two_causes_likelier(symptoms: int) -> None:
    counts = []
    for size in (10, 100, 1000):
        priors = [0.92 / size] * size + [0.08]
        flat = [1.0] * (size + 1)
        counts.append(believe(priors, flat, [flat] * symptoms, apart, {}).count[0])
    for few, many in pairwise(counts):
        assert few == pytest.approx(many, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(SEEDS, SYMPTOMS)
def test_undo_restores_the_very_same_numbers(seed: int, symptoms: int) -> None:
    maker = Maker(seed, causes=5)
    base = compile_base(maker.knowledge, {})
    more = maker.facts(symptoms, share=0.9)
    fewer = maker.fewer(more)
    used, fresh = Scales(base), Scales(base)
    before = used.weigh(fewer)
    used.weigh(more)
    assert numbers(used.weigh(fewer)) == numbers(before) == numbers(fresh.weigh(fewer))


@settings(max_examples=40, deadline=None)
@given(SEEDS, SYMPTOMS)
def test_the_order_of_answers_and_of_symptom_words_does_not_matter(seed: int, symptoms: int) -> None:
    maker = Maker(seed, causes=5)
    base = compile_base(maker.knowledge, {})
    facts = maker.facts(symptoms, share=0.8)

    def turned(values: object) -> dict[str, str]:
        items = list(dict(values).items())  # type: ignore[call-overload]
        maker.random.shuffle(items)
        return dict(items)

    other = Facts({}, turned(facts.tree), tuple(turned(row) for row in facts.symptoms), facts.closed)
    assert numbers(Scales(base).weigh(facts)) == numbers(Scales(base).weigh(other))


@settings(max_examples=40, deadline=None)
@given(SEEDS, SYMPTOMS)
def test_forgetting_an_answer_equals_never_having_given_it(seed: int, symptoms: int) -> None:
    maker = Maker(seed, causes=5)
    scales = Scales(compile_base(maker.knowledge, {}))
    facts = maker.facts(symptoms)
    unknown = [name for name in maker.tree_values if name not in facts.tree]
    for name in unknown:
        told = facts.with_tree(name, maker.tree_values[name][0])
        assert numbers(scales.weigh(told.with_tree(name, None))) == numbers(scales.weigh(facts))


def test_an_interview_remembers_no_more_than_it_may() -> None:
    scales = Scales(compile_base(large_base(0.2), {}))
    maker = Random(5)
    names = [name for name, variable in scales.base.variables.items() if not variable.of_symptom]
    before = scales.weigh(Facts({}, {}, ({"part_is": "leaf"},), True))
    scales.likelihoods.memory.most = 200
    for _ in range(60):
        tree = {name: maker.choice(sorted(scales.base.variables[name].base)) for name in maker.sample(names, 6)}
        scales.weigh(Facts({}, tree, ({"part_is": "leaf"},), True))
    assert scales.likelihoods.remembered() <= 5 * 200
    assert numbers(scales.weigh(Facts({}, {}, ({"part_is": "leaf"},), True))) == numbers(before)


def numbers(weighed: Weighed) -> tuple[object, ...]:
    return weighed.tree, weighed.symptoms, weighed.beliefs, weighed.discount, weighed.conclusions.bits
