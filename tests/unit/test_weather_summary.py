"""What a weather record says: frost, heat, rain, soil warmth, water use, and the answers it gives to the look."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sallow.care.evapotranspiration import hargreaves
from sallow.care.weather import Day, summarise
from sallow.care.weather_answers import answers_from_weather
from sallow.errors import BadInput

TODAY = date(2026, 4, 20)


def record(count, low=10.0, high=22.0, rain=0.0, last=TODAY):
    return [Day(last - timedelta(days=count - 1 - step), low, high, rain) for step in range(count)]


def changed(days, back, **parts):
    """The record with the day ``back`` days before its last one replaced."""
    old = days[-1 - back]
    values = {"lowest_c": old.lowest_c, "highest_c": old.highest_c, "rain_mm": old.rain_mm, **parts}
    return [*days[: len(days) - 1 - back], Day(old.day, **values), *days[len(days) - back :]]


def test_frost_and_heat_of_the_past_year_become_events():
    days = changed(changed(changed(record(500), 40, lowest_c=-2.5), 30, lowest_c=-0.1), 90, highest_c=41.0)
    days = changed(days, 450, lowest_c=-9.0)
    summary = summarise(days, TODAY)
    assert [night.temperature_c for night in summary.frost_nights] == [-2.5, -0.1]
    assert [day.temperature_c for day in summary.heat_days] == [41.0]
    events = answers_from_weather(summary).events
    assert [(event.what, event.when) for event in events] == [
        ("heat", TODAY - timedelta(days=90)),
        ("frost", TODAY - timedelta(days=40)),
        ("frost", TODAY - timedelta(days=30)),
    ]
    assert all(event.origin == "from the weather file" for event in events)


def test_only_the_latest_and_the_hardest_events_are_told():
    days = record(400)
    for back in range(100, 120):
        days = changed(days, back, lowest_c=-1.0 - (back == 118))
    events = answers_from_weather(summarise(days, TODAY)).events
    assert [(TODAY - event.when).days for event in events] == [118, 102, 101, 100]


@pytest.mark.parametrize(
    ("rain", "value"),
    [([0.0], "little"), ([14.0], "little"), ([16.0], "usual"), ([45.0], "usual"), ([20.0] * 6, "wet")],
)
def test_rain_of_the_month_in_the_words_of_the_look(rain, value):
    days = record(60)
    for back, amount in enumerate(rain):
        days = changed(days, back, rain_mm=amount)
    sign = answers_from_weather(summarise(days, TODAY)).signs["recent_rain"]
    assert (sign.value, sign.origin) == (value, "from the weather file")


@pytest.mark.parametrize(("low", "high", "band"), [(2, 14, "cold"), (9, 21, "cool"), (14, 28, "warm")])
def test_soil_warmth_follows_ten_days_of_air(low, high, band):
    summary = summarise(record(30, low, high), TODAY)
    assert summary.soil_temperature_c == pytest.approx((low + high) / 2)
    assert answers_from_weather(summary).signs["soil_temperature"].value == band


def test_totals_and_dry_spell():
    days = changed(record(400, rain=0.0), 3, rain_mm=12.0)
    summary = summarise(days, TODAY)
    assert (summary.rain_7_mm, summary.rain_30_mm) == (12.0, 12.0)
    assert summary.dry_days_in_a_row == 3


def test_missing_days_leave_totals_open():
    days = [day for day in record(60) if (TODAY - day.day).days % 2]
    summary = summarise(days, TODAY)
    assert summary.rain_7_mm is None and summary.rain_recent_mm is None and summary.soil_temperature_c is None
    assert answers_from_weather(summary).signs == {}
    assert summary.missing_days == 29


def test_an_old_record_keeps_quiet_about_now_but_not_about_frost():
    days = changed(record(60, last=TODAY - timedelta(days=30)), 10, lowest_c=-3.0)
    summary = summarise(days, TODAY)
    assert summary.stale and summary.recent_rain is None and summary.soil_warmth is None
    assert [event.what for event in answers_from_weather(summary).events] == ["frost"]


def test_forecast_days_are_left_out():
    days = [*record(30), Day(TODAY + timedelta(days=1), -5.0, 2.0, 30.0)]
    summary = summarise(days, TODAY)
    assert summary.last == TODAY and not summary.frost_nights
    with pytest.raises(BadInput, match="no day up to today"):
        summarise([Day(TODAY + timedelta(days=1), 5.0, 9.0, 0.0)], TODAY)


def test_water_use_is_hargreaves_of_the_last_week():
    summary = summarise(record(30), TODAY, latitude_degrees=-34.0)
    week = [hargreaves(10.0, 22.0, -34.0, TODAY - timedelta(days=back)) for back in range(7)]
    assert summary.reference_mm_per_day == pytest.approx(sum(week) / 7)
    assert summarise(record(30), TODAY).reference_mm_per_day is None


@pytest.mark.parametrize(
    "days",
    [
        [Day(TODAY, 20.0, 10.0, 0.0)],
        [Day(TODAY, 10.0, 99.0, 0.0)],
        [Day(TODAY, 10.0, 20.0, -1.0)],
        [Day(TODAY, 10.0, 20.0, 0.0), Day(TODAY, 10.0, 20.0, 0.0)],
    ],
)
def test_days_that_cannot_be_are_refused(days):
    with pytest.raises(BadInput):
        summarise(days, TODAY)


@given(st.lists(st.floats(0, 80), min_size=14, max_size=60), st.floats(0, 80))
def test_more_rain_never_makes_it_drier(amounts, more):
    days = [
        Day(TODAY - timedelta(days=len(amounts) - 1 - place), 10.0, 20.0, rain) for place, rain in enumerate(amounts)
    ]
    before = summarise(days, TODAY).recent_rain
    after = summarise(changed(days, 0, rain_mm=amounts[-1] + more), TODAY).recent_rain
    rank = ("none", "some", "heavy")
    assert rank.index(before) <= rank.index(after)
