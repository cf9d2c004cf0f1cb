"""Painters of colour: the whole blade, veins and bands, wedges, rims, tips, islands, blotches, tints, sheens."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from sallow.knowledge.pictures import Paint
from sallow.render.leaf.geometry import FINE, SMALL, Leaf
from sallow.render.leaf.shapes import Point, Shape, area, blob, disc, halton, inside, line, part_of, ring

Painter = Callable[[Leaf, Paint], Iterator[Shape]]


def few(leaf: Leaf, count: int) -> int:
    """A count thinned out for small pictures."""
    return max(2, round(count * (0.42, 0.75, 1.0)[leaf.detail]))


def big(leaf: Leaf, size: float) -> float:
    """A size grown for small pictures."""
    return size * (1.75, 1.15, 1.0)[leaf.detail]


def blade(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """The whole blade in one colour."""
    yield area(leaf.rim, paint.colours[0], paint.strength)


def veins(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """The veins as lines: ``count`` 1 for the main ones, 2 with side veins, 3 with the fine net."""
    order = paint.count or 3
    # The side veins of a lobed leaf lie closer together.
    slimmer = 0.6 if len(leaf.mains) > 1 and leaf.detail == FINE else 1.0
    if order >= 3 and leaf.detail == SMALL:
        yield from _lattice(leaf, paint)
    elif order >= 3:
        for path in leaf.net:
            yield line(path, paint.colours[-1], 0.011 * slimmer * paint.size, paint.strength)
    if order >= 2:
        for path in leaf.sides:
            yield line(path, paint.colours[0], 0.018 * slimmer * paint.size, paint.strength)
    for path in leaf.mains:
        yield line(path, paint.colours[0], 0.028 * paint.size, paint.strength)


def _lattice(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    # A net too fine for the pixels of a small picture, stood for by a chequer.
    for row in range(-4, 5):
        for column in range(5):
            place = (0.05 + 0.225 * column + 0.1125 * (row % 2), 0.0935 * row)
            if inside(place, leaf.rim):
                yield disc(place, 0.045, paint.colours[-1])


def bands(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Broad bands that follow the midrib and the side veins, narrowing outwards."""
    # A lobed leaf has more veins in the same room, so each band is narrower.
    width = paint.size * (0.55 if len(leaf.mains) > 1 else 1.0)
    for path in leaf.sides:
        yield line(part_of(path, 0, 0.5), paint.colours[0], 0.075 * width, paint.strength)
        yield line(part_of(path, 0.5, 0.98), paint.colours[0], 0.05 * width, paint.strength)
    for path in leaf.mains:
        yield line(part_of(path, 0, 0.94), paint.colours[0], 0.1 * width, paint.strength)


def wedge(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """A wedge at the stalk end, pointing to the tip."""
    depth = 0.62 * paint.size
    upper = [(-0.12, 0.6), (-0.02, 1.0), (0.12, 0.92), (0.3, 0.6), (0.6, 0.25), (1.0, 0.0)]
    points = [leaf.at(max(t, 0) * depth, s) if t > 0 else (t * depth, -s * 0.25) for t, s in upper]
    yield area([*points, *((x, -y) for x, y in reversed(points[:-1]))], paint.colours[0], paint.strength)


def tip(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Bands across the tip, the first colour outermost."""
    depth = 0.3 * paint.size
    for number in range(len(paint.colours) - 1, -1, -1):
        start = 1 - depth * (number + 1) / len(paint.colours)
        edge = [leaf.at(start + 0.05 * abs(s) + 0.02 * math.sin(9 * s), s * 1.3) for s in _steps(-1, 1, 8)]
        yield area([*edge, (1.02, -0.4), (1.1, 0.0), (1.02, 0.4)], paint.colours[number], paint.strength)


def margin(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """A rim of colour all round, the first colour outermost; ``where: uneven`` makes it ragged."""
    depth = min(0.085 * paint.size * (1.3, 1.15, 1.0)[leaf.detail], 0.62 * max(leaf.half_widths))
    closed = (*leaf.rim, leaf.rim[0])
    rest = _without_stalk(leaf, closed)
    for number in range(len(paint.colours) - 1, -1, -1):
        share = (number + 1) / len(paint.colours)
        yield line(rest, paint.colours[number], 2 * depth * share, paint.strength)
        if paint.where == "uneven":
            for i in range(1, few(leaf, 22)):
                f = 0.06 + 0.88 * i / few(leaf, 22)
                radius = depth * share * (0.6 + 1.1 * halton(i, 2))
                yield area(blob(leaf.edge(f), radius, i), paint.colours[number], paint.strength)


def _without_stalk(leaf: Leaf, closed: tuple[Point, ...]) -> list[Point]:
    return [point for point in closed if point[0] > 0.1 or leaf.half_widths[4] < 0.05]


def islands(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Long patches between the side veins; ``where``: every, some, or to_rim."""
    ends = (0.1, 1.12) if paint.where == "to_rim" else (0.16, 0.86)
    for number, cell in enumerate(leaf.cells):
        if paint.where == "some" and number % 3 == 1:
            continue
        for position, colour in enumerate(paint.colours):
            shrink = 1 - 0.42 * position
            middle = sum(ends) / 2
            reach = (ends[1] - ends[0]) / 2 * shrink
            lens = cell.lens(middle - reach, middle + reach, 0.85 * paint.size * shrink)
            yield area(lens, colour, paint.strength)
            if leaf.detail == SMALL:
                spine = [cell.at(middle - reach * 0.7, 0.5), cell.at(middle + reach * 0.7, 0.5)]
                yield line(spine, colour, 0.1 * min(paint.size, 0.9) * shrink, paint.strength)


def blotches(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Uneven patches; ``where: lopsided`` puts other patches on the one half than on the other."""
    if paint.where == "lopsided":
        places = [leaf.at(t, s) for t, s in ((0.2, 0.45), (0.42, 0.2), (0.6, 0.62), (0.82, -0.35), (0.3, -0.8))]
        radii = [0.13, 0.1, 0.16, 0.1, 0.07]
    else:
        places = leaf.scattered(few(leaf, paint.count or 7), 3, paint.half)
        radii = [0.1 * (0.75 + 0.6 * halton(i + 1, 2)) for i in range(len(places))]
    soft = paint.kind == "soft"
    for number, (place, radius) in enumerate(zip(places, radii, strict=True)):
        for step in (1.25, 0.95, 0.65) if soft else (1.0,):
            strength = paint.strength * (0.4 if soft else 1)
            r = radius * paint.size * step
            yield area(blob(place, r, number), paint.colours[number % len(paint.colours)], strength)


def sectors(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Parts with razor-sharp borders that run from the midrib or the rim."""
    plans = (
        ((0.16, 0.0), (0.44, 0.0), (0.66, 1.3), (0.3, 1.3)),
        ((0.52, 0.0), (1.0, 0.0), (1.0, -1.3), (0.74, -1.3), (0.7, -0.5)),
        ((0.12, -0.55), (0.45, -0.5), (0.5, -1.3), (0.1, -1.3)),
    )
    for number, corners in enumerate(plans):
        yield area([leaf.at(t, s) for t, s in corners], paint.colours[number % len(paint.colours)], paint.strength)


def rings(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Thin rings and a wavy band."""
    width = 0.03 * big(leaf, paint.size)
    for t, s, radius in ((0.26, 0.42, 0.085), (0.62, -0.5, 0.1), (0.8, 0.3, 0.06))[: 2 if leaf.detail == SMALL else 3]:
        circle = ring(leaf.at(t, s), radius * big(leaf, 1))
        yield line((*circle, circle[0]), paint.colours[0], width, paint.strength)
    wave = [leaf.at(t, 0.55 * math.sin(22 * t) * (0.5 + t)) for t in _steps(0.3, 0.72, 20)]
    yield line(wave if leaf.detail != SMALL else wave[8:], paint.colours[0], width, paint.strength)


def sheen(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Streaks of a dulled skin, following the side veins, over most of the blade."""
    for number, cell in enumerate(leaf.cells):
        for i in range((2, 3, 5)[leaf.detail]):
            v = (i + 0.5) / (2, 3, 5)[leaf.detail]
            u0 = 0.05 + 0.25 * halton(number * 5 + i + 1, 2)
            path = [cell.at(u0 + 0.6 * f, v) for f in _steps(0, 1, 3)]
            colour = paint.colours[(number + i) % len(paint.colours)]
            yield line(path, colour, 0.035 * big(leaf, paint.size), paint.strength)


def patch(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """One large patch, colours from outside in; ``where``: upper, edge, base, tip or middle."""
    spots = {
        "upper": ((0.5, 0.5), 0.24),
        "edge": ((0.62, 0.95), 0.2),
        "base": ((0.06, 0.0), 0.22),
        "tip": ((0.92, 0.0), 0.2),
        "middle": ((0.5, 0.0), 0.22),
    }
    (t, s), radius = spots.get(paint.where, spots["middle"])
    for number, colour in enumerate(paint.colours):
        share = 1 - 0.28 * number
        yield area(blob(leaf.at(t, s), radius * paint.size * share, 4, 0.22, 22), colour, paint.strength)


def underside(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """The lower half shown turned over: another green, and raised ribs."""
    half = [point for point in leaf.rim if point[1] >= -1e-9]
    yield area([(0.0, 0.0), *sorted(half, key=lambda p: -math.atan2(p[1], p[0] - 0.5))], paint.colours[0])
    if leaf.detail != SMALL:
        for path in leaf.sides:
            if path[-1][1] > 0:
                yield line(path, paint.tone(1), 0.014)
    yield line(leaf.mains[0], paint.tone(1), 0.035)


def dots(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Very many small dots; ``where: veins`` keeps them beside the veins, ``clear`` off the fine net."""
    count = round((paint.count or 150) * (0.28, 0.6, 1.0)[leaf.detail])
    radius = 0.0105 * paint.size * (2.2, 1.5, 1.0)[leaf.detail]
    places = leaf.scattered(count, 0, paint.half) if paint.where != "veins" else _beside_veins(leaf, count, paint.half)
    for number, place in enumerate(places):
        colour = paint.colours[number % len(paint.colours)]
        yield disc(place, radius, colour, paint.strength)


def _beside_veins(leaf: Leaf, count: int, half: str) -> list[Point]:
    found = []
    for number in range(count):
        path = (*leaf.sides, *leaf.mains)[number % (len(leaf.sides) + len(leaf.mains))]
        x, y = part_of(path, 0.1 + 0.8 * halton(number + 1, 2), 1, 1)[0]
        point = (x + 0.05 * (halton(number + 1, 3) - 0.5), y + 0.05 * (halton(number + 1, 5) - 0.5))
        if _on_half(point, half) and inside(point, leaf.rim):
            found.append(point)
    return found


def _on_half(point: Point, half: str) -> bool:
    return half == "both" or (point[1] < 0) == (half == "upper")


def film(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """A patchy film over most of the blade with sound places showing through."""
    for number, place in enumerate(leaf.scattered(few(leaf, paint.count or 16), 11, paint.half)):
        yield area(blob(place, 0.12 * paint.size, number, 0.5), paint.colours[0], paint.strength)
    if leaf.detail == FINE:
        yield from dots(leaf, Paint("dots", paint.colours[-1:], 0.9, 0.8, 160, half=paint.half))


def puckers(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Swollen blisters, each with a light crown."""
    for number, place in enumerate(leaf.scattered(few(leaf, paint.count or 16), 5)):
        radius = 0.075 * big(leaf, paint.size) * (0.7 + 0.6 * halton(number + 1, 2))
        yield area(blob(place, radius, number, 0.25), paint.colours[number % 2 if len(paint.colours) > 2 else 0])
        if leaf.detail != SMALL:
            yield area(ring((place[0] - 0.012, place[1] - 0.015), radius * 0.4), paint.colours[-1])


def _steps(start: float, end: float, count: int) -> list[float]:
    return [start + (end - start) * i / count for i in range(count + 1)]


COLOUR_PAINTERS: dict[str, Painter] = {
    "blade": blade,
    "veins": veins,
    "bands": bands,
    "wedge": wedge,
    "tip": tip,
    "margin": margin,
    "islands": islands,
    "blotches": blotches,
    "sectors": sectors,
    "rings": rings,
    "sheen": sheen,
    "patch": patch,
    "underside": underside,
    "dots": dots,
    "film": film,
    "puckers": puckers,
}
