"""The command as a person meets it: a year with the book, exact screens, questions at a terminal."""

import io
import os
import re
import sys
from datetime import date
from pathlib import Path

import pytest
from tests.support.compiled import compiled_place

import sallow
from sallow.cli import main
from sallow.environment import Environment
from sallow.status import ExitStatus
from sallow.trees import ledger, shelf
from sallow.trees.book import open_book
from sallow.trees.model import Look, PendingCheck

TODAY = date(2026, 5, 6)


class Desk:
    """One person's book in a folder, and a way to type commands at it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def type(self, line: str, *, width: int = 80, unicode: bool = True, keys: str = "", today: date = TODAY) -> str:
        """The output of a command that must succeed."""
        status, out, err = self.run(line, width=width, unicode=unicode, keys=keys, today=today)
        assert (status, err) == (ExitStatus.OK, ""), err
        return out

    def refused(self, line: str) -> str:
        """The complaint of a command that must be refused."""
        status, _, err = self.run(line)
        assert status == ExitStatus.BAD_INPUT
        assert err.startswith("sallow: ")
        return err

    def run(
        self, line: str, width: int = 80, unicode: bool = True, keys: str = "", today: date = TODAY
    ) -> tuple[int, str, str]:
        out, err = io.StringIO(), io.StringIO()
        environment = Environment(
            stdin=io.StringIO(keys), stdout=out, stderr=err, today=today, width=width, unicode=unicode,
            terminal=bool(keys), data_folder=self.folder, cache_folder=compiled_place(),
        )  # fmt: skip
        words = [part.strip('"') for part in re.findall(r'"[^"]*"|\S+', line)]
        return main(["trees", *words], environment), out.getvalue(), err.getvalue()


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


@pytest.fixture
def garden(desk: Desk) -> Desk:
    desk.type('add "Barrel lemon" --crop lemon --sort Eureka --grown pot --planted 2019 --climate dry_summer '
              '--hemisphere south --canopy "5 ft" --emitters "2 x 4 L/h" --water drip')  # fmt: skip
    desk.type('add "Young avocado" --crop avo --grown ground --soil "heavy clay" --planted "3 years ago"')
    desk.type('add "Path mandarin" --crop tangerines --grown ground --planted "last spring"')
    return desk


def test_the_list_of_an_autumn_garden(garden: Desk) -> None:
    garden.type('note all wind "salt gale from the sea" last night')
    garden.type("note lemon fed 200 g blood meal today")
    told = garden.type("list")
    assert told[told.index("book.sqlite\n") :].splitlines()[1:] == [
        "",
        "Barrel lemon: lemon 'Eureka', in a pot, planted 2019",
        "    last note, today: fed 200 g of blood meal",
        "",
        "Path mandarin: mandarin, in the ground, planted 2025-10",
        "    last note, yesterday: strong wind: salt gale from the sea",
        "",
        "Young avocado: avocado, in the ground, planted 2023",
        "    last note, yesterday: strong wind: salt gale from the sea",
    ]


def test_the_page_of_one_tree(garden: Desk) -> None:
    garden.type("note lemon measured shoot growth 22 cm 1 dec 2023")
    garden.type("note lemon measured shoot growth 12 in 1 dec 2025")
    garden.type('note "Barrel lemon" harvest 8 kg --on "2 weeks ago"')
    assert garden.type("show barrel", unicode=False).splitlines() == [
        "Barrel lemon",
        "  lemon 'Eureka', in a pot, planted 2019",
        "  canopy 1.52 m (5 ft) across, water: drip, 2 emitters of 4 L (1.1 gal) an hour",
        "  mild winters and dry summers, southern half of the world",
        "",
        "  1 Dec 2023        measured    shoot growth 22 cm",
        "  1 Dec 2025        measured    shoot growth 30.48 cm",
        "  about 22 Apr 2026 harvest     picked 8 kg",
        "",
        "Shoot growth in a season, cm",
        "   50 |",
        "   40 |",
        "   30 |                              .............................o",
        "   20 |o.............................",
        "   10 |",
        "    0 |",
        "      +------------------------------------------------------------",
        "       2023                                                    2025",
        "",
        "Next for this tree",
        "  Frost cover ready (now, until 30 Jun)",
    ]


@pytest.mark.parametrize("width", [40, 60, 80, 100])
def test_no_screen_is_wider_than_the_terminal(garden: Desk, width: int) -> None:
    garden.type('note all frost last night --where "on the north side, where the wall ends and the wind comes in"')
    garden.type("note lemon measured colour 3 2 years ago")
    garden.type("note lemon measured colour 4")
    for line in (
        "list",
        "show lemon",
        "round --ahead 400",
        "undo --list",
        "note lemon fed 2 kg of a long-named compost",
    ):
        for shown in garden.type(line, width=width).splitlines():
            assert len(shown) <= width or str(garden.folder) in shown, shown


def test_every_line_of_every_verb_fits_eighty_columns(garden: Desk) -> None:
    """But for a path, which stays in one piece so that it can be copied."""
    long, folder = "The old lemon with two stems behind the shed by the gate", garden.folder
    lines = f"""
        add "{long}" --crop lemon --canopy "0.8 m" --soil "heavy clay in the upper foot and gravel below that"
        edit "{long}" --sort "a sort with a long name from the market beside the harbour"
        edit "{long}" --sort "a sort with a long name from the market beside the harbour"
        note "{long}" soil smells of bad eggs
        note "{long}" tested feeder_roots: odd
        note "{long}" tested x: y
        note "{long}" fed 200 g of a compost with a name that is as long as the bag
        note lemon photo leaf.jpg
        list
        show "{long}"
        show lemon --save {folder / "story.html"}
        round --ahead 400 --all
        round
        round --done mulch
        round --ics {folder / "round.ics"}
        export {folder / "all.json"}
        import {folder / "all.json"}
        --book {folder / "other.sqlite"} import {folder / "all.json"}
        undo --list
        undo
        remove "{long}"
        show "Young avocado" --all
    """.strip().splitlines()
    with open_book(folder / "book.sqlite") as book:
        smell = PendingCheck("soil_smell_look", "Smell the soil and look at its colour")
        look = Look(TODAY, seen=("pale",) * 30, checks=(smell,), look_again=TODAY)
        ledger.keep_look(book, trees=[shelf.find_tree(book, "Barrel lemon").uid], look=look)
    for line in lines:
        status, out, err = garden.run(line.replace("note lemon", "note barrel").replace("show lemon", "show barrel"))
        assert status == ExitStatus.OK, (line, err)
        for shown in out.splitlines():
            assert len(shown) <= 80 or str(folder) in shown, (line, shown)
    keys = f"{long}\n{long} and a name that no book can take in\nTub\nfigg\nfig\n9\nsoon\nf\n"
    asked = garden.run("add", keys=keys)[1]
    assert max(len(shown) for shown in asked.replace("> ", "\n").splitlines() if str(folder) not in shown) <= 80


def test_a_place_is_taken_over_from_the_other_trees_and_said(garden: Desk) -> None:
    told = garden.type("add Fig --crop fig")
    assert "mild winters and dry summers, southern half of the world" in told and "place taken from" in told
    told = garden.type("add Apple --crop apple --hemisphere north")
    assert "northern" in told and "place taken" not in told
    assert "half of the world" not in garden.type("add Pear --crop pear"), "two places: none is taken over"


def test_edit_clears_and_changes(garden: Desk) -> None:
    told = garden.type('edit avocado --soil "" --name "Hass" --trunk "20 cm around" --latitude -34')
    assert told.splitlines() == [
        "Hass now reads:",
        "  avocado, in the ground, planted 2023",
        "  trunk 6.37 cm (2.5 in) thick",
        "  mild winters and dry summers, southern half of the world, latitude 34 south",
    ]
    assert "read so already" in garden.type("edit hass --latitude -34")
    assert "Did you mean" in garden.refused("edit hass --crop mandarine_")
    assert "what to change" in garden.refused("edit hass")


def test_remove_and_undo_by_number(garden: Desk) -> None:
    told = garden.type("remove mandarin")
    number = re.search(r"undo (\d+)", told)
    assert number and "Path mandarin" not in garden.type("list")
    garden.type("note lemon pruned")
    garden.type(f"undo {number[1]}")
    assert "Path mandarin" in garden.type("list")
    assert "(taken back by 6)" in garden.type("undo --list")


def test_a_photo_belongs_to_the_last_look(garden: Desk) -> None:
    assert "no look in the book yet" in garden.refused("note lemon photo leaf.jpg")
    with open_book(garden.folder / "book.sqlite") as book:
        ledger.keep_look(book, trees=[shelf.find_tree(book, "lemon").uid], look=Look(TODAY, seen=("pale",)))
    assert "no such file now" in " ".join(garden.type("note lemon photo leaf.jpg").split())
    assert "leaf.jpg" in garden.type("show lemon")


def test_the_round_and_its_ticks(garden: Desk) -> None:
    garden.type("add Peach --crop peach --hemisphere north --climate cool_humid --grown lawn")
    told = garden.type("round")
    assert "1. Pull mulch off the trunk (now, until 31 May)\n   at: Path mandarin, Young avocado" in told
    assert 'round --done "pull mulch off the trunk"' in told and "mulch_autumn" not in told
    assert "fits several" in garden.refused("round --ahead 400 --done the")
    told = garden.type("round --done mulch --trees avocado")
    assert "Young avocado" in told and "mandarin" not in told
    assert "at: Path mandarin\n" in garden.type("round")
    assert "not due at avocado" in " ".join(garden.refused("round --done mulch_autumn --trees avocado").split())
    assert "What is due" in garden.refused("round --done nonsense")
    assert "days from 0" in garden.refused("round --ahead -1")


def test_the_round_names_trees_it_cannot_date(desk: Desk) -> None:
    desk.type("add Fig --crop fig")
    told = " ".join(desk.type("round").split())
    assert "Nothing is due" in told and 'edit "Fig" --hemisphere' in told


def test_the_calendar_and_the_exports_say_what_they_wrote(garden: Desk) -> None:
    target = garden.folder / "round.ics"
    assert re.match(r"\d+ dates for the coming year", garden.type(f"round --ics {target}"))
    assert target.read_bytes().startswith(b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n")
    assert "cannot be written" in garden.refused("round --ics /proc/none/round.ics")
    assert "3 trees" in garden.type(f"export {garden.folder / 'all.json'}")
    assert "Taken in: 3 trees" in garden.type(
        f"--book {garden.folder / 'new.sqlite'} import {garden.folder / 'all.json'}"
    )
    assert "were in the book already" in garden.type(f"import {garden.folder / 'all.json'}")
    assert "the export to /proc/none/x.json failed" in " ".join(garden.refused("export /proc/none/x.json").split())


def test_book_may_stand_before_or_after_the_verb(desk: Desk, tmp_path: Path) -> None:
    path = tmp_path / "other" / "my book.sqlite"
    desk.type(f'add Fig --crop fig --book "{path}"')
    assert "Fig: fig" in desk.type(f'--book "{path}" list')
    assert "still empty" in desk.type("list")


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("add Fig", "needs a name and a crop"),
        ("add Fig --crop lemmon", "Did you mean lemon"),
        ("add Fig --crop fig --planted soonish", "3 weeks ago"),
        ("add Fig --crop fig --canopy wide", "expected a length"),
        ("add Fig --crop fig --emitters many", "expected how many"),
        ("add Fig --crop fig --latitude x", "not a number"),
        ("add Fig --crop fig --climate wet", "dry_summer (mild winters and dry summers); desert ("),
        ("note fig fed", "no tree in the book is called 'fig'"),
        ('note lemon fed --on "next week"', "not a date"),
        ("note lemon measured colour 9", "leaf colour score"),
        ("undo 99", "not in this book"),
        (f"undo {10**30}", "not in this book"),
        ("show \udcff", "control character"),
        ("note lemon text \udcff", "control character"),
        (f"note lemon fed {'9' * 400} g urea", "expected a number"),
    ],
)
def test_what_cannot_be_taken_in_is_told_plainly(garden: Desk, line: str, told: str) -> None:
    assert told in garden.refused(line)


def test_questions_are_asked_of_a_person_at_the_keys(desk: Desk) -> None:
    keys = ["", "Fig", "figgs", "figs", "", "soonish", "2020", "9", "1", "3", "9", "hose", "x", "6 ft", "2", "2", "1"]
    told = desk.type("add", keys="\n".join([*keys, "", ""]))
    assert told.count("What do you call it") == 2 and "Did you mean" in told
    assert told.rstrip().splitlines()[-3:] == [
        "  fig, in the ground, planted 2020",
        "  canopy 1.83 m (6 ft) across, soil: heavy clay, water: hose",
        "  southern half of the world",
    ]
    status, _, err = desk.run("add", keys="Apple\n")
    assert status == ExitStatus.INTERRUPTED and "nothing was written" in err
    assert "Apple" not in desk.type("list")


def test_without_a_verb_the_trees_are_listed_and_a_reason_does_not_hide_the_question(desk: Desk) -> None:
    desk.type("add Fig --crop fig --hemisphere south", keys="f\n")
    assert desk.type("") == desk.type("list")
    told = desk.type("add Pear", keys="pear\nn\nw\nf\n")
    assert told.count("Planted when?") == 2
    told = desk.type("add Quince", keys="apple\nn\nc\n\nf\n")
    assert "What does it bear? Lemon, avocado, apple ... Your answer: apple" in told


def test_a_name_in_use_is_told_at_the_first_question_and_nothing_typed_is_lost(desk: Desk) -> None:
    desk.type("add Lemon --crop lemon --hemisphere south")
    told = desk.type("add", keys="lemon\nlemon 2\nlemon\nf\n")
    assert "called 'Lemon' in the book. Choose another name, such as 'Lemon 2'." in " ".join(told.split())
    assert told.index("already a tree") < told.index("What does it bear") and "Added lemon 2" in told
    told = " ".join(desk.type("add lemon", keys="Tub\nlemon\nf\n").split())
    assert told.index("such as 'Lemon 3'") < told.index("What do you call it") and "Added Tub" in told
    assert "such as 'Lemon 3'" in " ".join(desk.refused("add LEMON --crop fig").split())
    assert "cannot be a tree's name" in desk.type("add", keys="all\nOld fig\nfig\nf\n")


def test_a_width_is_asked_for_with_its_unit(desk: Desk) -> None:
    told = desk.type("add Fig --crop fig --hemisphere south", keys="f\n")
    told = desk.type("add Pear", keys="pear\nn\nn\n1\nn\nn\n0.8\n0.8 m\nf\n")
    assert "without a unit: 0.8 m or 0.8 ft?" in " ".join(told.split()) and "canopy 0.8 m (3 ft) across" in told


def test_a_step_back_puts_the_question_again(desk: Desk) -> None:
    keys = ["b", "Fig", "fig", "b", "apple", "n", "n", "1", "b", "2", "50 cm", "rain", "f"]
    told = desk.type("add", keys="\n".join(keys) + "\n")
    assert "w why do you ask; b back; c change an earlier answer" in " ".join(told.split())
    assert "first question" in told and told.count("What does it bear") == 2 and told.count("Where does it grow?") == 2
    assert "  apple, in a pot 50 cm (20 in) wide\n  water: rain" in told


def piped(folder: Path, words: list[str], typed: str) -> tuple[int, str, str]:
    environment = Environment(
        stdin=io.StringIO(typed), stdout=io.StringIO(), stderr=io.StringIO(), today=TODAY, data_folder=folder,
        cache_folder=compiled_place(),
    )
    status = main(["trees", *words], environment)
    return status, environment.stdout.getvalue(), environment.stderr.getvalue()


def test_lines_from_a_pipe_answer_the_same_questions(tmp_path: Path) -> None:
    status, out, err = piped(tmp_path, ["add", "Old fig"], "fig\nn\n2019\n2\n20 in\nrain\nn\n2\nf\n")
    assert (status, err) == (ExitStatus.OK, "")
    assert "  fig, in a pot 51 cm (20 in) wide, planted 2019" in out and "southern half of the world" in out
    status, _, err = piped(tmp_path, ["add", "Old pear"], "")
    assert status == ExitStatus.BAD_INPUT
    assert 'Type for example: sallow trees add "Old pear" --crop lemon' in " ".join(err.split())


def test_the_half_of_the_world_is_asked_once(desk: Desk) -> None:
    asked = desk.type("add Fig --crop fig", keys="2\n")
    assert asked.count("half of the world does it stand") == 1 and "southern half" in asked
    taken_over = desk.type("add Pear --crop pear", keys="unused\n")
    assert "does it stand" not in taken_over and "southern half" in taken_over
    assert "left out" not in desk.type("round")


def test_without_a_person_the_half_of_the_world_is_told_how_to_set(desk: Desk) -> None:
    added = " ".join(desk.type("add Fig --crop fig").split())
    assert 'sallow trees edit "Fig" --hemisphere south (or north)' in added


def test_the_list_says_what_and_where(desk: Desk) -> None:
    desk.type("add Tub --crop lemon --grown pot --hemisphere south")
    desk.type("add Old --crop fig")
    told = desk.type("list")
    assert "Tub: lemon, in a pot" in told and "Old: fig, pot or ground not noted" in told


def terminal_variables(folder: Path) -> dict[str, str]:
    source = str(Path(sallow.__file__).parent.parent)
    return {**os.environ, "TERM": "xterm", "SALLOW_DATA": str(folder), "PYTHONPATH": source}


def test_the_questions_work_in_a_real_terminal(tmp_path: Path) -> None:
    pexpect = pytest.importorskip("pexpect")
    child = pexpect.spawn(
        sys.executable, ["-m", "sallow", "trees", "add"], encoding="utf-8", dimensions=(24, 60), timeout=20,
        env=terminal_variables(tmp_path),
    )  # fmt: skip
    for question, answer in [
        ("call it", "Fig"), ("bear", "fig"), ("sort", ""), ("Planted", ""), ("grow\\?", "2"),
        ("the pot", ""), ("water", ""), ("wide", ""),
        ("which half", "1"), ("10\\. .*> ", "2"), ("11\\. .*> ", "1"), ("12\\. .*> ", "1"),
    ]:  # fmt: skip
        child.expect(question)
        child.sendline(answer)
    child.expect("mild winters and dry summers, northern half")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == ExitStatus.OK
    again = pexpect.spawn(
        sys.executable, ["-m", "sallow", "trees", "add"], encoding="utf-8", timeout=20,
        env=terminal_variables(tmp_path),
    )  # fmt: skip
    again.expect("call it")
    again.sendintr()
    again.expect("Stopped")
    again.expect(pexpect.EOF)
    again.close()
    assert again.exitstatus == ExitStatus.INTERRUPTED
