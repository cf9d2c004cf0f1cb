"""Photos for a printable page: pictures of a fair size stand in it whole, all else is refused in plain words."""

from __future__ import annotations

import base64
import json
import os
import stat
from collections.abc import Callable, Iterable
from pathlib import Path

from sallow.errors import BadInput
from sallow.values import dataclass

MOST_BYTES = 8_000_000
MOST_TOGETHER = 30_000_000
LIST = "own_photos.txt"
PLACE_TOLD = "Photos may carry the place where they were taken; think of that before you pass the page on."
_KINDS: tuple[tuple[str, Callable[[bytes], bool]], ...] = (
    ("image/jpeg", lambda head: head.startswith(b"\xff\xd8\xff")),
    ("image/png", lambda head: head.startswith(b"\x89PNG\r\n\x1a\n")),
    ("image/gif", lambda head: head.startswith((b"GIF87a", b"GIF89a"))),
    ("image/webp", lambda head: head[:4] == b"RIFF" and head[8:12] == b"WEBP"),
)


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture that stands in a page itself: its file name, its bytes as a data address, and a caption's addition."""

    name: str
    address: str
    size: int
    note: str = ""


def load_photo(path: Path, note: str = "") -> Photo:
    """The picture at ``path``; BadInput says in plain words why it cannot stand in a page.

    The first bytes decide what it is, not the ending of its name. At most MOST_BYTES are read.
    """
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise BadInput(f"{path}: this is no file; give the place of one picture.")
        with path.open("rb") as stream:
            data = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as fault:
        why = getattr(fault, "strerror", None) or str(fault)
        raise BadInput(f"{path}: the picture cannot be read ({why}).") from None
    kind = next((kind for kind, fits in _KINDS if fits(data[:16])), None)
    if kind is None:
        raise BadInput(f"{path}: this is no JPEG, PNG, WebP or GIF picture; save it as one of them and name that file.")
    if len(data) > MOST_BYTES:
        raise BadInput(
            f"{path}: the picture is larger than {MOST_BYTES // 1_000_000} MB; save a smaller copy and name that file."
        )
    address = f"data:{kind};base64,{base64.b64encode(data).decode('ascii')}"
    return Photo(path.name, address, len(data), note)


def load_photos(named: Iterable[tuple[str, str]], complain: Callable[[str], None]) -> tuple[Photo, ...]:
    """The pictures of these (path, note) that can stand in a page; why others cannot is told to ``complain``."""
    found: list[Photo] = []

    def refuse(words: str) -> None:
        complain("Not shown in the page: " + "".join(mark if mark.isprintable() else "?" for mark in words))

    for path, note in dict(named).items():
        try:
            photo = load_photo(Path(path), note)
        except BadInput as fault:
            refuse(str(fault))
            continue
        if sum(other.size for other in found) + photo.size > MOST_TOGETHER:
            refuse(f"{path}: a page takes {MOST_TOGETHER // 1_000_000} MB of pictures in all.")
            continue
        found.append(photo)
    if found:
        complain(PLACE_TOLD)
    return tuple(found)


# -- which paths the person has named ----------------------------------------------------------------------------------
# A book can be copied, imported or handed on, and with it paths that another hand wrote. Only paths that were named
# here, by --photo or a note, are followed; the list of them never leaves this computer.


def remember_named(paths: Iterable[str], data_folder: Path) -> None:
    """Note that the person named these absolute paths.

    Where the list cannot be written the picture is merely not shown later, and the page says so."""
    lines = "".join(json.dumps(path) + "\n" for path in paths)
    try:
        data_folder.mkdir(parents=True, exist_ok=True)
        handle = os.open(data_folder / LIST, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as stream:
            stream.write(lines)
    except OSError:
        return


def named_here(data_folder: Path) -> frozenset[str]:
    """The paths that the person named on this computer; a line that cannot be read is passed over."""
    try:
        lines = (data_folder / LIST).read_text(encoding="ascii", errors="replace").splitlines()
    except OSError:
        return frozenset()
    found = set()
    for line in lines:
        try:
            path = json.loads(line)
        except (ValueError, RecursionError):
            continue
        if isinstance(path, str):
            found.add(path)
    return frozenset(found)
