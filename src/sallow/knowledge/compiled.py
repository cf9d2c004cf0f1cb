"""The compiled knowledge: plain JSON lines in the cache folder, used as long as no knowledge file has changed.

A stamp of names, sizes and times is compared first, and the content of the files only where the stamp differs.
A file that cannot be read or understood is made anew; a folder that cannot be written is done without.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any

from sallow.knowledge import codec
from sallow.knowledge.files import knowledge_files
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge
from sallow.knowledge.pictures import picture_book
from sallow.knowledge.sheet import station_in, station_out

FORMAT = 4
MOST_KEPT = 8
_CODE = Path(__file__).resolve().parent
# Entries read whole with the file; causes, tables and the compiled evidence have a line each.
GENERAL: dict[str, tuple[Callable[[Any], Any], Callable[[Any], Any]]] = {
    "signs": (codec.sign_out, codec.sign_in),
    "findings": (codec.finding_out, codec.finding_in),
    "checks": (codec.check_out, codec.check_in),
    "events": (codec.event_out, codec.event_in),
    "crops": (codec.crop_out, codec.crop_in),
    "climates": (codec.climate_out, codec.climate_in),
    "intentions": (codec.intention_out, codec.intention_in),
}
StoredLines = Callable[[Knowledge], Mapping[str, str]]
StoredReader = Callable[[Mapping[str, str]], Any]


def stamp_of(folders: Sequence[Path], with_cases: bool) -> str:
    """What a change of any knowledge file, or of the program's own knowledge code, would alter."""
    parts: list[tuple[str, int, int]] = []
    for folder in folders:
        for _, path in knowledge_files(folder, with_cases):
            parts.append(_stat(path))
    for path in code_files():
        parts.append(_stat(path))
    return _digest(repr(parts).encode())


def code_files() -> list[Path]:
    """The files of the program whose change makes compiled knowledge stale."""
    reasoning = _CODE.parent / "reasoning"
    return [
        *sorted(_CODE.glob("*.py")),
        *sorted((shipped_folder("knowledge") / "schema").glob("*.json")),
        *(reasoning / f"{name}.py" for name in ("compile", "diagram", "stored")),
    ]


def content_of(folders: Sequence[Path], with_cases: bool) -> str:
    """A digest of everything the knowledge files and the knowledge code say."""
    parts = []
    for folder in folders:
        for _, path in knowledge_files(folder, with_cases):
            parts.append((str(path), _digest(_bytes(path))))
    parts += [(path.name, _digest(_bytes(path))) for path in code_files()]
    return _digest(repr(parts).encode())


def _bytes(path: Path) -> bytes:
    # A file that cannot be read is told of when the knowledge is loaded.
    try:
        return path.read_bytes()
    except OSError:
        return b""


def _stat(path: Path) -> tuple[str, int, int]:
    try:
        found = path.stat()
    except OSError:
        return str(path), -1, 0
    return str(path), found.st_size, found.st_mtime_ns


def _digest(data: bytes) -> str:
    from hashlib import blake2b

    return blake2b(data, digest_size=16).hexdigest()


def cache_path(cache_folder: Path, folders: Sequence[Path], with_cases: bool) -> Path:
    """Where the compiled form of these folders is kept."""
    name = _digest(repr([with_cases, *(str(folder.resolve()) for folder in folders)]).encode())
    return cache_folder / f"knowledge-{name[:16]}.jsonl"


def open_compiled(
    cache_folder: Path,
    folders: Sequence[Path],
    with_cases: bool,
    load: Callable[[], Knowledge],
    stored_lines: Callable[[], StoredLines],
    stored_reader: StoredReader,
) -> Knowledge:
    """The knowledge from its compiled form, made anew by ``load`` when anything has changed."""
    path = cache_path(cache_folder, folders, with_cases)
    stamp = stamp_of(folders, with_cases)
    lines = _read(path)
    if lines and lines[0].get("stamp") == stamp:
        knowledge = _decoded(lines, stored_reader)
        if knowledge is not None:
            return knowledge
    content = content_of(folders, with_cases)
    if lines and lines[0].get("content") == content:
        knowledge = _decoded(lines, stored_reader)
        if knowledge is not None:
            _write(path, [json.dumps({**lines[0], "stamp": stamp}), *lines[1:]])
            return knowledge
    knowledge = load()
    head = {"format": FORMAT, "stamp": stamp, "content": content}
    made = encoded(knowledge, head, stored_lines()(knowledge), with_cases)
    _write(path, made)
    # What was just written is read back, so that the first start sees just what later ones see.
    return decoded([json.loads(made[0]), *made[1:]], stored_reader)


def _read(path: Path) -> list[Any]:
    """The header (read) and the other lines (as text) of a compiled file; an empty list when it is of no use."""
    try:
        text = path.read_text(encoding="utf-8")
        head, *lines = text.split("\n")
        header = json.loads(head)
    except (OSError, ValueError, RecursionError):
        return []
    if not isinstance(header, dict) or header.get("format") != FORMAT or lines[-1:] != ["end"]:
        return []
    return [header, *lines]


def encoded(knowledge: Knowledge, head: Mapping[str, Any], stored: Mapping[str, str], with_cases: bool) -> list[str]:
    """The lines of the compiled form."""
    general = {name: [out(entry) for entry in getattr(knowledge, name).values()] for name, (out, _) in GENERAL.items()}
    index = {"causes": list(knowledge.causes), "tables": list(knowledge.tables), "with_cases": with_cases}
    rest = {
        "crop_groups": dict(knowledge.crop_groups),
        "climate_questions": list(knowledge.climate_questions),
        "cautions": dict(knowledge.cautions),
        "version": knowledge.version,
        "overlays": list(knowledge.overlays),
        "stations": [station_out(station) for station in knowledge.stations],
    }
    return [
        json.dumps({**head, **index}),
        _line({**general, **rest}),
        _line({source.id: codec.source_out(source) for source in knowledge.sources.values()}),
        _line([codec.case_out(case) for case in knowledge.cases]),
        _line(knowledge.pictures.raw),
        *(_line(codec.cause_out(cause, with_cases)) for cause in knowledge.causes.values()),
        *(_line(codec.table_out(table)) for table in knowledge.tables.values()),
        *(stored[cause] for cause in knowledge.causes),
        "end",
    ]


def _line(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _decoded(lines: Sequence[Any], stored_reader: StoredReader) -> Knowledge | None:
    import gc

    # Tens of thousands of lasting objects are made at once; looking for rubbish among them only costs time.
    was_on = gc.isenabled()
    gc.disable()
    try:
        return decoded(lines, stored_reader)
    except (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError):
        return None
    finally:
        gc.freeze()
        if was_on:
            gc.enable()


def decoded(lines: Sequence[Any], stored_reader: StoredReader) -> Knowledge:
    """The knowledge from the lines of its compiled form."""
    head, general_line, sources_line, cases_line, pictures_line, *rest = lines
    general = json.loads(general_line)
    causes, tables = head["causes"], head["tables"]
    cause_lines = dict(zip(causes, rest, strict=False))
    table_lines = dict(zip(tables, rest[len(causes) :], strict=False))
    stored = dict(zip(causes, rest[len(causes) + len(tables) :], strict=False))
    if len(rest) != 2 * len(causes) + len(tables) + 1:
        raise ValueError("lines are missing")
    made: dict[str, Any] = {
        name: MappingProxyType({raw[0]: back(raw) for raw in general[name]}) for name, (_, back) in GENERAL.items()
    }
    return Knowledge(
        **made,
        causes=MappingProxyType({name: codec.cause_in(json.loads(line)) for name, line in cause_lines.items()}),
        crop_groups=MappingProxyType(general["crop_groups"]),
        climate_questions=tuple(general["climate_questions"]),
        cautions=MappingProxyType(general["cautions"]),
        sources=codec.Late(json.loads(sources_line), codec.source_in),
        tables=codec.Late(table_lines, lambda line: codec.table_in(json.loads(line))),
        cases=tuple([codec.case_in(raw) for raw in json.loads(cases_line)]),
        version=general["version"],
        overlays=tuple(general["overlays"]),
        pictures=picture_book(json.loads(pictures_line)),
        stations=tuple([station_in(raw) for raw in general["stations"]]),
        stored=stored_reader(stored),
    )


def _write(path: Path, lines: Iterable[str]) -> None:
    """Replace the compiled file in one step; a folder that cannot be written is no fault."""
    from contextlib import suppress
    from tempfile import mkstemp

    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = mkstemp(dir=path.parent, prefix=".knowledge-", suffix=".part")
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as stream:
                stream.write("\n".join(lines))
            Path(temporary).replace(path)
        except BaseException:
            with suppress(OSError):
                Path(temporary).unlink()
            raise
        _prune(path.parent)


def _prune(folder: Path) -> None:
    """Keep the compiled forms used last; every set of folders has its own."""
    found = sorted(folder.glob("knowledge-*.jsonl"), key=lambda path: path.stat().st_mtime, reverse=True)
    for path in found[MOST_KEPT:]:
        path.unlink(missing_ok=True)
