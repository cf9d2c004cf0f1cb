"""Notes in words: kind, amount, product, measure, test; and amounts with units."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sallow.errors import BadInput
from sallow.trees.amounts import read_emitters, read_length, split_off_amount
from sallow.trees.notes import read_note
from sallow.trees.words import say_event

TODAY = date(2026, 5, 6)


@pytest.mark.parametrize(
    ("typed", "what", "said"),
    [
        ("fed 200 g blood meal", "fed", "fed 200 g of blood meal"),
        ("fed 1 1/2 cups of 16-4-8 part 1 of 2", "fed", "fed 1.5 cups of 16-4-8 (part 1 of 2)"),
        ("fed 16-16-16", "fed", "fed 16-16-16"),
        ("fed half a cup of sulphate of ammonia", "fed", "fed 0.5 cup of sulphate of ammonia"),
        ("fed 0,5 kg compost", "fed", "fed 0.5 kg of compost"),
        ("weed killer", "weed_killer", "weed killer used near it"),
        (
            "weed-killer something from next door",
            "weed_killer",
            "weed killer used near it: something from next door (product not known)",
        ),
        ("sprayed copper", "copper_spray", "sprayed with copper"),
        ("watered 20 litres", "watered", "watered 20 L"),
        ("no water for ten days", "watering_failed", "the watering failed: for ten days"),
        ("cleaned the emitters", "emitter_cleaned", "emitters cleaned"),
        ("harvest 12 kg sweet at last", "harvest", "picked 12 kg: sweet at last"),
        ("measured shoot growth 12 in", "measured", "shoot growth 30.48 cm"),
        ("measured color 3", "measured", "leaf colour 3 of 5"),
        ("measured leaf nitrogen 2.4 %", "measured", "leaf nitrogen 2.4 %"),
        ("tested soil_fizz: it fizzed", "test_result", "soil fizz: it fizzed"),
        ("tested one_branch_iron greener", "test_result", "one branch iron: greener"),
        ("new leaves look fine", "text", "new leaves look fine"),
    ],
)
def test_a_typed_note_is_the_event_a_person_means(typed: str, what: str, said: str) -> None:
    event = read_note(typed.split(), TODAY).event
    assert event.what == what
    assert say_event(event) == said


@pytest.mark.parametrize(
    ("typed", "day", "said"),
    [
        ("fed 1/2 cup 5-1-1 in early autumn", date(2026, 3, 1), "fed 0.5 cup of 5-1-1"),
        ("pruned in late winter", date(2025, 8, 1), "pruned"),
        ("fed 100 g in march", date(2026, 3, 1), "fed 100 g"),
        ("sprayed oil in bloom", TODAY, "sprayed: oil in bloom"),
    ],
)
def test_a_month_or_season_with_in_before_it_is_a_date(typed: str, day: date, said: str) -> None:
    event = read_note(typed.split(), TODAY, hemisphere="south").event
    assert (event.when, say_event(event)) == (day, said)


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("fed 2 oz blood meal on 2026-06-31", "is not a date"),
        ("fed 2 oz blood meal 2026-12-01", "still to come"),
        ("pruned on 5/6/2026", "can be read two ways"),
        ("pruned in autumn", "two halves of the world"),
        ("pruned last summer", "two halves of the world"),
    ],
)
def test_a_date_that_cannot_be_read_is_never_taken_for_today(typed: str, message: str) -> None:
    with pytest.raises(BadInput, match=message):
        read_note(typed.split(), TODAY)


def test_whether_the_product_is_known_is_kept() -> None:
    assert read_note(["fed", "2", "kg", "compost"], TODAY).event.product_known is True
    assert read_note(["sprayed", "unknown", "stuff"], TODAY).event.product_known is False
    assert read_note(["sprayed"], TODAY).event.product_known is None
    assert read_note(["sprayed", "soap"], TODAY, product_known=False).event.product_known is False


def test_kinds_of_the_knowledge_are_known_too() -> None:
    assert (
        read_note(["lawn", "weed", "killer"], TODAY, more_kinds=["lawn_weed_killer"]).event.what == "lawn_weed_killer"
    )
    assert read_note(["lawn", "weed", "killer"], TODAY).event.what == "text"


def test_part_and_date_may_come_in_either_order() -> None:
    for typed in ("fed 1 kg x part 1 of 2 yesterday", "fed 1 kg x yesterday part 1 of 2"):
        event = read_note(typed.split(), TODAY).event
        assert (event.subject, event.when, event.product) == ("part 1 of 2", date(2026, 5, 5), "x")


def test_a_near_miss_is_kept_as_text_with_a_remark() -> None:
    draft = read_note(["sprayd", "soap"], TODAY)
    assert draft.event.what == "text"
    assert "sprayed" in draft.remark


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("measured 30 cm", "does not say what was measured"),
        ("measured shoot growth", "number is missing"),
        ("measured shoot growth 3 kg", "is a length"),
        ("measured colour 7", "from 1"),
        ("measured nitrogen 24", "per cent"),
        ("tested soil_fizz", "what came out"),
        ("fed 1,500 g x", "two ways"),
        ("fed 1/0 kg x", "nought"),
        ("fed 1 kg x part 3 of 2", "does not count"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_plain_words(typed: str, told: str) -> None:
    with pytest.raises(BadInput, match=told):
        read_note(typed.split(), TODAY)


@given(st.lists(st.text(min_size=1, max_size=12), min_size=1, max_size=6))
def test_any_words_make_a_note_or_a_plain_refusal(words: list[str]) -> None:
    try:
        draft = read_note(words, TODAY)
    except BadInput:
        return
    assert draft.event.when <= TODAY


def test_lengths_and_emitters_convert_by_definition() -> None:
    # 1 ft = 0.3048 m and 1 US gallon = 3.785411784 L, both exact (yard and pound agreement of 1959; 231 in3)
    assert read_length("8 ft", "m", "x") == pytest.approx(2.4384)
    assert read_length("2.5 m", "m", "x") == 2.5
    assert read_length("31.4159 cm around", "cm", "x") == pytest.approx(10, abs=1e-3)
    assert read_emitters("4") == (4, None)
    assert read_emitters("2 x 1 gal/h") == (2, pytest.approx(3.7854, abs=1e-4))
    assert read_emitters("6 x 8 L per hour") == (6, 8.0)
    for wrong in ("some", "4 x 8 kg/h", "-1"):
        with pytest.raises(BadInput, match="emitters"):
            read_emitters(wrong)
    with pytest.raises(BadInput, match="length"):
        read_length("2 kg", "m", "the canopy")


@pytest.mark.parametrize(
    ("typed", "unit", "asks"), [("0.8", "m", "0.8 m or 0.8 ft"), ("6", "cm", "6 cm or 6 in"), ("2,5", "m", "2.5 m or")]
)
def test_a_length_without_a_unit_is_asked_back(typed: str, unit: str, asks: str) -> None:
    with pytest.raises(BadInput, match=asks):
        read_length(typed, unit, "the canopy")


def test_an_amount_leaves_the_other_words() -> None:
    amount, rest = split_off_amount("3 old branches off")
    assert amount is not None and (amount.value, amount.unit, rest) == (3, "", "old branches off")
    assert split_off_amount("a big one") == (None, "a big one")


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("dug out two grubs with a wire", "text"),
        ("dug a little and saw white roots", "text"),
        ("dug a trench for a cable", "dug_or_paved"),
        ("dug up the ground beside it", "dug_or_paved"),
        ("paved the path", "dug_or_paved"),
    ],
)
def test_digging_is_work_on_the_ground_only_where_the_words_say_so(words: str, kind: str) -> None:
    event = read_note([*words.split(), "yesterday"], TODAY).event
    assert event.what == kind and (kind != "text" or event.words == words)


def test_the_width_of_the_canopy_is_sent_to_the_tree_itself() -> None:
    with pytest.raises(BadInput, match='sallow trees edit NAME --canopy "12 ft"'):
        read_note(["measured", "canopy", "12", "ft"], TODAY)
