"""The worked example of knowledge/README.md: its YAML blocks make an overlay that is sound and gets its case right."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sallow.case_runs import run_case
from sallow.knowledge.checking import Checked, check_folders
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.review.codes import FAULT, grade_of

README = Path(__file__).parents[2] / "knowledge" / "README.md"
BLOCK = re.compile(r"```yaml\n# file: (\S+)\n(.*?)```", re.DOTALL)


@pytest.fixture(scope="module")
def checked(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Checked]:
    folder = tmp_path_factory.mktemp("mine")
    for name, text in BLOCK.findall(README.read_text(encoding="utf-8")):
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder, check_folders([shipped_folder("knowledge"), folder])


def test_the_example_has_every_kind_of_file_it_speaks_of(checked: tuple[Path, Checked]) -> None:
    folder, _ = checked
    assert {path.parent.name for path in folder.rglob("*.yaml")} == {"sources", "signs", "checks", "causes", "cases"}


def test_the_example_has_no_complaint(checked: tuple[Path, Checked]) -> None:
    folder, result = checked
    assert [str(c) for c in result.complaints if c.file.startswith(str(folder))] == []
    assert [str(c) for c in result.complaints if grade_of(c.code) == FAULT] == []


def test_the_case_of_the_example_comes_out_right(checked: tuple[Path, Checked]) -> None:
    _, result = checked
    assert result.knowledge is not None
    (case,) = [case for case in result.knowledge.cases if case.id == "discs_punched_from_the_edge"]
    outcome = run_case(case, result.knowledge)
    assert outcome.right and outcome.first == "leafcutter_bees"
