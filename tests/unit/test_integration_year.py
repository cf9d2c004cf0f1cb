"""The played year: the same on every machine, and exactly what stands beside its script."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

from sallow.cli import main
from sallow.commands.demo import scripts, told
from sallow.environment import Environment
from sallow.knowledge.model import Knowledge
from sallow.knowledge.yaml_reader import read_yaml

YEAR = scripts()["year"]
RECORDED = YEAR.parent.with_suffix(".txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("width", [40, 110])
def test_the_year_replays_byte_for_byte(
    width: int, knowledge: Knowledge, surroundings: Callable[..., Environment], tmp_path: Path
) -> None:
    """Record it anew with: sallow demo year > transcripts_demo/year.txt"""
    assert told(YEAR, knowledge, surroundings(width=width)) == RECORDED
    assert not (tmp_path / "data").exists(), "the person's own tree book is left alone"


def test_the_year_has_every_part_of_the_round() -> None:
    steps = read_yaml(YEAR.read_text(encoding="utf-8"), "script").value["steps"]
    commands = {tuple(step["run"][:2]) for step in steps if "run" in step}
    assert {("feed", "--tree"), ("trees", "note"), ("trees", "round"), ("trees", "show")} <= commands
    assert {step["look"]["trees"][0] for step in steps if "look" in step} == {
        "Barrel lemon", "Young avocado", "Path mandarin",
    }  # fmt: skip
    assert all(str(first["day"]) <= str(then["day"]) for first, then in pairwise(steps))
    for part in ("The roots stand wet", "better than at the last look", "for each feeding", "How much of the bag"):
        assert part in RECORDED


def test_no_line_is_wider_than_a_screen_but_the_commands() -> None:
    assert [line for line in RECORDED.splitlines() if len(line) > 80 and not line.startswith("$ ")] == []


def test_the_demo_command_lists_the_year(surroundings: Callable[..., Environment]) -> None:
    environment = surroundings()
    assert main(["demo", "--list"], environment) == 0
    assert "year" in environment.stdout.getvalue().split()  # type: ignore[attr-defined]
