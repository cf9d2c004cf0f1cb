"""feed, water and lab on a screen of 80 columns: no line is wider, and who is asked nothing reads no help on asking."""

import io
from datetime import date

import pytest
from tests.support.compiled import compiled_place

from sallow.cli import main
from sallow.environment import Environment

TODAY = date(2026, 11, 20)


def run(*words, typed=""):
    out, err = io.StringIO(), io.StringIO()
    environment = Environment(
        stdin=io.StringIO(typed), stdout=out, stderr=err, today=TODAY, width=80, cache_folder=compiled_place()
    )
    return main(words, environment), out.getvalue(), err.getvalue()


FED = ("--crop", "lemon", "--age", "6", "--climate", "dry_summer", "--hemisphere", "south", "--canopy", "3m")
DRUNK = ("--crop", "lemon", "--canopy", "3m", "--et0", "5mm", "--soil", "loam")


@pytest.mark.parametrize(
    ("words", "typed"),
    [
        (("feed",), "\n" * 40),
        (("feed",), "lemon\n1\n2\n1\n" + "\n" * 40),
        (("feed", *FED, "--leaf-colour", "pale_old", "--soil", "moist", "--bag", "6-2-3", "--show-working"), ""),
        (("feed", *FED, "--in", "pot", "--leaf-colour", "pale", "--soil", "moist", "--show-working"), ""),
        (("water",), "\n" * 40),
        (("water",), "w\ns\nm\nlemon\n1\n3\n3 m\n3\n1\n1\n2\n1\nevery day\n60\n4\n55 60 48 57\n0.9 dS/m\n"),
        (("water",), "lemon\n3\n5\n0.8 m\n1\n1\n2\n3\ndaily\n10\n6 mm\n\n\n"),
        (("water", *DRUNK, "--gets", "10L", "--show-working"), ""),
        (("water", *DRUNK, "--emitters", "1", "--flow", "2L/h", "--minutes", "10", "--times", "1"), ""),
        (("water", *DRUNK, "--caught", "60", "62", "10", "58", "--water-ec", "1.2dS/m", "--show-working"), ""),
        (("lab",), "1\nlemon\nN 2.1 %\nZn 15 ppm\n" + "\n" * 40),
        (("lab", "leaf", "--crop", "lemon", "--values", "N=2.1 %", "Zn=15 ppm", "--show-working"), ""),
        (("lab", "soil", "--crop", "peach", "--texture", "loam", "--values", "pH=5.0", "EC(paste)=2.3 dS/m"), ""),
        (("lab", "water", "--crop", "avocado", "--values", "EC=1.9dS/m", "Cl=220 mg/L"), ""),
    ],
)
def test_no_line_is_wider_than_the_screen(words, typed):
    status, out, err = run(*words, typed=typed)
    assert status in (0, 130), err
    assert len(out.splitlines()) > 5
    wide = [line for line in out.splitlines() if len(line) > 80]
    assert wide == []


@pytest.fixture
def book(tmp_path):
    path = str(tmp_path / "trees.sallow")
    status, _, err = run(
        "trees", "add", "lawn lemon", "--crop", "lemon", "--grown", "lawn", "--canopy", "0.8 m", "--planted",
        "2026-07-15", "--climate", "dry_summer", "--hemisphere", "south", "--book", path,
    )  # fmt: skip
    assert status == 0, err
    return path


def test_feed_with_a_tree_that_may_not_be_fed_asks_nothing_and_says_nothing_of_asking(book):
    run("trees", "note", "lawn lemon", "the soil a hand down is soggy", "--book", book)
    status, out, err = run("feed", "--tree", "lawn lemon", "--book", book)
    assert (status, err) == (0, "")
    assert "Not yet." in out and "The roots stand wet." in out
    assert "Answer with the number" not in out and "why do you ask" not in out


def test_the_help_on_asking_stands_once_before_the_first_question():
    _, out, _ = run("feed", typed="lemon\nb\nlemon\n")
    assert out.count("Answer with the number of a line") == 1
    assert out.startswith("Should this tree be fed, and how much?")


@pytest.mark.parametrize(
    "words",
    [
        ("water", "--crop", "lemon", "--canopy", "0.8", "--et0", "5mm"),
        ("feed", "--crop", "lemon", "--canopy", "0.8"),
        ("trees", "add", "other lemon", "--crop", "lemon", "--canopy", "0.8", "--hemisphere", "south"),
        ("trees", "edit", "lawn lemon", "--canopy", "0.8"),
    ],
)
def test_a_size_without_its_unit_is_refused_alike_everywhere(words, book):
    status, _, err = run(*words, "--book", book)
    assert status == 2
    assert "0.8 m or 0.8 ft?" in " ".join(err.split())


def test_a_size_without_its_unit_is_asked_back_in_the_guided_form(book):
    typed = "new lemon\nlemon\n\n\n3\n\n\n0.8\n0.8 m\n" + "\n" * 9
    status, out, err = run("trees", "add", "--book", book, typed=typed)
    assert "0.8 m or 0.8 ft?" in " ".join(out.split())
    assert status == 0, err


def test_no_advice_to_feed_lightly_without_an_amount(book):
    _, out, _ = run("feed", "--tree", "lawn lemon", "--book", book, "--soil", "moist")
    assert "lightly" not in out and "how much it may then have is worked out" in " ".join(out.split())
