"""What a person can ask amid an interview: why do you ask, what do you think so far, what would change it."""

from __future__ import annotations

from sallow.diagnosis import scales_for
from sallow.diagnosis.small_print import change_lines
from sallow.diagnosis.told import answered_pairs
from sallow.interview.session import Key, Session, State
from sallow.look_facts import facts_of
from sallow.looks import Value
from sallow.phrases import answer_words, event_words, lower_first, question_words, value_words
from sallow.reasoning.compile import SOMETHING_ELSE
from sallow.reasoning.words import word_for


def why_lines(session: Session, state: State, key: Key) -> list[str]:
    """Which causes the question separates, and what each answer would do."""
    fixed = {
        "crop": "What can be wrong, and what is normal, differs from tree to tree.",
        "date": "The season tells much: pale leaves in late winter mean something else than in summer.",
        "word": "The place decides which troubles are common, and which season it is.",
        "intention": "Most harm comes from what one was about to do; the report answers that first.",
        "part": "Each odd thing is weighed by itself, so that two troubles at once are not mixed up.",
    }
    if key.kind in fixed:
        return [fixed[key.kind]]
    knowledge = session.knowledge
    sign = f"event.{key.id}" if key.kind == "event" else key.id
    asker = session.asker(state.look)
    names = asker.names(key.symptom, sign)
    if not names:
        return ["Every look begins with this; what follows depends on it."]
    causes = asker.weighed.causes
    lines = []
    for name in names:
        now = asker.shares(key.symptom)
        for prospect in asker.prospects(key.symptom, name):
            if name != sign and prospect.value == "no":
                continue
            moved = sorted(range(len(causes)), key=lambda i: (-abs(prospect.beliefs[i] - now[i]), causes[i]))[:2]
            told = [
                move_words(session, causes[i], now[i], prospect.beliefs[i])
                for i in moved
                if causes[i] != SOMETHING_ELSE
            ]
            value = name.split(".", 1)[1] if name != sign and not sign.startswith("event.") else prospect.value
            if any(told):
                lines.append(f"'{answer_words(knowledge, sign, value)}': {', '.join(filter(None, told))}")
    return lines[:12] or ["By itself it moves little; together with the next answers it may."]


def move_words(session: Session, cause: str, before: float, after: float) -> str:
    """How an answer would move a cause, or '' when it hardly would."""
    if abs(after - before) < 0.01:
        return ""
    return (
        f"{lower_first(session.knowledge.causes[cause].name)} {'up' if after > before else 'down'} to {word_for(after)}"
    )


def so_far_lines(session: Session, state: State) -> list[str]:
    """What the answers so far point to."""
    if not state.look.symptoms:
        return ["Nothing yet: tell me first what is odd."]
    weighed = session.weighed(state.look)
    lines = []
    for cause, belief in weighed.ranking()[:4]:
        if belief >= 0.02:
            name = (
                "something that is not in this knowledge base"
                if cause == SOMETHING_ELSE
                else session.knowledge.causes[cause].name
            )
            lines.append(f"{word_for(belief)}: {name[:1].lower() + name[1:]}")
    return lines or ["Nothing stands out yet."]


def change_my_mind_lines(session: Session, state: State) -> list[str]:
    """The answers that would put another cause first."""
    if not state.look.symptoms:
        return ["Nothing yet: tell me first what is odd."]
    scales = scales_for(session.knowledge, state.look)
    weighed = scales.weigh(facts_of(state.look, session.knowledge))
    return list(change_lines(session.knowledge, scales, weighed, frozenset(answered_pairs(state.look)))) or [
        "No single answer left would."
    ]


def given_words(session: Session, state: State, key: Key) -> str:
    """An answer given before, as 'question: answer'."""
    knowledge, look = session.knowledge, state.look
    if key.kind == "sign":
        value: Value | None = look.answer(key.symptom, key.id)
        words = value_words(knowledge.signs[key.id], value) if value is not None else ""
        where = f"odd thing {key.symptom + 1}: " if key.symptom is not None else ""
        return f"{where}{knowledge.signs[key.id].ask} {words}"
    if key.kind == "event":
        event = next(e for e in look.events if e.what == key.id)
        return f"{question_words(knowledge, 'event.' + key.id)} {event_words(event)}"
    if key.kind == "intention":
        return f"What you were about to do: {knowledge.intentions[look.about_to].say}"
    if key.kind == "crop":
        return f"The tree: {knowledge.crops[str(look.tree['crop'])].name}"
    prompt = session.prompt(key, state)
    return (
        f"{prompt.ask} {dict((*prompt.options, *prompt.extras)).get(str(look.tree.get(key.id)), look.tree.get(key.id))}"
    )
