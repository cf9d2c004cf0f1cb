"""A scene as a grid of pixels: each with its mean colour and the colour name that counts most there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from sallow.knowledge.pictures import Colour, Outline, Picture, PictureBook
from sallow.render.leaf.geometry import MEDIUM, SMALL
from sallow.render.leaf.scene import draw
from sallow.render.leaf.shapes import HOLE, Layer, Path, Point, Scene, Shape

Rgb = tuple[int, int, int]
Sample = tuple[Rgb, str]


@dataclass(frozen=True, slots=True)
class Pixel:
    """A pixel: mean colour of what covers it, the name that counts most, and the covered share (0 to 1)."""

    rgb: Rgb
    name: str
    cover: float


Grid = tuple[tuple[Pixel | None, ...], ...]


def detail_for(columns: int) -> int:
    """How much detail a picture of so many columns can carry."""
    return SMALL if columns < 18 else MEDIUM


def grid_of(book: PictureBook, picture: Picture, outline: Outline, columns: int, rows: int) -> Grid:
    """The picture as ``rows`` rows of ``columns`` pixels, at the detail that fits."""
    return _grid(_Palette(book), picture, outline, columns, rows)


class _Palette:
    """The colours of a book; hashes by identity of its colours so that grids can be remembered."""

    def __init__(self, book: PictureBook) -> None:
        self.colours: Mapping[str, Colour] = book.colours
        self.key = tuple(sorted((c.id, c.rgb, c.weight) for c in book.colours.values()))

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Palette) and self.key == other.key


@lru_cache(maxsize=512)
def _grid(palette: _Palette, picture: Picture, outline: Outline, columns: int, rows: int) -> Grid:
    scene = draw(picture, outline, detail_for(columns))
    return rasterized(scene, palette.colours, columns, rows, 4 if columns < 18 else 3)


def rasterized(scene: Scene, colours: Mapping[str, Colour], columns: int, rows: int, fine: int) -> Grid:
    """The scene as pixels, each the mean of ``fine`` by ``fine`` samples."""
    canvas = _Canvas(columns * fine, rows * fine, scene, colours)
    for layer in scene.layers:
        canvas.add(layer)
    return tuple(tuple(_pixel(canvas, x, y, fine, colours) for x in range(columns)) for y in range(rows))


def _pixel(canvas: _Canvas, x: int, y: int, fine: int, colours: Mapping[str, Colour]) -> Pixel | None:
    found = [
        sample for row in canvas.rows[y * fine : (y + 1) * fine] for sample in row[x * fine : (x + 1) * fine] if sample
    ]
    if len(found) < 0.4 * fine * fine:
        return None
    votes: dict[str, float] = {}
    for _, name in found:
        votes[name] = votes.get(name, 0.0) + colours[name].weight
    name = max(sorted(votes), key=lambda key: votes[key])
    # The mean of what counts most, not of everything: a mark one pixel wide keeps its own colour.
    main = [rgb for rgb, each in found if each == name] if canvas.crisp else [rgb for rgb, _ in found]
    red, green, blue = (round(sum(rgb[i] for rgb in main) / len(main)) for i in range(3))
    return Pixel((red, green, blue), name, len(found) / (fine * fine))


class _Canvas:
    def __init__(self, width: int, height: int, scene: Scene, colours: Mapping[str, Colour]) -> None:
        self.width, self.height = width, height
        self.sx, self.sy = width / scene.width, height / scene.height
        self.colours = colours
        self.crisp = width / scene.width < 0.7
        self.rows: list[list[Sample | None]] = [[None] * width for _ in range(height)]
        self.mixed: dict[tuple[Sample, str, float], Sample] = {}

    def add(self, layer: Layer) -> None:
        """Paint one layer: clipped shapes, cuts, then loose shapes."""
        target = self.rows
        self.rows = [[None] * self.width for _ in range(self.height)]
        for shape in layer.shapes:
            if not shape.loose and shape.colour != HOLE:
                self.shape(shape)
        for shape in layer.shapes:
            if shape.colour == HOLE:
                self.shape(shape)
        inner, self.rows = self.rows, target
        for y, spans in enumerate(self.spans(self.scaled(layer.rim)) if layer.rim else ()):
            for start, end in spans:
                for x in range(start, end):
                    if inner[y][x] is not None:
                        self.rows[y][x] = inner[y][x]
        for shape in layer.shapes:
            if shape.loose:
                self.shape(shape)

    def shape(self, shape: Shape) -> None:
        """Paint one shape."""
        points = self.scaled(shape.points)
        if shape.kind == "area":
            self.fill(points, shape)
        elif shape.kind == "disc":
            self.fill(_round(points[0], max(shape.width * self.sx, 0.55), max(shape.width * self.sy, 0.55)), shape)
        else:
            half = max(shape.width * (self.sx + self.sy) / 4, 0.5)
            for a, b in itertools.pairwise(points):
                self.fill(_bar(a, b, half), shape)
            if half > 1.2:
                for point in points:
                    self.fill(_round(point, half, half), shape)

    def scaled(self, points: Path) -> list[Point]:
        return [(x * self.sx, y * self.sy) for x, y in points]

    def fill(self, points: Sequence[Point], shape: Shape) -> None:
        for y, spans in enumerate(self.spans(points)):
            for start, end in spans:
                self.put(y, start, end, shape)

    def put(self, y: int, start: int, end: int, shape: Shape) -> None:
        row = self.rows[y]
        if shape.colour == HOLE:
            row[start:end] = [None] * (end - start)
            return
        colour = self.colours[shape.colour]
        if shape.strength >= 1:
            row[start:end] = [(colour.rgb, colour.id)] * (end - start)
            return
        for x in range(start, end):
            row[x] = self.mix(row[x], colour, shape.strength)

    def mix(self, below: Sample | None, colour: Colour, strength: float) -> Sample:
        if below is None:
            return colour.rgb, colour.id
        key = (below, colour.id, strength)
        if key not in self.mixed:
            red, green, blue = (round(b + (c - b) * strength) for b, c in zip(below[0], colour.rgb, strict=True))
            mean = red, green, blue
            name = min((colour.id, below[1]), key=lambda name: math.dist(self.colours[name].rgb, mean))
            self.mixed[key] = mean, name
        return self.mixed[key]

    def spans(self, points: Sequence[Point]) -> list[list[tuple[int, int]]]:
        """For every row, the sample ranges whose centres lie inside the polygon."""
        rows: list[list[float]] = [[] for _ in range(self.height)]
        for (x1, y1), (x2, y2) in zip(points, (*points[1:], points[0]), strict=True):
            if y1 == y2:
                continue
            low, high = (y1, y2) if y1 < y2 else (y2, y1)
            slope = (x2 - x1) / (y2 - y1)
            for y in range(max(0, math.ceil(low - 0.5)), min(self.height, math.ceil(high - 0.5))):
                rows[y].append(x1 + (y + 0.5 - y1) * slope)
        return [[self.range(a, b) for a, b in zip(xs[::2], xs[1::2], strict=False)] for xs in map(sorted, rows)]

    def range(self, a: float, b: float) -> tuple[int, int]:
        start = min(max(0, math.ceil(a - 0.5)), self.width)
        return start, max(start, min(self.width, math.ceil(b - 0.5)))


def _round(centre: Point, rx: float, ry: float) -> list[Point]:
    turns = (2 * math.pi * i / 12 for i in range(12))
    return [(centre[0] + rx * math.cos(a), centre[1] + ry * math.sin(a)) for a in turns]


def _bar(a: Point, b: Point, half: float) -> list[Point]:
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy) or 1.0
    ox, oy = -dy / length * half, dx / length * half
    return [(a[0] + ox, a[1] + oy), (b[0] + ox, b[1] + oy), (b[0] - ox, b[1] - oy), (a[0] - ox, a[1] - oy)]
