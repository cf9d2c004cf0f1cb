"""The built wheel in a fresh environment without extras: every command runs, knowledge and schemas are found."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from sallow.cli import COMMANDS

ROOT = Path(__file__).parents[2]


def run(words: list[str], folder: Path, **more: str) -> subprocess.CompletedProcess[str]:
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("SALLOW", "XDG", "PYTHON"))}
    surroundings = {**kept, "HOME": str(folder), **more}
    return subprocess.run(words, env=surroundings, cwd=folder, capture_output=True, text=True, timeout=300, input="")


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The console script of a fresh environment, and a folder to work in."""
    folder = tmp_path_factory.mktemp("fresh")
    built = run([sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "-w", str(folder), str(ROOT)], folder)
    if built.returncode:
        pytest.skip(f"the wheel cannot be built here: {built.stderr[-200:]}")
    assert run([sys.executable, "-m", "venv", str(folder / "venv")], folder).returncode == 0
    scripts = folder / "venv" / ("Scripts" if os.name == "nt" else "bin")
    wheel = next(folder.glob("*.whl"))
    got = run([str(scripts / "python"), "-m", "pip", "install", "--quiet", str(wheel)], folder)
    if got.returncode:
        pytest.skip(f"the libraries cannot be fetched here: {got.stderr[-200:]}")
    return scripts / "sallow", folder


@pytest.mark.proof
def test_every_command_has_its_help_and_the_version_is_told(installed: tuple[Path, Path]) -> None:
    sallow, folder = installed
    for command in COMMANDS:
        found = run([str(sallow), command, "--help"], folder)
        assert found.returncode == 0 and "usage:" in found.stdout, command
    assert run([str(sallow), "--version"], folder).stdout.startswith("sallow ")


@pytest.mark.proof
def test_a_look_a_demo_and_the_knowledge_check_run(installed: tuple[Path, Path]) -> None:
    sallow, folder = installed
    answers = {
        "date": "2026-10-05",
        "tree": {"crop": "lemon", "climate": "dry_summer"},
        "symptoms": [{"part": "leaf", "leaf_age": "newest", "colour_pattern": "fine_net"}],
        "answers": {"soil_fizz": "fizzes"},
    }
    (folder / "answers.json").write_text(json.dumps(answers), encoding="utf-8")
    found = run([str(sallow), "look", "--answers", "answers.json", "--format", "json"], folder)
    assert found.returncode == 0, found.stderr
    assert json.loads(found.stdout)["causes"][0]["id"].startswith("iron_shortage")
    for words, status in (
        (["knowledge", "check"], 0),
        (["knowledge", "graph", "drought"], 0),
        (["questions"], 0),
        (["demo"], 0),
        (["leaves"], 0),
        (["sheet"], 0),
        (["trees", "list"], 0),
    ):
        found = run([str(sallow), *words], folder)
        assert found.returncode in (status, 2 if words == ["trees", "list"] else status), (words, found.stderr)
        assert "Traceback" not in found.stderr
