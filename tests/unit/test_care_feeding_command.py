"""``sallow feed`` as a grower meets it: by options, guided, from a look, in both systems, with slips."""

from __future__ import annotations

import io
import json
import re
from datetime import date

import pytest
from tests.support.compiled import compiled_place

from sallow.care import units
from sallow.cli import main
from sallow.commands.feed_facts import troubles_from
from sallow.commands.feed_measures import kilograms, metres
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.status import ExitStatus

LEMON = [
    "feed",
    "--crop",
    "lemon",
    "--age",
    "6",
    "--canopy",
    "4 m",
    "--in",
    "ground",
    "--climate",
    "dry_summer",
]
NORTH = [*LEMON, "--hemisphere", "north", "--frost", "no", "--soil", "moist", "--leaf-colour", "pale_old"]


def feed(words, typed="", today=date(2026, 1, 20), width=80):
    surroundings = Environment(
        stdin=io.StringIO(typed), stdout=io.StringIO(), stderr=io.StringIO(), today=today, width=width,
        cache_folder=compiled_place(),
    )
    status = main(words, surroundings)
    return status, surroundings.stdout.getvalue(), surroundings.stderr.getvalue()


def plain(text):
    return re.sub(r"\s+", " ", text)


def test_by_options_the_whole_answer():
    status, out, err = feed([*NORTH, "--bag", "6-2-3", "--bag-weight", "20 lb"])
    text = plain(out)
    assert (status, err) == (ExitStatus.OK, "")
    assert out.lstrip().startswith("Should it be fed?\n  Yes")
    for part in (
        "450 g (1 lb)",
        "mid-February 2026",
        "the end of May 2026",
        "early September 2026",
        "2.5 kg (5.5 lb) for each feeding",
        "cups",
        "60 cm (2 ft) off the trunk",
        "no deeper than 2.5 cm (1 in)",
        "Water it in",
        "groundwater",
    ):
        assert part in text, part


def test_southern_dates_are_half_a_year_on():
    words = [*LEMON, "--hemisphere", "south", "--frost", "no", "--leaf-colour", "pale", "--bag", "6-2-3"]
    text = plain(feed(words, today=date(2026, 7, 20))[1])
    assert "mid-August 2026" in text and "the end of November 2026" in text and "early March 2027" in text


def test_the_working_is_shown_when_asked_for():
    words = [*NORTH, "--bag", "6-2-3"]
    assert "How it was reckoned" not in feed(words)[1]
    text = plain(feed([*words, "--show-working"])[1])
    assert "in 100 units of it 6 are nitrogen" in text
    assert "/ (6 / 100) = 2.52 kg" in text
    assert "UC IPM, Fertilizing citrus" in text


@pytest.mark.parametrize("width", [40, 60, 100])
def test_lines_keep_to_the_width(width):
    out = feed([*NORTH, "--bag", "6-2-3", "--show-working"], width=width)[1]
    assert max(len(line) for line in out.splitlines()) <= width


def test_both_unit_systems_agree_to_rounding():
    metric = plain(feed([*NORTH, "--bag", "6-2-3", "--units", "metric"])[1])
    us = plain(feed([*NORTH, "--bag", "6-2-3", "--units", "us"])[1])
    grams = float(re.search(r"6-2-3: ([\d.]+) kg for each feeding", metric)[1]) * 1000
    pounds = float(re.search(r"6-2-3: ([\d.]+) lb for each feeding", us)[1])
    assert units.lb_to_kg(pounds) * 1000 == pytest.approx(grams, rel=0.06)
    assert " lb" not in metric.split("Take care")[0].split("Where and how")[0]


def test_sizes_in_either_system_give_the_same_plan():
    documents = []
    for canopy, weight in (("4 m", "9.0718474 kg"), ("13.123359580052494 ft", "20 lb")):
        words = [word if word != "4 m" else canopy for word in NORTH]
        documents.append(
            json.loads(feed([*words, "--bag", "6-2-3", "--bag-weight", weight, "--format", "json"])[1])
        )
    assert documents[0] == documents[1]


def test_json_holds_the_figures():
    document = json.loads(feed([*NORTH, "--bag", "21-0-0", "--format", "json"])[1])
    assert document["decision"] == "yes"
    assert document["dates"] == ["2026-02-15", "2026-05-30", "2026-09-05"]
    assert document["nitrogen_kg"] == pytest.approx(0.4536)
    assert document["product_each_kg"] == pytest.approx(0.4536 / 3 / 0.21, abs=0.001)
    assert document["feedings"] * document["nitrogen_each_kg"] == pytest.approx(
        document["nitrogen_kg"], abs=0.001
    )


def test_not_this_year_is_a_full_answer():
    status, out, _ = feed([*LEMON, "--leaf-colour", "green", "--shoots", "12 in", "--bag", "6-2-3"])
    assert status == ExitStatus.OK
    assert "No, not this year." in out and "nothing extra" in plain(out)
    assert "How much" not in out


def test_credits_are_taken_off():
    base = [*NORTH, "--bag", "6-2-3", "--format", "json"]
    without = json.loads(feed(base)[1])
    extra = ["--manure", "20 kg", "--manure-kind", "horse", "--nitrate-ppm", "10", "--nitrate-as", "n"]
    with_them = json.loads(feed([*base, *extra, "--water-used", "3000 L"])[1])
    # By hand: 20 kg x 0.6 % x 30 % = 36 g and 10 mg/L x 3000 L = 30 g.
    assert without["nitrogen_to_give_kg"] - with_them["nitrogen_to_give_kg"] == pytest.approx(
        0.066, abs=0.0002
    )


def test_bags_are_compared_and_the_cheapest_is_reckoned():
    words = [*NORTH, "--bag", "6-2-3", "--bag-weight", "20 lb", "--price", "30"]
    words += ["--bag", "ammonium sulfate", "--bag-weight", "20 lb", "--price", "25"]
    text = plain(feed(words)[1])
    assert "ammonium sulfate: 13.12 a kg (5.95 a lb) of nitrogen" in text  # 25 / (20 lb x 21 %)
    assert "6-2-3: 55.12 a kg (25.00 a lb)" in text
    assert "How much of the bag ammonium sulfate" in text


def test_a_weighed_cup_comes_before_the_table():
    text = plain(feed([*NORTH, "--bag", "6-2-3", "--cup-weight", "250 g"])[1])
    assert "about 10 level cups" in text  # 2.52 kg at 250 g a cup


def test_elements_are_told_only_with_the_working():
    words = [*NORTH, "--bag", "6-2-3", "--bag-weight", "20 lb"]
    assert "phosphorus (P)" not in plain(feed(words)[1])
    assert "phosphorus (P)" in plain(feed([*words, "--show-working"])[1])


def test_a_pot_of_unknown_width_never_gets_the_amount_for_open_ground():
    text = plain(feed(["feed", "--crop", "lemon", "--in", "pot", "--age", "4"])[1])
    assert "I cannot say yet." in text
    assert "The width of the pot is not known" in text
    assert "10 g (0.35 oz)" in text and "170 g" not in text


def test_liquid_feed_and_the_drip_line():
    words = [*NORTH, "--bag", "20-10-20", "--can", "9 L", "--drip-flow", "40 L", "--drip-hours", "8"]
    text = plain(feed(words)[1])
    assert "Stir 4 g (0.15 oz) of 20-10-20 into 9 L" in text
    # By hand: 151 g of nitrogen in 320 L are 472 mg a litre, so two runs of 236.
    assert "in 2 runs" in text and "about 236 mg of nitrogen a litre" in text
    assert "backflow preventer" in text and "bleach and acid" in text


BAD = [
    pytest.param([*NORTH, "--bag", "0-0-0"], "feeds nothing", id="0-0-0"),
    pytest.param([*NORTH, "--bag", "50-40-30"], "100 % at most", id="over 100 percent"),
    pytest.param([*NORTH, "--bag", "6-2"], "three numbers", id="two numbers"),
    pytest.param([*NORTH, "--bag", "6-2-3", "--bag-weight", "20"], "no unit", id="weight without unit"),
    pytest.param([*NORTH, "--bag", "6-2-3", "--bag-weight", "0 lb"], "more than zero", id="weight zero"),
    pytest.param([*NORTH, "--bag", "6-2-3", "--bag-weight", "-3 kg"], "more than zero", id="weight negative"),
    pytest.param([*NORTH, "--bag", "6-2-3", "--price", "free"], "not a number", id="price in words"),
    pytest.param([*NORTH, "--bag-weight", "20 lb"], "0 bags", id="weight without bag"),
    pytest.param(["feed", "--crop", "lemon", "--age", "-2"], "cannot be right", id="negative age"),
    pytest.param(["feed", "--crop", "lemon", "--canopy", "0 m"], "more than zero", id="canopy zero"),
    pytest.param(["feed", "--crop", "lemon", "--canopy", "4"], "no unit", id="canopy without unit"),
    pytest.param(["feed", "--crop", "lemon", "--canopy", "900 m"], "cannot be right", id="canopy too wide"),
    pytest.param(["feed", "--crop", "lemon", "--canopy", "4 kg"], "does not fit", id="wrong kind of unit"),
    pytest.param(["feed", "--crop", "lemon", "--last-fed", "31/12/2025"], "year-month-day", id="date form"),
    pytest.param([*NORTH, "--nitrogen", "5 lb"], "weight of the product", id="five pounds of nitrogen"),
    pytest.param([*NORTH, "--nitrogen", "1"], "no unit", id="nitrogen without unit"),
    pytest.param(
        [*NORTH, "--nitrate-ppm", "10", "--water-used", "3000 L"], "nitrogen or as nitrate", id="nitrate form"
    ),
    pytest.param(
        [*NORTH, "--nitrate-ppm", "10", "--nitrate-as", "n"], "how much of that water", id="water missing"
    ),
    pytest.param([*NORTH, "--manure", "20 kg"], "which animal", id="manure of what"),
    pytest.param([*NORTH, "--compost", "-5 kg"], "more than zero", id="compost negative"),
    pytest.param([*NORTH, "--region", "atlantis"], "no rule", id="unknown region"),
    pytest.param(["feed", "--look", "no-such-file.json"], "cannot be opened", id="look missing"),
]


@pytest.mark.parametrize(("words", "said"), BAD)
def test_bad_input_gets_a_plain_message_and_status_two(words, said):
    status, out, err = feed(words)
    assert status == ExitStatus.BAD_INPUT
    assert said in plain(err)
    assert "Traceback" not in err + out


LOOK = {"tree": {"crop": "lemon", "age_years": 6}, "answers": {"shoot_growth": "hardly"}}


@pytest.mark.parametrize(
    ("findings", "causes", "said"),
    [
        (["roots_too_wet"], [], "roots stand wet"),
        ({"salty_root_zone": True}, [], "root zone is salty"),
        ([], ["frost_damage"], "hurt by frost"),
        ([], [{"cause": "herbicide_glyphosate", "standing": "likely"}], "Weed killer hurt"),
        ([], [{"cause": "fertilizer_burn", "standing": "very likely"}], "too much feed"),
        ([], ["phytophthora_root_rot"], "Root rot"),
    ],
)
def test_a_look_that_found_harm_forbids_feeding(tmp_path, findings, causes, said):
    path = tmp_path / "look.json"
    path.write_text(json.dumps({**LOOK, "findings": findings, "causes": causes}), encoding="utf-8")
    status, out, _ = feed(["feed", "--look", str(path), "--climate", "dry_summer", "--bag", "6-2-3"])
    assert status == ExitStatus.OK
    assert said in plain(out)
    assert "for each feeding" not in out


def test_an_unlikely_cause_forbids_nothing(tmp_path):
    path = tmp_path / "look.json"
    causes = [{"cause": "frost_damage", "standing": "unlikely"}]
    path.write_text(json.dumps({**LOOK, "findings": [], "causes": causes}), encoding="utf-8")
    words = [
        "feed",
        "--look",
        str(path),
        "--climate",
        "dry_summer",
        "--hemisphere",
        "north",
        "--bag",
        "6-2-3",
    ]
    assert "Yes, it may be fed." in feed(words)[1]


@pytest.mark.parametrize("text", ["[]", "{broken", "\u0000"])
def test_a_broken_look_is_told(tmp_path, text):
    path = tmp_path / "look.json"
    path.write_text(text, encoding="utf-8")
    status, _, err = feed(["feed", "--look", str(path), "--crop", "lemon"])
    assert status == ExitStatus.BAD_INPUT
    assert "look.json" in err


def test_troubles_from_ids():
    assert troubles_from({"roots_too_wet", "cold_soil"}, {"herbicide_drift", "iron_shortage"}) == {
        "roots_wet",
        "weed_killer",
    }


def test_guided_stops_at_the_decision():
    # lemon, open ground, 6 years, wet: nothing more is asked.
    status, out, _ = feed(["feed"], typed="lemon\n1\n6\n3\n1\n")
    assert status == ExitStatus.OK
    assert "The roots stand wet" in plain(out)
    assert "canopy?" not in out and "Which half" not in out


def test_guided_to_the_end():
    answers = ["lemon", "1", "6", "2", "1", "1", "1", "2", "?", "4", "?", "4 m", "6-2-3", "1", "20 lb"]
    status, out, err = feed(["feed"], typed="\n".join(answers) + "\n")
    assert (status, err) == (ExitStatus.OK, "")
    assert "2.5 kg (5.5 lb) for each feeding" in plain(out)


def test_guided_all_not_sure_still_ends_in_an_answer():
    status, out, _ = feed(["feed"], typed="?\n" * 40)
    assert status == ExitStatus.OK
    assert "I cannot say yet." in out


def test_guided_asks_again_after_a_slip():
    answers = ["lemon", "1", "some", "6", "3", "1"]
    out = feed(["feed"], typed="\n".join(answers) + "\n")[1]
    assert "'some' is not a number of years" in out


@pytest.mark.parametrize("typed", ["", "lemon\n", "lemon\n1\n"])
def test_end_of_input_is_an_interruption(typed):
    assert feed(["feed"], typed=typed)[0] == ExitStatus.INTERRUPTED


@pytest.mark.parametrize(
    ("text", "expected"),
    [("20 lb", 9.07184740), ("1/2 lb", 0.226796185), ("1 1/2 kg", 1.5), ("500g", 0.5), ("8 oz", 0.22679618)],
)
def test_weights_as_typed(text, expected):
    assert kilograms(text) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("text", "expected"), [("3 m", 3), ("10 ft", 3.048), ("18 in", 0.4572), ("2,5 m", 2.5), ("40cm", 0.4)]
)
def test_lengths_as_typed(text, expected):
    assert metres(text) == pytest.approx(expected)


@pytest.mark.parametrize("text", ["", "m", "3", "3 kg", "0 m", "-1 m", "1/0 m", "nan m", "1e400 m"])
def test_lengths_that_cannot_be_read(text):
    with pytest.raises(BadInput):
        metres(text)


def test_fruits_go_by_their_other_names():
    assert "450 g" in feed([*NORTH[:2], "tangerine", *NORTH[3:]])[1]
    status, _, err = feed(["feed", "--crop", "lemmon"])
    assert status == ExitStatus.BAD_INPUT
    assert "Did you mean 'lemon'?" in err


def test_manure_beyond_the_need_is_told():
    words = ["feed", "--crop", "avocado", "--age", "2", "--canopy", "5 ft", "--leaf-colour", "green"]
    words += ["--climate", "dry-summer", "--hemisphere", "south"]
    words += ["--manure", "40 L", "--manure-kind", "chicken"]
    text = plain(feed(words)[1])
    assert "nothing more is needed from a bag" in text
    assert "more than the tree should get already" in text
    assert "germs" in text


def test_a_thin_drip_line_is_no_way_to_feed():
    words = [*NORTH, "--bag", "10-10-10", "--drip-flow", "2 gal", "--drip-hours", "3"]
    assert "Spread the feed by hand instead" in plain(feed(words)[1])


def test_a_leaf_figure_decides_and_moves_the_amount():
    base = ["feed", "--crop", "apple", "--age", "5", "--hemisphere", "north", "--climate", "cold_dry"]
    document = json.loads(feed([*base, "--leaf-nitrogen", "1.7", "--format", "json"])[1])
    assert document["decision"] in ("yes", "wait") and document["feed"]
    assert document["nitrogen_kg"] == pytest.approx(units.oz_to_g(5) / 1000 * 1.2, rel=0.001)
    status, _, err = feed([*base, "--leaf-nitrogen", "17"])
    assert status == ExitStatus.BAD_INPUT and "another unit" in err
