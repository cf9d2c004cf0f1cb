"""The talk of a follow-up: the recommended tests first, nothing told thrown away, one look a day in the book."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from sallow.answers import look_from
from sallow.cli import main
from sallow.diagnosis import diagnose
from sallow.environment import Environment
from sallow.follow_up import brings_news, wanted_questions
from sallow.interview.finding import found
from sallow.interview.follow import NOTHING_ELSE, FollowSession
from sallow.interview.session import Key, State, start
from sallow.knowledge.model import Knowledge
from sallow.later_day import moved_on
from sallow.looks import Look
from sallow.saving import save
from sallow.values import replace

DAY = date(2026, 3, 2)
LATER = DAY + timedelta(days=10)
MUCH_LATER = DAY + timedelta(days=40)
POT = {
    "date": DAY.isoformat(),
    "tree": {"crop": "mandarin", "grown_in": "pot", "winters": "mild", "summers": "dry", "heat": "moderate",
             "hemisphere": "south", "age_years": 4},
    "events": [{"what": "fed", "within": "3 weeks"}],
    "symptoms": [{"part": "leaf", "leaf_change": ["colour"], "leaf_age": "newest", "colour_pattern": "fine_net",
                  "extent": "half"}],
    "answers": {"looks_well": "fair", "soil_at_depth": "moist", "lime_signs": "go_look", "soil_fizz": "fizzes",
                "pot_drains": "yes", "feeder_roots": "sound"},
    "no_more_symptoms": True,
}  # fmt: skip


@pytest.fixture
def look(knowledge: Knowledge) -> Look:
    return look_from(POT, "test", knowledge, DAY)


@pytest.fixture
def saved(knowledge: Knowledge, look: Look, tmp_path: Path) -> Path:
    return save(diagnose(knowledge, look), str(tmp_path / "look.json"))


def begun(knowledge: Knowledge, look: Look, day: date) -> tuple[FollowSession, State]:
    session = FollowSession(knowledge, look, wanted_questions(knowledge, look, day))
    return session, start(day, replace(moved_on(look, day), no_more_symptoms=False))


def go_on(session: FollowSession, state: State, told: dict[str, Any]) -> tuple[State, list[Key]]:
    """Answer every prompt: by its sign from ``told``, else not sure, nothing more, nothing else."""
    asked = []
    while (prompt := session.next_prompt(state)) is not None:
        asked.append(prompt.key)
        usual = {"part": "nothing", "other": NOTHING_ELSE}.get(prompt.key.kind, "not_sure")
        state = session.answer(state, prompt.key, told.get(prompt.key.id, usual))
    return state, asked


def test_the_tests_that_the_report_named_are_asked_those_whose_wait_is_over_first(
    knowledge: Knowledge, look: Look
) -> None:
    tests = diagnose(knowledge, look).tests
    assert any(test.id.startswith("one_branch") for test in tests), "the story needs a trial on one branch"
    for day in (LATER, MUCH_LATER):
        wanted = wanted_questions(knowledge, look, day)
        asked = [item.key.id for item in wanted]
        for test in tests:
            item = next(item for item in wanted if item.key.id == knowledge.checks[test.id].gives)
            assert (item.wait_until is None) == (DAY + timedelta(days=test.days) <= day), test.id
        waiting = [number for number, item in enumerate(wanted) if item.wait_until is not None]
        ready = [number for number, item in enumerate(wanted) if item.test and item.wait_until is None]
        assert not waiting or max(ready, default=-1) < min(waiting)
        assert "lime_signs" in asked and "extent" in asked and len(asked) == len(set(asked))


def test_a_test_seen_on_the_odd_leaves_is_asked_of_them(knowledge: Knowledge, look: Look) -> None:
    named = {knowledge.checks[test.id].gives for test in diagnose(knowledge, look).tests}
    on_leaves = {sign for sign in named if knowledge.signs[sign].of_symptom}
    asked = {(item.key.id, item.key.symptom) for item in wanted_questions(knowledge, look, MUCH_LATER)}
    assert {(sign, 0) for sign in on_leaves} <= asked


def test_a_result_is_taken_over_dated_and_weighed(knowledge: Knowledge, look: Look) -> None:
    session, state = begun(knowledge, look, MUCH_LATER)
    after, _ = go_on(session, state, {"test_branch_iron": "greened"})
    assert after.look.date == MUCH_LATER and after.look.answers["test_branch_iron"] == "greened"
    assert after.look.dated == {"test_branch_iron": MUCH_LATER.isoformat()}
    assert brings_news(look, after.look)
    before, now = diagnose(knowledge, look), diagnose(knowledge, after.look)
    assert now.date == MUCH_LATER.isoformat() and now.causes != before.causes


def test_not_sure_leaves_an_earlier_answer_and_brings_nothing_new(knowledge: Knowledge, look: Look) -> None:
    session, state = begun(knowledge, look, LATER)
    after, asked = go_on(session, state, {})
    assert Key("sign", "extent", 0) in asked and after.look.symptoms[0]["extent"] == "half"
    assert not brings_news(look, after.look)


def test_a_changed_answer_counts_whichever_it_is(knowledge: Knowledge, look: Look) -> None:
    session, state = begun(knowledge, look, LATER)
    for key, value in (
        (Key("sign", "soil_at_depth"), "wet"), (Key("word", "grown_in"), "ground"), (Key("intention"), "iron"),
        (Key("event", "fed"), "w1"), (Key("sign", "extent", 0), "not_sure"), (Key("crop"), "lemon"),
    ):  # fmt: skip
        after, _ = go_on(session, session.answer(state, key, value), {})
        assert brings_news(look, after.look), key


def test_any_other_sign_is_found_by_a_word(knowledge: Knowledge, look: Look) -> None:
    _, state = begun(knowledge, look, LATER)
    for word, wanted in (
        ("smell", "sign.soil_smell"), ("pH", "sign.soil_ph"), ("mites", "sign.mites_seen.0"), ("fed", "event.fed"),
        ("soil hole", "sign.drain_hole"), ("kettle", "sign.lime_signs"), ("roots", "sign.feeder_roots"),
    ):  # fmt: skip
        assert wanted in dict(found(knowledge, word, state.look)), word
    assert found(knowledge, "zeppelin", state.look) == ()


def test_what_happened_is_so_much_longer_ago_at_the_follow_up(knowledge: Knowledge, look: Look) -> None:
    from sallow.look_facts import facts_of

    assert facts_of(look, knowledge).tree["event.fed"] == "w0"
    # Within 3 weeks then is within 21 + 10 days now, which falls between 3 weeks and 2 months.
    assert facts_of(moved_on(look, LATER), knowledge).tree["event.fed"] == "w1"


class TestTyped:
    def run(
        self, surroundings: Callable[..., Environment], saved: Path, typed: list[str], *words: str, day: date = LATER
    ) -> tuple[int, str]:
        environment = surroundings("\n".join(["", *typed]) + "\n", today=day)
        status = main(["look", "--plain", "--follow-up", str(saved), *words], environment)
        out, err = environment.stdout, environment.stderr
        assert isinstance(out, io.StringIO) and isinstance(err, io.StringIO)
        return status, " ".join((out.getvalue() + err.getvalue()).split())

    def test_nothing_new_prints_only_that_and_what_is_due(
        self, surroundings: Callable[..., Environment], saved: Path
    ) -> None:
        status, printed = self.run(surroundings, saved, ["f"])
        assert status == 0 and "answered on 12 March 2026: nothing new." in printed
        assert "Still to do:" in printed and "Tests still open:" in printed and "Look again: on" in printed
        assert "How far to trust this" not in printed and "Save this report" not in printed
        assert len(printed) < 4000

    def test_news_give_the_report_of_today_and_the_offers(
        self, surroundings: Callable[..., Environment], saved: Path, tmp_path: Path
    ) -> None:
        target = tmp_path / "again.json"
        status, printed = self.run(surroundings, saved, ["c", "1", "lemon", "f", "n", str(target)])
        assert status == 0 and "Since 2 March 2026, answered on 12 March 2026:" in printed
        assert "The tree: lemon." in printed and "How far to trust this" in printed
        assert "Keep this look in your tree book?" in printed and "Save this report?" in printed
        kept = json.loads(target.read_text(encoding="utf-8"))
        assert kept["date"] == LATER.isoformat() and kept["look"]["tree"]["crop"] == "lemon"

    def test_leaving_without_news_needs_no_word(self, surroundings: Callable[..., Environment], saved: Path) -> None:
        status, printed = self.run(surroundings, saved, ["s", "c", "99", "", "q"])
        assert status == 130 and "nothing was kept" in printed and "Leave all the same" not in printed

    def test_leaving_with_news_is_confirmed(self, surroundings: Callable[..., Environment], saved: Path) -> None:
        status, printed = self.run(surroundings, saved, ["c", "1", "lemon", "q", "n", "q", "y"])
        assert status == 130 and printed.count("Leave all the same?") == 2 and "The tree: lemon." not in printed

    def test_any_reading_is_taken_in_with_its_unit_in_its_place(
        self, knowledge: Knowledge, look: Look, surroundings: Callable[..., Environment], saved: Path
    ) -> None:
        typed = self.through(knowledge, look, ["reading", "1", "7.8 pH", ""])
        status, printed = self.run(surroundings, saved, [*typed, "", "n", "n"])
        assert status == 0 and printed.count("(a number, from a kit or a laboratory) pH 7.8") >= 1
        assert "7.8 pH" not in printed and "PH 7.8" not in printed

    def through(self, knowledge: Knowledge, look: Look, other: list[str]) -> list[str]:
        """What to type to say not sure to all that is asked, and then ``other`` at the last question."""
        session, state = begun(knowledge, look, LATER)
        typed = []
        while (prompt := session.next_prompt(state)) is not None and prompt.key.kind != "other":
            typed.append("no" if prompt.key.kind == "part" else "n")
            state = session.answer(state, prompt.key, "nothing" if prompt.key.kind == "part" else "not_sure")
        return [*typed, *other]

    def test_the_book_keeps_the_follow_up_once_under_its_own_day(
        self, knowledge: Knowledge, look: Look, surroundings: Callable[..., Environment], saved: Path, tmp_path: Path
    ) -> None:
        from sallow.trees.book import open_book
        from sallow.trees.shelf import all_trees, looks_of

        book = str(tmp_path / "book.sallow")
        first = self.through(knowledge, look, ["reading", "1", "7.8", ""])
        assert self.run(surroundings, saved, [*first, "", "Barrel mandarin", "n"], "--book", book)[0] == 0
        status, printed = self.run(surroundings, saved, ["f"], "--tree", "Barrel mandarin", "--book", book)
        assert status == 0 and "Nothing was added to the tree book." in printed
        again = self.run(surroundings, saved, [*first, "", "n"], "--tree", "Barrel mandarin", "--book", book)
        assert again[0] == 0 and "is kept already" in again[1]
        with open_book(Path(book)) as opened:
            tree = all_trees(opened)[0]
            assert [kept.day for kept in looks_of(opened, [tree.uid])[tree.uid]] == [LATER]
