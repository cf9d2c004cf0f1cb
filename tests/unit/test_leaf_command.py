"""sallow leaves and the strips above the answers: exact output at three widths, and what is refused."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from io import StringIO
from pathlib import Path

import pytest

from sallow.cli import main
from sallow.environment import Environment
from sallow.interview.session import Key, Session, start
from sallow.knowledge.model import Knowledge
from sallow.render.leaf.strip import strip_for

Surroundings = Callable[..., Environment]
EXPECTED = Path(__file__).parent / "expected"


@pytest.fixture(autouse=True)
def _compiled_once(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    # The knowledge is read from its files once for all of these commands.
    folder = tmp_path_factory.getbasetemp() / "compiled"
    monkeypatch.setattr("sallow.knowledge.compiled.cache_path", lambda *_: folder / "knowledge.jsonl")


def run(words: list[str], environment: Environment) -> tuple[int, str, str]:
    """Exit status, output and error output of one command."""
    status = main(words, environment)
    assert isinstance(environment.stdout, StringIO) and isinstance(environment.stderr, StringIO)
    return status, environment.stdout.getvalue(), environment.stderr.getvalue()


@pytest.mark.parametrize("width", [60, 80, 100])
def test_the_plate_of_a_sign_reads_exactly_so(width: int, surroundings: Surroundings) -> None:
    status, text, _ = run(["leaves", "holes_kind", "--crop", "lemon"], surroundings(width=width))
    assert status == 0
    assert max(len(line) for line in text.splitlines()) <= width
    assert text == (EXPECTED / f"leaf_holes_{width}.txt").read_text(encoding="utf-8")


def test_one_picture_is_drawn_large_with_its_words(surroundings: Surroundings) -> None:
    status, text, _ = run(["leaves", "dead_areas.into_stem"], replace(surroundings(), unicode=False))
    assert status == 0 and text.isascii()
    assert "into_stem: an uneven brown stain that runs down into the twig" in text
    assert "# dead brown" in text and "| twig" in text


def test_an_answer_may_be_named_as_the_plate_names_it(surroundings: Surroundings) -> None:
    whole = run(["leaves", "colour_pattern.mottle"], surroundings())[1]
    assert run(["leaves", "mottle"], surroundings())[1] == whole


def test_the_whole_plate_shows_every_answer(knowledge: Knowledge, surroundings: Surroundings) -> None:
    _, text, _ = run(["leaves"], surroundings(width=100))
    words = set(re.findall(r"[a-z_]+", text))
    assert {key.split(".")[1] for key in knowledge.pictures.pictures} <= words


def test_the_plate_as_a_drawing(tmp_path: Path, surroundings: Surroundings) -> None:
    path = tmp_path / "plate.svg"
    status, _, said = run(["leaves", "spot_kind", "--svg", str(path)], surroundings())
    assert status == 0 and str(path) in said
    assert path.read_text(encoding="utf-8").count("<svg x=") == 21


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["leaves", "colour_patern"], "Did you mean 'colour_pattern'?"),
        (["leaves", "colour_pattern.motle"], "Did you mean 'colour_pattern.mottle'?"),
        (["leaves", "--crop", "lemmon"], "Did you mean 'lemon'?"),
    ],
)
def test_what_is_not_known_is_refused_with_the_nearest_word(
    words: list[str], message: str, surroundings: Surroundings
) -> None:
    status, _, said = run(words, surroundings())
    assert status == 2 and message in said


@pytest.mark.parametrize("width", [60, 80, 100])
@pytest.mark.parametrize("sign", ["colour_pattern", "spot_kind", "on_leaf", "leaf_shape", "dead_areas", "holes_kind"])
def test_the_strip_above_a_question_numbers_every_answer_in_order(
    sign: str, width: int, knowledge: Knowledge, surroundings: Surroundings
) -> None:
    prompt = Session(knowledge).prompt(Key("sign", sign), start(date(2026, 5, 20)))
    strip = strip_for(prompt, knowledge, "lemon", surroundings(width=width))
    lines = strip.splitlines()
    assert len(lines) <= 12
    assert max(len(line) for line in lines) <= width
    numbers = [int(number) for line in lines for number in re.findall(r"\d+", line.replace("0" * 2, ""))]
    assert sorted(set(numbers) - {0}) == list(range(1, len(prompt.options) + 1))


def test_a_question_without_pictures_has_no_strip(knowledge: Knowledge, surroundings: Surroundings) -> None:
    prompt = Session(knowledge).prompt(Key("sign", "leaf_age"), start(date(2026, 5, 20)))
    assert strip_for(prompt, knowledge, "lemon", surroundings()) == ""
