"""Out and back: an export taken into an empty book is the same book; into a full one it only adds."""

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sallow.errors import BadInput
from sallow.trees import exchange, history, ledger, shelf
from sallow.trees.book import open_book
from sallow.trees.model import EVENT_KINDS, Event, Look, PendingCheck, Tree

TODAY = date(2026, 5, 6)

# What people and spreadsheets trip over: formulas, quotes, line ends, other scripts, marks joined to letters.
nasty = st.one_of(
    st.sampled_from(
        [
            "",
            "=1+1",
            "-5",
            "+61",
            "@x",
            "'",
            "''=",
            '"',
            "a,b;c",
            "two\nlines",
            "\ttab",
            "citronnier é",
            "レモン",
            "🍋",
            "null",
            "1e5",
        ]
    ),
    st.text(st.characters(exclude_categories=("Cc", "Cs", "Cf")), max_size=20),
)
days = st.dates(date(1990, 1, 1), TODAY)
numbers = st.none() | st.floats(0, 40, allow_nan=False)
trees = st.builds(
    Tree,
    name=st.uuids().map(lambda uid: f"tree {uid}"), crop=st.sampled_from(["lemon", "fig"]), sort=nasty, rootstock=nasty,
    planted=st.sampled_from(["", "2019", "2019-05", "2019-05-12"]), grown=st.sampled_from(["", "pot"]), soil=nasty,
    water=nasty, canopy_m=numbers, trunk_cm=numbers, climate=st.sampled_from(["", "desert"]),
    latitude=st.none() | st.floats(-90, 90), emitters=st.none() | st.integers(0, 50), emitter_flow_lph=numbers,
    pot_m=st.none() | st.floats(0.1, 3),
)  # fmt: skip
events = st.builds(
    Event,
    what=st.sampled_from((*EVENT_KINDS, "lawn_weed_killer")), when=days, where=nasty,
    product_known=st.sampled_from([None, True, False]), product=nasty, amount=numbers, unit=nasty, subject=nasty,
    result=nasty, words=nasty, precision=st.sampled_from(["day", "week", "month", "season", "year"]),
)  # fmt: skip
plain = st.recursive(
    st.none() | st.booleans() | st.integers(-9, 9) | nasty | st.floats(allow_nan=False, allow_infinity=False),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(nasty, inner, max_size=3),
    max_leaves=6,
)
looks = st.builds(
    Look,
    day=days, answers=st.dictionaries(nasty, plain, max_size=3), result=st.dictionaries(nasty, plain, max_size=3),
    seen=st.lists(nasty, max_size=2).map(tuple), likely=st.lists(nasty, max_size=2).map(tuple),
    checks=st.lists(st.builds(PendingCheck, check=nasty, ready=st.none() | days), max_size=2).map(tuple),
    look_again=st.none() | days, came_of_it=st.sampled_from(["", "better"]),
    photos=st.lists(nasty.filter(str.strip), max_size=2).map(tuple),
)  # fmt: skip


def fill(path: Path, planted: list[Tree], noted: list[Event], looked: list[Look]) -> None:
    with open_book(path, create=True) as book:
        uids = [ledger.add_tree(book, tree, TODAY).uid for tree in planted]
        for number, event in enumerate(noted):
            ledger.add_events(book, [_at(event, uids[number % len(uids)])], TODAY, "noted")
        for look in looked:
            ledger.keep_look(book, trees=uids[: 1 + len(look.seen)], look=look)
        history.undo(book, TODAY)


def _at(event: Event, uid: str) -> Event:
    from dataclasses import replace

    return replace(event, tree=uid)


def tables_of(path: Path) -> dict[str, list[dict[str, object]]]:
    with open_book(path) as book:
        return exchange.all_tables(book)


def a_small_book(path: Path) -> Path:
    fill(
        path,
        [Tree("Barrel lemon", "lemon"), Tree("Fig", "fig")],
        [Event("fed", TODAY, amount=1.0, unit="kg")],
        [Look(TODAY, photos=("a.jpg",))],
    )
    with open_book(path) as book:
        history.undo(book, TODAY, 5)
    return path


@pytest.mark.parametrize("target", ["all.json", "folder"])
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)
@given(
    planted=st.lists(trees, min_size=1, max_size=3),
    noted=st.lists(events, max_size=4),
    looked=st.lists(looks, max_size=2),
)
def test_a_round_trip_loses_nothing(
    target: str, planted: list[Tree], noted: list[Event], looked: list[Look], tmp_path: Path
) -> None:
    first, second = tmp_path / "first.sqlite", tmp_path / "second.sqlite"
    first.unlink(missing_ok=True)
    second.unlink(missing_ok=True)
    fill(first, planted, noted, looked)
    exchange.export(tables_of(first), tmp_path / target)
    with open_book(second, create=True) as book:
        exchange.take_in(book, exchange.read_export(tmp_path / target), TODAY)
    assert tables_of(second) == tables_of(first)


def test_undo_goes_on_working_in_the_copy(tmp_path: Path) -> None:
    exchange.export(tables_of(a_small_book(tmp_path / "first.sqlite")), tmp_path / "all.json")
    with open_book(tmp_path / "second.sqlite", create=True) as book:
        exchange.take_in(book, exchange.read_export(tmp_path / "all.json"), TODAY)
        tree = shelf.find_tree(book, "barrel")
        assert len(shelf.events_of(book, [tree.uid])[tree.uid]) == 1
        history.undo(book, TODAY, 3)
        assert shelf.events_of(book, [tree.uid])[tree.uid] == ()


def test_taking_in_twice_changes_nothing(tmp_path: Path) -> None:
    path = a_small_book(tmp_path / "first.sqlite")
    tables = tables_of(path)
    exchange.export(tables, tmp_path / "folder")
    with open_book(path) as book:
        outcome = exchange.take_in(book, exchange.read_export(tmp_path / "folder"), TODAY)
    assert sum(outcome.taken.values()) == 0 and outcome.known == 5 and outcome.differing == ()
    assert tables_of(path) == tables


def test_taking_in_adds_keeps_what_is_there_and_can_be_undone(tmp_path: Path) -> None:
    exchange.export(tables_of(a_small_book(tmp_path / "first.sqlite")), tmp_path / "all.json")
    with open_book(tmp_path / "second.sqlite", create=True) as book:
        own = ledger.add_tree(book, Tree("Barrel lemon", "lemon", soil="sand"), TODAY)
        outcome = exchange.take_in(book, exchange.read_export(tmp_path / "all.json"), TODAY)
        assert outcome.renamed == (("Barrel lemon", "Barrel lemon 2"),)
        assert [tree.name for tree in shelf.all_trees(book)] == ["Barrel lemon", "Barrel lemon 2", "Fig"]
        came = shelf.find_tree(book, "barrel lemon 2")
        assert len(shelf.looks_of(book, [came.uid])[came.uid][0].photos) == 1
        ledger.edit_tree(book, came.uid, {"soil": "clay"}, TODAY)
        again = exchange.take_in(book, exchange.read_export(tmp_path / "all.json"), TODAY)
        assert again.differing == ("trees Barrel lemon",)
        assert shelf.find_tree(book, "barrel lemon 2").soil == "clay"
        history.undo(book, TODAY)
        history.undo(book, TODAY)
        assert shelf.all_trees(book) == (own,)


def test_csv_cells_are_no_formulas_to_a_spreadsheet(tmp_path: Path) -> None:
    path = tmp_path / "book.sqlite"
    fill(path, [Tree("Fig", "fig", soil="=cmd|' /C calc'!A0", latitude=-34.5)], [], [])
    with open_book(path) as book:
        history.undo(book, TODAY, 2)
    exchange.export(tables_of(path), tmp_path / "folder")
    text = (tmp_path / "folder" / "trees.csv").read_text(encoding="utf-8-sig")
    assert "'=cmd|" in text and ",-34.5," in text


def spoil_json(change: Callable[[dict[str, list[dict[str, object]]]], object]) -> Callable[[Path], None]:
    def spoil(path: Path) -> None:
        document = json.loads(path.read_text())
        change(document)
        path.write_text(json.dumps(document))

    return spoil


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (lambda path: path.write_text("{"), "not a whole JSON file"),
        (lambda path: path.write_bytes(b"\xff\xfe"), "not a whole JSON file"),
        (lambda path: path.write_text("[]"), "not an export"),
        (lambda path: path.write_text("[" * 100000), "not a whole JSON file"),
        (spoil_json(lambda d: d.update(sallow_tree_book=99)), "form 99"),
        (spoil_json(lambda d: d.pop("looks")), "'looks' is missing"),
        (spoil_json(lambda d: d["trees"][0].pop("crop")), "trees, row 1: expected exactly"),
        (spoil_json(lambda d: d["trees"][0].update(canopy_m="wide")), "'canopy_m' is 'wide'; expected a number"),
        (spoil_json(lambda d: d["trees"][0].update(canopy_m=float("nan"))), "NaN"),
        (spoil_json(lambda d: d["trees"][0].update(name="x\x1b[2J")), "control character"),
        (spoil_json(lambda d: d["trees"][1].update(name="BARREL lemon")), "second tree"),
        (spoil_json(lambda d: d["trees"][1].update(uid=d["trees"][0]["uid"])), "twice"),
        (spoil_json(lambda d: d["events"][0].update(tree="nobody")), "not in the export"),
        (spoil_json(lambda d: d["events"][0].update(day="soon")), "events, row 1"),
        (spoil_json(lambda d: d["events"][0].update(gone=7)), "expected 0 or 1"),
        (spoil_json(lambda d: d["looks"][0].update(checks='[{"x":1}]')), "looks, row 1"),
        (spoil_json(lambda d: d["changes"][0].update(kind="sqlite_master")), "sqlite_master"),
        (spoil_json(lambda d: d["changes"][0].update(after='{"gone = 1; --": 0}')), "does not name cells"),
        (spoil_json(lambda d: d["acts"][0].update(undoes=77)), "not in the export"),
    ],
)  # fmt: skip
def test_a_spoiled_export_is_refused_whole(spoil: Callable[[Path], object], told: str, tmp_path: Path) -> None:
    source = tmp_path / "all.json"
    exchange.export(tables_of(a_small_book(tmp_path / "first.sqlite")), source)
    spoil(source)
    with pytest.raises(BadInput, match=told.replace("(", r"\(")) as refused:
        exchange.read_export(source)
    assert str(source) in str(refused.value)


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (lambda folder: (folder / "looks.csv").unlink(), "looks.csv is missing"),
        (lambda folder: (folder / "trees.csv").write_text("uid,name\n"), "the heads are"),
        (lambda folder: _append(folder / "trees.csv", "x,y\r\n"), "trees.csv:4: 2 cells"),
        (lambda folder: _append(folder / "acts.csv", "one,2026-01-01,x,\r\n"), "expected a number"),
        (lambda folder: _append(folder / "acts.csv", '9,2026-01-01,"x'), "cannot be read as a CSV file"),
    ],
)
def test_a_spoiled_csv_folder_is_refused_with_file_and_line(
    spoil: Callable[[Path], object], told: str, tmp_path: Path
) -> None:
    folder = tmp_path / "folder"
    exchange.export(tables_of(a_small_book(tmp_path / "first.sqlite")), folder)
    spoil(folder)
    with pytest.raises(BadInput, match=told):
        exchange.read_export(folder)


def _append(path: Path, text: str) -> None:
    with path.open("a", encoding="utf-8", newline="") as stream:
        stream.write(text)
