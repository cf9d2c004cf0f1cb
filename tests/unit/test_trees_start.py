"""What the book hands to the next look is an answers file that the look itself accepts."""

import shutil
from datetime import date
from pathlib import Path

import pytest
import yaml

from sallow.answers import look_from
from sallow.knowledge.load import load
from sallow.knowledge.locate import shipped_folder
from sallow.trees import ledger
from sallow.trees.book import open_book
from sallow.trees.model import EVENT_KINDS, Event, Tree
from sallow.trees.start import ANSWER_KEYS, start_of_look

TODAY = date(2026, 5, 6)


def test_a_look_accepts_what_the_book_hands_it(tmp_path: Path) -> None:
    # Causes, and what leans on them, have no part in reading an answers file.
    leave_out = shutil.ignore_patterns("causes", "checks", "cases", "intentions.yaml")
    shutil.copytree(shipped_folder("knowledge"), tmp_path / "knowledge", ignore=leave_out)
    knowledge = load([tmp_path / "knowledge"])
    with open_book(tmp_path / "book.sqlite", create=True) as book:
        tree = ledger.add_tree(
            book,
            Tree(
                "Barrel lemon", "lemon", "Eureka", "own roots", "2019-05", "pot", "sandy", "drip", 1.5, 6.4,
                "dry_summer", "south", -34.2, 2, 4.0,
            ),
            TODAY,
        )  # fmt: skip
        events = [
            Event(kind, TODAY, where="by the wall", product="x", product_known=False, tree=tree.uid)
            for kind in EVENT_KINDS
        ]
        ledger.add_events(book, events, TODAY, "noted")
        start = start_of_look(book, tree, TODAY)
    look = look_from({key: start[key] for key in ANSWER_KEYS}, "the book", knowledge, TODAY)
    assert look.name == "Barrel lemon"
    assert look.tree["canopy_diameter_m"] == 1.5 and look.tree["grown_in"] == "pot"
    assert look.answers["age_years"] == 7.0
    assert {event.what for event in look.events} == set(EVENT_KINDS) - {
        "watered", "emitter_cleaned", "measured", "test_result", "harvest", "text",
    }  # fmt: skip


def test_every_event_of_the_knowledge_can_be_noted() -> None:
    from sallow.trees.notes import read_note

    document = yaml.safe_load((shipped_folder("knowledge") / "events.yaml").read_text(encoding="utf-8"))
    kinds = [kind["event"] for kind in document["events"]]
    for kind in kinds:
        assert read_note([kind.replace("_", " "), "yesterday"], TODAY, more_kinds=kinds).event.what == kind


@pytest.mark.parametrize(("planted", "age"), [("2019", 7), ("2024-05", 2.0), ("2026-05-01", 0.0), ("2026-12", 0.0)])
def test_the_age_is_as_exact_as_the_planting_date(planted: str, age: float, tmp_path: Path) -> None:
    with open_book(tmp_path / "book.sqlite", create=True) as book:
        tree = ledger.add_tree(book, Tree("x", "fig", planted=planted), TODAY)
        assert start_of_look(book, tree, TODAY)["tree"]["age_years"] == age
