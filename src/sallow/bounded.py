"""Reads text to a bound, so that neither a huge file nor a device without an end can fill the memory."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

from sallow.errors import BadInput

MEGABYTE = 1_000_000


def read_bounded(path: Path, most_megabytes: int, kind: str) -> str:
    """The text of a file without a byte order mark. BadInput when it is larger than any file of this kind; OSError
    and UnicodeDecodeError are left to the caller, who knows what the file is for."""
    with path.open(encoding="utf-8-sig") as stream:
        return bounded(stream, most_megabytes, kind, str(path))


def bounded(stream: TextIO, most_megabytes: int, kind: str, name: str) -> str:
    """All that a stream holds; BadInput when that is more than any file of this kind."""
    text = stream.read(most_megabytes * MEGABYTE + 1)
    if len(text) > most_megabytes * MEGABYTE:
        raise BadInput(f"{name}: larger than any {kind} ({most_megabytes} MB at most); is it the right file?")
    return text


def bounded_lines(stream: TextIO, most_megabytes: int, kind: str, name: str) -> Iterator[str]:
    """The lines of a stream; BadInput at a line longer than any of this kind."""
    number = 0
    while line := stream.readline(most_megabytes * MEGABYTE + 1):
        number += 1
        if len(line) > most_megabytes * MEGABYTE:
            raise BadInput(f"{name}: line {number} is longer than any {kind} ({most_megabytes} MB at most)")
        yield line
