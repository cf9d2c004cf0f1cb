"""What five growers stumbled over: causes of wet roots, questions that fit the tree, steps that fit what was told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from tests.support.grower import interviewed

from sallow.answers import look_from
from sallow.diagnosis import diagnose, weigh_look
from sallow.interview.asides import why_lines
from sallow.interview.session import Key, Session, start
from sallow.knowledge.model import Knowledge
from sallow.look_facts import facts_of
from sallow.looks import NOT_SURE, Look
from sallow.phrases import number_words
from sallow.reasoning.explain import missing
from sallow.reasoning.following import fill_implied
from sallow.render.outline import outline
from sallow.render.terminal import plain_text

DAY = date(2026, 11, 20)
DROOPING = {
    "part": "leaf", "leaf_change": ["colour", "limp"], "leaf_age": "all", "colour_pattern": "even_pale",
    "crown_place": "whole", "extent": "most", "onset": "weeks",
}  # fmt: skip
LEMON = {"crop": "lemon", "climate": "dry_summer", "hemisphere": "north", "grown_in": "lawn"}
NEW_LEMON: dict[str, Any] = {
    "date": "2026-07-10",
    "about_to": "feed",
    "tree": LEMON,
    "symptoms": [DROOPING],
    "answers": {"age_years": 0.3, "looks_well": "poor", "soil_at_depth": "wet"},
}
WATERED = {"watering_how": "sprinkler", "watering_every": "daily", "soil_texture": "clay"}
NETTED = {"part": "leaf", "leaf_change": ["colour"], "leaf_age": "newest", "colour_pattern": "fine_net"}
CURLED = {"part": "leaf", "leaf_change": ["shape"], "leaf_age": "young", "leaf_shape": "thick_blistered"}


def look_of(knowledge: Knowledge, raw: Mapping[str, Any], **answers: object) -> Look:
    """A look from plain values, with more answers."""
    return look_from({**raw, "answers": {**raw.get("answers", {}), **answers}}, "a look", knowledge, DAY)


def beliefs(knowledge: Knowledge, look: Look) -> dict[str, float]:
    """How likely each cause is at work."""
    return dict(weigh_look(knowledge, look)[1].ranking())


# -- wet roots (UC IPM, Aeration deficit: an acute lack of air makes plants wilt; frequent water on slow ground) ----


def test_a_tree_that_hangs_in_wet_soil_is_drowning_and_not_hungry(knowledge: Knowledge) -> None:
    found = beliefs(knowledge, look_of(knowledge, NEW_LEMON))
    assert next(iter(found)) == "overwatering"
    assert found["overwatering"] + found["poor_drainage"] > 4 * (
        found["grass_competition"] + found["nitrogen_shortage"]
    )


def test_the_watering_makes_it_likely_and_a_hole_that_stands_does_not_lift_hunger(knowledge: Knowledge) -> None:
    told = beliefs(knowledge, look_of(knowledge, NEW_LEMON, **WATERED))
    hole = beliefs(knowledge, look_of(knowledge, NEW_LEMON, **WATERED, drain_hole="stands"))
    assert told["overwatering"] > 0.75
    assert hole["poor_drainage"] > 3 * told["poor_drainage"]
    assert hole["overwatering"] + hole["poor_drainage"] > 0.8
    assert max(hole["grass_competition"], hole["nitrogen_shortage"]) < 0.02
    # Not everything in a lawn is drowned: dry ground under a young tree speaks for the grass.
    dry = beliefs(knowledge, look_of(knowledge, NEW_LEMON, soil_at_depth="dry"))
    assert dry["overwatering"] < 0.02 < dry["grass_competition"]


def test_pale_and_hanging_in_a_lawn_is_asked_about_its_water(knowledge: Knowledge) -> None:
    asked, first = interviewed(knowledge, look_of(knowledge, NEW_LEMON, **WATERED))
    assert first == "overwatering"
    assert {"soil_at_depth", "watering_how", "watering_every", "soil_texture"} <= set(asked)
    # One who is sure of nothing is asked the cheap things all the same, and nothing is called likely.
    unsure = look_of(knowledge, {**NEW_LEMON, "answers": {"age_years": 0.3, "looks_well": "poor"}})
    asked, first = interviewed(knowledge, unsure)
    assert {"soil_at_depth", "watering_how", "soil_texture"} <= set(asked)
    assert beliefs(knowledge, unsure)[first] < 0.45


def test_what_follows_or_makes_no_sense_is_not_asked(knowledge: Knowledge) -> None:
    asked, _ = interviewed(knowledge, look_of(knowledge, NEW_LEMON))
    assert not {"ground_cover", "same_last_year", "pot_drains", "planted", "moved_indoors"} & set(asked)
    facts = fill_implied(knowledge, facts_of(look_of(knowledge, NEW_LEMON), knowledge))
    assert facts.tree["ground_cover"] == "grass"
    lately = look_of(knowledge, {**NEW_LEMON, "answers": {}, "events": [{"what": "planted", "within": "2 years"}]})
    assert fill_implied(knowledge, facts_of(lately, knowledge)).tree["age_years"] == "lately"
    mulched = fill_implied(knowledge, facts_of(look_of(knowledge, NEW_LEMON, ground_cover="mulch"), knowledge))
    assert mulched.tree["ground_cover"] == "mulch"


def test_an_answer_that_makes_no_sense_counts_nothing(knowledge: Knowledge) -> None:
    plain = look_of(knowledge, NEW_LEMON)
    odd = replace(plain, symptoms=({**plain.symptoms[0], "same_last_year": "yes_worse"},))
    assert beliefs(knowledge, odd) == beliefs(knowledge, plain)
    older = look_of(knowledge, NEW_LEMON, age_years=7)
    told = replace(older, symptoms=({**older.symptoms[0], "same_last_year": "yes_worse"},))
    assert beliefs(knowledge, told) != beliefs(knowledge, older)


# -- steps ---------------------------------------------------------------------------------------------------------


def steps_of(knowledge: Knowledge, look: Look) -> list[str]:
    """Every step of a report that says what to do."""
    report = diagnose(knowledge, look)
    return [step.do for step in (*report.steps_now, *report.steps_if_confirmed)]


HUNGRY: dict[str, Any] = {
    "date": "2026-06-15",
    "about_to": "feed",
    "tree": {"crop": "peach", "climate": "humid_subtropical", "hemisphere": "north", "grown_in": "ground"},
    "events": [{"what": "fed", "within": "never"}],
    "symptoms": [{**DROOPING, "leaf_change": ["colour"], "leaf_age": "oldest"}],
    "answers": {"age_years": 6, "shoot_growth": "hardly", "looks_well": "poor", "ground_cover": "bare"},
}


def test_a_feed_is_withheld_where_it_does_harm_and_the_report_says_why(knowledge: Knowledge) -> None:
    fed = steps_of(knowledge, look_of(knowledge, HUNGRY, soil_at_depth="moist", soil_texture="sand"))
    assert any("light trial feed" in step for step in fed)
    for told, why in (
        ({"soil_salt": "high"}, "Salt has gathered"),
        ({"age_years": 0.5}, "planted or moved not long ago"),
        ({"stage": "dormant"}, "It is resting"),
    ):
        look = look_of(knowledge, HUNGRY, soil_at_depth="moist", soil_texture="sand", **told)
        answered, withheld = diagnose(knowledge, look).about_to, steps_of(knowledge, look)
        assert not any("light trial feed" in step or "year's nitrogen" in step for step in withheld)
        assert "Hold off" in answered and sum(why.lower() in text.lower() for text in (answered, *withheld)) == 1
        unplanned = steps_of(knowledge, replace(look, about_to="nothing"))
        assert not any("light trial feed" in step or "year's nitrogen" in step for step in unplanned)
        assert sum(step.startswith("Not now: feed it") and why in step for step in unplanned) == 1


def test_every_step_that_gives_nitrogen_can_be_withheld(knowledge: Knowledge) -> None:
    loose = [
        (cause.id, step.do)
        for cause in knowledge.causes.values()
        for step in cause.steps
        if step.amount in ("nitrogen_for_year", "spread_ring", "next_feeding") and step.plan != "feed"
    ]
    assert loose == []


def test_a_drip_line_is_only_run_where_one_may_be(knowledge: Knowledge) -> None:
    unknown = steps_of(knowledge, look_of(knowledge, HUNGRY, soil_at_depth="moist"))
    assert all(step.startswith("If a drip line waters it") for step in unknown if "drip" in step)
    assert not any("drip" in step for step in steps_of(knowledge, look_of(knowledge, HUNGRY, watering_how="hand")))


def test_one_chore_is_told_once(knowledge: Knowledge) -> None:
    report = diagnose(knowledge, look_of(knowledge, HUNGRY, soil_at_depth="moist", ground_cover="grass"))
    mulching = [step for step in report.steps_now if any("Mulch" in line for line in step.amount)]
    assert len(mulching) <= 1


def test_a_spray_of_the_right_kind_at_the_wrong_time_is_said_to_be_that(knowledge: Knowledge) -> None:
    tree = {"crop": "peach", "climate": "cool_humid", "hemisphere": "north", "grown_in": "ground"}
    raw = {"date": "2026-05-04", "about_to": "fungus_spray", "tree": tree, "symptoms": [CURLED]}
    report = diagnose(knowledge, look_of(knowledge, raw, age_years=6))
    assert report.causes[0].id == "peach_leaf_curl"
    assert "right kind of thing at the wrong time" in report.about_to and "too late" in report.about_to
    assert "labelled" in " ".join(step.do for step in report.steps_if_confirmed + report.steps_now)


@pytest.mark.parametrize(
    ("crop", "hemisphere", "day", "again"),
    [("apple", "north", "2026-11-10", "2027-03-01"), ("apple", "south", "2026-06-10", "2026-09-01")],
)
def test_nobody_looks_for_new_growth_on_a_bare_tree(
    knowledge: Knowledge, crop: str, hemisphere: str, day: str, again: str
) -> None:
    tree = {"crop": crop, "climate": "cool_humid", "hemisphere": hemisphere, "grown_in": "ground"}
    spots = {"part": "leaf", "leaf_change": ["spots"], "spot_kind": "velvety"}
    report = diagnose(knowledge, look_of(knowledge, {"date": day, "tree": tree, "symptoms": [spots]}, age_years=9))
    assert report.causes[0].id == "apple_scab"
    assert (report.look_again, "bare" in report.look_again_because) == (again, True)


# -- reasons, tests, what would change it ---------------------------------------------------------------------------


def test_nothing_is_called_missing_that_was_not_asked_or_cannot_be_there(knowledge: Knowledge) -> None:
    scales, weighed = weigh_look(knowledge, look_of(knowledge, NEW_LEMON))
    for cause in ("overwatering", "nitrogen_shortage", "poor_drainage"):
        assert missing(scales, weighed, cause) == []
    scales, weighed = weigh_look(knowledge, look_of(knowledge, NEW_LEMON, soil_smell="earthy"))
    assert [reason.evidence.about for reason in missing(scales, weighed, "overwatering")] == ["smell"]


def test_pale_new_leaves_in_a_pot_are_asked_about_hard_water(knowledge: Knowledge) -> None:
    # Purdue HO-242-W: the alkalinity of the water is what raises the pH of a potting mix.
    tree = {"crop": "mandarin", "climate": "dry_summer", "hemisphere": "north", "grown_in": "pot"}
    raw = {"date": "2026-05-28", "tree": tree, "symptoms": [NETTED], "answers": {"soil_at_depth": "moist"}}
    asked, _ = interviewed(knowledge, look_of(knowledge, raw, age_years=4))
    assert "lime_signs" in asked
    soft, plain, hard = (
        beliefs(knowledge, look_of(knowledge, raw, **told))["iron_shortage_lime"]
        for told in ({"lime_signs": "no"}, {}, {"lime_signs": "yes"})
    )
    assert soft < plain < hard < plain + 0.25
    report = diagnose(knowledge, look_of(knowledge, raw, lime_signs="yes", age_years=4))
    assert all(report.causes[0].name in test.causes for test in report.tests[:2])
    kit = next(test for test in report.tests if test.id == "soil_ph_kit")
    assert any(result.startswith('"7.5 and over"') for result in kit.results)
    assert "in a pot" in " ".join(kit.how)


def test_why_do_you_ask_names_only_answers_that_can_be_given(knowledge: Knowledge) -> None:
    tree = {"crop": "avocado", "climate": "dry_summer", "hemisphere": "south", "grown_in": "ground"}
    look = look_of(
        knowledge, {"date": "2026-02-20", "tree": tree, "symptoms": [{"part": "leaf", "leaf_change": ["dead"]}]}
    )
    session, state = Session(knowledge), start(look.date, look)
    key = Key("sign", "dead_areas", 0)
    words = [say for _, say in session.prompt(key, state).options]
    lines = why_lines(session, state, key)
    assert len(lines) > 2
    assert all(any(line.startswith(f"'{say}' would") for say in words) for line in lines[1:])


def test_tips_and_edges_can_be_told_together(knowledge: Knowledge) -> None:
    tree = {"crop": "avocado", "climate": "dry_summer", "hemisphere": "north", "grown_in": "ground"}

    def salt(where: str) -> float:
        burnt = {"part": "leaf", "leaf_change": ["dead"], "leaf_age": "oldest", "dead_areas": where}
        return beliefs(knowledge, look_of(knowledge, {"date": "2026-09-20", "tree": tree, "symptoms": [burnt]}))[
            "salt_burn"
        ]

    assert salt("tips_edges") >= min(salt("tips"), salt("edges"))


def test_a_leading_cause_does_not_hang_on_the_look_of_the_leaf_alone(knowledge: Knowledge) -> None:
    tree = {"crop": "avocado", "climate": "dry_summer", "hemisphere": "north", "grown_in": "ground"}
    burnt = {
        "part": "leaf", "leaf_change": ["dead"], "leaf_age": "oldest", "dead_areas": "tips_edges",
        "crown_place": "whole", "extent": "half", "onset": "months",
    }  # fmt: skip
    raw = {"date": "2026-09-20", "tree": tree, "symptoms": [burnt], "answers": {"age_years": 6, "looks_well": "fair"}}
    known = look_of(knowledge, raw, soil_crust="yes", soil_at_depth="moist", water_source="well", watering_how="drip")
    asked, first = interviewed(knowledge, known)
    assert first == "salt_burn" and "soil_at_depth" in asked
    assert {"soil_crust", "water_source", "water_salt"} & set(asked)


def test_the_printed_report_is_short_and_the_full_one_leaves_nothing_out(knowledge: Knowledge) -> None:
    tree = {"crop": "peach", "climate": "cool_humid", "hemisphere": "north", "grown_in": "ground"}
    raw = {"date": "2026-05-04", "about_to": "fungus_spray", "tree": tree, "symptoms": [CURLED]}
    report = diagnose(knowledge, look_of(knowledge, raw, age_years=6, looks_well="fair", spring_weather="wet"))
    short = plain_text(outline(report, full=False))
    full = plain_text(outline(report))
    assert len(short.splitlines()) <= 120 < len(full.splitlines())
    assert "with --full" in short and "--full" not in full
    assert all(test.name in short for test in report.tests) and "What you told me" in full
    assert all(step.do.split(".")[0][:40] in " ".join(short.split()) for step in report.steps_now)
    assert len(report.changes) <= 1


def test_what_two_samples_have_in_common_is_told_once(knowledge: Knowledge) -> None:
    tree = {"crop": "avocado", "climate": "dry_summer", "hemisphere": "north", "grown_in": "ground"}
    burnt = {"part": "leaf", "leaf_change": ["dead"], "leaf_age": "oldest", "dead_areas": "tips"}
    raw = {"date": "2026-09-20", "tree": tree, "symptoms": [burnt], "answers": {"soil_crust": "yes"}}
    report = diagnose(knowledge, look_of(knowledge, raw))
    samples = [test for test in report.tests if test.id.startswith("leaf_analysis")]
    assert len(samples) >= 2
    shared = set(samples[0].how) & set(samples[1].how)
    assert shared
    words = " ".join(line.text for line in outline(report))
    assert all(words.count(step) == 1 for step in shared)


def test_numbers_are_told_as_people_say_them() -> None:
    told = [number_words(*pair) for pair in ((0.3, "years"), (5, "years"), (1, "years"), (7.8, "pH"))]
    assert told == ["about 4 months", "5 years", "1 year", "pH 7.8"]


def test_not_sure_is_still_never_no(knowledge: Knowledge) -> None:
    plain = look_of(knowledge, NEW_LEMON)
    unsure = plain.with_answer(None, "watering_how", NOT_SURE)
    assert beliefs(knowledge, unsure) == beliefs(knowledge, plain)
