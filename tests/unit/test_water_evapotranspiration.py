"""Reference evapotranspiration against the worked examples of FAO-56 (Allen, Pereira, Raes, Smith 1998)."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sallow.care import evapotranspiration as et
from sallow.errors import BadInput


def test_example_2_air_pressure_and_psychrometric_constant():
    assert et.air_pressure(1800) == pytest.approx(81.8, abs=0.05)
    assert et.psychrometric_constant(81.8) == pytest.approx(0.054, abs=0.0005)


def test_example_3_mean_saturation_pressure():
    assert et.saturation_pressure(24.5) == pytest.approx(3.075, abs=0.001)
    assert et.saturation_pressure(15.0) == pytest.approx(1.705, abs=0.001)
    assert et.mean_saturation_pressure(15.0, 24.5) == pytest.approx(2.39, abs=0.005)


def test_example_4_vapour_pressure_from_wet_and_dry_bulb():
    assert et.vapour_pressure_from_bulbs(19.5, 25.6, et.air_pressure(1200)) == pytest.approx(1.91, abs=0.005)


def test_example_8_extraterrestrial_radiation():
    assert et.sun_distance(246) == pytest.approx(0.985, abs=0.0005)
    assert et.sun_declination(246) == pytest.approx(0.120, abs=0.0005)
    assert et.sunset_angle(-20, 246) == pytest.approx(1.527, abs=0.0005)
    assert et.extraterrestrial_radiation(-20, 246) == pytest.approx(32.2, abs=0.05)


def test_example_9_daylight_hours():
    assert et.daylight_hours(-20, 246) == pytest.approx(11.7, abs=0.05)


def test_example_10_solar_radiation_at_rio_in_may():
    above = et.extraterrestrial_radiation(-22.9, 135)
    longest = et.daylight_hours(-22.9, 135)
    assert et.radiation_from_sunshine(above, 7.1, longest) == pytest.approx(14.5, abs=0.05)


def test_example_13_soil_heat_of_a_month():
    # Months of 14.1, 16.1 and 18.8 °C; equation 43 halves the step between the outer months: 0.07 (18.8 -
    # 14.1).
    assert 0.5 * et.month_soil_heat(18.8, 14.1) == pytest.approx(0.33, abs=0.005)


def test_example_17_bangkok_in_april():
    above = et.extraterrestrial_radiation(13 + 44 / 60, 105)
    longest = et.daylight_hours(13 + 44 / 60, 105)
    solar = et.radiation_from_sunshine(above, 8.5, longest)
    heat = et.month_soil_heat(30.2, 29.2)
    assert above == pytest.approx(38.06, abs=0.01)
    assert longest == pytest.approx(12.31, abs=0.01)
    assert solar == pytest.approx(22.65, abs=0.01)
    assert heat == pytest.approx(0.14, abs=0.001)
    assert et.net_radiation(solar, above, 25.6, 34.8, 2.85, 2) == pytest.approx(14.33, abs=0.01)
    day = et.WeatherOfDay(25.6, 34.8, 2.85, 2.0, solar, above, 2, heat)
    assert et.penman_monteith(day) == pytest.approx(5.72, abs=0.01)


def test_example_18_brussels_on_the_6th_of_july():
    above = et.extraterrestrial_radiation(50.8, 187)
    longest = et.daylight_hours(50.8, 187)
    vapour = (et.saturation_pressure(12.3) * 0.84 + et.saturation_pressure(21.5) * 0.63) / 2
    wind = et.wind_at_two_metres(10 / 3.6, 10)
    solar = et.radiation_from_sunshine(above, 9.25, longest)
    assert wind == pytest.approx(2.078, abs=0.001)
    assert solar == pytest.approx(22.07, abs=0.01)
    assert longest == pytest.approx(16.1, abs=0.05)
    day = et.WeatherOfDay(12.3, 21.5, vapour, wind, solar, above, 100)
    assert et.penman_monteith(day) == pytest.approx(3.9, abs=0.05)


def test_example_20_lyon_in_july_from_temperatures_alone():
    mid_july, lyon = date(2001, 7, 15), 45 + 43 / 60
    above = et.extraterrestrial_radiation(lyon, 196)
    assert et.radiation_from_temperatures(above, 14.8, 26.6) == pytest.approx(22.3, abs=0.05)
    assert et.saturation_pressure(14.8) == pytest.approx(1.68, abs=0.005)
    penman = et.penman_monteith_from_temperatures(14.8, 26.6, lyon, mid_july, altitude_m=200)
    assert penman == pytest.approx(4.56, abs=0.01)
    assert et.hargreaves(14.8, 26.6, lyon, mid_july) == pytest.approx(5.0, abs=0.05)


@pytest.mark.parametrize(
    ("latitude", "month", "radiation"),
    # Worked by hand from equation 21 for the 15th of the month; FAO-56 Annex 2 agrees within about 0.2.
    [(50, 1, 8.9), (40, 6, 41.8), (34, 7, 40.8), (20, 4, 37.9), (0, 3, 37.9), (-20, 12, 42.1),
     (-34, 6, 16.2), (-40, 1, 43.3)],
)  # fmt: skip
def test_extraterrestrial_radiation_by_latitude_and_month(latitude, month, radiation):
    number = date(2001, month, 15).timetuple().tm_yday
    assert et.extraterrestrial_radiation(latitude, number) == pytest.approx(radiation, abs=0.25)


def test_polar_night_and_midnight_sun_give_numbers_not_errors():
    assert et.extraterrestrial_radiation(80, 355) == 0
    assert et.daylight_hours(80, 172) == pytest.approx(24)
    assert et.hargreaves(-30, -20, 80, date(2024, 12, 20)) == 0


def test_a_library_of_others_agrees_over_a_year():
    pyet = pytest.importorskip("pyet")
    pandas = pytest.importorskip("pandas")
    days = pandas.date_range("2023-01-01", "2023-12-31", freq="7D")
    high = pandas.Series([20 + 10 * ((step * 7) % 19) / 19 for step in range(len(days))], index=days)
    low = high - 11.5
    theirs = pyet.hargreaves((high + low) / 2, high, low, lat=-33.9 * 3.141592653589793 / 180)
    ours = [et.hargreaves(low[day], high[day], -33.9, day.date()) for day in days]
    assert ours == pytest.approx(list(theirs), rel=0.02)


def test_a_library_of_others_agrees_on_penman_monteith():
    pyet = pytest.importorskip("pyet")
    pandas = pytest.importorskip("pandas")
    day = pandas.DatetimeIndex(["2015-07-06"])

    def series(value):
        return pandas.Series([value], index=day)

    theirs = pyet.pm_fao56(
        series(16.9), series(2.078), rs=series(22.07), elevation=100, lat=50.8 * 3.141592653589793 / 180,
        tmax=series(21.5), tmin=series(12.3), ea=series(1.409),
    )  # fmt: skip
    above = et.extraterrestrial_radiation(50.8, 187)
    ours = et.penman_monteith(et.WeatherOfDay(12.3, 21.5, 1.409, 2.078, 22.07, above, 100))
    assert ours == pytest.approx(float(theirs.iloc[0]), rel=0.02)


@pytest.mark.parametrize(("low", "high"), [(30, 20), (-120, 5), (10, 250), (5, 61)])
def test_impossible_temperatures_are_refused(low, high):
    with pytest.raises(BadInput):
        et.hargreaves(low, high, 34, date(2024, 7, 1))


def test_a_latitude_off_the_map_is_refused():
    with pytest.raises(BadInput, match="off the map"):
        et.hargreaves(10, 20, 134, date(2024, 7, 1))


@given(
    low=st.floats(-20, 30), spread=st.floats(0, 20), more=st.floats(0.1, 10),
    latitude=st.floats(-60, 60), day=st.dates(date(2000, 1, 1), date(2030, 12, 31)),
)  # fmt: skip
def test_a_hotter_day_never_needs_less_water(low, spread, more, latitude, day):
    usual = et.hargreaves(low, low + spread, latitude, day)
    hotter = et.hargreaves(low, low + spread + more, latitude, day)
    assert 0 <= usual <= hotter + 1e-9
