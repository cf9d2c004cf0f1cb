"""The result in one or two sentences."""

from __future__ import annotations

from sallow.diagnosis.causes import family
from sallow.knowledge.model import Knowledge
from sallow.looks import Look
from sallow.phrases import PART_WORDS, capital, context_words, day_words, lower_first
from sallow.reasoning.words import at_least, word_for
from sallow.report_model import RankedCause


def title(knowledge: Knowledge, look: Look) -> str:
    """Whose look this is: the tree's name or its kind, and the day."""
    crop = context_words(look, knowledge, "crop") if look.tree.get("crop") else "a fruit tree"
    name = look.name or str(look.tree.get("name") or "")
    return f"{name + ', ' if name else ''}{crop}, {day_words(look.date)}"


def headline(knowledge: Knowledge, look: Look, ranked: list[RankedCause], result: str) -> str:
    """The result in one or two sentences."""
    if result == "nothing_odd":
        return (
            "You saw nothing odd. Below is the walk-round for this time of year; "
            "a tree that looks well may need nothing at all."
        )
    if result == "cannot_tell":
        best = f" The best of several guesses is {lower_first(ranked[0].name)}, but do not act on it." if ranked else ""
        return f"I cannot tell from this.{best} The tests below would help most; until then, leave the tree alone."
    if result == "leave_alone":
        harmless = [cause for cause in ranked if cause.kind == "normal"]
        word = degree(ranked[0])
        names = [lower_first(ranked[0].name)]
        if not ranked[0].confirmed and not at_least(ranked[0].belief, "likely"):
            word = word_for(min(sum(cause.belief for cause in harmless), 1.0))
            names = [lower_first(cause.name) for cause in harmless[:2]]
        return f"This is {word} nothing to worry about: {' or '.join(names)}. Leave it alone and look again."
    leaders = [cause for cause in ranked if at_least(cause.belief, "likely") or cause.confirmed]
    if len(look.symptoms) > 1 and len(leaders) > 1:
        return (
            "Probably more than one thing is going on: "
            + "; ".join(f"{lower_first(c.name)} ({degree(c)}{about(look, c)})" for c in leaders)
            + "."
        )
    first = ranked[0]
    kin = family(knowledge, ranked, first)
    if len(kin) > 1 and not first.confirmed and not at_least(first.belief, "likely"):
        word = word_for(min(sum(cause.belief for cause in kin), 1.0))
        chain = " -> ".join(lower_first(cause.name) for cause in kin)
        return f"{capital(word)}, taken together as one chain: {chain}. A test comes before any step."
    others = [lower_first(cause.name) for cause in ranked[1:3]]
    tail = f" Also possible: {' or '.join(others)}." if others and not first.confirmed else ""
    return f"{capital(degree(first))}: {lower_first(first.name)}.{tail}"


def about(look: Look, cause: RankedCause) -> str:
    """', for the leaves' when a cause explains some of several symptoms."""
    if not cause.explains or len(cause.explains) == len(look.symptoms):
        return ""
    words = [PART_WORDS[str(look.symptoms[j].get("part", "leaf"))] for j in cause.explains]
    return f", for odd thing {' and '.join(str(j + 1) for j in cause.explains)}: {' and '.join(dict.fromkeys(words))}"


def degree(cause: RankedCause) -> str:
    """'confirmed', or the word for the belief."""
    return "confirmed" if cause.confirmed else cause.word
