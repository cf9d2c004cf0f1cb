"""Books of earlier schema versions open with everything in them; later and foreign files are left alone."""

import json
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from sallow.errors import BookError
from sallow.trees import exchange, history, ledger, schema, shelf
from sallow.trees.book import open_book
from sallow.trees.model import Event
from sallow.trees.start import start_of_look

# A book as version 1 wrote it, kept here as text so that later changes to the package cannot change it with them.
VERSION_1 = """
CREATE TABLE trees (
    uid TEXT PRIMARY KEY, name TEXT NOT NULL, name_key TEXT NOT NULL, crop TEXT NOT NULL,
    sort TEXT NOT NULL DEFAULT '', rootstock TEXT NOT NULL DEFAULT '', planted TEXT NOT NULL DEFAULT '',
    grown TEXT NOT NULL DEFAULT '', soil TEXT NOT NULL DEFAULT '', water TEXT NOT NULL DEFAULT '',
    canopy_m REAL, trunk_cm REAL,
    climate TEXT NOT NULL DEFAULT '', hemisphere TEXT NOT NULL DEFAULT '', latitude REAL,
    gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1)));
CREATE UNIQUE INDEX one_tree_per_name ON trees (name_key) WHERE gone = 0;
CREATE TABLE events (
    uid TEXT PRIMARY KEY, tree TEXT NOT NULL REFERENCES trees (uid), what TEXT NOT NULL, day TEXT NOT NULL,
    place TEXT NOT NULL DEFAULT '', product TEXT NOT NULL DEFAULT '', amount REAL,
    unit TEXT NOT NULL DEFAULT '', subject TEXT NOT NULL DEFAULT '', result TEXT NOT NULL DEFAULT '',
    words TEXT NOT NULL DEFAULT '', gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1)));
CREATE INDEX events_of_tree ON events (tree, day);
CREATE TABLE looks (
    uid TEXT PRIMARY KEY, tree TEXT NOT NULL REFERENCES trees (uid), day TEXT NOT NULL,
    answers TEXT NOT NULL DEFAULT '{}', knowledge TEXT NOT NULL DEFAULT '', result TEXT NOT NULL DEFAULT '{}',
    gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1)));
CREATE TABLE acts (
    number INTEGER PRIMARY KEY AUTOINCREMENT, day TEXT NOT NULL, words TEXT NOT NULL,
    undoes INTEGER REFERENCES acts (number));
CREATE TABLE changes (
    act INTEGER NOT NULL REFERENCES acts (number), place INTEGER NOT NULL, kind TEXT NOT NULL,
    row TEXT NOT NULL, before TEXT NOT NULL, after TEXT NOT NULL, PRIMARY KEY (act, place)) WITHOUT ROWID;
INSERT INTO trees (uid, name, name_key, crop, planted, canopy_m, hemisphere, gone) VALUES
    ('t1', 'Barrel lemon', 'barrel lemon', 'lemon', '2019', 1.5, 'south', 0),
    ('t2', 'Old fig', 'old fig', 'fig', '', NULL, '', 1);
INSERT INTO events (uid, tree, what, day, product, amount, unit, words, gone) VALUES
    ('e1', 't1', 'fed', '2024-05-12', 'blood meal', 300.0, 'g', '', 0),
    ('e2', 't1', 'text', '2024-06-01', '', NULL, '', 'new leaves', 0),
    ('e3', 't1', 'text', '2024-06-02', '', NULL, '', 'taken back', 1);
INSERT INTO looks (uid, tree, day, answers, knowledge, result) VALUES
    ('l1', 't1', '2024-05-10', '{"pattern":"fine_net"}', 'k1', '{"first":"iron"}');
INSERT INTO acts (number, day, words, undoes) VALUES
    (1, '2024-05-01', 'added the tree Barrel lemon', NULL), (2, '2024-05-12', 'noted', NULL),
    (3, '2024-06-02', 'noted', NULL), (4, '2024-06-02', 'took back 3', 3);
INSERT INTO changes VALUES
    (1, 0, 'trees', 't1', '{"gone":1}', '{"gone":0}'), (2, 0, 'events', 'e1', '{"gone":1}', '{"gone":0}'),
    (3, 0, 'events', 'e3', '{"gone":1}', '{"gone":0}'), (4, 0, 'events', 'e3', '{"gone":0}', '{"gone":1}');
PRAGMA user_version = 1;
PRAGMA application_id = 1396788311;
"""
TODAY = date(2026, 5, 6)


@pytest.fixture
def old_book(tmp_path: Path) -> Path:
    path = tmp_path / "book.sqlite"
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(VERSION_1)
    return path


def test_a_book_of_version_1_opens_with_everything_in_it(old_book: Path) -> None:
    with open_book(old_book) as book:
        tree = shelf.find_tree(book, "barrel lemon")
        assert (tree.uid, tree.planted, tree.canopy_m, tree.emitters) == ("t1", "2019", 1.5, None)
        events = shelf.events_of(book, ["t1"])["t1"]
        assert [(event.uid, event.precision, event.product_known) for event in events] == [
            ("e1", "day", None),
            ("e2", "day", None),
        ]
        (look,) = shelf.looks_of(book, ["t1"])["t1"]
        assert (look.uid, look.trees, look.day) == ("l1", ("t1",), date(2024, 5, 10))
        assert (dict(look.answers), dict(look.result), look.knowledge) == (
            {"pattern": "fine_net"},
            {"first": "iron"},
            "k1",
        )
        assert look.seen == () and look.look_again is None
        assert history.acts(book)[1].undone_by == 4


@pytest.fixture
def book_of_version_2(old_book: Path) -> Path:
    """As version 2 wrote it: the steps up to 2 are what they were then, and one tree in a pot."""
    with closing(sqlite3.connect(old_book)) as connection:
        for statement in schema.STEPS[2]:
            connection.execute(statement)
        connection.execute("UPDATE trees SET grown = 'pot', emitters = 2 WHERE uid = 't1'")
        connection.execute("PRAGMA user_version = 2")
        connection.commit()
    return old_book


def test_a_book_of_version_2_opens_and_takes_the_width_of_the_pot(book_of_version_2: Path) -> None:
    with closing(sqlite3.connect(book_of_version_2)) as connection:
        assert "pot_m" not in {row[1] for row in connection.execute("PRAGMA table_info(trees)")}
    with open_book(book_of_version_2) as book:
        tree = shelf.find_tree(book, "barrel lemon")
        assert (tree.grown, tree.emitters, tree.pot_m) == ("pot", 2, None)
        ledger.edit_tree(book, tree.uid, {"pot_m": 0.57}, TODAY)
    with open_book(book_of_version_2) as book:
        tree = shelf.find_tree(book, "barrel lemon")
        assert tree.pot_m == 0.57
        assert start_of_look(book, tree, TODAY)["tree"]["pot_diameter_m"] == 0.57
        history.undo(book, TODAY)
        assert shelf.find_tree(book, "barrel lemon").pot_m is None


def test_an_export_of_the_form_before_the_pot_is_still_taken_in(old_book: Path, tmp_path: Path) -> None:
    with open_book(old_book) as book:
        tables = exchange.all_tables(book)
    for row in tables["trees"]:
        del row["pot_m"]
    single = tmp_path / "old.json"
    single.write_text(json.dumps({"sallow_tree_book": 2, **tables}), encoding="utf-8")
    with open_book(old_book) as book:
        exchange.export(exchange.all_tables(book), tmp_path / "folder")
    heads, *lines = (tmp_path / "folder" / "trees.csv").read_text(encoding="utf-8-sig").splitlines()
    place = heads.split(",").index("pot_m")
    cut = [",".join(cell for at, cell in enumerate(line.split(",")) if at != place) for line in (heads, *lines)]
    (tmp_path / "folder" / "trees.csv").write_text("\n".join(cut) + "\n", encoding="utf-8")
    for name, source in (("a", single), ("b", tmp_path / "folder")):
        with open_book(tmp_path / f"{name}.sqlite", create=True) as book:
            exchange.take_in(book, exchange.read_export(source), TODAY)
            assert shelf.find_tree(book, "barrel lemon").pot_m is None


def test_what_version_1_wrote_down_can_still_be_undone(old_book: Path) -> None:
    with open_book(old_book) as book:
        history.undo(book, TODAY, 4)
        assert [event.uid for event in shelf.events_of(book, ["t1"])["t1"]] == ["e1", "e2", "e3"]
        ledger.add_events(book, [Event("fed", TODAY, tree="t1")], TODAY, "noted")
        assert history.acts(book)[0].number == 6


def test_an_upgraded_book_has_the_same_form_as_a_new_one(old_book: Path, tmp_path: Path) -> None:
    forms = []
    for path in (old_book, tmp_path / "new.sqlite"):
        with open_book(path, create=True) as book:
            assert schema.version_of(book.connection) == schema.LATEST
            names = [row[0] for row in book.connection.execute("SELECT name FROM sqlite_master ORDER BY name")]
            forms.append(
                {name: list(map(tuple, book.connection.execute(f"PRAGMA table_info({name})"))) for name in names}
            )
            assert book.connection.execute("PRAGMA foreign_key_check").fetchall() == []
    assert forms[0] == forms[1]


def test_an_upgrade_that_fails_half_way_leaves_the_old_book(old_book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    broken = {**schema.STEPS, 2: (*schema.STEPS[2][:-2], "INSERT INTO nowhere VALUES (1)")}
    with monkeypatch.context() as patch:
        patch.setattr(schema, "STEPS", broken)
        with pytest.raises(BookError), open_book(old_book):
            pass
    with closing(sqlite3.connect(old_book)) as connection:
        assert schema.version_of(connection) == 1
        assert connection.execute("SELECT tree FROM looks").fetchall() == [("t1",)]
    with open_book(old_book) as book:
        assert len(shelf.looks_of(book, ["t1"])["t1"]) == 1


def test_a_book_of_a_later_version_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "book.sqlite"
    with open_book(path, create=True) as book:
        book.connection.execute(f"PRAGMA user_version = {schema.LATEST + 1}")
    before = path.read_bytes()
    with pytest.raises(BookError, match="newer sallow"), open_book(path):
        pass
    assert path.read_bytes() == before


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE recipes (name TEXT)")
    before = path.read_bytes()
    for create in (False, True):
        with pytest.raises(BookError, match="not a tree book"), open_book(path, create=create):
            pass
    assert path.read_bytes() == before
