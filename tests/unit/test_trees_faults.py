"""Damaged books, full disks, folders that may only be read: a plain message, and the file left as it was."""

import io
import os
import random
import resource
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path

import pytest

import sallow
from sallow.cli import main
from sallow.environment import Environment
from sallow.errors import BookError
from sallow.status import ExitStatus
from sallow.trees import ledger, shelf
from sallow.trees.book import open_book
from sallow.trees.model import Event, Look, Tree
from sallow.trees.rescue import rescued_tables

TODAY = date(2026, 5, 6)
NOBODY = 65534  # the user with no rights


def a_book(path: Path, notes: int = 120) -> Path:
    with open_book(path, create=True) as book:
        trees = [
            ledger.add_tree(book, Tree(f"Tree {number}", "lemon", hemisphere="south"), TODAY) for number in range(4)
        ]
        for number in range(notes):
            event = Event("text", TODAY, words=f"note {number} " + "x" * 100, tree=trees[number % 4].uid)
            ledger.add_events(book, [event], TODAY, "noted")
        ledger.keep_look(book, trees=[trees[0].uid], look=Look(TODAY, answers={"a": 1}, seen=("pale",)))
    return path


def sallow_trees(path: Path, *words: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    environment = Environment(stdin=io.StringIO(), stdout=out, stderr=err, today=TODAY, data_folder=path.parent)
    status = main(["trees", "--book", str(path), *words], environment)
    return status, out.getvalue(), err.getvalue()


def test_a_file_that_is_no_book_is_refused_with_the_way_out(tmp_path: Path) -> None:
    path = tmp_path / "book.sqlite"
    path.write_bytes(b"this was a book once" * 500)
    before = path.read_bytes()
    for words in (["list"], ["note", "lemon", "fed"], ["add", "x", "--crop", "lemon"], ["undo"]):
        status, _, told = sallow_trees(path, *words)
        assert status == ExitStatus.BAD_INPUT
        assert "damaged" in told and "export --rescue" in told and "import" in told and "left as it was" in told
    assert path.read_bytes() == before


@pytest.mark.parametrize("length", [1, 100, 4096, 9000])
def test_a_book_cut_short_is_refused_and_left_as_it_was(tmp_path: Path, length: int) -> None:
    path = a_book(tmp_path / "book.sqlite")
    path.write_bytes(path.read_bytes()[:length])
    before = path.read_bytes()
    status, _, told = sallow_trees(path, "note", "Tree 1", "fed")
    assert status == ExitStatus.BAD_INPUT and "export --rescue" in told
    assert path.read_bytes() == before


def test_an_empty_file_is_begun_anew_since_it_holds_nothing(tmp_path: Path) -> None:
    path = tmp_path / "book.sqlite"
    path.touch()
    assert sallow_trees(path, "add", "Fig", "--crop", "fig")[0] == ExitStatus.OK


def test_random_damage_never_crashes_and_never_grows(tmp_path: Path) -> None:
    whole = a_book(tmp_path / "whole.sqlite", notes=60).read_bytes()
    path = tmp_path / "book.sqlite"
    dice = random.Random(20260506)
    refused = 0
    for _ in range(60):
        spoiled = bytearray(whole)
        start = dice.randrange(len(whole))
        stretch = dice.choice([1, 16, 700])
        spoiled[start : start + stretch] = dice.randbytes(len(spoiled[start : start + stretch]))
        for words in (["list"], ["show", "Tree 1"], ["round"], ["export", str(tmp_path / "out.json")]):
            path.write_bytes(spoiled)
            status, _, told = sallow_trees(path, *words)
            assert status in (ExitStatus.OK, ExitStatus.BAD_INPUT), told
            assert path.read_bytes() == spoiled, "reading must leave a damaged book as it was"
            refused += status == ExitStatus.BAD_INPUT
    assert refused > 40, "the damage was too mild to prove anything"


def test_what_can_be_read_of_a_damaged_book_is_rescued_into_a_new_one(tmp_path: Path) -> None:
    path = a_book(tmp_path / "book.sqlite", notes=400)
    spoiled = bytearray(path.read_bytes())
    with open_book(path) as book:
        pages = (
            [
                row[0]
                for row in book.connection.execute(
                    "SELECT pageno FROM dbstat WHERE name = 'events' AND pagetype = 'leaf'"
                )
            ]
            if _has_dbstat(book)
            else []
        )
    page = pages[len(pages) // 2] if pages else len(spoiled) // 4096 // 2
    spoiled[(page - 1) * 4096 : page * 4096] = b"\xff" * 4096
    path.write_bytes(spoiled)
    assert sallow_trees(path, "list")[0] == ExitStatus.BAD_INPUT
    status, told, _ = sallow_trees(path, "export", "--rescue", str(tmp_path / "saved"))
    assert status == ExitStatus.OK and "could not be read" in told
    assert path.read_bytes() == spoiled
    fresh = tmp_path / "fresh.sqlite"
    assert sallow_trees(fresh, "import", str(tmp_path / "saved"))[0] == ExitStatus.OK
    with open_book(fresh) as book:
        trees = shelf.all_trees(book)
        assert [tree.name for tree in trees] == [f"Tree {number}" for number in range(4)]
        saved = [
            event.words for events in shelf.events_of(book, [tree.uid for tree in trees]).values() for event in events
        ]
    wanted = {f"note {number} " + "x" * 100 for number in range(400)}
    assert set(saved) <= wanted and len(saved) == len(set(saved))
    if pages:
        assert len(saved) > 300, "one torn page must not cost the notes on the others"


def _has_dbstat(book: object) -> bool:
    import sqlite3

    try:
        book.connection.execute("SELECT 1 FROM dbstat LIMIT 1").fetchone()  # type: ignore[attr-defined]
    except sqlite3.Error:
        return False
    return True


def test_a_rescue_of_a_whole_book_loses_no_note(tmp_path: Path) -> None:
    path = a_book(tmp_path / "book.sqlite")
    tables, lost = rescued_tables(path)
    assert (lost, len(tables["trees"]), len(tables["events"]), len(tables["looks"])) == (0, 4, 120, 1)


def test_a_full_disk_leaves_the_book_as_it_was(tmp_path: Path) -> None:
    # SQLite itself answers "full" when the file may not grow beyond this many pages: the same code path as a full disk.
    path = a_book(tmp_path / "book.sqlite")
    with open_book(path) as book:
        tree = shelf.find_tree(book, "Tree 1")
        before = len(shelf.events_of(book, [tree.uid])[tree.uid])
        pages = book.connection.execute("PRAGMA page_count").fetchone()[0]
        book.connection.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(BookError, match="disk is full"):
            for _ in range(50):
                ledger.add_events(book, [Event("text", TODAY, words="y" * 3000, tree=tree.uid)], TODAY, "noted")
        after = len(shelf.events_of(book, [tree.uid])[tree.uid])
    with open_book(path) as book:
        assert len(shelf.events_of(book, [tree.uid])[tree.uid]) == after >= before
        assert book.connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"


def run_apart(path: Path, words: Sequence[str], **more: object) -> subprocess.CompletedProcess[str]:
    source = str(Path(sallow.__file__).parent.parent)
    environment = {"PATH": os.environ["PATH"], "PYTHONPATH": source, "PYTHONDONTWRITEBYTECODE": "1"}
    environment |= more.pop("variables", {})  # type: ignore[arg-type]
    command = [sys.executable, "-m", "sallow", "trees", *(["--book", str(path)] if path.name else []), *words]
    return subprocess.run(command, capture_output=True, text=True, env=environment, check=False, **more)  # type: ignore[call-overload,no-any-return]


def test_a_disk_that_takes_no_more_bytes_is_told_plainly(tmp_path: Path) -> None:
    path = a_book(tmp_path / "book.sqlite")
    size = path.stat().st_size

    def no_bigger() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))

    for _ in range(60):
        done = run_apart(path, ["note", "Tree 1", "text", "z" * 3900], preexec_fn=no_bigger)
        if done.returncode:
            break
    assert done.returncode == ExitStatus.BAD_INPUT
    assert "Traceback" not in done.stderr and "disk" in done.stderr
    with open_book(path) as book:
        assert book.connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"


def test_an_export_that_does_not_fit_leaves_no_half_file(tmp_path: Path) -> None:
    path = a_book(tmp_path / "book.sqlite")

    def small() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))

    done = run_apart(path, ["export", str(tmp_path / "out" / "all.json")], preexec_fn=small)
    assert done.returncode == ExitStatus.BAD_INPUT and "export" in done.stderr and "Traceback" not in done.stderr
    assert list((tmp_path / "out").iterdir()) == []


def test_a_folder_that_cannot_be_made_is_told_with_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    status, _, told = sallow_trees(tmp_path / "file" / "deep" / "book.sqlite", "add", "Fig", "--crop", "fig")
    assert status == ExitStatus.BAD_INPUT
    assert "--book" in told and "SALLOW_DATA" in told


def test_a_missing_book_says_how_to_begin_one(tmp_path: Path) -> None:
    status, told, _ = sallow_trees(tmp_path / "book.sqlite", "list")
    assert status == ExitStatus.OK and "sallow trees add" in told
    status, _, told = sallow_trees(tmp_path / "book.sqlite", "show", "x")
    assert status == ExitStatus.BAD_INPUT and "sallow trees add" in told
    assert list(tmp_path.iterdir()) == [], "asking must not make a book"
    assert "is a folder" in sallow_trees(tmp_path, "list")[2]


@pytest.fixture
def open_place() -> Iterator[Path]:
    """A folder that everybody may look into, as the folders of tests are not."""
    with tempfile.TemporaryDirectory() as made:
        Path(made).chmod(0o755)
        yield Path(made)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="needs to become another user")
def test_a_reader_without_the_right_to_write_can_read_and_is_told(open_place: Path) -> None:
    path = a_book(open_place / "kept" / "book.sqlite")
    path.parent.chmod(0o755)
    path.chmod(0o644)
    sallow_trees(path, "list")  # so that every module and document is loaded before the right to read them goes
    status, told = as_nobody(path, "list")
    assert status == ExitStatus.OK and "Tree 1" in told
    status, told = as_nobody(path, "note", "Tree 1", "fed")
    assert status == ExitStatus.BAD_INPUT and "may only be read" in told
    status, told = as_nobody(path.parent / "other.sqlite", "add", "Fig", "--crop", "fig")
    assert status == ExitStatus.BAD_INPUT and "--book" in told
    status, told = as_nobody(path.parent / "deep" / "other.sqlite", "add", "Fig", "--crop", "fig")
    assert status == ExitStatus.BAD_INPUT and "SALLOW_DATA" in told


def as_nobody(path: Path, *words: str) -> tuple[int, str]:
    """The outcome of the command in a child process that gave up its rights."""
    hear, tell = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.setuid(NOBODY)
            status, out, err = sallow_trees(path, *words)
            os.write(tell, f"{int(status)}\n{out}{err}".encode())
        finally:
            os._exit(0)
    os.close(tell)
    with os.fdopen(hear) as pipe:
        status, _, told = pipe.read().partition("\n")
    os.waitpid(child, 0)
    return int(status), told
