"""sallow water as a person meets it: options, questions, weather file, JSON, and bad input."""

import io
import json
from datetime import date, timedelta

import pytest
from tests.support.compiled import compiled_place

from sallow.cli import main
from sallow.commands.figures import hours
from sallow.commands.water_inputs import pot_size
from sallow.environment import Environment

TODAY = date(2026, 4, 20)


def run(*words, typed=""):
    out, err = io.StringIO(), io.StringIO()
    environment = Environment(
        stdin=io.StringIO(typed), stdout=out, stderr=err, today=TODAY, cache_folder=compiled_place()
    )
    status = main(("water", *words), environment)
    return status, out.getvalue(), err.getvalue()


LEMON = (
    "--crop", "lemon", "--canopy", "3m", "--et0", "5mm", "--system", "drip", "--emitters", "4", "--flow", "4L/h",
    "--soil", "loam", "--size", "full", "--cover", "bare",
)  # fmt: skip


def data(*words):
    status, out, err = run(*words, "--format", "json")
    assert status == 0, err
    return json.loads(out)


def test_the_reckoning_of_a_lemon_by_hand():
    # Area 7.07 m2, Kc 0.65 (FAO-56 Table 12), lemon 1.2 (Arizona AZ1151), drip 0.90: worked by hand.
    found = data(*LEMON, "--minutes", "120", "--times", "7")
    by_hand = 5 * 0.65 * 1.2 * 7.0686
    assert found["plan"]["need"] == pytest.approx([by_hand, by_hand], rel=1e-4)
    assert found["plan"]["give"] == pytest.approx([by_hand / 0.9] * 2, rel=1e-4)
    assert found["plan"]["giving"]["hours_per_watering"][0] / found["plan"]["giving"]["days_between"] == pytest.approx(
        by_hand / 0.9 / 16, rel=1e-3
    )
    assert found["finding"]["water_balance"] == "about_right"
    assert any("0.65" in line and "second-hand" in line for line in found["finding"]["reckoning"])


@pytest.mark.parametrize(("minutes", "balance"), [("20", "too_little"), ("120", "about_right"), ("300", "too_much")])
def test_the_verdict_follows_the_run_time(minutes, balance):
    assert data(*LEMON, "--minutes", minutes, "--times", "7")["finding"]["water_balance"] == balance


def test_both_unit_systems_give_the_same_plan():
    metric = data(*LEMON)
    us = data(
        "--crop", "lemon", "--canopy", "9.8425ft", "--et0", "0.19685in", "--system", "drip", "--emitters", "4",
        "--flow",
        "1.05669gph", "--soil", "loam", "--units", "us",
    )  # fmt: skip
    assert us["plan"]["give"] == pytest.approx(metric["plan"]["give"], rel=1e-4)


@pytest.mark.parametrize(
    ("units", "has", "has_not"), [("metric", " L ", " gal"), ("us", " gal ", " L "), ("both", "gal)", "~")]
)
def test_units_of_the_answer(units, has, has_not):
    _, out, _ = run(*LEMON, "--units", units)
    assert has in out and has_not not in out


def test_a_range_that_straddles_the_bands_is_not_forced_into_a_verdict():
    words = ("--crop", "fig", "--canopy", "3m", "--climate", "dry_summer", "--warmth", "hot", "--gets", "240L")
    found = data(*words)
    assert found["finding"]["water_balance"] is None
    _, out, _ = run(*words)
    assert "Between 'too little water' and 'about right'" in out
    assert "no crop coefficient for this tree" in " ".join(out.split())


def test_temperatures_and_full_weather():
    hargreaves = data(
        "--canopy", "2m", "--tmin", "14.8C", "--tmax", "26.6C", "--latitude", "45.717N", "--date", "2023-07-15"
    )
    # FAO-56 example 20: 5.0 mm a day by Hargreaves.
    assert any("5.03 mm/day, Hargreaves" in line for line in hargreaves["working"])
    penman = data(
        "--canopy", "2m", "--tmin", "14.8C", "--tmax", "26.6C", "--latitude", "45.717N", "--date", "2023-07-15",
        "--dew-point", "14.8C", "--wind", "2", "--sunshine", "9", "--altitude", "200m",
    )  # fmt: skip
    assert any("Penman-Monteith" in line for line in penman["working"])


def test_emitter_test_replaces_the_usual_efficiency():
    found = data(*LEMON, "--caught", "60", "62", "10", "58", "--seconds", "60")
    assert found["emitter_test"]["clogged"] == [3]
    assert found["emitter_test"]["uniformity_percent"] == pytest.approx(10 / 47.5 * 100)
    # By hand: without the clogged one the lowest of 60, 62 and 58 over their mean; to water five times as long for one
    # clogged emitter would drown the roots at the others.
    assert found["plan"]["efficiency"]["low"] == pytest.approx(58 / 60)
    _, out, _ = run("--caught", "60", "62", "10", "58")
    assert "Probably clogged: number 3" in out
    assert "never bring bleach (chlorine) and acid together" in out
    assert "backflow preventer" in out


def test_salty_water_adds_leaching_with_its_caution():
    found = data(*LEMON, "--water-ec", "1.1dS/m")
    # FAO 29 by hand, 1.4 dS/m for lemon (Maas 1993): 1.1 / (5 x 1.4 - 1.1) = 0.186.
    assert found["plan"]["leaching_share"] == pytest.approx(0.1864, abs=1e-4)
    assert any("drains away freely" in line for line in found["cautions"])


def test_a_pot_and_a_bare_tree():
    pot = data("--crop", "lemon", "--canopy", "1m", "--pot", "100L", "--et0", "4mm", "--system", "bucket")
    assert pot["plan"]["store"]["litres"] == pytest.approx(20)
    bare = data("--crop", "peach", "--canopy", "3m", "--et0", "1mm", "--season", "leafless", "--system", "hose")
    # FAO-56 footnote 18: about 0.20 on bare ground.
    assert bare["plan"]["coefficient"]["low"] == pytest.approx(0.20)


def weather_file(folder, last):
    lines = ["DATE,LATITUDE,TMAX,TMIN,PRCP"]
    for back in range(399, -1, -1):
        day = last - timedelta(days=back)
        lines.append(f"{day},-34.2,{250 if back else 380},{-12 if back == 200 else 120},{130 if back == 2 else 0}")
    path = folder / "days.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return str(path)


def test_the_weather_file_answers_and_waters(tmp_path):
    found = data("--crop", "lemon", "--canopy", "2m", "--weather", weather_file(tmp_path, TODAY), "--gets", "10L")
    signs = {"recent_rain": "little", "soil_temperature": "warm", "water_balance": "too_little"}
    assert found["answers"] == signs
    assert [(event["what"], event["when"]) for event in found["events"]] == [
        ("frost", str(TODAY - timedelta(days=200))),
        ("heat", str(TODAY)),
    ]
    # 13 mm in a day: the first 2.54 mm do not count (Texas A&M), on 3.14 m2.
    assert found["plan"]["rain_l_per_week"] == pytest.approx((13 - 2.54) * 3.1416, rel=1e-3)
    status, out, _ = run("--weather", weather_file(tmp_path, TODAY))
    assert status == 0
    assert "1 frost night in the past year" in out and "Rain in the last 7 days: 13 mm" in out


def test_an_old_weather_file_is_not_used_for_now(tmp_path):
    old = weather_file(tmp_path, TODAY - timedelta(days=60))
    status, _, err = run("--crop", "lemon", "--canopy", "2m", "--weather", old)
    assert status == 2 and "too long before" in err


def test_guided_with_every_answer_given():
    replies = ["lemon", "1", "3", "3 m", "3", "1", "1", "2", "1", "3", "60", "4", "", "4 L/h", ""]
    status, out, err = run(typed="\n".join(replies) + "\n")
    assert status == 0, err
    assert "Too little water." in out
    assert "not sure" in out


def test_guided_with_not_sure_everywhere_says_what_is_needed():
    status, out, err = run(typed="\n" * 20)
    assert (status, err) == (0, "")
    assert "I cannot say yet how much it needs. Find out first:" in out
    assert "how wide the crown is" in out


def test_guided_not_sure_but_for_the_crown_and_the_warmth():
    replies = ["", "", "", "3 m", "", "", "", "", "2", "", ""]
    status, out, err = run(typed="\n".join(replies) + "\n")
    assert status == 0, err
    assert "Not known, so taken for granted" in out


def test_a_wrong_reply_is_asked_again_and_stop_stops():
    status, out, _ = run(typed="banana\nlemon\n7\n1\n\nnine\n3 m\nstop\n")
    assert status == 130
    assert "is not a tree this command knows" in out
    assert "type a number from 1 to 3" in out
    assert "is not a number" in out


def test_end_of_input_is_an_interruption():
    status, _, err = run(typed="lemon\n")
    assert status == 130 and "nothing was worked out" in err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--canopy", "0", "--et0", "5mm"), "more than zero"),
        (("--canopy=-3m", "--et0", "5mm"), "more than zero"),
        (("--canopy", "3 parsec", "--et0", "5mm"), "not a length"),
        (("--canopy", "wide", "--et0", "5mm"), "is not a number"),
        (("--canopy", "3m"), "how much water the air takes is not known"),
        (("--canopy", "3m", "--et0", "50mm"), "cannot be true"),
        (("--canopy", "3m", "--et0", "5mm", "--crop", "banana"), "is not a tree"),
        (("--canopy", "3m", "--tmin", "30C", "--tmax", "20C", "--latitude", "34N"), "above the highest"),
        (("--canopy", "3m", "--tmin", "10C", "--tmax", "99C", "--latitude", "34N"), "cannot be true"),
        (("--canopy", "3m", "--tmin", "10C", "--tmax", "20C", "--latitude", "134N"), "not on the map"),
        (("--canopy", "3m", "--et0", "5mm", "--water-ec", "900dS/m"), "saltier than the sea"),
        (("--canopy", "3m", "--et0", "5mm", "--water-ec", "12dS/m"), "too salty"),
        (("--canopy", "3m", "--et0", "5mm", "--efficiency", "850"), "at most 100 %"),
        (("--canopy", "3m", "--et0", "5mm", "--coefficient", "0"), "crop coefficient"),
        (("--canopy", "3m", "--et0", "5mm", "--emitters", "0", "--flow", "4L/h", "--minutes", "9", "--times", "3"),
         "one emitter"),
        (("--caught", "0", "0", "0"), "any water"),
        (("--caught", "a", "b"), "is not a number"),
        (("--weather", "nowhere.csv"), "cannot be read"),
        (("--canopy", "3m", "--et0", "5mm", "--pot", "0L"), "pot"),
        (("--format", "json"), "needs the options"),
    ],
)  # fmt: skip
def test_bad_input_is_a_plain_message(words, says):
    status, _, err = run(*words)
    assert status == 2
    assert says in err and "Traceback" not in err


@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_line_is_wider_than_the_terminal(width):
    out = io.StringIO()
    environment = Environment(
        stdin=io.StringIO(), stdout=out, stderr=io.StringIO(), today=TODAY, width=width, cache_folder=compiled_place()
    )
    main(("water", *LEMON, "--minutes", "60", "--times", "3", "--water-ec", "1dS/m", "--show-working"), environment)
    assert max(map(len, out.getvalue().splitlines())) <= width


def test_a_bare_tree_on_a_full_store_is_not_called_thirsty():
    words = ("--crop", "peach", "--canopy", "3m", "--et0", "1mm", "--season", "leafless", "--system", "hose")
    found = data(*words, "--gets", "0L", "--soil", "loam")
    assert found["finding"]["water_balance"] is None
    assert "No verdict on a single week" in run(*words, "--gets", "0L", "--soil", "loam")[1]


def test_guided_letters_are_those_of_a_look():
    status, out, _ = run(typed="lemon\n1\nb\n2\nb\n1\nn\n3 m\nstop\n")
    assert status == 130 and "w why do you ask; b back; s what" in " ".join(out.split())
    assert out.count("Where does it stand?") == 3


@pytest.fixture
def book(tmp_path):
    path = str(tmp_path / "book.sqlite")
    words = [
        ("add", "Tub", "--crop", "lemon", "--grown", "pot", "--pot", "57 cm", "--canopy", "1.2 m",
         "--hemisphere", "south"),
        ("add", "Pear", "--crop", "pear", "--grown", "lawn", "--soil", "heavy clay", "--canopy", "4 m",
         "--water", "drip line", "--emitters", "4 x 8 L/h", "--hemisphere", "south"),
    ]  # fmt: skip
    for line in words:
        out = io.StringIO()
        environment = Environment(
            stdin=io.StringIO(), stdout=out, stderr=out, today=TODAY, data_folder=tmp_path,
            cache_folder=compiled_place(),
        )  # fmt: skip
        assert main(("trees", *line, "--book", path), environment) == 0, out.getvalue()
    return path


def test_the_book_knows_the_pot_and_the_emitters(book):
    tub = data("--tree", "tub", "--book", book, "--et0", "4mm", "--gets", "20L")
    # By hand: pi / 4 x 0.57 squared x three quarters of 0.57 m = 0.109 m3, a fifth of it usable.
    assert tub["plan"]["store"]["litres"] == pytest.approx(109 / 5, rel=0.01)
    assert any("taken to hold about 110 L (29 gal)" in note for note in tub["plan"]["notes"])
    assert "nothing, or mulch" not in str(tub["not_known"])
    pear = data("--tree", "pear", "--book", book, "--et0", "4mm", "--minutes", "60", "--times", "2", "--season", "full")
    assert pear["finding"]["water_balance"] == "too_little"
    assert any("4 emitters" in line or "water held by clay" in line for line in pear["working"])


def test_the_book_saves_the_questions_about_tree_and_pot(book):
    _, out, _ = run("--tree", "tub", "--book", book, "--ask", typed="\n" * 20)
    for known in ("What kind of tree", "Where does it stand", "How wide is the pot", "How wide is the crown"):
        assert known not in out
    # What an option says goes before the book.
    wide = data("--tree", "tub", "--book", book, "--et0", "4mm", "--pot", "50L")
    assert wide["plan"]["store"]["litres"] == pytest.approx(10)


@pytest.mark.parametrize(("typed", "litres"), [("57 cm", 108.9), ("100 L", 100), ("26 gal", 98.4)])
def test_a_pot_may_be_told_by_width_or_by_what_it_holds(typed, litres):
    assert pot_size(typed, "both", "the pot")[0] == pytest.approx(litres, rel=0.01)


@pytest.mark.parametrize(("caught", "clogged"), [(("0", "60", "60", "60"), [1]), (("0", "0", "60"), [1, 2])])
def test_dead_emitters_are_told_of_and_the_need_is_still_reckoned(caught, clogged):
    found = data(*LEMON, "--caught", *caught)
    assert found["emitter_test"]["clogged"] == clogged
    assert found["plan"]["efficiency"]["low"] == 1.0
    running = len(caught) - len(clogged)
    assert found["emitter_test"]["mean_l_per_h"] == pytest.approx(3.6 * running / len(caught))
    assert "reckoned as if that were mended" in run(*LEMON, "--caught", *caught)[1].replace("\n  ", " ")


def test_emitters_told_of_without_a_system_are_a_drip_line():
    plain = data("--crop", "lemon", "--canopy", "3m", "--et0", "5mm", "--emitters", "4", "--flow", "4L/h")
    assert "usual efficiency of drip" in plain["plan"]["efficiency"]["what"]
    assert any("taken as a drip line" in words for words in plain["not_known"])


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [(0.05, 0.05, "3 minutes"), (0.62, 0.62, "35 minutes"), (1.91, 1.91, "2 hours"), (1.88, 3.3, "2 to 3.5 hours"),
     (14.6, 25.9, "15 to 26 hours")],
)  # fmt: skip
def test_running_times_are_as_a_timer_is_set(low, high, words):
    assert hours(low, high) == words


def test_the_working_lists_its_sources_by_number():
    out = " ".join(run(*LEMON, "--show-working")[1].split())
    assert "crop coefficient: 0.65 (second-hand) [1]" in out
    assert "Sources [1] FAO-56" in out and "fao56_t" not in out


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        (("2026-04-01,10,20,0",), "above the highest"),
        (("2026-04-01,99,20,0",), "cannot be true"),
        (("2026-04-01,25,10,-3",), "cannot be true"),
        (("2026-04-01,25,10,0", "2026-04-01,26,10,0"), "there twice with different figures"),
        (("soon,25,10,0",), "no date like"),
    ],
)
@pytest.mark.parametrize("command", ["water", "look"])
def test_a_bad_weather_file_is_told_plainly_by_both_commands(command, rows, says, tmp_path):
    path = tmp_path / "days.csv"
    path.write_text("date,tmax_c,tmin_c,rain_mm\n" + "\n".join(rows) + "\n", encoding="utf-8")
    out, err = io.StringIO(), io.StringIO()
    environment = Environment(
        stdin=io.StringIO(), stdout=out, stderr=err, today=TODAY, data_folder=tmp_path, cache_folder=compiled_place()
    )
    answers = tmp_path / "answers.json"
    answers.write_text(json.dumps({"tree": {"crop": "lemon"}}), encoding="utf-8")
    words = ("--answers", str(answers)) if command == "look" else ()
    assert main((command, *words, "--weather", str(path)), environment) == 2
    assert says in err.getvalue() and "days.csv" in err.getvalue()
    assert "Traceback" not in err.getvalue() and out.getvalue() == ""


def test_gaps_and_twins_of_a_weather_file_are_told_and_a_whole_record_says_nothing_of_them(tmp_path):
    path = tmp_path / "days.csv"
    days = [TODAY - timedelta(days=back) for back in range(400)]
    rows = [f"{day},25,10,0" for day in days if day != TODAY - timedelta(days=3)]
    path.write_text("date,tmax_c,tmin_c,rain_mm\n" + "\n".join([*rows, rows[-1]]) + "\n", encoding="utf-8")
    out = " ".join(run("--weather", str(path))[1].split())
    assert "(1 day of the last year without temperatures)" in out
    assert "1 day is missing from the record, in 1 gap;" in out and "1 line repeated a day" in out
    path.write_text("date,tmax_c,tmin_c,rain_mm\n" + "\n".join(f"{day},25,10,0" for day in days), encoding="utf-8")
    out = run("--weather", str(path))[1]
    assert "without temperatures" not in out and "missing" not in out
