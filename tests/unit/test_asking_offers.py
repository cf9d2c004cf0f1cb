"""feed, lab and water ask as a plain look does: the same letters, the same words, the same last word."""

from __future__ import annotations

import io
import json
from datetime import date

import pytest
from tests.support.compiled import compiled_place

from sallow.cli import main
from sallow.environment import Environment
from sallow.interview.letters import ALWAYS_GOOD, ANSWER_BY, LAST_QUESTION, MANY_UNSURE, offers
from sallow.status import ExitStatus


def asked(*words, typed, folder=None):
    surroundings = Environment(
        stdin=io.StringIO("\n".join(typed) + "\n"), stdout=io.StringIO(), stderr=io.StringIO(), today=date(2026, 1, 20),
        cache_folder=compiled_place(), **({"data_folder": folder} if folder else {}),
    )  # fmt: skip
    status = main(list(words), surroundings)
    return status, " ".join(surroundings.stdout.getvalue().split())


FEED = ["lemon", "ground", "6", "moist", "none"]
WATER = ["lemon", "1", "3", "3 m", "3", "1", "1", "2", "bucket", "1", "10 l"]
LAB = ["leaf", "lemon", "N 2.1 %", "", "florida", "north"]


@pytest.mark.parametrize("command", ["feed", "lab", "water"])
def test_the_offers_are_word_for_word_those_of_a_look(command, tmp_path):
    look = asked("look", "--plain", typed=["lemon"], folder=tmp_path)[1]
    text = asked(command, typed=["n"])[1]
    for words in (ANSWER_BY, offers(), ALWAYS_GOOD):
        assert words in look and words in text


@pytest.mark.parametrize(
    ("command", "before", "why"),
    [
        ("feed", FEED[:3], "on wet roots it is lost"),
        ("water", WATER[:1], "A pot holds far less than open ground"),
        ("lab", LAB, "Leaves change as they age"),
    ],
)
def test_why_do_you_ask_is_answered_and_the_question_stays(command, before, why):
    plain = asked(command, typed=before)[1]
    with_why = asked(command, typed=[*before, "w"])[1]
    assert why in with_why and why not in plain
    assert with_why.endswith(">")


def test_why_tells_which_answers_would_change_the_decision():
    text = asked("feed", typed=[*FEED[:2], "4", "w", "s", "m"])[1]
    assert "'wet, days after water' (the soil) would make it: Not yet." in text
    assert "'just moist' (the soil) would make it: Yes, it may be fed." in text
    assert text.count("I cannot say yet.") >= 1


def test_so_far_and_what_would_change_are_reckoned_from_the_answers():
    water = asked("water", typed=["lemon", "s", *WATER[1:8], "s", "m"])[1]
    assert "Nothing yet; I still need to know:" in water
    # By hand as in test_water_command: 7.07 m2 x 0.65 x 1.2 x 4 to 7 mm, bucket 0.90 until the way is known.
    low, high = (7 * 7.0686 * 0.65 * 1.2 * mm / 0.9 for mm in (4, 7))
    assert (round(low), round(high)) == (172, 300)
    assert "It needs about 170 to 300 L (45 to 80 gal) a week" in water
    assert "Less than about 130 L" in water and "more than about 390 L" in water
    lab = asked("lab", typed=[*LAB, "s", "m", "2026-07-20"])[1]
    assert "nitrogen (Florida): perhaps deficient" in lab and "at 2.5 % or more it would be right" in lab
    assert "nitrogen 2.1 %: deficient;" in lab


def test_an_earlier_answer_is_changed_and_the_others_are_kept():
    text = asked("lab", typed=[*LAB, "2026-07-20", "c", "3", "N 2.6 %", ""])[1]
    assert "Which answer do you want to change?" in text and "3 First figure? Your answer: N 2.1 %" in text
    assert text.count(LAST_QUESTION) == 2
    assert "nitrogen 2.6 %: optimum" in text and "nitrogen of the leaf: about right" in text
    assert text.count("Where is the tree?") == 2  # once put, once in the list of answers


def test_changing_an_answer_amid_the_questions_goes_on_where_one_was():
    text = asked("feed", typed=[*FEED, "c", "1", "avocado", "s"])[1]
    # "Which half" is put twice, and once more after what it looks like so far.
    assert text.count("Which half of the world?") == 3 and text.count("How many years ago") == 2
    assert "4 Dig or probe" in text


def test_the_last_word_goes_back_or_shows_the_report_and_the_end_of_input_shows_it():
    text = asked("water", typed=[*WATER, "0.5 dS/m", "b", "2 dS/m", ""])[1]
    assert text.count(LAST_QUESTION) == 2
    assert "The water holds 2 dS/m" in text
    status, cut_short = asked("water", typed=[*WATER, "0.5 dS/m"])
    assert status == ExitStatus.OK and "The water holds 0.5 dS/m" in cut_short


def test_finishing_needs_no_last_word_and_many_unsure_are_shown_the_way_out():
    text = asked("feed", typed=["n", "n", "n", "f"])[1]
    assert MANY_UNSURE in text and LAST_QUESTION not in text and "Should it be fed?" in text


@pytest.mark.parametrize("word", ["c", "b"])
def test_nothing_to_change_or_go_back_to_is_said(word):
    text = asked("lab", typed=[word])[1]
    assert "There is no earlier answer yet." in text or "This is the first question" in text


def test_a_tree_for_the_book_has_the_letters_that_fit(tmp_path):
    book = tmp_path / "book.sqlite"
    text = asked("trees", "--book", str(book), "add", typed=["Tub", "w", "c", "1", "Barrel", "lemon", "f"])[1]
    assert offers("wbcf") in text and "written down as you say it" in text
    _, listed = asked("trees", "--book", str(book), "list", typed=[])
    assert "Barrel" in listed and "Tub" not in listed


def test_json_of_feed_is_unchanged_by_the_asking():
    status, text = asked("feed", "--crop", "lemon", "--age", "6", "--soil", "wet", "--format", "json", typed=[])
    assert status == ExitStatus.OK and json.loads(text)["decision"] == "wait"
