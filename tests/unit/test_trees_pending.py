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
    assert "soil_smell_look" not in due and "WHAT CAME OUT" not in due
    assert "Did you do this test?" in due
    assert 'tested "Smell the soil and look at its colour: sour" (or "like a wood")' in due
    _, said, _ = desk.run("trees", "note", "Barrel lemon", "tested", "smell of the soil: like the woods")
    told = "Smell the soil and look at its colour: earthy, the usual colour (your words: like the woods). "
    assert told in " ".join(said.split())
    assert "The next look takes it in." in said
    assert "Smell the soil" not in desk.run("trees", "round")[1]


def test_a_note_that_answers_none_of_the_tests_says_what_they_are_called(desk: Desk) -> None:
    _, said, _ = desk.run("trees", "note", "Barrel lemon", "tested", "moonlight: poor")
    told = " ".join(said.split())
    assert "None of the tests still to be read goes by this name; they are: 'Smell the soil and look" in told


def test_a_test_of_the_report_that_the_book_does_not_wait_for_is_known_too(desk: Desk) -> None:
    said = desk.ok("trees", "note", "Barrel lemon", "tested", "vinegar: it fizzed")
    assert "Noted for Barrel lemon: Drip vinegar on dry soil: it fizzes (your words: it fizzed)." in said


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            "dug a hole, filled it with water, water still stood after a day",
            "Time how fast a hole drains: water still stands after a day",
        ),
        ("tested feeder_roots: black, few", "Look at thread roots: black, brittle, few (your words: black, few)"),
        ("tested the roots: slimy and black", "Look at thread roots: black, brittle, few"),
        ("pulled some thin roots, they are black and slimy", "Look at thread roots: black, brittle, few (your words:"),
        ("soil smells of bad eggs", "Smell the soil and look at its colour: sour or of bad eggs"),
        ("soil does not smell bad", "Smell the soil and look at its colour: earthy, the usual colour"),
        ("tested drain hole still full next morning", "Time how fast a hole drains: water still stands after a day"),
        ("roots: white and firm", "Look at thread roots: pale, firm, many"),
        ("kettle has scale", "lime signs: yes, hard water or limy ground (your words: kettle has scale)"),
        ("tested Leaf analysis: chloride: high", "Leaf analysis: chloride: high. "),
        ("tested soil_ph: pH 7.8", "Measure the soil's pH with a kit: pH 7.8"),
    ],
)
def test_a_result_told_in_plain_words_is_a_result(desk: Desk, words: str, told: str) -> None:
    said = desk.ok("trees", "note", "Barrel lemon", words)
    assert f"Noted for Barrel lemon: {told}" in said and "The next look takes it in." in said


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("tested feeder_roots: odd", 'in words that it knows: Look at thread roots: "pale, firm, many", "the skin'),
        ("filled the hole with water, forgot to look", 'Time how fast a hole drains: "the water is gone within'),
    ],
)
def test_a_result_that_cannot_be_read_stays_as_words_and_how_to_tell_it_is_said(
    desk: Desk, words: str, told: str
) -> None:
    said = desk.ok("trees", "note", "Barrel lemon", words)
    assert told in said and "Kept in your own words." in said


@pytest.mark.parametrize("words", ["new leaves look fine", "dug a trench for a cable", "cut roots near the path"])
def test_what_tells_of_no_test_stays_what_it_is(desk: Desk, words: str) -> None:
    said = desk.ok("trees", "note", "Barrel lemon", words)
    assert "next look" not in said and "your own words" not in said


def test_since_belongs_to_the_date(desk: Desk) -> None:
    _, said, _ = desk.run("trees", "note", "Barrel lemon", "watered less since yesterday", today=date(2026, 5, 21))
    assert said == "Noted for Barrel lemon: watered: less. Date: 20 May 2026 (yesterday).\nTaken as: watering.\n"


@pytest.mark.parametrize("words", ["cold_dry", "Cold winters and dry summers", "cold-dry"])
def test_a_climate_may_be_told_in_words(desk: Desk, words: str) -> None:
    status, said, _ = desk.run("trees", "add", "Fig", "--crop", "fig", "--climate", words)
    assert status == 0 and "cold winters and dry summers" in said


def test_not_sure_is_not_offered_where_an_answer_is_needed(desk: Desk) -> None:
    said = desk.run("trees", "add", typed="Fig\nfig\n\n")[1]
    name, crop, sort = (said.split(f"{number}. ")[1].split(f"{number + 1}. ")[0] for number in (1, 2, 3))
    assert "not sure" not in name + crop and "not sure" in sort
