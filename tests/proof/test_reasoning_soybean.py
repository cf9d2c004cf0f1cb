"""The ordinary loader, engine and choice of questions on other people's data, beside plain naive Bayes.

Data: UCI Soybean (Large); see tests/data/README.md. Everything is fitted inside the training rows.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from random import Random
from statistics import mean

import pytest
from tests.support.soybean import Row, Score, learned, naive_bayes, rows, score

from sallow.reasoning.ask import Asker
from sallow.reasoning.compile import SOMETHING_ELSE, compile_base
from sallow.reasoning.facts import Facts
from sallow.reasoning.weigh import Scales, Weighed

pytest.importorskip("numpy", reason="numpy comes with the dev extra")
pytestmark = pytest.mark.proof

SYMPTOM = ({"part_is": "whole"},)
QUESTIONS = 5
SURE = 0.9
Chooser = Callable[[Asker], str | None]


def weighed(scales: Scales, values: Mapping[str, str]) -> Weighed:
    return scales.weigh(Facts({}, values, SYMPTOM, True))


def beliefs(found: Weighed) -> dict[str, float]:
    """The stated beliefs; what goes to 'something not in this knowledge base' counts against them."""
    pairs = zip(found.causes, found.beliefs.member, strict=True)
    return {cause: belief for cause, belief in pairs if cause != SOMETHING_ELSE}


def by_engine(asker: Asker) -> str | None:
    """The engine's next question; once none can change the next step, the one that tells most."""
    question = asker.next() or next(iter(asker.candidates()), None)
    return question.sign if question else None


def at_random(names: Sequence[str], seed: int) -> Chooser:
    random = Random(seed)

    def choose(asker: Asker) -> str | None:
        left = [name for name in names if (None, name) not in asker.asked]
        return random.choice(left) if left else None

    return choose


def interview(scales: Scales, row: Row, choose: Chooser) -> tuple[dict[str, float], int]:
    """Beliefs after five questions, and how many it takes to be 90 % sure. A question whose answer is unknown
    counts as asked."""
    told: dict[str, str] = {}
    asked: set[tuple[None, str]] = set()
    after_five: dict[str, float] | None = None
    needed: int | None = None
    while after_five is None or needed is None:
        found = weighed(scales, told)
        now = beliefs(found)
        name = choose(Asker(scales, found, asked))
        if after_five is None and (len(asked) == QUESTIONS or name is None):
            after_five = now
        if needed is None and (max(now.values()) >= SURE or name is None):
            needed = len(asked)
        if name is not None:
            asked.add((None, name))
            if name in row.values:
                told[name] = row.values[name]
    return after_five, needed


def line(name: str, found: Score, questions: float | None = None) -> str:
    asked = "" if questions is None else f"{questions:11.2f}"
    return f"{name:34}{found.first:8.3f}{found.three:8.3f}{found.calibration:8.3f}{found.loss:8.3f}{asked}"


def test_soybean_beside_naive_bayes(
    tmp_path_factory: pytest.TempPathFactory, capsys: pytest.CaptureFixture[str]
) -> None:
    from tests.support.soybean_fit import fit

    training, testing = rows("train"), rows("test")
    assert (len(training), len(testing)) == (290, 340)
    truth = [row.cause for row in testing]
    chosen, *_ = fit(training, [*training, *testing])
    folder = tmp_path_factory.mktemp("soybean")
    knowledge = learned(folder, training, [*training, *testing], chosen.pseudo, chosen.factors)
    scales = Scales(compile_base(knowledge, {}), chosen.rho)
    plain = naive_bayes(training, [*training, *testing])

    full = score([beliefs(weighed(scales, row.values)) for row in testing], truth)
    reference = score([plain(row.values) for row in testing], truth)
    asked = [interview(scales, row, by_engine) for row in testing]
    names = sorted(knowledge.signs.keys() - {"laboratory"})
    unasked = [interview(scales, row, at_random(names, number)) for number, row in enumerate(testing)]
    five, five_random = (score([after for after, _ in each], truth) for each in (asked, unasked))
    needed, needed_random = (mean(count for _, count in each) for each in (asked, unasked))

    with capsys.disabled():
        print(
            f"\nSoybean, 15 classes, {len(training)} rows to learn, {len(testing)} to test; fitted inside the training"
        )
        print(f"rows: rho {chosen.rho:g}, pseudo count {chosen.pseudo:g}, one factor for each column")
        print(f"{'':34}{'first':>8}{'three':>8}{'calib.':>8}{'loss':>8}{'to 90 %':>11}")
        print(line("plain naive Bayes, all answers", reference))
        print(line("sallow, all answers", full))
        print(line("sallow, five questions of its own", five, needed))
        print(line("sallow, five questions at random", five_random, needed_random))

    assert full.first >= max(0.91, reference.first - 0.01)
    assert full.three >= 0.98
    assert full.calibration <= 0.03
    assert full.loss <= 0.30
    assert five.first >= 0.90
    assert five.calibration <= 0.10
    assert needed <= 8.5
    assert five.first > five_random.first + 0.2
    assert needed < needed_random
