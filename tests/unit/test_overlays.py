"""Folders laid over the shipped knowledge add, replace and switch off; the report says so."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from sallow.cli import main
from sallow.environment import Environment
from sallow.errors import BadInput, KnowledgeError
from sallow.knowledge.access import folders_for
from sallow.knowledge.files import knowledge_files
from sallow.knowledge.load import load
from sallow.knowledge.locate import shipped_folder

Surroundings = Callable[..., Environment]
BASE = Path(__file__).parent.parent / "lint_samples" / "base"
LOOK = {"tree": {"crop": "fig"}, "symptoms": [{"part": "leaf", "leaf_look": "limp"}], "answers": {"soil": "dry"}}


@pytest.fixture
def overlay(tmp_path: Path) -> Path:
    """A folder that replaces one cause."""
    folder = tmp_path / "knowledge"  # named like the shipped one, which must not confuse the two
    (folder / "causes").mkdir(parents=True)
    text = (BASE / "causes" / "thirsty.yaml").read_text(encoding="utf-8")
    (folder / "causes" / "my_thirsty.yaml").write_text(text.replace("name: Thirst", "name: Our own thirst"))
    return folder


def test_a_replaced_cause_takes_the_place_of_the_shipped_one(overlay: Path) -> None:
    knowledge = load([BASE, overlay])
    assert knowledge.causes["thirsty"].name == "Our own thirst"
    assert knowledge.overlays == (f"{overlay} (replaces cause thirsty)",)


def test_an_added_cause_stands_beside_the_shipped_ones(overlay: Path) -> None:
    path = overlay / "causes" / "my_thirsty.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("cause: thirsty", "cause: parched", 1), encoding="utf-8")
    knowledge = load([BASE, overlay])
    assert set(knowledge.causes) == {"thirsty", "eaten", "parched"}
    assert knowledge.overlays == (f"{overlay} (adds cause parched)",)


def test_a_cause_switched_off_is_gone_with_everything_that_names_it(overlay: Path) -> None:
    (overlay / "causes" / "my_thirsty.yaml").unlink()
    (overlay / "switched_off.yaml").write_text("causes: [thirsty]\n", encoding="utf-8")
    knowledge = load([BASE, overlay], with_cases=True)
    assert set(knowledge.causes) == {"eaten"}
    assert knowledge.causes["eaten"].look_alikes == ()
    assert all(not result.settles for result in knowledge.checks["feel_soil"].results)
    assert knowledge.intentions["water"].fits == ()
    assert knowledge.cases == ()  # its only case is one of the cause that is gone
    assert knowledge.overlays == (f"{overlay} (switches off cause thirsty)",)


def test_a_case_can_be_switched_off_by_itself(overlay: Path) -> None:
    (overlay / "switched_off.yaml").write_text("cases: [fig_hangs]\n", encoding="utf-8")
    assert load([BASE, overlay], with_cases=True).cases == ()


def test_later_folders_win_over_earlier_ones(overlay: Path, tmp_path: Path) -> None:
    second = tmp_path / "second"
    (second / "causes").mkdir(parents=True)
    text = (BASE / "causes" / "thirsty.yaml").read_text(encoding="utf-8")
    (second / "causes" / "thirsty.yaml").write_text(text.replace("name: Thirst", "name: The last word"))
    knowledge = load([BASE, overlay, second])
    assert knowledge.causes["thirsty"].name == "The last word"
    assert len(knowledge.overlays) == 2


def test_the_same_id_twice_in_one_overlay_is_a_fault(overlay: Path) -> None:
    (overlay / "causes" / "again.yaml").write_text((overlay / "causes" / "my_thirsty.yaml").read_text())
    with pytest.raises(KnowledgeError) as raised:
        load([BASE, overlay])
    assert [complaint.code for complaint in raised.value.complaints] == ["duplicate-id"]


def test_a_source_defined_twice_alike_is_let_through_and_differently_is_a_fault(tmp_path: Path) -> None:
    (tmp_path / "sources").mkdir()
    for name, cite in (("a", "One book"), ("b", "One book")):
        (tmp_path / "sources" / f"{name}.yaml").write_text(f"one_book:\n  cite: {cite}\n", encoding="utf-8")
    assert load([BASE, tmp_path]).sources["one_book"].cite == "One book"
    (tmp_path / "sources" / "b.yaml").write_text("one_book:\n  cite: Another book\n", encoding="utf-8")
    with pytest.raises(KnowledgeError, match="and differently"):
        load([BASE, tmp_path])


def test_the_persons_own_folder_is_laid_over_by_itself(overlay: Path, surroundings: Surroundings) -> None:
    environment = replace(surroundings(), user_knowledge=overlay)
    assert folders_for(environment) == [shipped_folder("knowledge"), overlay]
    assert folders_for(environment, [str(BASE)]) == [shipped_folder("knowledge"), overlay, BASE]


def test_an_own_folder_that_is_missing_or_empty_changes_nothing(tmp_path: Path, surroundings: Surroundings) -> None:
    for folder in (tmp_path / "none", tmp_path):
        assert folders_for(replace(surroundings(), user_knowledge=folder)) == [shipped_folder("knowledge")]


def test_a_folder_named_in_the_command_that_is_missing_is_told(surroundings: Surroundings) -> None:
    with pytest.raises(BadInput, match="is missing"):
        folders_for(surroundings(), ["/no/such/folder"])


def test_the_report_names_the_overlay_and_what_it_replaces(tmp_path: Path, surroundings: Surroundings) -> None:
    folder = tmp_path / "mine"
    (folder / "causes").mkdir(parents=True)
    shipped = shipped_folder("knowledge") / "causes" / "drought.yaml"
    (folder / "causes" / "drought.yaml").write_text(shipped.read_text(encoding="utf-8"), encoding="utf-8")
    answers = tmp_path / "answers.json"
    answers.write_text(json.dumps({"tree": {"crop": "lemon"}, "symptoms": [{"part": "leaf", "leaf_age": "newest"}]}))
    for form in ("text", "json"):
        environment = surroundings()
        words = ["look", "--answers", str(answers), "--knowledge", str(folder), "--format", form]
        assert main(words, environment) == 0
        printed = " ".join(environment.stdout.getvalue().split())  # type: ignore[attr-defined]
        assert "replaces cause drought" in printed


def test_a_link_cannot_lead_out_of_the_folder_by_a_directory(tmp_path: Path) -> None:
    secret = tmp_path / "elsewhere"
    secret.mkdir()
    (secret / "x.yaml").write_text("one_book:\n  cite: From elsewhere\n", encoding="utf-8")
    folder = tmp_path / "mine"
    folder.mkdir()
    (folder / "sources").mkdir()
    (folder / "sources" / "own.yaml").write_text("own_book:\n  cite: My own\n", encoding="utf-8")
    (folder / "sources" / "way_out").symlink_to(secret, target_is_directory=True)
    assert "one_book" not in load([BASE, folder]).sources


def test_a_link_cannot_lead_out_of_the_folder_by_a_file(tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("one_book:\n  cite: From elsewhere\n", encoding="utf-8")
    folder = tmp_path / "mine"
    (folder / "sources").mkdir(parents=True)
    (folder / "sources" / "own.yaml").write_text("own_book:\n  cite: My own\n", encoding="utf-8")
    (folder / "sources" / "way_out.yaml").symlink_to(tmp_path / "secret")
    (folder / "sources" / "within.yaml").symlink_to(folder / "sources" / "own.yaml")
    (folder / "cautions.yaml").symlink_to(tmp_path / "secret")
    read = [path.name for _, path in knowledge_files(folder)]
    assert read == ["own.yaml", "within.yaml"]
