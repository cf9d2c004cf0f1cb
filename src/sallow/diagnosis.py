"""One look from answers to a Diagnosis value; pure, so that it can be mapped over many looks."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta

from sallow import diagnosis_parts as parts
from sallow.answers import Look, context_of, facts_of, look_as_data
from sallow.knowledge.model import Knowledge
from sallow.phrases import PART_WORDS, capital, context_words, day_words
from sallow.reasoning.compile import SOMETHING_ELSE, compile_base
from sallow.reasoning.weigh import Scales, Weighed
from sallow.reasoning.words import BANDS, at_least
from sallow.report_model import Diagnosis, RankedCause

# Below this belief in its leading cause a look says that it cannot tell.
CANNOT_TELL_BELOW = 0.35
SHOWN_FROM = 0.1
MOST_CAUSES = 5
_scales: dict[tuple[int, tuple[tuple[str, str], ...]], Scales] = {}


def scales_for(knowledge: Knowledge, look: Look) -> Scales:
    """The scales for a look's context, kept for the next look of the same kind."""
    context = context_of(look, knowledge)
    key = (id(knowledge), tuple(sorted(context.items())))
    if key not in _scales:
        if len(_scales) > 64:
            _scales.clear()
        _scales[key] = Scales(compile_base(knowledge, context))
    return _scales[key]


def weigh_look(knowledge: Knowledge, look: Look) -> tuple[Scales, Weighed]:
    """The scales of a look and the weighed look."""
    scales = scales_for(knowledge, look)
    return scales, scales.weigh(facts_of(look, knowledge))


def diagnose(knowledge: Knowledge, look: Look, asked: Collection[tuple[int | None, str]] = ()) -> Diagnosis:
    """Everything a report shows, worked out from one look. Same knowledge and look, same result."""
    scales, weighed = weigh_look(knowledge, look)
    ranked = ranked_causes(knowledge, look, scales, weighed)
    result = result_of(look, weighed, ranked)
    flags = parts.flags(scales, weighed)
    shown = [cause for cause in ranked if result != "nothing_odd"]
    tests = parts.tests(knowledge, look, shown)
    steps = parts.steps(knowledge, look, scales, weighed, shown)
    again, again_because = look_again(knowledge, look, ranked, result)
    used = parts.sources_used(knowledge, shown, weighed)
    all_asked = frozenset(asked) | frozenset(parts.answered_pairs(look))
    return Diagnosis(
        result=result,
        headline=headline(knowledge, look, ranked, result),
        about_to=parts.about_to(knowledge, look, weighed, ranked),
        title=title(knowledge, look),
        date=look.date.isoformat(),
        seen=parts.seen(knowledge, look),
        flags=flags,
        causes=tuple(shown),
        minor=parts.minor(knowledge, weighed, shown),
        upstream=parts.upstream(knowledge, weighed, shown),
        findings=tuple((name, knowledge.findings[name].says) for name in weighed.conclusions.true_findings()),
        tests=tests,
        steps_now=steps["now"],
        steps_if_confirmed=steps["confirmed"],
        steps_if_refuted=steps["refuted"],
        not_to_do=steps["not_to_do"],
        cautions=parts.cautions(knowledge, tests, steps, flags),
        unexplained=parts.unexplained(look, weighed),
        changes=parts.change_lines(knowledge, scales, weighed, all_asked) if look.symptoms else (),
        contradictions=parts.contradictions(knowledge, look, scales, weighed),
        to_look=parts.to_look(knowledge, look),
        look_again=again.isoformat() if again else "",
        look_again_because=again_because,
        sources=used,
        marks=parts.marks_used(shown),
        honest=parts.honest_lines(knowledge, look),
        bands=BANDS,
        something_else=weighed.belief(SOMETHING_ELSE),
        answers=weighed.answers,
        discount=weighed.discount,
        knowledge_version=knowledge.version,
        overlays=knowledge.overlays,
        look=look_as_data(look),
    )


def ranked_causes(knowledge: Knowledge, look: Look, scales: Scales, weighed: Weighed) -> list[RankedCause]:
    """The causes worth showing: all that are possible, and the first one whatever it is."""
    if not look.symptoms:
        return []
    ranking = [(cause, belief) for cause, belief in weighed.ranking() if cause != SOMETHING_ELSE and belief > 0]
    kept = [pair for pair in ranking if pair[1] >= SHOWN_FROM or parts.confirmed(knowledge, look, pair[0])][:MOST_CAUSES]
    return [parts.ranked_cause(knowledge, look, scales, weighed, cause, belief) for cause, belief in kept or ranking[:2]]


def result_of(look: Look, weighed: Weighed, ranked: list[RankedCause]) -> str:
    """Which of the four results this is."""
    if not look.symptoms:
        return "nothing_odd"
    if not ranked or (not ranked[0].confirmed and (ranked[0].belief < CANNOT_TELL_BELOW or weighed.belief(SOMETHING_ELSE) > ranked[0].belief)):
        return "cannot_tell"
    if ranked[0].kind == "normal" and at_least(ranked[0].belief, "likely") and all(c.kind == "normal" or not at_least(c.belief, "likely") for c in ranked):
        return "leave_alone"
    return "causes"


def title(knowledge: Knowledge, look: Look) -> str:
    """Whose look this is: the tree's name or its kind, and the day."""
    crop = context_words(look, knowledge, "crop") if look.tree.get("crop") else "a fruit tree"
    name = look.name or str(look.tree.get("name") or "")
    return f"{name + ', ' if name else ''}{crop}, {day_words(look.date)}"


def headline(knowledge: Knowledge, look: Look, ranked: list[RankedCause], result: str) -> str:
    """The result in one or two sentences."""
    if result == "nothing_odd":
        return "You saw nothing odd. Below is the walk-round for this time of year; a tree that looks well may need nothing at all."
    if result == "cannot_tell":
        best = f" The best of several guesses is {lower(ranked[0].name)}, but do not act on it." if ranked else ""
        return f"I cannot tell from this.{best} The tests below would help most; until then, leave the tree alone."
    if result == "leave_alone":
        return f"This is {degree(ranked[0])} nothing to worry about: {lower(ranked[0].name)}. Leave it alone and look again."
    leaders = [cause for cause in ranked if at_least(cause.belief, "likely") or cause.confirmed]
    if len(look.symptoms) > 1 and len(leaders) > 1:
        return "Probably more than one thing is going on: " + "; ".join(f"{lower(c.name)} ({degree(c)}{about(look, c)})" for c in leaders) + "."
    first = ranked[0]
    others = [lower(cause.name) for cause in ranked[1:3]]
    tail = f" Also possible: {' or '.join(others)}." if others and not first.confirmed else ""
    return f"{capital(degree(first))}: {lower(first.name)}.{tail}"


def about(look: Look, cause: RankedCause) -> str:
    """', for the leaves' when a cause explains some of several symptoms."""
    if not cause.explains or len(cause.explains) == len(look.symptoms):
        return ""
    words = [PART_WORDS[str(look.symptoms[j].get("part", "leaf"))] for j in cause.explains]
    return f", for odd thing {' and '.join(str(j + 1) for j in cause.explains)}: {' and '.join(dict.fromkeys(words))}"


def degree(cause: RankedCause) -> str:
    """'confirmed', or the word for the belief."""
    return "confirmed" if cause.confirmed else cause.word


def lower(name: str) -> str:
    """A name inside a sentence: its first letter small unless it is a capital word."""
    return name if name[:2].isupper() or name.split()[0] in ("Asian", "Texas", "Phytophthora", "Verticillium", "Armillaria", "Alternaria") else name[:1].lower() + name[1:]


def look_again(knowledge: Knowledge, look: Look, ranked: list[RankedCause], result: str) -> tuple[date | None, str]:
    """When to look again, and what for."""
    if result == "nothing_odd":
        return look.date + timedelta(days=90), "for the next seasonal walk-round"
    if result == "cannot_tell" or not ranked:
        return look.date + timedelta(days=14), "to see whether it spreads, and with the results of the tests"
    days = knowledge.causes[ranked[0].id].recovery_days or 28
    return look.date + timedelta(days=days), "to see whether new growth is clean, and to note what the tests showed"
