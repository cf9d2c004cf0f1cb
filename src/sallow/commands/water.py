"""sallow water: how much water a tree needs, how to give it, and whether it gets too little or too much."""

from __future__ import annotations

import argparse
from datetime import date
from typing import TYPE_CHECKING

from sallow.commands.weather_option import add_weather_options
from sallow.status import ExitStatus

if TYPE_CHECKING:
    from sallow.commands.water_inputs import WaterInputs
    from sallow.commands.water_wet import WetSoil
    from sallow.environment import Environment


def configure(parser: argparse.ArgumentParser) -> None:
    """Options; with none of them the command asks its questions."""
    parser.epilog = (
        "Without options it asks. Amounts carry their unit: 3m, 10ft, 4L/h, 1gph, 5mm, 0.2in, 60L, 15gal. "
        "Example: sallow water --crop lemon --canopy 3m --climate dry_summer --warmth mild --system drip "
        "--emitters 4 --flow 4L/h --minutes 60 --times 3 --soil loam"
    )
    tree = parser.add_argument_group("the tree")
    tree.add_argument("--crop", help="lemon, avocado, peach ... or other")
    tree.add_argument("--canopy", metavar="WIDTH", help="width of the crown, leaf tip to leaf tip: 3m or 10ft")
    tree.add_argument("--size", choices=("young", "half_grown", "full"), help="against its full size")
    tree.add_argument("--season", choices=("leafless", "start", "full", "end"), help="leaf stage of a leaf-dropper")
    tree.add_argument("--cover", choices=("bare", "grass"), help="what grows on the ground under it")
    tree.add_argument("--soil", choices=("sand", "sandy_loam", "loam", "clay_loam", "clay"), help="soil texture")
    tree.add_argument("--root-depth", metavar="DEPTH", help="depth to water: 0.6m or 2ft")
    tree.add_argument("--pot", metavar="VOLUME", help="the tree stands in a pot of this size: 100L or 26gal")
    tree.add_argument("--pot-width", metavar="WIDTH", help="or how wide the pot is: 50cm or 20in")
    tree.add_argument("--tree", metavar="NAME", help="a tree of the tree book: what it says of the tree and its pot")
    tree.add_argument("--book", metavar="PATH", help="the tree book to use instead of your own")
    _air_options(parser)
    _system_options(parser)
    add_weather_options(parser)
    parser.add_argument("--units", choices=("metric", "us", "both"), default="both", help="units of the answer")
    parser.add_argument("--show-working", action="store_true", help="show the reckoning and its sources")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="text to read, or JSON")
    parser.add_argument("--ask", action="store_true", help="ask for what the options leave out")
    parser.add_argument("--save-answers", metavar="FILE.json", help="keep the results for sallow look --with")


def _air_options(parser: argparse.ArgumentParser) -> None:
    air = parser.add_argument_group("how much water the air takes (the first that is complete is used)")
    air.add_argument("--et0", metavar="DEPTH", help="water grass loses a day (reference evapotranspiration): 5mm")
    air.add_argument("--tmin", help="lowest temperature of a usual day now: 12C or 54F")
    air.add_argument("--tmax", help="highest temperature of a usual day now")
    air.add_argument("--latitude", help="34N or 34S")
    air.add_argument("--hemisphere", choices=("north", "south"), help="with the date: the season, which narrows it")
    air.add_argument("--date", type=date.fromisoformat, metavar="YYYY-MM-DD", help="the day meant (today)")
    air.add_argument("--dew-point", help="with wind, sunshine and altitude: Penman-Monteith instead of Hargreaves")
    air.add_argument("--wind", type=float, metavar="M_PER_S", help="mean wind at 2 m height, metres per second")
    air.add_argument("--sunshine", type=float, metavar="HOURS", help="hours of sunshine in the day")
    air.add_argument("--altitude", metavar="HEIGHT", help="height above the sea: 200m or 650ft")
    air.add_argument(
        "--climate",
        choices=("dry_summer", "desert", "humid_subtropical", "cool_humid", "cold_dry", "tropical"),
        help="with --warmth: the usual range, when nothing better is known",
    )
    air.add_argument("--warmth", choices=("cool", "mild", "hot"), help="daily mean about 10, 20, above 30 °C")
    air.add_argument("--rain", metavar="DEPTH", help="useful rain in a week: 12mm or 0.5in")
    air.add_argument("--coefficient", type=float, metavar="KC", help="a crop coefficient of your own")


def _system_options(parser: argparse.ArgumentParser) -> None:
    system = parser.add_argument_group("how it is watered")
    ways = ("drip", "micro_spray", "sprinkler", "hose", "bucket", "none")
    system.add_argument("--system", choices=ways, help="what brings the water to the tree")
    system.add_argument("--efficiency", help="share of the water that reaches the roots: 85%%")
    system.add_argument("--emitters", type=int, metavar="COUNT", help="emitters at this tree")
    system.add_argument("--flow", help="flow of one emitter: 4L/h or 1gph")
    system.add_argument("--minutes", type=float, help="minutes each time")
    system.add_argument("--times", metavar="A_WEEK", help="times a week: 3, 'every day', 'every 3 days'")
    system.add_argument(
        "--gets", metavar="VOLUME", help="or: water it gets in a week, 200L or 50gal; with --times, each time"
    )
    system.add_argument(
        "--cup", metavar="DEPTH", help="lawn sprinkler: water in a cup under the tree after 15 minutes, 8mm or 0.3in"
    )
    system.add_argument("--caught", nargs="+", metavar="ML", help="emitter test: millilitres caught at each")
    system.add_argument("--seconds", type=float, help="seconds the test ran (60)")
    system.add_argument("--water-ec", metavar="EC", help="salt in the water (EC) from a report: 0.9dS/m or 900uS/cm")


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Ask or read, reckon, and tell."""
    from dataclasses import replace

    from sallow.commands.water_inputs import emitter_result, inputs_from, reference_range, still_needed, tree_from
    from sallow.commands.water_supply import refuse_half_told
    from sallow.commands.weather_option import read_weather, weather_data, weather_lines
    from sallow.errors import BadInput
    from sallow.knowledge.locate import shipped_folder
    from sallow.knowledge.tables import load_tables

    tables = load_tables(shipped_folder("knowledge"))
    inputs, wet = inputs_from(arguments), None
    if arguments.tree:
        from sallow.commands.water_book import kept_of, with_tree

        kept = kept_of(arguments, environment)
        inputs, wet = with_tree(inputs, kept, environment.today), kept.wet
    weather = read_weather(arguments, environment, inputs.latitude, tables)
    if weather is not None and not weather[0].stale:
        inputs = replace(
            inputs,
            weather_reference_mm=weather[0].reference_mm_per_day,
            rain_mm_per_week=inputs.rain_mm_per_week or weather[1],
        )
    if weather is not None and weather[0].stale and not (inputs.reference_known or inputs.climate):
        weather_too_old = f"the weather file ends on {weather[0].last}, too long before {environment.today} to use"
        if inputs.canopy_m is not None:
            raise BadInput(f"{weather_too_old}; give newer days, or --climate and --warmth.")
    only_weather = weather is not None and inputs.canopy_m is None and not arguments.ask
    test = emitter_result(inputs)
    if arguments.ask or (not only_weather and _nothing_told(arguments)):
        if arguments.format == "json":
            raise BadInput("--format json needs the options; the questions are for reading. See sallow water --help.")
        from sallow.commands.water_questions import ask_water

        inputs = ask_water(inputs, environment, tables)
        test = emitter_result(inputs)
        needed = still_needed(inputs)
        if needed:
            _say_needed(needed, inputs, environment, wet)
            return ExitStatus.OK
    else:
        refuse_half_told(inputs, arguments)
    from sallow.commands.water_data import report_json
    from sallow.commands.water_words import WaterReport, report_text

    plan, reference, how, tree = None, None, "", None
    if inputs.canopy_m is not None or not (only_weather or test is not None):
        reference, how = reference_range(inputs, environment.today, tables)
        tree = tree_from(inputs, reference, test, environment.today)
        from sallow.care.water_plan import plan_water

        plan = plan_water(tree, tables)
    report = WaterReport(
        tree=tree,
        plan=plan,
        reference_how=how,
        test=test,
        weather_lines=() if weather is None else tuple(weather_lines(weather[0], arguments.units)),
        weather_notes=() if weather is None else weather[2],
        weather_data=None if weather is None else weather_data(weather[0]),
        unknown=_taken_for_granted(inputs) if plan is not None else (),
        wet=wet,
    )
    if arguments.format == "json":
        environment.say(report_json(report))
    else:
        report_text(report, environment, arguments.units, arguments.show_working, tables)
    if arguments.save_answers:
        from sallow.commands.look_sources import save_results

        save_results(arguments.save_answers, "water", report_json(report), environment)
    return ExitStatus.OK


def _nothing_told(arguments: argparse.Namespace) -> bool:
    told = ("crop", "canopy", "et0", "tmin", "climate", "system", "emitters", "flow", "caught", "gets", "cup", "pot")
    return all(getattr(arguments, name) is None for name in (*told, "pot_width"))


def _say_needed(
    needed: tuple[str, ...], inputs: WaterInputs, environment: Environment, wet: WetSoil | None
) -> None:
    """What is still to be found out, and the answers given, so that nothing typed is lost."""
    from dataclasses import fields

    from sallow.commands.figures import say_wrapped
    from sallow.commands.water_inputs import WaterInputs as Blank

    environment.say("")
    if wet is not None:
        from sallow.commands.water_words import wet_words

        say_wrapped(environment, wet_words(wet), hang="")
    environment.say("I cannot say yet how much it needs. Find out first:")
    for words in needed:
        say_wrapped(environment, words, "  - ", "    ")
    say_wrapped(
        environment,
        "Until then let the soil a hand deep decide: water when it feels dry there, wait while it is moist.",
        hang="",
    )
    blank = Blank(units=inputs.units)
    told = [
        f"{_TOLD[field.name]}: {_plainly(getattr(inputs, field.name))}"
        for field in fields(inputs)
        if field.name in _TOLD and getattr(inputs, field.name) not in (getattr(blank, field.name), "other")
    ]
    if told:
        environment.say("")
        environment.say("What you told me, to have at hand next time:")
        for words in told:
            say_wrapped(environment, words, "  - ", "    ")


_TOLD = {
    "crop": "tree",
    "canopy_m": "width of the crown, m",
    "size": "size",
    "season": "leaves",
    "cover": "under it",
    "climate": "climate",
    "warmth": "warmth",
    "system": "watered by",
    "emitters": "emitters",
    "flow_l_per_h": "flow of one emitter, litres an hour",
    "minutes": "minutes each time",
    "times_a_week": "times a week",
    "gets_l_per_week": "it gets, litres a week",
    "cup_mm": "in a cup after 15 minutes, mm",
    "caught_ml": "caught, ml",
    "texture": "soil",
    "pot_m": "width of the pot, m",
    "pot_l": "pot, litres",
    "ec_water": "salt content of the water, dS/m",
}


def _plainly(value: object) -> str:
    if isinstance(value, tuple):
        return " ".join(f"{part:.3g}" for part in value)
    return f"{value:.3g}" if isinstance(value, float) else str(value).replace("_", " ")


def _taken_for_granted(inputs: WaterInputs) -> tuple[str, ...]:
    from sallow.commands.water_inputs import size_taken, system_of

    size = {"young": "a young tree, by its small crown", "full": "full grown"}[size_taken(inputs)]
    way = "a drip line" if system_of(inputs) == "drip" else "a bucket at the roots"
    assumed = {
        "crop": "the kind of tree (a usual range is used)",
        "size": f"its size (taken as {size})",
        "system": f"the way of watering (taken as {way})",
    }
    if not inputs.in_pot:
        assumed["cover"] = "what grows under it (taken as bare ground)"
    return tuple(words for name, words in assumed.items() if getattr(inputs, name) is None)
