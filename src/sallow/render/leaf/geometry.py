"""The geometry of one leaf: rim, midrib, side veins, the fine net, and the cells between side veins.

Leaf units: the blade runs from x = 0 at the stalk to x = 1 at the tip; y grows downwards; the midrib is y = 0.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from sallow.knowledge.pictures import Outline
from sallow.render.leaf.shapes import Path, Point, along, halton, inside, lerp

# How much is drawn: 0 for leaves a few characters wide, 1 for the plate in a terminal, 2 for paper and screens.
SMALL, MEDIUM, FINE = 0, 1, 2
_VEIN_SHARE = (0.55, 0.8, 1.0)
_NET_STEPS = (3, 4, 6)


@dataclass(frozen=True, slots=True)
class Cell:
    """The field between two neighbouring side veins."""

    first: Path
    second: Path

    def at(self, u: float, v: float) -> Point:
        """The point ``u`` of the way out along the veins and ``v`` of the way across."""
        return lerp(along(self.first, u), along(self.second, u), v)

    def lens(self, u0: float, u1: float, share: float) -> Path:
        """A spindle inside the cell from ``u0`` to ``u1`` that fills ``share`` of its breadth."""
        steps = 6
        us = [u0 + (u1 - u0) * i / steps for i in range(steps + 1)]
        swell = [share / 2 * math.sin(math.pi * (0.12 + 0.76 * i / steps)) for i in range(steps + 1)]
        near = [self.at(u, 0.5 - s) for u, s in zip(us, swell, strict=True)]
        far = [self.at(u, 0.5 + s) for u, s in zip(us, swell, strict=True)]
        return tuple(near + far[::-1])


@dataclass(frozen=True, slots=True)
class Leaf:
    """One leaf blade with its veins; ``detail`` is SMALL, MEDIUM or FINE."""

    rim: Path
    mains: tuple[Path, ...]
    sides: tuple[Path, ...]
    cells: tuple[Cell, ...]
    net: tuple[Path, ...]
    half_widths: tuple[float, ...]
    detail: int
    stalk: str

    def half_width(self, t: float) -> float:
        """Half the breadth at a fraction ``t`` of the length."""
        return along([(0.0, w) for w in self.half_widths], t)[1]

    def at(self, t: float, s: float) -> Point:
        """The point at ``t`` of the length and ``s`` (-1 to 1, upper half positive) of the half breadth."""
        return t, -s * self.half_width(t)

    def edge(self, f: float) -> Point:
        """The rim point a fraction ``f`` of the way round, beginning at the stalk over the upper half."""
        return along((*self.rim, self.rim[0]), f)

    def scattered(self, count: int, shift: int = 0, half: str = "both") -> list[Point]:
        """``count`` points spread evenly over the blade."""
        found: list[Point] = []
        index = 1 + shift
        while len(found) < count and index < 4000:
            t, s = 0.06 + 0.88 * halton(index, 2), -0.86 + 1.72 * halton(index, 3)
            index += 1
            if half == "upper":
                s = 0.12 + 0.74 * abs(s)
            elif half == "lower":
                s = -0.12 - 0.74 * abs(s)
            point = self.at(t, s)
            if inside(point, self.rim):
                found.append(point)
        return found


@lru_cache(maxsize=64)
def make_leaf(outline: Outline, detail: int, narrow: float = 1.0) -> Leaf:
    """The leaf of an outline; ``narrow`` scales its breadth."""
    upper = _smooth([(x, -y * narrow) for x, y in outline.points], 5 if detail else 4)
    if outline.teeth and detail:
        upper = _toothed(upper, outline.teeth if detail == FINE else outline.teeth // 2)
    rim = (*upper, *((x, -y) for x, y in reversed(upper[1:-1])))
    ends = [(1.0, 0.0)]
    for x, y in outline.mains:
        ends += [(x, -y * narrow), (x, y * narrow)]
    mains = tuple(_curve((0.0, 0.0), end) for end in ends)
    sides: list[Path] = []
    cells: list[Cell] = []
    count = max(3, round(outline.side_veins * _VEIN_SHARE[detail]))
    for number, end in enumerate(ends):
        many = count if number == 0 else max(2, count // 2)
        reach = 1.0 if not outline.mains else 0.5
        for sign in (-1, 1):
            group = _side_veins(end, sign * math.radians(outline.angle), many, rim, bool(outline.mains), reach)
            sides += group
            cells += [Cell(a, b) for a, b in itertools.pairwise(group)]
    return Leaf(rim, mains, tuple(sides), tuple(cells), _net(cells, detail), _widths(rim), detail, outline.stalk)


def _smooth(points: Sequence[Point], steps: int) -> list[Point]:
    # Catmull-Rom through the given points; the stalk end and the tip stay sharp.
    padded = [points[0], *points, points[-1]]
    result = []
    for p0, p1, p2, p3 in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        for i in range(steps):
            result.append(_spline(p0, p1, p2, p3, i / steps))
    return [*result, points[-1]]


def _spline(p0: Point, p1: Point, p2: Point, p3: Point, t: float) -> Point:
    def one(a: float, b: float, c: float, d: float) -> float:
        return 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t * t + (3 * b - a - 3 * c + d) * t**3)

    return one(p0[0], p1[0], p2[0], p3[0]), one(p0[1], p1[1], p2[1], p3[1])


def _toothed(path: Sequence[Point], teeth: int) -> list[Point]:
    result = [path[0]]
    for i in range(1, teeth + 1):
        before, tooth = along(path, (i - 0.25) / (teeth + 1)), along(path, i / (teeth + 1))
        result += [before, (tooth[0] + 0.012, tooth[1] * 1.045 - 0.004)]
    return [*result, path[-1]]


def _curve(start: Point, end: Point, steps: int = 8) -> Path:
    return tuple(lerp(start, end, i / steps) for i in range(steps + 1))


def _side_veins(end: Point, angle: float, count: int, rim: Path, palmate: bool, reach: float) -> list[Path]:
    length = math.hypot(*end)
    heading = math.atan2(end[1], end[0])
    first = 0.3 if palmate else 0.0
    found = []
    for i in range(count):
        f = first + (0.93 - first) * (i + 0.35) / count
        start = (end[0] * f, end[1] * f)
        # Veins stand steeper near the stalk, so that the net reaches into the base of the blade.
        turn = heading + angle * (1.3 - 0.45 * (i + 0.5) / count if not palmate else 1.0)
        free = min(_distance(start, turn, rim) * 0.86, reach * length * (1.05 - f))
        step = (math.cos(turn) * free, math.sin(turn) * free)
        bend = 0.22 * free
        found.append(
            tuple(
                (
                    start[0] + step[0] * u + math.cos(heading) * bend * u * u,
                    start[1] + step[1] * u + math.sin(heading) * bend * u * u,
                )
                for u in (0, 0.2, 0.4, 0.6, 0.8, 1.0)
            )
        )
    return found


def _distance(start: Point, heading: float, rim: Path) -> float:
    # How far a ray runs before it meets the rim.
    dx, dy = math.cos(heading), math.sin(heading)
    best = 1.0
    for (x1, y1), (x2, y2) in zip(rim, (*rim[1:], rim[0]), strict=True):
        ex, ey = x2 - x1, y2 - y1
        cross = dx * ey - dy * ex
        if abs(cross) < 1e-12:
            continue
        far = ((x1 - start[0]) * ey - (y1 - start[1]) * ex) / cross
        side = ((x1 - start[0]) * dy - (y1 - start[1]) * dx) / cross
        if 1e-6 < far < best and 0 <= side <= 1:
            best = far
    return best


def _net(cells: Sequence[Cell], detail: int) -> tuple[Path, ...]:
    steps = _NET_STEPS[detail]
    found: list[Path] = []
    for number, cell in enumerate(cells):
        for i in range(1, steps):
            u = i / steps + 0.04 * (number % 2)
            found.append((cell.at(u, 0), cell.at(u + 0.04, 0.5), cell.at(u, 1)))
        if detail:
            found.append(tuple(cell.at(u / 6, 0.5 + 0.12 * (-1) ** u) for u in range(1, 6)))
    return tuple(found)


def _widths(rim: Path, steps: int = 40) -> tuple[float, ...]:
    result = []
    for i in range(steps + 1):
        t = min(max(i / steps, 0.004), 0.996)
        heights = [0.0]
        for (x1, y1), (x2, y2) in zip(rim, (*rim[1:], rim[0]), strict=True):
            if (x1 <= t) != (x2 <= t):
                heights.append(-(y1 + (y2 - y1) * (t - x1) / (x2 - x1)))
        result.append(max(heights))
    return tuple(result)
