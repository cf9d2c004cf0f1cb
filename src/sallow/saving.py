"""Saves a report in the form that the file's ending names."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sallow.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sallow.knowledge.model import Knowledge
    from sallow.photos import Photo
    from sallow.report_model import Diagnosis

_FORMS = {".txt": "text", ".md": "markdown", ".json": "json", ".html": "html", ".svg": "svg"}
ENDINGS = tuple(_FORMS)


def form_of(path: str) -> str:
    """The form that a file's ending names; BadInput for another ending."""
    form = _FORMS.get(Path(path).suffix.lower())
    if form is None:
        raise BadInput(f"'{path}' ends in none of {', '.join(ENDINGS)}; the ending decides how the report is written.")
    return form


def rendered(
    diagnosis: Diagnosis,
    form: str,
    numbers: bool = False,
    working: bool = False,
    width: int = 80,
    knowledge: Knowledge | None = None,
    photos: Sequence[Photo] = (),
) -> str:
    """The report as text, markdown, json, html or svg; the page has its leaf pictures by ``knowledge``, and photos."""
    if form == "json":
        from sallow.render.data import as_json

        return as_json(diagnosis) + "\n"
    from sallow.render.outline import outline

    lines = outline(diagnosis, numbers, working)
    if form == "markdown":
        from sallow.render.markdown import markdown

        return markdown(lines)
    if form == "html":
        from sallow.render.page import page

        return page(diagnosis, numbers, working, knowledge, photos)
    if form == "svg":
        from sallow.render.picture import report_svg

        return report_svg(lines, width)
    from sallow.render.terminal import plain_text

    return plain_text(lines, width)


def save(
    diagnosis: Diagnosis,
    path: str,
    numbers: bool = False,
    working: bool = False,
    knowledge: Knowledge | None = None,
    photos: Sequence[Photo] = (),
) -> Path:
    """Write the report to ``path``; its ending decides the form. BadInput for another ending or an unwritable place."""
    target, form = Path(path).expanduser(), form_of(path)
    from sallow.interview.keep import write_atomically

    write_atomically(target, rendered(diagnosis, form, numbers, working, knowledge=knowledge, photos=photos))
    return target
