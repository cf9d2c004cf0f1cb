"""``sallow feed`` for pots, for trees of which little is known, and its way of asking and of rounding."""

from __future__ import annotations

import io
import json
import re
from datetime import date

import pytest
from tests.support.compiled import compiled_place

from sallow.care import units
from sallow.care.feeding.measures import cups, weight
from sallow.cli import main
from sallow.environment import Environment
from sallow.status import ExitStatus


def feed(words, typed="", today=date(2026, 1, 20)):
    surroundings = Environment(
        stdin=io.StringIO(typed), stdout=io.StringIO(), stderr=io.StringIO(), today=today, cache_folder=compiled_place()
    )
    status = main(words, surroundings)
    return status, surroundings.stdout.getvalue(), surroundings.stderr.getvalue()


def plain(text):
    return re.sub(r"\s+", " ", text)


POT = ["feed", "--crop", "lemon", "--in", "pot", "--age", "4"]
WELL = ["--soil", "moist", "--hurt-by", "none", "--leaf-colour", "pale_old"]


def test_a_pot_of_unknown_width_gets_a_small_pots_amount():
    text = plain(feed([*POT, *WELL])[1])
    # By hand: 3 lb per 100 sq ft on a circle of 30 cm is 10.4 g; the open-ground rule for its age gives 340 g.
    assert "nitrogen for this year: 10 g" in text and "30 cm (12 in)" in text and "--pot-width" in text
    assert "170 g" not in text and "340 g" not in text
    told = json.loads(feed([*POT, *WELL, "--format", "json"])[1])
    assert told["nitrogen_kg"] == pytest.approx(0.0104, abs=0.0001)
    assert (told["pot_width_m"], told["pot_width_assumed"]) == (0.3, True)


def test_a_pots_own_width_is_used_and_explained_in_one_amount():
    text = plain(feed([*POT, *WELL, "--pot-width", "40 cm"])[1])
    assert "18 g (0.65 oz). That is all a pot 40 cm (16 in) wide bears" in text
    assert "170 g" not in text and "not known, so a small one" not in text


def test_where_it_stands_is_asked_before_an_open_ground_amount_is_trusted():
    assert "In a pot it takes far less" in plain(feed(["feed", "--crop", "lemon", "--age", "4", *WELL])[1])


def test_nothing_known_is_no_yes_but_what_to_find_out():
    for typed in ([*POT], ["feed", "--crop", "lemon", "--in", "ground", "--age", "4"]):
        text = plain(feed(typed)[1])
        assert text.strip().startswith("Should it be fed? I cannot say yet.")
        assert "Dig or probe" in text and "Look whether frost" in text
        assert json.loads(feed([*typed, "--format", "json"])[1])["feed"] is False


def test_an_unknown_soil_makes_the_yes_hang_on_a_dig():
    text = plain(feed([*POT, "--leaf-colour", "pale"])[1])
    assert "Yes, it may be fed." in text and "Before you feed: dig or probe" in text
    assert "Before you feed" not in plain(feed([*POT, *WELL])[1])


def test_guided_lemon_in_a_pot_not_sure_of_anything_else():
    text = plain(feed(["feed"], typed="lemon\npot\n4\n" + "n\n" * 20)[1])
    assert "I cannot say yet." in text and "10 g" in text and "170 g" not in text


def test_guided_b_puts_the_question_before_again():
    out = feed(["feed"], typed="b\nlemon\nground\nb\npot\n4\nb\nb\n1\n6\n3\n")[1]
    text = plain(out)
    assert "w why do you ask; b back; s what" in text.split("1. ")[0]
    assert "This is the first question" in text
    assert text.count("Where does it grow?") == 3 and text.count("How many years ago") == 4
    assert "The roots stand wet" not in text  # the damage is still to be asked when the input ends


def test_guided_f_finishes_with_what_there_is():
    status, out, _ = feed(["feed"], typed="lemon\npot\n4\nf\n")
    assert status == ExitStatus.OK and "I cannot say yet." in out and "How is the soil" in plain(out)


def test_guided_slips_are_told_all_that_is_allowed():
    text = plain(feed(["feed"], typed="lemon\n9\npot\nsome\nq\n")[1])
    assert "Please type a number from 1 to 3, or n (or w, b, s, m, c, f)." in text
    assert "is not a number of years; type 4, or 0.5 for six months. (Or n, or w, b, s, m, c, f.)" in text


def test_amounts_are_what_a_kitchen_scale_can_tell():
    pot = [*POT, *WELL, "--pot-width", "40 cm", "--climate", "dry_summer", "--hemisphere", "south"]
    text = plain(feed([*pot, "--bag", "6-2-3"], today=date(2026, 11, 10))[1])
    assert "0.9 g" not in text and "0.032 oz" not in text and "phosphorus (P)" not in text
    assert "6-2-3: 15 g (0.55 oz) for each feeding" in text
    assert "a trace of phosphate (P2O5) and a trace of potash (K2O) ride along" in text
    assert "Of the season's 15 feedings 9 are still to come." in text and "times, from" not in text
    assert "phosphorus (P)" in plain(feed([*pot, "--bag", "6-2-3", "--show-working"])[1])
    # 0.5 g of nitrogen for a pot of 30 cm is 1.1 g of urea: no scale in the house weighs that.
    small = [*POT, *WELL, "--pot-width", "30 cm", "--bag", "urea"]
    assert "urea: a pinch for each feeding, less than 2 g" in plain(feed(small)[1])


def test_weights_in_the_steps_of_a_kitchen_scale():
    said = [weight(grams / 1000, "metric") for grams in (0.3, 0.9, 4.5, 5.6, 18.4, 172)]
    assert said == ["less than 1 g", "1 g", "4 g", "6 g", "18 g", "170 g"]
    assert [weight(units.oz_to_g(oz) / 1000, "us") for oz in (0.01, 0.16, 0.65)] == [
        "less than 0.05 oz", "0.15 oz", "0.65 oz",
    ]  # fmt: skip


def test_help_is_short_above_and_in_groups(capsys):
    _, out, _ = feed(["feed", "--help"])
    told = out or capsys.readouterr().out
    assert len(told.split("\n\n")[0].splitlines()) <= 3
    places = [told.index(f"\n{name}") for name in ("the tree:", "how it does:", "what is in the shed:",
              "what else brings nitrogen", "feeding with the water:", "output")]  # fmt: skip
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("grams", "words"),
    [
        # By hand at half a pound a cup: 227 g a cup, 14 g a tablespoon, 4.7 g a teaspoon.
        (1.2, "1/4 level teaspoon"),
        (4.7, "1 level teaspoon"),
        (7.1, "1 1/2 level teaspoons"),
        (14.2, "3 level teaspoons"),
        (30, "2 level tablespoons"),
        (57, "1/4 level cup"),
        (454, "2 level cups"),
    ],
)
def test_little_is_told_in_spoons_that_hold_no_more_than_is_meant(grams, words):
    filled = grams / 1000 / units.lb_to_kg(0.5)
    assert cups(filled, filled) == words


@pytest.mark.parametrize(("system", "other"), [("us", " cm"), ("us", " m "), ("metric", " ft"), ("metric", " in)")])
def test_one_unit_system_is_kept_to_in_every_line_on_place(system, other):
    words = ["feed", "--crop", "peach", "--age", "8", "--canopy", "12 ft", "--in", "lawn", "--climate", "cool_humid"]
    words += ["--hemisphere", "north", "--leaf-colour", "pale", "--soil", "moist", "--bag", "21-0-0", "--units", system]
    assert other not in feed(words)[1].split("Take care")[0]
