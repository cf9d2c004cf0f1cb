"""How quick the reasoning is beside other engines, beside itself without memory, and on larger bases.

Ratios measured in one run bind; milliseconds inform. Run with: pytest tests/benchmarks --benchmark-only -s
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from random import Random
from statistics import median
from time import process_time
from typing import Any

import pytest
from tests.support.bases import large_base

from sallow.case_runs import case_look
from sallow.diagnosis import diagnose
from sallow.knowledge.model import Knowledge
from sallow.look_facts import context_of, facts_of
from sallow.looks import Look
from sallow.reasoning.ask import Asker
from sallow.reasoning.chain import Program, run
from sallow.reasoning.compile import Base, compile_base
from sallow.reasoning.facts import Facts
from sallow.reasoning.following import fill_implied
from sallow.reasoning.stored import remembering
from sallow.reasoning.weigh import Scales
from sallow.values import replace

TIMES_CLIPS = 10
TIMES_BARE_LOOP = 4
SHARE_OF_FULL_WORK = 0.1
LOOKS_A_SECOND = 200
QUESTIONS = 10


def seconds(work: Callable[[], object], repeats: int = 5) -> float:
    """The least processor time of some repeats."""
    times = []
    for _ in range(repeats):
        start = process_time()
        work()
        times.append(process_time() - start)
    return min(times)


@pytest.fixture(scope="module")
def looks(knowledge: Knowledge) -> list[Look]:
    return [case_look(case, knowledge) for case in knowledge.cases]


@pytest.fixture(scope="module")
def facts(knowledge: Knowledge, looks: list[Look]) -> list[Facts]:
    return [fill_implied(knowledge, facts_of(look, knowledge)) for look in looks]


@pytest.fixture(scope="module")
def program(knowledge: Knowledge) -> Program:
    return compile_base(knowledge, {}).program


def set_inclusion(rules: Sequence[tuple[frozenset[int], int]], cases: Iterable[frozenset[int]]) -> int:
    """The bare loop: which rules hold, without chaining."""
    held = 0
    for case in cases:
        found = []
        for need, head in rules:
            if need <= case:
                found.append(head)
        held += len(found)
    return held


def as_set(mask: int) -> frozenset[int]:
    return frozenset(place for place in range(mask.bit_length()) if mask >> place & 1)


def test_findings_beside_clips_and_a_bare_loop(
    benchmark: Any, knowledge: Knowledge, facts: list[Facts], program: Program
) -> None:
    pytest.importorskip("clips", reason="clipspy is a dev extra")
    from tests.support.clips_rules import Rules

    rules = Rules(knowledge)
    clips = seconds(lambda: [rules.told(one) for one in facts], 3)
    needs = [(as_set(rule.need), rule.head) for rule in program.rules]
    cases = [as_set(run(program, one).bits) for one in facts]
    bare = seconds(lambda: set_inclusion(needs, cases))
    ours = seconds(lambda: [run(program, one) for one in facts])
    benchmark(lambda: [run(program, one) for one in facts])
    count = len(facts)
    print(f"\nFindings of {count} cases, microseconds a case: sallow {ours / count * 1e6:.1f}, "
          f"CLIPS {clips / count * 1e6:.1f} ({clips / ours:.0f} times), bare loop {bare / count * 1e6:.1f} "
          f"(sallow takes {ours / bare:.1f} times as long)")  # fmt: skip
    assert clips >= TIMES_CLIPS * ours
    assert ours <= TIMES_BARE_LOOP * bare


def test_full_looks_a_second(benchmark: Any, knowledge: Knowledge, looks: list[Look]) -> None:
    """From the compiled knowledge, as the program works: looks of contexts met before, and each look of a new one."""
    stored, some = replace(knowledge, stored=remembering(knowledge)), looks[:40]
    for look in looks:
        compile_base(stored, context_of(look, stored))
    benchmark(lambda: [diagnose(stored, look) for look in some])
    rate = len(some) / seconds(lambda: [diagnose(stored, look) for look in some], 3)
    mixed = len(looks) / seconds(lambda: [diagnose(stored, look) for look in looks], 1)
    contexts = len({tuple(context_of(look, stored).items()) for look in looks})
    print(f"\nFull looks (findings, belief, report as data): {rate:.0f} a second of processor time; the goal is "
          f"{LOOKS_A_SECOND}; {mixed:.0f} a second over {len(looks)} looks of {contexts} contexts")  # fmt: skip


def test_an_update_beside_a_full_recomputation(benchmark: Any, knowledge: Knowledge, looks: list[Look]) -> None:
    """Full: nothing remembered. Update: one more answer, with what this look and others as long left in memory; also
    shown for the first look of its length, when the discount is new and every ratio that is touched is worked out."""
    shares, first_shares, full_times = [], [], []
    for look in looks:
        known = facts_of(look, knowledge)
        if len(known.tree) < 3:
            continue
        base = compile_base(knowledge, context_of(look, knowledge))
        for name in list(known.tree)[:3]:
            less = known.with_tree(name, None)
            full = seconds(lambda: Scales(base).weigh(known), 3)  # noqa: B023
            first = min(seconds(partial(prepared(base, less).weigh, known), 1) for _ in range(3))
            fresh = prepared(base, less)
            fresh.weigh(known)
            fresh.weigh(less)
            shares.append(seconds(lambda: fresh.weigh(known), 3) / full)  # noqa: B023
            first_shares.append(first / full)
            full_times.append(full)
    scales = Scales(base)
    benchmark(lambda: scales.weigh(known))
    print(f"\nUpdate after one answer, share of a full recomputation ({median(full_times) * 1000:.1f} ms): "
          f"{median(shares):.3f}; the first time at a new discount {median(first_shares):.3f}")  # fmt: skip
    assert median(shares) <= SHARE_OF_FULL_WORK


def prepared(base: Base, facts: Facts) -> Scales:
    """Scales that have weighed these facts and nothing else."""
    scales = Scales(base)
    scales.weigh(facts)
    return scales


def interview(scales: Scales, symptoms: int, random: Random) -> list[float]:
    """The time from each answer to the next question, in one random interview."""
    tree: dict[str, str] = {}
    leaves = [{"part_is": "leaf"} for _ in range(symptoms)]
    asked: set[tuple[int | None, str]] = set()
    times = []
    for _ in range(QUESTIONS):
        known = Facts({}, dict(tree), tuple(dict(leaf) for leaf in leaves), True)
        start = process_time()
        question = Asker(scales, scales.weigh(known), asked).next()
        times.append(process_time() - start)
        if question is None:
            break
        asked.add((question.symptom, question.sign))
        value = random.choice(list(scales.base.variables[question.sign].base))
        (tree if question.symptom is None else leaves[question.symptom])[question.sign] = value
    return times


def first_and_warm(base: Base, symptoms: int) -> tuple[float, float]:
    """The time to the very first question, and the median to a next one when other looks went before."""
    firsts = [interview(Scales(base), symptoms, Random(0))[0] for _ in range(3)]
    scales, warm = Scales(base), []
    for number in range(8):
        times = interview(scales, symptoms, Random(number))
        warm += times if number >= 4 else []
    return min(firsts), median(warm)


def test_the_next_question_on_larger_bases(benchmark: Any) -> None:
    print("\nNext question on generated bases, milliseconds (first from compiled knowledge / median, warm):")
    warm: dict[tuple[int, int], float] = {}
    for scale in (1, 3, 10, 30):
        base = compile_base(large_base(scale), {})
        shown = []
        for symptoms in (1, 2, 3):
            first, warm[scale, symptoms] = first_and_warm(base, symptoms)
            shown.append(f"{first * 1000:6.1f} / {warm[scale, symptoms] * 1000:5.1f}")
        print(f"  {150 * scale:5} causes, {1000 * scale:6} pieces of evidence; 1, 2, 3 symptoms: {'   '.join(shown)}")
    scales = Scales(compile_base(large_base(1), {}))
    benchmark(lambda: interview(scales, 1, Random(1)))
    # About linear: thirty times the base takes no more than twice thirty times as long.
    assert all(warm[30, symptoms] <= 60 * warm[1, symptoms] for symptoms in (1, 2, 3))
