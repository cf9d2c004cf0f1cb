"""Every code of the knowledge check has a bad sample and a clean twin in one file of tests/lint_samples.

``# bad: CODE`` marks a line that belongs to the bad sample only and on which the code is expected; ``# bad`` alone
marks one that is merely left out of the twin; ``# expect: CODE`` expects the code on a line that both have;
``# clean| text`` is the text that stands there in the twin. A new code needs a sample and no Python.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

import sallow
from sallow.errors import Complaint
from sallow.knowledge.checking import check_folders
from sallow.knowledge.review.codes import CODES, FAULT, grade_of
from sallow.knowledge.review.usage import NAMED_BY_PROGRAM, SIGNS_READ_BY_PROGRAM

SAMPLES = Path(__file__).parent.parent / "lint_samples"
# These two speak of files that cannot stand among samples: one of a megabyte, one that is not text. See test_bad_input.
ELSEWHERE = {"too-large", "unreadable"}
_FILE = re.compile(r"# file: (\S+)")
_CLEAN = re.compile(r"^(\s*)# clean\| ?(.*)$")
_BAD = re.compile(r"\s+# bad(?:: ([a-z-]+))?$")
_EXPECT = re.compile(r"\s+# expect: ([a-z-]+)$")


def written(sample: Path, folder: Path, clean: bool) -> set[tuple[str, int, str]]:
    """Write a sample below ``folder``; returns the (file, line, code) expected of its bad form."""
    files: dict[str, list[str]] = {}
    expected: set[tuple[str, int, str]] = set()
    name = ""
    for line in sample.read_text(encoding="utf-8").splitlines():
        start = _FILE.match(line)
        if start:
            name = start.group(1)
            files[name] = []
        twin, bad, expect = _CLEAN.match(line), _BAD.search(line), _EXPECT.search(line)
        if clean and bad:
            continue
        if clean and twin:
            files[name].append(twin.group(1) + twin.group(2))
            continue
        files[name].append(_EXPECT.sub("", _BAD.sub("", line)))
        code = bad.group(1) if bad else expect.group(1) if expect else None
        if code:
            expected.add((name, len(files[name]), code))
    for name, lines in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return expected


def complaints_of(folder: Path) -> list[Complaint]:
    """The complaints about the sample's own files."""
    checked = check_folders([SAMPLES / "base", folder])
    return [complaint for complaint in checked.complaints if complaint.file.startswith(str(folder))]


@pytest.mark.parametrize("sample", sorted(SAMPLES.glob("*.yaml")), ids=lambda path: path.stem)
def test_the_bad_sample_is_told_of_at_the_marked_lines(sample: Path, tmp_path: Path) -> None:
    expected = written(sample, tmp_path, clean=False)
    assert {code for _, _, code in expected} >= {sample.stem}, "the sample marks no line with its own code"
    complaints = complaints_of(tmp_path)
    found = {(str(Path(c.file).relative_to(tmp_path)), c.line, c.code) for c in complaints}
    assert expected <= found
    # A sample shows one fault; advice that comes along is no harm.
    surplus = {entry for entry in found - expected if grade_of(entry[2]) == FAULT}
    assert not surplus


@pytest.mark.parametrize("sample", sorted(SAMPLES.glob("*.yaml")), ids=lambda path: path.stem)
def test_the_clean_twin_has_no_fault_and_is_not_told_of_the_code(sample: Path, tmp_path: Path) -> None:
    written(sample, tmp_path, clean=True)
    complaints = complaints_of(tmp_path)
    assert [c for c in complaints if grade_of(c.code) == FAULT or c.code == sample.stem] == []


def test_the_samples_rest_on_a_base_without_complaints() -> None:
    checked = check_folders([SAMPLES / "base"], looks="all")
    assert [c for c in checked.complaints if c.code != "unreferenced-answer"] == []


def test_every_code_has_a_sample_and_every_sample_a_code() -> None:
    assert {path.stem for path in SAMPLES.glob("*.yaml")} | ELSEWHERE == set(CODES)


def test_every_code_tells_what_it_means_and_how_to_mend_it() -> None:
    for code in CODES.values():
        assert code.means.endswith(".") and code.mend.endswith("."), code.id


def test_the_order_of_files_changes_nothing(tmp_path: Path) -> None:
    shutil.copytree(SAMPLES / "base", tmp_path / "base")
    renamed = tmp_path / "base" / "causes"
    (renamed / "eaten.yaml").rename(renamed / "zz_eaten.yaml")
    codes = [(c.code, c.message) for c in check_folders([SAMPLES / "base"], looks="all").complaints]
    assert [(c.code, c.message) for c in check_folders([tmp_path / "base"], looks="all").complaints] == codes


def test_what_the_program_names_is_really_named_there() -> None:
    text = "\n".join(path.read_text(encoding="utf-8") for path in Path(sallow.__file__).parent.rglob("*.py"))
    for name in NAMED_BY_PROGRAM | SIGNS_READ_BY_PROGRAM:
        assert text.count(f'"{name}"') > 1, f"{name} is named only in the list itself"
