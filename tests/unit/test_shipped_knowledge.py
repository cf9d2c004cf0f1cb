"""The shipped knowledge holds: every cause's typical look and near miss, and what a practised person knows."""

from __future__ import annotations

from typing import Any

import pytest
from tests.conftest import TODAY

from sallow.answers import look_from
from sallow.diagnosis import diagnose, weigh_look
from sallow.knowledge.model import Knowledge
from sallow.report_model import Diagnosis

LEAF = {"part": "leaf", "leaf_change": ["colour"]}
LEMON = {"crop": "lemon", "climate": "dry_summer", "hemisphere": "south", "grown_in": "ground", "age_years": 8}
END_OF_WINTER = "2026-08-25"


def first(knowledge: Knowledge, raw: dict[str, Any], name: str) -> str:
    """The leading cause of a look."""
    _, weighed = weigh_look(knowledge, look_from(raw, name, knowledge, TODAY))
    return weighed.ranking()[0][0]


def test_every_typical_look_and_near_miss_holds(knowledge: Knowledge) -> None:
    wrong = []
    for cause in knowledge.causes.values():
        if first(knowledge, dict(cause.typical), f"{cause.id}.typical") != cause.id:
            wrong.append(f"{cause.id}.typical")
        near = dict(cause.near_miss)
        wanted = near.pop("first")
        if first(knowledge, near, f"{cause.id}.near_miss") != wanted:
            wrong.append(f"{cause.id}.near_miss")
    assert not wrong


def test_there_is_enough_of_everything_and_every_cause_has_its_parts(knowledge: Knowledge) -> None:
    assert len(knowledge.causes) >= 140 and len({c.kind for c in knowledge.causes.values()}) == 8
    assert len(knowledge.signs) >= 60 and len(knowledge.findings) >= 30 and len(knowledge.checks) >= 30
    for cause in knowledge.causes.values():
        assert any(e.decibans > 0 for e in cause.evidence), cause.id
        assert any(e.decibans < 0 for e in cause.evidence), cause.id
        assert cause.checks and cause.steps and cause.sources and cause.look_alikes, cause.id


# -- common practice, no source ------------------------------------------------------------------------------------


def report(knowledge: Knowledge, **raw: Any) -> Diagnosis:
    """The report of a look at our lemon at the end of winter, or as stated."""
    told = {"date": END_OF_WINTER, "tree": LEMON, **raw}
    return diagnose(knowledge, look_from(told, "practised", knowledge, TODAY))


def test_a_tree_that_looks_well_may_need_no_feeding_at_all(knowledge: Knowledge) -> None:
    found = report(knowledge, about_to="feed", answers={"looks_well": "well", "shoot_growth": "normal"})
    assert "may need no feed at all" in found.about_to
    assert "may need no feed at all" in found.steps_now[0].do


def test_nitrogen_comes_before_phosphorus_potassium_and_boron(knowledge: Knowledge) -> None:
    pale = {**LEAF, "leaf_age": "all", "colour_pattern": "even_pale", "crown_place": "whole"}
    answers = {"looks_well": "poor", "shoot_growth": "short", "soil_at_depth": "moist", "soil_temperature": "warm"}
    look = look_from(
        {"date": "2026-12-10", "tree": LEMON, "symptoms": [pale], "answers": answers}, "pale", knowledge, TODAY
    )
    _, weighed = weigh_look(knowledge, look)
    nitrogen = weighed.belief("nitrogen_shortage")
    for other in ("phosphorus_shortage", "potassium_shortage", "boron_shortage"):
        assert nitrogen > 5 * weighed.belief(other)


def test_pale_newest_leaves_at_the_end_of_winter_may_be_nothing_but_new_or_cold(knowledge: Knowledge) -> None:
    pale = {**LEAF, "leaf_age": "newest", "colour_pattern": "even_pale", "crown_place": "whole"}
    found = report(knowledge, symptoms=[pale], answers={"looks_well": "well", "soil_temperature": "cold"})
    assert found.causes[0].id in ("new_flush_pale", "winter_yellowing")
    assert found.result == "leave_alone"


def test_or_nitrogen_running_low_if_older_leaves_pale_too(knowledge: Knowledge) -> None:
    pale = {**LEAF, "leaf_age": "all", "colour_pattern": "even_pale", "crown_place": "whole"}
    answers = {"looks_well": "fair", "shoot_growth": "short", "soil_at_depth": "moist", "soil_temperature": "warm"}
    found = report(knowledge, symptoms=[pale], answers=answers, events=[{"what": "fed", "within": "never"}])
    assert found.causes[0].id == "nitrogen_shortage"


def test_the_drip_line_is_run_before_feeding(knowledge: Knowledge) -> None:
    found = report(knowledge, answers={"looks_well": "fair", "watering_how": "drip"})
    assert any("drip line" in step.do for step in found.steps_now)
    nitrogen = knowledge.causes["nitrogen_shortage"]
    assert any("whole tree" in step.do or "drip" in step.do for step in nitrogen.steps if step.when == "now")


@pytest.mark.parametrize("season", ["2026-08-25", "2026-12-10"])
def test_wet_roots_hold_off_every_plan_to_feed_or_give_iron(knowledge: Knowledge, season: str) -> None:
    net = {**LEAF, "leaf_age": "newest", "colour_pattern": "fine_net"}
    for plan in ("feed", "iron", "water_more"):
        found = report(
            knowledge,
            date=season,
            about_to=plan,
            symptoms=[net],
            answers={"soil_at_depth": "wet", "soil_smell": "sour"},
        )
        assert "Hold off" in found.about_to
