"""The report in a terminal: wrapped, with a little colour where the terminal has it, safe for any text."""

from __future__ import annotations

from collections.abc import Sequence
from io import StringIO
from typing import Literal

from sallow.environment import Environment
from sallow.render.lines import Line
from sallow.render.wrap import wrapped

# Colour never carries meaning alone: every tone has its own words or leading sign as well.
STYLES = {
    "title": "bold",
    "heading": "bold cyan",
    "cause": "bold",
    "alert": "bold red",
    "quiet": "dim",
    "version": "dim",
}
LEADS = {"item": "  - ", "sub": "      ", "tick": "  [ ] ", "alert": "!! ", "cause": ""}


def text_lines(lines: Sequence[Line], width: int) -> list[tuple[str, str]]:
    """(kind, printed line) for every printed line of the report."""
    printed: list[tuple[str, str]] = []
    for line in lines:
        if line.kind in ("title", "heading", "cause", "alert") and printed:
            printed.append(("text", ""))
        lead = LEADS.get(line.kind, "")
        hang = " " * len(lead)
        for index, piece in enumerate(wrapped(line.text, width - len(lead))):
            printed.append((line.kind, (lead if index == 0 else hang) + piece))
        if line.kind in ("title", "heading"):
            printed.append(
                (
                    line.kind,
                    ("=" if line.kind == "title" else "-") * min(len(wrapped(line.text, width)[-1]), width),
                )
            )
    return printed


def plain_text(lines: Sequence[Line], width: int = 80) -> str:
    """The report as plain text."""
    return "\n".join(text for _, text in text_lines(lines, width)) + "\n"


def show(lines: Sequence[Line], environment: Environment) -> None:
    """Print the report, coloured when the environment has colours."""
    if not environment.colours:
        for _, text in text_lines(lines, environment.width):
            environment.say(text)
        return
    environment.stdout.write(coloured(lines, environment.width, environment.colours))
    environment.stdout.flush()


def coloured(lines: Sequence[Line], width: int, colours: int) -> str:
    """The report with terminal colours."""
    from rich.console import Console
    from rich.text import Text

    system: Literal["truecolor", "256", "standard"] = (
        "truecolor" if colours > 256 else "256" if colours == 256 else "standard"
    )
    stream = StringIO()
    console = Console(
        file=stream,
        force_terminal=True,
        width=width,
        color_system=system,
        highlight=False,
        legacy_windows=False,
    )
    for kind, text in text_lines(lines, width):
        console.print(Text(text, style=STYLES.get(kind, "")), soft_wrap=True)
    return stream.getvalue()
