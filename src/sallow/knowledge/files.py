"""Which files a knowledge folder holds, and of which kind each is; needs no library."""

from __future__ import annotations

import os
from pathlib import Path

from sallow.errors import BadInput

# Which schema a file answers to: by its folder, or by its name at the top of the knowledge folder.
FOLDERS = {
    "causes": "cause",
    "signs": "signs",
    "findings": "findings",
    "checks": "checks",
    "tables": "table",
    "sources": "sources",
    "cases": "cases",
}
TOP_FILES = {
    "events": "events",
    "crops": "crops",
    "climates": "climates",
    "cautions": "cautions",
    "intentions": "intentions",
    "switched_off": "switched_off",
    "pictures": "pictures",
    "sheet": "sheet",
}
MOST_BYTES = 8_000_000


def knowledge_files(folder: Path, with_cases: bool = False) -> list[tuple[str, Path]]:
    """(kind, path) of every knowledge file below ``folder``, in a fixed order; links that lead outside are left out."""
    return [(kind, Path(path)) for kind, path in knowledge_paths(str(folder), with_cases)]


def knowledge_paths(folder: str, with_cases: bool = False) -> list[tuple[str, str]]:
    """The same as ``knowledge_files`` with plain text for paths, which is quicker to make."""
    found = [(kind, os.path.join(folder, f"{name}.yaml")) for name, kind in TOP_FILES.items()]  # noqa: PTH118
    found = [(kind, path) for kind, path in found if os.path.isfile(path)]  # noqa: PTH113
    for name, kind in FOLDERS.items():
        if kind != "cases" or with_cases:
            found += [(kind, path) for path in sorted(_below(os.path.join(folder, name)))]  # noqa: PTH118
    return [(kind, path) for kind, path in found if not os.path.islink(path) or _inside(path, folder)]  # noqa: PTH114


def _inside(path: str, folder: str) -> bool:
    return Path(path).resolve().is_relative_to(Path(folder).resolve())


def _below(folder: str) -> list[str]:
    found: list[str] = []
    try:
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    found += _below(entry.path)
                elif entry.name.endswith(".yaml") and entry.is_file():
                    found.append(entry.path)
    except OSError:
        return found
    return found


def read_text(path: Path) -> str:
    """The text of a knowledge or answers file; BadInput when it is missing, unreadable, huge or not UTF-8."""
    try:
        with path.open("rb") as stream:
            data = stream.read(MOST_BYTES + 1)
    except OSError as error:
        raise BadInput(f"{path}: cannot be read ({error.strerror or error})") from None
    if len(data) > MOST_BYTES:
        raise BadInput(f"{path}: larger than any file of knowledge or answers ({MOST_BYTES // 1_000_000} MB at most)")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(f"{path}: byte {error.start + 1} is not UTF-8 text; save the file as UTF-8") from None
