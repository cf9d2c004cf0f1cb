"""A simulated grower: answers what a look knows and 'not sure' to all else, until the interview has no more to ask."""

from __future__ import annotations

from sallow.interview.recording import recorded_answer
from sallow.interview.session import Session, start
from sallow.knowledge.model import Knowledge
from sallow.looks import Look
from sallow.values import replace

MOST_QUESTIONS = 80


def interviewed(knowledge: Knowledge, look: Look) -> tuple[list[str], str]:
    """Play a look. Returns (signs and events that were asked, in order; the cause that leads at the end)."""
    session = Session(knowledge)
    state = start(look.date)
    # A case names the kind of climate; the grower would have told winters, summers and heat.
    state = replace(state, look=state.look.with_tree("climate", look.tree.get("climate")))
    asked: list[str] = []
    for _ in range(MOST_QUESTIONS):
        prompt = session.next_prompt(state)
        if prompt is None:
            break
        if prompt.key.kind in ("sign", "event"):
            asked.append(prompt.key.id)
        state = session.answer(state, prompt.key, recorded_answer(knowledge, look, state, prompt.key))
    return asked, session.weighed(state.look).ranking()[0][0]
