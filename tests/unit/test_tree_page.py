"""The story of a tree as a page: charts whose values are also in words, headings in order, names escaped."""

from __future__ import annotations

import re
from datetime import date
from xml.etree import ElementTree

from sallow.render.chart_picture import chart_figure
from sallow.render.tree_page import TreePage, tree_page
from sallow.trees.chart import Point
from sallow.trees.story import Entry, Series, draw_series

GROWTH = Series(
    "Shoot growth in a season, cm",
    (Point(date(2025, 3, 1), 12.0), Point(date(2025, 11, 20), 30.0), Point(date(2026, 3, 1), 21.0)),
    low=0,
)
TWO_YEARS = (Point(date(2024, 7, 1), 100.0), Point(date(2025, 7, 1), 200.0))
FED = Series("Fed in a year, g of product", TWO_YEARS, low=0, yearly=True)


def drawing(item: Series) -> ElementTree.Element:
    """The drawing of a chart, parsed."""
    text = chart_figure(item, "k")
    return ElementTree.fromstring(text[text.index("<svg") : text.index("</svg>") + 6])


def test_the_points_stand_where_their_days_and_values_put_them() -> None:
    places = [
        (float(each.attrib["cx"]), float(each.attrib["cy"]))
        for each in drawing(GROWTH).iter()
        if each.tag.endswith("circle")
    ]
    (x1, y1), (x2, y2), (x3, y3) = places
    # 264 of the 365 days lie between the first point and the second.
    assert abs((x2 - x1) / (x3 - x1) - 264 / 365) < 0.002
    assert y2 < y3 < y1 and abs((y1 - y3) / (y1 - y2) - (21 - 12) / (30 - 12)) < 0.01


def test_a_chart_says_its_values_to_those_who_do_not_see_it() -> None:
    title = next(each.text for each in drawing(GROWTH).iter() if each.tag.endswith("title"))
    assert title == "Shoot growth in a season, cm: 12 on 1 Mar 2025; 30 on 20 Nov 2025; 21 on 1 Mar 2026"
    assert "100 in 2024; 200 in 2025" in chart_figure(FED, "k")


def test_a_chart_of_years_names_years_and_not_days() -> None:
    words = [each.text for each in drawing(FED).iter() if each.tag.endswith("text")]
    assert words[-2:] == ["2024", "2025"]
    assert draw_series(FED, width=60, unicode=False)[-1].split() == ["2024", "2025"]


def test_a_single_number_is_a_sentence() -> None:
    lone = Series("Leaf nitrogen, % of dry leaf", GROWTH.points[:1])
    assert chart_figure(lone, "k") == (
        "<p>Leaf nitrogen, % of dry leaf: 12 on 1 Mar 2025; a second number makes a chart.</p>"
    )


def test_the_page_is_well_formed_in_order_and_escaped() -> None:
    entry = Entry(date(2026, 5, 20), "day", "photo", "/my/pictures/leaf.jpg")
    name, day = "<b>Wall</b> & lemon", date(2026, 5, 20)
    text = tree_page(TreePage(name, ("lemon",), (entry,), (GROWTH, FED), (), ("Look again (today)",), day))
    assert "<b>" not in text and "&lt;b&gt;Wall&lt;/b&gt; &amp; lemon" in text
    assert "leaf.jpg" in text and "/my/" not in text
    assert re.findall("<h([1-6])", text) == ["1", "2", "2", "2"]
    ElementTree.fromstring("<r>" + text[text.index("<main>") : text.index("</main>") + 7] + "</r>")
    heads = re.findall("<th ([^>]*)>", text)
    assert heads and all(head == 'scope="col"' for head in heads)
    empty = tree_page(TreePage("Wall", (), (), (), (), (), date(2026, 5, 20)))
    assert "Nothing noted yet" in empty
