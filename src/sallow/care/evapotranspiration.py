"""Reference evapotranspiration (FAO Irrigation and Drainage Paper 56): Penman-Monteith and Hargreaves.

Every function is one numbered equation of Allen, Pereira, Raes and Smith (1998). Temperatures are in
degrees Celsius, pressures in kPa, radiation in MJ per square metre and day, water in mm per day.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from sallow.errors import BadInput

SOLAR_CONSTANT = 0.0820  # MJ per square metre and minute
STEFAN_BOLTZMANN = 4.903e-9  # MJ per square metre, day and K^4
ALBEDO_OF_GRASS = 0.23
MM_PER_MJ = 0.408  # water evaporated by one MJ per square metre
KRS_INLAND, KRS_COAST = 0.16, 0.19
USUAL_WIND_M_PER_S = 2.0


def check_temperatures(lowest_c: float, highest_c: float) -> None:
    """BadInput when a day's lowest and highest temperature (°C) cannot be true."""
    for name, value in (("lowest", lowest_c), ("highest", highest_c)):
        if not -90 <= value <= 60:
            raise BadInput(
                f"the {name} temperature {value:g} °C cannot be true; expected degrees Celsius between -90 "
                "and 60. Was it Fahrenheit, or tenths of a degree?"
            )
    if lowest_c > highest_c:
        raise BadInput(
            f"the lowest temperature ({lowest_c:g} °C) is above the highest ({highest_c:g} °C); "
            "swap them or check the units."
        )


def check_latitude(degrees: float) -> None:
    """BadInput when a latitude is not between -90 (south pole) and 90 (north pole)."""
    if not -90 <= degrees <= 90:
        raise BadInput(f"the latitude {degrees:g} is off the map; expected -90 to 90, south negative.")


def saturation_pressure(t_c: float) -> float:
    """Saturation vapour pressure in kPa (equation 11)."""
    return 0.6108 * math.exp(17.27 * t_c / (t_c + 237.3))


def mean_saturation_pressure(lowest_c: float, highest_c: float) -> float:
    """Mean saturation vapour pressure of a day in kPa (equation 12)."""
    return (saturation_pressure(lowest_c) + saturation_pressure(highest_c)) / 2


def saturation_slope(t_c: float) -> float:
    """Slope of the saturation curve in kPa per °C (equation 13)."""
    return 4098 * saturation_pressure(t_c) / (t_c + 237.3) ** 2


def air_pressure(altitude_m: float) -> float:
    """Air pressure in kPa at an altitude (equation 7)."""
    return 101.3 * float(((293 - 0.0065 * altitude_m) / 293) ** 5.26)


def psychrometric_constant(pressure_kpa: float) -> float:
    """Psychrometric constant in kPa per °C (equation 8)."""
    return 0.000665 * pressure_kpa


def vapour_pressure_from_bulbs(wet_c: float, dry_c: float, pressure_kpa: float) -> float:
    """Actual vapour pressure in kPa from a ventilated wet and dry bulb (equation 15)."""
    return saturation_pressure(wet_c) - 0.000662 * pressure_kpa * (dry_c - wet_c)


def sun_distance(day_of_year: int) -> float:
    """Inverse relative distance from earth to sun (equation 23)."""
    return 1 + 0.033 * math.cos(2 * math.pi * day_of_year / 365)


def sun_declination(day_of_year: int) -> float:
    """Declination of the sun in radians (equation 24)."""
    return 0.409 * math.sin(2 * math.pi * day_of_year / 365 - 1.39)


def sunset_angle(latitude_degrees: float, day_of_year: int) -> float:
    """Sunset hour angle in radians (equation 25); 0 in polar night and pi where the sun does not set."""
    cosine = -math.tan(math.radians(latitude_degrees)) * math.tan(sun_declination(day_of_year))
    return math.acos(max(-1.0, min(1.0, cosine)))


def extraterrestrial_radiation(latitude_degrees: float, day_of_year: int) -> float:
    """Radiation above the atmosphere in MJ/m2/day (equation 21); south is negative."""
    check_latitude(latitude_degrees)
    latitude, declination = math.radians(latitude_degrees), sun_declination(day_of_year)
    sunset = sunset_angle(latitude_degrees, day_of_year)
    height = sunset * math.sin(latitude) * math.sin(declination)
    height += math.cos(latitude) * math.cos(declination) * math.sin(sunset)
    return max(0.0, 24 * 60 / math.pi * SOLAR_CONSTANT * sun_distance(day_of_year) * height)


def daylight_hours(latitude_degrees: float, day_of_year: int) -> float:
    """Hours from sunrise to sunset (equation 34)."""
    return 24 / math.pi * sunset_angle(latitude_degrees, day_of_year)


def radiation_from_sunshine(extraterrestrial: float, sunshine_h: float, daylight_h: float) -> float:
    """Solar radiation in MJ/m2/day from hours of sunshine (equation 35)."""
    return (0.25 + 0.50 * sunshine_h / daylight_h) * extraterrestrial


def radiation_from_temperatures(
    extraterrestrial: float, lowest_c: float, highest_c: float, krs: float = KRS_INLAND
) -> float:
    """Solar radiation in MJ/m2/day from the day's warmth range (equation 50); krs 0.19 near the coast."""
    return krs * math.sqrt(highest_c - lowest_c) * extraterrestrial


def net_radiation(
    solar: float,
    extraterrestrial: float,
    lowest_c: float,
    highest_c: float,
    vapour_kpa: float,
    altitude_m: float,
) -> float:
    """Net radiation at a grass surface in MJ/m2/day (equations 37 to 40)."""
    clear_sky = (0.75 + 2e-5 * altitude_m) * extraterrestrial
    cloudiness = 1.35 * min(1.0, solar / clear_sky) - 0.35
    warmth = ((highest_c + 273.16) ** 4 + (lowest_c + 273.16) ** 4) / 2
    outgoing = STEFAN_BOLTZMANN * warmth * (0.34 - 0.14 * math.sqrt(vapour_kpa)) * cloudiness
    return (1 - ALBEDO_OF_GRASS) * solar - outgoing


def month_soil_heat(mean_c: float, previous_month_mean_c: float) -> float:
    """Heat that goes into the soil in a month, MJ/m2/day (equation 44); nothing for single days."""
    return 0.14 * (mean_c - previous_month_mean_c)


def wind_at_two_metres(speed_m_per_s: float, height_m: float) -> float:
    """Wind speed at 2 m from one measured at another height (equation 47)."""
    return speed_m_per_s * 4.87 / math.log(67.8 * height_m - 5.42)


@dataclass(frozen=True, slots=True)
class WeatherOfDay:
    """What Penman-Monteith needs: °C, kPa, m/s at 2 m, MJ/m2/day, metres above the sea."""

    lowest_c: float
    highest_c: float
    vapour_kpa: float
    wind_m_per_s: float
    solar: float
    extraterrestrial: float
    altitude_m: float
    soil_heat: float = 0.0


def penman_monteith(weather: WeatherOfDay) -> float:
    """Reference evapotranspiration in mm per day (equation 6), never below zero."""
    check_temperatures(weather.lowest_c, weather.highest_c)
    mean = (weather.lowest_c + weather.highest_c) / 2
    slope = saturation_slope(mean)
    constant = psychrometric_constant(air_pressure(weather.altitude_m))
    net = net_radiation(
        weather.solar,
        weather.extraterrestrial,
        weather.lowest_c,
        weather.highest_c,
        weather.vapour_kpa,
        weather.altitude_m,
    )
    shortfall = mean_saturation_pressure(weather.lowest_c, weather.highest_c) - weather.vapour_kpa
    drying = constant * 900 / (mean + 273) * weather.wind_m_per_s * shortfall
    water = MM_PER_MJ * slope * (net - weather.soil_heat) + drying
    return max(0.0, water / (slope + constant * (1 + 0.34 * weather.wind_m_per_s)))


def penman_monteith_from_temperatures(
    lowest_c: float,
    highest_c: float,
    latitude_degrees: float,
    day: date,
    *,
    altitude_m: float = 0.0,
    wind_m_per_s: float = USUAL_WIND_M_PER_S,
    krs: float = KRS_INLAND,
) -> float:
    """Penman-Monteith, missing data filled in as FAO-56 chapter 4 says (dew point at the low)."""
    check_temperatures(lowest_c, highest_c)
    above = extraterrestrial_radiation(latitude_degrees, day.timetuple().tm_yday)
    return penman_monteith(
        WeatherOfDay(
            lowest_c=lowest_c,
            highest_c=highest_c,
            vapour_kpa=saturation_pressure(lowest_c),
            wind_m_per_s=wind_m_per_s,
            solar=radiation_from_temperatures(above, lowest_c, highest_c, krs),
            extraterrestrial=max(above, 1e-9),
            altitude_m=altitude_m,
        )
    )


def hargreaves(lowest_c: float, highest_c: float, latitude_degrees: float, day: date) -> float:
    """Reference evapotranspiration in mm per day from temperatures alone (equation 52), never below zero."""
    check_temperatures(lowest_c, highest_c)
    above = extraterrestrial_radiation(latitude_degrees, day.timetuple().tm_yday) * MM_PER_MJ
    mean = (lowest_c + highest_c) / 2
    return max(0.0, 0.0023 * (mean + 17.8) * math.sqrt(highest_c - lowest_c) * above)
