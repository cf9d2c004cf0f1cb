"""How fast the program is at the door: whole processes, median of 20, as ratios to bare imports in the same run.

Printed with ``pytest tests/benchmarks/test_door.py --benchmark-only -s``.
"""

from __future__ import annotations

import json
import os
import pty
import select
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parents[2] / "src"
TIMES = 20
LOOK = {
    "date": "2026-10-05",
    "tree": {"crop": "lemon", "climate": "dry_summer", "hemisphere": "south", "grown_in": "ground", "age_years": 6},
    "symptoms": [
        {"part": "leaf", "leaf_change": ["colour"], "leaf_age": "newest", "colour_pattern": "fine_net"},
    ],
    "answers": {"soil_fizz": "fizzes", "soil_at_depth": "moist"},
}


@pytest.fixture(scope="module")
def variables(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    home = tmp_path_factory.mktemp("home")
    found = {key: value for key, value in os.environ.items() if not key.startswith(("SALLOW", "XDG", "PYTHON"))}
    return {**found, "HOME": str(home), "PYTHONPATH": str(SOURCE), "TERM": "xterm-256color"}


def whole_process(words: list[str], variables: dict[str, str]) -> float:
    """Seconds from start to end of one process."""
    begun = time.perf_counter()
    subprocess.run(
        [sys.executable, *words], env=variables, stdin=subprocess.DEVNULL, capture_output=True, check=True, timeout=60
    )
    return time.perf_counter() - begun


def until_first_question(variables: dict[str, str]) -> float:
    """Seconds until the first question stands on a terminal's screen."""
    begun = time.perf_counter()
    child, screen = pty.fork()
    if child == 0:
        os.execve(sys.executable, [sys.executable, "-m", "sallow", "look"], variables)
    seen = b""
    try:
        while b"not sure" not in seen.lower() or b"?" not in seen:
            ready, _, _ = select.select([screen], [], [], 30)
            assert ready, f"no question within 30 s: {seen[-300:]!r}"
            seen += os.read(screen, 65536)
            if b"\x1b[6n" in seen:
                os.write(screen, b"\x1b[1;1R")
                seen = seen.replace(b"\x1b[6n", b"")
        return time.perf_counter() - begun
    finally:
        os.kill(child, 9)
        os.close(screen)
        os.waitpid(child, 0)


def ratio(
    name: str, goal: float, measured: Callable[[], float], bare: list[str], variables: dict[str, str]
) -> tuple[float, str]:
    """The ratio of the medians, measured turn about so that a busy moment hits both alike, and a line to print."""
    measured()
    pairs = [(measured(), whole_process(["-c", bare[0]], variables)) for _ in range(TIMES)]
    own, other = (statistics.median(column) for column in zip(*pairs, strict=True))
    line = f"{name}: {own * 1000:.0f} ms, {own / other:.2f} times `{bare[0]}` ({other * 1000:.0f} ms); goal {goal}"
    return own / other, line


@pytest.fixture
def told(capsys: pytest.CaptureFixture[str]) -> Iterator[Callable[[str], None]]:
    def tell(line: str) -> None:
        with capsys.disabled():
            print(f"\n  {line}")

    yield tell


def test_version(variables: dict[str, str], told: Callable[[str], None], benchmark: Callable[..., object]) -> None:
    found, line = ratio(
        "sallow --version", 1.3, lambda: whole_process(["-m", "sallow", "--version"], variables),
        ["import argparse"], variables,
    )  # fmt: skip
    told(line)
    benchmark(lambda: None)
    assert found <= 1.3


def test_a_look_from_an_answers_file(
    variables: dict[str, str], told: Callable[[str], None], benchmark: Callable[..., object], tmp_path: Path
) -> None:
    answers = tmp_path / "answers.json"
    answers.write_text(json.dumps(LOOK), encoding="utf-8")
    words = ["-m", "sallow", "look", "--answers", str(answers), "--format", "json"]
    found, line = ratio(
        "sallow look --answers F --format json", 1.5, lambda: whole_process(words, variables),
        ["import yaml, rich.console"], variables,
    )  # fmt: skip
    told(line)
    benchmark(lambda: None)
    assert found <= 1.5


def test_first_question(
    variables: dict[str, str], told: Callable[[str], None], benchmark: Callable[..., object]
) -> None:
    found, line = ratio(
        "first question on the screen", 1.4, lambda: until_first_question(variables),
        ["import questionary, rich.console"], variables,
    )  # fmt: skip
    told(line)
    benchmark(lambda: None)
    assert found <= 1.4


def test_the_whole_base_is_checked_within_two_seconds(
    variables: dict[str, str], told: Callable[[str], None], benchmark: Callable[..., object]
) -> None:
    seconds = [whole_process(["-m", "sallow", "knowledge", "check"], variables) for _ in range(5)]
    told(f"sallow knowledge check: {statistics.median(seconds):.2f} s; goal 2 s")
    benchmark(lambda: None)
    assert statistics.median(seconds) < 2
