"""The session and the plain interview: what is asked when, and that nothing typed is lost or misread."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from sallow.environment import Environment
from sallow.errors import BadInput, Interrupted
from sallow.interview.keep import Keeper, take_up
from sallow.interview.plain import PlainInterview
from sallow.interview.session import Key, Session, State, start
from sallow.knowledge.model import Knowledge

DAY = date(2026, 4, 18)


def asked(session: Session, state: State, *answers: object) -> State:
    """Answer the next prompts in order."""
    for value in answers:
        prompt = session.next_prompt(state)
        assert prompt is not None
        state = session.answer(state, prompt.key, value)  # type: ignore[arg-type]
    return state


def opened(session: Session) -> State:
    """A look after the opening questions: a lemon in the ground, dry summers, south of the equator."""
    return asked(session, start(DAY), "lemon", "6", "ground", "mild", "dry", "moderate", "south", "", "feed", "fair")


def test_the_opening_asks_tree_place_day_and_plan_and_then_what_is_odd(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    prompt = session.next_prompt(opened(session))
    assert prompt is not None and prompt.key.kind == "part"
    assert prompt.ask.startswith("What looks odd?")


def test_heat_is_not_asked_where_summers_rain(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    state = asked(session, start(DAY), "lemon", "6", "ground", "mild", "rainy")
    prompt = session.next_prompt(state)
    assert prompt is not None and prompt.key == Key("word", "hemisphere")


def test_a_crop_is_known_by_its_everyday_names_and_a_slip_is_told(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    known = {"Meyer": "lemon", "tangerines": "mandarin", "hass": "avocado", "another fruit tree": "other"}
    for name, crop in known.items():
        assert asked(session, start(DAY), name).look.tree["crop"] == crop
    with pytest.raises(BadInput, match="Did you mean 'lemon'"):
        session.answer(start(DAY), Key("crop"), "lemmon")


def test_colour_is_not_asked_when_the_colour_is_not_odd(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    state = asked(session, opened(session), "leaf", ("holes",), "newest")
    seen = set()
    for _ in range(12):
        prompt = session.next_prompt(state)
        if prompt is None or prompt.key.kind == "part":
            break
        seen.add(prompt.key.id)
        state = session.answer(state, prompt.key, "not_sure")
    assert "colour_pattern" not in seen
    assert "holes_kind" in seen


def test_back_restores_the_very_state_before(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    before = asked(session, opened(session), "leaf")
    after = asked(session, before, ("colour",))
    back = session.back(after)
    assert (back.look, back.date_asked, back.done) == (before.look, before.date_asked, before.done)
    assert session.back(start(DAY)) == start(DAY)


def test_not_sure_leaves_the_reasoning_where_it_was(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    state = asked(session, opened(session), "leaf", ("colour",), "newest", "fine_net")
    for _ in range(20):
        prompt = session.next_prompt(state)
        if prompt is None or prompt.key.kind == "part":
            break
        unsure = session.answer(state, prompt.key, "not_sure")
        assert session.weighed(unsure.look).beliefs == session.weighed(state.look).beliefs
        state = unsure


def test_a_correction_is_followed_everywhere(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    state = asked(session, opened(session), "leaf", ("colour",), "newest", "fine_net")
    corrected = session.answer(state, Key("sign", "leaf_age", 0), "oldest")
    fresh = asked(session, opened(session), "leaf", ("colour",), "oldest", "fine_net")
    assert session.weighed(corrected.look).beliefs == session.weighed(fresh.look).beliefs


def test_nothing_odd_turns_to_the_walk_round(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    state = asked(session, opened(session), "nothing")
    prompt = session.next_prompt(state)
    assert prompt is not None and prompt.key.id == "shoot_growth"


class TestPlain:
    def typed(self, knowledge: Knowledge, environment: Environment) -> tuple[State | None, str]:
        kept: list[State] = []
        interview = PlainInterview(Session(knowledge), environment, kept.append)
        try:
            state = interview.run(start(DAY))
        except Interrupted:
            state = kept[-1] if kept else None
        return state, environment.stdout.getvalue()  # type: ignore[attr-defined]

    def test_wrong_numbers_and_words_are_told_and_asked_again(
        self, knowledge: Knowledge, surroundings: Callable[..., Environment]
    ) -> None:
        state, printed = self.typed(knowledge, surroundings("lemon\nold\n-3\n6\n7\nground\n"))
        assert "'old' is not a likely value" in printed
        assert "'-3' is not a likely value" in printed
        assert "Please type a number from 1 to 3" in printed
        assert state is not None and state.look.tree["grown_in"] == "ground"

    def test_the_letters_do_what_they_say(self, knowledge: Knowledge, surroundings: Callable[..., Environment]) -> None:
        state, printed = self.typed(knowledge, surroundings("lemon\n6\nb\n7\nw\n1\nb\n2\n"))
        assert state is not None
        assert state.look.answers["age_years"] == 7
        assert state.look.tree["grown_in"] == "pot"
        assert "A pot dries out, fills with roots and salts up sooner" in printed

    def test_go_and_look_is_parked_and_listed(self, knowledge: Knowledge) -> None:
        from sallow.diagnosis import diagnose

        session = Session(knowledge)
        state = asked(session, opened(session), "leaf", ("colour",), "newest", "fine_net")
        state = session.finish(session.answer(state, Key("sign", "soil_at_depth"), "go_look"))
        assert any(line.startswith("Dig or probe") for line in diagnose(knowledge, state.look).to_look)

    def test_control_characters_typed_by_accident_are_dropped(
        self, knowledge: Knowledge, surroundings: Callable[..., Environment]
    ) -> None:
        _, printed = self.typed(knowledge, surroundings("\x1b[31mevil\x07\n"))
        assert "\x1b" not in printed and "\x07" not in printed


def test_every_answer_is_kept_and_taken_up_again(
    knowledge: Knowledge, surroundings: Callable[..., Environment]
) -> None:
    environment = surroundings()
    session = Session(knowledge)
    keep = Keeper(environment)
    state = opened(session)
    for value in ("leaf", ("colour",), "newest", "not_sure"):
        state = asked(session, state, value)
        keep(state)
        again = take_up(environment, knowledge)
        assert again.look == state.look
    keep.forget()
    with pytest.raises(BadInput, match="no unfinished look"):
        take_up(environment, knowledge)
