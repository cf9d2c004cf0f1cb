"""Dates in words: what each means on a given day, and what is refused."""

from contextlib import suppress
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sallow.errors import BadInput
from sallow.months import MONTHS
from sallow.trees.dates import read_date, read_planted, say_ago, say_date, split_off_date

TODAY = date(2026, 5, 6)  # a Wednesday

PHRASES = [
    ("today", date(2026, 5, 6), "day"),
    ("yesterday", date(2026, 5, 5), "day"),
    ("last night", date(2026, 5, 5), "day"),
    ("the day before yesterday", date(2026, 5, 4), "day"),
    ("last tuesday", date(2026, 5, 5), "day"),
    ("on Wednesday", date(2026, 4, 29), "day"),  # never today: a person would say today
    ("thurs", date(2026, 4, 30), "day"),
    ("5 days ago", date(2026, 5, 1), "day"),
    ("3 weeks ago", date(2026, 4, 15), "week"),
    ("a week ago", date(2026, 4, 29), "week"),
    ("a couple of weeks ago", date(2026, 4, 22), "week"),
    ("a fortnight ago", date(2026, 4, 22), "week"),
    ("two months ago", date(2026, 3, 6), "month"),
    ("3 years ago", date(2023, 5, 6), "year"),
    ("last week", date(2026, 4, 29), "week"),
    ("last month", date(2026, 4, 1), "month"),
    ("last year", date(2025, 1, 1), "year"),
    ("12 may", date(2025, 5, 12), "day"),  # this year's is still to come
    ("2 May", date(2026, 5, 2), "day"),
    ("may 2nd", date(2026, 5, 2), "day"),
    ("the 12th of March, 2024", date(2024, 3, 12), "day"),
    ("sept 2024", date(2024, 9, 1), "month"),
    ("in march", date(2026, 3, 1), "month"),
    ("29 feb", date(2024, 2, 29), "day"),
    ("2024-05-12", date(2024, 5, 12), "day"),
    ("2024-05", date(2024, 5, 1), "month"),
    ("2019", date(2019, 1, 1), "year"),
    ("25/12/2024", date(2024, 12, 25), "day"),
    ("12/25/2024", date(2024, 12, 25), "day"),
    ("5.4.2024", date(2024, 4, 5), "day"),
    ("4/4/24", date(2024, 4, 4), "day"),
]


@pytest.mark.parametrize(("phrase", "day", "precision"), PHRASES)
def test_a_phrase_means_the_day_a_person_means(phrase: str, day: date, precision: str) -> None:
    found = read_date(phrase, TODAY)
    assert (found.day, found.precision) == (day, precision)


@pytest.mark.parametrize(
    ("phrase", "hemisphere", "month"),
    [
        ("last spring", "north", 4),
        ("last spring", "south", 10),
        ("winter 2024", "south", 7),
        ("last fall", "north", 10),
    ],
)
def test_a_season_falls_by_hemisphere(phrase: str, hemisphere: str, month: int) -> None:
    found = read_date(phrase, TODAY, hemisphere)
    assert (found.day.month, found.precision) == (month, "season")
    assert found.day <= TODAY


@pytest.mark.parametrize(
    "phrase", ["", "soon", "31 april", "40 may", "2024-13-01", "3 lightyears ago", "99999999999 days ago", "may may"]
)
def test_what_is_no_date_is_refused_with_examples(phrase: str) -> None:
    with pytest.raises(BadInput, match="3 weeks ago"):
        read_date(phrase, TODAY)


def test_a_day_to_come_is_refused_for_a_note() -> None:
    with pytest.raises(BadInput, match="still to come"):
        read_date("2026-05-07", TODAY)
    assert read_date("2026-05-07", TODAY, future=True).day == date(2026, 5, 7)


def test_a_date_that_reads_two_ways_is_refused_with_both() -> None:
    with pytest.raises(BadInput, match="4 May 2024 or 5 April 2024"):
        read_date("4/5/2024", TODAY)


def test_a_season_without_a_hemisphere_says_what_to_do() -> None:
    with pytest.raises(BadInput, match="--hemisphere"):
        read_date("last spring", TODAY)


@given(st.dates(date(1950, 1, 1), TODAY))
def test_every_written_day_is_read_back(day: date) -> None:
    month = MONTHS[day.month - 1]
    for phrase in (day.isoformat(), f"{day.day} {month} {day.year}", f"{month[:3]} {day.day}, {day.year}"):
        assert read_date(phrase, TODAY).day == day
    assert read_date(say_date(day), TODAY).day == day


@given(st.integers(0, 3000))
def test_days_ago_count_back(days: int) -> None:
    assert read_date(f"{days} days ago", TODAY).day == TODAY - timedelta(days=days)


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    with suppress(BadInput):
        assert read_date(text, TODAY).day <= TODAY


@pytest.mark.parametrize(
    ("words", "left", "day"),
    [
        ("200 g blood meal 3 weeks ago", "200 g blood meal", date(2026, 4, 15)),
        ("saw ants yesterday", "saw ants", date(2026, 5, 5)),
        ("hard last tuesday", "hard", date(2026, 5, 5)),
        ("16-16-16 12 may 2024", "16-16-16", date(2024, 5, 12)),
        ("12 in 1 dec 2025", "12 in", date(2025, 12, 1)),
        ("pruned in may 2024", "pruned", date(2024, 5, 1)),
        ("looks as well as it may", "looks as well as it may", None),
        ("measured 2019", "measured 2019", None),
        ("every sunday", "every sunday", None),
    ],
)
def test_a_date_at_the_end_of_a_note_is_split_off(words: str, left: str, day: date | None) -> None:
    rest, found = split_off_date(words.split(), TODAY)
    assert " ".join(rest) == left
    assert (found.day if found else None) == day


def test_a_planting_date_is_kept_as_exactly_as_told() -> None:
    assert read_planted("2019", TODAY) == "2019"
    assert read_planted("may 2024", TODAY) == "2024-05"
    assert read_planted("12 may 2024", TODAY) == "2024-05-12"
    assert read_planted("3 years ago", TODAY) == "2023"


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (0, "today"),
        (1, "yesterday"),
        (5, "5 days ago"),
        (21, "3 weeks ago"),
        (90, "3 months ago"),
        (724, "2 years ago"),
        (-3, "in 3 days"),
    ],
)
def test_how_long_ago_in_words(days: int, words: str) -> None:
    assert say_ago(TODAY - timedelta(days=days), TODAY) == words
