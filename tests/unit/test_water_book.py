"""sallow water with a tree of the book: nothing is asked that the book knows, and wet soil comes first."""

import io
import json
from datetime import date
from pathlib import Path

import pytest
from tests.support.compiled import compiled_place

from sallow.cli import main
from sallow.commands.water_supply import times_a_week
from sallow.commands.water_wet import wet_soil
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.trees.book import open_book
from sallow.trees.ledger import keep_look
from sallow.trees.model import Event, Look
from sallow.trees.shelf import find_tree

TODAY = date(2026, 11, 20)
LATER = date(2027, 3, 1)


def run(*words, typed="", today=TODAY):
    out, err = io.StringIO(), io.StringIO()
    environment = Environment(
        stdin=io.StringIO(typed), stdout=out, stderr=err, today=today, cache_folder=compiled_place()
    )
    status = main(words, environment)
    return status, " ".join(out.getvalue().split()), err.getvalue()


@pytest.fixture
def book(tmp_path):
    """A lemon planted four months ago in a sprinkled lawn on heavy clay."""
    path = str(tmp_path / "trees.sallow")
    status, _, err = run(
        "trees", "add", "lawn lemon", "--crop", "lemon", "--grown", "lawn", "--soil", "heavy clay",
        "--water", "lawn sprinkler", "--canopy", "0.8 m", "--planted", "2026-07-15", "--climate", "dry_summer",
        "--hemisphere", "south", "--book", path,
    )  # fmt: skip
    assert status == 0, err
    return path


def keep(path, day, **answers):
    with open_book(Path(path)) as opened:
        tree = find_tree(opened, "lawn lemon")
        keep_look(opened, trees=[tree.uid], look=Look(day=day, answers={"answers": answers}), today=TODAY)


def test_the_book_answers_place_soil_crown_size_cover_and_way_of_watering(book):
    keep(book, date(2026, 11, 10), soil_at_depth="moist", watering_every="daily")
    status, out, err = run("water", "--tree", "lawn lemon", "--book", book, typed="2\n10\n6 mm\n\n\n")
    assert status == 0, err
    for question in (
        "What kind of tree", "Where does it stand", "wet soil feel", "How wide is the crown", "How big is it",
        "What grows on the ground", "What is the climate", "How is it watered", "How often",
    ):  # fmt: skip
        assert question not in out
    assert "How warm were the last two weeks?" in out
    assert "minutes times the depth that a cup catches" in out
    # By hand: 6 mm in 15 minutes, so 4 mm in 10, on pi/4 x 0.8 m squared, seven times: 14.07 L a week.
    assert "It gets 14 L" in out


def test_wet_soil_at_the_last_look_comes_before_every_sum(book):
    keep(book, date(2026, 11, 10), soil_at_depth="wet")
    words = ("water", "--tree", "lawn lemon", "--book", book, "--et0", "5mm", "--gets", "2L", "--times", "7")
    status, out, err = run(*words)
    assert status == 0, err
    assert out.startswith("Verdict Do not water now: the soil at the roots was wet on 10 Nov 2026")
    assert "Feel it first" in out and "What follows is for later." in out
    assert "wet soil overrules them" in out and "give more each time" not in out
    found = json.loads(run(*words, "--format", "json")[1])
    assert found["wait"] == {"soil_wet_on": "2026-11-10", "told_by": "the look of that day"}
    assert "water_balance" not in found["answers"]
    # Dry soil at a newer look, or an old look, no longer forbids it.
    keep(book, date(2026, 11, 18), soil_at_depth="dry")
    assert "Do not water now" not in run(*words)[1]
    assert "Do not water now" not in run(*words, today=LATER)[1]


def test_wet_soil_is_said_even_when_no_need_can_be_reckoned(book):
    keep(book, date(2026, 11, 10), soil_at_depth="soggy")
    run("trees", "edit", "lawn lemon", "--canopy", "", "--book", book)
    _, out, _ = run("water", "--tree", "lawn lemon", "--book", book, typed="\n" * 20)
    assert out.index("Do not water now") < out.index("I cannot say yet how much it needs")


@pytest.mark.parametrize(
    ("words", "wet"),
    [
        ("dug a hole, filled it with water, water still stood after a day", True),
        ("the soil a hand down is soggy", True),
        ("soil no longer wet", False),
        ("roots only just moist", False),
        ("wet day, no wind", False),
        ("the soil was wet, now the ground is dry on top", False),
    ],
)
def test_notes_on_wet_soil_count_when_they_are_plain(words, wet):
    found = wet_soil((), [Event("text", date(2026, 11, 12), words=words)], TODAY)
    assert (found is not None) == wet


def test_a_test_that_found_wet_soil_counts():
    found = wet_soil((), [Event("test_result", date(2026, 11, 12), subject="soil_at_depth", result="wet")], TODAY)
    assert found is not None and found.told_by == "a note of that day"


@pytest.mark.parametrize(
    ("words", "times"),
    [
        ("3", 3), ("2.5", 2.5), ("every day", 7), ("daily", 7), ("Daily", 7), ("twice a week", 2), ("once a week", 1),
        ("every other day", 3.5), ("every 3 days", 7 / 3), ("every two weeks", 0.5), ("twice a day", 14),
        ("3 times a week", 3), ("weekly", 1), ("three times", 3), ("0", 0),
        ("about 2", 2), ("two times a day", 14), ("every fortnight", 0.5), ("every other week", 0.5),
    ],
)  # fmt: skip
def test_how_often_is_understood_in_words(words, times):
    assert times_a_week(words) == pytest.approx(times)


@pytest.mark.parametrize("words", ["often", "", "when dry", "-3", "every now and then", "every 0 days"])
def test_how_often_that_cannot_be_read_is_asked_again(words):
    with pytest.raises(BadInput, match="twice a week"):
        times_a_week(words)


LEMON = ("water", "--crop", "lemon", "--canopy", "3m", "--et0", "5mm", "--size", "full", "--cover", "bare")


def test_gets_with_times_is_the_amount_each_time():
    told = json.loads(run(*LEMON, "--times", "every day", "--gets", "10L", "--format", "json")[1])
    assert told["plan"]["verdict"]["gets_l_per_week"] == pytest.approx(70)
    week = json.loads(run(*LEMON, "--gets", "10L", "--format", "json")[1])
    assert week["plan"]["verdict"]["gets_l_per_week"] == pytest.approx(10)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--gets", "10L", "--minutes", "20"), "--gets and --minutes both tell how much it gets"),
        (("--gets", "10L", "--cup", "5mm"), "--gets and --cup both tell how much it gets"),
        (("--times", "7"), "--times alone cannot tell how much it gets"),
        (("--minutes", "30", "--times", "3"), "--emitters and --flow must be told too"),
        (("--minutes", "30", "--times", "3", "--system", "sprinkler"), "--cup must be told too"),
        (("--caught", "60", "60", "--efficiency", "85%"), "both tell how much of the water arrives"),
        (("--pot", "50L", "--pot-width", "50cm"), "both tell the size of the pot"),
        (("--seconds", "30"), "it needs --caught"),
        (("--times", "often", "--gets", "10L"), "is not how often"),
    ],
)
def test_no_option_is_passed_over_in_silence(words, says):
    status, _, err = run(*LEMON, *words)
    assert status == 2 and says in " ".join(err.split())


def test_soil_told_for_a_pot_is_said_not_to_count():
    _, out, _ = run(*LEMON, "--pot", "100L", "--soil", "clay")
    assert "In a pot the soil and the rooting depth are not used" in out


def test_a_cup_under_the_sprinkler_by_hand():
    # 9 mm in 15 minutes, 30 minutes twice a week on pi/4 x 3 m squared: 18 x 7.0686 x 2 = 254.5 L.
    told = json.loads(run(*LEMON, "--cup", "9mm", "--minutes", "30", "--times", "2", "--format", "json")[1])
    assert told["plan"]["verdict"]["gets_l_per_week"] == pytest.approx(254.5, abs=0.1)
    assert "in a straight-sided cup" in run(*LEMON, "--cup", "9mm", "--minutes", "30", "--times", "2")[1]


def test_the_menu_of_places_has_the_lawn():
    _, out, _ = run("water", typed="lemon\n3\n\n0.8 m\n")
    assert "3 in a lawn" in out
    assert "What grows on the ground" not in out
