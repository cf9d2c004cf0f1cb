"""Nothing that a plain look, its offers, its follow-up or its errors print is wider than the terminal."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from sallow.cli import main
from sallow.environment import Environment
from sallow.values import replace

DAY = date(2026, 5, 20)
# A fig in a pot; pale leaves that hang; wrong replies, asides and changes on the way; then all the offers.
LOOK = [
    "figg", "fig", "old", "4 months", "w", "?", "9", "2", "2", "1", "1", "2", "someday", "4/5/2026", "yesterday", "s",
    "m", "5", "2", "1", "8,1", "z", "1,7", "4", "2", "2", "1", "c", "zz", "?", "1", "b", "w", "n", "n", "n", "s", "m",
    "f", "x", "Fig in the corner", "look.pdf", "{folder}/look.json",
]  # fmt: skip
FOLLOW = ["w", "?", "zz", "c", "z", "1", "quince", "b", "f"]
NEWS = ["c", "9", "1", "f", "n", "n"]


def too_wide(environment: Environment, width: int) -> list[str]:
    assert isinstance(environment.stdout, io.StringIO) and isinstance(environment.stderr, io.StringIO)
    printed = environment.stdout.getvalue() + environment.stderr.getvalue()
    assert printed
    # What is typed ends the line of a prompt; here nobody types, so what comes next stands on the same line.
    lines = re.sub(r"(?m)^(> )+", "", printed).splitlines()
    return [line for line in lines if len(line) > width and " " in line.strip()]


@pytest.mark.parametrize("width", [80, 60])
def test_a_look_its_offers_and_its_follow_up_fit_the_terminal(
    surroundings: Callable[..., Environment], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    monkeypatch.chdir(tmp_path)
    typed = [line.format(folder=".") for line in LOOK]
    environment = surroundings("\n".join(typed) + "\n", width=width, today=DAY)
    assert main(["look", "--plain"], environment) == 0
    assert too_wide(environment, width) == []
    assert Path("look.json").is_file() and "Kept in the tree book" in environment.stderr.getvalue()  # type: ignore[attr-defined]
    for day, lines in ((date(2026, 6, 20), FOLLOW), (date(2026, 6, 21), NEWS)):
        later = surroundings("\n".join(["", *lines]) + "\n", width=width, today=day)
        assert main(["look", "--plain", "--follow-up", "look.json"], later) == 0
        assert too_wide(later, width) == []


def test_an_interrupted_look_and_its_resume_fit_the_terminal(surroundings: Callable[..., Environment]) -> None:
    for words, typed in (
        (["look", "--plain"], "fig\n4\nq\n"),
        (["look", "--plain"], "pear\n"),
        (["look", "--plain", "--resume"], "2\nq\n"),
        (["look", "--plain", "--resume"], "1\n"),
    ):
        environment = surroundings(typed, today=DAY)
        assert main(words, environment) == 130
        assert too_wide(environment, 80) == []


@pytest.mark.parametrize(
    "words",
    [
        ["look", "--answers", "no-such-file-of-answers-in-this-folder-at-all.yaml"],
        ["look", "--plain", "--resume"],
        ["look", "--plain", "--tree", "a tree that nobody has ever put in any book"],
        ["look", "--many", "many.jsonl", "--tree", "lemon"],
        ["look", "--plain", "--follow-up", "nothing-of-the-kind-lies-here.json"],
    ],
)
def test_errors_fit_the_terminal(surroundings: Callable[..., Environment], words: list[str]) -> None:
    environment = surroundings("", today=DAY)
    environment = replace(environment, terminal=True)
    assert main(words, environment) == 2
    assert too_wide(environment, 80) == []
