"""Painters of lost or hurt tissue: mines, bites, lace, rips, cracks, notches, creases, rolled rims, dead stalks."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sallow.knowledge.pictures import Paint
from sallow.render.leaf.geometry import SMALL, Leaf
from sallow.render.leaf.paint_colour import Painter, big, few
from sallow.render.leaf.shapes import HOLE, Shape, area, blob, disc, halton, line


def mine(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """A winding tunnel, first colour the skin, second the thin line within."""
    bends = 2.5 if leaf.detail == SMALL else 4
    path = [leaf.at(0.14 + 0.72 * f, 0.62 * math.sin(2 * math.pi * bends / 2 * f + 0.6)) for f in _steps(36)]
    yield line(path, paint.colours[0], 0.075 * paint.size * (1.25 if leaf.detail == SMALL else 1))
    yield line(path, paint.tone(1), 0.014 * paint.size)


def bites(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Scalloped bites from the rim and a ragged hole or two."""
    wider = (1.4, 1.2, 1.0)[leaf.detail]
    for f, size in ((0.2, 0.1), (0.25, 0.07), (0.36, 0.09), (0.63, 0.12), (0.7, 0.09), (0.84, 0.06)):
        yield disc(leaf.edge(f), size * wider * paint.size, HOLE)
    for number, (t, s) in enumerate(((0.4, -0.3), (0.68, 0.35))):
        yield area(blob(leaf.at(t, s), 0.07 * wider * paint.size, number + 2, 0.5), HOLE)


def lace(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """The tissue between the veins gone, the veins left."""
    for number, cell in enumerate(leaf.cells):
        if number % 5 == 4:
            continue
        if leaf.detail == SMALL:
            yield area(cell.lens(0.1, 0.95, 1.1), HOLE)
            continue
        for u, v in ((u, v) for u in (0.18, 0.42, 0.66) for v in (0.28, 0.72)):
            corners = [cell.at(u + du, v + dv) for du, dv in ((-0.1, -0.2), (0.1, -0.2), (0.1, 0.2), (-0.1, 0.2))]
            yield area(corners, HOLE)
            yield line((*corners, corners[0]), paint.colours[0], 0.008)


def rips(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Tears from the rim inwards with bruised edges."""
    places = ((0.16, 0.55), (0.31, 0.35), (0.42, 0.5), (0.6, 0.6), (0.72, 0.3), (0.86, 0.5))
    for number, (f, depth) in enumerate(places[: paint.count or 6]):
        x, y = leaf.edge(f)
        inner = (x - 0.1, y * (1 - depth))
        wide = 0.035 * big(leaf, paint.size) * (1.3 if leaf.detail == SMALL else 1)
        yield line(((x + wide, y * 1.05), inner), paint.colours[0], 0.03)
        yield line(((x - wide, y * 1.05), inner), paint.colours[0], 0.03)
        jag = (x - 0.05 + 0.02 * (number % 2), y * (1 - depth * 0.45))
        yield area([(x - wide, y * 1.15), jag, inner, (x - 0.02, y * (1 - depth * 0.5)), (x + wide, y * 1.15)], HOLE)


def bruises(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Long bruised dashes, all lying one way."""
    for number, (x, y) in enumerate(leaf.scattered(few(leaf, paint.count or 9), 2)):
        length = 0.05 + 0.05 * halton(number + 1, 2)
        yield line(((x, y), (x + length, y + length * 0.7)), paint.colours[0], 0.022 * big(leaf, paint.size))


def notches(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Pieces missing from the rim as if cut with scissors."""
    for f, size in ((0.17, 0.1), (0.3, 0.13), (0.4, 0.1), (0.62, 0.14), (0.75, 0.1), (0.87, 0.12)):
        x, y = leaf.edge(f)
        yield area([(x - size * 0.7, y * 1.4), (x - 0.02, y * 0.45), (x + size * 0.7, y * 1.4)], HOLE)
        yield line(((x - size * 0.45, y), (x - 0.02, y * 0.45), (x + size * 0.45, y)), paint.colours[0], 0.02)


def crack(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """A break straight across, and a thick hard rim."""
    yield line((*leaf.rim, leaf.rim[0]), paint.colours[0], 0.06 * paint.size)
    zigzag = [(0.6 + 0.035 * (-1) ** i, -0.45 + 0.9 * i / 9) for i in range(10)]
    yield line(zigzag, HOLE, 0.045 * big(leaf, 1))


def creases(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Folds: a dark line and a light one beside it."""
    for number, (t, s, length) in enumerate(
        (
            (0.18, 0.5, 0.2),
            (0.4, -0.45, 0.24),
            (0.55, 0.4, 0.22),
            (0.74, -0.3, 0.16),
            (0.2, -0.5, 0.14),
            (0.78, 0.45, 0.13),
        )
    ):
        (x, y), lean = leaf.at(t, s), 0.08 * (-1) ** number
        fold = [(x, y), (x + length / 2, y + lean), (x + length, y - lean)]
        yield line(fold, paint.colours[0], 0.035 * big(leaf, paint.size))
        yield line([(px, py + 0.03) for px, py in fold], paint.tone(1), 0.018 * big(leaf, paint.size))


def rolled(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Both rims rolled in over the face, showing the underside."""
    for side in (1, -1):
        outer = [leaf.at(t, side * 1.1) for t in _steps(10)]
        inner = [leaf.at(t, side * (0.42 + 0.18 * abs(2 * t - 1))) for t in _steps(10)]
        yield area([*outer, *inner[::-1]], paint.colours[0])
        yield line(inner[1:-1], paint.tone(1), 0.028)


def parallel_veins(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Veins that run side by side from stalk to tip."""
    for s in (-0.66, -0.33, 0, 0.33, 0.66) if leaf.detail != SMALL else (-0.5, 0, 0.5):
        yield line([leaf.at(0.03 + 0.92 * t, s) for t in _steps(10)], paint.colours[0], 0.024 * paint.size)


def stalk(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """The leaf stalk in a colour of its own; ``kind: twisted`` winds it, ``base`` runs on into the midrib."""
    width = 0.05 * big(leaf, paint.size)
    if paint.kind == "twisted":
        for sign in (1, -1):
            wind = [(-0.2 + 0.22 * f, sign * 0.03 * math.sin(12 * f)) for f in _steps(12)]
            yield line(wind, paint.colours[0], width * 0.6, loose=True)
        return
    yield line(((-0.2, 0.0), (0.03, 0.0)), paint.colours[0], width, loose=True)
    if paint.kind == "base":
        yield line(((0.0, 0.0), (0.32, 0.0)), paint.colours[0], width * 0.7)


def twig(_: Leaf, paint: Paint) -> Iterator[Shape]:
    """A piece of the twig that carries the leaf; the second colour is a stain on it."""
    x = -0.2
    yield line(((x, -0.34), (x, 0.34)), paint.colours[0], 0.075, loose=True)
    if len(paint.colours) > 1:
        yield area(blob((x + 0.01, 0.04), 0.06, 3, 0.2), paint.tone(1), loose=True)
        yield line(((x, 0.02), (x, 0.24)), paint.tone(1), 0.05, loose=True)


def _steps(count: int) -> list[float]:
    return [i / count for i in range(count + 1)]


DAMAGE_PAINTERS: dict[str, Painter] = {
    "mine": mine,
    "bites": bites,
    "lace": lace,
    "rips": rips,
    "bruises": bruises,
    "notches": notches,
    "crack": crack,
    "creases": creases,
    "rolled": rolled,
    "parallel_veins": parallel_veins,
    "stalk": stalk,
    "twig": twig,
}
