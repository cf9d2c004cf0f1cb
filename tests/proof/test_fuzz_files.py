"""At least 20,000 spoiled files of every kind: each is read or refused in words, in under two seconds and 300 MB."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from tests.support.fuzzing import LIMIT_MB

import sallow

ROOT = Path(__file__).parents[2]
# (kind, files, the least number that must have been refused, and that must have been read)
AMOUNTS = [
    ("knowledge", 8000, 3000, 1000),
    ("answers", 7000, 4000, 100),
    ("weather", 5000, 1000, 200),
    ("lab", 600, 200, 20),
    ("books", 3000, 1000, 200),
]


def test_there_are_twenty_thousand() -> None:
    assert sum(files for _, files, _, _ in AMOUNTS) >= 20_000


@pytest.mark.proof
@pytest.mark.parametrize(("kind", "files", "refused", "read"), AMOUNTS, ids=[row[0] for row in AMOUNTS])
def test_spoiled_files_are_read_or_refused_in_words(kind: str, files: int, refused: int, read: int) -> None:
    told = spoil(kind, files, seed=20260520)
    assert told["refused"] >= refused
    assert files - told["refused"] >= read


@pytest.mark.parametrize("kind", [row[0] for row in AMOUNTS])
def test_a_few_spoiled_files_every_time(kind: str) -> None:
    assert spoil(kind, 40, seed=7)["refused"] > 10


def spoil(kind: str, files: int, seed: int) -> dict[str, int]:
    """What the child process tells; fails with the file that broke it."""
    path = os.pathsep.join([str(Path(sallow.__file__).parents[1]), str(ROOT)])
    found = subprocess.run(
        [sys.executable, "-m", "tests.support.fuzzing", kind, str(files), str(seed)],
        env={**os.environ, "PYTHONPATH": path}, cwd=ROOT, capture_output=True, text=True, timeout=500,
    )  # fmt: skip
    assert found.stdout, found.stderr[-2000:]
    told = json.loads(found.stdout.splitlines()[-1])
    assert not told["why"], f"{told['why']}\n{told['file']}"
    assert found.returncode == 0
    assert told["mb"] < LIMIT_MB
    return {"refused": told["refused"], "mb": told["mb"]}
