"""A diagnosis as a plain outline: headings, sentences and items in reading order, the same for every medium."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sallow.phrases import day_words, lower_first
from sallow.report_model import Diagnosis, Ground, RankedCause, StepLine, TestLine
from sallow.values import dataclass

NOW, CONFIRMED, REFUTED, NOT_TO_DO = (
    "What to do now",
    "If a test confirms it",
    "If the tests speak against it",
    "What not to do",
)
# What a report that is read at once tells in full, and where the rest is.
TESTS_IN_FULL = 2
CAUSES_IN_FULL = 1
SOURCES_IN_SHORT = 2
IN_FULL = "sallow look --full, or the saved report"
COST_WORDS = {"free": "free", "low": "costs little", "medium": "costs some", "high": "costs more"}


@dataclass(frozen=True, slots=True)
class Line:
    """One piece of the outline. ``kind``: title, heading, cause, text, item, sub, alert, quiet or tick."""

    kind: str
    text: str


def outline(diagnosis: Diagnosis, numbers: bool = False, working: bool = False, full: bool = True) -> list[Line]:
    """The report in order. ``numbers`` adds decibans and shares, ``working`` the reckoning of amounts.

    Without ``full`` it is what one reads at once: the first tests step by step and the others by name, the reasons of
    the first causes, a few sources, and not what the person has just told.
    """
    return list(_outline(diagnosis, numbers, working, full))


def _outline(d: Diagnosis, numbers: bool, working: bool, full: bool) -> Iterator[Line]:
    yield Line("title", f"What seems to be going on: {d.title}")
    for flag in d.flags:
        if flag.tier == "report_now":
            yield Line("alert", f"REPORT NOW: {flag.name}. {flag.say}")
    if d.about_to:
        yield Line("text", d.about_to)
    yield Line("text", d.headline)
    for contradiction in d.contradictions:
        yield Line("alert", contradiction)
    yield from _ranking(d, numbers, full)
    leading = {cause.id for cause in d.causes if cause.confirmed or cause.word in ("likely", "very likely")}
    looks = [flag for flag in d.flags if flag.tier != "report_now" and flag.cause not in leading]
    if looks:
        yield Line("heading", "Worth ruling out: one look")
        for flag in looks:
            yield Line("item", f"{flag.name}: {flag.say}")
    yield from _steps(d, working, (NOW,))
    yield from _tests(d, full)
    yield from _steps(d, working, (CONFIRMED, REFUTED, NOT_TO_DO))
    yield from _listed("What nothing explains", d.unexplained)
    yield from _listed("What would change the order", d.changes)
    yield from _listed("To look at and take up later", d.to_look, "tick")
    if d.to_look or d.tests:
        yield Line(
            "text",
            "To add what you find later, save this report with a name ending in .json, "
            "and then: sallow look --follow-up THAT FILE",
        )
    if d.look_again:
        yield Line("heading", "Look again")
        yield Line("text", f"On {day_words(date.fromisoformat(d.look_again))}, {d.look_again_because}.")
    yield from _listed("Take care", d.cautions)
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
        yield Line("item", f"For: {_ground(line, numbers)}")
    for line in c.missing[:1] if full and not c.grounds_against else ():
        yield Line("item", f"Missing: what often shows it is not there. {_ground(line, False)}")
    for line in c.grounds_against[: None if full else 1]:
        yield Line("item", f"Against: {_ground(line, numbers)}")
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


def _ground(ground: Ground, numbers: bool) -> str:
    mark = "" if ground.mark == "published" else f" [{ground.mark.replace('_', ' ')}]"
    weight = f" [{ground.decibans:+.1f} dB]" if numbers else ""
    return f"{ground.text}{mark}{weight}"


def _tests(d: Diagnosis, full: bool) -> Iterator[Line]:
    if not d.tests:
        return
    yield Line("heading", "Tests that tell more, most for the least trouble first")
    told: set[str] = set()
    for number, test in enumerate(d.tests, 1):
        yield _named(test)
        if full or number <= TESTS_IN_FULL:
            yield from _test(test, told, full)
            told.update(test.how)
    if not full and len(d.tests) > TESTS_IN_FULL:
        rest = "the last one is" if len(d.tests) == TESTS_IN_FULL + 1 else "the others are"
        yield Line("text", f"How {rest} done: {IN_FULL}.")


def _named(t: TestLine) -> Line:
    wait = (
        "result at once" if t.days == 0 else f"result after about {t.days} days" if t.days > 1 else "result after a day"
    )
    causes = ", ".join(map(lower_first, t.causes))
    return Line("tick", f"{t.name} ({COST_WORDS[t.cost]}; {t.effort}; {wait}). For: {causes}.")


def _test(t: TestLine, told: set[str], full: bool) -> Iterator[Line]:
    fresh = [step for step in t.how if step not in told]
    yield Line("sub", " ".join(["Otherwise as told above."] * (len(fresh) < len(t.how)) + fresh))
    if t.need and t.need.lower() not in ("nothing", "none"):
        yield Line("sub", f"You need: {t.need}.".replace("..", "."))
    for result in t.results:
        yield Line("sub", result)
    if t.misleads and full:
        yield Line("sub", f"What can mislead: {t.misleads}")


def _steps(d: Diagnosis, working: bool, titles: tuple[str, ...]) -> Iterator[Line]:
    groups = {NOW: d.steps_now, CONFIRMED: d.steps_if_confirmed, REFUTED: d.steps_if_refuted, NOT_TO_DO: d.not_to_do}
    for title in titles:
        steps = groups[title]
        if steps:
            yield Line("heading", title)
            several = len({step.cause for step in steps}) > 1
            for step in steps:
                yield from _step(step, several, working)


def _step(step: StepLine, several: bool, working: bool) -> Iterator[Line]:
    yield Line("item", f"{step.do}{f' ({step.cause})' if several else ''}")
    for line in step.amount:
        yield Line("sub", line)
    for line in step.amount_lacks:
        yield Line("sub", f"Still needed: {line}")
    for line in step.working if working else ():
        yield Line("sub", f"Reckoning: {line}")


def _listed(title: str, lines: tuple[str, ...], kind: str = "item") -> Iterator[Line]:
    if lines:
        yield Line("heading", title)
        for line in lines:
            yield Line(kind, line)


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
    yield from _listed("What you did not type", lines)


def _small_print(d: Diagnosis, full: bool) -> Iterator[Line]:
    edges = "; ".join(f"{word}: {edge:.0%} and over" for word, edge in d.bands[:-1])
    yield Line("heading", "How far to trust this")
    for line in d.honest if full else (" ".join(d.honest),):
        yield Line("quiet", line)
    if d.causes:
        yield Line(
            "quiet",
            f"The words mean shares of belief ({edges}); 'confirmed' is earned only by a test that settles.",
        )
    for mark in d.marks:
        yield Line("quiet", f"Mark in square brackets: {mark.replace('_', ' ')}.")
    shown = d.sources[: None if full else SOURCES_IN_SHORT]
    for source in shown:
        copy = " (read in a copy or digest)" if source.second_hand else ""
        yield Line(
            "quiet",
            f"Source: {source.cite}{'' if source.cite.endswith('.') else '.'}{copy} {source.address}".rstrip(),
        )
    if not full:
        rest = len(d.sources) - len(shown)
        sources = f"{rest} more source{'s' if rest > 1 else ''} and what" if rest else "What"
        yield Line("quiet", f"{sources} you told me: {IN_FULL}.")
    overlays = f", with local files from {', '.join(d.overlays)}" if d.overlays else ""
    yield Line("version", f"Knowledge {d.knowledge_version}{overlays}.")
