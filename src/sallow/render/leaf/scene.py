"""From a picture of the knowledge to a scene: the blades of its form, painted in order."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from sallow.knowledge.pictures import Outline, Paint, Picture
from sallow.render.leaf.form import FORMS, SMALL_PLACE, Place
from sallow.render.leaf.geometry import FINE, SMALL, Leaf, make_leaf
from sallow.render.leaf.paint_colour import COLOUR_PAINTERS, Painter
from sallow.render.leaf.paint_damage import DAMAGE_PAINTERS
from sallow.render.leaf.paint_objects import OBJECT_PAINTERS
from sallow.render.leaf.paint_spots import SPOT_PAINTERS
from sallow.render.leaf.shapes import Layer, Scene, Shape, area, line, moved

PAINTERS: dict[str, Painter] = {**COLOUR_PAINTERS, **SPOT_PAINTERS, **DAMAGE_PAINTERS, **OBJECT_PAINTERS}
# The colours that every picture may use without naming them.
GREEN, VEIN, STALK, GHOST = "green", "vein", "stalk", "ghost"
WIDTH, HEIGHT = 120.0, 80.0
BASIC = (GREEN, VEIN, STALK, GHOST, "glint")
# Painted below the veins of a sound leaf; the rest lies above them.
_BELOW = {"blade", "wedge", "tip", "margin", "islands", "blotches", "sectors", "sheen", "patch", "puckers"}
_OWN_VEINS = {"veins", "bands", "parallel_veins"}


@lru_cache(maxsize=512)
def draw(picture: Picture, outline: Outline, detail: int) -> Scene:
    """The scene of a picture on a leaf of this outline; ``detail`` as in geometry."""
    form = FORMS[picture.form]
    layers = [Layer((), tuple(line(stem, STALK, 3.0, loose=True) for stem in form.stems))] if form.stems else []
    layers += [_blade(picture, place, outline, detail) for place in form.places]
    if form.ghost is not None:
        layers.append(_ghost(form.ghost, outline, detail))
    return Scene(tuple(layers), WIDTH, HEIGHT)


def _blade(picture: Picture, place: Place, outline: Outline, detail: int) -> Layer:
    needs_stalk = any(paint.painter in ("twig", "stalk") for paint in picture.paints)
    if place.plain and detail == SMALL and not needs_stalk:
        place = SMALL_PLACE
    leaf = make_leaf(outline, detail, _breadth(outline, detail, place))
    place = _within(place, leaf)
    shapes = [area(leaf.rim, GREEN)]
    if place.stalk:
        shapes += _stalk(leaf)
    for paint in picture.paints:
        if paint.painter in _BELOW:
            shapes += PAINTERS[paint.painter](leaf, paint)
    if not any(paint.painter in _OWN_VEINS for paint in picture.paints):
        shapes += _sound_veins(leaf)
    for paint in picture.paints:
        if paint.painter not in _BELOW:
            shapes += PAINTERS[paint.painter](leaf, paint)
    return Layer(
        tuple(place.warp(point) for point in leaf.rim),
        tuple(moved(shape, place.warp, place.length) for shape in shapes),
    )


def _breadth(outline: Outline, detail: int, place: Place) -> float:
    # No blade may leave the frame. In small pictures a slim leaf is drawn broader, so that its pattern has room.
    broadest = max(y for _, y in outline.points)
    wanted = place.narrow * ((1.5, 1.25, 1.0)[detail] if place.plain else 1.0)
    return max(min(wanted, 38.5 / (place.length * broadest)), 0.2)


def _within(place: Place, leaf: Leaf) -> Place:
    # A bent or turned blade that would leave the frame is drawn smaller and moved.
    for _ in range(4):
        points = [place.warp(point) for point in leaf.rim]
        left, right = min(x for x, _ in points), max(x for x, _ in points)
        top, bottom = min(y for _, y in points), max(y for _, y in points)
        if left >= 0 and right <= WIDTH and top >= 0 and bottom <= HEIGHT:
            break
        shrink = min(1.0, (HEIGHT - 1) / (bottom - top), (WIDTH - 1) / (right - left))
        x = place.x + max(0.0, 0.5 - left) - max(0.0, right - WIDTH + 0.5) * (shrink == 1)
        y = place.y + max(0.0, 0.5 - top) - max(0.0, bottom - HEIGHT + 0.5)
        place = replace(place, length=place.length * shrink, x=x, y=y if shrink == 1 else place.y)
    return place


def _sound_veins(leaf: Leaf) -> list[Shape]:
    order = 1 if leaf.detail == SMALL else 2
    return list(COLOUR_PAINTERS["veins"](leaf, Paint("veins", (VEIN,), 0.75, 0.8, order)))


def _stalk(leaf: Leaf) -> list[Shape]:
    # In characters a stalk in scale is thinner than half of one, and the leaf would float.
    width = 0.032 if leaf.detail == FINE else 0.066
    shapes = [line(((-0.2, 0.0), (0.02, 0.0)), STALK, width, loose=True)]
    if leaf.stalk == "winged":
        wing = [(-0.135, 0.0), (-0.1, -0.035), (-0.05, -0.048), (-0.018, -0.02), (-0.012, 0.0)]
        shapes.append(area([*wing, *((x, -y) for x, y in reversed(wing[1:-1]))], GREEN, loose=True))
    return shapes


def _ghost(place: Place, outline: Outline, detail: int) -> Layer:
    leaf = make_leaf(outline, detail, place.narrow)
    rim = [place.warp(point) for point in leaf.rim]
    dashes = [
        line((a, b), GHOST, (5.0, 3.2, 1.1)[detail], loose=True) for a, b in zip(rim[::2], rim[1::2], strict=False)
    ]
    return Layer((), tuple(dashes))
