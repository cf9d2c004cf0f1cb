"""Feeding that heeds a saved look and the tree book."""

from __future__ import annotations

import io
import json
from datetime import date
from pathlib import Path

import pytest
from tests.support.compiled import compiled_place

from sallow.cli import main
from sallow.commands.feed_facts import Facts, facts_of_look
from sallow.environment import Environment
from sallow.status import ExitStatus
from sallow.trees.book import open_book
from sallow.trees.ledger import add_events, add_tree, keep_look
from sallow.trees.model import Event, Look, Tree

DAY = date(2026, 1, 20)
TOLD = {
    "tree": {"crop": "lemon", "climate": "dry_summer", "hemisphere": "north", "grown_in": "ground", "age_years": 6},
    "answers": {"soil_at_depth": "moist", "shoot_growth": "normal"},
}


def run(folder: Path, *words: str, typed: str = "", today: date = DAY) -> tuple[int, str, str]:
    surroundings = Environment(
        stdin=io.StringIO(typed), stdout=io.StringIO(), stderr=io.StringIO(), today=today, data_folder=folder / "data",
        cache_folder=compiled_place(),
    )
    status = main(words, surroundings)
    return status, " ".join(surroundings.stdout.getvalue().split()), surroundings.stderr.getvalue()


def saved_report(folder: Path, findings: list[list[str]], causes: list[dict[str, object]]) -> str:
    path = folder / "look.json"
    path.write_text(json.dumps({"format": 1, "look": TOLD, "answers": 4, "findings": findings, "causes": causes}))
    return str(path)


def cause(identifier: str, word: str, confirmed: bool = False) -> dict[str, object]:
    return {"id": identifier, "word": word, "confirmed": confirmed, "belief": 0.5}


@pytest.mark.parametrize(
    ("findings", "causes", "trouble"),
    [
        ([["roots_too_wet", "the root zone stays too wet"]], [], "roots_wet"),
        ([["salty_root_zone", "salt has gathered"]], [], "salted"),
        ([], [cause("frost_damage", "likely")], "frosted"),
        ([], [cause("herbicide_glyphosate", "very likely")], "weed_killer"),
        ([], [cause("avocado_root_rot", "possible", confirmed=True)], "root_rot"),
        ([], [cause("fertilizer_burn", "likely")], "burned"),
    ],
)
def test_what_a_saved_report_found_forbids_feeding(
    tmp_path: Path, findings: list[list[str]], causes: list[dict[str, object]], trouble: str
) -> None:
    path = saved_report(tmp_path, findings, causes)
    data = json.loads(Path(path).read_text())
    assert facts_of_look(data["look"], data, Facts()).troubles == {trouble}
    status, out, _ = run(tmp_path, "feed", "--look", path, "--bag", "6-2-3")
    assert status == ExitStatus.OK and out.startswith("Should it be fed? No") and "kg" not in out.split("Take care")[0]


def test_a_cause_that_is_only_possible_forbids_nothing(tmp_path: Path) -> None:
    path = saved_report(tmp_path, [], [cause("frost_damage", "possible")])
    data = json.loads(Path(path).read_text())
    facts = facts_of_look(data["look"], data, Facts())
    assert facts.troubles == frozenset() and (facts.crop, facts.age_years, facts.soil) == ("lemon", 6.0, "moist")


def with_book(folder: Path, *events: Event, look: Look | None = None) -> None:
    with open_book(folder / "data" / "book.sqlite", create=True) as book:
        tree = Tree(
            "Old lemon", "lemon", planted="2019-09", grown="ground", canopy_m=4,
            climate="dry_summer", hemisphere="north",
        )  # fmt: skip
        uid = add_tree(book, tree, DAY).uid
        if events:
            add_events(book, [Event(**{**_cells(event), "tree": uid}) for event in events], DAY, "noted")
        if look is not None:
            keep_look(book, trees=[uid], look=look)


def _cells(event: Event) -> dict[str, object]:
    return {name: getattr(event, name) for name in Event.__dataclass_fields__}


def test_a_tree_of_the_book_needs_no_telling_again(tmp_path: Path) -> None:
    with_book(tmp_path, look=Look(day=date(2026, 1, 10), answers={"answers": {"soil_at_depth": "moist"}}))
    words = ("--frost", "no", "--leaf-colour", "pale_old", "--bag", "6-2-3", "--bag-weight", "20 lb")
    status, out, _ = run(tmp_path, "feed", "--tree", "old", *words)
    # The same tree by options: tests/unit/test_care_feeding_command.py.
    assert status == ExitStatus.OK and "450 g (1 lb)" in out and "2.5 kg (5.5 lb) for each feeding" in out


def test_the_pot_of_the_book_is_not_asked_or_guessed(tmp_path: Path) -> None:
    with open_book(tmp_path / "data" / "book.sqlite", create=True) as book:
        add_tree(book, Tree("Tub", "lemon", grown="pot", pot_m=0.4, hemisphere="south", planted="2021"), DAY)
    out = run(tmp_path, "feed", "--tree", "tub", "--soil", "moist", "--hurt-by", "none", "--leaf-colour", "pale_old")[1]
    # By hand as in tests/unit/test_care_feeding_asking.py: a pot 40 cm wide bears 18 g of nitrogen.
    assert "18 g (0.65 oz)" in out and "a small one" not in out


def test_the_last_look_in_the_book_forbids_feeding_wet_roots(tmp_path: Path) -> None:
    result = {"findings": [["roots_too_wet", "the root zone stays too wet"]], "causes": []}
    with_book(tmp_path, look=Look(day=date(2026, 1, 10), result=result))
    assert "The roots stand wet" in run(tmp_path, "feed", "--tree", "old", "--bag", "6-2-3")[1]


def test_an_old_look_is_not_taken_for_now(tmp_path: Path) -> None:
    result = {"findings": [["roots_too_wet", "the root zone stays too wet"]], "causes": []}
    with_book(tmp_path, look=Look(day=date(2025, 3, 10), result=result))
    status, out, err = run(tmp_path, "feed", "--tree", "old", "--bag", "6-2-3")
    assert status == ExitStatus.OK and "The roots stand wet" not in out and not err
    assert out.startswith("Should it be fed? Not yet. The last look, on 10 Mar 2025, found: the root zone stays")
    with_book(tmp_path / "older", look=Look(day=date(2024, 12, 10), result=result))
    status, out, err = run(tmp_path / "older", "feed", "--tree", "old", "--bag", "6-2-3")
    assert status == ExitStatus.OK and "too wet" not in out and "too old to tell" in err


def test_a_likely_borer_of_the_last_look_holds_the_feed_back_and_other_troubles_stand_in_front(tmp_path: Path) -> None:
    borer = {"causes": [{**cause("peachtree_borer", "very likely"), "name": "Peachtree borer"}]}
    with_book(tmp_path, look=Look(day=date(2025, 6, 10), result=borer))
    out = run(tmp_path, "feed", "--tree", "old", "--shoots", "short")[1]
    assert out.startswith("Should it be fed? Not yet.") and "peachtree borer (very likely)" in out
    mites = {"causes": [{**cause("spider_mites", "likely"), "name": "Spider mites"}]}
    with_book(tmp_path / "other", look=Look(day=date(2026, 1, 2), result=mites))
    out = run(tmp_path / "other", "feed", "--tree", "old", "--shoots", "short")[1]
    assert "spider mites (likely). See first whether that is over" in out.split("This season's shoots")[0]
    fed = {"causes": [cause("nitrogen_shortage", "likely")]}
    with_book(tmp_path / "hungry", look=Look(day=date(2026, 1, 2), result=fed))
    assert "The last look" not in run(tmp_path / "hungry", "feed", "--tree", "old", "--shoots", "short")[1]


def test_the_troubles_that_hold_feed_back_are_causes_of_the_knowledge() -> None:
    from sallow.commands.feed_troubles import ROOTS_TRUNK_WATER

    folder = Path(__file__).parents[2] / "knowledge" / "causes"
    assert [name for name in sorted(ROOTS_TRUNK_WATER) if not (folder / f"{name}.yaml").exists()] == []


def test_a_tree_planted_months_ago_is_not_told_of_six_weeks(tmp_path: Path) -> None:
    out = run(tmp_path, "feed", "--crop", "lemon", "--age", "0.6", "--soil", "moist")[1]
    assert "planted about 7 months ago" in out and "six weeks" not in out
    assert "six weeks" in run(tmp_path, "feed", "--crop", "lemon", "--age", "0.05", "--soil", "moist")[1]


def test_after_a_late_feeding_the_next_waits_for_the_season_not_for_six_weeks(tmp_path: Path) -> None:
    words = ("feed", "--crop", "peach", "--age", "6", "--soil", "moist", "--last-fed", "2026-11-20")
    day = date(2026, 11, 25)
    place = ("--climate", "cold_dry", "--hemisphere", "north")
    # knowledge/tables/feeding_season.yaml: leaf-dropping trees in cold_dry from the first of April.
    assert "not before early April 2027" in run(tmp_path, *words, *place, today=day)[1]
    out = run(tmp_path, *words, today=day)[1]
    assert "January" not in out and "when growth starts" in out


def test_a_feeding_noted_in_the_book_counts(tmp_path: Path) -> None:
    with_book(tmp_path, Event("fed", date(2026, 1, 15)))
    _, out, _ = run(tmp_path, "feed", "--tree", "old", "--frost", "no", "--soil", "moist", "--bag", "6-2-3")
    without = run(tmp_path / "other", "feed", "--crop", "lemon", "--last-fed", "2026-01-15", "--age", "6.4", "--in",
                  "ground", "--climate", "dry_summer", "--hemisphere", "north", "--canopy", "4 m", "--frost", "no",
                  "--soil", "moist", "--bag", "6-2-3")[1]  # fmt: skip
    assert out == without


def test_no_book_and_no_such_tree_are_said_plainly(tmp_path: Path) -> None:
    status, _, err = run(tmp_path, "feed", "--tree", "old")
    assert status == ExitStatus.BAD_INPUT and "there is no tree book" in err
    with_book(tmp_path)
    status, _, err = run(tmp_path, "feed", "--tree", "new pear")
    assert status == ExitStatus.BAD_INPUT and "no tree in the book is called 'new pear'" in err


def test_a_look_tells_the_climate_by_its_winters_and_summers() -> None:
    told = {**TOLD, "tree": {"crop": "lemon", "hemisphere": "north", "grown_in": "ground", "age_years": 6}}
    told["tree"] |= {"winters": "mild", "summers": "dry", "heat": "moderate"}
    facts = facts_of_look(told, {}, Facts())
    assert (facts.climate, facts.frost) == ("dry_summer", None)
    told["tree"] |= {"winters": "hard", "summers": "rainy"}
    facts = facts_of_look(told, {}, Facts())
    assert (facts.climate, facts.frost) == ("cool_humid", True)
    told["tree"]["climate"] = "cold_dry"
    assert facts_of_look(told, {}, Facts()).climate == "cold_dry"
