"""Looks joined with the weather file, results of other commands and the tree book, as a person meets them."""

from __future__ import annotations

import io
import json
from datetime import date, timedelta
from pathlib import Path

import pytest
import yaml

from sallow.brought import Brought, with_brought
from sallow.cli import main
from sallow.environment import Environment
from sallow.looks import Event, Look
from sallow.status import ExitStatus

DAY = date(2026, 5, 20)
PALE_TIPS = {
    "date": str(DAY),
    "tree": {"crop": "lemon", "climate": "dry_summer", "hemisphere": "south", "grown_in": "ground"},
    "symptoms": [{"part": "leaf", "leaf_change": ["colour"], "leaf_age": "newest", "colour_pattern": "fine_net"}],
    "answers": {"looks_well": "fair", "soil_at_depth": "moist"},
}


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


class Desk:
    """Runs commands in one folder with one tree book; every run has its own day and typed input."""

    def __init__(self, folder: Path, cache: Path) -> None:
        self.folder, self.cache = folder, cache

    def run(self, *words: str, typed: str = "", today: date = DAY) -> tuple[int, str, str]:
        surroundings = Environment(
            stdin=io.StringIO(typed), stdout=io.StringIO(), stderr=io.StringIO(), today=today,
            data_folder=self.folder / "data", cache_folder=self.cache,
        )  # fmt: skip
        status = main(words, surroundings)
        return status, surroundings.stdout.getvalue(), surroundings.stderr.getvalue()

    def ok(self, *words: str, typed: str = "", today: date = DAY) -> str:
        status, out, err = self.run(*words, typed=typed, today=today)
        assert status == ExitStatus.OK, err
        return " ".join(out.split())

    def file(self, name: str, data: object) -> str:
        path = self.folder / name
        text = data if isinstance(data, str) else json.dumps(data) if name.endswith("json") else yaml.safe_dump(data)
        path.write_text(text, encoding="utf-8")
        return str(path)

    def weather(self, frost: date | None = None, heat: date | None = None, rain_mm: float = 0.0) -> str:
        """A year of daily weather to the day of the look: 8 to 22 °C but for one frost night and one hot day."""
        lines = ["date,tmax_c,tmin_c,rain_mm"]
        for back in range(364, -1, -1):
            day = DAY - timedelta(days=back)
            lines.append(f"{day},{39 if day == heat else 22},{-2 if day == frost else 8},{rain_mm}")
        return self.file("days.csv", "\n".join(lines) + "\n")


@pytest.fixture
def desk(tmp_path: Path, cache: Path) -> Desk:
    return Desk(tmp_path, cache)


# -- weather and results -------------------------------------------------------------------------------------------


def test_the_weather_answers_by_itself_and_says_so(desk: Desk) -> None:
    weather = desk.weather(frost=date(2026, 5, 11), rain_mm=5.0)
    out = desk.ok("look", "--answers", desk.file("a.yaml", PALE_TIPS), "--weather", weather)
    told = out[out.index("What you told") :]
    assert "When was the last frost that could reach the leaves? 11 May 2026 (from the weather file: " in told
    assert "How was the rain over the last month? Very wet for weeks (from the weather file: 150 mm" in told
    assert "Is the ground cold? Cool (from the weather file: the air averaged" in told
    # No day of the record reached 35 °C, so heat is longer ago; a person need not be asked.
    assert "last spell of extreme heat? Longer ago, or never (from the weather file, which has none)" in told


def test_the_weather_never_overrules_the_person(desk: Desk) -> None:
    said = {
        **PALE_TIPS,
        "events": [{"what": "frost", "within": "never"}],
        "answers": {"recent_rain": "little", "soil_temperature": "not_sure"},
    }
    weather = desk.weather(frost=date(2026, 5, 11), rain_mm=5.0)
    out = desk.ok("look", "--answers", desk.file("a.yaml", said), "--weather", weather, "--format", "json")
    look = json.loads(out)["look"]
    assert look["events"][0] == {"what": "frost", "within": "never"}
    assert look["answers"]["recent_rain"] == "little" and "recent_rain" not in look["origins"]
    # 'Not sure' says nothing, so the file may.
    assert look["answers"]["soil_temperature"] == "cool" and "soil_temperature" in look["origins"]


def test_weather_is_taken_on_the_day_of_the_look(desk: Desk) -> None:
    earlier = {**PALE_TIPS, "date": "2026-02-01"}
    weather = desk.weather(frost=date(2026, 5, 11), heat=date(2026, 1, 28))
    look = json.loads(
        desk.ok("look", "--answers", desk.file("a.yaml", earlier), "--weather", weather, "--format", "json")
    )["look"]
    assert {event["what"]: event.get("when") for event in look["events"]} == {"frost": None, "heat": "2026-01-28"}


def test_a_changed_answer_loses_its_origin() -> None:
    brought = Brought({"recent_rain": "wet"}, (Event("frost", DAY),), {"recent_rain": "file", "event.frost": "file"})
    look = with_brought(Look(date=DAY), brought)
    assert set(look.origins) == {"recent_rain", "event.frost"}
    assert look.with_answer(None, "recent_rain", "little").with_event(None, "frost").origins == {}


def test_a_guided_look_does_not_ask_what_the_weather_told(desk: Desk) -> None:
    weather = desk.weather(frost=date(2026, 5, 11))
    typed = "lemon\nn\n1\nn\n2\n\n1\n1\n8\nf\n\n\n"
    status, out, err = desk.run("look", "--plain", "--weather", weather, typed=typed)
    assert (status, err) == (ExitStatus.OK, "")
    assert "last frost that could reach the leaves? 11 May 2026" in " ".join(out.split())


def test_laboratory_and_water_results_go_into_a_look(desk: Desk) -> None:
    lab, water = str(desk.folder / "lab.json"), str(desk.folder / "water.json")
    desk.ok("lab", "leaf", "--crop", "lemon", "--values", "N=2.1%", "Zn=15ppm", "--save-answers", lab)
    desk.ok(
        "water", "--crop", "lemon", "--canopy", "3m", "--et0", "5mm", "--gets", "10L",
        "--caught", "60", "61", "12", "60", "--save-answers", water,
    )  # fmt: skip
    out = desk.ok("look", "--answers", desk.file("a.yaml", PALE_TIPS), "--with", lab, "--with", water)
    assert "Leaf analysis: nitrogen Low (from the leaf report of the laboratory)" in out
    assert "Too little (from the water reckoning: about" in out
    assert "One or more give little or nothing (from the emitter test: uniformity" in out


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[1]", "expected the results of 'sallow lab' or 'sallow water'"),
        ("{nothing", "this is not JSON"),
        ('{"answers": {"no_such_sign": "x"}}', "no result in it that a look could use"),
        ('{"answers": 3}', "'answers' should hold names with their values"),
    ],
)
def test_results_that_cannot_be_used_are_refused(desk: Desk, text: str, expected: str) -> None:
    status, out, err = desk.run(
        "look", "--answers", desk.file("a.yaml", PALE_TIPS), "--with", desk.file("r.json", text)
    )
    assert (status, out) == (ExitStatus.BAD_INPUT, "")
    assert expected in err


def test_every_sign_that_lab_can_give_is_a_sign_of_the_look(desk: Desk) -> None:
    values = [
        "N=2.1%", "P=0.3%", "K=1%", "Mg=0.4%", "Ca=4%", "Zn=15ppm", "Mn=50ppm", "Fe=80ppm", "Cu=40ppm", "B=300ppm",
        "Cl=1.5%", "Na=0.6%", "S=0.3%", "Mo=1ppm",
    ]  # fmt: skip
    lab = str(desk.folder / "lab.json")
    desk.ok("lab", "leaf", "--crop", "lemon", "--table", "florida", "--values", *values, "--save-answers", lab)
    status, _, err = desk.run("look", "--answers", desk.file("a.yaml", PALE_TIPS), "--with", lab)
    assert status == ExitStatus.OK and "left out" not in err


# -- the tree book -------------------------------------------------------------------------------------------------


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
    assert "seen leaves: the colour is wrong, at the tip, pale or yellow with a fine net of green veins" in story
    assert "thought" in story and "look again:" in story and "leaf.jpg" in story


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
    status, out, err = desk.run("look", "--plain", "--tree", "wall", typed="\n2\nf\n\n\n", today=later)
    assert status == ExitStatus.OK and "Kept in the tree book: Wall lemon" in err
    text = " ".join(out.split())
    assert "Last look on 20 May 2026" in text and "Done since, by the notes: fed." in text
    assert text.index("After a light feed") < text.index("What seems to be going on")
    assert "still standing after a day (from the tree book)" in text.lower()
    assert "no better, no worse" in desk.ok("trees", "show", "wall", today=later)


def test_waiting_is_asked_about_when_nothing_was_done(desk: Desk) -> None:
    with_trees(desk)
    desk.ok("look", "--answers", desk.file("a.yaml", SHORT), "--tree", "wall")
    out = desk.ok("look", "--plain", "--tree", "wall", typed="\n1\nf\n\n\n", today=date(2026, 6, 20))
    assert out.index("Some weeks later, when it is warm: how are the leaves?") < out.index("What seems to be going on")
    assert "better than at the last look" in desk.ok("trees", "show", "wall", today=date(2026, 6, 20))


def test_without_a_tree_a_guided_look_can_be_kept_under_a_name(desk: Desk) -> None:
    typed = "lemon\n4\n1\n1\n2\n\n2\n\n1\n1\n8\nf\nCorner lemon\n\n"
    status, out, err = desk.run("look", "--plain", typed=typed)
    assert status == ExitStatus.OK, err
    assert "Keep this look in your tree book?" in out
    assert "Corner lemon: lemon" in desk.ok("trees", "list")
    declined = desk.run("look", "--plain", typed="lemon\nf\n\n\n")
    assert declined[0] == ExitStatus.OK and "Kept" not in declined[2]


def test_end_of_input_declines_every_offer(desk: Desk) -> None:
    status, out, err = desk.run("look", "--plain", typed="lemon\nf\n")
    assert (status, err) == (ExitStatus.OK, "")
    assert not (desk.folder / "data" / "book.sqlite").exists()
    assert out.count("Keep this look in your tree book?") == 1


def test_an_interrupted_look_at_a_tree_is_taken_up_for_that_tree(desk: Desk) -> None:
    with_trees(desk)
    status, _, _ = desk.run("look", "--plain", "--tree", "wall", typed="\n")
    assert status == ExitStatus.INTERRUPTED
    status, _, err = desk.run("look", "--plain", "--resume", typed="f\n\n")
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


# -- amounts -------------------------------------------------------------------------------------------------------


def test_amounts_that_lack_a_size_are_asked_for_and_told_again(desk: Desk) -> None:
    """The answers file lacks the canopy; typed in, the step tells the water for this tree."""
    from sallow.answers import look_from
    from sallow.commands.look_amounts import lacking, offer_amounts
    from sallow.diagnosis import diagnose
    from sallow.knowledge.access import open_knowledge

    surroundings = Environment(
        stdin=io.StringIO("y\n3 elephants\n3 m\n"), stdout=io.StringIO(), stderr=io.StringIO(), today=DAY,
        cache_folder=desk.cache,
    )  # fmt: skip
    knowledge = open_knowledge(surroundings)
    thirsty = {
        **PALE_TIPS,
        "symptoms": [{"part": "leaf", "leaf_change": ["limp"], "leaf_age": "all", "wilt_recovery": "stays"}],
        "answers": {"soil_at_depth": "dry", "watering_every": "rarely", "soil_texture": "loam"},
        "events": [{"what": "watering_failed", "within": "3 weeks"}],
    }
    look = look_from(thirsty, "thirsty", knowledge, DAY)
    diagnosis = diagnose(knowledge, look)
    assert "canopy_diameter_m" in lacking(diagnosis, look)
    filled = offer_amounts(knowledge, look, diagnosis, surroundings)
    assert filled.tree["canopy_diameter_m"] == 3.0
    out = " ".join(surroundings.stdout.getvalue().split())
    # FAO-56 Table 2, dry-summer garden, mild days: 4 to 7 mm a day; citrus coefficient and losses on 7.1 m2.
    assert "'3 elephants'" in out and "Usually" in out and "a week at this season" in out
    assert "canopy_diameter_m" not in lacking(diagnose(knowledge, filled), filled)


def test_the_usual_week_of_water_is_reckoned_as_published() -> None:
    """By hand from FAO-56 Table 2 (desert, hot: 6 to 8 mm) and its olive coefficients, on a canopy of 2 m."""
    from sallow.care.water_usual import usual_week
    from sallow.knowledge.locate import shipped_folder
    from sallow.knowledge.tables import load_tables

    tables = load_tables(shipped_folder("knowledge"))
    place = {"climate": "desert", "hemisphere": "south"}
    known = {"crop": "olive", "canopy_diameter_m": 2.0, "date": date(2026, 1, 9), **place}
    week = usual_week(known, tables)
    coefficient = tables["crop_coefficients"].where(crop="olive")[0].number("full")
    assert week is not None and week.season == "summer"
    assert week.low_l == pytest.approx(6 * 7 * coefficient * 3.14159 / 0.9, rel=1e-4)
    assert week.high_l == pytest.approx(8 * 7 * coefficient * 3.14159 / 0.9, rel=1e-4)
    assert usual_week({**known, "climate": "nowhere"}, tables) is None
