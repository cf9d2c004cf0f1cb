"""Painters of what sits on a leaf: insects, webs, wool, wax, drops, crusts."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from sallow.knowledge.pictures import Paint
from sallow.render.leaf.geometry import SMALL, Leaf
from sallow.render.leaf.paint_colour import Painter, big, few
from sallow.render.leaf.paint_spots import spot_places
from sallow.render.leaf.shapes import Point, Shape, area, blob, disc, halton, inside, line, ring

# Half the height of the frame, in leaf lengths: what hangs lower is not seen.
_LOWEST = 0.43
Body = Callable[[Point, float, Sequence[str]], Iterator[Shape]]


def creatures(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Small animals; ``kind`` says which body, ``where`` and ``count`` where and how many."""
    body = BODIES[paint.kind or "aphid"]
    radius = 0.045 * big(leaf, paint.size)
    for place in spot_places(leaf, paint):
        yield from _whole_body(leaf, body, place, radius, paint.colours)


def _whole_body(leaf: Leaf, body: Body, place: Point, radius: float, colours: Sequence[str]) -> list[Shape]:
    """The body where it sits, moved towards the middle of the leaf until the rim cuts nothing off."""
    shapes: list[Shape] = []
    for step in range(9):
        f = step / 16
        shapes = list(body((place[0] + (0.5 - place[0]) * f, place[1] * (1 - f)), radius, colours))
        if all(inside(point, leaf.rim) for shape in shapes if not shape.loose for point in _ends(shape)):
            break
    return shapes


def _ends(shape: Shape) -> Iterator[Point]:
    reach = shape.width if shape.kind == "disc" else shape.width / 2
    for x, y in shape.points:
        yield from ((x - reach, y), (x + reach, y), (x, y - reach), (x, y + reach))


def _aphid(p: Point, r: float, c: Sequence[str]) -> Iterator[Shape]:
    for dx in (-0.6, 0.2):
        yield line(((p[0] + dx * r, p[1] - 1.1 * r), (p[0] + dx * r, p[1] + 1.1 * r)), c[-1], r * 0.2)
    yield disc(p, r * 0.8, c[0])
    yield disc((p[0] + r * 0.8, p[1]), r * 0.45, c[0])


def _fly(p: Point, r: float, c: Sequence[str]) -> Iterator[Shape]:
    for side in (1, -1):
        yield area(
            [p, (p[0] - 1.6 * r, p[1] + side * 1.2 * r), (p[0] - 0.3 * r, p[1] + side * 1.4 * r)], c[0], loose=True
        )
    yield line(((p[0] - 0.8 * r, p[1]), (p[0] + 0.6 * r, p[1])), c[-1], r * 0.45, loose=True)


def _scale(p: Point, r: float, c: Sequence[str]) -> Iterator[Shape]:
    yield disc(p, r, c[0])
    yield disc((p[0] - r * 0.2, p[1] - r * 0.2), r * 0.5, c[-1])


def _mite(p: Point, r: float, c: Sequence[str]) -> Iterator[Shape]:
    for turn in (0.5, 1.1, 2.0, 2.6):
        dx, dy = math.cos(turn) * r * 1.3, math.sin(turn) * r * 1.3
        yield line(((p[0] - dx, p[1] - dy), (p[0] + dx, p[1] + dy)), c[-1], r * 0.16)
    yield disc(p, r * 0.6, c[0])


def _slim(p: Point, r: float, c: Sequence[str]) -> Iterator[Shape]:
    yield line(((p[0] - 1.4 * r, p[1] + r * 0.4), (p[0] + 1.4 * r, p[1] - r * 0.4)), c[0], r * 0.5)


def _runner(p: Point, r: float, c: Sequence[str]) -> Iterator[Shape]:
    for dx in (-0.4, 0.3):
        yield line(((p[0] + dx * r, p[1] - r), (p[0] + (dx + 0.4) * r, p[1] + r)), c[-1], r * 0.15)
    yield line(((p[0] - 1.5 * r, p[1]), (p[0] + 0.8 * r, p[1])), c[0], r * 0.75)
    yield disc((p[0] + 0.9 * r, p[1]), r * 0.5, c[0])


def _lace_bug(p: Point, r: float, c: Sequence[str]) -> Iterator[Shape]:
    corners = [
        (p[0] - 1.2 * r, p[1] - r),
        (p[0] + r, p[1] - 0.7 * r),
        (p[0] + r, p[1] + 0.7 * r),
        (p[0] - 1.2 * r, p[1] + r),
    ]
    yield area(corners, c[0])
    for dx in (-0.8, -0.2, 0.4):
        yield line(((p[0] + dx * r, p[1] - 0.9 * r), (p[0] + dx * r, p[1] + 0.9 * r)), c[-1], r * 0.16)
    yield line(((p[0] - 1.2 * r, p[1]), (p[0] + 1.5 * r, p[1])), c[-1], r * 0.3)


def _tilted(p: Point, r: float, c: Sequence[str]) -> Iterator[Shape]:
    yield area([p, (p[0] - 2.2 * r, p[1] - 1.2 * r), (p[0] - 1.5 * r, p[1] - 2.0 * r)], c[0], loose=True)
    yield line((p, (p[0] - 0.9 * r, p[1])), c[-1], r * 0.25, loose=True)
    yield disc(p, r * 0.35, c[0], loose=True)


def _slug(p: Point, r: float, c: Sequence[str]) -> Iterator[Shape]:
    for i in range(9):
        yield disc((p[0] + (3.0 - i * 0.75) * r, p[1] + 0.3 * r * math.sin(i / 2)), r * (1.5 - 0.13 * i), c[0])
    yield disc((p[0] + 3.2 * r, p[1] - 0.5 * r), r * 0.5, c[-1])


def _caterpillar(p: Point, r: float, c: Sequence[str]) -> Iterator[Shape]:
    for i in range(7):
        yield disc((p[0] + (i - 3) * r, p[1] - (0.9 if i in (2, 3, 4) else 0) * r * 0.8), r * 0.85, c[i % 2])
    yield disc((p[0] + 4 * r, p[1]), r * 0.85, c[-1])


def _nymph(p: Point, r: float, c: Sequence[str]) -> Iterator[Shape]:
    yield disc(p, r * 1.8, c[-1], 0.85)
    yield area(ring(p, r, 10, 0.65), c[0])


def _ant(p: Point, r: float, c: Sequence[str]) -> Iterator[Shape]:
    for dx in (-0.5, 0.1, 0.7):
        yield line(((p[0] + dx * r, p[1] - 1.1 * r), (p[0] + dx * r, p[1] + 1.1 * r)), c[0], r * 0.16, loose=True)
    for dx, size in ((-1.1, 0.6), (0.1, 0.35), (1.0, 0.5)):
        yield disc((p[0] + dx * r, p[1]), r * size, c[0], loose=True)


BODIES: dict[str, Body] = {
    "aphid": _aphid,
    "fly": _fly,
    "scale": _scale,
    "mite": _mite,
    "slim": _slim,
    "runner": _runner,
    "lace_bug": _lace_bug,
    "tilted": _tilted,
    "slug": _slug,
    "caterpillar": _caterpillar,
    "nymph": _nymph,
    "ant": _ant,
}


def web(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Fine threads spun across the leaf and out to the stalk."""
    width = 0.012 * paint.size * (1.6 if leaf.detail == SMALL else 1)
    pairs = ((0.04, 0.38), (0.12, 0.62), (0.2, 0.8), (0.3, 0.93), (0.42, 0.7), (0.15, 0.47), (0.33, 0.86), (0.05, 0.72))
    for a, b in pairs[: 4 if leaf.detail == SMALL else 8]:
        yield line((leaf.edge(a), leaf.edge(b)), paint.colours[0], width, loose=True)
    for f in (0.12, 0.2, 0.8, 0.88):
        yield line(((-0.15, 0.0), leaf.edge(f)), paint.colours[0], width, loose=True)


def silk(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Small oval patches of silk, hatched, along the veins."""
    for place in spot_places(leaf, paint):
        radius = 0.05 * big(leaf, paint.size)
        yield area(ring(place, radius, 12, 0.62), paint.colours[0])
        if leaf.detail != SMALL:
            for dx in (-0.5, 0, 0.5):
                yield line(
                    (
                        (place[0] + (dx - 0.3) * radius, place[1] + 0.5 * radius),
                        (place[0] + (dx + 0.3) * radius, place[1] - 0.5 * radius),
                    ),
                    paint.colours[-1],
                    0.006,
                )


def wool(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Cottony tufts."""
    for number, place in enumerate(spot_places(leaf, paint)):
        radius = 0.05 * big(leaf, paint.size)
        for i in range(6):
            a = 2 * math.pi * i / 6 + number
            yield disc(
                (place[0] + radius * 0.8 * math.cos(a), place[1] + radius * 0.7 * math.sin(a)),
                radius * 0.55,
                paint.colours[-1],
            )
        yield disc(place, radius * 0.85, paint.colours[0])


def threads(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Curly waxy threads that stand off the leaf."""
    for number, (x, y) in enumerate(spot_places(leaf, paint)):
        size = 0.1 * big(leaf, paint.size)
        curl = [
            (
                x + size * (0.8 * f + 0.35 * math.cos(9 * f)),
                y - size * (1.1 * f + 0.35 * math.sin(9 * f)) * (-1) ** number,
            )
            for f in (i / 12 for i in range(13))
        ]
        yield line(curl, paint.colours[0], 0.026 * big(leaf, 1), loose=True)


def drops(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """A wet, sticky shine: glossy patches and drops hanging from the rim."""
    for number, place in enumerate(leaf.scattered(few(leaf, paint.count or 7), 4)):
        radius = 0.07 * big(leaf, paint.size) * (0.7 + 0.6 * halton(number + 1, 2))
        yield area(blob(place, radius, number, 0.25), paint.colours[0], paint.strength)
        yield disc((place[0] - radius * 0.3, place[1] - radius * 0.3), radius * 0.28, paint.colours[-1])
    for f in (0.6, 0.72, 0.83):
        size = 0.035 * big(leaf, paint.size)
        x, y = leaf.edge(f)
        y = min(y, _LOWEST - 3 * size)
        yield line(((x, y), (x, y + 1.6 * size)), paint.colours[0], size, loose=True)
        yield disc((x, y + 2.0 * size), size, paint.colours[0], loose=True)


def crust(leaf: Leaf, paint: Paint) -> Iterator[Shape]:
    """Angular flakes of residue, thickest along the rim and the tip."""
    for number in range(few(leaf, paint.count or 22)):
        f = 0.1 + 0.8 * halton(number + 1, 2)
        x, y = leaf.edge(f)
        place = (0.5 + (x - 0.5) * 0.92, y * (0.88 - 0.4 * halton(number + 1, 3)))
        size = 0.04 * big(leaf, paint.size) * (0.6 + 0.8 * halton(number + 1, 5))
        yield area(blob(place, size, number, 0.8, 6), paint.colours[number % len(paint.colours)], paint.strength)


OBJECT_PAINTERS: dict[str, Painter] = {
    "creatures": creatures,
    "web": web,
    "silk": silk,
    "wool": wool,
    "threads": threads,
    "drops": drops,
    "crust": crust,
}
