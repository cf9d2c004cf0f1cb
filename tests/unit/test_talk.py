"""The talk of a look: what is typed is understood as people mean it, and nothing typed lands on another question."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from sallow.environment import Environment
from sallow.errors import BadInput, Interrupted
from sallow.interview.keep import FILE, Keeper, kept_files, take_up, unfinished
from sallow.interview.letters import LEFT, STOPPED
from sallow.interview.plain import PlainInterview
from sallow.interview.prompts import Prompts
from sallow.interview.session import Key, Session, State, start
from sallow.interview.typed import day_typed, number_typed
from sallow.knowledge.model import Knowledge
from sallow.looks import NONE_NOTICED, Event

TODAY = date(2026, 5, 20)
# A pear in the ground, cool rainy place, north, today, nothing planned, fair.
OPENING = ["pear", "4", "1", "2", "2", "1", "", "1", "2"]


def talk(
    knowledge: Knowledge, environment: Environment, at_risk: Callable[[State], str] = lambda _: ""
) -> tuple[State | None, str, str]:
    """The last state, what was printed (blanks squeezed), and why it stopped."""
    kept: list[State] = []
    why = ""
    try:
        state = PlainInterview(Session(knowledge), environment, kept.append, at_risk).run(start(TODAY))
    except Interrupted as stop:
        state, why = kept[-1] if kept else None, str(stop)
    return state, " ".join(environment.stdout.getvalue().split()), why  # type: ignore[attr-defined]


def lines(*typed: str) -> str:
    return "\n".join(typed) + "\n"


@pytest.mark.parametrize(
    ("typed", "years"),
    [("about 4", 4), ("4 years", 4), ("four", 4), ("4 months", 0.33), ("6 weeks ago", 0.12), ("3-4", 3.5),
     ("~ 10 yrs", 10), ("2019", 7), ("half a year", 0.5), ("1,5", 1.5)],
)  # fmt: skip
def test_an_age_is_read_as_people_say_it(knowledge: Knowledge, typed: str, years: float) -> None:
    assert number_typed(typed, knowledge.signs["age_years"], 2026) == years


@pytest.mark.parametrize("typed", ["old", "-3", "500", "about", "4 apples", ""])
def test_what_is_no_age_is_refused(knowledge: Knowledge, typed: str) -> None:
    assert number_typed(typed, knowledge.signs["age_years"], 2026) is None


def test_a_soil_reading_may_come_with_its_unit(knowledge: Knowledge) -> None:
    for typed in ("7.8", "pH 7.8", "7.8 pH", "ph: 7,8", "about 7.8"):
        assert number_typed(typed, knowledge.signs["soil_ph"], 2026) == 7.8


@pytest.mark.parametrize(
    ("typed", "day"),
    [("today", date(2026, 5, 20)), ("yesterday", date(2026, 5, 19)), ("4 May 2026", date(2026, 5, 4)),
     ("May 4", date(2026, 5, 4)), ("2026-5-4", date(2026, 5, 4)), ("4.5.2026", date(2026, 5, 4)),
     ("2026-05-04", date(2026, 5, 4)), ("15/5/2026", date(2026, 5, 15))],
)  # fmt: skip
def test_a_day_is_read_in_its_usual_forms(typed: str, day: date) -> None:
    assert day_typed(typed, TODAY) == day


@pytest.mark.parametrize(
    ("typed", "says"),
    [("4/5/2026", "4 May 2026 or 5 April 2026"), ("2026-06-01", "still to come"), ("May 2026", "which day was it"),
     ("soon", "not a date I understand"), ("2026-02-30", "not a date I understand")],
)  # fmt: skip
def test_a_doubtful_day_is_asked_back(typed: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        day_typed(typed, TODAY)


def test_times_and_names_read_as_a_gardener_says_them(knowledge: Knowledge) -> None:
    from sallow.phrases import event_words, lower_first, number_words, window_words

    for kind in knowledge.events.values():
        for index in range(len(kind.windows) + 1):
            assert "last 1 " not in window_words(knowledge, kind.id, index)
    assert window_words(knowledge, "heat", 0) == "within the last week"
    assert event_words(Event("fed", within="31 days"), knowledge) == "within the last 5 weeks"
    assert event_words(Event("fed", within="402 days"), knowledge) == "within the last 14 months"
    said = [number_words(number, unit) for number, unit in ((0.3, "years"), (1, "years"), (4, "years"), (7.8, "pH"))]
    assert said == ["about 4 months", "1 year", "4 years", "pH 7.8"]
    assert lower_first("A pot that dries out") == "a pot that dries out" and lower_first("X-disease") == "X-disease"


def test_a_trade_name_of_a_disease_has_a_plain_word_beside_it(knowledge: Knowledge) -> None:
    trade = ("Exocortis", "Melanose", "Psorosis", "Armillaria", "Xylella", "Tristeza", "Verticillium", "psyll")
    for cause in knowledge.causes.values():
        for word in trade:
            assert word not in cause.name or "(" in cause.name, cause.name
    asked = " ".join(f"{sign.ask} {sign.how_to_tell}" for sign in knowledge.signs.values())
    for awkward in ("hand and a half", "comes under where"):
        assert awkward not in asked
    assert "emitter" not in knowledge.signs["emitters"].ask.replace("outlet (emitter)", "")


def test_days_and_spans_are_read_alike_in_feed_and_lab(surroundings: Callable[..., Environment]) -> None:
    from sallow.cli import main

    for words, typed, goes_on in (
        (["feed"], ["lemon", "ground", "about 6 months"], "How is the soil?"),
        (["lab"], ["leaf", "lemon", "N 2.1 %", "", "florida", "north", "4 May"], "That was the last question."),
    ):
        environment = surroundings(lines(*typed))
        main(words, environment)
        printed = environment.stdout.getvalue()  # type: ignore[attr-defined]
        assert goes_on in printed and "is not a" not in printed


def test_what_was_understood_is_told_back(knowledge: Knowledge, surroundings: Callable[..., Environment]) -> None:
    state, printed, _ = talk(knowledge, surroundings(lines("pear", "4 months", *OPENING[2:6], "yesterday")))
    assert "(Taken as about 4 months.)" in printed and "(Taken as 19 May 2026.)" in printed
    assert state is not None and state.look.date == date(2026, 5, 19)


def test_not_sure_is_an_answer_at_every_question_of_the_opening(
    knowledge: Knowledge, surroundings: Callable[..., Environment]
) -> None:
    state, printed, _ = talk(knowledge, surroundings(lines(*"n" * 6, "", *"n" * 2)))
    assert "Please" not in printed and state is not None
    assert (state.look.tree["crop"], state.look.date, state.look.about_to) == ("other", TODAY, "nothing")


def test_the_question_is_shown_again_after_an_aside_and_on_request(
    knowledge: Knowledge, surroundings: Callable[..., Environment]
) -> None:
    for asked_for in ("w", "s", "m", "", "?", "help"):
        _, printed, _ = talk(knowledge, surroundings(lines("pear", "4", asked_for)))
        assert printed.count("Where does it stand?") == 2, asked_for
        assert printed.count("1 in open ground") == 2, asked_for
    _, printed, _ = talk(knowledge, surroundings(lines("pear", "4", "?")))
    assert printed.count("w why do you ask") == 2


@pytest.mark.parametrize("word", ["q", "quit", "exit", "QUIT"])
def test_leaving_keeps_what_was_typed_and_says_how_to_go_on(
    knowledge: Knowledge, surroundings: Callable[..., Environment], word: str
) -> None:
    state, printed, why = talk(knowledge, surroundings(lines("pear", "4", word, "1")))
    assert why == STOPPED and "Leave all the same" not in printed
    assert state is not None and state.look.answers["age_years"] == 4 and "grown_in" not in state.look.tree


def test_leaving_is_confirmed_only_where_something_would_be_lost(
    knowledge: Knowledge, surroundings: Callable[..., Environment]
) -> None:
    def risk(_: State) -> str:
        return "It could not be kept."

    state, printed, why = talk(knowledge, surroundings(lines("pear", "4", "q", "n", "1", "q", "y")), risk)
    assert printed.count("It could not be kept. Leave all the same?") == 2 and why == LEFT
    assert state is not None and state.look.tree["grown_in"] == "ground"


def test_a_bad_reply_leaves_the_list_of_answers_up(
    knowledge: Knowledge, surroundings: Callable[..., Environment]
) -> None:
    state, printed, _ = talk(knowledge, surroundings(lines(*OPENING[:3], "c", "z9", "99", "1", "fig", "2")))
    assert printed.count("to change that answer, Enter to change none") == 2
    assert state is not None and state.look.tree["crop"] == "fig"
    assert state.look.tree["winters"] == "mild" and state.look.tree["grown_in"] == "ground"


def test_the_day_of_the_look_can_be_changed(knowledge: Knowledge, surroundings: Callable[..., Environment]) -> None:
    state, printed, _ = talk(knowledge, surroundings(lines(*OPENING[:7], "c", "6", "4 May")))
    assert "6 The day of the look: 20 May 2026" in printed
    assert state is not None and state.look.date == date(2026, 5, 4) and not state.look.about_to


def test_an_answer_being_changed_can_be_left_as_it_was(
    knowledge: Knowledge, surroundings: Callable[..., Environment]
) -> None:
    state, _, _ = talk(knowledge, surroundings(lines("pear", "4", "c", "2", "b", "1")))
    assert state is not None and state.look.answers["age_years"] == 4 and state.look.tree["grown_in"] == "ground"


def test_at_the_last_question_every_letter_does_something_and_none_is_lost(
    knowledge: Knowledge, surroundings: Callable[..., Environment]
) -> None:
    environment = surroundings(lines("s", "m", "?", "w", "n", "l", "7", ""))
    interview = PlainInterview(Session(knowledge), environment, lambda _: None)
    state = start(TODAY)
    assert interview.last_word(state) is None
    printed = environment.stdout.getvalue()  # type: ignore[attr-defined]
    assert printed.count("That was the last question.") == 8
    assert printed.count("There is no question left to answer.") == 4
    for word in ("q", "quit"):
        with pytest.raises(Interrupted):
            PlainInterview(Session(knowledge), surroundings(lines(word)), lambda _: None).last_word(state)


def test_a_question_of_memory_does_not_offer_to_look_later(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    for sign in knowledge.signs.values():
        offered = [answer for answer, _ in Prompts(session.knowledge).extras(sign)]
        assert ("go_look" in offered) == (sign.effort > 0), sign.id


def test_no_and_nothing_noticed_are_told_apart_or_one_is_not_offered(knowledge: Knowledge) -> None:
    session = Session(knowledge)
    yes_no = [sign for sign in knowledge.signs.values() if sign.kind == "yes_no"]
    assert yes_no
    for sign in yes_no:
        words = dict(Prompts(session.knowledge).extras(sign)).get(NONE_NOTICED)
        assert words == ("not that I noticed, but I did not look closely" if sign.effort else None), sign.id


def test_n_at_a_question_with_yes_and_no_is_told_back(
    knowledge: Knowledge, surroundings: Callable[..., Environment]
) -> None:
    session = Session(knowledge)
    state = start(TODAY)
    for typed, wanted, said in (("n", "not_sure", True), ("no", "no", False), ("y", "yes", False)):
        environment = surroundings(lines(typed))
        answered = PlainInterview(session, environment, lambda _: None).put(
            session.prompt(Key("sign", "rocks"), state), state
        )
        assert answered.look.answers["rocks"] == wanted
        assert ("for no, go back" in environment.stdout.getvalue()) == said  # type: ignore[attr-defined]


class TestUnfinished:
    def keep(self, knowledge: Knowledge, environment: Environment, *answers: str) -> None:
        session, state = Session(knowledge), start(TODAY)
        keeper = Keeper(environment, new=True)
        for value in answers:
            prompt = session.next_prompt(state)
            assert prompt is not None
            state = session.answer(state, prompt.key, value)
            keeper(state)

    def test_a_new_look_leaves_an_unfinished_one_kept(
        self, knowledge: Knowledge, surroundings: Callable[..., Environment]
    ) -> None:
        environment = surroundings()
        self.keep(knowledge, environment, "pear", "4")
        self.keep(knowledge, environment, "fig", "2", "pot")
        self.keep(knowledge, environment, "mango")
        kept = unfinished(environment, knowledge)
        assert sorted(one.words for one in kept) == [
            "fig, 20 May 2026, 3 answers", "mango, 20 May 2026, 1 answer", "pear, 20 May 2026, 2 answers",
        ]  # fmt: skip
        assert kept[0].words.startswith("mango")
        pear = next(one for one in kept if one.words.startswith("pear"))
        assert take_up(environment, knowledge, pear).look.tree["crop"] == "pear"
        assert len(kept_files(environment)) == 3
        again = unfinished(environment, knowledge)
        assert again[0].path.name == FILE and again[0].words.startswith("pear")

    def test_a_day_typed_in_words_is_taken_up_as_the_same_day_later(
        self, knowledge: Knowledge, surroundings: Callable[..., Environment]
    ) -> None:
        environment = surroundings(lines(*OPENING[:6], "yesterday"))
        keeper = Keeper(environment)
        with pytest.raises(Interrupted):
            PlainInterview(Session(knowledge), environment, keeper).run(start(TODAY))
        later = surroundings(today=date(2026, 6, 1))
        state = take_up(later, knowledge)
        assert state.look.date == date(2026, 5, 19) and len(state.history) == 7
