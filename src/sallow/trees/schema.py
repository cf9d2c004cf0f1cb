"""The tables of the book, one script per version, and the steps from each version to the next."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from types import MappingProxyType

APPLICATION_ID = 0x53414C57  # "SALW": tells a tree book from any other SQLite file
LATEST = 3

_VERSION_1 = (
    """CREATE TABLE trees (
        uid TEXT PRIMARY KEY, name TEXT NOT NULL, name_key TEXT NOT NULL, crop TEXT NOT NULL,
        sort TEXT NOT NULL DEFAULT '', rootstock TEXT NOT NULL DEFAULT '', planted TEXT NOT NULL DEFAULT '',
        grown TEXT NOT NULL DEFAULT '', soil TEXT NOT NULL DEFAULT '', water TEXT NOT NULL DEFAULT '',
        canopy_m REAL, trunk_cm REAL,
        climate TEXT NOT NULL DEFAULT '', hemisphere TEXT NOT NULL DEFAULT '', latitude REAL,
        gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1)))""",
    "CREATE UNIQUE INDEX one_tree_per_name ON trees (name_key) WHERE gone = 0",
    """CREATE TABLE events (
        uid TEXT PRIMARY KEY, tree TEXT NOT NULL REFERENCES trees (uid), what TEXT NOT NULL,
        day TEXT NOT NULL, place TEXT NOT NULL DEFAULT '', product TEXT NOT NULL DEFAULT '', amount REAL,
        unit TEXT NOT NULL DEFAULT '', subject TEXT NOT NULL DEFAULT '', result TEXT NOT NULL DEFAULT '',
        words TEXT NOT NULL DEFAULT '', gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1)))""",
    "CREATE INDEX events_of_tree ON events (tree, day)",
    """CREATE TABLE looks (
        uid TEXT PRIMARY KEY, tree TEXT NOT NULL REFERENCES trees (uid), day TEXT NOT NULL,
        answers TEXT NOT NULL DEFAULT '{}', knowledge TEXT NOT NULL DEFAULT '',
        result TEXT NOT NULL DEFAULT '{}',
        gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1)))""",
    """CREATE TABLE acts (
        number INTEGER PRIMARY KEY AUTOINCREMENT, day TEXT NOT NULL, words TEXT NOT NULL,
        undoes INTEGER REFERENCES acts (number))""",
    """CREATE TABLE changes (
        act INTEGER NOT NULL REFERENCES acts (number), place INTEGER NOT NULL, kind TEXT NOT NULL,
        row TEXT NOT NULL, before TEXT NOT NULL, after TEXT NOT NULL,
        PRIMARY KEY (act, place)) WITHOUT ROWID""",
)

# Version 2: a look may cover several trees and carry photos and its story; events know how exact their date
# is and whether the product is known; trees know their emitters.
_VERSION_2 = (
    "ALTER TABLE trees ADD COLUMN emitters INTEGER",
    "ALTER TABLE trees ADD COLUMN emitter_flow_lph REAL",
    "ALTER TABLE events ADD COLUMN precision TEXT NOT NULL DEFAULT 'day'",
    "ALTER TABLE events ADD COLUMN product_known INTEGER",
    "ALTER TABLE looks RENAME TO looks_of_version_1",
    """CREATE TABLE looks (
        uid TEXT PRIMARY KEY, day TEXT NOT NULL,
        answers TEXT NOT NULL DEFAULT '{}', knowledge TEXT NOT NULL DEFAULT '',
        result TEXT NOT NULL DEFAULT '{}',
        seen TEXT NOT NULL DEFAULT '[]', likely TEXT NOT NULL DEFAULT '[]',
        steps TEXT NOT NULL DEFAULT '[]',
        checks TEXT NOT NULL DEFAULT '[]', look_again TEXT NOT NULL DEFAULT '',
        came_of_it TEXT NOT NULL DEFAULT '', gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1)))""",
    """CREATE TABLE look_trees (
        look TEXT NOT NULL REFERENCES looks (uid), place INTEGER NOT NULL,
        tree TEXT NOT NULL REFERENCES trees (uid),
        PRIMARY KEY (look, tree))""",
    "CREATE INDEX looks_of_tree ON look_trees (tree)",
    """CREATE TABLE photos (
        uid TEXT PRIMARY KEY, look TEXT NOT NULL REFERENCES looks (uid), path TEXT NOT NULL,
        gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1)))""",
    "CREATE INDEX photos_of_look ON photos (look)",
    "CREATE INDEX acts_undone ON acts (undoes)",
    "CREATE INDEX changes_of_row ON changes (kind, row)",
    """INSERT INTO looks (uid, day, answers, knowledge, result, gone)
        SELECT uid, day, answers, knowledge, result, gone FROM looks_of_version_1 ORDER BY rowid""",
    "INSERT INTO look_trees (look, place, tree) SELECT uid, 0, tree FROM looks_of_version_1 ORDER BY rowid",
    "DROP TABLE looks_of_version_1",
)

# Version 3: trees in pots know how wide the pot is.
_VERSION_3 = ("ALTER TABLE trees ADD COLUMN pot_m REAL",)

STEPS: Mapping[int, tuple[str, ...]] = MappingProxyType({1: _VERSION_1, 2: _VERSION_2, 3: _VERSION_3})

# Columns that exports of an earlier form lack; reading one leaves these cells empty.
OLDEST_EXPORT = 2
ADDED_SINCE: Mapping[str, frozenset[str]] = MappingProxyType({"trees": frozenset({"pot_m"})})

# Every column that is exported, with its type; "?" means the cell may be empty.
COLUMNS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "trees": {
            "uid": "text", "name": "text", "crop": "text", "sort": "text", "rootstock": "text",
            "planted": "text", "grown": "text", "soil": "text", "water": "text", "canopy_m": "number?",
            "trunk_cm": "number?",
            "climate": "text", "hemisphere": "text", "latitude": "number?", "emitters": "whole?",
            "emitter_flow_lph": "number?", "pot_m": "number?", "gone": "whole",
        },
        "events": {
            "uid": "text", "tree": "text", "what": "text", "day": "text", "precision": "text",
            "place": "text", "product": "text", "product_known": "whole?", "amount": "number?",
            "unit": "text", "subject": "text", "result": "text", "words": "text", "gone": "whole",
        },
        "looks": {
            "uid": "text", "day": "text", "answers": "text", "knowledge": "text", "result": "text",
            "seen": "text", "likely": "text", "steps": "text", "checks": "text", "look_again": "text",
            "came_of_it": "text", "gone": "whole",
        },
        "look_trees": {"look": "text", "place": "whole", "tree": "text"},
        "photos": {"uid": "text", "look": "text", "path": "text", "gone": "whole"},
        "acts": {"number": "whole", "day": "text", "words": "text", "undoes": "whole?"},
        "changes": {
            "act": "whole", "place": "whole", "kind": "text", "row": "text", "before": "text",
            "after": "text",
        },
    }
)  # fmt: skip


def version_of(connection: sqlite3.Connection) -> int:
    """The schema version of an open file; 0 for one without tables."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def bring_up_to_date(connection: sqlite3.Connection, after_step: Callable[[int], None] | None = None) -> None:
    """Take the book from its version to the latest, inside the transaction that the caller opened.

    ``after_step`` is called with each version reached, so that a test can stop half way.
    """
    for version in range(version_of(connection) + 1, LATEST + 1):
        for statement in STEPS[version]:
            connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {version:d}")
        if after_step is not None:
            after_step(version)
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID:d}")
