"""The built wheel in fresh environments without extras, on every Python at hand: every command and its help run."""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from sallow.cli import build_parser

ROOT = Path(__file__).parents[2]
PYTHONS = ["3.11", "3.12", "3.13"]
LOOK = {
    "date": "2026-10-05",
    "tree": {"crop": "lemon", "climate": "dry_summer"},
    "symptoms": [{"part": "leaf", "leaf_age": "newest", "colour_pattern": "fine_net"}],
    "answers": {"soil_fizz": "fizzes"},
}
NEW_SOURCE = "my_notes\nMy own notes, 2026\n\n"
# What is typed, in this order, and on standard input; every command and every action of a command is among them.
RUNS: list[tuple[str, str]] = [
    ("look --answers answers.json", ""),
    ("look --answers answers.json --format markdown --save look.html --save look.svg --save look.json", ""),
    ("look --many many.jsonl", ""),
    ("look --answers answers.json --why iron_shortage_lime", ""),
    ("look --follow-up look.json --plain", "f\nf\n"),
    ("feed --crop lemon --in ground --age 6 --soil moist --hurt-by none --leaf-colour pale_old --bag 10-5-5", ""),
    ("lab water EC=0.9dS/m B=0.4mg/L --save-answers water.json", ""),
    ("look --answers answers.json --with water.json", ""),
    ("water --crop lemon --canopy 3m --et0 5mm --soil loam --gets 60L", ""),
    ("questions", ""),
    ("demo", ""),
    ("demo year", ""),
    ("leaves --crop lemon", ""),
    ("sheet --crop lemon --save sheet.html", ""),
    ("trees add Lemon --crop lemon", ""),
    ("trees list", ""),
    ("trees edit Lemon --grown pot", ""),
    ("trees note Lemon pruned --on 2026-05-01", ""),
    ("trees round --ics round.ics", ""),
    ("trees show Lemon --save story.html", ""),
    ("trees export book.json", ""),
    ("trees import book.json", ""),
    ("trees undo --list", ""),
    ("trees remove Lemon", ""),
    ("knowledge check", ""),
    ("knowledge meaning unused", ""),
    ("knowledge new source --into own", NEW_SOURCE),
    ("knowledge show drought", ""),
    ("knowledge graph drought --svg drought.svg", ""),
    ("knowledge compare own own", ""),
    ("knowledge cases", ""),
    ("knowledge coverage", ""),
]
MADE = ["look.html", "look.svg", "look.json", "sheet.html", "round.ics", "story.html", "book.json", "drought.svg"]


def run(words: list[str], folder: Path, typed: str = "") -> subprocess.CompletedProcess[str]:
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("SALLOW", "XDG", "PYTHON"))}
    surroundings = {**kept, "HOME": str(folder)}
    return subprocess.run(words, env=surroundings, cwd=folder, capture_output=True, text=True, timeout=300, input=typed)


def leaves(name: str, parser: argparse.ArgumentParser) -> Iterator[str]:
    """Every command that can be run by itself."""
    inner = [action for action in parser._actions if isinstance(action, argparse._SubParsersAction)]
    if not inner:
        yield name
    for action in inner:
        for word, below in action.choices.items():
            yield from leaves(f"{name} {word}".strip(), below)


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


def test_every_command_is_among_the_runs() -> None:
    missing = [
        name for name in leaves("", build_parser()) if not any(f"{words} ".startswith(f"{name} ") for words, _ in RUNS)
    ]
    assert not missing


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
    (folder / "answers.json").write_text(json.dumps(LOOK), encoding="utf-8")
    (folder / "many.jsonl").write_text(json.dumps(LOOK) + "\n", encoding="utf-8")
    return str(scripts / "sallow"), folder


@pytest.mark.proof
def test_every_command_runs(installed: tuple[str, Path]) -> None:
    sallow, folder = installed
    for words, typed in RUNS:
        found = run([sallow, *words.split(" ")], folder, typed)
        assert found.returncode == 0, (words, found.stdout[-500:], found.stderr[-500:])
        assert "Traceback" not in found.stderr and "Warning" not in found.stderr, (words, found.stderr)
    assert all((folder / name).stat().st_size > 300 for name in MADE)
    assert json.loads((folder / "look.json").read_text(encoding="utf-8"))["causes"][0]["id"].startswith("iron_shortage")


@pytest.mark.proof
def test_every_command_has_its_help_and_the_version_is_told(installed: tuple[str, Path]) -> None:
    sallow, folder = installed
    for name in ("", *leaves("", build_parser())):
        found = run([sallow, *name.split(), "--help"], folder)
        assert found.returncode == 0 and "usage:" in found.stdout, name
    assert run([sallow, "--version"], folder).stdout.startswith("sallow ")
