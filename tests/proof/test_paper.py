"""The pages on paper, printed by a headless browser at A4 and Letter: nothing cut off, and no more sheets than said."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable
from datetime import date
from html import unescape
from pathlib import Path

import pytest
from tests.support.desk import PALE_TIPS

from sallow.answers import look_from
from sallow.diagnosis import diagnose
from sallow.knowledge.model import Knowledge
from sallow.photos import Photo
from sallow.render.outline import outline
from sallow.render.page import page
from sallow.render.sheet_page import sheet_page
from sallow.render.tree_page import TreePage, tree_page
from sallow.sheet_code import make_sheet
from sallow.trees.chart import Point
from sallow.trees.story import Entry, Series

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = [
    pytest.mark.proof,
    pytest.mark.skipif(not (BROWSER and shutil.which("pdftotext")), reason="needs Chromium and pdftotext"),
]
PAPERS = ("A4", "letter")
DAY = date(2026, 5, 20)
# Two leaves of paper printed on both sides; the appendix is on a third.
MOST_PAGES = 4
Printer = Callable[[str, str], list[tuple[str, float, float, list[tuple[float, float, float, float, str]]]]]


@pytest.fixture
def printed(tmp_path: Path) -> Printer:
    """Prints a page on a paper: for each side its text, width and height in points, and its words with their boxes."""

    def by(text: str, paper: str) -> list[tuple[str, float, float, list[tuple[float, float, float, float, str]]]]:
        source, target = tmp_path / "page.html", tmp_path / "page.pdf"
        source.write_text(text.replace("</style>", f"@page {{ size: {paper}; }}\n</style>", 1), encoding="utf-8")
        words = [str(BROWSER), "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"]
        subprocess.run(
            [*words, f"--user-data-dir={tmp_path / 'browser'}", f"--print-to-pdf={target}", source.as_uri()],
            check=True, capture_output=True, timeout=120,
        )  # fmt: skip
        boxes = subprocess.run(["pdftotext", "-bbox", str(target), "-"], check=True, capture_output=True, text=True)
        sides = []
        for side in re.split(r"<page ", boxes.stdout)[1:]:
            width, height = re.findall(r'(?:width|height)="([\d.]+)"', side)[:2]
            found = re.findall(
                r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*?)</word>', side
            )
            placed = [(float(a), float(b), float(c), float(d), unescape(word)) for a, b, c, d, word in found]
            sides.append((" ".join(word for *_, word in placed), float(width), float(height), placed))
        return sides

    return by


def nothing_is_cut(sides: list[tuple[str, float, float, list[tuple[float, float, float, float, str]]]]) -> None:
    """Every word stands wholly within the margins of its side (a quarter of an inch, 18 points, prints everywhere)."""
    for _, width, height, words in sides:
        assert words
        for left, top, right, bottom, word in words:
            assert left >= 18 and right <= width - 18 and top >= 18 and bottom <= height - 18, word


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("crop", ["lemon", "avocado", "mandarin", "peach", "apple", "fig", "grape"])
def test_the_field_sheet_takes_two_leaves_of_paper_and_an_appendix(
    crop: str, paper: str, printed: Printer, knowledge: Knowledge
) -> None:
    sheet = make_sheet(knowledge, crop)
    sides = printed(sheet_page(sheet, knowledge), paper)
    nothing_is_cut(sides)
    starts = next(number for number, (text, *_) in enumerate(sides) if text.startswith("Appendix"))
    assert starts <= MOST_PAGES and len(sides) <= starts + 1
    whole = " ".join(text for text, *_ in sides)
    missing = [item.number for item in sheet.items().values() if f"{item.number}. " not in whole]
    assert missing == []


@pytest.mark.parametrize("paper", PAPERS)
def test_the_report_has_every_word_on_paper(paper: str, printed: Printer, knowledge: Knowledge) -> None:
    diagnosis = diagnose(knowledge, look_from(PALE_TIPS, "look", knowledge, DAY))
    photo = Photo("leaf.gif", "data:image/gif;base64,R0lGODlhAQABAIAAAAUEBAAAACwAAAAAAQABAAACAkQBADs=", 35)
    sides = printed(page(diagnosis, True, True, knowledge, (photo,)), paper)
    nothing_is_cut(sides)
    bare = re.sub(r"\W", "", " ".join(text for text, *_ in sides))
    lost = [
        line.text
        for line in outline(diagnosis, True, True)
        if line.kind in ("title", "heading", "cause", "text", "tick")
        and re.sub(r"\W", "", line.text)[:40] not in bare
    ]
    assert lost == [] and "leafgif" in bare


@pytest.mark.parametrize("paper", PAPERS)
def test_the_story_of_a_tree_has_its_charts_on_paper(paper: str, printed: Printer) -> None:
    growth = Series("Shoot growth, cm", (Point(date(2025, 3, 1), 12.0), Point(date(2026, 3, 1), 30.0)), low=0)
    story = [Entry(date(2026, 1, 1 + number % 28), "day", "done", f"deed {number}") for number in range(60)]
    sides = printed(tree_page(TreePage("Wall lemon", ("lemon",), story, (growth,), (), ("Look again",), DAY)), paper)
    nothing_is_cut(sides)
    text = " ".join(side for side, *_ in sides)
    assert "12 on 1 Mar 2025; 30 on 1 Mar 2026" in text
    assert all(f"deed {number}" in text for number in range(60))
