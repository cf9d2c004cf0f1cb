"""The report as a picture of a terminal (SVG)."""

from __future__ import annotations

import re
from collections.abc import Sequence
from io import StringIO

from sallow.render.outline import Line
from sallow.render.terminal import STYLES, text_lines

_OUTSIDE = re.compile(r"@font-face\s*\{.*?\}\s*|<!--.*?-->", re.DOTALL)


def report_svg(lines: Sequence[Line], width: int = 80) -> str:
    """The printed report, ``width`` characters wide, as an SVG drawing that fetches nothing."""
    from rich.console import Console
    from rich.text import Text

    console = Console(file=StringIO(), record=True, width=width, force_terminal=True, color_system="truecolor")
    for kind, text in text_lines(lines, width):
        shown = "".join(character for character in text if character.isprintable())
        console.print(Text(shown, style=STYLES.get(kind, "")), soft_wrap=True, highlight=False)
    return _OUTSIDE.sub("", console.export_svg(title="sallow", unique_id="sallow")) + "\n"
