"""Looks that begin from the tree book and are kept in it, as a person meets them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from tests.support.desk import DAY, PALE_TIPS, TO_NOTHING_ODD, Desk

import sallow
from sallow.look_kept import came_of_it
from sallow.looks import Look
from sallow.status import ExitStatus
from sallow.trees.model import Look as KeptLook


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


@pytest.fixture
def desk(tmp_path: Path, cache: Path) -> Desk:
    return Desk(tmp_path, cache)


def with_trees(desk: Desk) -> None:
    place = ("--climate", "dry_summer", "--hemisphere", "south")
    desk.ok("trees", "add", "Barrel lemon", "--crop", "lemon", "--grown", "pot", "--planted", "2019-05", *place)
    desk.ok("trees", "add", "Wall lemon", "--crop", "lemon", "--grown", "ground", "--planted", "2019-05", *place)
    desk.ok("trees", "add", "Path mandarin", "--crop", "mandarin", "--grown", "ground", *place)


SHORT = {key: PALE_TIPS[key] for key in ("date", "symptoms", "answers")}


def test_a_look_begins_from_the_book_and_is_kept_there(desk: Desk) -> None:
    with_trees(desk)
    desk.ok("trees", "note", "barrel", "fed", "30 g of 6-2-3", "--on", "2026-04-01")
    answers = desk.file("a.yaml", SHORT)
    status, out, err = desk.run("look", "--answers", answers, "--tree", "barrel", "--photo", "leaf.jpg")
    assert status == ExitStatus.OK and 'sallow trees show "Barrel lemon"' in err
    text = " ".join(out.split())
    assert "Barrel lemon, lemon, 20 May 2026" in text
    assert "When was it last fed (bag, liquid or lawn fertilizer)? 1 April 2026 (from the tree book)" in text
    story = desk.ok("trees", "show", "barrel")
    seen = "the colour is wrong; at the tip, the youngest leaves; pale or yellow with a fine net of green veins"
    assert f"seen leaves: {seen}" in story
    assert "thought" in story and "look again:" in story and "leaf.jpg" in story


@pytest.mark.parametrize("ending", ["text", "json"])
def test_a_look_is_kept_though_the_reader_of_its_report_went_away(desk: Desk, ending: str) -> None:
    with_trees(desk)
    words = ["look", "--answers", desk.file("a.json", SHORT), "--tree", "Barrel lemon", "--format", ending]
    unread, closed = os.pipe()
    os.close(unread)  # as after '| head'
    folders = {"SALLOW_DATA": str(desk.folder / "data"), "SALLOW_CACHE": str(desk.cache)}
    source = str(Path(sallow.__file__).parent.parent)
    variables = {**os.environ, **folders, "SALLOW_TODAY": str(DAY), "PYTHONPATH": source}
    page = desk.folder / "look.html"
    command = [sys.executable, "-m", "sallow", *words, "--save", str(page)]
    done = subprocess.run(command, stdout=closed, stderr=subprocess.PIPE, text=True, env=variables, timeout=60)
    os.close(closed)
    assert done.returncode == 0 and "Traceback" not in done.stderr and "Kept in the tree book" in done.stderr
    assert page.exists() and "20 May 2026 seen" in desk.ok("trees", "show", "barrel")


def test_results_noted_in_plain_words_are_known_to_the_next_look_and_not_asked_again(desk: Desk) -> None:
    with_trees(desk)
    desk.ok("look", "--answers", desk.file("a.json", SHORT), "--tree", "wall")
    for words in (
        "dug a hole, filled it with water, water still stood after a day",
        "tested feeder_roots: black, few",
        "soil smells of bad eggs",
        "kettle has scale",
    ):
        desk.ok("trees", "note", "wall", words)
    short = desk.file("b.json", {key: SHORT[key] for key in ("date", "symptoms")})
    found = json.loads(desk.ok("look", "--answers", short, "--tree", "wall", "--format", "json"))["look"]["answers"]
    told = {"drain_hole": "stands", "feeder_roots": "black_brittle", "soil_smell": "sour", "lime_signs": "yes"}
    assert told.items() <= found.items()
    told = desk.run("look", "--plain", "--tree", "wall", answers={"What looks odd?": "1"})[1]
    asked = told[: told.index("last question")]
    assert "Smell the soil" not in asked and "thread roots" not in asked and "Fill a hole" not in asked


def test_after_a_note_the_next_look_asks_how_the_tree_is_and_keeps_the_answer(desk: Desk) -> None:
    with_trees(desk)
    question = "Since the last look, how is the tree?"
    desk.ok("look", "--answers", desk.file("a.json", SHORT), "--tree", "wall")
    later = date(2026, 6, 20)
    first = " ".join(desk.run("look", "--plain", "--tree", "wall", typed="", today=later)[1].split())
    assert question not in first
    desk.ok("trees", "note", "wall", "washed the leaves with the hose", "--on", "2026-06-01", today=later)
    told = desk.run("look", "--plain", "--tree", "wall", answers={question: "3"}, today=later)[1]
    out = " ".join(told.split())
    assert "Done since, by the notes: 'washed the leaves with the hose'." in out and out.count(question) >= 1
    assert "worse than at the last look" in desk.ok("trees", "show", "wall", today=later)


def test_a_result_noted_before_the_first_look_is_known_to_it(desk: Desk) -> None:
    with_trees(desk)
    desk.ok("trees", "note", "wall", "soil smells of bad eggs")
    found = json.loads(
        desk.ok("look", "--answers", desk.file("a.json", SHORT), "--tree", "wall", "--format", "json")
    )
    assert found["look"]["answers"]["soil_smell"] == "sour"


def test_the_same_answers_told_twice_are_one_look(desk: Desk) -> None:
    with_trees(desk)
    for _ in range(2):
        desk.ok("look", "--answers", desk.file("a.json", SHORT), "--tree", "Barrel lemon")
    assert desk.ok("trees", "show", "barrel").count("thought") == 1


def test_a_follow_up_is_kept_once_and_under_its_own_day(desk: Desk) -> None:
    with_trees(desk)
    saved = str(desk.folder / "look.json")
    desk.ok("look", "--answers", desk.file("a.json", SHORT), "--tree", "barrel", "--save", saved)
    later = date(2026, 6, 2)
    new = desk.file("b.json", {"date": str(later), "answers": {"soil_fizz": "fizzes"}})
    for _ in range(2):
        desk.ok("look", "--follow-up", saved, "--answers", new, "--tree", "barrel", today=later)
    story = desk.ok("trees", "show", "barrel", today=later)
    assert story.count("thought") == 2 and "20 May 2026 seen" in story and "2 Jun 2026 seen" in story


def test_a_guided_look_says_in_words_what_the_book_knows(desk: Desk) -> None:
    with_trees(desk)
    desk.ok("trees", "edit", "Barrel lemon", "--emitters", "2 x 4 L/h", "--water", "drip")
    out = " ".join(desk.run("look", "--plain", "--tree", "Barrel lemon", typed="")[1].split())
    assert "From the tree book: Barrel lemon. It is: lemon, in a pot, planted 2019-05; water: drip, 2 emitters" in out


def test_the_person_goes_before_the_book(desk: Desk) -> None:
    with_trees(desk)
    desk.ok("trees", "note", "barrel", "fed", "--on", "2026-04-01")
    said = {**SHORT, "tree": {"grown_in": "ground"}, "events": [{"what": "fed", "within": "never"}]}
    out = desk.ok("look", "--answers", desk.file("a.yaml", said), "--tree", "barrel", "--format", "json")
    look = json.loads(out)["look"]
    assert look["tree"]["grown_in"] == "ground" and look["tree"]["crop"] == "lemon"
    assert [event for event in look["events"] if event["what"] == "fed"] == [{"what": "fed", "within": "never"}]


def test_one_look_covers_trees_of_one_kind(desk: Desk) -> None:
    with_trees(desk)
    answers = desk.file("a.yaml", SHORT)
    out = desk.ok("look", "--answers", answers, "--tree", "barrel", "--tree", "wall", "--format", "json")
    # They stand in different places, so the book says nothing of that; both were planted in one month.
    look = json.loads(out)["look"]
    assert "grown_in" not in look["tree"] and look["answers"]["age_years"] == 7.1
    for name in ("barrel", "wall"):
        assert "(the same look covers 2 trees)" in desk.ok("trees", "show", name)
    status, _, err = desk.run("look", "--answers", answers, "--tree", "barrel", "--tree", "path")
    assert status == ExitStatus.BAD_INPUT and "one look covers trees of one kind" in err


def test_the_next_look_asks_whether_feeding_helped_and_the_answer_weighs(desk: Desk) -> None:
    with_trees(desk)
    desk.ok("look", "--answers", desk.file("a.yaml", SHORT), "--tree", "wall")
    desk.ok("trees", "note", "wall", "fed", "yesterday", today=date(2026, 5, 22))
    desk.ok("trees", "note", "wall", "tested", "drain_hole:", "stands", today=date(2026, 5, 23))
    later = date(2026, 7, 1)
    answers = {"After a light feed": "2"}
    status, out, err = desk.run("look", "--plain", "--tree", "wall", answers=answers, today=later)
    assert status == ExitStatus.OK and "Kept in the tree book: Wall lemon" in err
    text = " ".join(out.split())
    assert "Last look on 20 May 2026" in text and "Done since, by the notes: fed." in text
    assert text.index("After a light feed") < text.index("What seems to be going on")
    assert "water still stands after a day (from the tree book)" in text.lower()
    assert desk.ok("trees", "show", "wall", today=later).count("came of it") == 1


WILTED: dict[str, Any] = {
    "date": str(DAY),
    "symptoms": [{"part": "leaf", "leaf_change": ["limp"], "leaf_age": "all", "crown_place": "whole",
                  "onset": "days"}],
    "answers": {"looks_well": "poor", "soil_at_depth": "dry", "recent_rain": "little"},
}  # fmt: skip


def test_whether_water_helped_is_asked_where_thirst_was_thought_of_and_the_answer_weighs(desk: Desk) -> None:
    with_trees(desk)
    first = json.loads(desk.ok("look", "--answers", desk.file("a.yaml", WILTED), "--tree", "wall", "--format", "json"))
    assert first["causes"][0]["id"] == "drought"
    desk.ok("trees", "note", "wall", "watered", "60 l")
    later = date(2026, 5, 22)
    out = desk.run("look", "--plain", "--tree", "wall", answers={}, today=later)[1]
    assert out.index("The morning after one deep soak") < out.index("What looks odd?")
    shares = {}
    for came in ("lifted", "no_change"):
        said = {**WILTED, "date": str(later), "answers": {**WILTED["answers"], "soak_trial": came}}
        file = desk.file("b.yaml", said)
        found = json.loads(desk.ok("look", "--answers", file, "--tree", "wall", "--format", "json"))
        shares[came] = {cause["id"]: cause["belief"] for cause in found["causes"]}["drought"]
    assert shares["lifted"] > first["causes"][0]["belief"] > shares["no_change"]


def test_whether_a_routine_watering_helped_is_not_asked(desk: Desk) -> None:
    with_trees(desk)
    wet = {**SHORT, "answers": {"looks_well": "fair", "soil_at_depth": "wet"}}
    desk.ok("look", "--answers", desk.file("a.yaml", wet), "--tree", "wall")
    desk.ok("trees", "note", "wall", "watered", "60 l")
    out = desk.run("look", "--plain", "--tree", "wall", answers={}, today=date(2026, 6, 20))[1]
    assert "The morning after one deep soak" not in out


def test_whether_cleaned_emitters_helped_is_asked_and_the_answer_weighs(desk: Desk) -> None:
    with_trees(desk)
    dry = {**WILTED, "answers": {**WILTED["answers"], "watering_how": "drip", "emitters": "clogged"}}
    pale = {"part": "leaf", "leaf_change": ["colour"], "leaf_age": "all", "colour_pattern": "even_pale"}
    dry["symptoms"] = [{**pale, "crown_place": "one_side"}]
    desk.ok("look", "--answers", desk.file("a.yaml", dry), "--tree", "wall")
    desk.ok("trees", "note", "wall", "emitter cleaned")
    later = date(2026, 6, 20)
    out = desk.run("look", "--plain", "--tree", "wall", answers={}, today=later)[1]
    assert out.index("Some weeks after the emitters were put right") < out.index("What looks odd?")
    shares = {}
    for came in ("better", "same"):
        said = {**dry, "date": str(later), "answers": {**dry["answers"], "emitter_repair_trial": came}}
        file = desk.file("b.yaml", said)
        found = json.loads(desk.ok("look", "--answers", file, "--tree", "wall", "--format", "json"))
        shares[came] = {cause["id"]: cause["belief"] for cause in found["causes"]}.get("clogged_emitters", 0.0)
    assert shares["better"] > shares["same"]
    assert "better than at the last look" in desk.ok("trees", "show", "wall", today=later)


def test_waiting_is_asked_about_when_nothing_was_done(desk: Desk) -> None:
    with_trees(desk)
    cold = {
        "date": "2026-07-20",
        "symptoms": [
            {"part": "leaf", "leaf_change": ["colour"], "leaf_age": "all", "colour_pattern": "even_pale",
             "crown_place": "whole", "onset": "weeks", "same_last_year": "yes_recovered"},
        ],
        "answers": {"looks_well": "fair", "soil_temperature": "cold", "recent_rain": "wet"},
    }  # fmt: skip
    winter, spring = date(2026, 7, 20), date(2026, 9, 10)
    desk.ok("look", "--answers", desk.file("a.yaml", cold), "--tree", "wall", today=winter)
    answers = {"Some weeks later, when it is warm": "1"}
    status, out, err = desk.run("look", "--plain", "--tree", "wall", answers=answers, today=spring)
    assert status == ExitStatus.OK, err
    text = " ".join(out.split())
    asked = text.index("Some weeks later, when it is warm: how are the leaves?")
    assert asked < text.index("What seems to be going on")
    assert "better than at the last look" in desk.ok("trees", "show", "wall", today=spring)


@pytest.mark.parametrize(
    ("answers", "symptoms", "expected"),
    [
        ({"feed_trial": "no_change"}, True, "same"),
        ({"feed_trial": "greened"}, True, "better"),
        ({"waited": "worse", "feed_trial": "greened"}, True, "worse"),
        ({}, False, "better"),
        ({"waited": "not_sure"}, True, ""),
    ],
)
def test_what_came_of_it(answers: dict[str, str], symptoms: bool, expected: str) -> None:
    before = KeptLook(day=DAY, answers={"symptoms": [{"part": "leaf"}]})
    odd = ({"part": "leaf", "leaf_age": "oldest"},) if symptoms else ()
    assert came_of_it(Look(date=DAY, answers=answers, symptoms=odd), before) == expected


def test_without_a_tree_a_guided_look_can_be_kept_under_a_name(desk: Desk) -> None:
    typed = f"{TO_NOTHING_ODD}f\nCorner lemon\n\n"
    status, out, err = desk.run("look", "--plain", typed=typed)
    assert status == ExitStatus.OK, err
    assert "Keep this look in your tree book?" in out
    assert "Corner lemon: lemon" in desk.ok("trees", "list")
    declined = desk.run("look", "--plain", typed=f"{TO_NOTHING_ODD}f\n\n\n")
    assert declined[0] == ExitStatus.OK and "Kept" not in declined[2]


def test_end_of_input_declines_every_offer(desk: Desk) -> None:
    status, out, err = desk.run("look", "--plain", typed=f"{TO_NOTHING_ODD}f\n")
    assert (status, err) == (ExitStatus.OK, "")
    assert not (desk.folder / "data" / "book.sqlite").exists()
    assert out.count("Keep this look in your tree book?") == 1


def test_an_interrupted_look_at_a_tree_is_taken_up_for_that_tree(desk: Desk) -> None:
    with_trees(desk)
    status, _, _ = desk.run("look", "--plain", "--tree", "wall", typed="\n")
    assert status == ExitStatus.INTERRUPTED
    status, _, err = desk.run("look", "--plain", "--resume", typed="1\n1\n8\nf\n\n")
    assert status == ExitStatus.OK and "Kept in the tree book: Wall lemon" in err


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (("--photo", "leaf.jpg"), "name the tree with --tree"),
        (("--tree", "nobody"), "no tree in the book is called 'nobody'"),
    ],
)
def test_odd_options_of_the_book_are_refused_before_anything_is_kept(
    desk: Desk, words: tuple[str, ...], expected: str
) -> None:
    with_trees(desk)
    status, out, err = desk.run("look", "--answers", desk.file("a.yaml", PALE_TIPS), *words)
    assert (status, out) == (ExitStatus.BAD_INPUT, "") and expected in err
