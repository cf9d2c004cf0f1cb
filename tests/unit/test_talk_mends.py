"""Small things of the talk: true reasons, no verdict before a sign, a count that a person would make, plain output."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from sallow.cli import main
from sallow.diagnosis.told import place_lines
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.interview.asides import so_far_lines, why_lines
from sallow.interview.finding import found
from sallow.interview.keep import kept_words
from sallow.interview.session import Key, Session, State, start
from sallow.interview.typed import day_typed
from sallow.knowledge.model import Knowledge
from sallow.look_facts import climate_from
from sallow.looks import Look

DAY = date(2026, 5, 20)
OPENING = ("pear", "4", "ground", "mild", "dry", "moderate", "south", "", "nothing", "fair")


def told(session: Session, *answers: object) -> State:
    """A look after the opening questions and further answers."""
    state = start(DAY)
    for value in (*OPENING, *answers):
        prompt = session.next_prompt(state)
        assert prompt is not None
        state = session.answer(state, prompt.key, value)  # type: ignore[arg-type]
    return state


def test_every_opening_question_tells_a_reason_of_its_own(knowledge: Knowledge) -> None:
    session, state, reasons = Session(knowledge), start(DAY), {}
    for value in OPENING:
        prompt = session.next_prompt(state)
        assert prompt is not None
        reasons[prompt.key.id or prompt.key.kind] = why_lines(session, state, prompt.key)[0]
        state = session.answer(state, prompt.key, value)
    assert "season" in reasons["hemisphere"] and "season" in reasons["date"]
    assert "season" not in reasons["grown_in"] and "pot" in reasons["grown_in"]
    climate = {reasons.pop(key) for key in ("winters", "summers", "heat")}
    assert len(climate) == 1 and len(set(reasons.values())) == len(reasons)


def test_nothing_is_called_possible_before_a_sign_of_the_part(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    assert so_far_lines(session, told(session, "leaf")) == ["Nothing stands out yet."]
    assert so_far_lines(session, told(session, "leaf", "not_sure")) == ["Nothing stands out yet."]


def test_a_list_of_causes_that_are_all_unlikely_is_not_told(knowledge: Knowledge) -> None:
    session, seen = Session(knowledge), set()
    for part in ("leaf", "fruit", "whole", "bark", "shoot"):
        state = told(session, part)
        for _ in range(4):
            prompt = session.next_prompt(state)
            if prompt is None or prompt.key.kind != "sign":
                break
            value = prompt.options[0][0]
            state = session.answer(state, prompt.key, (value,) if prompt.kind == "several" else value)
            lines = so_far_lines(session, state)
            assert lines == ["Nothing stands out yet."] or not lines[0].startswith("unlikely")
            seen.add(lines[0].split(":")[0])
    assert len(seen) > 1


@pytest.mark.parametrize("crop", ["lemon", "peach", "avocado"])
def test_an_answer_speaks_only_for_a_cause_whose_evidence_names_it(knowledge: Knowledge, crop: str) -> None:
    session = Session(knowledge)
    state = told(session, "whole", "thin")
    state = replace(state, look=state.look.with_tree("crop", crop))
    lines = why_lines(session, state, Key("sign", "trunk_base"))
    speaking = [line for line in lines if "speak for" in line]
    assert speaking, "the trunk base says something"
    gum_rots = [cause.name.lower() for key, cause in knowledge.causes.items() if key in ("phytophthora_gummosis",)]
    for line in speaking:
        if line.startswith(("'holes", "'tooth", "'wire", "'an old")):
            assert not any(name in line.split(" and speak against")[0].lower() for name in gum_rots), line


def test_an_answer_given_twice_counts_once(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    state = told(session, "leaf")
    assert kept_words(state, knowledge).endswith(f"{len(OPENING) + 1} answers")
    changed = session.answer(state, Key("word", "grown_in"), "pot")
    assert kept_words(changed, knowledge) == kept_words(state, knowledge)
    assert kept_words(replace(state, log=()), knowledge) == kept_words(state, knowledge)


def test_plain_sends_no_codes_to_a_terminal_with_colours(surroundings: Callable[..., Environment]) -> None:
    environment = replace(surroundings("pear\n4\n1\n2\n2\n1\n\n1\n2\n1\n1\nf\nr\n"), colours=256, watched=True)
    assert main(["look", "--plain"], environment) == 0
    assert isinstance(environment.stdout, io.StringIO)
    printed = environment.stdout.getvalue()
    assert "How far to trust this" in printed and "\x1b" not in printed


@pytest.mark.parametrize(
    ("typed", "day"),
    [("last week of August", date(2025, 8, 28)), ("early May", date(2026, 5, 5)), ("middle of May", date(2026, 5, 15)),
     ("Mid-April", date(2026, 4, 15)), ("late May", date(2025, 5, 25)), ("end of Feb", date(2026, 2, 25)),
     ("the first week of june 2025", date(2025, 6, 4)), ("beginning of the month", None), ("early Ma", None)],
)  # fmt: skip
def test_a_part_of_a_month_is_a_day_of_it(typed: str, day: date | None) -> None:
    if day is None:
        with pytest.raises(BadInput, match="not a date I understand"):
            day_typed(typed, DAY)
    else:
        assert day_typed(typed, DAY) == day


def test_a_part_of_a_month_that_still_lasts_goes_up_to_today() -> None:
    assert day_typed("last week of May", date(2026, 5, 26)) == date(2026, 5, 26)


def test_a_month_alone_asks_which_part() -> None:
    for typed in ("May", "in may 2026"):
        with pytest.raises(BadInput, match="Type early May 2026, middle of May 2026, late May 2026, or a day"):
            day_typed(typed, DAY)


def test_not_sure_of_the_day_asks_back_and_enter_is_today(surroundings: Callable[..., Environment]) -> None:
    environment = surroundings("pear\n4\n1\n2\n2\n1\nn\nnot sure\n\n", today=DAY)
    assert main(["look", "--plain"], environment) != 0
    assert isinstance(environment.stdout, io.StringIO)
    printed = environment.stdout.getvalue()
    assert printed.count("A rough day will do") == 2
    assert "What were you about to do" in printed.split("A rough day will do")[-1]


def test_winters_not_sure_leave_the_summers_to_be_asked(knowledge: Knowledge) -> None:
    session, state = Session(knowledge), start(DAY)
    for value in ("lemon", "6", "ground", "not_sure", "dry", "desert"):
        prompt = session.next_prompt(state)
        assert prompt is not None
        state = session.answer(state, prompt.key, value)
    assert set(state.look.tree) == {"crop", "grown_in", "winters", "summers", "heat"}
    assert climate_from(state.look.tree, knowledge) == "desert"
    words = place_lines(knowledge, state.look)[0]
    assert "very hot dry summers (winters not told: taken from an evergreen in open ground)" in words
    prompt = session.next_prompt(state)
    assert prompt is not None and prompt.key == Key("word", "hemisphere")


def test_a_climate_that_winters_leave_open_is_said_to_be_unknown(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    for crop, place in (("pear", "ground"), ("lemon", "pot")):
        state = start(DAY)
        for value in (crop, "6", place, "not_sure", "rainy"):
            prompt = session.next_prompt(state)
            assert prompt is not None
            state = session.answer(state, prompt.key, value)
        assert climate_from(state.look.tree, knowledge) is None
        assert "kind of climate not known" in place_lines(knowledge, state.look)[0]
        prompt = session.next_prompt(state)
        assert prompt is not None and prompt.key == Key("word", "hemisphere"), "heat would settle nothing here"


@pytest.mark.parametrize(
    "typed", ["I changed the watering", "turned off the sprinkler", "watering", "switched the sprinklers off"]
)
def test_a_change_of_the_watering_is_understood(knowledge: Knowledge, typed: str) -> None:
    offered = [identifier for identifier, _ in found(knowledge, typed, told(Session(knowledge), "leaf").look)]
    assert {"sign.watering_how", "sign.watering_every"} <= set(offered) and len(offered) <= 4


def test_the_root_ball_is_not_asked_once_the_bottom_third_was_told(knowledge: Knowledge) -> None:
    session, pot = Session(knowledge), {"crop": "lemon", "grown_in": "pot", "hemisphere": "south", "climate": "desert"}
    symptom = {"part": "leaf", "leaf_change": ("limp",), "leaf_age": "all"}
    for told_already, offered in ((None, True), ("not_sure", True), ("moist", False)):
        answers = {"age_years": 2.0, "looks_well": "poor"} | ({"soil_at_depth": told_already} if told_already else {})
        look = Look(date=DAY, tree=pot, symptoms=(symptom,), answers=answers)
        asker = session.asker(look)
        assert ("ball_wetness" in {q.sign for q in asker.candidates()}) == offered, told_already


@pytest.mark.parametrize("crop", ["lemon", "avocado", "apple", "plum"])
def test_eyes_and_white_paper_come_before_the_lens(knowledge: Knowledge, crop: str) -> None:
    session = Session(knowledge)
    tree = {"crop": crop, "grown_in": "ground", "hemisphere": "south", "climate": "dry_summer"}
    symptom = {"part": "leaf", "leaf_change": ("colour",), "leaf_age": "oldest", "colour_pattern": "speckled"}
    look = Look(date=DAY, tree=tree, symptoms=(symptom,), answers={"age_years": 6.0}, no_more_symptoms=True)
    state, asked = start(DAY, look), []
    while (prompt := session.next_prompt(state)) is not None:
        asked.append(prompt.key.id)
        state = session.answer(state, prompt.key, "nothing" if prompt.key.kind == "intention" else "not_sure")
    assert "on_leaf" in asked
    assert "mites_seen" not in asked or asked.index("on_leaf") < asked.index("mites_seen")
