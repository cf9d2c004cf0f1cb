"""What is normal for each kind of tree is told in full, each fact with its source and mark."""

from __future__ import annotations

import pytest

from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge
from sallow.knowledge.tables import load_tables

BEARS = {"salt", "chloride", "boron", "lime", "wet_feet", "cold"}
MARKS = {"published", "second_hand", "common_practice", "memory", "judgement"}
TREES = [
    *("orange", "mandarin", "lemon", "lime", "grapefruit", "kumquat", "avocado", "peach", "nectarine", "plum"),
    *("apricot", "cherry", "almond", "apple", "pear", "fig", "persimmon", "pomegranate", "loquat", "olive"),
    *("mango", "guava", "grape"),
]


@pytest.mark.parametrize("tree", TREES)
def test_a_tree_has_its_seasons_leaves_tolerances_and_growth(knowledge: Knowledge, tree: str) -> None:
    crop = knowledge.crops[tree]
    months, bears, shoots = crop.facts["months"], crop.facts["bears"], crop.facts["shoots"]
    for season in ("bloom", "flush", "old_leaves_fall" if crop.evergreen else "leaves_fall"):
        assert all(1 <= month <= 12 for span in months[season].values() for month in span)
        assert months[season]["default"]
        assert set(months[season]) - {"default"} <= set(knowledge.climates)
    assert {bears[trouble] for trouble in BEARS} <= {"low", "medium", "high"}
    for stage in ("young_cm", "bearing_cm"):
        low, high = shoots[stage]
        assert 0 < low < high
    assert crop.facts["leaf"]["life"] and crop.facts["leaf"]["colour"]
    for told in (months, bears, shoots, crop.facts["leaf"]):
        assert told["source"] and told["mark"] in MARKS


def test_citrus_names_its_rootstocks(knowledge: Knowledge) -> None:
    citrus = [crop for crop in knowledge.crops.values() if crop.group == "citrus"]
    assert citrus and all(crop.facts["rootstocks"]["table"] == "citrus_rootstocks" for crop in citrus)


def test_rootstocks_rank_for_salt_as_the_pages_have_it() -> None:
    # UF/IFAS: rough lemon bears salt least of the stocks. Mahmoud and others (UF/IFAS, Horticulturae 6:90, 2020,
    # abstract): Cleopatra tolerant, Volkamer lemon moderately, Carrizo sensitive.
    rows = load_tables(shipped_folder("knowledge"))["citrus_rootstocks"].rows
    salt = {str(row["rootstock"]): row["salt"] for row in rows}
    assert salt["rough lemon"] == "low"
    assert salt["volkamer"] == "medium"
    assert salt["Cleopatra mandarin"] == "high"
    assert salt["Carrizo or Troyer citrange"] == "low"


def test_another_fruit_tree_has_hedged_facts_and_says_that_its_months_are_not_known(knowledge: Knowledge) -> None:
    facts = knowledge.crops["other"].facts
    assert "months" not in facts and "no months are given" in facts["note"]
    assert {facts["bears"][trouble] for trouble in BEARS} <= {"low", "medium"}
    assert all(facts[told]["mark"] in {"judgement", "common_practice"} for told in ("bears", "shoots", "leaf"))


def test_months_that_were_checked_name_a_page_that_is_listed(knowledge: Knowledge) -> None:
    for crop in knowledge.crops.values():
        months = crop.facts.get("months", {})
        for season, pages in months.get("checked", {}).items():
            assert set(pages) <= set(months[season]), crop.id
            assert {key for keys in pages.values() for key in keys} <= set(knowledge.sources), crop.id
