"""Shapes a leaf picture is made of, and small helpers that build them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

Point = tuple[float, float]
Path = tuple[Point, ...]
HOLE = "hole"


@dataclass(frozen=True, slots=True)
class Shape:
    """A filled area, a line of some ``width`` or a disc of radius ``width``; ``colour`` is a colour's name.

    The colour 'hole' cuts the leaf open. ``strength`` is the opacity (0 to 1). ``loose`` shapes may reach
    beyond the leaf's rim.
    """

    kind: str
    points: Path
    colour: str
    width: float = 0.0
    strength: float = 1.0
    loose: bool = False


@dataclass(frozen=True, slots=True)
class Layer:
    """One leaf: its rim, and the shapes drawn inside (clipped to the rim unless loose)."""

    rim: Path
    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Scene:
    """A whole picture in frame units; layers later in the list lie on top."""

    layers: tuple[Layer, ...]
    width: float
    height: float


def area(points: Iterable[Point], colour: str, strength: float = 1.0, loose: bool = False) -> Shape:
    """A filled polygon."""
    return Shape("area", tuple(points), colour, 0.0, strength, loose)


def line(points: Iterable[Point], colour: str, width: float, strength: float = 1.0, loose: bool = False) -> Shape:
    """A line with round ends."""
    return Shape("line", tuple(points), colour, width, strength, loose)


def disc(centre: Point, radius: float, colour: str, strength: float = 1.0, loose: bool = False) -> Shape:
    """A filled circle."""
    return Shape("disc", (centre,), colour, radius, strength, loose)


def moved(shape: Shape, warp: Callable[[Point], Point], scale: float) -> Shape:
    """The shape with every point passed through ``warp`` and its width scaled."""
    return replace(shape, points=tuple(warp(point) for point in shape.points), width=shape.width * scale)


def lerp(a: Point, b: Point, f: float) -> Point:
    """The point a fraction ``f`` of the way from a to b."""
    return a[0] + (b[0] - a[0]) * f, a[1] + (b[1] - a[1]) * f


def along(path: Sequence[Point], f: float) -> Point:
    """The point a fraction ``f`` (by number of corners) along a path."""
    place = min(max(f, 0.0), 1.0) * (len(path) - 1)
    index = min(int(place), len(path) - 2)
    return lerp(path[index], path[index + 1], place - index)


def part_of(path: Sequence[Point], start: float, end: float, steps: int = 8) -> Path:
    """The piece of a path between two fractions."""
    return tuple(along(path, start + (end - start) * i / steps) for i in range(steps + 1))


def ring(centre: Point, radius: float, steps: int = 14, squash: float = 1.0) -> Path:
    """A closed circle (or ellipse) as points."""
    turns = (2 * math.pi * i / steps for i in range(steps))
    return tuple((centre[0] + radius * math.cos(a), centre[1] + radius * squash * math.sin(a)) for a in turns)


def blob(centre: Point, radius: float, number: int, rough: float = 0.3, steps: int = 16) -> Path:
    """A closed uneven patch; ``number`` decides its form, always in the same way."""
    points = []
    for i in range(steps):
        a = 2 * math.pi * i / steps
        wave = math.sin(3 * a + number * 1.7) + 0.7 * math.sin(5 * a + number * 2.9) + 0.5 * math.sin(2 * a + number)
        r = radius * (1 + rough * wave / 2)
        points.append((centre[0] + r * math.cos(a), centre[1] + r * math.sin(a)))
    return tuple(points)


def halton(index: int, base: int) -> float:
    """Number ``index`` (from 1) of the Halton sequence: evenly spread fractions, always the same."""
    result, fraction = 0.0, 1.0
    while index > 0:
        fraction /= base
        result += fraction * (index % base)
        index //= base
    return result


def inside(point: Point, polygon: Sequence[Point]) -> bool:
    """Whether the point lies within the polygon (even-odd rule)."""
    x, y = point
    found = False
    for (x1, y1), (x2, y2) in zip(polygon, (*polygon[1:], polygon[0]), strict=True):
        if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
            found = not found
    return found
