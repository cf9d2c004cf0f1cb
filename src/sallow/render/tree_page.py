"""The story of one tree as a printable page: facts, story, charts, photos, what comes next; nothing is fetched."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import PurePath
from typing import TYPE_CHECKING

from sallow.render.chart_picture import chart_figure
from sallow.render.markup import document, photo_figures, safe
from sallow.trees.dates import say_date
from sallow.trees.story import Entry, Series

if TYPE_CHECKING:
    from sallow.photos import Photo

STYLE = """
.charts { display: flex; flex-wrap: wrap; gap: .8rem 4%; }
.charts figure { width: 48%; }
.charts p { width: 48%; margin: 0; }
.story td:not(:last-child), .story th { white-space: nowrap; }
table.story { font-size: .9rem; }
"""


@dataclass(frozen=True, slots=True)
class TreePage:
    """What the page shows; ``next_up`` are lines on what is due."""

    name: str
    facts: Sequence[str]
    story: Sequence[Entry]
    charts: Sequence[Series]
    photos: Sequence[Photo]
    next_up: Sequence[str]
    day: date


def tree_page(tree: TreePage) -> str:
    """The whole page."""
    return document(tree.name, "\n".join(_body(tree)), STYLE, photos=bool(tree.photos))


def _body(tree: TreePage) -> Iterator[str]:
    yield f'<main><header><h1>{safe(tree.name)}</h1><p class="day">From the tree book on '
    yield f'<time datetime="{tree.day.isoformat()}">{say_date(tree.day)}</time></p></header>'
    yield "<ul>" + "".join(f"<li>{safe(fact)}</li>" for fact in tree.facts) + "</ul>"
    if tree.next_up:
        yield '<section aria-labelledby="next"><h2 id="next">Next for this tree</h2><ul class="ticks">'
        box = '<span class="box" role="img" aria-label="box to tick"></span>'
        yield "".join(f"<li>{box}{safe(line)}</li>" for line in tree.next_up) + "</ul></section>"
    if tree.charts:
        yield '<section aria-labelledby="charts"><h2 id="charts">Measured over time</h2><div class="charts">'
        yield "".join(chart_figure(item, f"chart-{number}") for number, item in enumerate(tree.charts))
        yield "</div></section>"
    if tree.photos:
        yield f'<section aria-labelledby="photos"><h2 id="photos">Photos</h2>{photo_figures(tree.photos)}</section>'
    yield '<section aria-labelledby="story"><h2 id="story">The story</h2>'
    yield from _story(tree.story)
    yield "</section></main>"


def _story(story: Sequence[Entry]) -> Iterator[str]:
    if not story:
        yield "<p>Nothing noted yet.</p>"
        return
    yield '<table class="story"><caption>What was seen, thought and done, oldest first</caption><thead><tr>'
    yield '<th scope="col">When</th><th scope="col">Kind</th><th scope="col">What</th></tr></thead><tbody>'
    for entry in story:
        # A page may be passed on: it names the file of a photo, not where it lies.
        words = PurePath(entry.words).name if entry.label == "photo" else entry.words
        when = safe(say_date(entry.day, entry.precision))
        yield f"<tr><td>{when}</td><td>{safe(entry.label or 'next')}</td><td>{safe(words)}</td></tr>"
    yield "</tbody></table>"
