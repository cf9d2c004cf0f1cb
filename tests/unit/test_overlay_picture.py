"""A new answer and its picture by YAML alone: laid over the shipped knowledge, it is drawn everywhere."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from xml.etree import ElementTree

import pytest
import yaml

from sallow.answers import look_from
from sallow.cli import main
from sallow.diagnosis import diagnose
from sallow.environment import Environment
from sallow.interview.session import Key, Session, start
from sallow.knowledge.load import load
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge
from sallow.render.leaf.plate import plate_lines, plate_svg
from sallow.render.leaf.strip import strip_for
from sallow.render.page import page
from sallow.render.sheet_page import sheet_lines, sheet_page
from sallow.sheet_code import make_sheet
from sallow.sheet_reading import look_from_code

DAY = date(2026, 5, 20)
WORDS = "a row of pin holes beside the midrib"
PICTURE = """
colours:
  chalk: {say: "chalk", hex: "#fefefe", plain: "Z", ascii: "Z", ansi: 15, weight: 3.0}
pictures:
  holes_kind:
    pin_row:
      paint:
        - {painter: spots, colours: [chalk], where: midrib, count: 14, size: 0.6}
"""


@pytest.fixture(scope="module")
def overlay(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("overlay")
    (folder / "signs").mkdir()
    shipped = yaml.safe_load((shipped_folder("knowledge") / "signs" / "leaf.yaml").read_text(encoding="utf-8"))
    sign = next(sign for sign in shipped["signs"] if sign["sign"] == "holes_kind")
    sign["answers"]["none"]["base"] -= 0.01
    sign["answers"]["pin_row"] = {"say": WORDS, "base": 0.01}
    (folder / "signs" / "mine.yaml").write_text(yaml.safe_dump({"signs": [sign]}))
    (folder / "pictures.yaml").write_text(PICTURE)
    return folder


@pytest.fixture(scope="module")
def enlarged(overlay: Path) -> Knowledge:
    return load([shipped_folder("knowledge"), overlay])


def test_it_stands_above_its_question_in_the_terminal(
    enlarged: Knowledge, surroundings: Callable[..., Environment]
) -> None:
    prompt = Session(enlarged).prompt(Key("sign", "holes_kind"), start(DAY))
    assert ("pin_row", WORDS) in prompt.options
    assert strip_for(prompt, enlarged, "lemon", surroundings(width=80)).count("Z") >= 4
    coloured = strip_for(prompt, enlarged, "lemon", replace(surroundings(width=80), colours=16777216))
    assert "38;2;254;254;254" in coloured


def test_it_is_on_the_plate_with_its_character_in_the_legend(
    enlarged: Knowledge, surroundings: Callable[..., Environment]
) -> None:
    text = "\n".join(plate_lines(enlarged, ["holes_kind.pin_row"], "fig", surroundings(width=80)))
    assert "pin_row" in text and "Z chalk" in text and text.count("Z") > 6
    drawing = plate_svg(enlarged, ["holes_kind.pin_row"], "fig")
    ElementTree.fromstring(drawing)
    assert "a row of pin holes" in drawing and "#fefefe" in drawing


def test_the_command_shows_it_from_the_folder(overlay: Path, surroundings: Callable[..., Environment]) -> None:
    environment = surroundings(width=80)
    status = main(["leaves", "holes_kind.pin_row", "--knowledge", str(overlay)], environment)
    assert status == 0 and environment.stdout.getvalue().count("Z") > 6  # type: ignore[attr-defined]


def test_it_is_on_the_field_sheet_and_its_tick_is_taken_in(
    enlarged: Knowledge, surroundings: Callable[..., Environment]
) -> None:
    sheet = make_sheet(enlarged, "lemon")
    (item,) = [item for item in sheet.items().values() if item.key.id == "holes_kind"]
    mark = next(mark for mark, answer, _ in item.options if answer == "pin_row")
    text = sheet_page(sheet, enlarged)
    assert f"Drawing of a leaf: {WORDS}" in text
    assert f"[ ] {mark} {WORDS}" in "\n".join(sheet_lines(sheet, enlarged, surroundings(width=80)))
    look = look_from_code(f"{sheet.mark} {item.number}{mark}", enlarged, "", DAY)
    assert look.symptoms[0]["holes_kind"] == "pin_row"


def test_it_is_drawn_in_the_saved_page_of_a_look(enlarged: Knowledge) -> None:
    symptom = {"part": "leaf", "leaf_change": ["holes"], "holes_kind": "pin_row"}
    told = {"tree": {"crop": "lemon"}, "symptoms": [symptom]}
    text = page(diagnose(enlarged, look_from(told, "look", enlarged, DAY)), False, False, enlarged, ())
    assert f"Drawing of a leaf: {WORDS.capitalize()}" in text and "#fefefe" in text
