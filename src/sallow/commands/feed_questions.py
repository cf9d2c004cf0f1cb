"""The guided questions of ``sallow feed``: what may forbid it, how the tree does, its size, the bag."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from sallow.care.feeding.tree import CROPS
from sallow.commands import feed_measures as read
from sallow.commands.feed_facts import Facts
from sallow.commands.numbered import NumberedQuestions
from sallow.errors import BadInput

_YES_NO = (("yes", "yes"), ("no", "no"))


@dataclass(frozen=True, slots=True)
class Question:
    """One fact to ask for: the field of Facts, the words, the choices or the reader of what is typed."""

    fact: str
    ask: str
    choices: tuple[tuple[str, str], ...] = ()
    reader: Callable[[str], Any] | None = None
    needed: Callable[[Facts], bool] = lambda facts: True  # noqa: ARG005


def _centimetres(text: str) -> float:
    return read.metres(text) * 100


def _years(text: str) -> float:
    try:
        return float(text.lower().replace(",", ".").removesuffix("years").removesuffix("year").strip())
    except ValueError:
        raise BadInput(f"'{text}' is not a number of years; type 4, or 0.5 for six months.") from None


_START = (
    Question(
        "crop",
        "Which fruit is it?",
        (*((crop, crop) for crop in CROPS if crop != "other"), ("other", "another fruit")),
    ),
    Question(
        "grown_in",
        "Where does it grow?",
        (("ground", "in open ground"), ("pot", "in a pot or tub"), ("lawn", "in lawn")),
    ),
    Question("age_years", "How many years ago was it planted? Such as 4, or 0.5.", reader=_years),
    Question(
        "soil",
        "Dig or probe a hand and a half deep under the edge of the canopy (in a pot, to the bottom third). "
        "How is the soil?",
        (("dry", "dry"), ("moist", "just moist"), ("wet", "wet, days after water")),
    ),
    Question(
        "troubles",
        "Has any of these hurt it since last season?",
        (
            ("none", "none of these"),
            ("frosted", "frost"),
            ("weed_killer", "weed killer, or drift of it"),
            ("salted", "salt: salty water, sea spray, a white crust on the ground"),
            ("burned", "too much feed"),
        ),
        needed=lambda facts: not facts.troubles and facts.unhurt is None,
    ),
    Question(
        "new_growth",
        "Has it made new growth since it was planted?",
        _YES_NO,
        needed=lambda facts: (facts.age_years or 1) < 1 and not facts.tree().deciduous,
    ),
)
_PLACE = (
    Question("hemisphere", "Which half of the world?", (("north", "northern"), ("south", "southern"))),
    Question(
        "climate",
        "Which climate comes nearest?",
        (
            ("dry_summer", "mild winters and dry summers"),
            ("desert", "desert: mild winters, very hot dry summers"),
            ("humid_subtropical", "mild winters and rainy summers"),
            ("cool_humid", "cold winters and rainy summers"),
            ("cold_dry", "cold winters and dry summers"),
            ("tropical", "no winter: wet and dry seasons"),
        ),
    ),
    Question("frost", "Does frost come there in the cold months?", _YES_NO),
    Question("last_fed", "When was it last fed? Such as 2026-03-15.", reader=read.calendar_day),
)
_LOOKS = (
    Question(
        "leaf_colour",
        "How green are the leaves?",
        (
            ("dark", "dark green and lush"),
            ("green", "green as they should be"),
            ("pale", "evenly pale all over the tree"),
            ("pale_old", "evenly pale or yellow, the oldest leaves most"),
            ("yellow_new", "yellow on the newest leaves"),
        ),
    ),
    Question(
        "shoot_cm",
        "How long are this season's new shoots, from where they started this year to the tip? Such as 25 cm "
        "or 10 in.",
        reader=_centimetres,
        needed=lambda facts: facts.shoot_word is None,
    ),
    Question("lawn_fed", "Is the lawn fed?", _YES_NO, needed=lambda facts: facts.grown_in == "lawn"),
)
_SIZE = (
    Question(
        "pot_m",
        "How wide is the pot? Such as 50 cm or 20 in.",
        reader=read.metres,
        needed=lambda facts: facts.grown_in == "pot",
    ),
    Question(
        "canopy_m",
        "How wide is the canopy? Such as 3 m or 10 ft.",
        reader=read.metres,
        needed=lambda facts: facts.grown_in != "pot",
    ),
    Question(
        "height_m",
        "How tall is it? Such as 2 m or 7 ft.",
        reader=read.metres,
        needed=lambda facts: facts.crop in ("fig", "pomegranate"),
    ),
    Question(
        "trunk_cm",
        "How thick is the trunk just under knee height (30 cm, 1 ft)? Such as 8 cm or 3 in.",
        reader=_centimetres,
        needed=lambda facts: (
            facts.crop in ("loquat", "olive", "mango", "guava", "other", None) or facts.age_years is None
        ),
    ),
)
ROUNDS = (_START, _PLACE, _LOOKS)


def ask_round(questions: tuple[Question, ...], facts: Facts, asker: NumberedQuestions) -> Facts:
    """``facts`` with the answers to those questions whose fact is not known yet."""
    for question in questions:
        if getattr(facts, question.fact) in (None, frozenset()) and question.needed(facts):
            facts = _answered(question, facts, asker)
    return facts


def ask_size(facts: Facts, asker: NumberedQuestions) -> Facts:
    """The sizes that the amounts need."""
    return ask_round(_SIZE, facts, asker)


def ask_bag(asker: NumberedQuestions) -> dict[str, list[str]]:
    """The bag as texts for the options' own path: its numbers or material, its kind and its weight."""
    numbers = asker.value(
        "Which three numbers are on the bag (such as 6-2-3), or which material is it (such as urea)?",
        str,
    )
    if numbers is None:
        return {}
    kind = None
    if numbers[:1].isdigit():
        kind = asker.choose(
            "What kind of feed is it?",
            (
                ("quick", "quick granules or powder"),
                ("coated", "coated, feeds for months"),
                ("organic", "organic: meals, guano, pelleted manure"),
            ),
        )
    weight = asker.value("How much is in the bag? Such as 20 lb or 9 kg.", _weight_text)
    return {"bag": [numbers], "bag_kind": [kind] if kind else [], "bag_weight": [weight] if weight else []}


def _answered(question: Question, facts: Facts, asker: NumberedQuestions) -> Facts:
    if question.reader is not None:
        reader = question.reader

        def checked(text: str) -> Any:
            value = reader(text)
            _with(facts, question.fact, value).tree()
            return value

        return _with(facts, question.fact, asker.value(question.ask, checked))
    picked: Any = asker.choose(question.ask, question.choices)
    if question.fact == "troubles":
        if picked == "none":
            return replace(facts, unhurt=True)
        return facts if picked is None else replace(facts, troubles=frozenset({picked}))
    if question.choices == _YES_NO and picked is not None:
        picked = picked == "yes"
    return _with(facts, question.fact, picked)


def _with(facts: Facts, fact: str, value: Any) -> Facts:
    return replace(facts, **{fact: value})


def _weight_text(text: str) -> str:
    read.kilograms(text, "the weight of the bag")
    return text
