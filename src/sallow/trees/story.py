"""The story of one tree in order of time: seen, thought, done, and what came of it, with small charts."""

from __future__ import annotations

import re
import textwrap
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from sallow.trees import chart
from sallow.trees.amounts import GRAMS
from sallow.trees.dates import say_date
from sallow.trees.model import Event, Look
from sallow.trees.words import CAME_OF_IT, label_of, plain, say_event

_LABEL_WIDTH = 10
_DATE_WIDTH = 18
_NARROW = 60
_ANALYSIS = re.compile(r"\b(\d{1,2}(?:\.\d+)?)-\d{1,2}(?:\.\d+)?-\d{1,2}(?:\.\d+)?\b")


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the story: its day, how exactly that is known, a label, and what to say."""

    day: date
    precision: str
    label: str
    words: str


@dataclass(frozen=True, slots=True)
class Series:
    """Numbers of one kind over the years, ready for a chart; ``low`` and ``high`` fix its scale, and ``yearly`` tells
    that each point is a whole year."""

    title: str
    points: tuple[chart.Point, ...]
    note: str = ""
    low: float | None = None
    high: float | None = None
    yearly: bool = False


def entries(events: Iterable[Event], looks: Iterable[Look]) -> list[Entry]:
    """All entries, oldest first; on one day what was done comes before what was seen."""
    found = [Entry(event.when, event.precision, label_of(event), say_event(event)) for event in events]
    before: Look | None = None
    for look in looks:
        found += [Entry(look.day, "day", label, plain(words)) for label, words in _of_look(look, before)]
        before = look
    return sorted(found, key=lambda entry: entry.day)


def _of_look(look: Look, before: Look | None) -> Iterable[tuple[str, str]]:
    if look.came_of_it:
        yield "came of it", CAME_OF_IT[look.came_of_it]
    for place, words in enumerate(look.seen or ("looked at; nothing was put in words",)):
        yield "" if place else "seen", words
    if len(look.trees) > 1:
        yield "", f"(the same look covers {len(look.trees)} trees)"
    if look.likely:
        yield "thought", "; ".join(look.likely)
    for check in look.checks:
        ready = f", result about {say_date(check.ready)}" if check.ready else ""
        yield "to test", (check.name or check.check.replace("_", " ")) + ready
    same = before is not None and len(look.steps) > 1 and look.steps == before.steps
    for step in ("the same as after the look before",) if same else look.steps:
        yield "to do", step
    if look.look_again:
        yield "", f"look again: {say_date(look.look_again)}"
    for photo in look.photos:
        yield "photo", photo


def tell(story: Sequence[Entry], width: int) -> list[str]:
    """The entries as lines of at most ``width`` cells; a date is written once."""
    lines: list[str] = []
    last = ""
    for entry in story:
        when = say_date(entry.day, entry.precision)
        shown = "" if when == last else when
        last = when
        if width >= _NARROW:
            lead, hang = (
                f"  {shown:<{_DATE_WIDTH}}{entry.label:<{_LABEL_WIDTH}}  ",
                4 + _DATE_WIDTH + _LABEL_WIDTH,
            )
        else:
            if shown:
                lines.append(f"  {shown}")
            lead, hang = f"    {entry.label:<{_LABEL_WIDTH}}  ", 6 + _LABEL_WIDTH
        lines += textwrap.wrap(entry.words or "-", width, initial_indent=lead, subsequent_indent=" " * hang)
    return lines


def series(events: Sequence[Event]) -> list[Series]:
    """What can be drawn: shoot growth, leaf colour, leaf nitrogen, feeding per year."""
    found = [
        Series("Shoot growth in a season, cm", _measured(events, "shoot_growth"), low=0),
        Series("Leaf colour, 1 yellow to 5 dark green", _measured(events, "leaf_colour"), low=1, high=5),
        Series("Leaf nitrogen, % of dry leaf", _measured(events, "leaf_nitrogen")),
    ]
    return [item for item in (*found, _feeding(events)) if item.points]


def _measured(events: Sequence[Event], measure: str) -> tuple[chart.Point, ...]:
    return tuple(
        chart.Point(event.when, event.amount)
        for event in events
        if event.what == "measured" and event.subject == measure and event.amount is not None
    )


def _feeding(events: Sequence[Event]) -> Series:
    """Grams a year: of nitrogen when every weighed feeding names its analysis, else of what was given."""
    fed = [event for event in events if event.what == "fed"]
    weighed = [event for event in fed if event.amount is not None and event.unit in GRAMS]
    shares = [_ANALYSIS.search(event.product) for event in weighed]
    as_nitrogen = bool(weighed) and all(shares)
    by_year: defaultdict[int, float] = defaultdict(float)
    for event, share in zip(weighed, shares, strict=True):
        grams = (event.amount or 0.0) * GRAMS[event.unit]
        by_year[event.when.year] += grams * float(share[1]) / 100 if as_nitrogen and share else grams
    if by_year:
        for year in range(min(by_year), max(by_year)):
            by_year[year] += 0.0
    title = "Nitrogen given in a year, g" if as_nitrogen else "Fed in a year, g of product"
    left_out = len(fed) - len(weighed)
    note = f"{left_out} feeding{'' if left_out == 1 else 's'} without a weight left out" if left_out else ""
    points = tuple(chart.Point(date(year, 7, 1), by_year[year]) for year in sorted(by_year))
    return Series(title, points, note, low=0, yearly=True)


def draw_series(item: Series, *, width: int, unicode: bool) -> list[str]:
    """The title and the chart, or one sentence when there is a single number."""
    note = f" ({item.note})" if item.note else ""
    lines = chart.draw(
        item.points, width=width - 2, unicode=unicode, low=item.low, high=item.high, years=item.yearly
    )
    if not lines:
        return textwrap.wrap(single_words(item), width)
    return [f"{item.title}{note}", *("  " + line for line in lines)]


def single_words(item: Series) -> str:
    """A series of one number as a sentence."""
    note = f" ({item.note})" if item.note else ""
    point = item.points[-1]
    if item.yearly:
        return f"{item.title}: {point.value:.4g} in {point.day.year}{note}."
    return f"{item.title}: {point.value:.4g} on {say_date(point.day)}{note}; a second number makes a chart."
