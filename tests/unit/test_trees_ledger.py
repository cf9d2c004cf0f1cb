"""The ledger: adding, changing, removing, looks, and undo of anything at any time."""

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sallow.errors import BadInput, BookError
from sallow.trees import history, ledger, shelf
from sallow.trees.book import Book, open_book
from sallow.trees.exchange import all_tables
from sallow.trees.model import Event, Look, PendingCheck, Tree
from sallow.trees.start import events_for_look, start_of_look

TODAY = date(2026, 5, 6)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with open_book(tmp_path / "book.sqlite", create=True) as opened:
        yield opened


def plant(book: Book, name: str = "Barrel lemon", crop: str = "lemon") -> Tree:
    return ledger.add_tree(book, Tree(name, crop), TODAY)


def test_a_tree_is_found_by_name_beginning_or_word(book: Book) -> None:
    lemon, avocado = plant(book), plant(book, "Young avocado", "avocado")
    plant(book, "Young fig", "fig")
    for spelling in ("barrel LEMON", "Barrel", "lemon", "  barrel   lemon "):
        assert shelf.find_tree(book, spelling) == lemon
    assert shelf.find_tree(book, "young a") == avocado
    with pytest.raises(BadInput, match="several trees: 'Young avocado' or 'Young fig'"):
        shelf.find_tree(book, "young")
    with pytest.raises(BadInput, match="Did you mean 'Barrel lemon'"):
        shelf.find_tree(book, "barel lemon")
    assert shelf.find_trees(book, "lemon, young a") == (lemon, avocado)
    assert len(shelf.find_trees(book, "all")) == 3


def test_a_name_is_taken_once_however_it_is_spelled(book: Book) -> None:
    plant(book)
    with pytest.raises(BadInput, match="already a tree called 'Barrel lemon'"):
        plant(book, "barrel  LEMON")


@pytest.mark.parametrize(
    ("tree", "told"),
    [
        (Tree("", "lemon"), "needs a name"),
        (Tree("all", "lemon"), "cannot be"),
        (Tree("a, b", "lemon"), "cannot be"),
        (Tree("x" * 61, "lemon"), "up to 60"),
        (Tree("x\x1b[2J", "lemon"), "control character"),
        (Tree("x", "lemon", climate="wet"), "dry_summer"),
        (Tree("x", "lemon", grown="air"), "ground, pot, lawn"),
        (Tree("x", "lemon", latitude=91.0), "-90 to 90"),
        (Tree("x", "lemon", latitude=float("nan")), "-90 to 90"),
        (Tree("x", "lemon", latitude=-34.0, hemisphere="north"), "negative"),
        (Tree("x", "lemon", planted="2024-13"), "planting date"),
        (Tree("x", "lemon", canopy_m=-1.0), "canopy"),
    ],
)
def test_a_tree_that_cannot_be_is_refused(book: Book, tree: Tree, told: str) -> None:
    with pytest.raises(BadInput, match=told):
        ledger.add_tree(book, tree, TODAY)
    assert shelf.all_trees(book) == ()
    assert history.acts(book) == ()


def test_the_latitude_tells_the_hemisphere(book: Book) -> None:
    assert ledger.add_tree(book, Tree("x", "lemon", latitude=-34.2), TODAY).hemisphere == "south"


def test_editing_writes_down_only_what_changed_and_undo_restores_it(book: Book) -> None:
    tree = plant(book)
    ledger.edit_tree(book, tree.uid, {"name": "Tub lemon", "canopy_m": 1.5}, TODAY)
    assert shelf.find_tree(book, "tub").canopy_m == 1.5
    assert history.acts(book, 1)[0].words == "changed Barrel lemon: canopy_m, name"
    history.undo(book, TODAY)
    assert shelf.find_tree(book, "barrel") == tree
    before = len(history.acts(book))
    ledger.edit_tree(book, tree.uid, {"crop": "lemon"}, TODAY)
    assert len(history.acts(book)) == before, "a change that changes nothing is no act"


def test_a_removed_tree_comes_back_with_its_notes(book: Book) -> None:
    tree = plant(book)
    ledger.add_events(book, [Event("fed", TODAY, tree=tree.uid)], TODAY, "noted")
    act = ledger.remove_tree(book, tree.uid, TODAY)
    assert shelf.all_trees(book) == ()
    with pytest.raises(BadInput, match="not in the book"):
        ledger.add_events(book, [Event("fed", TODAY, tree=tree.uid)], TODAY, "noted")
    history.undo(book, TODAY, act.number)
    assert len(events_for_look(book, shelf.find_tree(book, "barrel"))) == 1


def test_a_tree_does_not_come_back_under_a_name_taken_since(book: Book) -> None:
    tree = plant(book)
    act = ledger.remove_tree(book, tree.uid, TODAY)
    plant(book)
    with pytest.raises(BadInput, match="another tree is called 'Barrel lemon'"):
        history.undo(book, TODAY, act.number)


def test_an_earlier_change_cannot_be_undone_from_under_a_later_one(book: Book) -> None:
    tree = plant(book)
    ledger.edit_tree(book, tree.uid, {"soil": "sand"}, TODAY)
    ledger.edit_tree(book, tree.uid, {"soil": "clay"}, TODAY)
    with pytest.raises(BadInput, match="number 3 later changed"):
        history.undo(book, TODAY, 2)
    history.undo(book, TODAY)
    history.undo(book, TODAY)
    assert shelf.find_tree(book, "barrel").soil == ""


def test_undo_can_itself_be_undone_again_and_again(book: Book) -> None:
    tree = plant(book)
    note = ledger.add_events(book, [Event("fed", TODAY, tree=tree.uid)], TODAY, "noted")
    last = note.number
    for turn in range(6):
        last = history.undo(book, TODAY, last).number
        assert len(events_for_look(book, tree)) == turn % 2
    with pytest.raises(BadInput, match="taken back already"):
        history.undo(book, TODAY, 3)
    shown = {act.number: act.undone_by for act in history.acts(book)}
    assert shown[last] is None and shown[last - 1] == last


def test_what_was_brought_back_last_is_the_first_to_be_taken_back(book: Book) -> None:
    lemon = plant(book)
    fig = plant(book, "Fig", "fig")
    undone = history.undo(book, TODAY)
    ledger.edit_tree(book, lemon.uid, {"name": "Fig"}, TODAY)
    ledger.edit_tree(book, lemon.uid, {"name": "Lemon"}, TODAY)
    history.undo(book, TODAY, undone.number)
    assert shelf.find_tree(book, "fig") == fig
    assert history.undo(book, TODAY).words == "took back 2: added the tree Fig"
    history.undo(book, TODAY)
    assert [tree.name for tree in shelf.all_trees(book)] == ["Fig"]


def test_a_value_that_came_and_went_does_not_fool_undo(book: Book) -> None:
    tree = plant(book)
    for soil in ("sand", "clay", "sand", "clay"):
        ledger.edit_tree(book, tree.uid, {"soil": soil}, TODAY)
    with pytest.raises(BadInput, match="number 4 later changed"):
        history.undo(book, TODAY, 3)  # the first clay: the value fits, but two more acts stand upon it
    for soil in ("sand", "clay", "sand", ""):
        history.undo(book, TODAY)
        assert shelf.find_tree(book, "barrel").soil == soil


def test_undo_with_nothing_left_says_so(book: Book) -> None:
    with pytest.raises(BadInput, match="nothing to take back"):
        history.undo(book, TODAY)
    plant(book)
    history.undo(book, TODAY)
    with pytest.raises(BadInput, match="nothing to take back"):
        history.undo(book, TODAY)


def test_notes_for_several_trees_are_one_act_all_or_none(book: Book) -> None:
    trees = [plant(book), plant(book, "Fig", "fig")]
    with pytest.raises(BadInput):
        ledger.add_events(book, [Event("frost", TODAY, tree=uid) for uid in (trees[0].uid, "nobody")], TODAY, "x")
    assert events_for_look(book, trees[0]) == ()
    ledger.add_events(book, [Event("frost", TODAY, tree=tree.uid) for tree in trees], TODAY, "x")
    history.undo(book, TODAY)
    assert [events_for_look(book, tree) for tree in trees] == [(), ()]


def a_look(day: date = TODAY, **more: object) -> Look:
    return Look(day=day, answers={"pattern": "fine_net", "numbers": [1, 2.5, None]}, result={"cause": "x"}, **more)  # type: ignore[arg-type]


def test_a_look_is_kept_whole_and_may_cover_several_trees(book: Book) -> None:
    trees = [plant(book), plant(book, "Fig", "fig")]
    check = PendingCheck("soil_fizz", "vinegar on the soil", TODAY + timedelta(days=3))
    kept = ledger.keep_look(
        book,
        trees=[tree.uid for tree in trees],
        look=a_look(
            knowledge="abc123",
            seen=("pale",),
            likely=("Iron: likely",),
            steps=("wait",),
            checks=(check,),
            look_again=TODAY + timedelta(days=40),
            came_of_it="better",
            photos=("a.jpg", "b.jpg"),
        ),
    )
    for tree in trees:
        assert shelf.looks_of(book, [tree.uid])[tree.uid] == (kept,)
    history.undo(book, TODAY)
    assert shelf.looks_of(book, [trees[0].uid])[trees[0].uid] == ()


def test_the_same_look_told_again_is_kept_once(book: Book) -> None:
    lemon, fig = plant(book), plant(book, "Fig", "fig")

    def kept(*trees: Tree, **more: object) -> str:
        return ledger.keep_look(book, trees=[tree.uid for tree in trees], look=a_look(**more)).uid  # type: ignore[arg-type]

    first = kept(lemon, photos=("a.jpg",))
    assert kept(lemon) == kept(lemon, photos=("a.jpg",)) == kept(lemon, came_of_it="same") == first
    others = [kept(lemon, fig), kept(fig), kept(lemon, day=TODAY - timedelta(days=1)), kept(lemon, photos=("b.jpg",))]
    assert len({first, *others}) == 5
    history.undo(book, TODAY)
    assert kept(lemon, photos=("b.jpg",)) != others[-1]  # one that was taken back may be kept anew


def test_a_look_that_is_not_plain_data_is_refused_and_nothing_kept(book: Book) -> None:
    tree = plant(book)
    for answers in ({"x": object()}, {"x": float("nan")}, {"x": "\ud800"}):
        with pytest.raises(BadInput, match="answers of the look"):
            ledger.keep_look(book, trees=[tree.uid], look=Look(TODAY, answers=answers))
    with pytest.raises(BadInput, match="at least one tree"):
        ledger.keep_look(book, trees=[], look=a_look())
    with pytest.raises(BadInput, match="better, same or worse"):
        ledger.keep_look(book, trees=[tree.uid], look=a_look(came_of_it="great"))
    assert all_tables(book)["looks"] == []


def test_the_next_look_starts_from_what_the_book_knows(book: Book) -> None:
    tree = ledger.add_tree(book, Tree("Barrel lemon", "lemon", grown="pot", hemisphere="south"), TODAY)
    look_day = TODAY - timedelta(days=30)
    ledger.add_events(book, [Event("frost", look_day - timedelta(days=60), tree=tree.uid)], TODAY, "x")
    checks = (PendingCheck("soil_fizz", "fizz"), PendingCheck("dig_and_feel", "dig"))
    look = a_look(look_day, likely=("Iron: likely",), steps=("hold the lime",), checks=checks)
    ledger.keep_look(book, trees=[tree.uid], look=look)
    ledger.add_events(
        book,
        [
            Event(
                "fed",
                TODAY - timedelta(days=9),
                product="compost",
                amount=2.0,
                unit="kg",
                tree=tree.uid,
                precision="week",
            ),
            Event("test_result", TODAY, subject="soil_fizz", result="fizzed", tree=tree.uid),
        ],
        TODAY,
        "x",
    )
    start = start_of_look(book, tree, TODAY)
    assert start["tree"] == {"crop": "lemon", "grown_in": "pot", "hemisphere": "south"}
    assert [event["what"] for event in start["events"]] == ["frost", "fed"]
    last = start["last_look"]
    assert (last["date"], last["likely"], last["steps"]) == (look_day.isoformat(), ["Iron: likely"], ["hold the lime"])
    assert [event["what"] for event in last["done_since"]] == ["fed"]
    assert last["done_since"][0]["about"] == "week"
    assert last["tests_open"] == ["dig_and_feel"]
    assert "last_look" not in start_of_look(book, plant(book, "Fig", "fig"), TODAY)


def test_two_terminals_see_each_other_and_wait_their_turn(tmp_path: Path) -> None:
    path = tmp_path / "book.sqlite"
    with open_book(path, create=True) as one, open_book(path, wait=0.05) as other:
        tree = plant(one)
        assert shelf.all_trees(other) == (tree,)
        one.connection.execute("BEGIN IMMEDIATE")
        with pytest.raises(BookError, match="another sallow is writing"):
            plant(other, "Fig", "fig")
        one.connection.execute("ROLLBACK")
        plant(other, "Fig", "fig")
        assert len(shelf.all_trees(one)) == 2


acts_to_do = st.lists(
    st.tuples(st.sampled_from(["add", "edit", "remove", "note", "look", "undo", "undo_number"]), st.integers(0, 9)),
    min_size=1,
    max_size=14,
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(todo=acts_to_do)
def test_undoing_everything_in_turn_leaves_the_book_as_it_was_before(
    todo: list[tuple[str, int]], tmp_path: Path
) -> None:
    path = tmp_path / "again.sqlite"
    path.unlink(missing_ok=True)
    with open_book(path, create=True) as book:
        plant(book)
        first = _visible(book)
        for what, number in todo:
            _do(book, what, number)
        while _standing(book) > 1:
            history.undo(book, TODAY)
        assert _visible(book) == first


def _standing(book: Book) -> int:
    return len([act for act in history.acts(book, 999) if act.undoes is None and not act.undone_by])


def _visible(book: Book) -> object:
    trees = shelf.all_trees(book)
    uids = [tree.uid for tree in trees]
    return trees, dict(shelf.events_of(book, uids)), dict(shelf.looks_of(book, uids))


def _do(book: Book, what: str, number: int) -> None:
    trees = shelf.all_trees(book)
    tree = trees[number % len(trees)] if trees else None
    try:
        if what == "add":
            plant(book, f"Tree {len(history.acts(book, 999))}")  # a name of its own: clashes have their own test
        elif what == "undo_number" and number > 1:
            history.undo(book, TODAY, number)
        elif what == "undo" and _standing(book) > 1:
            history.undo(book, TODAY)
        elif tree and what == "edit":
            ledger.edit_tree(book, tree.uid, {"soil": f"soil {number}", "grown": "pot" if number % 2 else ""}, TODAY)
        elif tree and what == "remove":
            ledger.remove_tree(book, tree.uid, TODAY)
        elif tree and what == "note":
            ledger.add_events(book, [Event("text", TODAY, words=str(number), tree=tree.uid)], TODAY, "noted")
        elif tree and what == "look":
            ledger.keep_look(book, trees=[tree.uid], look=a_look(photos=(f"{number}.jpg",)))
    except BadInput:
        pass
