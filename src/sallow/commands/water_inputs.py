"""What ``sallow water`` was told, from options, and how it becomes the reckoning's input."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, cast

from sallow.care.season import Hemisphere, season_of
from sallow.care.water_store import pot_litres
from sallow.care.water_usual import SMALL_CANOPY_M, WARMTH
from sallow.commands import typed
from sallow.commands.water_supply import (
    gets_from_options,
    gets_in_a_week,
    read_cup,
    refuse_contradictions,
    times_a_week,
)
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.care.water_emitters import EmitterTest
    from sallow.care.water_plan import TreeWater
    from sallow.knowledge.tables import Table

CROPS = (
    "orange", "mandarin", "lemon", "lime", "grapefruit", "kumquat", "avocado", "peach", "nectarine", "plum",
    "apricot", "cherry", "almond", "apple", "pear", "fig", "persimmon", "pomegranate", "loquat", "olive",
    "mango", "guava", "grape", "other",
)  # fmt: skip
EVERGREEN = frozenset(
    {
        "orange",
        "mandarin",
        "lemon",
        "lime",
        "grapefruit",
        "kumquat",
        "avocado",
        "loquat",
        "olive",
        "mango",
        "guava",
    }
)
CLIMATES = ("dry_summer", "desert", "humid_subtropical", "cool_humid", "cold_dry", "tropical")
FROSTY_CLIMATES = frozenset({"cold_dry", "cool_humid"})


@dataclass(frozen=True, slots=True)
class WaterInputs:
    """Everything the command can be told, in base units (m, mm, L, L/h, dS/m, °C); None is not known."""

    units: str = "both"
    crop: str | None = None
    canopy_m: float | None = None
    size: str | None = None
    season: str | None = None
    cover: str | None = None
    climate: str | None = None
    warmth: str | None = None
    reference_mm: float | None = None
    tmin_c: float | None = None
    tmax_c: float | None = None
    latitude: float | None = None
    hemisphere: str | None = None
    day: date | None = None
    dew_point_c: float | None = None
    wind_m_per_s: float | None = None
    sunshine_h: float | None = None
    altitude_m: float | None = None
    weather_reference_mm: float | None = None
    rain_mm_per_week: float = 0.0
    coefficient: float | None = None
    system: str | None = None
    efficiency: float | None = None
    emitters: int | None = None
    flow_l_per_h: float | None = None
    minutes: float | None = None
    times_a_week: float | None = None
    gets_l_per_week: float | None = None
    cup_mm: float | None = None
    caught_ml: tuple[float, ...] = ()
    seconds: float | None = None
    texture: str | None = None
    root_depth_m: float | None = None
    pot_l: float | None = None
    pot_m: float | None = None
    place: str | None = None
    ec_water: float | None = None

    @property
    def in_pot(self) -> bool:
        """Whether it stands in a pot, of whatever size."""
        return self.place == "pot" or self.pot_l is not None

    def season_now(self, today: date) -> str | None:
        """The season of the day meant, when the half of the world is known."""
        half = self.hemisphere
        if half is None and self.latitude:
            half = "south" if self.latitude < 0 else "north"
        return season_of(self.day or today, cast("Hemisphere", half)) if half in ("north", "south") else None

    @property
    def reference_known(self) -> bool:
        """Whether evapotranspiration can be had without asking about the climate."""
        temperatures = self.tmin_c is not None and self.tmax_c is not None and self.latitude is not None
        return self.reference_mm is not None or self.weather_reference_mm is not None or temperatures


def crop_named(text: str) -> str:
    """A crop id from what was typed; BadInput lists the known ones."""
    name = text.strip().lower().replace(" tree", "").replace(" ", "_")
    if name in CROPS:
        return name
    if name.endswith("s") and name[:-1] in CROPS:
        return name[:-1]
    raise BadInput(f"'{text.strip()}' is not a tree this command knows; expected one of {', '.join(CROPS)}.")


def pot_size(text: str, units: str, what: str) -> tuple[float, float | None]:
    """Litres of a pot, and its width in metres when that is what was typed: ``100 L``, ``50 cm``, ``20 in``."""
    unit = text.strip().lstrip("0123456789.,+ ").lower()
    if unit in typed.VOLUME.units:
        return typed.amount(text, typed.VOLUME, units, what), None
    wide = typed.amount(text, typed.LENGTH, units, what)
    return pot_litres(wide), wide


def inputs_from(arguments: argparse.Namespace) -> WaterInputs:
    """The options as inputs; BadInput names the option that cannot be read."""
    refuse_contradictions(arguments)
    units = arguments.units

    def amount(text: str | None, kind: typed.Kind, name: str) -> float | None:
        return None if text is None else typed.amount(text, kind, units, name)

    def warmth(text: str | None, name: str) -> float | None:
        return None if text is None else typed.temperature_c(text, units, name)

    times = None if arguments.times is None else times_a_week(arguments.times, "--times")
    pot_m = amount(arguments.pot_width, typed.LENGTH, "--pot-width")
    pot_l = amount(arguments.pot, typed.VOLUME, "--pot")
    return WaterInputs(
        units=units,
        crop=None if arguments.crop is None else crop_named(arguments.crop),
        canopy_m=amount(arguments.canopy, typed.LENGTH, "--canopy"),
        size=arguments.size,
        season=arguments.season,
        cover=arguments.cover,
        climate=arguments.climate,
        warmth=arguments.warmth,
        reference_mm=amount(arguments.et0, typed.DEPTH_PER_DAY, "--et0"),
        tmin_c=warmth(arguments.tmin, "--tmin"),
        tmax_c=warmth(arguments.tmax, "--tmax"),
        latitude=None if arguments.latitude is None else typed.latitude(arguments.latitude),
        hemisphere=arguments.hemisphere,
        day=arguments.date,
        dew_point_c=warmth(arguments.dew_point, "--dew-point"),
        wind_m_per_s=arguments.wind,
        sunshine_h=arguments.sunshine,
        altitude_m=amount(arguments.altitude, typed.LENGTH, "--altitude"),
        rain_mm_per_week=amount(arguments.rain, typed.DEPTH_PER_DAY, "--rain") or 0.0,
        coefficient=arguments.coefficient,
        system=arguments.system,
        efficiency=None if arguments.efficiency is None else typed.share(arguments.efficiency, "--efficiency"),
        emitters=arguments.emitters,
        flow_l_per_h=amount(arguments.flow, typed.FLOW, "--flow"),
        minutes=arguments.minutes,
        times_a_week=times,
        gets_l_per_week=gets_from_options(amount(arguments.gets, typed.VOLUME, "--gets"), times),
        cup_mm=None if arguments.cup is None else read_cup(arguments.cup, units, "--cup"),
        caught_ml=() if arguments.caught is None else typed.numbers(" ".join(arguments.caught), "--caught"),
        seconds=arguments.seconds,
        texture=arguments.soil,
        root_depth_m=amount(arguments.root_depth, typed.LENGTH, "--root-depth"),
        pot_l=pot_litres(pot_m) if pot_l is None and pot_m is not None else pot_l,
        pot_m=pot_m if pot_l is None else None,
        place=None if pot_m is None and pot_l is None else "pot",
        ec_water=None if arguments.water_ec is None else typed.salt_content(arguments.water_ec, "--water-ec"),
    )


def still_needed(inputs: WaterInputs) -> tuple[str, ...]:
    """What no need can be reckoned without."""
    needed = []
    if inputs.canopy_m is None:
        needed.append("how wide the crown is: step it out (one long step is about 0.8 m or 2.5 ft)")
    if not (inputs.reference_known or inputs.climate or inputs.warmth):
        needed.append("what the climate is like, or at least how warm the last two weeks were")
    return tuple(needed)


def reference_range(inputs: WaterInputs, today: date, tables: Mapping[str, Table]) -> tuple[tuple[float, float], str]:
    """Reference evapotranspiration in mm/day (low, high) and how it was had; BadInput when not known."""
    if inputs.reference_mm is not None:
        return (inputs.reference_mm, inputs.reference_mm), "as given"
    if inputs.tmin_c is not None and inputs.tmax_c is not None and inputs.latitude is not None:
        return _from_temperatures(inputs, inputs.tmin_c, inputs.tmax_c, inputs.latitude, inputs.day or today)
    if inputs.weather_reference_mm is not None:
        value = inputs.weather_reference_mm
        return (
            value,
            value,
        ), "from the weather file, mean of its last seven days (Hargreaves, FAO-56 equation 52)"
    return _usual(inputs, inputs.season_now(today), tables["reference_water_use"])


def _from_temperatures(
    inputs: WaterInputs, low: float, high: float, latitude: float, day: date
) -> tuple[tuple[float, float], str]:
    from sallow.care import evapotranspiration as et

    known = (inputs.dew_point_c, inputs.wind_m_per_s, inputs.sunshine_h, inputs.altitude_m)
    words = f"{low:.3g} to {high:.3g} °C at latitude {latitude:g} on {day}"
    if None in known:
        value = et.hargreaves(low, high, latitude, day)
        return (value, value), f"Hargreaves, FAO-56 equation 52, from {words}"
    dew_point, wind, sunshine, altitude = (float(part) for part in known if part is not None)
    number = day.timetuple().tm_yday
    above = et.extraterrestrial_radiation(latitude, number)
    longest = et.daylight_hours(latitude, number)
    if not 0 <= sunshine <= longest + 0.5:
        raise BadInput(f"{sunshine:g} hours of sunshine cannot be: that day is {longest:.1f} hours long.")
    if not 0 <= wind <= 40:
        raise BadInput(f"a mean wind of {wind:g} m/s cannot be true; expected 0 to 40.")
    weather = et.WeatherOfDay(
        lowest_c=low,
        highest_c=high,
        vapour_kpa=et.saturation_pressure(dew_point),
        wind_m_per_s=wind,
        solar=et.radiation_from_sunshine(above, min(sunshine, longest), longest),
        extraterrestrial=above,
        altitude_m=altitude,
    )
    value = et.penman_monteith(weather)
    return (value, value), f"Penman-Monteith, FAO-56 equation 6, from {words}, humidity, wind and sunshine"


def _usual(inputs: WaterInputs, season: str | None, table: Table) -> tuple[tuple[float, float], str]:
    warmth = inputs.warmth or (WARMTH[season] if season and inputs.climate else None)
    rows = [row for row in table.rows if inputs.climate in (None, row["climate"]) and warmth in (None, row["warmth"])]
    if inputs.warmth is None and inputs.climate is None:
        raise BadInput(
            "how much water the air takes is not known. Give --et0, or --tmin, --tmax and --latitude, or a "
            "--weather "
            "file with a --latitude, or at least --climate and --warmth (cool, mild, hot)."
        )
    low, high = min(row.number("low") for row in rows), max(row.number("high") for row in rows)
    place = (inputs.climate or "any climate").replace("_", " ")
    days = f"{warmth or 'any'} days" + ("" if inputs.warmth or warmth is None else f" as in {season}")
    return (low, high), f"usual range for {place}, {days} (FAO-56 Table 2, from memory)"


def emitter_result(inputs: WaterInputs) -> EmitterTest | None:
    """The bucket-and-clock test, when water was caught."""
    from sallow.care.water_emitters import emitter_test

    if not inputs.caught_ml:
        return None
    return emitter_test(inputs.caught_ml, inputs.seconds or 60.0)


def system_of(inputs: WaterInputs) -> str:
    """What brings the water: as told, else a sprinkler for a cup, drip for emitters, else a bucket."""
    if inputs.system is not None and inputs.system != "none":
        return inputs.system
    if inputs.cup_mm is not None:
        return "sprinkler"
    return "drip" if inputs.emitters is not None or inputs.caught_ml else "bucket"


def bare_now(inputs: WaterInputs, today: date) -> bool:
    """Whether it is a leaf-dropping tree in its winter, of which nobody says otherwise."""
    drops = inputs.crop is not None and inputs.crop not in EVERGREEN and inputs.crop != "other"
    return inputs.season is None and drops and inputs.season_now(today) == "winter"


def size_taken(inputs: WaterInputs) -> str:
    """The size that stands in while nobody says it: young for a small crown, as a look reckons too."""
    return "young" if inputs.canopy_m is not None and inputs.canopy_m < SMALL_CANOPY_M else "full"


def tree_from(
    inputs: WaterInputs, reference: tuple[float, float], test: EmitterTest | None, today: date
) -> TreeWater:
    """The reckoning's input; unknown things take the middle road, which the report says."""
    from sallow.care.water_plan import TreeWater

    if inputs.canopy_m is None:
        raise BadInput("the width of the crown is needed: --canopy 3m or --canopy 10ft.")
    flow = test.mean_l_per_h if test is not None else inputs.flow_l_per_h
    mended = flow if test is None else test.mended_l_per_h
    return TreeWater(
        crop=inputs.crop or "other",
        canopy_m=inputs.canopy_m,
        reference_mm=reference,
        season=inputs.season or ("leafless" if bare_now(inputs, today) else "full"),
        cover=inputs.cover or "bare",
        winter="frost" if inputs.climate in FROSTY_CLIMATES else "mild",
        size=inputs.size or size_taken(inputs),
        system=system_of(inputs),
        uniformity=None if test is None else test.mended_percent / 100,
        efficiency=inputs.efficiency,
        coefficient=inputs.coefficient,
        emitters=inputs.emitters,
        flow_l_per_h=mended,
        gets_l_per_week=gets_in_a_week(inputs, flow),
        rain_mm_per_week=inputs.rain_mm_per_week,
        texture=inputs.texture,
        root_depth_m=inputs.root_depth_m,
        pot_l=inputs.pot_l,
        pot_m=inputs.pot_m,
        ec_water=inputs.ec_water,
    )
