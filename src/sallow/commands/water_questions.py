"""The guided questions of ``sallow water``; every one can be answered with not sure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from sallow.commands import typed
from sallow.commands.numbered import NumberedQuestions, asked_with_back
from sallow.commands.water_asides import asides
from sallow.commands.water_inputs import CLIMATES, CROPS, EVERGREEN, WaterInputs, crop_named, pot_size
from sallow.commands.water_supply import read_cup, supply_known, times_a_week
from sallow.environment import Environment

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table

SIZES = (
    ("young", "young: less than a fifth of its full size"),
    ("half_grown", "half grown"),
    ("full", "full grown, or nearly"),
)
SEASONS = (
    ("leafless", "bare, no leaves"),
    ("start", "opening its leaves"),
    ("full", "in full leaf"),
    ("end", "late: leaves ageing, after harvest"),
)
CLIMATE_WORDS = {
    "dry_summer": "dry summer, wet mild winter",
    "desert": "desert, little rain all year",
    "humid_subtropical": "warm and humid, rain in summer",
    "cool_humid": "cool and humid",
    "cold_dry": "cold winter, dry",
    "tropical": "tropical",
}
WARMTHS = (
    ("cool", "cool: daily mean about 10 C (50 F)"),
    ("mild", "mild: about 20 C (68 F)"),
    ("hot", "hot: above 30 C (86 F)"),
)
SYSTEMS = (
    ("drip", "drip emitters"),
    ("micro_spray", "small sprayers"),
    ("sprinkler", "a lawn sprinkler"),
    ("hose", "a hose, into a basin or over the ground"),
    ("bucket", "a can or bucket"),
    ("none", "it is not watered"),
)
PLACES = (("ground", "in the ground"), ("pot", "in a pot or tub"), ("lawn", "in a lawn"))
TEXTURES = (
    ("sand", "sand: gritty, will not ball"),
    ("sandy_loam", "sandy loam: balls but falls apart"),
    ("loam", "loam: a ball that holds, no ribbon"),
    ("clay_loam", "clay loam: a short ribbon between the fingers"),
    ("clay", "clay: a long shiny ribbon"),
)


# Why each question is asked, for those who want to know.
WHY = {
    "crop": "Each kind of tree drinks its own share of what the air takes (its crop coefficient).",
    "place": "A pot holds far less than open ground and has to be filled far more often.",
    "pot": "What the pot holds decides how many days one watering lasts.",
    "texture": "Sand holds little and clay much, which decides how many days one watering lasts.",
    "canopy": "The water a tree uses goes by the ground its crown covers.",
    "size": "A young tree covers little of its ground and drinks less for its width.",
    "season": "Bare trees use next to nothing, and leaves just opening use less than full ones.",
    "cover": "Grass under the tree drinks too.",
    "climate": "Without measured weather the usual range for climate and warmth stands in.",
    "warmth": "Warm days can take twice the water of cool ones.",
    "system": "Some ways of watering lose more on the way to the roots than others.",
    "times": "How often, times how much, is what the tree gets in a week.",
    "litres": "How often, times how much, is what the tree gets in a week.",
    "cup": "The depth in a cup, times the minutes, times the ground under the crown is what the tree gets of it.",
    "minutes": "Minutes times flow times emitters is what the tree gets.",
    "emitters": "Minutes times flow times emitters is what the tree gets.",
    "caught": "Measured water goes before the printed flow, and shows clogged emitters.",
    "flow": "Minutes times flow times emitters is what the tree gets.",
    "salt": "Salty water calls for a little more, to wash the salt below the roots.",
}


# Notes the answers so far, for what a person may ask about them.
Told = Callable[[WaterInputs], WaterInputs]


def ask_water(start: WaterInputs, environment: Environment, tables: Mapping[str, Table]) -> WaterInputs:
    """Fill in what ``start`` does not know."""

    def ask(questions: NumberedQuestions) -> WaterInputs:
        def told(inputs: WaterInputs) -> WaterInputs:
            questions.asides = asides(inputs, environment.today, tables)
            return inputs

        found = told(start)
        for part in (_the_tree, _the_weather, _the_watering):
            found = told(part(found, questions, told))
        return told(_the_salt(found, questions))

    opening = "How much water does the tree need, and does it get it?"
    return asked_with_back(environment, ask, judging=True, opening=opening)


def _the_tree(inputs: WaterInputs, questions: NumberedQuestions, told: Told) -> WaterInputs:
    if inputs.crop is None:
        words = f"What kind of tree is it? ({', '.join(CROPS)})"
        inputs = told(replace(inputs, crop=questions.value(words, crop_named, WHY["crop"]) or "other"))
    if inputs.pot_l is None and inputs.texture is None:
        if inputs.place is None:
            place = questions.choose("Where does it stand?", PLACES, WHY["place"])
            inputs = told(replace(inputs, place=place, cover=inputs.cover or ("grass" if place == "lawn" else None)))
        if inputs.place == "pot":
            size = questions.value(
                "How wide is the pot, or how much does it hold? Such as 50 cm, 20 in or 100 L.",
                lambda text: pot_size(text, inputs.units, "the pot"),
                WHY["pot"],
            )
            litres, wide = size or (None, None)
            inputs = told(replace(inputs, pot_l=litres, pot_m=wide))
        else:
            texture = questions.choose("How does the wet soil feel in the hand?", TEXTURES, WHY["texture"])
            inputs = told(replace(inputs, texture=texture))
    if inputs.canopy_m is None:
        canopy = questions.value(
            "How wide is the crown, from leaf tip to leaf tip? (one long step is about 0.8 m or 2.5 ft)",
            lambda text: typed.amount(text, typed.LENGTH, inputs.units, "crown width"),
            WHY["canopy"],
        )
        inputs = told(replace(inputs, canopy_m=canopy))
    if inputs.size is None:
        size_now = questions.choose("How big is it, against what it will be?", SIZES, WHY["size"])
        inputs = told(replace(inputs, size=size_now))
    if inputs.season is None and inputs.crop not in EVERGREEN:
        inputs = told(replace(inputs, season=questions.choose("What is it doing now?", SEASONS, WHY["season"])))
    if inputs.cover is None and not inputs.in_pot:
        cover = questions.choose(
            "What grows on the ground under it?",
            (("bare", "nothing, or mulch"), ("grass", "grass or other plants")),
            WHY["cover"],
        )
        inputs = told(replace(inputs, cover=cover))
    return inputs


def _the_weather(inputs: WaterInputs, questions: NumberedQuestions, told: Told) -> WaterInputs:
    if inputs.reference_known:
        return inputs
    inputs = told(replace(inputs, climate=inputs.climate or _climate(questions)))
    warmth = inputs.warmth or questions.choose("How warm were the last two weeks?", WARMTHS, WHY["warmth"])
    return replace(inputs, warmth=warmth)


def _climate(questions: NumberedQuestions) -> str | None:
    return questions.choose(
        "What is the climate like?", tuple((kind, CLIMATE_WORDS[kind]) for kind in CLIMATES), WHY["climate"]
    )


def _the_watering(inputs: WaterInputs, questions: NumberedQuestions, told: Told) -> WaterInputs:
    if supply_known(inputs):
        return inputs
    system = inputs.system or questions.choose("How is it watered?", SYSTEMS, WHY["system"])
    inputs = told(replace(inputs, system=system))
    if system == "none":
        return replace(inputs, gets_l_per_week=0.0)
    if system is None:
        return inputs
    times = inputs.times_a_week
    if times is None:
        words = "How often? A number of times a week, or such as every day, twice a week, every 3 days."
        times = questions.value(words, times_a_week, WHY["times"])
    inputs = told(replace(inputs, times_a_week=times))
    if system in ("drip", "micro_spray"):
        return _the_emitters(inputs, questions, told)
    if system == "sprinkler":
        return _the_sprinkler(inputs, questions)
    litres = questions.value(
        "About how much water does this tree get each time? (a 10 L can, a 2 gal bucket; a hose gives 10 to "
        "20 L "
        "or 3 to 5 gal a minute: time one bucket)",
        lambda text: typed.amount(text, typed.VOLUME, inputs.units, "water each time"),
        WHY["litres"],
    )
    gets = litres * times if litres is not None and times is not None else None
    return replace(inputs, times_a_week=times, gets_l_per_week=gets)


def _minutes(questions: NumberedQuestions) -> float | None:
    return questions.value(
        "How many minutes each time?", lambda text: typed.plain_number(text, "minutes"), WHY["minutes"]
    )


def _the_sprinkler(inputs: WaterInputs, questions: NumberedQuestions) -> WaterInputs:
    minutes = inputs.minutes or _minutes(questions)
    cup = inputs.cup_mm or questions.value(
        "Cup test: what a lawn sprinkler gives is its minutes times the depth that a cup catches, so stand a few "
        "straight-sided cups or tins under the tree, run it for 15 minutes, and measure. How deep is the water, such "
        "as 8 mm or 0.3 in?",
        lambda text: read_cup(text, inputs.units, "water in the cup"),
        WHY["cup"],
    )
    return replace(inputs, minutes=minutes, cup_mm=cup)


def _the_emitters(inputs: WaterInputs, questions: NumberedQuestions, told: Told) -> WaterInputs:
    minutes = inputs.minutes or _minutes(questions)
    count = inputs.emitters or questions.value(
        "How many emitters does this tree have?", lambda text: typed.whole_number(text, "emitters"), WHY["emitters"]
    )
    inputs = told(replace(inputs, minutes=minutes, emitters=count))
    if inputs.caught_ml:
        return inputs
    caught = questions.value(
        "Have you caught the water of some emitters for a minute? Type the millilitres of each (1 fl oz is "
        "30 mL), "
        "for example 55 60 48 57",
        lambda text: typed.numbers(text, "water caught"),
        WHY["caught"],
    )
    if caught:
        return replace(inputs, caught_ml=caught, seconds=60.0)
    flow = inputs.flow_l_per_h or questions.value(
        "What flow is printed on one emitter? (often 2, 4 or 8 L/h; 0.5, 1 or 2 gph)",
        lambda text: typed.amount(text, typed.FLOW, inputs.units, "flow"),
        WHY["flow"],
    )
    return replace(inputs, flow_l_per_h=flow)


def _the_salt(inputs: WaterInputs, questions: NumberedQuestions) -> WaterInputs:
    if inputs.ec_water is not None or inputs.system == "none":
        return inputs
    salt = questions.value(
        "Do you know the salt content (EC) of the water from a report?",
        lambda text: typed.salt_content(text, "salt content"),
        WHY["salt"],
    )
    return replace(inputs, ec_water=salt)
