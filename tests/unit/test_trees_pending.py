"""Tests that a look asked for: found by their words, what may come out, and the notes and rounds that tell of them."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from tests.support.desk import DAY, Desk

from sallow.trees.book import open_book
from sallow.trees.ledger import keep_look
from sallow.trees.model import Event, Look, PendingCheck
from sallow.trees.pending import open_tests, outcomes, test_meant
from sallow.trees.shelf import all_trees

SMELL = PendingCheck("soil_smell_look", "Smell the soil and look at its colour", None)
ROOTS = PendingCheck("pull_feeder_root", "Look at thread roots", None)
LOOK = Look(
    DAY,
    answers={"symptoms": [{"part": "leaf"}]},
    result={
        "tests": [
            {"id": "soil_smell_look", "name": SMELL.name, "results": ['"Sour": wet.', '"Like a wood": it is fine.']},
            {"id": "soil_fizz", "name": "Drip vinegar on dry soil", "results": []},
        ]
    },
    checks=(SMELL, ROOTS),
)
test_meant.__test__ = False  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("soil_smell_look", SMELL),
        ("Smell the soil and look at its colour", SMELL),
        ("smell of the soil", SMELL),
        ("soil_smell", SMELL),
        ("thread roots", ROOTS),
        ("look", None),  # both have that word
        ("leaf test", None),
        ("the", None),
        ("", None),
    ],
)
def test_a_test_is_found_by_words_that_only_it_has(words: str, found: PendingCheck | None) -> None:
    assert test_meant(words, (SMELL, ROOTS)) is found


def test_a_result_since_the_look_closes_a_test_and_an_older_one_does_not() -> None:
    after = Event("test_result", DAY, subject="Look at thread roots", result="few")
    before = Event("test_result", DAY - timedelta(days=1), subject="soil_smell_look", result="sour")
    assert open_tests(LOOK, [before, after]) == [SMELL]


def test_what_may_come_out_is_in_the_words_of_the_report() -> None:
    assert outcomes(LOOK, "soil_smell_look") == ("Sour", "Like a wood")
    assert outcomes(LOOK, "pull_feeder_root") == ()


@pytest.fixture
def desk(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Desk:
    desk = Desk(tmp_path, tmp_path_factory.getbasetemp() / "cache")
    desk.run("trees", "add", "Barrel lemon", "--crop", "lemon", "--hemisphere", "south")
    with open_book(tmp_path / "data" / "book.sqlite") as book:
        keep_look(book, trees=[all_trees(book)[0].uid], look=LOOK, today=DAY)
    return desk


def test_the_round_says_how_to_note_a_test_and_a_note_in_plain_words_closes_it(desk: Desk) -> None:
    due = " ".join(desk.run("trees", "round")[1].split())
    assert 'tested soil_smell_look: WHAT CAME OUT (for instance "Sour", or "Like a wood")' in due
    _, said, _ = desk.run("trees", "note", "Barrel lemon", "tested", "smell of the soil: like a wood")
    assert "Smell the soil and look at its colour: like a wood. " in " ".join(said.split())
    assert "The next look takes it in." in said
    assert "soil_smell_look" not in desk.run("trees", "round")[1]


def test_a_note_that_answers_none_of_the_tests_says_what_they_are_called(desk: Desk) -> None:
    _, said, _ = desk.run("trees", "note", "Barrel lemon", "tested", "beans: poor")
    told = " ".join(said.split())
    assert "None of the tests still to be read goes by these words; they are: soil_smell_look" in told


def test_a_test_of_the_report_that_the_book_does_not_wait_for_is_known_too(desk: Desk) -> None:
    _, said, _ = desk.run("trees", "note", "Barrel lemon", "tested", "vinegar: it fizzed")
    assert "Noted for Barrel lemon: Drip vinegar on dry soil: it fizzed." in " ".join(said.split())


def test_since_belongs_to_the_date(desk: Desk) -> None:
    _, said, _ = desk.run("trees", "note", "Barrel lemon", "watered less since yesterday", today=date(2026, 5, 21))
    assert said == "Noted for Barrel lemon: watered: less. Date: 20 May 2026 (yesterday).\n"


@pytest.mark.parametrize("words", ["cold_dry", "Cold winters and dry summers", "cold-dry"])
def test_a_climate_may_be_told_in_words(desk: Desk, words: str) -> None:
    status, said, _ = desk.run("trees", "add", "Fig", "--crop", "fig", "--climate", words)
    assert status == 0 and "cold winters and dry summers" in said


def test_not_sure_is_not_offered_where_an_answer_is_needed(desk: Desk) -> None:
    said = desk.run("trees", "add", typed="Fig\nfig\n\n")[1]
    name, crop, sort = (said.split(f"{number}. ")[1].split(f"{number + 1}. ")[0] for number in (1, 2, 3))
    assert "not sure" not in name + crop and "not sure" in sort
