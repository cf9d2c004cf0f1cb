"""What a person can ask amid an interview: why do you ask, what do you think so far, what would change it."""

from __future__ import annotations

from collections.abc import Mapping

from sallow.diagnosis import scales_for
from sallow.diagnosis.small_print import change_lines
from sallow.diagnosis.steps import IN_FAVOUR, spoken_of
from sallow.diagnosis.told import answered_pairs
from sallow.interview.session import Key, Session, State
from sallow.look_facts import facts_of
from sallow.looks import SILENT, Value
from sallow.phrases import PART_WORDS, answer_words, day_words, event_words, lower_first, question_words, value_words
from sallow.reasoning.ask import Asker
from sallow.reasoning.compile import SOMETHING_ELSE
from sallow.reasoning.outlook import Prospect
from sallow.reasoning.words import at_least, word_for

MOST_LINES = 8
# What a person can do while standing at the tree, on the scale of a sign's effort.
TODAY_EFFORT = 4.0
# An answer speaks for a cause when the cause makes it this much more usual than it is at large.
REAL_MARGIN = 1.25
_CLIMATE = "Winters, rain and heat tell the kind of climate, and with it which troubles are common there."
OPENING = {
    "grown_in": "A pot dries out, fills with roots and salts up sooner than open ground; in a lawn grass competes, and "
    "what is given to the grass reaches the tree.",
    "winters": _CLIMATE,
    "summers": _CLIMATE,
    "heat": _CLIMATE,
    "climate": _CLIMATE,
    "hemisphere": "With the day of the look it tells which season your tree is in.",
    "age_years": "What is usual, what goes wrong and how much a tree is given all change with its age.",
    "looks_well": "A tree that does poorly as a whole points to roots, water or trunk; one that does well can wait.",
}


def why_lines(session: Session, state: State, key: Key) -> list[str]:
    """Which causes the question separates, and what each answer would do."""
    fixed = {
        "crop": "What can be wrong, and what is normal, differs from tree to tree.",
        "date": "The season tells much: pale leaves in late winter mean something else than in summer.",
        "intention": "Most harm comes from what one was about to do; the report answers that first.",
        "other": "A report is only as good as what it knows; whatever you tested or saw since can be told here.",
        "which": "Several things I know of fit that word; one of them at a time.",
        "part": "Each odd thing is weighed by itself, so that two troubles at once are not mixed up.",
    }
    if key.kind in fixed:
        return [fixed[key.kind]]
    if key.id in OPENING and (key.kind == "word" or not state.look.symptoms):
        return [OPENING[key.id]]
    knowledge = session.knowledge
    sign = f"event.{key.id}" if key.kind == "event" else key.id
    asker = session.asker(state.look)
    names = asker.names(key.symptom, sign)
    if not names:
        return ["It belongs to the picture of the tree; what is asked next depends on it."]
    lines = [told_apart(session, asker, key.symptom, names)]
    listed = {option for option, _ in session.prompt(key, state).options} | {"yes", "no"}
    banded = key.kind == "sign" and knowledge.signs[key.id].kind == "number"
    for name in sorted(names):
        for prospect in asker.prospects(key.symptom, name):
            value = name.split(".", 1)[1] if name != sign and not sign.startswith("event.") else prospect.value
            if (name == sign or prospect.value == "yes") and (banded or value in listed):
                moves = move_words(session, asker, key.symptom, name, prospect)
                if moves:
                    lines.append(f"'{answer_words(knowledge, sign, value)}' would {moves}")
    return lines[: MOST_LINES + 1]


def told_apart(session: Session, asker: Asker, symptom: int | None, names: list[str]) -> str:
    """The causes that the answers move most, in one sentence."""
    now = asker.shares(symptom)
    moved: dict[int, float] = {}
    for name in names:
        for prospect in asker.prospects(symptom, name):
            for i, belief in enumerate(prospect.beliefs):
                moved[i] = max(moved.get(i, 0.0), abs(belief - now[i]))
    causes = asker.weighed.causes
    ranked = sorted(moved, key=lambda i: (-moved[i], causes[i]))
    top = [i for i in ranked if causes[i] != SOMETHING_ELSE and moved[i] >= 0.01]
    if not top:
        return "By itself it moves little; together with the next answers it may."
    words = [lower_first(session.knowledge.causes[causes[i]].name) for i in top[:4]]
    return f"It helps to tell apart: {', '.join(words)}."


def move_words(session: Session, asker: Asker, symptom: int | None, name: str, prospect: Prospect) -> str:
    """What an answer would speak for and against, without numbers.

    A cause that only gains because others lose is not named, nor one whose own evidence only speaks against other
    answers: the answer itself says nothing for it.
    """
    now, spoken = asker.shares(symptom), asker.spoken(symptom, name)
    column_values = list(asker.base(symptom, name))
    column = spoken.columns[column_values.index(prospect.value)]
    ratios = dict(zip(spoken.speakers, column, strict=True))
    causes = asker.weighed.causes
    change = {i: prospect.beliefs[i] - now[i] for i in range(len(causes)) if causes[i] != SOMETHING_ELSE}
    if not change:
        return ""
    gaining = [
        i
        for i in change
        if change[i] >= 0.02
        and ratios.get(i, 1.0) >= REAL_MARGIN
        and favours(session, causes[i], name, prospect.value, len(column_values))
    ]
    losing = [i for i in change if change[i] <= -0.02 and ratios.get(i, 1.0) < 1.0]
    parts = []
    if gaining:
        up = max(gaining, key=lambda i: (change[i], causes[i]))
        parts.append(f"speak for {lower_first(session.knowledge.causes[causes[up]].name)}")
    if losing:
        down = min(losing, key=lambda i: (change[i], causes[i]))
        parts.append(f"speak against {lower_first(session.knowledge.causes[causes[down]].name)}")
    return " and ".join(parts)


def favours(session: Session, cause: str, name: str, value: str, answers: int) -> bool:
    """Whether the evidence of a cause speaks for an answer, or the answer is one of two of which it names the other."""
    return answers <= 2 or spoken_of(session.knowledge, cause).get((name, value)) == IN_FAVOUR


def so_far_lines(session: Session, state: State) -> list[str]:
    """What the answers so far point to."""
    if not state.look.symptoms:
        return ["Nothing yet: tell me first what is odd."]
    weighed = session.weighed(state.look)
    first = next((belief for cause, belief in weighed.ranking() if cause != SOMETHING_ELSE), 0.0)
    if not at_least(first, "possible") or not any(told_of(symptom) for symptom in state.look.symptoms):
        return ["Nothing stands out yet."]
    lines = []
    for cause, belief in weighed.ranking()[:4]:
        if belief >= 0.05:
            name = (
                "something that is not in this knowledge base"
                if cause == SOMETHING_ELSE
                else session.knowledge.causes[cause].name
            )
            lines.append(f"{word_for(belief)}: {name[:1].lower() + name[1:]}")
    return lines


def told_of(symptom: Mapping[str, Value]) -> bool:
    """Whether anything was told of an odd thing besides the part it is on."""
    return any(key != "part" and not (isinstance(value, str) and value in SILENT) for key, value in symptom.items())


def change_my_mind_lines(session: Session, state: State) -> list[str]:
    """The answers that would put another cause first."""
    if not state.look.symptoms:
        return ["Nothing yet: tell me first what is odd."]
    scales = scales_for(session.knowledge, state.look)
    weighed = scales.weigh(facts_of(state.look, session.knowledge))
    asked = frozenset(answered_pairs(state.look))
    return list(change_lines(session.knowledge, scales, weighed, asked, TODAY_EFFORT)) or [
        "I found no one or two answers left to give that would put another cause first."
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
        return f"{question_words(knowledge, 'event.' + key.id)} {event_words(event, knowledge)}"
    if key.kind == "part" and key.symptom is not None:
        return f"Odd thing {key.symptom + 1}: {PART_WORDS[str(look.symptoms[key.symptom]['part'])]}"
    if key.kind == "date":
        return f"The day of the look: {day_words(look.date)}"
    if key.kind == "intention":
        return f"What you were about to do: {knowledge.intentions[look.about_to].say}"
    if key.kind == "crop":
        return f"The tree: {knowledge.crops[str(look.tree['crop'])].name}"
    prompt = session.prompt(key, state)
    return (
        f"{prompt.ask} {dict((*prompt.options, *prompt.extras)).get(str(look.tree.get(key.id)), look.tree.get(key.id))}"
    )
