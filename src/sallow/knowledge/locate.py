"""Where the shipped knowledge and the recorded demo looks live, in a wheel and in a source checkout."""

from __future__ import annotations

from pathlib import Path

from sallow.errors import BadInput

_PACKAGE = Path(__file__).resolve().parent.parent
_PLACES = (_PACKAGE / "_shipped", _PACKAGE.parent.parent)


def shipped_folder(name: str) -> Path:
    """The shipped folder ``knowledge`` or ``transcripts_demo``; BadInput when the installation lacks it."""
    for place in _PLACES:
        if (place / name).is_dir():
            return place / name
    raise BadInput(
        f"the folder '{name}' that belongs to sallow is missing (looked in "
        f"{' and '.join(str(place) for place in _PLACES)}); install sallow again."
    )
