"""Daily weather files: the public station format and its units, plain columns, and everything that goes wrong."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sallow.errors import BadInput
from sallow.weather_file import read_weather_file


def write(folder: Path, *lines: str) -> Path:
    path = folder / "days.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_station_format_in_tenths(tmp_path):
    # GHCN-Daily: TMAX and TMIN in tenths of a degree Celsius, PRCP in tenths of a millimetre.
    path = write(
        tmp_path, "STATION,DATE,LATITUDE,TMAX,TMIN,PRCP", "X,2024-07-01,34.1,301,152,0", "X,2024-07-02,34.1,-12,-55,127"
    )
    found = read_weather_file(path)
    assert [(day.day, day.highest_c, day.lowest_c, day.rain_mm) for day in found.days] == [
        (date(2024, 7, 1), 30.1, 15.2, 0.0),
        (date(2024, 7, 2), -1.2, -5.5, 12.7),
    ]
    assert found.latitude_degrees == 34.1
    assert any("tenths" in note for note in found.notes)


@pytest.mark.parametrize(
    ("header", "row", "units"),
    [
        ("DATE,TMAX,TMIN,PRCP", "2024-07-01,86.2,59,0.5", None),
        ("DATE,TMAX,TMIN,PRCP", "2024-07-01,86.2,59,0.5", "us"),
        ("DATE,TMAX,TMIN,PRCP", "2024-07-01,30.11,15,12.7", None),
        ("DATE,TMAX,TMIN,PRCP", "2024-07-01,30.11,15,12.7", "metric"),
        ("date,tmax_f,tmin_f,rain_in", "2024-07-01,86.2,59,0.5", None),
        ("date,tmin_c,tmax_c,rain_mm", "2024-07-01,15,30.11,12.7", None),
        ("date;tmax_c;tmin_c;rain_mm", "2024-07-01;30,11;15;12,7", None),
        ("Date\tTMAX_C\tTMIN_C\tRAIN_MM", "2024-07-01\t30.11\t15\t12.7", None),
    ],
)
def test_other_units_and_column_names(tmp_path, header, row, units):
    day = read_weather_file(write(tmp_path, header, row), units).days[0]
    assert day.highest_c == pytest.approx(30.11, abs=0.01)
    assert day.lowest_c == pytest.approx(15.0, abs=0.01)
    assert day.rain_mm == pytest.approx(12.7)


def test_whole_degrees_that_could_be_either_are_asked_about(tmp_path):
    path = write(tmp_path, "DATE,TMAX,TMIN,PRCP", "2024-01-01,89,41,0", "2024-01-02,92,43,0")
    with pytest.raises(BadInput, match="--weather-units"):
        read_weather_file(path)
    assert read_weather_file(path, "us").days[0].highest_c == pytest.approx(31.7, abs=0.05)
    assert read_weather_file(path, "tenths").days[0].highest_c == pytest.approx(8.9)


def test_flagged_missing_and_trace_figures(tmp_path):
    path = write(
        tmp_path,
        "DATE,TMAX,TMAX_ATTRIBUTES,TMIN,TMIN_ATTRIBUTES,PRCP,PRCP_ATTRIBUTES",
        '2024-07-01,999,",X,7",152,",,7",-9999,",,7"',
        '2024-07-02,,,150,",,7",T,",,7"',
        '2024-07-03,301,",,7",150,",,7",5,",,7"',
    )
    first, second, third = read_weather_file(path).days
    assert first.highest_c is None and first.rain_mm is None
    assert second.highest_c is None and second.rain_mm == 0.0
    assert third.highest_c == 30.1
    assert any("flagged" in note for note in read_weather_file(path).notes)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (["DATE,TMAX,TMIN,PRCP"], "no days"),
        (["when,hot,cold", "2024-07-01,1,2"], "no column called DATE"),
        (["DATE,WIND", "2024-07-01,3"], "no temperature or rain column"),
        (["date,tmax_c,tmin_c", "2024-07-01,15,30"], "line 2.*above the highest"),
        (["date,tmax_c,tmin_c", "2024-07-01,301,152"], "cannot be true"),
        (["date,tmax_c,tmin_c", "2024-07-01,-120,-130"], "cannot be true"),
        (["date,tmax_c,tmin_c", "01/07/2024,30,15"], "no date like"),
        (["date,tmax_c,tmin_c", "2024-02-30,30,15"], "no date like"),
        (["date,tmax_c,tmin_c", "2024-07-01,warm,15"], "'warm' is not a number"),
        (["date,tmax_c,tmin_c,rain_mm", "2024-07-01,30,15,-4"], "cannot be true"),
        (["date,tmax_c,tmin_c", "2024-07-01,30,15", "2024-07-01,31,15"], "there twice"),
        (["DATE,PRCP", "2024-07-01,0.5"], "millimetres or inches"),
    ],
)
def test_faults_are_told_with_their_place(tmp_path, lines, says):
    with pytest.raises(BadInput, match=says):
        read_weather_file(write(tmp_path, *lines))


def test_many_faults_are_told_together_but_not_all(tmp_path):
    rows = [f"2024-07-{day:02d},10,20" for day in range(1, 13)]
    with pytest.raises(BadInput) as caught:
        read_weather_file(write(tmp_path, "date,tmax_c,tmin_c", *rows))
    assert "12 lines cannot be used" in str(caught.value) and "and 7 more" in str(caught.value)


def test_gaps_and_repeated_equal_days_are_noted_not_refused(tmp_path):
    path = write(tmp_path, "date,tmax_c,tmin_c", "2024-07-05,30,15", "2024-07-01,30,15", "2024-07-01,30,15")
    found = read_weather_file(path)
    assert [day.day.day for day in found.days] == [1, 5]
    assert any("3 days are missing" in note for note in found.notes)
    assert any("counted only once" in note for note in found.notes)


def test_files_that_are_no_text(tmp_path):
    picture = tmp_path / "picture.csv"
    picture.write_bytes(b"\x89PNG\xff\xfe\x00")
    with pytest.raises(BadInput, match="not a text file"):
        read_weather_file(picture)
    with pytest.raises(BadInput, match="cannot be read"):
        read_weather_file(tmp_path / "none.csv")
    with pytest.raises(BadInput):
        read_weather_file(tmp_path)


def test_a_hundred_years_are_read(tmp_path):
    start = date(1924, 1, 1)
    rows = [f"{start + timedelta(days=step)},301,152,0" for step in range(36525)]
    assert len(read_weather_file(write(tmp_path, "DATE,TMAX,TMIN,PRCP", *rows)).days) == 36525


def test_more_lines_than_a_station_can_have_are_refused(tmp_path):
    with pytest.raises(BadInput, match="one station only"):
        read_weather_file(write(tmp_path, "DATE,TMAX,TMIN,PRCP", *["2024-07-01,301,152,0"] * 250_001))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_with_a_message(tmp_path, text):
    path = tmp_path / "any.csv"
    path.write_text("date,tmax_c,tmin_c,rain_mm\n" + text, encoding="utf-8", newline="")
    try:
        found = read_weather_file(path)
    except BadInput as error:
        assert str(error)
    else:
        assert found.days
