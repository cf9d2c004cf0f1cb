"""A diagnosis as a plain outline: headings, sentences and items in reading order, the same for every medium."""

from __future__ import annotations

from collections.abc import Iterator

from sallow.render.first_screen import cut_for, first_screen, first_test, steps_at_once
from sallow.render.lines import Line, ground_words, listed, named_test, step_lines, test_lines
from sallow.report_model import Diagnosis, RankedCause

__all__ = ["Line", "outline", "the_rest"]
CONFIRMED, REFUTED, NOT_TO_DO = (
    "If a test confirms it",
    "If the tests speak against it",
    "What not to do",
)
# What a report that is read at once tells in full, and where the rest is.
FURTHER_TESTS_IN_FULL = 1
CAUSES_IN_FULL = 1
IN_FULL = "in the saved report"


def outline(diagnosis: Diagnosis, numbers: bool = False, working: bool = False, full: bool = True) -> list[Line]:
    """The report in order: the answer on one screen, then the rest. ``numbers`` adds decibans and shares, ``working``
    the reckoning of amounts.

    Without ``full`` it is what one reads at once: the first tests step by step and the others by name, the reasons of
    the first causes, and not what the person has just told.
    """
    return [*first_screen(diagnosis, numbers, working, full), *the_rest(diagnosis, numbers, working, full)]


def the_rest(d: Diagnosis, numbers: bool = False, working: bool = False, full: bool = True) -> Iterator[Line]:
    """What stands below the first screen: reasons, further tests, what each result leads to, cautions, small print."""
    more = () if full else d.steps_now[len(steps_at_once(d, cut_for(d))) :]
    if more:
        yield Line("heading", "More to do now")
        yield from step_lines(more, len({step.cause for step in d.steps_now}) > 1, working, False)
    yield from _ranking(d, numbers, full)
    yield from _further_tests(d, full)
    refuted = [step for step in d.steps_if_refuted if full or step.cause == d.causes[0].name]
    groups = ((CONFIRMED, d.steps_if_confirmed), (REFUTED, refuted), (NOT_TO_DO, d.not_to_do))
    for title, steps in groups:
        if steps:
            yield Line("heading", title)
            yield from step_lines(steps, len({step.cause for step in steps}) > 1, working, full)
    yield from listed("What nothing explains", d.unexplained)
    yield from listed("What would change the order", d.changes)
    yield from listed("To look at and take up later", d.to_look, "tick")
    if not full:
        commands = (step.command for step in (*d.steps_now, *d.steps_if_confirmed) if step.command)
        yield from listed("To work out the amounts", tuple(dict.fromkeys(commands)))
    if d.to_look or d.tests:
        yield Line(
            "text",
            "To add what you find later, save this report with a name ending in .json, "
            "and then: sallow look --follow-up THAT FILE",
        )
    yield from listed("Take care", d.cautions)
    yield from _seen(d) if full else _taken_over(d)
    yield from _small_print(d, full)


def _ranking(d: Diagnosis, numbers: bool, full: bool) -> Iterator[Line]:
    if not d.causes:
        return
    yield Line("heading", "What is probably behind it")
    for number, cause in enumerate(d.causes, 1):
        yield from _cause(number, cause, numbers, len(d.look["symptoms"]), full or number <= CAUSES_IN_FULL)
    if d.minor:
        names = "; ".join(
            f"{name[:1].lower() + name[1:]}{f' ({share:.1%})' if numbers else ''}" for name, _, share in d.minor
        )
        yield Line("quiet", f"Weighed and found unlikely: {names}.")
    if numbers:
        yield Line(
            "quiet",
            f"Something not in this knowledge base: {d.something_else:.1%}. "
            f"{d.answers} telling answers, discount {d.discount:.2f}.",
        )


def _cause(number: int, c: RankedCause, numbers: bool, symptoms: int, full: bool) -> Iterator[Line]:
    word = "confirmed" if c.confirmed else c.word
    where = ""
    if symptoms > 1 and c.explains:
        where = f" (odd thing {' and '.join(str(j + 1) for j in c.explains)})"
    share = f" [{c.belief:.1%}, {c.decibans:+.1f} dB]" if numbers else ""
    yield Line("cause", f"{number}. {c.name}: {word}{where}{share}")
    yield Line("text", c.summary)
    for line in c.grounds_for[: None if full else 1]:
        yield Line("item", f"For: {ground_words(line, numbers)}")
    for line in c.missing[:1] if full and not c.grounds_against else ():
        yield Line("item", f"Missing: what often shows it is not there. {ground_words(line, False)}")
    for line in c.grounds_against[: None if full else 1]:
        yield Line("item", f"Against: {ground_words(line, numbers)}")
    if c.chain:
        yield Line(
            "item",
            "What may have brought it on, first things first: " + " -> ".join((*c.chain, c.name)) + ".",
        )
    if c.explained_away:
        yield Line("item", c.explained_away)
    if not full:
        return
    if c.look_alike:
        yield Line("item", c.look_alike + "." * (not c.look_alike.endswith(".")))
    if c.note:
        yield Line("item", c.note)


def _further_tests(d: Diagnosis, full: bool) -> Iterator[Line]:
    first = first_test(d)
    further = [test for test in d.tests if test is not first]
    if first is None or not further:
        return
    yield Line("heading", "Further tests, most for the least trouble first")
    told = set(first.how)
    for number, test in enumerate(further, 1):
        yield named_test(test, len(d.causes) > 1)
        if full or number <= FURTHER_TESTS_IN_FULL:
            yield from test_lines(test, frozenset(told), None, full)
            told.update(test.how)
    if not full and len(further) > FURTHER_TESTS_IN_FULL:
        rest = "the last one is" if len(further) == FURTHER_TESTS_IN_FULL + 1 else "the others are"
        yield Line("text", f"How {rest} done stands {IN_FULL}.")


def _seen(d: Diagnosis) -> Iterator[Line]:
    if not d.seen:
        return
    yield Line("heading", "What you told me")
    for title, lines in d.seen:
        yield Line("text", f"{title}:")
        for line in lines:
            yield Line("item", line)


def _taken_over(d: Diagnosis) -> Iterator[Line]:
    """What nobody typed: lines that say where they come from."""
    origins = set(d.look.get("origins", {}).values())
    lines = tuple(line for _, told in d.seen for line in told if any(f"({origin})" in line for origin in origins))
    yield from listed("What you did not type", lines)


def _small_print(d: Diagnosis, full: bool) -> Iterator[Line]:
    yield Line("heading", "How far to trust this")
    yield Line("quiet", " ".join(d.honest))
    if d.causes:
        edges = "; ".join(f"{word}: {edge:.0%} and over" for word, edge in d.bands[:-1])
        yield Line("quiet", f"Shares of belief ({edges}); only a test that settles earns 'confirmed'.")
    for mark in d.marks:
        yield Line("quiet", mark)
    for source in d.sources if full else ():
        copy = " (read in a copy or digest)" if source.second_hand else ""
        yield Line(
            "quiet",
            f"Source: {source.cite}{'' if source.cite.endswith('.') else '.'}{copy} {source.address}".rstrip(),
        )
    if not full:
        count = len(d.sources)
        sources = f"The {count} sources" if count > 1 else "The source" if count else ""
        yield Line("quiet", f"{f'{sources} and what' if sources else 'What'} you told me: {IN_FULL}, or with --full.")
    overlays = f", with local files from {', '.join(d.overlays)}" if d.overlays else ""
    yield Line("version", f"Knowledge {d.knowledge_version}{overlays}.")
