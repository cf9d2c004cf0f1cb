"""The reasoning core imports nothing outside the standard library and touches no file, clock or terminal."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import sallow.reasoning

FOLDER = Path(sallow.reasoning.__file__).parent
ROOT = FOLDER.parents[2]
# Modules of the standard library that only compute. No os, io, pathlib, sys, time, datetime, random or logging.
ALLOWED = {
    "__future__",
    "collections",
    "dataclasses",
    "functools",
    "itertools",
    "json",
    "math",
    "operator",
    "types",
    "typing",
}
KNOWLEDGE = {"sallow.knowledge.model", "sallow.knowledge.conditions", "sallow.knowledge.codec", "sallow.values"}
TOUCHING = {"open", "input", "print", "exec", "eval", "compile", "__import__", "breakpoint"}
MODULES = sorted(FOLDER.glob("*.py"))


def imported(tree: ast.AST) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written out in full"
            found.add(str(node.module))
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_a_module_imports_only_what_computes(path: Path) -> None:
    for name in imported(ast.parse(path.read_text(encoding="utf-8"))):
        known = name.split(".")[0] in ALLOWED or name in KNOWLEDGE or name.startswith("sallow.reasoning.")
        assert known, f"{path.name} imports {name}"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_a_module_calls_nothing_that_reads_or_writes(path: Path) -> None:
    calls = {
        node.func.id
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not calls & TOUCHING


WATCHED = """
import sys
from tests.support.bases import Maker
from sallow.reasoning import ask, chain, compile, explain, turn, weigh

seen = []
sys.addaudithook(lambda event, arguments: seen.append((event, str(arguments)[:80])))
for seed in range(12):
    maker = Maker(seed, causes=6)
    scales = weigh.Scales(compile.compile_base(maker.knowledge, {}))
    weighed = scales.weigh(maker.facts(1 + seed % 3))
    asker = ask.Asker(scales, weighed, ())
    asker.next()
    turn.changes(scales, weighed, frozenset())
    for cause in weighed.causes[:-1]:
        explain.reasons(scales, weighed, cause)
        explain.missing(scales, weighed, cause)
        explain.unknown(scales, weighed, cause)
print(*sorted({event for event, _ in seen}))
"""
# What Python itself reports while it computes.
HARMLESS = {"builtins.id", "object.__getattr__", "object.__setattr__", "sys._getframe"}


def test_reasoning_opens_and_asks_for_nothing_while_it_works() -> None:
    run = subprocess.run(
        [sys.executable, "-c", WATCHED],
        cwd=ROOT,
        env={"PYTHONPATH": f"{ROOT / 'src'}:{ROOT}"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    assert set(run.stdout.split()) <= HARMLESS
