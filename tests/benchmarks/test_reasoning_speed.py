"""How quick the reasoning is on the shipped knowledge: the next question, a full look, an update after one answer.

Run with: pytest tests/benchmarks --benchmark-only
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from tests.conftest import TODAY

from sallow.answers import read_look
from sallow.commands.demo import recordings
from sallow.diagnosis import diagnose, scales_for
from sallow.diagnosis.told import answered_pairs
from sallow.knowledge.load import read_text
from sallow.knowledge.model import Knowledge
from sallow.look_facts import facts_of
from sallow.looks import Look
from sallow.reasoning.ask import Asker

Benchmark = Callable[..., Any]
NEXT_QUESTION_SECONDS = 0.010


@pytest.fixture
def look(knowledge: Knowledge) -> Look:
    path = recordings()["lemon_in_a_half_barrel"]
    return read_look(read_text(path), path.name, knowledge, TODAY)


@pytest.mark.parametrize("symptoms", [1, 2, 3])
def test_the_next_question(benchmark: Any, knowledge: Knowledge, look: Look, symptoms: int) -> None:
    from dataclasses import replace

    pale = {"part": "leaf", "leaf_change": ("colour",), "leaf_age": "newest", "colour_pattern": "even_pale"}
    odd = (pale, *look.symptoms)[:symptoms]
    shorter = replace(look, symptoms=odd, answers={}, events=())
    scales = scales_for(knowledge, shorter)
    weighed = scales.weigh(facts_of(shorter, knowledge))
    asked = tuple(answered_pairs(shorter))
    question = benchmark(lambda: Asker(scales, weighed, asked).next())
    assert question is not None
    assert benchmark.stats.stats.median <= NEXT_QUESTION_SECONDS


def test_a_full_look(benchmark: Any, knowledge: Knowledge, look: Look) -> None:
    report = benchmark(lambda: diagnose(knowledge, look))
    assert report.causes


def test_an_update_after_one_answer(benchmark: Any, knowledge: Knowledge, look: Look) -> None:
    scales = scales_for(knowledge, look)
    facts = facts_of(look, knowledge)
    values = iter(range(10**9))

    def update() -> None:
        soil = ("dry", "moist", "wet", "soggy")[next(values) % 4]
        scales.weigh(facts.with_tree("soil_at_depth", soil))

    benchmark(update)
