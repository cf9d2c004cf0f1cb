"""Bad input at the door of a look: a clear message naming the place, exit status 2, no traceback, nothing obeyed."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from sallow.cli import main
from sallow.environment import Environment
from sallow.knowledge.locate import shipped_folder

Surroundings = Callable[..., Environment]
GOOD = "tree: {crop: lemon}\nsymptoms: [{part: leaf, leaf_age: newest}]\n"


def outcome(environment: Environment, *words: str) -> tuple[int, str, str]:
    """Exit status, printed text and complaints of one run."""
    status = main(list(words), environment)
    return status, environment.stdout.getvalue(), environment.stderr.getvalue()  # type: ignore[attr-defined]


BAD = [
    pytest.param("tree: {crop: leomn}", "tree", "Did you mean 'lemon'", id="unknown crop"),
    pytest.param(
        "tree: {crop: lemon}\nanswers: {soil_at_dept: wet}", ":2:", "Did you mean 'soil_at_depth'", id="unknown sign"
    ),
    pytest.param("answers: {soil_at_depth: damp}", ":1:", "is not an answer", id="unknown answer"),
    pytest.param("answers: {soil_at_depth: {a: 1}}", ":1:", "is not an answer", id="wrong type"),
    pytest.param("symptoms: leaf", ":1:", "array", id="symptoms not a list"),
    pytest.param("date: 2026-02-31", ":1:", "is not a date", id="impossible date"),
    pytest.param("date: 0001-01-01", ":1:", "not a likely date", id="unlikely date"),
    pytest.param("answers: {age_years: .nan}", ":1:", "not a likely value", id="not a number"),
    pytest.param("answers: {age_years: 99999999999999999999}", ":1:", "not a likely value", id="huge number"),
    pytest.param("", ":1:", "empty", id="empty"),
    pytest.param("a: &x [1]\nb: *x", ":1:", "anchors and aliases", id="alias"),
    pytest.param("a: !!python/object/apply:os.system ['true']", ":1:", "tag", id="unsafe tag"),
    pytest.param("tree: {crop: lemon, crop: lime}", ":1:", "twice", id="duplicate key"),
    pytest.param("[" * 60 + "]" * 60, ":1:", "nested", id="deep nesting"),
    pytest.param('name: "\\e[31mred"', ":1:", "U+001B", id="terminal escape"),
    pytest.param('name: "a\\u202Eb"', ":1:", "U+202E", id="right-to-left override"),
    pytest.param("tree: {crop: lemon", ":1:", "expected", id="broken YAML"),
    pytest.param(
        "events: [{what: fed, when: 2030-01-01}]\ndate: 2026-05-01", ":1:", "after the day", id="future event"
    ),
]


@pytest.mark.parametrize(("text", "place", "says"), BAD)
def test_a_bad_answers_file_is_told_with_its_place(
    text: str, place: str, says: str, tmp_path: Path, surroundings: Surroundings
) -> None:
    path = tmp_path / "answers.yaml"
    path.write_text(text, encoding="utf-8")
    status, printed, complaints = outcome(surroundings(), "look", "--answers", str(path))
    assert status == 2
    assert printed == ""
    assert says in complaints and place in complaints
    assert "Traceback" not in complaints and "\x1b" not in complaints and "\u202e" not in complaints


def test_a_binary_file_and_a_missing_file_are_told(tmp_path: Path, surroundings: Surroundings) -> None:
    binary = tmp_path / "binary"
    binary.write_bytes(bytes(range(256)) * 20)
    for path, says in (
        (binary, "not UTF-8"),
        (tmp_path / "missing.yaml", "cannot be read"),
        (tmp_path, "cannot be read"),
    ):
        status, _, complaints = outcome(surroundings(), "look", "--answers", str(path))
        assert status == 2 and says in complaints


def test_a_huge_file_is_refused_at_once(tmp_path: Path, surroundings: Surroundings) -> None:
    huge = tmp_path / "huge.yaml"
    huge.write_text("answers: {" + "a" * 3_000_000 + ": 1}", encoding="utf-8")
    status, _, complaints = outcome(surroundings(), "look", "--answers", str(huge))
    assert status == 2 and "larger than any answers file" in complaints


def test_markup_and_brackets_are_text(tmp_path: Path, surroundings: Surroundings) -> None:
    path = tmp_path / "answers.yaml"
    path.write_text('name: "[bold red]x[/] <b>y</b>"\n' + GOOD, encoding="utf-8")
    status, printed, _ = outcome(surroundings(width=100), "look", "--answers", str(path))
    assert status == 0 and "[bold red]x[/] <b>y</b>" in printed
    status, printed, _ = outcome(surroundings(), "look", "--answers", str(path), "--format", "markdown")
    assert status == 0 and "\\[bold red\\]" in printed and "\\<b\\>" in printed


def test_a_bad_line_of_many_is_reported_with_its_number_while_the_rest_goes_on(
    tmp_path: Path, surroundings: Surroundings
) -> None:
    good = json.dumps({"tree": {"crop": "lemon"}, "symptoms": [{"part": "leaf", "leaf_age": "newest"}]})
    path = tmp_path / "many.jsonl"
    path.write_text(f"{good}\n{{broken\n\n{good}\n", encoding="utf-8")
    status, printed, complaints = outcome(surroundings(), "look", "--many", str(path))
    lines = [json.loads(line) for line in printed.splitlines()]
    assert status == 2
    assert [("error" in line) for line in lines] == [False, True, False]
    assert "line 2" in complaints
    assert lines[0] == lines[2]


def test_terminal_escapes_in_a_knowledge_file_are_refused(tmp_path: Path, surroundings: Surroundings) -> None:
    folder = tmp_path / "mine"
    (folder / "sources").mkdir(parents=True)
    (folder / "sources" / "x.yaml").write_text('mine:\n  cite: "\\e]0;evil\\a"\n', encoding="utf-8")
    path = tmp_path / "answers.yaml"
    path.write_text(GOOD, encoding="utf-8")
    status, _, complaints = outcome(surroundings(), "look", "--answers", str(path), "--knowledge", str(folder))
    assert status == 2
    assert "x.yaml:2" in complaints and "U+001B" in complaints and "\x1b" not in complaints


def test_a_missing_knowledge_folder_says_so(tmp_path: Path, surroundings: Surroundings) -> None:
    status, _, complaints = outcome(surroundings(), "look", "--answers", "x", "--knowledge", str(tmp_path / "none"))
    assert status == 2 and "knowledge folder" in complaints and "missing" in complaints


def test_every_complaint_of_broken_knowledge_comes_in_one_run(tmp_path: Path, surroundings: Surroundings) -> None:
    folder = tmp_path / "knowledge"
    shutil.copytree(shipped_folder("knowledge"), folder)
    first, second = sorted((folder / "causes").glob("*.yaml"))[:2]
    first.write_text(first.read_text(encoding="utf-8").replace("kind:", "knid:", 1), encoding="utf-8")
    second.write_text(second.read_text(encoding="utf-8") + "\nstray: 1\n", encoding="utf-8")
    status, printed, complaints = outcome(surroundings(), "knowledge", "check", str(folder))
    text = printed + complaints
    assert status == 1
    assert first.name in text and second.name in text and "stray" in text


def test_saving_where_nothing_can_be_written_says_so_and_loses_nothing(
    tmp_path: Path, surroundings: Surroundings
) -> None:
    path = tmp_path / "answers.yaml"
    path.write_text(GOOD, encoding="utf-8")
    status, printed, complaints = outcome(surroundings(), "look", "--answers", str(path), "--save", str(path / "x.md"))
    assert status == 2 and "cannot be written" in complaints
    assert "What seems to be going on" in printed
    status, _, complaints = outcome(surroundings(), "look", "--answers", str(path), "--save", str(tmp_path / "x.doc"))
    assert status == 2 and "ends in none of" in complaints
