"""The printable page and the drawing of the report: well formed, self-contained, escaped, readable without eyes."""

from __future__ import annotations

import itertools
import re
from datetime import date
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest

from sallow.answers import look_from
from sallow.diagnosis import diagnose
from sallow.knowledge.model import Knowledge
from sallow.render.markup import STYLE, document, linked, safe
from sallow.render.outline import outline
from sallow.render.page import page
from sallow.render.picture import report_svg
from sallow.report_model import Diagnosis

LOOK = {
    "date": "2026-05-20",
    "about_to": "iron",
    "tree": {
        "crop": "lemon",
        "climate": "dry_summer",
        "hemisphere": "south",
        "grown_in": "pot",
        "name": '<b>half</b> & "barrel"',
    },
    "events": [{"what": "fed", "within": "2 months"}],
    "symptoms": [
        {
            "part": "leaf",
            "leaf_change": ["colour", "on_it"],
            "leaf_age": "newest",
            "colour_pattern": "fine_net",
            "dead_areas": "none",
            "on_leaf": ["soot", "bumps"],
            "crown_place": "whole",
        }
    ],
    "answers": {"soil_at_depth": "wet", "looks_well": "fair"},
}
VOID = {"meta", "br", "link", "img", "input", "hr"}


@pytest.fixture(scope="module")
def diagnosis(knowledge: Knowledge) -> Diagnosis:
    """The look above, diagnosed."""
    return diagnose(knowledge, look_from(LOOK, "look", knowledge, date(2026, 5, 20)))


class Reader(HTMLParser):
    """Collects elements, headings, text and ids, and whether elements close in order."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.stack: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.headings: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(tag)
        if tag not in VOID:
            self.stack.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.stack and self.stack[-1] == tag, f"{tag} closes {self.stack[-3:]}"
        self.stack.pop()

    def handle_data(self, data: str) -> None:
        if not {"style", "title"} & set(self.stack):
            self.words.append(data)


def words_of(text: str) -> str:
    """The text without blanks and markers, to compare two media."""
    return re.sub(r"\s+", "", text)


def test_the_page_is_well_formed_and_its_headings_go_down_step_by_step(
    diagnosis: Diagnosis, knowledge: Knowledge
) -> None:
    reader = Reader(page(diagnosis, knowledge=knowledge))
    assert reader.stack == []
    levels = [int(heading[1]) for heading in reader.headings]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(b <= a + 1 for a, b in itertools.pairwise(levels))
    ids = [attributes["id"] for _, attributes in reader.elements if "id" in attributes]
    assert len(ids) == len(set(ids))


def test_the_page_fetches_nothing_and_runs_nothing(diagnosis: Diagnosis, knowledge: Knowledge) -> None:
    reader = Reader(page(diagnosis, knowledge=knowledge))
    tags = {tag for tag, _ in reader.elements}
    assert not tags & {"script", "link", "img", "iframe", "object", "embed", "form"}
    attributes = {name for _, found in reader.elements for name in found}
    assert not {name for name in attributes if name.startswith("on") or name in ("src", "style")}
    assert "url(" not in STYLE and "@import" not in STYLE


def test_every_line_of_the_outline_stands_in_the_page(diagnosis: Diagnosis, knowledge: Knowledge) -> None:
    text = words_of("".join(Reader(page(diagnosis, True, True, knowledge)).words))
    missing = [
        line.text for line in outline(diagnosis, True, True) if words_of(line.text.removeprefix("Source: ")) not in text
    ]
    assert missing == []


def test_names_are_escaped_in_the_page(diagnosis: Diagnosis, knowledge: Knowledge) -> None:
    text = page(diagnosis, knowledge=knowledge)
    assert "<b>" not in text
    assert "&lt;b&gt;half&lt;/b&gt; &amp; &quot;barrel&quot;" in text


def test_the_symptoms_are_drawn_and_what_is_sound_is_not(diagnosis: Diagnosis, knowledge: Knowledge) -> None:
    text = page(diagnosis, knowledge=knowledge)
    assert text.count("<figure>") == 3
    assert "Drawing of a leaf: Pale or yellow with a fine net of green veins, down to the thinnest" in text
    assert "<figure>" not in page(diagnosis)


def test_drawings_and_boxes_have_words_for_those_who_do_not_see_them(
    diagnosis: Diagnosis, knowledge: Knowledge
) -> None:
    reader = Reader(page(diagnosis, knowledge=knowledge))
    images = [found for _, found in reader.elements if found.get("role") == "img"]
    assert images and all(found.get("aria-label") or found.get("aria-labelledby") for found in images)
    heads = [found for tag, found in reader.elements if tag == "th"]
    assert heads and all(found.get("scope") in ("col", "row") for found in heads)
    assert ("html", {"lang": "en"}) in reader.elements


def test_every_test_has_a_box_to_tick_and_room_to_write(diagnosis: Diagnosis, knowledge: Knowledge) -> None:
    text = page(diagnosis, knowledge=knowledge)
    assert diagnosis.tests
    assert text.count('class="box"') == text.count('class="write"') == len(diagnosis.tests) + len(diagnosis.to_look)


def luminance(colour: str) -> float:
    """Relative luminance of '#rgb' or '#rrggbb' (WCAG 2.1 definition)."""
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    values = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (v / 12.92 if v <= 0.03928 else ((v + 0.055) / 1.055) ** 2.4 for v in values)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_every_text_colour_has_contrast_aa_on_white_and_on_the_table_head() -> None:
    colours = set(re.findall(r"[^-]color: (#[0-9a-f]{3,6})", STYLE))
    assert len(colours) >= 4
    grounds = {"#fff", *re.findall(r"background: (#[0-9a-f]{3,6})", STYLE)}
    for colour in colours:
        for ground in grounds:
            light, dark = sorted((luminance(colour), luminance(ground)), reverse=True)
            assert (light + 0.05) / (dark + 0.05) >= 4.5, (colour, ground)


def test_the_page_leaves_the_paper_size_to_the_printer() -> None:
    assert "@page" in STYLE and "size:" not in STYLE.split("@page")[1].split("}")[0]


def test_addresses_become_links_and_nothing_else_does() -> None:
    assert (
        linked("see https://a.org/x?y=1&z.") == 'see <a href="https://a.org/x?y=1&amp;z">https://a.org/x?y=1&amp;z</a>.'
    )
    assert "<a" not in linked("javascript:alert(1) ftp://x")
    assert linked('https://a.org/"><script>') == '<a href="https://a.org/">https://a.org/</a>&quot;&gt;&lt;script&gt;'


def test_control_characters_never_reach_the_page() -> None:
    assert safe("a\x1b[31mb\x00\u202e") == "a[31mb"
    assert "<title>a&lt;b</title>" in document("a<b", "")


def test_the_report_as_a_drawing_is_well_formed_and_fetches_nothing(diagnosis: Diagnosis) -> None:
    lines = outline(diagnosis)
    text = report_svg(lines, 80)
    assert report_svg(lines, 80) == text
    assert "@font-face" not in text and "<script" not in text and "textualize" not in text
    root = ElementTree.fromstring(text)
    assert not [e for e in root.iter() for name in e.attrib if name.endswith("href")]
    shown = words_of("".join(root.itertext()))
    assert words_of('<b>half</b> & "barrel"') in shown
