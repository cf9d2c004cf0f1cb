"""The findings beside CLIPS (through clipspy): the same conclusions on more than 2,000 random cases."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from random import Random

import pytest

pytest.importorskip("clips", reason="clipspy is a dev extra")

from tests.support.bases import Maker
from tests.support.clips_rules import Rules

from sallow.knowledge.load import load
from sallow.knowledge.model import PARTS, Knowledge
from sallow.reasoning.chain import run
from sallow.reasoning.compile import Base, compile_base
from sallow.reasoning.facts import OVERLOOKED, Facts
from sallow.reasoning.variables import context_values

KNOWLEDGE = Path(__file__).parents[2] / "knowledge"
BASES, CASES, SHIPPED_CASES = 60, 30, 700

pytestmark = pytest.mark.proof


def ours(base: Base, facts: Facts) -> set[tuple[str, bool]]:
    conclusions = run(base.program, facts)
    return {
        (name, side)
        for name in base.knowledge.findings
        for side, told in zip((True, False), conclusions.told(name), strict=True)
        if told
    }


def random_facts(random: Random, knowledge: Knowledge, base: Base) -> Facts:
    """Answers to a random share of everything that can be asked."""

    def some(values: Mapping[str, tuple[str, ...]], share: float) -> dict[str, str]:
        return {name: random.choice((*row, OVERLOOKED)) for name, row in values.items() if random.random() < share}

    rows = {name: tuple(variable.base) for name, variable in base.variables.items() if not name.startswith("some.")}
    tree = {name: row for name, row in rows.items() if not base.variables[name].of_symptom}
    leaf = {name: row for name, row in rows.items() if base.variables[name].of_symptom}
    context = {name: random.choice(row) for name, row in context_values(knowledge).items() if random.random() < 0.8}
    symptoms = tuple(
        {**some(leaf, random.uniform(0.2, 0.9)), "part_is": random.choice(PARTS)} for _ in range(random.randint(0, 3))
    )
    return Facts(context, some(tree, random.uniform(0.1, 0.9)), symptoms, random.random() < 0.5)


@pytest.mark.parametrize("circular", [False, True])
def test_random_rule_bases_give_the_same_findings_as_clips(circular: bool) -> None:
    told = 0
    for seed in range(BASES):
        maker = Maker(seed, causes=1, findings=6, circular=circular)
        base, rules = compile_base(maker.knowledge, {}), Rules(maker.knowledge)
        for number in range(CASES):
            facts = maker.facts(number % 4, share=0.3 + 0.6 * (number % 3) / 2)
            expected = rules.told(facts)
            assert ours(base, facts) == expected, (seed, number, facts)
            told += len(expected)
    assert told > BASES * CASES


def test_the_shipped_findings_are_the_same_as_those_of_clips() -> None:
    knowledge = load([KNOWLEDGE])
    base, rules, random = compile_base(knowledge, {}), Rules(knowledge), Random(4)
    seen: set[tuple[str, bool]] = set()
    for number in range(SHIPPED_CASES):
        facts = random_facts(random, knowledge, base)
        expected = rules.told(facts)
        assert ours(base, facts) == expected, (number, facts)
        seen |= expected
    assert {name for name, side in seen if side} == set(knowledge.findings)
