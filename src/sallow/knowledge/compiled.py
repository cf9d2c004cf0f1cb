"""The compiled knowledge: plain JSON lines in the cache folder, used as long as no knowledge file has changed.

A stamp of names, sizes and times is compared first, and the content of the files only where the stamp differs.
A file that cannot be read, or whose sum is wrong, is made anew; a folder that cannot be written is done without.
Lines are read as bytes and understood when what they hold is asked for.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Mapping, Sequence
from itertools import islice
from pathlib import Path
from types import MappingProxyType
from typing import Any
from zlib import crc32

from sallow.knowledge import codec
from sallow.knowledge.files import knowledge_paths
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge
from sallow.knowledge.pictures import picture_book
from sallow.knowledge.sheet import station_in, station_out

FORMAT = 14
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
StoredLines = Callable[[Knowledge], Mapping[str, Sequence[str]]]
StoredReader = Callable[[Mapping[str, Sequence[bytes]]], Any]


def stamp_of(folders: Sequence[Path], with_cases: bool) -> str:
    """What a change of any knowledge file, or of the program's own knowledge code, would alter."""
    paths = [path for folder in folders for _, path in knowledge_paths(str(folder), with_cases)]
    return "|".join(map(_stat, (*paths, *code_files())))


def code_files() -> list[str]:
    """The files of the program whose change makes compiled knowledge stale."""
    folders = (_CODE, shipped_folder("knowledge") / "schema")
    own = [str(path) for folder in folders for path in folder.iterdir() if path.suffix in (".py", ".json")]
    names = ("compile", "diagram", "stored", "variables")
    reasoning = [str(_CODE.parent / "reasoning" / f"{name}.py") for name in names]
    return sorted([*own, *reasoning])


def content_of(folders: Sequence[Path], with_cases: bool) -> str:
    """A digest of everything the knowledge files and the knowledge code say."""
    parts = []
    for folder in folders:
        for _, path in knowledge_paths(str(folder), with_cases):
            parts.append((path, _digest(_bytes(path))))
    parts += [(Path(path).name, _digest(_bytes(path))) for path in code_files()]
    return _digest(repr(parts).encode())


def _bytes(path: str) -> bytes:
    # A file that cannot be read is told of when the knowledge is loaded.
    try:
        return Path(path).read_bytes()
    except OSError:
        return b""


def _stat(path: str) -> str:
    try:
        found = os.stat(path)  # noqa: PTH116 (of hundreds of files, at every start)
    except OSError:
        return f"{path}:missing"
    return f"{path}:{found.st_size}:{found.st_mtime_ns}"


def _digest(data: bytes) -> str:
    from hashlib import blake2b

    return blake2b(data, digest_size=16).hexdigest()


def cache_path(cache_folder: Path, folders: Sequence[Path], with_cases: bool) -> Path:
    """Where the compiled form of these folders is kept; the stamp inside tells whether it is really theirs."""
    name = repr([with_cases, *(str(folder.resolve()) for folder in folders)])
    return cache_folder / f"knowledge-{crc32(name.encode()):08x}.jsonl"


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
    head, body = _read(path)
    if head and head.get("stamp") == stamp:
        knowledge = _decoded(head, body, stored_reader)
        if knowledge is not None:
            return knowledge
    content = content_of(folders, with_cases)
    if head and head.get("content") == content:
        knowledge = _decoded(head, body, stored_reader)
        if knowledge is not None:
            _write(path, {**head, "stamp": stamp}, body)
            return knowledge
    knowledge = load()
    index, lines = encoded(knowledge, stored_lines()(knowledge), with_cases)
    body = "\n".join(lines).encode()
    head = {"format": FORMAT, "stamp": stamp, "content": content, "sum": crc32(body), **index}
    _write(path, head, body)
    # What was just written is read back, so that the first start sees just what later ones see.
    return decoded(head, body, stored_reader)


def _read(path: Path) -> tuple[dict[str, Any], bytes]:
    """The header and the body of a compiled file; an empty header when the file is of no use."""
    try:
        first, _, body = path.read_bytes().partition(b"\n")
        head = json.loads(first)
    except (OSError, ValueError, RecursionError):
        return {}, b""
    if not isinstance(head, dict) or head.get("format") != FORMAT or head.get("sum") != crc32(body):
        return {}, b""
    return head, body


def encoded(
    knowledge: Knowledge, stored: Mapping[str, Sequence[str]], with_cases: bool
) -> tuple[dict[str, Any], list[str]]:
    """What the header says of the body, and the lines of the body."""
    general = {name: [out(entry) for entry in getattr(knowledge, name).values()] for name, (out, _) in GENERAL.items()}
    rest = {
        "crop_groups": dict(knowledge.crop_groups),
        "climate_questions": list(knowledge.climate_questions),
        "cautions": dict(knowledge.cautions),
        "version": knowledge.version,
        "overlays": list(knowledge.overlays),
        "stations": [station_out(station) for station in knowledge.stations],
    }
    index = {
        "causes": {cause.id: cause.crops for cause in knowledge.causes.values()},
        "tables": list(knowledge.tables),
        "stored": {name: len(lines) for name, lines in stored.items()},
    }
    return index, [
        _line({**general, **rest}),
        _line({source.id: codec.source_out(source) for source in knowledge.sources.values()}),
        _line([codec.case_out(case) for case in knowledge.cases]),
        _line(knowledge.pictures.raw),
        *(_line(codec.cause_out(cause, with_cases)) for cause in knowledge.causes.values()),
        *(_line(codec.table_out(table)) for table in knowledge.tables.values()),
        *(line for lines in stored.values() for line in lines),
    ]


def _line(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _decoded(head: Mapping[str, Any], body: bytes, stored_reader: StoredReader) -> Knowledge | None:
    import gc

    # Tens of thousands of lasting objects are made at once; looking for rubbish among them only costs time.
    was_on = gc.isenabled()
    gc.disable()
    try:
        return decoded(head, body, stored_reader)
    except (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError):
        return None
    finally:
        gc.freeze()
        if was_on:
            gc.enable()


def decoded(head: Mapping[str, Any], body: bytes, stored_reader: StoredReader) -> Knowledge:
    """The knowledge from its compiled form."""
    lines = iter(body.split(b"\n"))
    general, sources, cases, pictures = (json.loads(next(lines)) for _ in range(4))
    causes = {cause: next(lines) for cause in head["causes"]}
    tables = {table: next(lines) for table in head["tables"]}
    stored = {name: tuple(islice(lines, count)) for name, count in head["stored"].items()}
    made: dict[str, Any] = {
        name: MappingProxyType({raw[0]: back(raw) for raw in general[name]}) for name, (_, back) in GENERAL.items()
    }
    return Knowledge(
        **made,
        causes=codec.Late(causes, lambda line: codec.cause_in(json.loads(line))),
        crop_groups=MappingProxyType(general["crop_groups"]),
        climate_questions=tuple(general["climate_questions"]),
        cautions=MappingProxyType(general["cautions"]),
        sources=codec.Late(sources, codec.source_in),
        tables=codec.Late(tables, lambda line: codec.table_in(json.loads(line))),
        cases=tuple([codec.case_in(raw) for raw in cases]),
        version=general["version"],
        overlays=tuple(general["overlays"]),
        pictures=picture_book(pictures),
        stations=tuple([station_in(raw) for raw in general["stations"]]),
        stored=stored_reader(stored),
        hosts={cause: tuple(crops) for cause, crops in head["causes"].items()},
    )


def _write(path: Path, head: Mapping[str, Any], body: bytes) -> None:
    """Replace the compiled file in one step; a folder that cannot be written is no fault."""
    from contextlib import suppress
    from tempfile import mkstemp

    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = mkstemp(dir=path.parent, prefix=".knowledge-", suffix=".part")
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(json.dumps(head).encode() + b"\n" + body)
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
