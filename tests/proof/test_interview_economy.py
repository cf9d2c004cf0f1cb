"""Interview economy: a simulated grower who answers what a published case knows, and 'not sure' to all else."""

from __future__ import annotations

from dataclasses import replace
from statistics import mean

import pytest

from sallow.case_runs import case_look
from sallow.diagnosis import diagnose
from sallow.interview.recording import recorded_answer
from sallow.interview.session import Session, start
from sallow.knowledge.model import Knowledge
from sallow.looks import Look

MOST_QUESTIONS = 60
ABOUT_THE_TREE = ("crop", "date", "word", "intention")


def decision(knowledge: Knowledge, look: Look) -> tuple[object, ...]:
    """The first cause and the steps for now."""
    report = diagnose(knowledge, look)
    return (report.causes[0].id if report.causes else "", tuple(step.do for step in report.steps_now))


def questions_needed(knowledge: Knowledge, whole: Look) -> tuple[int, int]:
    """How many questions were put until the decision was, and stayed, that of all answers together.

    Returns (questions about the trouble, all questions); the second also counts the fixed ones about the tree.
    """
    session = Session(knowledge)
    state = start(whole.date)
    aim = decision(knowledge, whole)
    trouble = everything = 0
    reached: tuple[int, int] | None = None
    for _ in range(MOST_QUESTIONS):
        prompt = session.next_prompt(state)
        if prompt is None:
            break
        state = session.answer(state, prompt.key, recorded_answer(knowledge, whole, state, prompt.key))
        everything += 1
        opening = prompt.key.kind in ABOUT_THE_TREE or prompt.key.id in ("age_years", "looks_well")
        trouble += not opening
        if not state.look.symptoms:
            continue
        if decision(knowledge, replace(state.look, no_more_symptoms=True)) == aim:
            reached = reached or (trouble, everything)
        else:
            reached = None
    return reached or (trouble, everything)


@pytest.mark.proof
def test_a_simulated_grower_reaches_the_decision_in_few_questions(
    knowledge: Knowledge, capsys: pytest.CaptureFixture[str]
) -> None:
    looks = [case_look(case, knowledge) for case in knowledge.cases]
    counts = [questions_needed(knowledge, look) for look in looks if look.symptoms]
    trouble, everything = sorted(c[0] for c in counts), sorted(c[1] for c in counts)
    ninetieth = trouble[int(0.9 * (len(trouble) - 1))]
    with capsys.disabled():
        print(
            f"\nInterview economy over {len(counts)} cases: questions about the trouble until the decision stands: "
            f"mean {mean(trouble):.1f}, 90th percentile {ninetieth}; "
            f"with the fixed questions about the tree: mean {mean(everything):.1f}."
        )
    assert mean(trouble) <= 12
    assert ninetieth <= 18
