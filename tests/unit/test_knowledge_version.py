"""The knowledge version names what is said: not how files are called, nor which entries share a file."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from sallow.knowledge.load import load
from sallow.knowledge.yaml_reader import read_yaml

BASE = Path(__file__).parent.parent / "lint_samples" / "base"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(BASE, tmp_path / "base"))


def version(*folders: Path) -> str:
    return load(folders).version


def test_a_renamed_file_or_folder_changes_nothing(folder: Path) -> None:
    before = version(folder)
    for number, path in enumerate(sorted((folder / "causes").glob("*.yaml"), reverse=True)):
        path.rename(path.with_name(f"{number}.yaml"))
    (folder / "signs").rename(folder / "old_signs")
    (folder / "signs" / "below").mkdir(parents=True)
    for path in (folder / "old_signs").glob("*.yaml"):
        path.rename(folder / "signs" / "below" / f"z_{path.name}")
    assert version(folder) == before
    assert version(folder.rename(folder.with_name("elsewhere"))) == before


def test_entries_shared_out_among_files_otherwise_change_nothing(folder: Path) -> None:
    together = folder / "sources" / "base.yaml"
    entries = read_yaml(together.read_text(encoding="utf-8"), "base.yaml").value
    together.unlink()
    for name, entry in entries.items():
        (folder / "sources" / f"{name}.yaml").write_text(json.dumps({name: entry}), encoding="utf-8")
    assert len(entries) > 1
    assert version(folder) == version(BASE)


@pytest.mark.parametrize(("old", "new"), [("name: Thirst", "name: Drouth"), ("weight: strong", "weight: slight")])
def test_a_changed_word_or_weight_is_another_version(folder: Path, old: str, new: str) -> None:
    path = folder / "causes" / "thirsty.yaml"
    before, text = version(folder), path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    assert version(folder) != before


def test_an_overlay_counts_by_what_it_says_and_not_by_where_it_lies(folder: Path, tmp_path: Path) -> None:
    told = (folder / "causes" / "thirsty.yaml").read_text(encoding="utf-8")
    overlays = [tmp_path / "one", tmp_path / "two" / "mine"]
    for number, overlay in enumerate(overlays):
        (overlay / "causes").mkdir(parents=True)
        (overlay / "causes" / f"local{number}.yaml").write_text(told.replace("name: Thirst", "name: Drouth"), "utf-8")
    assert version(folder, overlays[0]) == version(folder, overlays[1]) != version(folder)
