"""The report as one printable page: self-contained HTML with the leaf pictures of the symptoms, no scripts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING

from sallow.knowledge.model import Knowledge
from sallow.phrases import capital, day_words
from sallow.render.leaf.plate import words_of
from sallow.render.leaf.strip import outline_for
from sallow.render.leaf.svg import leaf_svg
from sallow.render.markup import document, linked, photo_figures, safe
from sallow.render.outline import Line, outline
from sallow.report_model import Diagnosis

if TYPE_CHECKING:
    from sallow.photos import Photo

_WRITE = '<div class="write"><span>Done on</span><span class="wide">What I found</span></div>'


def page(
    diagnosis: Diagnosis,
    numbers: bool = False,
    working: bool = False,
    knowledge: Knowledge | None = None,
    photos: Sequence[Photo] = (),
) -> str:
    """The whole page. With ``knowledge`` the leaf pictures of the symptoms are drawn in it, beside the photos."""
    lines = outline(diagnosis, numbers, working)
    body = "\n".join(_Writer(diagnosis, knowledge, photos).body(lines))
    return document(lines[0].text if lines else "Report", body, photos=bool(photos))


class _Writer:
    """Turns outline lines into elements, keeping track of which are open."""

    def __init__(self, diagnosis: Diagnosis, knowledge: Knowledge | None, photos: Sequence[Photo] = ()) -> None:
        self.diagnosis = diagnosis
        self.photos = photos
        self.knowledge = knowledge
        self.open: list[str] = []
        self.sections = 0
        self.ticking = False

    def body(self, lines: Sequence[Line]) -> Iterator[str]:
        yield "<main>"
        for line in lines:
            if line.kind == "heading" and self.sections == 0:
                yield from self.shut(0)
                yield from self.front()
            yield from self.line(line)
        yield from self.shut(0)
        yield "</main>"

    def line(self, line: Line) -> Iterator[str]:
        if line.kind in ("item", "tick", "sub"):
            yield from self.listed(line)
            return
        if line.kind == "quiet" and line.text.startswith("Source: "):
            yield from self.listed(Line("source", line.text.removeprefix("Source: ")))
            return
        yield from self.shut(0 if line.kind in ("heading", "title") else 1)
        if line.kind == "title":
            day = date.fromisoformat(self.diagnosis.date)
            yield f"<header><h1>{safe(line.text)}</h1>"
            yield f'<p class="day">Looked at on <time datetime="{day.isoformat()}">{day_words(day)}</time></p></header>'
        elif line.kind == "heading":
            self.sections += 1
            self.open.append("section")
            yield f'<section aria-labelledby="part-{self.sections}">'
            yield f'<h2 id="part-{self.sections}">{safe(line.text)}</h2>'
        elif line.kind == "cause":
            yield f"<h3>{safe(line.text)}</h3>"
        elif line.kind == "alert":
            yield f'<p class="alert" role="note"><strong>{safe(line.text)}</strong></p>'
        else:
            yield f'<p class="{line.kind}">{linked(line.text)}</p>'

    def listed(self, line: Line) -> Iterator[str]:
        base = 0 if not self.sections else 1
        if line.kind == "sub":
            if self.open[-1:] == ["li"] and len(self.open) == base + 2:
                self.open += ["ul"]
                yield "<ul>"
            yield f"<li>{linked(line.text)}</li>"
            return
        style = {"tick": "ticks", "source": "sources"}.get(line.kind, "items")
        if len(self.open) > base and self.list_style == style:
            yield from self.shut(base + 1)
        else:
            yield from self.shut(base)
            if style == "sources":
                yield "<h3>Sources</h3>"
            yield f'<ul class="{style}">'
            self.open.append("ul")
            self.list_style = style
        self.open.append("li")
        self.ticking = line.kind == "tick"
        box = '<span class="box" role="img" aria-label="box to tick"></span>' if self.ticking else ""
        yield f"<li>{box}{linked(line.text)}"

    list_style = ""

    def shut(self, depth: int) -> Iterator[str]:
        """Close elements until ``depth`` are open."""
        while len(self.open) > depth:
            element = self.open.pop()
            if element == "li" and self.ticking:
                self.ticking = False
                yield _WRITE
            yield f"</{element}>"

    # -- the front of the page ------------------------------------------------------------------------------------

    def front(self) -> Iterator[str]:
        """The leaf pictures of the symptoms, the ranking as a table, and the photos."""
        figures = list(self.figures())
        if figures:
            yield '<div class="figures">' + "".join(figures) + "</div>"
        if self.diagnosis.causes:
            yield '<table class="ranking"><caption>Probable causes, most likely first</caption>'
            yield '<thead><tr><th scope="col">No.</th><th scope="col">Cause</th><th scope="col">How likely</th>'
            yield '<th scope="col">Kind</th></tr></thead><tbody>'
            for number, cause in enumerate(self.diagnosis.causes, 1):
                word = "confirmed" if cause.confirmed else cause.word
                yield f'<tr><td>{number}</td><th scope="row">{safe(cause.name)}</th><td>{safe(word)}</td>'
                yield f"<td>{safe(cause.kind.replace('_', ' '))}</td></tr>"
            yield "</tbody></table>"
        yield photo_figures(self.photos)

    def figures(self) -> Iterator[str]:
        """One figure for every answer that has a picture and says that something is odd."""
        if self.knowledge is None:
            return
        crop = str(self.diagnosis.look.get("tree", {}).get("crop", ""))
        book, shape = self.knowledge.pictures, outline_for(self.knowledge, crop)
        for number, symptom in enumerate(self.diagnosis.look["symptoms"]):
            for sign, answer in _answers(symptom):
                picture = book.get(sign, answer)
                known = self.knowledge.signs.get(sign)
                if picture is None or known is None or known.answers[answer].none:
                    continue
                words = capital(words_of(self.knowledge, picture))
                drawing = leaf_svg(book, picture, shape, f"Drawing of a leaf: {words}", f"f{number}-{sign}-{answer}")
                which = f"Odd thing {number + 1}: " if len(self.diagnosis.look["symptoms"]) > 1 else ""
                yield f"<figure>{drawing}<figcaption>{which}{safe(words)}.</figcaption></figure>"


def _answers(symptom: dict[str, object]) -> Iterator[tuple[str, str]]:
    for sign, value in symptom.items():
        if isinstance(value, str):
            yield sign, value
        elif isinstance(value, dict):
            yield from ((sign, str(key)) for key, told in value.items() if told in (True, "yes"))
        elif isinstance(value, list | tuple):
            yield from ((sign, str(item)) for item in value)
