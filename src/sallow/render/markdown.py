"""The report as Markdown."""

from __future__ import annotations

import re
from collections.abc import Sequence

from sallow.render.outline import Line

_SPECIAL = re.compile(r"([\\`*_\[\]<>#|])")
_FORMS = {
    "title": "# {}",
    "heading": "## {}",
    "cause": "### {}",
    "text": "{}",
    "item": "- {}",
    "sub": "  - {}",
    "tick": "- [ ] {}",
    "alert": "> **{}**",
    "quiet": "{}",
    "version": "{}",
}
_TIGHT = {"item", "sub", "tick"}


def escaped(text: str) -> str:
    """Text with every character that Markdown would obey made plain."""
    return _SPECIAL.sub(r"\\\1", text)


def markdown(lines: Sequence[Line]) -> str:
    """The outline as a Markdown document."""
    result: list[str] = []
    previous = ""
    for line in lines:
        if result and not (line.kind in _TIGHT and previous in _TIGHT):
            result.append("")
        result.append(_FORMS[line.kind].format(escaped(line.text)))
        previous = line.kind
    return "\n".join(result) + "\n"
