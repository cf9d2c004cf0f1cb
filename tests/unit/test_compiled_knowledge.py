"""The compiled knowledge says what the files say, is made anew when anything changes, and never stands in the way."""

from __future__ import annotations

import json
import os
import shutil
import sys
import threading
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import pytest
from tests.conftest import TODAY

from sallow.answers import look_from
from sallow.case_runs import case_look
from sallow.environment import Environment
from sallow.knowledge import compiled
from sallow.knowledge.access import open_folders
from sallow.knowledge.load import load
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge
from sallow.look_facts import context_of
from sallow.reasoning.compile import compile_base
from sallow.reasoning.stored import remembering, stored_reader

BASE = Path(__file__).parent.parent / "lint_samples" / "base"
CONTEXTS: list[dict[str, str]] = [
    {},
    {"crop": "lemon", "climate": "dry_summer", "season": "spring", "grown_in": "ground", "hemisphere": "south"},
    {"crop": "apple", "climate": "cool_humid", "season": "autumn", "grown_in": "pot", "evergreen": "no"},
    {"crop": "avocado", "season": "winter", "grown_in": "lawn", "evergreen": "yes"},
]


@pytest.fixture
def place(tmp_path: Path) -> tuple[Environment, Path]:
    """Surroundings with an empty cache, and a small knowledge folder to change at will."""
    shutil.copytree(BASE, tmp_path / "base")
    stream: Any = sys.stdout
    return Environment(stream, stream, stream, None, cache_folder=tmp_path / "cache"), tmp_path / "base"  # type: ignore[arg-type]


def cached(environment: Environment) -> list[Path]:
    assert environment.cache_folder is not None
    return sorted(environment.cache_folder.glob("*"))


def loads(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Counts how often the files are read."""
    counted: list[int] = []
    original = load

    def counting(*arguments: Any) -> Knowledge:
        counted.append(1)
        return original(*arguments)

    monkeypatch.setattr("sallow.knowledge.load.load", counting)
    return counted


def same(first: Knowledge, second: Knowledge) -> None:
    for field in fields(Knowledge):
        if field.compare:
            one, other = getattr(first, field.name), getattr(second, field.name)
            plain = (dict(one), dict(other)) if hasattr(one, "keys") else (one, other)
            assert plain[0] == plain[1], field.name


@pytest.fixture(scope="module")
def both(knowledge: Knowledge, compiled_folder: Path) -> tuple[Knowledge, Knowledge]:
    """The shipped knowledge from its files, and from its compiled form."""
    stream: Any = sys.stdout
    environment = Environment(stream, stream, stream, None, cache_folder=compiled_folder)  # type: ignore[arg-type]
    compiled = open_folders(environment, [shipped_folder("knowledge")], with_cases=True)
    return replace(knowledge, stored=None), compiled


def test_the_compiled_form_says_what_the_files_say(both: tuple[Knowledge, Knowledge]) -> None:
    same(*both)


@pytest.mark.parametrize("context", CONTEXTS, ids=lambda context: context.get("crop", "unknown tree"))
def test_the_stored_evidence_is_what_compiling_gives(
    both: tuple[Knowledge, Knowledge], context: dict[str, str]
) -> None:
    plain, stored = (compile_base(knowledge, context) for knowledge in both)
    remembered = compile_base(replace(both[0], stored=remembering(both[0])), context)
    for other in (stored, remembered):
        assert plain.candidates == other.candidates
        assert plain.variables == other.variables
        assert plain.somes == other.somes


@pytest.mark.proof
def test_remembered_evidence_is_what_compiling_gives_for_the_trees_of_all_looks(knowledge: Knowledge) -> None:
    raw = [look for cause in knowledge.causes.values() for look in (cause.typical, cause.near_miss)]
    looks = [look_from({k: v for k, v in look.items() if k != "first"}, "a look", knowledge, TODAY) for look in raw]
    looks += [case_look(case, knowledge) for case in knowledge.cases]
    contexts = {tuple(sorted(context_of(look, knowledge).items())) for look in looks}
    assert len(contexts) > 100
    for context in map(dict, sorted(contexts)):
        plain, remembered = compile_base(replace(knowledge, stored=None), context), compile_base(knowledge, context)
        assert plain.candidates == remembered.candidates
        assert (plain.variables, plain.somes) == (remembered.variables, remembered.somes)


def test_what_has_not_changed_is_not_read_again(
    place: tuple[Environment, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    environment, folder = place
    counted = loads(monkeypatch)
    first = open_folders(environment, [folder])
    same(first, open_folders(environment, [folder]))
    assert len(counted) == 1


def test_a_changed_new_or_removed_file_is_noticed(
    place: tuple[Environment, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    environment, folder = place
    counted = loads(monkeypatch)
    open_folders(environment, [folder])
    path = folder / "causes" / "thirsty.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("name: Thirst", "name: Drouth"), encoding="utf-8")
    assert open_folders(environment, [folder]).causes["thirsty"].name == "Drouth"
    (folder / "sources" / "more.yaml").write_text("more:\n  cite: More\n", encoding="utf-8")
    assert "more" in open_folders(environment, [folder]).sources
    (folder / "sources" / "more.yaml").unlink()
    assert "more" not in open_folders(environment, [folder]).sources
    assert len(counted) == 4


def test_a_file_touched_without_change_is_not_compiled_again(
    place: tuple[Environment, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    environment, folder = place
    counted = loads(monkeypatch)
    open_folders(environment, [folder])
    os.utime(folder / "causes" / "thirsty.yaml", (1, 1))
    open_folders(environment, [folder])
    assert len(counted) == 1


@pytest.mark.parametrize("spoil", ["", "{", "null\n", '{"format": 1}', "cut", "lines", "\x00\xff", "[]\n"])
def test_a_spoiled_cache_is_made_anew(place: tuple[Environment, Path], spoil: str) -> None:
    environment, folder = place
    right = open_folders(environment, [folder])
    path = cached(environment)[0]
    text = path.read_text(encoding="utf-8")
    if spoil == "cut":
        path.write_text(text[: len(text) // 2], encoding="utf-8")
    elif spoil == "lines":
        lines = text.split("\n")
        path.write_text("\n".join([lines[0], *reversed(lines[1:])]), encoding="utf-8")
    else:
        path.write_bytes(spoil.encode("latin-1"))
    same(right, open_folders(environment, [folder]))


def test_a_cache_folder_that_cannot_be_written_is_done_without(place: tuple[Environment, Path], tmp_path: Path) -> None:
    environment, folder = place
    (tmp_path / "a_file").write_text("in the way", encoding="utf-8")
    blocked = replace(environment, cache_folder=tmp_path / "a_file" / "cache")
    same(open_folders(blocked, [folder]), open_folders(environment, [folder]))
    none = replace(environment, cache_folder=None)
    same(open_folders(none, [folder]), load([folder]))


def test_many_starts_at_once_all_get_the_knowledge_and_leave_one_whole_file(place: tuple[Environment, Path]) -> None:
    environment, folder = place
    right = open_folders(replace(environment, cache_folder=folder.parent / "other"), [folder])
    found: list[Knowledge] = []
    starts = [threading.Thread(target=lambda: found.append(open_folders(environment, [folder]))) for _ in range(8)]
    for start in starts:
        start.start()
    for start in starts:
        start.join()
    assert len(found) == 8
    for knowledge in found:
        same(right, knowledge)
    assert len(cached(environment)) == 1
    same(right, compiled.decoded(*compiled._read(cached(environment)[0]), stored_reader))


def test_the_cache_holds_plain_json_lines_and_nothing_that_runs(place: tuple[Environment, Path]) -> None:
    environment, folder = place
    open_folders(environment, [folder])
    lines = cached(environment)[0].read_text(encoding="utf-8").split("\n")
    assert len(lines) > 10
    for line in lines:
        json.loads(line)


def test_only_the_sets_of_folders_used_last_are_kept(place: tuple[Environment, Path], tmp_path: Path) -> None:
    environment, folder = place
    for number in range(compiled.MOST_KEPT + 3):
        shutil.copytree(folder, tmp_path / f"copy{number}")
        open_folders(environment, [tmp_path / f"copy{number}"])
    assert len(cached(environment)) == compiled.MOST_KEPT
