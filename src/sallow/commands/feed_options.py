"""The options of ``sallow feed``, and the facts they state."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sallow.commands.feed_facts import Facts

# Options that state nothing about the tree or the bag: alone they leave the guided questions on.
_MANNERS = ("units", "show_working", "format", "ask", "look", "tree", "book", "command", "version", "traceback")

USAGE = "sallow feed [--crop FRUIT --age YEARS --in PLACE --soil MOISTURE ...] [--bag N-P-K ...]"
DESCRIPTION = (
    "Should this tree be fed, and if so how much of the bag at hand, when and where. Without options it asks, one "
    "question at a time. With options it asks nothing: what you leave out counts as not sure (--ask asks for it). "
    "All options may be left out."
)


def add_options(parser: argparse.ArgumentParser) -> None:
    """All options, in groups; defaults mean "not sure"."""
    parser.usage = USAGE
    parser.description = DESCRIPTION
    _tree_options(parser.add_argument_group("the tree"))
    _condition_options(parser.add_argument_group("how it does"))
    _bag_options(parser.add_argument_group("what is in the shed"))
    _other_options(parser.add_argument_group("what else brings nitrogen, and the soil that holds it"))
    _liquid_options(parser.add_argument_group("feeding with the water"))
    manners = parser.add_argument_group("output, and where facts come from")
    manners.add_argument(
        "--units", choices=("metric", "us", "both"), default="both", help="units in the answer"
    )
    manners.add_argument("--show-working", action="store_true", help="show how each figure was reckoned")
    manners.add_argument(
        "--format", choices=("text", "json"), default="text", help="text for people, or JSON"
    )
    manners.add_argument("--ask", action="store_true", help="ask for what the options leave open")
    manners.add_argument("--look", metavar="FILE", help="a saved look (JSON): what it found is heeded")
    manners.add_argument("--tree", metavar="NAME", help="a tree of the tree book: its facts, notes and last look")
    manners.add_argument("--book", metavar="PATH", help="the tree book to use instead of your own")


def stated_any(arguments: argparse.Namespace) -> bool:
    """Whether any fact was given as an option, so that no questions are asked."""
    return any(
        value not in (None, False, []) for name, value in vars(arguments).items() if name not in _MANNERS
    )


def facts_from_options(arguments: argparse.Namespace, facts: Facts) -> Facts:
    """``facts`` with every fact that the options state; BadInput for one that cannot be read."""
    from sallow.commands import feed_measures as read

    changes: dict[str, Any] = {
        name: value
        for name in (
            "crop",
            "grown_in",
            "climate",
            "hemisphere",
            "leaf_colour",
            "soil",
            "leaf_test",
            "soil_test",
        )
        if (value := getattr(arguments, name)) is not None
    }
    for name in ("frost", "bearing", "new_growth", "lawn_fed", "good_soil"):
        if getattr(arguments, name) is not None:
            changes[name] = getattr(arguments, name) == "yes"
    for name in ("age_years", "leaf_nitrogen"):
        if getattr(arguments, name) is not None:
            changes[name] = getattr(arguments, name)
    for name, what in (
        ("canopy", "the canopy width"),
        ("height", "the height"),
        ("pot_width", "the pot width"),
    ):
        if getattr(arguments, name) is not None:
            changes[{"canopy": "canopy_m", "height": "height_m", "pot_width": "pot_m"}[name]] = read.metres(
                getattr(arguments, name), what
            )
    if arguments.trunk is not None:
        changes["trunk_cm"] = read.metres(arguments.trunk, "the trunk width") * 100
    if arguments.last_fed is not None:
        changes["last_fed"] = read.calendar_day(arguments.last_fed, "the day it was last fed")
    if arguments.shoots is not None:
        changes |= _shoots(arguments.shoots)
    if arguments.dwarf:
        changes["dwarf"] = True
    changes["troubles"] = facts.troubles | (frozenset(arguments.hurt_by) - {"none"})
    if "none" in arguments.hurt_by and not changes["troubles"]:
        changes["unhurt"] = True
    return replace(facts, **changes)


def stated_day(arguments: argparse.Namespace, today: date) -> date:
    """The day to reckon from."""
    from sallow.commands.feed_measures import calendar_day

    return today if arguments.date is None else calendar_day(arguments.date)


def paired(values: Sequence[str], count: int, option: str) -> list[str | None]:
    """``values`` given once for each bag, filled up with None; BadInput when there are more than bags."""
    from sallow.errors import BadInput

    if len(values) > count:
        raise BadInput(
            f"{option} was given {len(values)} times for {count} bags; give it once after each --bag."
        )
    return [*values, *([None] * (count - len(values)))]


def _shoots(text: str) -> dict[str, Any]:
    from sallow.care.feeding.growth import WORDS
    from sallow.commands.feed_measures import metres
    from sallow.errors import BadInput

    if text in WORDS:
        return {"shoot_word": text}
    if not text[:1].isdigit():
        raise BadInput(
            f"shoots '{text}': give their length with its unit (20 cm, 8 in) or one of {', '.join(WORDS)}."
        )
    if text.strip().split(" ")[0] in ("0", "0cm", "0in"):
        return {"shoot_cm": 0.0}
    return {"shoot_cm": metres(text, "the length of the shoots") * 100}


def _underscored(text: str) -> str:
    return text.replace("-", "_").replace(" ", "_")


def _tree_options(group: Any) -> None:
    from sallow.care.feeding.tree import CLIMATES, PLACES

    group.add_argument("--crop", metavar="FRUIT", help="which fruit, such as lemon, avocado, apple")
    group.add_argument(
        "--age", dest="age_years", type=float, metavar="YEARS", help="years since it was planted"
    )
    group.add_argument("--canopy", metavar="WIDTH", help="how wide the canopy is, such as '3 m' or '10 ft'")
    group.add_argument(
        "--trunk", metavar="WIDTH", help="how thick the trunk is at knee height, such as '8 cm'"
    )
    group.add_argument("--height", metavar="HEIGHT", help="how tall it is, such as '2 m' or '7 ft'")
    group.add_argument("--in", dest="grown_in", choices=PLACES, help="grown in open ground, a pot, or lawn")
    group.add_argument("--pot-width", metavar="WIDTH", help="how wide the pot is, such as '50 cm' or '20 in'")
    group.add_argument("--dwarf", action="store_true", help="it is a dwarf tree")
    group.add_argument("--bearing", choices=("yes", "no"), help="whether it bears fruit yet")
    group.add_argument(
        "--climate", metavar="KIND", type=_underscored, choices=CLIMATES, help=f"one of {', '.join(CLIMATES)}"
    )
    group.add_argument("--hemisphere", choices=("north", "south"), help="which half of the world")
    group.add_argument("--frost", choices=("yes", "no"), help="whether frost comes in the cold months")
    group.add_argument("--date", metavar="DAY", help="the day to reckon from, as year-month-day (today)")


def _condition_options(group: Any) -> None:
    from sallow.care.feeding.decision import COLOURS, LEVELS, TROUBLES

    yes_no = ("yes", "no")
    group.add_argument(
        "--leaf-colour",
        "--leaf-color",
        metavar="COLOUR",
        type=_underscored,
        choices=COLOURS,
        help=f"how green the leaves are: {', '.join(COLOURS)}",
    )
    group.add_argument(
        "--shoots",
        metavar="LENGTH",
        help="this season's shoots: '20 cm', '8 in', or hardly, short, normal, strong",
    )
    group.add_argument("--soil", choices=("dry", "moist", "wet"), help="the soil 30 cm (12 in) deep")
    group.add_argument("--new-growth", choices=yes_no, help="newly planted: whether new growth shows")
    group.add_argument("--last-fed", metavar="DAY", help="when it was last fed, as year-month-day")
    group.add_argument("--lawn-fed", choices=yes_no, help="whether the lawn round it is fed")
    group.add_argument("--good-soil", choices=yes_no, help="whether it stands in deep, dark, fertile soil")
    group.add_argument("--leaf-test", choices=LEVELS, help="nitrogen in a leaf test")
    group.add_argument(
        "--leaf-nitrogen", type=float, metavar="PERCENT", help="apple, pear: percent nitrogen in the leaf"
    )
    group.add_argument("--soil-test", choices=LEVELS, help="nitrogen in a soil test")
    group.add_argument(
        "--hurt-by",
        action="append",
        default=[],
        metavar="WHAT",
        type=_underscored,
        choices=("none", *TROUBLES),
        help=f"what hurt it lately, may be repeated: none, {', '.join(TROUBLES)}",
    )


def _bag_options(group: Any) -> None:
    from sallow.care.feeding.bags import KINDS

    group.add_argument(
        "--bag", action="append", default=[], metavar="N-P-K", help="the three numbers, or a material"
    )
    group.add_argument(
        "--bag-kind", action="append", default=[], choices=KINDS, help="how its nitrogen comes free (quick)"
    )
    group.add_argument(
        "--bag-weight", action="append", default=[], metavar="WEIGHT", help="such as '20 lb' or '9 kg'"
    )
    group.add_argument(
        "--price", action="append", default=[], metavar="MONEY", help="what the bag costs, a number"
    )
    group.add_argument("--cup-weight", metavar="WEIGHT", help="what one level cup of the first bag weighed")
    group.add_argument("--nitrogen", metavar="WEIGHT", help="your own figure: the year's actual nitrogen")
    group.add_argument("--region", help="use this state's published rule")


def _other_options(group: Any) -> None:
    group.add_argument(
        "--compost", metavar="AMOUNT", help="compost given this year, such as '20 kg' or '40 L'"
    )
    group.add_argument("--manure", metavar="AMOUNT", help="manure given this year, such as '20 kg' or '40 L'")
    group.add_argument(
        "--manure-kind", choices=("cattle", "horse", "chicken", "sheep", "swine"), help="manure of which animal"
    )
    group.add_argument("--mulch", choices=("woody", "leafy", "none"), help="what the mulch is made of")
    group.add_argument("--nitrate-ppm", type=float, metavar="PPM", help="nitrate in the irrigation water")
    group.add_argument(
        "--nitrate-as", choices=("n", "no3"), help="stated as nitrogen (n) or as nitrate (no3)"
    )
    group.add_argument(
        "--water-used", metavar="VOLUME", help="water this tree gets in a season, such as '3000 L'"
    )
    group.add_argument("--texture", choices=("sand", "sandy_loam", "loam", "clay"), help="kind of soil")


def _liquid_options(group: Any) -> None:
    group.add_argument(
        "--can", metavar="VOLUME", help="liquid feed: size of the can, such as '9 L' or '2 gal'"
    )
    group.add_argument("--ppm", type=float, metavar="PPM", help="its strength in ppm of nitrogen (100)")
    group.add_argument(
        "--drip-flow", metavar="VOLUME", help="through the drip line: what one tree gets in an hour"
    )
    group.add_argument("--drip-hours", type=float, metavar="HOURS", help="how long the line runs each time")
    group.add_argument("--trees", type=int, metavar="NUMBER", help="how many such trees are on the line")
