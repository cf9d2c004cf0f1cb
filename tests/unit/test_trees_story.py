"""The story of a tree and its charts: exact text at several widths, with and without Unicode."""

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sallow.trees.chart import ROWS, Point, draw
from sallow.trees.model import Event, Look, PendingCheck
from sallow.trees.story import Entry, draw_series, entries, series, tell

RISING = [
    Point(date(2022, 5, 1), 20),
    Point(date(2023, 5, 1), 26),
    Point(date(2024, 5, 1), 12),
    Point(date(2026, 4, 1), 40),
]


def test_a_chart_in_unicode() -> None:
    assert draw(RISING, width=40, unicode=True, low=0) == [
        " 50 │",
        " 40 │                                ··●",
        " 30 │     ····●·               ······",
        " 20 │●····      ·····    ······",
        " 10 │                ·●··",
        "  0 │",
        "    └───────────────────────────────────",
        "     2022                           2026",
    ]


def test_the_same_chart_in_plain_characters() -> None:
    same = str.maketrans("●·│└─", "o.|+-")
    unicode = draw(RISING, width=60, unicode=True, low=0)
    assert draw(RISING, width=60, unicode=False, low=0) == [line.translate(same) for line in unicode]


@given(
    st.lists(
        st.builds(Point, st.dates(date(2000, 1, 1), date(2030, 1, 1)), st.floats(-1e6, 1e6)), min_size=1, max_size=30
    ),
    st.integers(30, 110),
    st.booleans(),
    st.sampled_from([None, 0.0]),
)
def test_any_numbers_fit_the_width_and_show_first_and_last(
    points: list[Point], width: int, unicode: bool, low: float | None
) -> None:
    lines = draw(points, width=width, unicode=unicode, low=low)
    if len({point.day for point in points}) < 2:
        assert lines == []
        return
    assert len(lines) == ROWS + 2
    assert max(map(len, lines)) <= width
    mark = "●" if unicode else "o"
    assert 2 <= "".join(lines).count(mark) <= len(points)
    assert unicode or all(line.isascii() for line in lines)


def test_a_narrow_chart_says_its_days_shorter() -> None:
    for last, ends in ((date(2000, 3, 2), "01-01         03-02"), (date(2001, 3, 2), "2000           2001")):
        lines = draw([Point(date(2000, 1, 1), 0.0), Point(last, -800001.0)], width=30, unicode=False)
        assert lines[-1].strip() == ends and max(map(len, lines)) <= 30


@pytest.mark.parametrize("values", [[1, 2], [0, 0], [5, 5], [0.001, 0.002], [1e9, 2e9], [-3, 7]])
def test_the_highest_point_stands_above_the_lowest_and_the_scale_is_round(values: list[float]) -> None:
    days = [date(2020, 1, 1), date(2024, 1, 1)]
    lines = draw([Point(day, value) for day, value in zip(days, values, strict=True)], width=60, unicode=False)
    rows = [number for number, line in enumerate(lines[:ROWS]) for mark in line if mark == "o"]
    columns = [line.index("o") for line in lines[:ROWS] if "o" in line]
    if values[0] == values[1]:
        assert rows[0] == rows[1]
    else:
        rising = values[0] < values[1]
        assert len(set(rows)) == 2 and (columns[0] > columns[1]) is rising
    labels = [float(line.split("|")[0]) for line in lines[:ROWS]]
    steps = {round(upper - lower, 9) for upper, lower in pairwise(labels)}
    assert len(steps) == 1 and labels == sorted(labels, reverse=True)
    assert labels[-1] <= min(values) and labels[0] >= max(values)


def story() -> list[Entry]:
    events = [
        Event("fed", date(2026, 4, 15), product="blood meal", amount=200.0, unit="g", precision="week"),
        Event("wind", date(2026, 5, 5), words="salt gale from the sea"),
        Event("test_result", date(2026, 5, 6), subject="soil_fizz", result="fizzed"),
    ]
    looks = [
        Look(
            date(2026, 3, 20), seen=("newest leaves pale between fine green veins", "leaf tips dry"),
            likely=("Iron shortage: likely",), steps=("Hold the lime until the test is read.",),
            checks=(PendingCheck("soil_fizz", "vinegar on the soil", date(2026, 3, 22)),),
            look_again=date(2026, 5, 1), photos=("/pictures/leaf.jpg",), trees=("a", "b"),
        ),
        Look(date(2026, 5, 6), seen=("new leaves greener",), came_of_it="better"),
    ]  # fmt: skip
    return entries(events, looks)


def test_the_story_at_80_columns() -> None:
    assert tell(story(), 80) == [
        "  20 Mar 2026       seen        newest leaves pale between fine green veins",
        "                                leaf tips dry",
        "                                (the same look covers 2 trees)",
        "                    thought     Iron shortage: likely",
        "                    to test     vinegar on the soil, result about 22 Mar 2026",
        "                    to do       Hold the lime until the test is read.",
        "                                look again: 1 May 2026",
        "                    photo       /pictures/leaf.jpg",
        "  about 15 Apr 2026 done        fed 200 g of blood meal",
        "  5 May 2026        happened    strong wind: salt gale from the sea",
        "  6 May 2026        tested      soil fizz: fizzed",
        "                    came of it  better than at the last look",
        "                    seen        new leaves greener",
    ]


def test_the_same_steps_are_not_told_twice_in_a_row() -> None:
    days = [date(2026, 3, 20), date(2026, 4, 20), date(2026, 5, 20)]
    steps = [("Wait.", "Mulch."), ("Wait.", "Mulch."), ("Wait.",)]
    looks = [Look(day, seen=("pale",), steps=done) for day, done in zip(days, steps, strict=True)]
    told = [entry.words for entry in entries((), looks) if entry.label == "to do"]
    assert told == ["Wait.", "Mulch.", "the same as after the look before", "Wait."]


def test_the_story_at_44_columns_puts_dates_on_their_own_lines() -> None:
    lines = tell(story(), 44)
    assert lines[:3] == [
        "  20 Mar 2026",
        "    seen        newest leaves pale between",
        "                fine green veins",
    ]
    assert max(map(len, lines)) <= 44


def test_text_from_the_book_cannot_command_the_terminal() -> None:
    looks = [Look(date(2026, 5, 6), seen=("pale\x1b[2J\x07leaves\r\nnew\u202eline",))]
    text = "\n".join(tell(entries([], looks), 80))
    assert all(mark.isprintable() for mark in text.replace("\n", ""))


def fed(year: int, amount: float | None, unit: str, product: str) -> Event:
    return Event("fed", date(year, 5, 1), amount=amount, unit=unit, product=product)


def test_feeding_is_summed_by_year_in_grams_and_years_without_any_count_nought() -> None:
    (item,) = series(
        [
            fed(2022, 1, "kg", "compost"),
            fed(2022, 500, "g", "compost"),
            fed(2024, 1, "lb", "meal"),
            fed(2024, 2, "handful", "ash"),
        ]
    )
    # 1 lb = 453.59237 g exactly (international pound, 1959)
    assert [(point.day.year, round(point.value, 5)) for point in item.points] == [
        (2022, 1500),
        (2023, 0),
        (2024, 453.59237),
    ]
    assert item.note == "1 feeding without a weight left out"


def test_feeding_is_told_as_nitrogen_when_every_bag_names_its_analysis() -> None:
    (item,) = series([fed(2023, 200, "g", "16-4-8 citrus food"), fed(2024, 1, "kg", "5-1-1")])
    assert item.title == "Nitrogen given in a year, g"
    assert [point.value for point in item.points] == pytest.approx([32, 50])  # 200 g of 16 %, 1000 g of 5 %
    (mixed,) = series([fed(2023, 200, "g", "16-4-8"), fed(2024, 1, "kg", "compost")])
    assert mixed.title == "Fed in a year, g of product"


def test_a_single_number_is_said_in_words() -> None:
    event = Event("measured", date(2026, 5, 6), subject="leaf_colour", amount=3.0)
    assert draw_series(series([event])[0], width=80, unicode=True) == [
        "Leaf colour, 1 yellow to 5 dark green: 3 on 6 May 2026; a second number makes a",
        "chart.",
    ]


def test_the_leaf_colour_chart_always_runs_from_one_to_five() -> None:
    events = [
        Event("measured", date(2026, 5, 6) - timedelta(days=90 * n), subject="leaf_colour", amount=3.0 + n)
        for n in (0, 1)
    ]
    lines = draw_series(series(events)[0], width=60, unicode=False)
    assert "5.0 |" in lines[1] and "1.0 |" in lines[6]
