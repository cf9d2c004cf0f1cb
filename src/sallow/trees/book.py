"""Opening the book: one SQLite file, checked before use, writes in transactions, faults in plain words."""

from __future__ import annotations

import os
import sqlite3
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sallow.errors import BookError
from sallow.trees import schema

WAIT_SECONDS = 20.0
_PAUSE_SECONDS = 0.002
_SMALLEST_DATABASE = 512  # SQLite takes a shorter file for an empty one and would write over it


def _new_id() -> str:
    return uuid.uuid4().hex


@dataclass(frozen=True, slots=True)
class Book:
    """An open tree book. ``new_id`` makes the lasting id of a new row; a demo may pass a counting one."""

    path: Path
    connection: sqlite3.Connection
    new_id: Callable[[], str] = _new_id


@contextmanager
def open_book(
    path: Path, *, create: bool = False, wait: float = WAIT_SECONDS, new_id: Callable[[], str] = _new_id
) -> Iterator[Book]:
    """The book at ``path``, brought up to date, closed afterwards; with ``create`` a missing one is made.

    BookError when it is missing, damaged, from a newer sallow, not a tree book, or cannot be read or written.
    A damaged or foreign file is never written to.
    """
    if create:
        _make_folder(path)
    elif not path.exists():
        raise BookError(f"there is no tree book at {path} yet. Begin one with: sallow trees add")
    with _plain_words(path):
        connection = _connect(path, wait)
    try:
        with _plain_words(path):
            _refuse_unless_sound(path, connection)
            if schema.version_of(connection) < schema.LATEST:
                _update(connection)
            yield Book(path, connection, new_id)
    finally:
        connection.close()


@contextmanager
def writing(book: Book) -> Iterator[sqlite3.Connection]:
    """One transaction that is on the disk when the block ends, and leaves no trace when the block fails."""
    with _plain_words(book.path), _transaction(book.connection, "BEGIN IMMEDIATE"):
        yield book.connection


@contextmanager
def reading(book: Book) -> Iterator[sqlite3.Connection]:
    """One consistent view of the book, however many queries the block makes; may stand inside another."""
    with _plain_words(book.path):
        if book.connection.in_transaction:
            yield book.connection
        else:
            with _transaction(book.connection, "BEGIN"):
                yield book.connection


@contextmanager
def _transaction(connection: sqlite3.Connection, begin: str) -> Iterator[None]:
    _take_turn(connection, begin)
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _take_turn(connection: sqlite3.Connection, begin: str) -> None:
    """Begin as soon as the book is free, asking every few milliseconds as long as the connection may wait.

    SQLite itself asks ever more rarely, so that one who writes without a pause would go first each time.
    """
    patience = int(connection.execute("PRAGMA busy_timeout").fetchone()[0])
    end = time.monotonic() + patience / 1000
    connection.execute("PRAGMA busy_timeout = 0")
    try:
        while True:
            try:
                connection.execute(begin)
                return
            except sqlite3.OperationalError as fault:
                if not _is_busy(fault) or time.monotonic() >= end:
                    raise
            time.sleep(_PAUSE_SECONDS)
    finally:
        connection.execute(f"PRAGMA busy_timeout = {patience}")


def _is_busy(fault: sqlite3.Error) -> bool:
    return (getattr(fault, "sqlite_errorname", "") or "").startswith(("SQLITE_BUSY", "SQLITE_LOCKED"))


def _make_folder(path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise BookError(
            f"the folder {path.parent} for the tree book cannot be made ({fault.strerror}). Name a "
            "place you may "
            "write to with --book PATH, or set SALLOW_DATA to such a folder."
        ) from None


def _connect(path: Path, wait: float) -> sqlite3.Connection:
    if path.is_dir():
        raise BookError(f"{path} is a folder; --book wants a file, for example {path / 'book.sqlite'}.")
    if path.exists() and 0 < path.stat().st_size < _SMALLEST_DATABASE:
        raise BookError(damaged(path, "cut off after its first bytes"))
    can_write = os.access(path if path.exists() else path.parent, os.W_OK)
    # quoting by as_uri keeps odd characters in the path from being read as options
    uri = path.absolute().as_uri() + ("?mode=rwc" if can_write else "?mode=ro")
    connection = sqlite3.connect(uri, uri=True, timeout=wait, isolation_level=None)
    try:
        connection.row_factory = sqlite3.Row
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA synchronous = FULL")
    except BaseException:
        connection.close()
        raise
    return connection


def _refuse_unless_sound(path: Path, connection: sqlite3.Connection) -> None:
    identity = int(connection.execute("PRAGMA application_id").fetchone()[0])
    version = schema.version_of(connection)
    tables = int(connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0])
    if identity != schema.APPLICATION_ID and (tables or version):
        raise BookError(f"{path} is an SQLite file, but not a tree book; it was left as it was. Name another --book.")
    if version > schema.LATEST:
        raise BookError(
            f"{path} was written by a newer sallow (form {version}; this one knows up to {schema.LATEST}). "
            "Update sallow; the book was left as it was."
        )
    if identity == schema.APPLICATION_ID:
        verdict = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
        if verdict != "ok":
            raise BookError(damaged(path, str(verdict)))


def _update(connection: sqlite3.Connection) -> None:
    with _transaction(connection, "BEGIN IMMEDIATE"):
        schema.bring_up_to_date(connection)


def damaged(path: Path, detail: str) -> str:
    """What to say and do about a damaged book."""
    return (
        f"the tree book {path} is damaged ({detail.strip()}). It was left as it was. To recover:\n"
        "  1. Copy the file somewhere safe first.\n"
        f'  2. Save what can still be read:  sallow trees --book "{path}" export --rescue saved-trees\n'
        "  3. Take that (or your own last export) into a new book:\n"
        "     sallow trees --book new-book.sqlite import saved-trees\n"
        "  4. Look it over with 'sallow trees --book new-book.sqlite list', then put it in the old "
        "one's place."
    )


@contextmanager
def _plain_words(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as fault:
        raise BookError(_told(path, fault)) from fault
    except UnicodeDecodeError as fault:  # SQLite quotes the damaged bytes in its own complaint
        raise BookError(damaged(path, "text that is no text")) from fault


def _told(path: Path, fault: sqlite3.Error) -> str:
    """A message a gardener can act on for any complaint of SQLite."""
    name = getattr(fault, "sqlite_errorname", "") or ""
    if _is_busy(fault):
        return f"another sallow is writing to {path} and did not finish in time. Nothing was changed; try again."
    if name.startswith("SQLITE_FULL"):
        return f"the disk is full, so nothing was written; what was in {path} is safe. Make room, try again."
    if name.startswith("SQLITE_READONLY"):
        return (
            f"{path} or its folder may only be read, so nothing was written. Change its permission, or name "
            "another place with --book PATH."
        )
    if name.startswith(("SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_AUTH")):
        return (
            f"the tree book {path} cannot be opened. See that its folder is there and may be written "
            "to, or name "
            "another place with --book PATH."
        )
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        return damaged(path, str(fault))
    if name.startswith("SQLITE_IOERR"):
        return f"the disk would not read or write {path} ({fault}); nothing was changed. See to the disk."
    return f"the tree book {path} could not be used ({fault}); nothing was changed."
