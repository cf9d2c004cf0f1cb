"""The leaf pictures: every answer has one, each pair differs clearly, nothing leaves the frame, sizes are exact."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from functools import cache
from itertools import combinations, product
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sallow.knowledge.load import check_schema, load, schema
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge
from sallow.knowledge.pictures import Paint, PictureBook, build_pictures, picture_book
from sallow.knowledge.yaml_reader import read_yaml
from sallow.render.leaf.form import FORMS
from sallow.render.leaf.geometry import FINE, SMALL, make_leaf
from sallow.render.leaf.paint_objects import BODIES
from sallow.render.leaf.raster import Grid, Rgb, grid_of
from sallow.render.leaf.scene import BASIC, PAINTERS, draw
from sallow.render.leaf.strip import layout, outline_for
from sallow.render.leaf.svg import leaf_svg
from sallow.render.leaf.terminal import leaf_lines, nearest_of_256, plain_name

SIGNS = ("colour_pattern", "dead_areas", "spot_kind", "leaf_shape", "on_leaf", "holes_kind")
CROPS = ("lemon", "peach", "apple", "fig", "grape", "olive", "avocado", "persimmon")
CONTROL = re.compile(r"\x1b\[[0-9;]*m")


_loaded: list[Knowledge] = []


@pytest.fixture(autouse=True)
def _share(knowledge: Knowledge) -> None:
    _loaded[:] = [knowledge]


def shipped() -> Knowledge:
    """The shipped knowledge."""
    return _loaded[0]


def book() -> PictureBook:
    """Its pictures."""
    return shipped().pictures


def test_every_answer_of_the_leaf_signs_has_a_picture() -> None:
    missing = [f"{s}.{a}" for s in SIGNS for a in shipped().signs[s].answers if book().get(s, a) is None]
    assert missing == []


def test_the_schema_names_exactly_the_painters_forms_and_bodies_that_exist() -> None:
    definition = schema("pictures")["properties"]["pictures"]["additionalProperties"]["additionalProperties"]
    paint = definition["properties"]["paint"]["items"]
    assert set(paint["properties"]["painter"]["enum"]) == set(PAINTERS)
    assert set(definition["properties"]["form"]["enum"]) == set(FORMS)
    assert set(BODIES) <= set(paint["properties"]["kind"]["enum"])


def test_the_colours_that_every_picture_uses_are_there() -> None:
    assert [name for name in BASIC if name not in book().colours] == []


def test_every_crop_has_an_outline_of_its_own_kind() -> None:
    names = {crop: outline_for(shipped(), crop).id for crop in shipped().crops}
    assert (names["orange"], names["peach"], names["apple"], names["fig"], names["olive"], names["other"]) == (
        "citrus",
        "lance",
        "oval",
        "fig",
        "narrow",
        "ovate",
    )
    assert outline_for(shipped(), "orange").stalk == "winged"
    assert outline_for(shipped(), "fig").mains


@pytest.mark.parametrize("crop", CROPS)
def test_veins_reach_the_third_order_and_stay_in_the_leaf(crop: str) -> None:
    leaf = make_leaf(outline_for(shipped(), crop), FINE)
    assert len(leaf.mains) >= 1 and len(leaf.sides) >= 8 and len(leaf.net) > len(leaf.sides)
    reach = max(abs(y) for _, y in leaf.rim)
    assert all(-0.12 <= x <= 1.02 and abs(y) <= reach for path in leaf.sides for x, y in path)


@pytest.mark.parametrize(("crop", "detail"), list(product(("lemon", "apple", "fig", "grape"), (SMALL, FINE))))
def test_no_blade_leaves_the_frame(crop: str, detail: int) -> None:
    outside = []
    for key, picture in book().pictures.items():
        scene = draw(picture, outline_for(shipped(), crop), detail)
        for x, y in (point for layer in scene.layers for point in layer.rim):
            if not (-0.5 <= x <= scene.width + 0.5 and -0.5 <= y <= scene.height + 0.5):
                outside.append((key, round(x), round(y)))
    assert outside == []


@pytest.mark.parametrize("crop", ["lemon", "apple", "fig", "grape", "olive"])
def test_nothing_drawn_on_paper_is_cut_by_the_frame(crop: str) -> None:
    cut = []
    for key, picture in book().pictures.items():
        scene = draw(picture, outline_for(shipped(), crop), FINE)
        for shape in (shape for layer in scene.layers for shape in layer.shapes if shape.loose):
            reach = shape.width if shape.kind == "disc" else shape.width / 2
            for x, y in shape.points:
                beyond = max(reach - min(x, y), x + reach - scene.width, y + reach - scene.height)
                if beyond > 0.5:
                    cut.append((key, shape.colour, round(x), round(y)))
    assert cut == []


@pytest.mark.parametrize("kind", sorted(set(BODIES) - {"tilted", "fly", "ant"}))
def test_the_rim_cuts_no_animal_in_two(kind: str) -> None:
    from sallow.render.leaf.shapes import inside

    leaf = make_leaf(outline_for(shipped(), "lemon"), FINE)
    paint = Paint("creatures", ("ant", "cover"), kind=kind, count=8)
    shapes = [shape for shape in PAINTERS["creatures"](leaf, paint) if not shape.loose]
    assert shapes and all(inside(point, leaf.rim) for shape in shapes for point in shape.points)


# -- each pair of patterns differs clearly ---------------------------------------------------------------------------


@cache
def lab(rgb: Rgb) -> tuple[float, float, float]:
    """CIE L*a*b* (1976, D65) of an sRGB colour; the published formula."""

    def linear(value: float) -> float:
        value /= 255
        return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4

    def root(value: float) -> float:
        return value ** (1 / 3) if value > 216 / 24389 else (24389 / 27 * value + 16) / 116

    r, g, b = map(linear, rgb)
    x = root((0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.95047)
    y = root(0.2126 * r + 0.7152 * g + 0.0722 * b)
    z = root((0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.08883)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def colour_distance(one: Grid, other: Grid) -> float:
    """Mean CIE 1976 colour difference over the pixels that either leaf covers; a pixel that one lacks counts 50."""
    found = []
    for p, q in ((p, q) for rows in zip(one, other, strict=True) for p, q in zip(*rows, strict=True)):
        if p is not None and q is not None:
            found.append(math.dist(lab(p.rgb), lab(q.rgb)))
        elif p is not None or q is not None:
            found.append(50.0)
    return sum(found) / len(found)


def characters(grid: Grid) -> list[str]:
    """The ASCII characters of the plain form."""
    names = [
        plain_name(book(), u, v) for y in range(0, len(grid), 2) for u, v in zip(grid[y], grid[y + 1], strict=True)
    ]
    return [book().colours[name].ascii if name else " " for name in names]


def plain_distance(one: Grid, other: Grid) -> float:
    """The share of characters that differ, of those that either leaf covers."""
    pairs = [(a, b) for a, b in zip(characters(one), characters(other), strict=True) if (a, b) != (" ", " ")]
    return sum(a != b for a, b in pairs) / len(pairs)


@pytest.mark.parametrize(
    ("crop", "columns", "rows", "least_colour", "least_plain"),
    [
        ("lemon", 24, 16, 7.0, 0.14),
        ("fig", 24, 16, 7.0, 0.14),
        ("lemon", 9, 8, 4.0, 0.1),
        ("peach", 9, 8, 4.0, 0.1),
        ("fig", 9, 8, 4.0, 0.1),
        ("olive", 9, 8, 4.0, 0.1),
    ],
)
def test_each_pair_of_patterns_differs_clearly(
    crop: str, columns: int, rows: int, least_colour: float, least_plain: float
) -> None:
    outline = outline_for(shipped(), crop)
    alike = []
    for sign in SIGNS:
        grids = {
            p.answer: grid_of(book(), p, outline, columns, rows) for p in book().pictures.values() if p.sign == sign
        }
        for (a, one), (b, other) in combinations(grids.items(), 2):
            distances = colour_distance(one, other), plain_distance(one, other)
            if distances[0] < least_colour or distances[1] < least_plain:
                alike.append((sign, a, b, *distances))
    assert alike == []


@pytest.mark.parametrize("crop", ["lemon", "peach", "fig", "olive"])
def test_each_pair_differs_clearly_in_the_half_blocks_above_a_question(crop: str) -> None:
    # Nine columns, and four lines of which the last half stays empty.
    outline = outline_for(shipped(), crop)
    alike = []
    for sign in SIGNS:
        pictures = [p for p in book().pictures.values() if p.sign == sign]
        grids = {p.answer: grid_of(book(), p, outline, 9, 7) for p in pictures}
        for (a, one), (b, other) in combinations(grids.items(), 2):
            if colour_distance(one, other) < 4.0:
                alike.append((sign, a, b, colour_distance(one, other)))
    assert alike == []


@pytest.mark.parametrize("crop", ["lemon", "avocado"])
def test_pictures_of_different_signs_differ_too(crop: str) -> None:
    # Told by each alone, the same leaf: round holes with a red or purple rim are one thing under two questions,
    # and so are a big dark leaf and a dark green one.
    same = {
        frozenset(("spot_kind.round_drop_out", "holes_kind.rimmed")),
        frozenset(("colour_pattern.dark_lush", "leaf_shape.large_dark")),
    }
    outline = outline_for(shipped(), crop)
    sound = {f"{p.sign}.{p.answer}" for p in book().pictures.values() if not p.paints and p.form == "usual"}
    grids = {key: grid_of(book(), p, outline, 24, 16) for key, p in book().pictures.items() if key not in sound}
    alike = [(a, b) for (a, one), (b, other) in combinations(grids.items(), 2) if {a, b} not in same and one == other]
    assert alike == []


# -- the terminal form -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("colours", [0, 16, 256, 16777216])
@pytest.mark.parametrize(("columns", "rows"), [(8, 3), (11, 4), (24, 8), (60, 20)])
def test_every_line_is_exactly_as_wide_as_asked(colours: int, columns: int, rows: int) -> None:
    outline = outline_for(shipped(), "lemon")
    for picture in list(book().pictures.values())[::5]:
        lines = leaf_lines(book(), picture, outline, columns, rows, colours, True)
        assert len(lines) == rows
        assert {len(CONTROL.sub("", line)) for line in lines} == {columns}
        assert all(line.endswith("\x1b[0m") or "\x1b" not in line[line.rfind("m") :] for line in lines)


def test_without_unicode_only_ascii_is_drawn_even_where_there_is_colour() -> None:
    outline = outline_for(shipped(), "fig")
    for picture in book().pictures.values():
        for colours in (0, 256):
            text = "".join(leaf_lines(book(), picture, outline, 12, 4, colours, False))
            assert text.isascii() and text.isprintable()


def test_sixteen_colours_use_only_the_codes_of_sixteen_colours() -> None:
    for picture in book().pictures.values():
        text = "".join(leaf_lines(book(), picture, outline_for(shipped(), "lemon"), 12, 4, 16, True))
        codes = {int(code) for group in re.findall(r"\x1b\[([0-9;]+)m", text) for code in group.split(";")}
        assert codes <= {0, *range(30, 38), *range(40, 48), *range(90, 98), *range(100, 108)}


@given(st.tuples(*[st.integers(0, 255)] * 3))
@settings(max_examples=60, deadline=None)
def test_the_colour_of_256_is_no_further_than_the_nearest_cube_or_grey(rgb: Rgb) -> None:
    levels = (0, 95, 135, 175, 215, 255)
    table = {16 + 36 * r + 6 * g + b: (levels[r], levels[g], levels[b]) for r, g, b in product(range(6), repeat=3)}
    table |= {232 + i: (8 + 10 * i,) * 3 for i in range(24)}
    chosen = math.dist(table[nearest_of_256(rgb)], rgb)
    assert chosen <= min(math.dist(colour, rgb) for colour in table.values()) + 1e-9


def test_drawing_twice_gives_the_same() -> None:
    picture = book().pictures["colour_pattern.lopsided_blotch"]
    outline = outline_for(shipped(), "lemon")
    again = picture_book(json.loads(json.dumps(book().raw)))
    picture = replace(picture)
    assert grid_of(book(), picture, outline, 20, 14) == grid_of(again, picture, outline, 20, 14)
    assert leaf_svg(book(), picture, outline, "x", "k") == leaf_svg(again, picture, outline, "x", "k")


# -- the drawing form ------------------------------------------------------------------------------------------------


def test_every_drawing_is_well_formed_fetches_nothing_and_escapes_its_words() -> None:
    for key, picture in book().pictures.items():
        text = leaf_svg(book(), picture, outline_for(shipped(), "lemon"), 'words with <b> & "', key.replace(".", "-"))
        root = ElementTree.fromstring(text)
        assert root.find("{http://www.w3.org/2000/svg}title").text == 'words with <b> & "'  # type: ignore[union-attr]
        assert "href" not in text and "script" not in text and "nan" not in text
        assert len(text) < 40_000


# -- the data --------------------------------------------------------------------------------------------------------


def test_a_new_pattern_answer_gets_its_picture_by_yaml_alone(tmp_path: Path) -> None:
    sign = shipped().signs["holes_kind"]
    answers = {
        a.id: {"say": a.say, "base": a.base, **({"none": True} if a.none else {})} for a in sign.answers.values()
    }
    answers["none"]["base"] -= 0.01
    answers["pinholes"] = {"say": "pin holes in rows", "base": 0.01}
    new = {"sign": "holes_kind", "part": "leaf", "kind": "one", "ask": sign.ask, "effort": 1, "answers": answers}
    paint = [{"painter": "dots", "colours": ["chalk"], "count": 60}]
    colour = {"say": "chalk", "hex": "#fefefe", "plain": "z", "ascii": "z", "ansi": 15, "weight": 3.0}
    (tmp_path / "signs").mkdir()
    (tmp_path / "signs" / "mine.yaml").write_text(json.dumps({"signs": [new]}))
    picture = {"colours": {"chalk": colour}, "pictures": {"holes_kind": {"pinholes": {"paint": paint}}}}
    (tmp_path / "pictures.yaml").write_text(json.dumps(picture))
    knowledge = load([shipped_folder("knowledge"), tmp_path])
    found = knowledge.pictures.get("holes_kind", "pinholes")
    assert found is not None
    text = "".join(leaf_lines(knowledge.pictures, found, outline_for(knowledge, "lemon"), 24, 8, 0, False))
    assert text.count("z") > 8


def complaints(text: str) -> list[tuple[str, str]]:
    """(code, suggestion) of what is wrong in a pictures file beside the shipped one."""
    shipped_text = (shipped_folder("knowledge") / "pictures.yaml").read_text(encoding="utf-8")
    documents = [read_yaml(shipped_text, "pictures.yaml"), read_yaml(text, "mine.yaml")]
    check_schema(documents[1], "pictures")
    if not documents[1].complaints:
        answers = {sign.id: sign.answers for sign in shipped().signs.values()}
        build_pictures(documents, answers, {**shipped().crops, **shipped().crop_groups})
    return [(c.code, c.suggestion) for document in documents for c in document.complaints]


def test_unknown_words_in_the_pictures_are_each_complained_of() -> None:
    entry = {"paint": [{"painter": "spots", "colours": ["gren"]}]}
    pictures = {"colour_patern": {"mottle": entry}, "colour_pattern": {"motle": entry, "mottle": entry}}
    text = json.dumps({"pictures": pictures, "outline_of": {"lemn": "citrus", "lime": "citruss"}})
    assert sorted(complaints(text)) == [
        ("unknown-answer", "mottle"),
        ("unknown-colour", "green"),
        ("unknown-crop", "lemon"),
        ("unknown-outline", "citrus"),
        ("unknown-sign", "colour_pattern"),
    ]


@pytest.mark.parametrize(
    ("paint", "code"),
    [
        ({"painter": "spot", "colours": ["dead"]}, "illegal-value"),
        ({"painter": "spots"}, "missing-key"),
        ({"painter": "spots", "colours": ["dead"], "size": 90}, "schema"),
        ({"painter": "spots", "colours": ["dead"], "width": 1}, "unknown-key"),
    ],
)
def test_a_painter_written_wrongly_is_refused_by_the_schema(paint: dict[str, object], code: str) -> None:
    text = json.dumps({"pictures": {"colour_pattern": {"mottle": {"paint": [paint]}}}})
    assert [found for found, _ in complaints(text)] == [code]


@given(st.integers(1, 24), st.integers(40, 110))
@settings(max_examples=200, deadline=None)
def test_a_strip_never_grows_wider_than_the_terminal_nor_taller_than_its_share(count: int, width: int) -> None:
    per_row, columns, rows = layout(count, width)
    lines = -(-count // per_row)
    assert per_row * (columns + 2) <= width
    assert lines * rows <= (12 if width >= 60 else 15)
    assert columns >= 6 and rows >= 3
