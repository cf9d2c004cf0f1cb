"""What a tree gets: how often it is watered, in words or figures, and the options that go together or do not."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from sallow.care.water import canopy_area_m2, positive, supplied_l_per_week
from sallow.commands import typed
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.commands.water_inputs import WaterInputs

# A cup under a sprinkler is left for this long, in minutes, so that what it holds can be measured.
CUP_MINUTES = 15.0
_COUNTS = {"once": 1.0, "twice": 2.0, "thrice": 3.0, "one": 1.0, "two": 2.0, "three": 3.0, "four": 4.0, "five": 5.0,
           "six": 6.0, "seven": 7.0}  # fmt: skip
_DAILY = frozenset({"daily", "every day", "each day", "once a day", "every night", "every morning", "every evening"})
_SECOND_DAY = frozenset({"every other day", "every second day"})
_FORTNIGHTLY = frozenset({"every fortnight", "every other week", "every second week"})
_WEEKLY = frozenset({"weekly", "every week", "each week"})
_EVERY = re.compile(r"every (\w+) (day|week)s?")
_PER = re.compile(r"(\w+(?:\.\d+)?)(?: times?)?(?:(?: a| per| every|/) ?(day|week|fortnight|month))?")
_DAYS = {"day": 1.0, "week": 7.0, "fortnight": 14.0, "month": 30.4}


def times_a_week(text: str, what: str = "times a week") -> float:
    """Waterings a week from ``3``, ``twice a week``, ``every day``, ``every 3 days``; BadInput names ``what``."""
    plain = " ".join(re.sub(r"(?<=[a-z])-(?=[a-z])", " ", text.lower()).split()).removeprefix("about ")
    if plain in _DAILY:
        return 7.0
    if plain in _SECOND_DAY:
        return 3.5
    if plain in _WEEKLY:
        return 1.0
    if plain in _FORTNIGHTLY:
        return 0.5
    if (match := _EVERY.fullmatch(plain)) and (count := _count(match[1])):
        return 7.0 / (count * _DAYS[match[2]])
    if (match := _PER.fullmatch(plain)) and (count := _count(match[1])) is not None:
        return count * 7.0 / _DAYS[match[2] or "week"]
    raise BadInput(
        f"{what}: '{text.strip()[:40]}' is not how often; expected a number of times a week, or words such as "
        "every day, twice a week, every 3 days."
    )


def _count(word: str) -> float | None:
    if word in _COUNTS:
        return _COUNTS[word]
    return float(word) if re.fullmatch(r"\d+(\.\d+)?", word) else None


def refuse_contradictions(arguments: argparse.Namespace) -> None:
    """BadInput when two options tell the same thing twice, or one can only be used with another that is not there."""
    for first, second, both in (
        ("gets", "minutes", "both tell how much it gets"),
        ("gets", "cup", "both tell how much it gets"),
        ("emitters", "cup", "tell of two ways of watering"),
        ("efficiency", "caught", "both tell how much of the water arrives"),
        ("pot", "pot_width", "both tell the size of the pot"),
    ):
        if getattr(arguments, first) is not None and getattr(arguments, second) is not None:
            raise BadInput(f"{_option(first)} and {_option(second)} {both}; give one of them.")
    if arguments.seconds is not None and arguments.caught is None:
        raise BadInput("--seconds is how long the emitter test ran; it needs --caught, what each cup holds.")


def refuse_half_told(inputs: WaterInputs, arguments: argparse.Namespace) -> None:
    """BadInput when minutes, times or a cup were told but what it gets cannot be worked out from them."""
    told = [name for name in ("minutes", "times", "cup") if getattr(arguments, name) is not None]
    if not told or gets_in_a_week(inputs, inputs.flow_l_per_h) is not None or inputs.canopy_m is None:
        return
    lacks = [option for option, value in _needed(inputs) if value in (None, ())]
    raise BadInput(
        f"{' and '.join(_option(name) for name in told)} alone cannot tell how much it gets; {' and '.join(lacks)} "
        "must be told too, or --gets (the amount each time) with --times. Or add --ask, and it asks."
    )


def _needed(inputs: WaterInputs) -> tuple[tuple[str, object], ...]:
    often = (("--times", inputs.times_a_week), ("--minutes", inputs.minutes))
    if inputs.cup_mm is not None or inputs.system == "sprinkler":
        return (*often, ("--cup", inputs.cup_mm))
    return (*often, ("--emitters", inputs.emitters), ("--flow", inputs.flow_l_per_h or inputs.caught_ml))


def gets_in_a_week(inputs: WaterInputs, flow_l_per_h: float | None) -> float | None:
    """Litres a week from what was told; None when that does not tell it.

    Of a sprinkler: the depth in a cup after 15 minutes, times its minutes, on the ground under the crown.
    """
    if inputs.gets_l_per_week is not None:
        return inputs.gets_l_per_week
    minutes, times = inputs.minutes, inputs.times_a_week
    if minutes is None or times is None:
        return None
    if inputs.cup_mm is not None and inputs.canopy_m is not None:
        depth = positive(inputs.cup_mm, "the depth in the cup", "mm", 100) * minutes / CUP_MINUTES
        return depth * canopy_area_m2(inputs.canopy_m) * times
    if inputs.emitters is None or (flow_l_per_h is None and not inputs.caught_ml):
        return None
    return None if flow_l_per_h is None else supplied_l_per_week(inputs.emitters, flow_l_per_h, minutes, times)


def supply_known(inputs: WaterInputs) -> bool:
    """Whether what it gets needs no more questions."""
    if inputs.gets_l_per_week is not None:
        return True
    measured = inputs.cup_mm is not None or (
        inputs.emitters is not None and (inputs.flow_l_per_h is not None or bool(inputs.caught_ml))
    )
    return measured and inputs.minutes is not None and inputs.times_a_week is not None


def gets_from_options(litres: float | None, times: float | None) -> float | None:
    """What --gets means: in a week, or each time when --times is told too."""
    return litres if litres is None or times is None else litres * times


def read_cup(text: str, units: str, what: str) -> float:
    """The depth of water in a cup in mm, from ``8 mm``, ``1 cm`` or ``0.3 in``."""
    return typed.amount(text, typed.CUP_DEPTH, units, what)


def _option(name: str) -> str:
    return "--" + name.replace("_", "-")
