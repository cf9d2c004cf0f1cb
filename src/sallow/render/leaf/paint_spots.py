"""Painters of spots: round, angular, feathered, ringed, raised and tailed ones, and where they sit."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sallow.knowledge.pictures import Paint
from sallow.render.leaf.geometry import SMALL, Leaf
from sallow.render.leaf.paint_colour import Painter, big, few
from sallow.render.leaf.shapes import Point, Shape, along, area, disc, halton, inside, line, part_of, ring

_SHARES = {1: (1.0,), 2: (1.0, 0.62), 3: (1.0, 0.7, 0.38), 4: (1.0, 0.76, 0.5, 0.26)}


def spots(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Spots, colours from the outermost ring inwards; ``kind``: round, angular, feathered, ringed, raised, tailed."""
    form = _FORMS.get(paint.kind or "round", _round)
    for number, place in enumerate(spot_places(leaf, paint)):
        radius = 0.052 * big(leaf, paint.size) * (0.8 + 0.4 * halton(number + 1, 2))
        if leaf.detail == SMALL:
            radius = max(radius, 0.066)
        yield from form(leaf, paint, place, radius, number)


def spot_places(leaf: Leaf, paint: Paint) -> list[Point]:
    """Where the spots of a paint sit: scattered, midrib, veins, edge, tip or between."""
    count = few(leaf, paint.count or 11)
    if paint.where == "midrib":
        return _by_midrib(leaf, count, paint.half)
    if paint.where == "edge":
        rim = [leaf.edge(0.07 + 0.86 * (i + 0.5) / count) for i in range(count)]
        return [(0.5 + (x - 0.5) * 0.9, y * 0.84) for x, y in rim]
    if paint.where == "tip":
        return [leaf.at(0.62 + 0.32 * halton(i + 1, 2), 1.2 * (halton(i + 1, 3) - 0.5)) for i in range(count)]
    if paint.where == "between":
        cells = leaf.cells[:: max(1, len(leaf.cells) // count)]
        return [p for cell in cells if _half(p := cell.at(0.5, 0.5), paint.half) and inside(p, leaf.rim)][:count]
    return leaf.scattered(count, 7, paint.half)


def _by_midrib(leaf: Leaf, count: int, half: str) -> list[Point]:
    places = []
    for i in range(count):
        t = 0.12 + 0.78 * (i + 0.5) / count
        side = {"upper": 1, "lower": -1}.get(half, 1 if i % 2 else -1)
        places.append(leaf.at(t, side * (0.16 + 0.2 * (i % 3 == 0))))
    return places


def _half(point: Point, half: str) -> bool:
    return half == "both" or (point[1] < 0) == (half == "upper")


def _round(_: Leaf, paint: Paint, place: Point, radius: float, __: int) -> Iterator[Shape]:
    for colour, share in zip(paint.colours, _SHARES[len(paint.colours)], strict=True):
        yield disc(place, radius * share, colour, paint.strength)


def _angular(_: Leaf, paint: Paint, place: Point, radius: float, number: int) -> Iterator[Shape]:
    corners = 5 if number % 2 else 4
    for colour, share in zip(paint.colours, _SHARES[len(paint.colours)], strict=True):
        turn = number * 0.9
        points = []
        for i in range(corners):
            a = turn + 2 * math.pi * i / corners
            r = radius * share * (1.25 if i % 2 else 0.95)
            points.append((place[0] + r * math.cos(a), place[1] + r * math.sin(a)))
        yield area(points, colour, paint.strength)


def _feathered(leaf: Leaf, paint: Paint, place: Point, radius: float, number: int) -> Iterator[Shape]:
    rays = 9 if leaf.detail == SMALL else 16
    for i in range(rays):
        a = 2 * math.pi * (i + 0.3 * number) / rays
        r = radius * (1.1 + 0.35 * (i % 3))
        end = (place[0] + r * math.cos(a), place[1] + r * math.sin(a))
        yield line((place, end), paint.colours[0], radius * 0.22, paint.strength)
    yield from _round(leaf, paint, place, radius * 0.9, number)


def _ringed(leaf: Leaf, paint: Paint, place: Point, radius: float, _: int) -> Iterator[Shape]:
    rim, middle = paint.colours[0], paint.tone(1)
    yield disc(place, radius, rim, paint.strength)
    yield disc(place, radius * 0.8, middle, paint.strength)
    if leaf.detail == SMALL:
        yield disc(place, radius * 0.3, paint.colours[-1], paint.strength)
        return
    for share in (0.55, 0.28):
        for x, y in ring(place, radius * share, 9 if share > 0.3 else 5):
            yield disc((x, y), radius * 0.09, paint.colours[-1], paint.strength)


def _raised(leaf: Leaf, paint: Paint, place: Point, radius: float, number: int) -> Iterator[Shape]:
    yield from _round(leaf, paint, place, radius, number)
    if leaf.detail != SMALL:
        glint = (place[0] - radius * 0.22, place[1] - radius * 0.25)
        yield disc(glint, radius * 0.16, "glint")


def _tailed(leaf: Leaf, paint: Paint, place: Point, radius: float, _: int) -> Iterator[Shape]:
    near = min(leaf.sides, key=lambda path: math.dist(along(path, 0.5), place))
    place = along(near, 0.45)
    yield disc(place, radius * 1.25, paint.colours[0], paint.strength)
    yield line(part_of(near, 0.4, 0.97), paint.colours[-1], radius * 0.45)
    yield line(part_of(near, 0.15, 0.5), paint.colours[-1], radius * 0.3)
    yield disc(place, radius * 0.72, paint.colours[-1])


_FORMS = {
    "round": _round,
    "angular": _angular,
    "feathered": _feathered,
    "ringed": _ringed,
    "raised": _raised,
    "tailed": _tailed,
}
SPOT_PAINTERS: dict[str, Painter] = {"spots": spots}
