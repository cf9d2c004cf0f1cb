"""Ctrl-C ends the program with 130 and no traceback wherever it falls, and a look that was begun is kept."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from sallow.environment import Environment
from sallow.errors import Interrupted
from sallow.interview.keys import KeyInterview
from sallow.interview.plain import PlainInterview
from sallow.interview.session import Session, start
from sallow.knowledge.model import Knowledge

ROOT = Path(__file__).parents[2]
# Ctrl-C while this module is being loaded, or as soon as it is called for.
STAGES = [
    "sallow.cli",
    "argparse",
    "sallow.environment",
    "sallow.commands.look_book",
    "sallow.knowledge.access",
    "sallow.knowledge.load",
    "sallow.answers",
    "sallow.diagnosis",
    "sallow.render.data",
]
STOPPED_AT = """
import builtins, sys
stage, real = sys.argv.pop(1), builtins.__import__
def importing(name, *more, **others):
    if name == stage:
        raise KeyboardInterrupt
    return real(name, *more, **others)
from sallow.start import entry
builtins.__import__ = importing
entry()
"""


def variables(home: Path) -> dict[str, str]:
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("SALLOW", "XDG", "PYTHON"))}
    return {**kept, "HOME": str(home), "PYTHONPATH": str(ROOT / "src")}


@pytest.mark.parametrize("stage", STAGES)
def test_while_loading_reading_or_working(stage: str, tmp_path: Path) -> None:
    answers = tmp_path / "a.json"
    answers.write_text(json.dumps({"tree": {"crop": "lemon"}, "symptoms": [{"part": "leaf"}]}), encoding="utf-8")
    words = [sys.executable, "-c", STOPPED_AT, stage, "look", "--answers", str(answers), "--format", "json"]
    stopped = subprocess.run(words, env=variables(tmp_path), capture_output=True, text=True, timeout=60)
    assert stopped.returncode == 130, stopped.stderr
    assert stopped.stderr.strip() == "Stopped." and stopped.stdout == ""


@pytest.mark.skipif(os.name == "nt", reason="no SIGINT to send to another process")
@pytest.mark.parametrize(
    ("words", "typed", "kept"),
    [
        (["look", "--plain"], "lemon\n", True),
        (["feed"], "", False),
        (["water"], "", False),
        (["lab"], "", False),
        (["knowledge", "new", "cause", "--into", "own"], "dry_wind\n", False),
        (["trees", "add"], "", False),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else None,
)
def test_at_a_question(words: list[str], typed: str, kept: bool, tmp_path: Path) -> None:
    child = subprocess.Popen(
        [sys.executable, "-m", "sallow", *words],
        env=variables(tmp_path), cwd=tmp_path,
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, bufsize=0,
    )  # fmt: skip
    assert child.stdin is not None and child.stdout is not None
    seen = b""
    child.stdin.write(typed.encode())
    # Each prompt is "> "; what was typed beforehand answers the first of them.
    while seen.count(b"> ") <= typed.count("\n"):
        got = child.stdout.read(1)
        assert got, seen.decode()
        seen += got
    child.send_signal(signal.SIGINT)
    rest, _ = child.communicate(timeout=60)
    assert child.returncode == 130, (seen + rest).decode()
    assert b"Traceback" not in seen + rest
    if kept:
        found = [path for path in tmp_path.rglob("*.json*") if "cache" not in str(path)]
        assert any("lemon" in path.read_text(encoding="utf-8") for path in found), found
        assert b"--resume" in rest


@pytest.mark.parametrize("kind", [PlainInterview, KeyInterview])
def test_while_the_next_question_is_worked_out(
    kind: type[PlainInterview] | type[KeyInterview],
    knowledge: Knowledge,
    surroundings: Callable[..., Environment],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    session = Session(knowledge)
    monkeypatch.setattr(session, "next_prompt", stopped)
    interview = kind(session, surroundings(), lambda _: None, picture=lambda _: "")
    with pytest.raises(Interrupted, match="kept; 'sallow look --resume'"):
        interview.run(start(date(2026, 5, 20)))
