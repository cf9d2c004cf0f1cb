"""The field sheet: made from the knowledge, and taken in from one typed line as the look it tells."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.support.sheet_marks import find, mark
from tests.support.sheet_marks import known as _loaded

from sallow.cli import main
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.knowledge.model import Answer, Knowledge
from sallow.knowledge.sheet import build_stations
from sallow.knowledge.yaml_reader import read_yaml
from sallow.looks import NONE_LOOKED, NOT_SURE, Look
from sallow.render.sheet_page import sheet_lines, sheet_page
from sallow.sheet_code import letter, make_sheet
from sallow.sheet_reading import look_from_code

Surroundings = Callable[..., Environment]
TODAY = date(2026, 5, 20)


@pytest.fixture(autouse=True)
def _share(knowledge: Knowledge) -> None:
    _loaded[:] = [knowledge]


def read(code: str, crop: str = "lemon") -> Look:
    """The look of a typed sheet."""
    return look_from_code(code, _loaded[0], crop, TODAY)


# -- the sheet -------------------------------------------------------------------------------------------------------


def test_questions_are_numbered_in_walking_order_without_a_gap(knowledge: Knowledge) -> None:
    sheet = make_sheet(knowledge, "lemon")
    assert list(sheet.items()) == list(range(1, len(sheet.items()) + 1))
    names = [stop.name for stop in sheet.stops]
    order = [
        "From afar",
        "The crown",
        "A twig",
        "The leaf, upper face",
        "The leaf, underside",
        "The trunk",
        "The ground",
    ]
    assert [name for name in names if name in order] == order
    assert names.index("Water") < names.index("How it came")


@pytest.mark.parametrize("crop", ["", "lemon", "peach", "apple", "fig", "avocado"])
def test_every_sign_that_each_look_asks_is_on_the_sheet(crop: str, knowledge: Knowledge) -> None:
    on_sheet = {item.key.id for item in make_sheet(knowledge, crop).items().values()}
    wanted = {sign.id for sign in knowledge.signs.values() if sign.core or sign.opening}
    assert wanted <= on_sheet
    keys = [item.key for item in make_sheet(knowledge, crop).items().values()]
    assert len(set(keys)) == len(keys)


def test_a_question_for_other_trees_is_left_out(knowledge: Knowledge) -> None:
    def ids(crop: str) -> set[str]:
        return {item.key.id for item in make_sheet(knowledge, crop).items().values()}

    assert "junipers_near" in ids("apple") and "junipers_near" not in ids("lemon")
    assert "junipers_near" in ids("") and "" in {i.key.id for i in make_sheet(knowledge).items().values()}


def test_the_full_sheet_has_every_sign_a_person_can_look_for(knowledge: Knowledge) -> None:
    on_sheet = {item.key.id for item in make_sheet(knowledge, "", full=True).items().values()}
    missing = [s.id for s in knowledge.signs.values() if s.effort <= 5 and not s.result_of and s.id not in on_sheet]
    assert missing == []


def test_a_new_answer_appears_on_the_sheet_and_changes_its_mark(knowledge: Knowledge) -> None:
    sign = knowledge.signs["leaf_feel"]
    changed = replace(sign, answers={**sign.answers, "waxy": Answer("waxy", "waxy", 0.0)})
    other = replace(knowledge, signs={**knowledge.signs, "leaf_feel": changed}, stored=None)
    old, new = make_sheet(knowledge, "lemon"), make_sheet(other, "lemon")
    item = next(item for item in new.items().values() if item.key.id == "leaf_feel")
    assert item.options[-1][1:] == ("waxy", "waxy")
    assert old.mark != new.mark


def test_letters_go_on_after_z() -> None:
    assert [letter(n) for n in (0, 25, 26, 27)] == ["a", "z", "aa", "ab"]


def test_a_station_with_an_unknown_sign_is_complained_of(knowledge: Knowledge) -> None:
    document = read_yaml("stations:\n  - {station: leaf, name: The leaf, signs: [colour_patern]}\n", "sheet.yaml")
    build_stations([document], knowledge.signs, knowledge.events)
    assert [(c.line, c.code, c.suggestion) for c in document.complaints] == [(2, "unknown-sign", "colour_pattern")]


def test_the_appendix_comes_last_and_short_leaves_it_out_without_other_numbers(
    knowledge: Knowledge, surroundings: Surroundings
) -> None:
    sheet = make_sheet(knowledge, "lemon")
    flags = [stop.appendix for stop in sheet.stops]
    assert flags == sorted(flags) and True in flags
    main_part = {item.key.id for stop in sheet.stops if not stop.appendix for item in stop.items}
    assert {sign.id for sign in knowledge.signs.values() if sign.core or sign.opening} <= main_part
    events = [item.key.id for item in sheet.items().values() if item.key.kind == "event"]
    assert sorted(events) == sorted(knowledge.events)
    full, short = (run(["sheet", "--crop", "lemon", *more], surroundings())[1] for more in ((), ("--short",)))
    assert full.startswith(short[: short.index("My code")]) and sheet.mark in short
    assert "Appendix" in full and "Appendix" not in short


# -- the code --------------------------------------------------------------------------------------------------------


def test_a_whole_line_becomes_the_look_it_tells(knowledge: Knowledge) -> None:
    sheet = make_sheet(knowledge, "lemon")
    words = [
        sheet.mark,
        mark("grown_in", "pot"),
        mark("winters", "mild"),
        mark("hemisphere", "south"),
        f"{find('intention').number}" + next(m for m, a, _ in find("intention").options if a == "iron"),
        f"{find('age_years').number}=6",
        f"{find('date').number}=2026-05-18",
        mark("leaf_change", "colour", "spots"),
        mark("leaf_age", "newest"),
        mark("colour_pattern", "fine_net"),
        mark("on_leaf", NONE_LOOKED),
        mark("crown_place", "whole"),
        mark("soil_at_depth", "wet"),
        f"{find('root_flare').number}?",
        mark("fed", "w1"),
    ]
    look = read(" ".join(words), crop="")
    assert look.date == date(2026, 5, 18)
    assert look.tree == {"crop": "lemon", "grown_in": "pot", "winters": "mild", "hemisphere": "south"}
    assert look.about_to == "iron"
    assert look.answers == {"age_years": 6.0, "soil_at_depth": "wet", "root_flare": NOT_SURE}
    assert [dict(symptom) for symptom in look.symptoms] == [
        {
            "part": "leaf",
            "leaf_change": ("colour", "spots"),
            "leaf_age": "newest",
            "colour_pattern": "fine_net",
            "on_leaf": NONE_LOOKED,
            "crown_place": "whole",
        }
    ]
    assert [(event.what, event.within) for event in look.events] == [("fed", "2 months")]
    assert look.no_more_symptoms


def test_a_box_that_another_answer_implies_counts_as_ticked() -> None:
    alone = read(mark("colour_pattern", "mottle"))
    assert alone.symptoms[0]["leaf_change"] == {"colour": "yes"}
    beside = read(f"{mark('leaf_change', 'holes')} {mark('dead_areas', 'tips')}")
    assert beside.symptoms[0]["leaf_change"] == ("holes", "dead")
    sound = read(f"{mark('leaf_change', 'holes')} {mark('colour_pattern', 'normal')}")
    assert sound.symptoms[0]["leaf_change"] == ("holes",)


def test_each_part_of_the_tree_becomes_an_odd_thing_of_its_own() -> None:
    bark = mark("bark_change", find("bark_change").options[0][1])
    look = read(f"{bark} {mark('colour_pattern', 'even_pale')} {mark('extent', 'half')}")
    assert [symptom["part"] for symptom in look.symptoms] == ["leaf", "bark"]
    assert "extent" in look.symptoms[0] and "extent" not in look.symptoms[1]


def test_next_begins_a_second_kind_of_leaf() -> None:
    look = read(f"{mark('colour_pattern', 'fine_net')} next {mark('colour_pattern', 'green_wedge')}")
    assert [symptom["colour_pattern"] for symptom in look.symptoms] == ["fine_net", "green_wedge"]


def test_blanks_capitals_remarks_and_lines_do_not_matter() -> None:
    number = find("leaf_change").number
    plain = read(f"{number}a,b {mark('leaf_age', 'newest')}")
    typed = read(f"  {number}A , B   # the small branch\n\n {mark('leaf_age', 'newest').upper()} ;")
    together = read(f"{number}ab {mark('leaf_age', 'newest')}")
    assert plain == typed == together


def test_the_generic_sheet_asks_for_the_tree() -> None:
    number = find("crop", crop="").number
    assert read(f"{number}=meyer", crop="").tree["crop"] == "lemon"
    assert read(f"{number}=grape_vine", crop="").tree["crop"] == "grape"
    assert read(mark("grown_in", "pot", crop=""), crop="").tree["crop"] == "other"


@pytest.mark.parametrize(
    ("code", "message"),
    [
        ("", "is empty"),
        ("# only a remark", "is empty"),
        ("hello", "'hello' is not a number with letters"),
        ("999a", "this sheet has questions 1 to"),
        ("2z", "question 2 has no 'z'; it has a to c"),
        ("2a,b", "question 2 takes one letter only"),
        ("2a 2b", "question 2 is answered twice"),
        ("1a", "question 1 wants a written answer"),
        ("2=a", "question 2 wants a letter"),
        ("1=2026-13-40", "is not a date"),
        ("lemon-0000 2a", "was printed from other knowledge"),
        ("lemmon-0000 2a", "names no tree I know"),
        ("2a next", "nothing odd is ticked on any part after 'next'"),
        ("x" * 30_000, "far longer than any sheet"),
    ],
)
def test_a_fault_in_the_code_is_said_plainly(code: str, message: str) -> None:
    with pytest.raises(BadInput, match=re.escape(message)):
        read(code)


def test_every_fault_is_told_at_once() -> None:
    with pytest.raises(BadInput) as caught:
        read("2z hello 999a 1a")
    assert len(str(caught.value).splitlines()) == 5


def test_none_and_a_box_cannot_both_be_ticked() -> None:
    with pytest.raises(BadInput, match="cannot both be ticked"):
        read(mark("on_leaf", "soot", NONE_LOOKED))


def test_more_than_three_odd_things_are_refused() -> None:
    pattern = mark("colour_pattern", "mottle")
    with pytest.raises(BadInput, match="more than 3 odd things"):
        read(f"{pattern} next {pattern} next {pattern} next {pattern}")


@given(st.data())
@settings(max_examples=40, deadline=None)
def test_any_single_tick_is_taken_in_as_that_answer(data: st.DataObject) -> None:
    items = [item for item in make_sheet(_loaded[0], "lemon").items().values() if item.options]
    item = data.draw(st.sampled_from(items))
    letters, answer, _ = data.draw(st.sampled_from(item.options))
    leaf = mark("colour_pattern", "mottle") + " " if item.part == "any" else ""
    look = read(f"{leaf}{item.number}{letters}")
    wanted = (answer,) if item.several and answer in _loaded[0].signs[item.key.id].answers else answer
    places = [look.tree, look.answers, *look.symptoms]
    told = [place[item.key.id] for place in places if item.key.id in place]
    told += [event.within for event in look.events] + [look.about_to]
    odd = item.key.kind == "sign" and item.part not in ("tree", "any") and not look.symptoms
    assert wanted in told or (item.key.kind == "event" and len(look.events) == 1) or odd


@given(st.text(max_size=80))
@settings(max_examples=150, deadline=None)
def test_whatever_is_typed_is_taken_in_or_refused_with_a_message(text: str) -> None:
    try:
        read(text)
    except BadInput as error:
        assert str(error)


# -- on paper and at the command line --------------------------------------------------------------------------------


def run(words: list[str], environment: Environment) -> tuple[int, str, str]:
    """Exit status, output and error output of one command."""
    status = main(words, environment)
    assert isinstance(environment.stdout, StringIO) and isinstance(environment.stderr, StringIO)
    return status, environment.stdout.getvalue(), environment.stderr.getvalue()


@pytest.mark.parametrize("width", [60, 80, 100])
def test_the_plain_sheet_has_every_box_and_keeps_to_the_width(
    width: int, knowledge: Knowledge, surroundings: Surroundings
) -> None:
    sheet = make_sheet(knowledge, "peach")
    lines = list(sheet_lines(sheet, knowledge, surroundings(width=width)))
    boxes = sum(len(item.options) for item in sheet.items().values())
    assert sum(line.lstrip().startswith("[ ] ") for line in lines) == boxes
    assert max(len(line) for line in lines if "sallow look --sheet" not in line) <= width
    assert any(sheet.mark in line for line in lines)


def test_the_page_has_every_box_a_letter_for_each_and_the_pictures(knowledge: Knowledge) -> None:
    sheet = make_sheet(knowledge, "fig")
    text = sheet_page(sheet, knowledge)
    boxes = sum(len(item.options) for item in sheet.items().values())
    assert text.count('class="box"') == text.count('class="letter"') == boxes
    offered = [(item.key.id, answer) for item in sheet.items().values() for _, answer, _ in item.options]
    pictured = [knowledge.pictures.get(*pair) for pair in offered]
    assert text.count("<svg ") == len([picture for picture in pictured if picture]) > 60
    ids = re.findall(r' id="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    assert "<script" not in text and "url(http" not in text


def test_the_sheet_is_printed_saved_and_taken_in(tmp_path: Path, surroundings: Surroundings) -> None:
    status, text, _ = run(["sheet", "--crop", "lemon"], surroundings())
    assert status == 0
    sheet = make_sheet(_loaded[0], "lemon")
    assert sheet.mark in text
    path = tmp_path / "sheet.html"
    assert run(["sheet", "--crop", "lemon", "--save", str(path)], surroundings())[0] == 0
    assert path.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    code = f"{sheet.mark} {mark('colour_pattern', 'fine_net')} {mark('leaf_age', 'newest')} {mark('winters', 'mild')}"
    status, report, _ = run(["look", "--sheet", code], surroundings())
    assert status == 0 and "Iron shortage" in report
    kept = tmp_path / "code.txt"
    kept.write_text(code.replace(" ", "\n"))
    assert run(["look", "--sheet", str(kept)], surroundings())[1] == report


def test_a_code_without_its_mark_is_taken_in_with_a_word_on_how_it_was_read(surroundings: Surroundings) -> None:
    code, sheet = mark("colour_pattern", "fine_net"), make_sheet(_loaded[0], "lemon")
    status, _, said = run(["look", "--sheet", code, "--crop", "lemon"], surroundings())
    assert status == 0 and f"read as on the sheet {sheet.mark}" in said
    assert "read as" not in run(["look", "--sheet", f"{sheet.mark} {code}"], surroundings())[2]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["sheet", "--save", "sheet.pdf"], "ends in neither .html nor .txt"),
        (["look", "--sheet", "2z", "--crop", "lemon"], "question 2 has no 'z'"),
        (["look", "--sheet", ""], "is empty"),
        (["look", "--sheet", "missing.txt"], "cannot be read"),
    ],
)
def test_what_cannot_be_used_is_refused_with_status_two(
    words: list[str], message: str, surroundings: Surroundings
) -> None:
    status, _, said = run(words, surroundings())
    assert status == 2 and message in said
