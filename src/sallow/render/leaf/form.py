"""The forms a leaf can take: as usual, small, strap-shaped, curled, cupped, in leaflets ...; where each blade lies."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from sallow.render.leaf.shapes import Point

Warp = Callable[[Point], Point]


@dataclass(frozen=True, slots=True)
class Place:
    """One blade in the frame: its stalk end, length (frame units), turn (degrees), breadth, how it is bent, and whether
    a slim leaf may be broadened in small pictures (``plain``)."""

    x: float = 23.0
    y: float = 40.0
    length: float = 92.0
    turn: float = 0.0
    narrow: float = 1.0
    bend: Warp | None = None
    stalk: bool = True
    plain: bool = False

    def warp(self, point: Point) -> Point:
        """A point of the leaf in frame units."""
        x, y = self.bend(point) if self.bend else point
        a = math.radians(self.turn)
        return (
            self.x + self.length * (x * math.cos(a) - y * math.sin(a)),
            self.y + self.length * (x * math.sin(a) + y * math.cos(a)),
        )


@dataclass(frozen=True, slots=True)
class Form:
    """The blades of a form, an outline of the usual size to compare with, and lines that join the blades."""

    places: tuple[Place, ...]
    ghost: Place | None = None
    stems: tuple[tuple[Point, Point], ...] = ()


def _crumple(point: Point) -> Point:
    x, y = point
    return x + 0.03 * math.sin(30 * y), y * (0.82 + 0.28 * math.sin(17 * x)) + 0.07 * math.sin(6.5 * x)


def _twist(point: Point) -> Point:
    x, y = point
    return x, y * (0.55 + 0.45 * abs(math.cos(4.2 * x))) + 0.16 * math.sin(6.2 * x)


def _bumpy(point: Point) -> Point:
    x, y = point
    return x, y * (1 + 0.16 * math.sin(34 * x)) + 0.04 * math.sin(5 * x)


def _snapped(point: Point) -> Point:
    x, y = point
    return x, y + max(0.0, x - 0.6) * 0.42


def _droop(point: Point) -> Point:
    x, y = point
    return x * (1 - 0.1 * x), y * 0.92 + 0.2 * x * x - 0.06


def _sickle(point: Point) -> Point:
    x, y = point
    return x, y + 0.22 * x * x - 0.08


_USUAL = Place(plain=True)
# In a picture a few characters wide the stalk gives way to the blade.
SMALL_PLACE = Place(x=11, length=107, plain=True)
FORMS: dict[str, Form] = {
    "usual": Form((_USUAL,)),
    "small": Form((Place(x=38, length=46),), ghost=_USUAL),
    "rosette": Form(
        tuple(Place(30 + abs(turn) / 10, 40, 54 - abs(turn) / 5, turn, 0.5) for turn in (-82, 82, -42, 42, 0)),
        stems=(((4, 40), (32, 40)),),
    ),
    "straps": Form(
        tuple(Place(26, 40, 86 - abs(turn) * 0.75, turn, 0.26) for turn in (-44, 44, -22, 22, 0)),
        stems=(((4, 40), (28, 40)),),
    ),
    "crumpled": Form((Place(narrow=0.9, bend=_crumple),)),
    "narrowed": Form((Place(narrow=0.86),)),
    "twisted": Form((Place(narrow=0.75, bend=_twist, stalk=False),)),
    "bumpy": Form((Place(narrow=1.0, bend=_bumpy),)),
    "snapped": Form((Place(y=34, bend=_snapped),)),
    "sickle": Form((Place(length=80, narrow=0.85, bend=_sickle),)),
    "large": Form((Place(21, 40, 97, narrow=1.18),), ghost=Place(26, 40, 62)),
    "drooping": Form((Place(22, 36, 101, narrow=1.0, bend=_droop),), ghost=Place(26, 45, 58)),
    "leaflets": Form(
        (
            Place(46, 40, 44, -60, 0.85, stalk=False),
            Place(46, 40, 44, 60, 0.85, stalk=False),
            Place(48, 40, 66, 0, 0.72, stalk=False),
        ),
        stems=(((4, 40), (50, 40)),),
    ),
}
