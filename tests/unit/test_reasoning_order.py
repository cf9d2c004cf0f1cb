"""The order of files, rules and answers never changes a report, byte for byte; not sure equals not answered."""

from __future__ import annotations

import shutil
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import TypeVar

import pytest

from sallow.case_runs import case_look
from sallow.diagnosis import diagnose, weigh_look
from sallow.diagnosis.told import answered_pairs
from sallow.knowledge.load import load
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge
from sallow.looks import NOT_SURE, Look
from sallow.reasoning.ask import Asker
from sallow.reasoning.stored import remembering
from sallow.render.data import as_json

_Key = TypeVar("_Key")
_Value = TypeVar("_Value")
EVERY = 12


@pytest.fixture(scope="module")
def looks(knowledge: Knowledge) -> list[Look]:
    """Every so many published cases, with one, two and three symptoms among them."""
    found = [case_look(case, knowledge) for case in knowledge.cases]
    chosen = found[::EVERY] + [look for look in found if len(look.symptoms) == 3][:2]
    assert {len(look.symptoms) for look in chosen} >= {1, 2, 3}
    return chosen


def next_question(knowledge: Knowledge, look: Look) -> object:
    scales, weighed = weigh_look(knowledge, look)
    return Asker(scales, weighed, tuple(answered_pairs(look))).next()


def same_reports(looks: Sequence[Look], one: Knowledge, other: Knowledge) -> None:
    for look in looks:
        assert as_json(diagnose(one, look)) == as_json(diagnose(other, look))
        assert next_question(one, look) == next_question(other, look)


def compiled_once(knowledge: Knowledge) -> Knowledge:
    """The knowledge with its own compiled evidence, made from it when first wanted."""
    return replace(knowledge, stored=remembering(knowledge))


def turned(random: Random, values: Mapping[_Key, _Value]) -> dict[_Key, _Value]:
    items = list(values.items())
    random.shuffle(items)
    return dict(items)


def test_files_in_another_order_give_the_same_report(knowledge: Knowledge, looks: list[Look], tmp_path: Path) -> None:
    for path in sorted(shipped_folder("knowledge").rglob("*.yaml")):
        place = tmp_path / path.relative_to(shipped_folder("knowledge"))
        place.parent.mkdir(parents=True, exist_ok=True)
        # Files are read in order of name, so a name turned round puts them in another order.
        name = path.name if place.parent == tmp_path else f"{path.stem[::-1]}.yaml"
        shutil.copy(path, place.with_name(name))
    renamed = load([tmp_path], with_cases=True)
    assert list(renamed.signs) != list(knowledge.signs)
    same_reports(looks, knowledge, compiled_once(replace(renamed, version=knowledge.version)))


def test_rules_in_another_order_give_the_same_report(knowledge: Knowledge, looks: list[Look]) -> None:
    random = Random(7)
    causes = {
        name: replace(cause, evidence=tuple(random.sample(cause.evidence, len(cause.evidence))))
        for name, cause in knowledge.causes.items()
    }
    findings = {
        name: replace(finding, rules=tuple(random.sample(finding.rules, len(finding.rules))))
        for name, finding in turned(random, knowledge.findings).items()
    }
    signs = turned(random, knowledge.signs)
    other = replace(knowledge, causes=causes, findings=findings, signs=signs)
    same_reports(looks, knowledge, compiled_once(other))


def test_answers_in_another_order_give_the_same_report(knowledge: Knowledge, looks: list[Look]) -> None:
    random = Random(11)
    for look in looks:
        other = replace(
            look,
            answers=turned(random, look.answers),
            tree=turned(random, look.tree),
            symptoms=tuple(turned(random, symptom) for symptom in look.symptoms),
            events=tuple(random.sample(look.events, len(look.events))),
        )
        assert as_json(diagnose(knowledge, look)) == as_json(diagnose(knowledge, other))


def test_not_sure_equals_not_answered(knowledge: Knowledge, looks: list[Look]) -> None:
    for look in looks:
        unsure = look
        for sign in knowledge.signs.values():
            part = [] if not sign.of_symptom else range(len(look.symptoms))
            for symptom in part or [None]:
                fits = symptom is None or sign.part in ("any", look.symptoms[symptom]["part"])
                if (symptom is None) != sign.of_symptom and fits and look.answer(symptom, sign.id) is None:
                    unsure = unsure.with_answer(symptom, sign.id, NOT_SURE)
        assert unsure != look
        assert weigh_look(knowledge, unsure)[1] == weigh_look(knowledge, look)[1]


def test_taking_an_answer_back_gives_the_very_report_of_before(knowledge: Knowledge, looks: list[Look]) -> None:
    for look in looks:
        before = as_json(diagnose(knowledge, look))
        for sign in ("soil_at_depth", "crop_load", "shade"):
            if sign in knowledge.signs and sign not in look.answers:
                answer = next(iter(knowledge.signs[sign].answers))
                told = look.with_answer(None, sign, answer)
                assert as_json(diagnose(knowledge, told)) != before
                assert as_json(diagnose(knowledge, told.with_answer(None, sign, None))) == before
