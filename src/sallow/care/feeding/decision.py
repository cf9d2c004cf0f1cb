"""Should this tree be fed at all this year? The decision and its reasons, before any amount."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal

from sallow.care.feeding.dates import WEEKS_BETWEEN, Season
from sallow.care.feeding.growth import Growth, judge_growth
from sallow.care.feeding.reason import Reason
from sallow.care.feeding.tree import Tree

if TYPE_CHECKING:
    from sallow.knowledge.tables import Table

Verdict = Literal["no", "wait", "look", "measure", "one", "yes"]
COLOURS = ("dark", "green", "pale", "pale_old", "yellow_new")
LEVELS = ("low", "right", "high")
# A season that starts within this many days counts as here.
SEASON_NEAR_DAYS = 45
# A newly set tree shows growth after about this long (Louisiana: about six weeks).
SETTLING_YEARS = 6 / 52


@dataclass(frozen=True, slots=True)
class Condition:
    """How the tree does; ``None`` means not known. Lengths in cm; ``troubles`` holds keys of TROUBLES.

    ``unhurt`` is true when somebody looked and none of the troubles was there. ``held_by`` says in sentences which
    troubles of roots, trunk or water the last look found, ``beside`` which others.
    """

    leaf_colour: str | None = None
    shoot_cm: float | None = None
    shoot_word: str | None = None
    soil: str | None = None
    new_growth: bool | None = None
    last_fed: date | None = None
    lawn_fed: bool | None = None
    good_soil: bool | None = None
    leaf_test: str | None = None
    soil_test: str | None = None
    troubles: frozenset[str] = frozenset()
    unhurt: bool | None = None
    held_by: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()

    @property
    def nothing_known(self) -> bool:
        """Whether neither the soil, nor harm, nor how the tree grows and looks is known."""
        signs = (self.leaf_colour, self.shoot_cm, self.shoot_word, self.leaf_test, self.soil_test, self.new_growth)
        return self.soil is None and not self.unhurt and all(sign is None for sign in signs)


@dataclass(frozen=True, slots=True)
class Decision:
    """The verdict, why, and until when to wait (when that is known).

    ``no`` not this year; ``wait`` not yet; ``look`` find the cause first; ``measure`` cannot be told without
    the shoots; ``one`` a single feeding at most; ``yes`` the usual feedings. ``then`` is what follows a wait
    that is only for the season.
    """

    verdict: Verdict
    reasons: tuple[Reason, ...]
    until: date | None = None
    then: Verdict | None = None

    @property
    def feeds(self) -> bool:
        """Whether amounts follow."""
        return (self.then or self.verdict) in ("one", "yes")

    @property
    def once(self) -> bool:
        """Whether one feeding is all."""
        return (self.then or self.verdict) == "one"


TROUBLES = {
    "roots_wet": "The roots stand wet. Wet roots cannot take feed up; it only adds salt and runs to the "
    "groundwater. Let the ground drain and dry first, and look again in three to four weeks.",
    "root_rot": "Root rot is among the likely causes. Feed pushes leaves that sick roots cannot carry. "
    "Put the water right first.",
    "salted": "The root zone is salty. Every fertilizer is a salt too and would add to it. "
    "Wash the salt down first where the ground drains, then look again.",
    "frosted": "The tree was hurt by frost. Feed would push soft growth before it shows which wood lives. "
    "Wait until the spring growth shows what is alive.",
    "weed_killer": "Weed killer hurt the tree. Feed does not undo that and only strains it; water as usual "
    "and wait for clean new growth, this season at least.",
    "burned": "The tree was burned by too much feed lately. No more this season; water deeply if the ground "
    "drains.",
}


def decide(
    tree: Tree,
    condition: Condition,
    season: Season | None,
    today: date | None,
    tables: Mapping[str, Table],
) -> Decision:
    """Whether to feed, from what is known; not knowing is a reason to look, never a reason to feed."""
    stop = (
        _stopped_by_trouble(condition)
        or _stopped_by_water(condition)
        or _newly_planted(tree, condition, tables["feeding_first_year"])
        or _fed_lately(tree, condition, season, today)
    )
    if stop is not None:
        return stop
    return _with_other_troubles(_by_growth(tree, condition, season, today, tables), condition)


def _by_growth(
    tree: Tree, condition: Condition, season: Season | None, today: date | None, tables: Mapping[str, Table]
) -> Decision:
    growth = judge_growth(tree, condition.shoot_cm, condition.shoot_word, tables["shoot_growth_targets"])
    decision = _enough_already(tree, condition, growth) or _how_much(tree, condition, growth)
    return _in_season(_dig_first(decision, condition), season, today)


DIG = (
    "Dig or probe 30 cm (12 in) deep under the edge of the canopy (in a pot, to its bottom third): only just "
    "moist soil may be fed. Wet roots cannot take feed up, and dry ones are burned by it."
)
LOOK = (
    "Look whether frost, weed killer, salt or too much feed hurt it since last season, and how green it is: pale "
    "oldest leaves and short shoots say yes, green leaves and usual shoots say no. 'sallow look' leads you through."
)


def _dig_first(decision: Decision, condition: Condition) -> Decision:
    if condition.soil is not None or not decision.feeds:
        return decision
    return replace(decision, reasons=(*decision.reasons, Reason(f"Before you feed: {DIG[0].lower()}{DIG[1:]}")))


def _stopped_by_trouble(condition: Condition) -> Decision | None:
    reasons = tuple(Reason(text) for key, text in TROUBLES.items() if key in condition.troubles)
    if condition.held_by:
        reasons = (*(Reason(text) for text in condition.held_by), *reasons)
    if not reasons:
        return None
    whole_year = condition.troubles & {"weed_killer", "burned"}
    return Decision("no" if whole_year else "wait", reasons)


def _with_other_troubles(decision: Decision, condition: Condition) -> Decision:
    """The decision with the troubles of the last look in front, so that no bare yes stands beside them."""
    return replace(decision, reasons=(*(Reason(text) for text in condition.beside), *decision.reasons))


def _stopped_by_water(condition: Condition) -> Decision | None:
    if condition.soil in ("wet", "soggy"):
        return Decision("wait", (Reason(TROUBLES["roots_wet"]),))
    if condition.soil == "dry":
        text = (
            "The ground is dry. Feed on dry roots burns them, and a thirsty tree cannot use it. Soak it "
            "well, and feed a few days later at the earliest."
        )
        return Decision("wait", (Reason(text),))
    return None


def _newly_planted(tree: Tree, condition: Condition, table: Table) -> Decision | None:
    if tree.age_years is None or tree.age_years >= 1:
        return None
    crops = (tree.group, "deciduous") if tree.deciduous else (tree.group, "other")
    row = next(row for crop in crops for row in table.where(crop=crop))
    reason = Reason(str(row["say"]), row.source, row.mark)
    if row["rule"] == "none_this_year":
        return Decision("no", (reason,))
    if tree.age_years >= SETTLING_YEARS and condition.new_growth is not True:
        return Decision("wait", (Reason(_first_year_words(tree.age_years, condition), row.source, row.mark),))
    if tree.age_years < SETTLING_YEARS:
        then = Reason("Once new growth shows, ask again: how much it may then have is worked out.")
        return Decision("wait", (reason, then))
    return None


def _first_year_words(age_years: float, condition: Condition) -> str:
    months = max(2, round(age_years * 12))
    text = f"It was planted about {months} months ago. In its first year a tree is fed only once new shoots show that "
    if condition.new_growth is None:
        return (
            f"{text}its roots have taken hold; whether they do is not known. Look for them, and ask again: how much it "
            "may then have is worked out."
        )
    return text + (
        "its roots have taken hold, and none have come. So long after planting that points to the roots or the water "
        "rather than to a want of feed: 'sallow look' leads you through."
    )


def _fed_lately(tree: Tree, condition: Condition, season: Season | None, today: date | None) -> Decision | None:
    if condition.last_fed is None or today is None:
        return None
    until = condition.last_fed + timedelta(weeks=WEEKS_BETWEEN)
    if until <= today or condition.last_fed > today:
        return None
    reasons = [Reason(f"It was fed less than {WEEKS_BETWEEN} weeks ago, and that feed is still at work.")]
    if season is None:
        if tree.deciduous:
            reasons.append(Reason(f"Wait {WEEKS_BETWEEN} weeks from then, and for the time when growth starts."))
        return Decision("wait", tuple(reasons), None if tree.deciduous else until)
    start = season.next_start if season.over else season.to_come[0]
    if start > until:
        text = f"By then it is not the season: {season.why_stop}."
        reasons.append(Reason(text, season.source, season.mark))
    return Decision("wait", tuple(reasons), max(start, until))


def _in_season(decision: Decision, season: Season | None, today: date | None) -> Decision:
    if season is None or today is None or not decision.feeds:
        return decision
    start = season.next_start if season.over else season.to_come[0]
    if (start - today).days <= SEASON_NEAR_DAYS:
        return decision
    if season.over or season.days[0] > today:
        text = f"Not at this time of year: {season.why_stop}. What was missed is not made up for."
        reason = Reason(text, season.source, season.mark)
        return Decision("wait", (reason, *decision.reasons), start, decision.verdict)
    return decision


def _enough_already(tree: Tree, condition: Condition, growth: Growth) -> Decision | None:
    if condition.leaf_colour == "yellow_new":
        text = (
            "The newest leaves are the yellow ones. A want of nitrogen pales the oldest leaves first, so "
            "this is something else, often iron, wet roots or cold soil. Run 'sallow look' before feeding."
        )
        return Decision("look", (Reason(text),))
    if condition.leaf_test == "high":
        return Decision("no", (Reason("The leaf test shows more nitrogen than the tree needs."),))
    if condition.soil_test == "high":
        return Decision("no", (Reason("The soil test shows nitrogen enough for this year."),))
    if growth.verdict == "above":
        return Decision("no", (growth.reason, Reason("More nitrogen would make soft growth and less fruit.")))
    if growth.verdict == "below" or condition.leaf_test == "low":
        return None
    if condition.lawn_fed:
        text = "It stands in a lawn that is fed, and trees in lawn may get enough nitrogen from that."
        return Decision("no", (Reason(text, ("csu_ptlk",), "published"),))
    if condition.leaf_colour == "dark":
        return Decision("no", (Reason("The leaves are dark green: it has all the nitrogen it can use."),))
    if tree.grown and condition.leaf_test == "right":
        return Decision("no", (Reason("The leaf test shows nitrogen as it should be."),))
    if tree.grown and growth.verdict == "inside" and condition.leaf_colour in ("green", None):
        return Decision("no", (growth.reason, Reason("A grown tree doing this well needs nothing extra.")))
    return None


def _how_much(tree: Tree, condition: Condition, growth: Growth) -> Decision:
    pale = condition.leaf_colour in ("pale", "pale_old")
    if condition.leaf_test == "low":
        return Decision("yes", (Reason("The leaf test shows too little nitrogen."),))
    if growth.verdict == "below" and condition.leaf_colour == "green":
        text = (
            "Green leaves on short shoots: water, roots, a heavy crop or old age hold it back more often "
            "than a want of nitrogen."
        )
        return Decision("one", (growth.reason, Reason(text)))
    if growth.verdict == "below":
        return Decision("yes", (growth.reason, *_pale_reason(pale)))
    if pale:
        return Decision("yes", _pale_reason(True))
    if condition.nothing_known and not condition.good_soil:
        return Decision("measure", (Reason(DIG), Reason(LOOK)))
    if tree.grown is False:
        text = "A young tree is still building its frame; it gets the usual amount for its age."
        return Decision("yes", (Reason(text),))
    if condition.leaf_colour == "green" or condition.good_soil:
        text = (
            "A grown tree on good soil often needs one feeding or none; measure this season's shoots to be "
            "sure."
        )
        return Decision("one", (Reason(text),))
    text = (
        "Measure this season's shoots and look at the oldest "
        "leaves: short shoots and pale old leaves say yes, usual shoots and green leaves say no."
    )
    return Decision("measure", (Reason(text), *([Reason(DIG)] if condition.soil is None else [])))


def _pale_reason(pale: bool) -> tuple[Reason, ...]:
    text = "Evenly pale leaves, the oldest palest, fit a want of nitrogen if water and roots are in order."
    return (Reason(text, ("uf_ch142", "uc_sf_n"), "published"),) if pale else ()
