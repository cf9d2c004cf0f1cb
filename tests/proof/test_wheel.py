"""The built wheel in fresh environments without extras, on every Python at hand: every command and its help run."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from tests.support.runs import MADE, RUNS, lay_out, leaves

from sallow.cli import build_parser

ROOT = Path(__file__).parents[2]
PYTHONS = ["3.11", "3.12", "3.13"]


def run(words: list[str], folder: Path, typed: str = "") -> subprocess.CompletedProcess[str]:
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("SALLOW", "XDG", "PYTHON"))}
    surroundings = {**kept, "HOME": str(folder)}
    return subprocess.run(words, env=surroundings, cwd=folder, capture_output=True, text=True, timeout=300, input=typed)


def at_hand(version: str) -> str | None:
    """An interpreter of this version that runs, on the path or kept by a version manager in the home folder."""
    if version == f"{sys.version_info[0]}.{sys.version_info[1]}":
        return sys.executable
    kept = sorted((Path.home() / ".pyenv" / "versions").glob(f"{version}.*/bin/python"))
    for found in (shutil.which(f"python{version}"), *map(str, kept)):
        if found is not None:
            told = subprocess.run(
                [found, "-c", "import ensurepip, sys, venv; print(*sys.version_info[:2], sep='.')"],
                capture_output=True, text=True,
            )  # fmt: skip
            if told.stdout.strip() == version:
                return found
    return None


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    built = run([sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "-w", str(folder), str(ROOT)], folder)
    if built.returncode:
        pytest.skip(f"the wheel cannot be built here: {built.stderr[-200:]}")
    return next(folder.glob("*.whl"))


@pytest.fixture(scope="module", params=PYTHONS)
def installed(
    request: pytest.FixtureRequest, wheel: Path, tmp_path_factory: pytest.TempPathFactory
) -> tuple[str, Path]:
    """The console script of a fresh environment, and a folder to work in."""
    python = at_hand(request.param)
    if python is None:
        pytest.skip(f"no Python {request.param} here")
    folder = tmp_path_factory.mktemp("fresh")
    assert run([python, "-m", "venv", str(folder / "venv")], folder).returncode == 0
    scripts = folder / "venv" / ("Scripts" if os.name == "nt" else "bin")
    got = run([str(scripts / "python"), "-m", "pip", "install", "--quiet", str(wheel)], folder)
    if got.returncode:
        pytest.skip(f"the libraries cannot be fetched here: {got.stderr[-200:]}")
    lay_out(folder)
    return str(scripts / "sallow"), folder


@pytest.mark.proof
def test_every_command_runs(installed: tuple[str, Path]) -> None:
    sallow, folder = installed
    for words, typed in RUNS:
        found = run([sallow, *words.split(" ")], folder, typed)
        assert found.returncode == 0, (words, found.stdout[-500:], found.stderr[-500:])
        assert "Traceback" not in found.stderr and "Warning" not in found.stderr, (words, found.stderr)
    assert all((folder / name).stat().st_size > 90 for name in MADE)
    assert json.loads((folder / "look.json").read_text(encoding="utf-8"))["causes"][0]["id"].startswith("iron_shortage")


@pytest.mark.proof
def test_every_command_has_its_help_and_the_version_is_told(installed: tuple[str, Path]) -> None:
    sallow, folder = installed
    for name in ("", *leaves("", build_parser())):
        found = run([sallow, *name.split(), "--help"], folder)
        assert found.returncode == 0 and "usage:" in found.stdout, name
    assert run([sallow, "--version"], folder).stdout.startswith("sallow ")
