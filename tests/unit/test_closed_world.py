"""No network, no shell, no code from data, no POSIX-only module; folders and streams that fail are told plainly."""

from __future__ import annotations

import ast
import io
import json
import os
import shutil
import stat
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from tests.support.runs import RUNS, SLOW, lay_out, leaves

import sallow
from sallow.cli import build_parser, main
from sallow.environment import Environment, from_process
from sallow.knowledge.locate import shipped_folder

PACKAGE = Path(sallow.__file__).parent
ANSWERS = {
    "date": "2026-10-05",
    "tree": {"crop": "lemon", "climate": "dry_summer", "hemisphere": "south", "grown_in": "ground"},
    "symptoms": [{"part": "leaf", "leaf_age": "newest", "colour_pattern": "fine_net"}],
    "answers": {"soil_fizz": "fizzes"},
}
FORBIDDEN_MODULES = {
    *("socket", "ssl", "urllib.request", "http", "http.client", "http.server", "ftplib", "smtplib", "telnetlib"),
    *("subprocess", "multiprocessing", "pickle", "marshal", "shelve", "dbm", "ctypes", "code", "codeop", "pty"),
}
FORBIDDEN_CALLS = {"eval", "exec", "compile", "__import__", "breakpoint"}


def python(*words: str, **variables: str) -> subprocess.CompletedProcess[str]:
    """One process of this interpreter with sallow on its path and nothing of ours in its surroundings."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("SALLOW", "XDG", "HOME"))}
    surroundings = {**kept, "PYTHONPATH": str(PACKAGE.parent), "PYTHONDONTWRITEBYTECODE": "1", **variables}
    return subprocess.run([sys.executable, *words], env=surroundings, capture_output=True, text=True, timeout=300)


@pytest.fixture
def answers(tmp_path: Path) -> Path:
    path = tmp_path / "answers.json"
    path.write_text(json.dumps(ANSWERS), encoding="utf-8")
    return path


def sources() -> Iterator[tuple[Path, ast.Module]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        yield path, ast.parse(path.read_text(encoding="utf-8"))


# -- what the source says --------------------------------------------------------------------------------------------


def test_no_module_imports_network_shell_or_pickle() -> None:
    for path, tree in sources():
        names = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
        names |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
        assert not names & FORBIDDEN_MODULES, path


def test_no_module_evaluates_text_or_starts_a_shell() -> None:
    for path, tree in sources():
        calls = [node.func for node in ast.walk(tree) if isinstance(node, ast.Call)]
        assert not {call.id for call in calls if isinstance(call, ast.Name)} & FORBIDDEN_CALLS, path
        of_os = {
            call.attr
            for call in calls
            if isinstance(call, ast.Attribute) and isinstance(call.value, ast.Name) and call.value.id == "os"
        }
        assert not {name for name in of_os if name.startswith(("system", "popen", "exec", "spawn", "fork"))}, path


# -- what a run does ---------------------------------------------------------------------------------------------

WATCHED = """
import io, os, sys
from datetime import date
from pathlib import Path

heard = []
package = {package!r}

def listen(event, arguments):
    if event.startswith(("socket.", "subprocess.", "os.system", "os.exec", "os.spawn", "os.posix_spawn", "os.fork",
                         "pickle.", "marshal.loads", "ctypes.", "urllib.", "http.", "ftplib.", "smtplib.")):
        caller = sys._getframe(1).f_code.co_filename
        if not (event == "marshal.loads" and "importlib" in caller):
            heard.append((event, str(arguments)[:200]))
    elif event in ("exec", "compile") and sys._getframe(1).f_code.co_filename.startswith(package):
        heard.append((event, str(arguments)[:200]))

sys.addaudithook(listen)
from sallow.cli import main
from sallow.environment import Environment

os.chdir({folder!r})
for words, typed in {runs!r}:
    out, err = io.StringIO(), io.StringIO()
    environment = Environment(io.StringIO(typed), out, err, date(2026, 10, 20), data_folder=Path({folder!r}) / "data",
                              cache_folder=Path({folder!r}) / "cache")
    status = main(words, environment)
    assert status in (0, 1), (words, status, err.getvalue())
print(heard)
"""


def heard_in(runs: list[tuple[list[str], str]], folder: Path) -> str:
    lay_out(folder)
    found = python("-c", WATCHED.format(package=str(PACKAGE), runs=runs, folder=str(folder)))
    assert found.returncode == 0, found.stderr
    return found.stdout.strip()


def test_an_audit_hook_hears_no_network_shell_or_evaluation(tmp_path: Path) -> None:
    runs = [(words.split(" "), typed) for words, typed in RUNS if not words.startswith(SLOW)]
    assert heard_in([*runs, (["questions", "--json"], "")], tmp_path) == "[]"


@pytest.mark.proof
def test_an_audit_hook_hears_nothing_in_the_slow_runs_either(tmp_path: Path) -> None:
    (tmp_path / "own").mkdir()
    shutil.copy(shipped_folder("knowledge") / "cautions.yaml", tmp_path / "own")
    runs = [(words.split(" "), typed) for words, typed in RUNS if words.startswith(SLOW)]
    assert heard_in(runs, tmp_path) == "[]"


def test_every_command_is_among_the_runs() -> None:
    missing = [
        name for name in leaves("", build_parser()) if not any(f"{words} ".startswith(f"{name} ") for words, _ in RUNS)
    ]
    assert not missing


HIDDEN = """
import pkgutil, sys
for name in ("pwd", "grp", "fcntl", "termios", "tty", "pty", "resource", "readline", "curses", "crypt", "spwd"):
    sys.modules[name] = None
import sallow
for module in pkgutil.walk_packages(sallow.__path__, "sallow."):
    if module.name != "sallow.__main__":
        __import__(module.name)
from sallow.cli import main
from sallow.cli import build_parser
from sallow.environment import from_process
sys.exit(main(["look", "--answers", {answers!r}], from_process({{}})))
"""


def test_everything_imports_and_a_look_runs_without_posix_only_modules(answers: Path) -> None:
    found = python("-c", HIDDEN.format(answers=str(answers)))
    assert found.returncode == 0, found.stderr
    assert "iron" in found.stdout


def test_a_look_writes_nothing_but_its_cache(tmp_path: Path, answers: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    assert python("-m", "sallow", "look", "--answers", str(answers), HOME=str(home)).returncode == 0
    written = [path.relative_to(home) for path in home.rglob("*") if path.is_file()]
    assert len(written) == 1 and str(written[0]).startswith(".cache/sallow/knowledge-")


# -- places that fail ------------------------------------------------------------------------------------------------


def test_without_a_home_folder_a_look_runs_and_nothing_is_left_behind(tmp_path: Path, answers: Path) -> None:
    environment = from_process({})
    assert environment.cache_folder is None and environment.user_knowledge is None
    before = sorted(tmp_path.iterdir())
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("SALLOW", "XDG", "HOME"))}
    found = subprocess.run(
        [sys.executable, "-m", "sallow", "look", "--answers", str(answers)],
        env={**kept, "PYTHONPATH": str(PACKAGE.parent)}, cwd=tmp_path, capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr
    assert sorted(tmp_path.iterdir()) == before


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("words", [["look", "--answers", "F"], ["questions"], ["knowledge", "meaning"]])
def test_a_full_output_is_told_plainly(words: list[str], answers: Path) -> None:
    kept = {**os.environ, "PYTHONPATH": str(PACKAGE.parent)}
    called = [sys.executable, "-m", "sallow", *(str(answers) if word == "F" else word for word in words)]
    with Path("/dev/full").open("w") as full:
        found = subprocess.run(called, env=kept, stdout=full, stderr=subprocess.PIPE, text=True, timeout=300)
    assert found.returncode == 2
    assert "No space left" in found.stderr and "Traceback" not in found.stderr
    assert len(found.stderr.splitlines()) == 1


ENDLESS = [
    ["look", "--answers", "/dev/zero"], ["look", "--follow-up", "/dev/zero"], ["look", "--many", "/dev/zero"],
    ["look", "--answers", "F", "--with", "/dev/zero"], ["look", "--answers", "F", "--weather", "/dev/zero"],
    ["water", "--crop", "lemon", "--weather", "/dev/zero"], ["lab", "leaf", "--crop", "orange", "--csv", "/dev/zero"],
    ["feed", "--look", "/dev/zero"], ["trees", "import", "/dev/zero"],
]  # fmt: skip


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="needs a device without an end")
@pytest.mark.parametrize("words", ENDLESS, ids=" ".join)
def test_a_file_without_an_end_is_refused_before_it_fills_the_memory(
    words: list[str], answers: Path, surroundings: Callable[..., Environment]
) -> None:
    desk = surroundings()
    assert main([str(answers) if word == "F" else word for word in words], desk) == 2
    assert isinstance(desk.stderr, io.StringIO) and "/dev/zero" in desk.stderr.getvalue()


def test_a_reader_that_goes_away_is_no_fault() -> None:
    kept = {**os.environ, "PYTHONPATH": str(PACKAGE.parent)}
    running = subprocess.Popen(
        [sys.executable, "-m", "sallow", "questions"],
        env=kept,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert running.stdout is not None and running.stderr is not None
    running.stdout.read(10)
    running.stdout.close()
    complaints = running.stderr.read()
    running.stderr.close()
    assert running.wait(60) == 0
    assert complaints == ""


@pytest.mark.skipif(hasattr(os, "geteuid") and os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_read_only_folder_is_told_and_keeps_what_it_holds(tmp_path: Path, answers: Path) -> None:
    folder = tmp_path / "fixed"
    folder.mkdir()
    (folder / "report.md").write_text("earlier", encoding="utf-8")
    folder.chmod(stat.S_IRUSR | stat.S_IXUSR)
    found = python("-m", "sallow", "look", "--answers", str(answers), "--save", str(folder / "report.md"))
    folder.chmod(stat.S_IRWXU)
    assert found.returncode == 2 and "cannot be written" in found.stderr
    assert (folder / "report.md").read_text(encoding="utf-8") == "earlier"


def test_a_save_that_fails_half_way_leaves_the_earlier_file_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from sallow.errors import BadInput
    from sallow.interview import keep

    target = tmp_path / "report.md"
    target.write_text("earlier", encoding="utf-8")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(keep.os, "fsync", full)
    with pytest.raises(BadInput, match="No space left"):
        keep.write_atomically(target, "later")
    assert target.read_text(encoding="utf-8") == "earlier"
    assert [path.name for path in tmp_path.iterdir()] == ["report.md"]


def test_shipped_files_hold_no_path_that_leads_anywhere() -> None:
    for path in shipped_folder("knowledge").rglob("*.yaml"):
        text = path.read_text(encoding="utf-8")
        assert "../" not in text.split("\n", 1)[1] and "file://" not in text, path
