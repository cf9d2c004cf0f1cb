"""Two terminals at one book: who writes without a pause does not keep the other from its turn."""

from __future__ import annotations

import os
import signal
import time
from datetime import date
from pathlib import Path

import pytest

from sallow.errors import BookError
from sallow.trees import ledger
from sallow.trees.book import open_book, writing
from sallow.trees.model import Event, Tree

TODAY = date(2026, 5, 6)


@pytest.fixture
def book_with_a_tree(tmp_path: Path) -> tuple[Path, str]:
    path = tmp_path / "book.sqlite"
    with open_book(path, create=True) as book:
        return path, ledger.add_tree(book, Tree("Fig", "fig"), TODAY).uid


def note(path: Path, uid: str, words: str) -> None:
    with open_book(path) as book:
        ledger.add_events(book, [Event("text", TODAY, words=words, tree=uid)], TODAY, "noted")


def test_a_neighbour_that_never_pauses_does_not_shut_the_other_out(book_with_a_tree: tuple[Path, str]) -> None:
    path, uid = book_with_a_tree
    child = os.fork()
    if child == 0:
        try:
            with open_book(path) as book:
                while True:
                    events = [Event("text", TODAY, words="x" * 500, tree=uid)] * 20
                    ledger.add_events(book, events, TODAY, "noted")
        finally:
            os._exit(1)
    try:
        time.sleep(0.3)
        begin = time.monotonic()
        for number in range(5):
            note(path, uid, f"mine {number}")
        assert time.monotonic() - begin < 15
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


def test_one_that_holds_the_book_too_long_is_told_and_nothing_is_written(book_with_a_tree: tuple[Path, str]) -> None:
    path, uid = book_with_a_tree
    with open_book(path) as holder, writing(holder), open_book(path, wait=0.2) as other:
        begin = time.monotonic()
        with pytest.raises(BookError, match="another sallow is writing"):
            ledger.add_events(other, [Event("text", TODAY, words="late", tree=uid)], TODAY, "noted")
        assert 0.15 < time.monotonic() - begin < 3
