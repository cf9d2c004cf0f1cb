"""Killed at any moment while writing, the book opens again and holds every note that was acknowledged."""

import os
import random
import shutil
import signal
import sqlite3
import time
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import pytest

from sallow.trees import exchange, history, ledger, schema, shelf
from sallow.trees.book import Book, open_book
from sallow.trees.model import Event, Look, Tree

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a forked process")

TODAY = date(2026, 5, 6)
LONGEST_LIFE = 0.025  # seconds; one write takes about 1 to 4 thousandths
FROM_THE_START = 0.3  # share of the kills whose moment is counted from the start
NEW_BOOK_EVERY = 10


@dataclass
class Told:
    """What the killed writers had acknowledged: the notes by their words, the looks, the exports taken in.

    ``in_the_midst`` counts the kills that left a journal, so hit in the middle of a write.
    """

    notes: Counter[str] = field(default_factory=Counter)
    looks: int = 0
    taken_in: int = 0
    in_the_midst: int = 0


def write_without_end(path: Path, source: Path, name: str, dice: random.Random, acknowledge: int) -> None:
    """Open or begin the book and write until killed; each line to ``acknowledge`` comes after the write returned."""
    with open_book(path, create=True) as book:
        uids = [tree.uid for tree in shelf.all_trees(book)] or [ledger.add_tree(book, Tree(name, "lemon"), TODAY).uid]
        for number in range(100_000):
            words = f"{name}-{number}"
            choice = dice.random()
            if choice < 0.6:
                note(book, uids, words)
                os.write(acknowledge, f"note {words}\n".encode())
            elif choice < 0.75:
                look = Look(TODAY, answers={"x": words + "y" * 5000}, photos=("a", "b"))
                ledger.keep_look(book, trees=uids[:1], look=look)
                os.write(acknowledge, b"look\n")
            elif choice < 0.85:
                act = note(book, uids, f"never acknowledged {words}")
                for _ in range(dice.randrange(4)):
                    act = history.undo(book, TODAY, act).number  # and back again, and so on
            elif choice < 0.97:
                ledger.edit_tree(book, uids[0], {"soil": "s" * dice.randrange(300)}, TODAY)
            else:
                exchange.take_in(book, exchange.read_export(source), TODAY)
                os.write(acknowledge, b"import\n")


def note(book: Book, uids: list[str], words: str) -> int:
    event = Event("text", TODAY, words=words, tree=uids[0])
    return ledger.add_events(book, [event], TODAY, f"noted {words}").number


def live_and_die(
    path: Path,
    source: Path,
    name: str,
    dice: random.Random,
    told: Told,
    meanwhile: Callable[[float], None] = time.sleep,
) -> None:
    """One writer: forked, killed after a random moment spent on ``meanwhile``, and what it had told counted.

    The moment is counted from the start, to hit the opening too, or from the first note, however slow the machine.
    """
    hear, acknowledge = os.pipe()
    seed, from_the_start, life = dice.random(), dice.random() < FROM_THE_START, dice.uniform(0, LONGEST_LIFE)
    child = os.fork()
    if child == 0:
        try:
            write_without_end(path, source, name, random.Random(seed), acknowledge)
        finally:
            os._exit(1)
    os.close(acknowledge)
    heard = b"" if from_the_start else hear_a_note(hear)
    meanwhile(life)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    told.in_the_midst += Path(f"{path}-journal").exists()
    with os.fdopen(hear, "rb") as pipe:
        lines = (heard + pipe.read()).decode().splitlines()
    assert os.WIFSIGNALED(status), f"the writer ended by itself after {lines[-1:]}"
    for line in lines:
        kind, _, words = line.partition(" ")
        told.notes[words] += kind == "note"
        told.looks += kind == "look"
        told.taken_in += kind == "import"


def hear_a_note(pipe: int) -> bytes:
    heard = b""
    while b"note" not in heard:
        piece = os.read(pipe, 1000)
        assert piece, "the writer ended before its first note"
        heard += piece
    return heard


def the_book_is_whole(path: Path, told: Told) -> None:
    """Opens, is sound to the last page, has every acknowledged note once, and its acts agree with its rows."""
    with open_book(path, create=True) as book:
        assert book.connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        assert book.connection.execute("PRAGMA foreign_key_check").fetchall() == []
        tables = exchange.all_tables(book)
    kept = Counter(row["words"] for row in tables["events"] if not row["gone"])
    standing = {words: count for words, count in told.notes.items() if count}
    missing = [words for words in standing if not kept[words]]
    assert missing == [], f"{len(missing)} acknowledged notes are lost"
    assert all(count == 1 for count in kept.values()), "a note stands there twice"
    assert sum(not row["gone"] for row in tables["looks"]) >= told.looks
    assert {row["act"] for row in tables["changes"]} <= {row["number"] for row in tables["acts"]}
    replayed = replay(tables)
    for table in ("trees", "events", "looks", "photos"):
        for row in tables[table]:
            assert replayed.get((table, str(row["uid"]))) == row["gone"], "a row and the list of acts disagree"


def replay(tables: dict[str, list[dict[str, object]]]) -> dict[tuple[str, str], int]:
    """Whether each row is gone according to the list of acts alone."""
    import json

    gone: dict[tuple[str, str], int] = {}
    for row in tables["changes"]:
        after = json.loads(str(row["after"]))
        if "gone" in after:
            gone[str(row["kind"]), str(row["row"])] = after["gone"]
    return gone


def an_export(folder: Path) -> Path:
    with open_book(folder / "source.sqlite", create=True) as book:
        uid = ledger.add_tree(book, Tree("Taken in", "fig"), TODAY).uid
        for number in range(30):
            note(book, [uid], f"from the export {number}")
        exchange.export(exchange.all_tables(book), folder / "source.json")
    return folder / "source.json"


def a_version_1_book(path: Path) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for statement in schema.STEPS[1]:
            connection.execute(statement)
        connection.execute("INSERT INTO trees (uid, name, name_key, crop) VALUES ('t', 'Old', 'old', 'lemon')")
        connection.execute(
            "INSERT INTO events (uid, tree, what, day, words) VALUES ('e', 't', 'text', '2020-01-01', 'old note')"
        )
        connection.executemany(
            "INSERT INTO looks (uid, tree, day) VALUES (?, 't', '2020-01-01')", [(f"l{n}",) for n in range(50)]
        )
        connection.execute("INSERT INTO acts (number, day, words) VALUES (1, '2020-01-01', 'all')")
        rows = [("trees", "t"), ("events", "e"), *(("looks", f"l{n}") for n in range(50))]
        connection.executemany(
            "INSERT INTO changes VALUES (1, ?, ?, ?, '{\"gone\":1}', '{\"gone\":0}')",
            [(place, kind, uid) for place, (kind, uid) in enumerate(rows)],
        )
        connection.execute("PRAGMA user_version = 1")
        connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")


def kill_many(folder: Path, kills: int, seed: int) -> tuple[int, int]:
    """Kill so many writers, on new and old books in turn; how many notes were told, how many kills hit a write."""
    dice = random.Random(seed)
    source = an_export(folder)
    path, told, acknowledged, hits = folder / "book.sqlite", Told(), 0, 0
    for number in range(kills):
        if number % NEW_BOOK_EVERY == 0:
            acknowledged, hits = acknowledged + sum(told.notes.values()), hits + told.in_the_midst
            path, told = folder / f"book{number}.sqlite", Told()
            if number // NEW_BOOK_EVERY % 2:
                a_version_1_book(path)
                told.notes["old note"] += 1
        live_and_die(path, source, f"writer {number}", dice, told)
        the_book_is_whole(path, told)
    return acknowledged + sum(told.notes.values()), hits + told.in_the_midst


def test_fifteen_kills_lose_no_acknowledged_note(tmp_path: Path) -> None:
    acknowledged, _ = kill_many(tmp_path, 15, seed=6)
    assert acknowledged >= 8


@pytest.mark.proof
def test_five_hundred_kills_lose_no_acknowledged_note(tmp_path: Path) -> None:
    acknowledged, hits = kill_many(tmp_path, 500, seed=2026)
    assert acknowledged > 500
    assert hits > 100, "too few kills hit in the middle of a write to prove anything"


@pytest.mark.proof
def test_kills_while_another_terminal_is_writing_lose_nothing(tmp_path: Path) -> None:
    dice, told, path = random.Random(7), Told(), tmp_path / "book.sqlite"
    source = an_export(tmp_path)
    with open_book(path, create=True) as book:
        uid = ledger.add_tree(book, Tree("Shared", "lemon"), TODAY).uid

    def write_too(life: float) -> None:
        end = time.monotonic() + life
        with open_book(path) as book:
            while time.monotonic() < end:
                words = f"the survivor {len(told.notes)}"
                note(book, [uid], words)
                told.notes[words] += 1

    for number in range(400):
        live_and_die(path, source, f"writer {number}", dice, told, write_too)
        the_book_is_whole(path, told)
        if number >= 40 and told.in_the_midst > 5:
            break
    assert told.in_the_midst > 5, "too few kills hit in the middle of a write to prove anything"


def test_two_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    path, count, writers = tmp_path / "book.sqlite", 40, 3
    children = []
    for writer in range(writers):  # all of them begin the book, too
        child = os.fork()
        if child == 0:
            failed = 1
            try:
                with open_book(path, create=True) as book:
                    uid = ledger.add_tree(book, Tree(f"Tree {writer}", "lemon"), TODAY).uid
                    for number in range(count):
                        note(book, [uid], f"{writer}-{number}")
                failed = 0
            finally:
                os._exit(failed)
        children.append(child)
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * writers
    with open_book(path) as book:
        trees = shelf.all_trees(book)
        words = [
            event.words for events in shelf.events_of(book, [tree.uid for tree in trees]).values() for event in events
        ]
    assert sorted(words) == sorted(f"{writer}-{number}" for writer in range(writers) for number in range(count))


def test_a_journal_left_by_a_kill_is_rolled_back_on_the_next_opening(tmp_path: Path) -> None:
    path = tmp_path / "book.sqlite"
    with open_book(path, create=True) as book:
        uid = ledger.add_tree(book, Tree("Fig", "fig"), TODAY).uid
        note(book, [uid], "kept")
        book.connection.execute("PRAGMA cache_size = 1")  # makes SQLite write half a transaction to the file
        book.connection.execute("BEGIN IMMEDIATE")
        for number in range(400):
            book.connection.execute(
                "INSERT INTO events (uid, tree, what, day, words) VALUES (?, ?, 'text', '2026-01-01', ?)",
                (f"x{number}", uid, "z" * 500),
            )
        shutil.copy(path, tmp_path / "torn.sqlite")
        shutil.copy(f"{path}-journal", tmp_path / "torn.sqlite-journal")
        book.connection.execute("ROLLBACK")
    with open_book(tmp_path / "torn.sqlite") as book:
        events = shelf.events_of(book, [uid])[uid]
    assert [event.words for event in events] == ["kept"]
