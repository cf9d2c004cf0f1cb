"""The seasonal walk-round for a tree with nothing odd: what to look at now, and whether it needs feeding at all."""

from __future__ import annotations

from sallow.care.season import Hemisphere, shift_month
from sallow.knowledge.model import Knowledge
from sallow.knowledge.tables import Row
from sallow.look_facts import context_of
from sallow.looks import Look
from sallow.reasoning.weigh import Weighed
from sallow.report_model import StepLine

TABLE = "round_tasks"
MOST_TASKS = 6
ALWAYS = (
    (
        "Growth",
        "Look at the ends of the shoots: how the tree grows, how dense and how green it is, "
        "tells more than any one leaf.",
    ),
    (
        "Trunk",
        "Look once round the base of the trunk: it should widen into roots in the open, "
        "with mulch and soil off the bark, no wire, no gum, no gnawing.",
    ),
)


def walk_round(knowledge: Knowledge, look: Look, weighed: Weighed) -> tuple[StepLine, ...]:
    """The steps of a walk-round: feeding first, then growth, trunk, water, and what the season asks for."""
    lines = [step("Feeding", feeding(weighed)), *(step(topic, text) for topic, text in ALWAYS)]
    water = watering(look, weighed)
    if water:
        lines.append(step("Water", water))
    lines += [step(str(row["name"]), str(row["say"])) for row in due(knowledge, look)]
    return tuple(lines[: MOST_TASKS + 4])


def step(topic: str, text: str) -> StepLine:
    """One line of the walk-round."""
    return StepLine("", "now", f"{topic}: {text[:1].lower() + text[1:]}", (), (), (), ())


def feeding(weighed: Weighed) -> str:
    """Whether the tree needs feeding, as far as it can be told."""
    if weighed.facts.context.get("grown_in") == "pot":
        return (
            "A tree in a pot lives on what it is given; it usually wants feed while it grows, and none while "
            "it rests or stands wet. 'sallow feed' works out how much for the pot."
        )
    if weighed.conclusions.told("may_need_no_feed")[0]:
        return (
            "It looks well and grows as it should, so it may need no feed at all this year; "
            "how the tree does is the best guide."
        )
    if weighed.conclusions.told("growth_poor")[0]:
        return (
            "It grows less than it should; before feeding, look at water, roots and trunk, "
            "then let 'sallow feed' work it out."
        )
    return (
        "Only if it grows less than it should. "
        "'sallow feed' asks what is needed to decide; not feeding is a full answer."
    )


def watering(look: Look, weighed: Weighed) -> str:
    """What to do about water, from what was told."""
    emitters = look.answers.get("emitters")
    if emitters == "clogged":
        return "Clean or replace the emitters that give little, flush the line, and look again in a month."
    if emitters == "trunk_only":
        return "Move emitters out to the edge of the crown, or add some; the roots that drink are there."
    if weighed.conclusions.told("roots_too_wet")[0]:
        return "The root zone stays wet; let the top hand's breadth dry before the next watering."
    if look.answers.get("watering_how") == "drip":
        return "Run the drip line and see that every emitter drips."
    return ""


def due(knowledge: Knowledge, look: Look) -> list[Row]:
    """The seasonal tasks whose months, crop, climate and place fit."""
    table = knowledge.tables.get(TABLE)
    if table is None:
        return []
    context = context_of(look, knowledge)
    return [row for row in table.rows if fits(row, look, context, knowledge)]


def fits(row: Row, look: Look, context: dict[str, str], knowledge: Knowledge) -> bool:
    """Whether a task is for this tree, now. Tasks that follow an earlier note belong to the tree book."""
    if row["after"] or (row["needs"] == "drip" and look.answers.get("watering_how") != "drip"):
        return False
    crop = context.get("crop", "other")
    group = knowledge.crops[crop].group if crop in knowledge.crops else ""
    if not among(row["crops"], (crop, group)) or not among(row["climate"], (context.get("climate", ""),)):
        return False
    if not among(row["grown"], (context.get("grown_in", "ground"),)):
        return False
    hemisphere: Hemisphere = "south" if context.get("hemisphere") == "south" else "north"
    first, last = (shift_month(int(row.number(key)), hemisphere) for key in ("from_month", "to_month"))
    month = look.date.month
    return first <= month <= last if first <= last else month >= first or month <= last


def among(cell: object, words: tuple[str, ...]) -> bool:
    """Whether a cell of words ('any', or a list with blanks between) names one of ``words``."""
    return cell == "any" or any(word and word in str(cell).split() for word in words)
