"""The guided questions of ``sallow feed``: what may forbid it, how the tree does, its size, the bag."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from sallow.care.feeding.tree import CROPS
from sallow.commands import feed_measures as read
from sallow.commands.feed_asides import Decide, asides, why_lines
from sallow.commands.feed_facts import Facts
from sallow.commands.numbered import NumberedQuestions
from sallow.errors import BadInput
from sallow.interview.typed import day_typed, years_typed

_YES_NO = (("yes", "yes"), ("no", "no"))


@dataclass(frozen=True, slots=True)
class Question:
    """One fact to ask for: the field of Facts, the words, why, the choices or the reader of what is typed.

    ``short`` names the question in a few words.
    """

    fact: str
    ask: str
    short: str
    why: str
    choices: tuple[tuple[str, str], ...] = ()
    reader: Callable[[str], Any] | None = None
    needed: Callable[[Facts], bool] = lambda facts: True  # noqa: ARG005

    def is_open(self, facts: Facts) -> bool:
        """Whether it is still to be asked."""
        return getattr(facts, self.fact) in (None, frozenset()) and self.needed(facts)

    def answered(self, facts: Facts, picked: Any) -> Facts:
        """The facts with this answer; ``picked`` is a key of the choices, a value, or None for not sure."""
        if self.fact == "troubles":
            if picked == "none":
                return replace(facts, unhurt=True)
            return facts if picked is None else replace(facts, troubles=frozenset({picked}))
        if self.choices == _YES_NO and picked is not None:
            picked = picked == "yes"
        changes: dict[str, Any] = {self.fact: picked}
        return replace(facts, **changes)


def _centimetres(text: str) -> float:
    return read.metres(text) * 100


def _years(text: str) -> float:
    number = years_typed(text)
    if number is None:
        raise BadInput(f"'{text}' is not a number of years; type 4, or 0.5 for six months.")
    return number


_START = (
    Question(
        "crop",
        "Which fruit is it?",
        "the fruit",
        "The nitrogen for the year, its dates and what the roots bear differ from fruit to fruit.",
        (*((crop, crop) for crop in CROPS if crop != "other"), ("other", "another fruit")),
    ),
    Question(
        "grown_in",
        "Where does it grow?",
        "where it grows",
        "A pot bears far less at once than open ground, and a fed lawn feeds the tree too.",
        (("ground", "in open ground"), ("pot", "in a pot or tub"), ("lawn", "in lawn")),
    ),
    Question(
        "age_years",
        "How many years ago was it planted? Such as 4, or 6 months.",
        "its age",
        "Young trees get a fixed small amount for each year of age; one just planted gets none yet.",
        reader=_years,
    ),
    Question(
        "soil",
        "Dig or probe 30 cm (12 in) deep under the edge of the canopy (in a pot, to the bottom third). "
        "How is the soil?",
        "the soil",
        "Feed on dry roots burns, and on wet roots it is lost and does harm.",
        (("dry", "dry"), ("moist", "just moist"), ("wet", "wet, days after water")),
    ),
    Question(
        "troubles",
        "Has any of these hurt it since last season?",
        "what hurt it",
        "A hurt tree cannot use feed; it is left to recover first.",
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
        "new growth",
        "A tree just planted is fed only once its roots are at work, and new growth shows that.",
        _YES_NO,
        needed=lambda facts: (facts.age_years or 1) < 1 and not facts.tree().deciduous,
    ),
)
_PLACE = (
    Question(
        "hemisphere",
        "Which half of the world?",
        "half of the world",
        "The months of feeding are half a year apart.",
        (("north", "northern"), ("south", "southern")),
    ),
    Question(
        "climate",
        "Which climate comes nearest?",
        "the climate",
        "It decides when feeding begins and when the last safe day is.",
        (
            ("dry_summer", "mild winters and dry summers"),
            ("desert", "desert: mild winters, very hot dry summers"),
            ("humid_subtropical", "mild winters and rainy summers"),
            ("cool_humid", "cold winters and rainy summers"),
            ("cold_dry", "cold winters and dry summers"),
            ("tropical", "no winter: wet and dry seasons"),
        ),
    ),
    Question(
        "frost",
        "Does frost come there in the cold months?",
        "frost",
        "Late nitrogen makes soft growth that frost kills, so the last feeding may have to go.",
        _YES_NO,
    ),
    Question(
        "last_fed",
        "When was it last fed? Such as 15 March, or 3 weeks ago.",
        "last feeding",
        "Feeding too soon after the last one only adds salt.",
        reader=read.calendar_day,
    ),
)
_LOOKS = (
    Question(
        "leaf_colour",
        "How green are the leaves?",
        "leaf colour",
        "Dark leaves say that it has enough; evenly pale old leaves may want nitrogen; yellow new ones another cure.",
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
        "shoot growth",
        "Shoots as long as they should be for its age need no feed; short ones may.",
        reader=_centimetres,
        needed=lambda facts: facts.shoot_word is None,
    ),
    Question(
        "lawn_fed",
        "Is the lawn fed?",
        "the lawn",
        "What a fed lawn leaves over feeds the tree.",
        _YES_NO,
        needed=lambda facts: facts.grown_in == "lawn",
    ),
)
_SIZE = (
    Question(
        "pot_m",
        "How wide is the pot? Such as 50 cm or 20 in.",
        "width of the pot",
        "The surface of the pot limits what the roots bear at once.",
        reader=read.metres,
        needed=lambda facts: facts.grown_in == "pot",
    ),
    Question(
        "canopy_m",
        "How wide is the canopy? Such as 3 m or 10 ft.",
        "width of the canopy",
        "The ring to spread on is reckoned from it, and for some fruits the nitrogen too.",
        reader=read.metres,
        needed=lambda facts: facts.grown_in != "pot",
    ),
    Question(
        "height_m",
        "How tall is it? Such as 2 m or 7 ft.",
        "height",
        "The published rule for this fruit goes by height.",
        reader=read.metres,
        needed=lambda facts: facts.crop in ("fig", "pomegranate"),
    ),
    Question(
        "trunk_cm",
        "How thick is the trunk just under knee height (30 cm, 1 ft)? Such as 8 cm or 3 in.",
        "thickness of the trunk",
        "Where no rule goes by age, the nitrogen is reckoned from the trunk.",
        reader=_centimetres,
        needed=lambda facts: (
            facts.crop in ("loquat", "olive", "mango", "guava", "other", None) or facts.age_years is None
        ),
    ),
)
ROUNDS = (_START, _PLACE, _LOOKS)


def ask_round(questions: tuple[Question, ...], facts: Facts, asker: NumberedQuestions, decide: Decide) -> Facts:
    """``facts`` with the answers to those questions whose fact is not known yet."""
    for question in questions:
        if question.is_open(facts):
            asker.asides = asides(facts, ROUNDS, decide)
            facts = _answered(question, facts, asker, decide)
    return facts


def ask_size(facts: Facts, asker: NumberedQuestions, decide: Decide) -> Facts:
    """The sizes that the amounts need."""
    return ask_round(_SIZE, facts, asker, decide)


def ask_bag(asker: NumberedQuestions) -> dict[str, list[str]]:
    """The bag as texts for the options' own path: its numbers or material, its kind and its weight."""
    numbers = asker.value(
        "Which three numbers are on the bag (such as 6-2-3), or which material is it (such as urea)?",
        str,
        "The first number is the percentage of nitrogen; the weight to spread is reckoned from it.",
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
            "Quick feeds burn sooner; of organic ones only part works in the first year.",
        )
    weight = asker.value(
        "How much is in the bag? Such as 20 lb or 9 kg.", _weight_text, "It tells how many bags the year takes."
    )
    return {"bag": [numbers], "bag_kind": [kind] if kind else [], "bag_weight": [weight] if weight else []}


def _answered(question: Question, facts: Facts, asker: NumberedQuestions, decide: Decide) -> Facts:
    def why() -> list[str]:
        return why_lines(question, facts, decide)

    if question.reader is None:
        return question.answered(facts, asker.choose(question.ask, question.choices, why))
    reader = question.reader

    def checked(text: str) -> Any:
        value = day_typed(text.strip(), asker.today) if question.fact == "last_fed" else reader(text)
        question.answered(facts, value).tree()
        return value

    return question.answered(facts, asker.value(question.ask, checked, why))


def _weight_text(text: str) -> str:
    read.kilograms(text, "the weight of the bag")
    return text
