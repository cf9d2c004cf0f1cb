"""--save: the ending of the file decides the form; each form holds the same report."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from tests.support.desk import PALE_TIPS, Desk

HEAD = "What seems to be going on"


@pytest.fixture
def desk(tmp_path: Path, compiled_folder: Path) -> Desk:
    return Desk(tmp_path, compiled_folder)


def text_of_drawing(text: str) -> str:
    return " ".join(" ".join(ElementTree.fromstring(text).itertext()).split()).replace("\xa0", " ")


def text_of_page(text: str) -> str:
    assert text.startswith("<!DOCTYPE html>") and "<script" not in text and "<link" not in text
    return re.sub(r"<[^>]+>", " ", text)


def text_of_data(text: str) -> str:
    causes = json.loads(text)["causes"]
    return HEAD + " " + " ".join(str(cause["name"]) for cause in causes)


def text_of_markdown(text: str) -> str:
    assert text.startswith("# ")
    return text


@pytest.mark.parametrize(
    ("ending", "read"),
    [
        ("txt", str), ("md", text_of_markdown), ("json", text_of_data), ("html", text_of_page),
        ("svg", text_of_drawing), ("HTML", text_of_page),
    ],
)  # fmt: skip
def test_each_ending_has_its_form(ending: str, read: object, desk: Desk, tmp_path: Path) -> None:
    target = tmp_path / f"report.{ending}"
    status, _, err = desk.run("look", "--answers", desk.file("a.yaml", PALE_TIPS), "--save", str(target))
    assert status == 0 and f"Saved: {target}" in err
    told = " ".join(read(target.read_text(encoding="utf-8")).split())  # type: ignore[operator]
    assert HEAD in told and "Iron shortage" in told


def test_another_ending_is_refused_before_anything_is_asked(desk: Desk, tmp_path: Path) -> None:
    target = tmp_path / "report.pdf"
    status, out, err = desk.run("look", "--answers", desk.file("a.yaml", PALE_TIPS), "--save", str(target))
    assert (status, out) == (2, "") and ".txt, .md, .json, .html, .svg" in err and not target.exists()
