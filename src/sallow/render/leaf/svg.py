"""A scene as SVG: for printable pages and the plate."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from sallow.knowledge.pictures import Colour, Outline, Picture, PictureBook
from sallow.render.leaf.geometry import FINE
from sallow.render.leaf.scene import draw
from sallow.render.leaf.shapes import HOLE, Layer, Path, Shape


def leaf_svg(book: PictureBook, picture: Picture, outline: Outline, words: str, key: str, width: int = 180) -> str:
    """One leaf as an ``svg`` element ``width`` pixels wide; ``words`` are its text for readers who do not see it.

    ``key`` must be unique in the page, since the clipping paths are found by it.
    """
    body = leaf_marks(book, picture, outline, key)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="leaf" role="img" aria-labelledby="{key}-t" '
        f'viewBox="0 0 120 80" '
        f'width="{width}" height="{width * 2 // 3}"><title id="{key}-t">{escape(words)}</title>{body}</svg>'
    )


def leaf_marks(book: PictureBook, picture: Picture, outline: Outline, key: str) -> str:
    """The marks of one leaf within a frame of 120 by 80, without the ``svg`` element round them."""
    scene = draw(picture, outline, FINE)
    return "".join(_layer(layer, f"{key}-{number}", book.colours) for number, layer in enumerate(scene.layers))


def _layer(layer: Layer, key: str, colours: Mapping[str, Colour]) -> str:
    inner = [shape for shape in layer.shapes if not shape.loose and shape.colour != HOLE]
    holes = [shape for shape in layer.shapes if shape.colour == HOLE]
    loose = "".join(_shape(shape, colours) for shape in layer.shapes if shape.loose)
    if not layer.rim:
        return loose
    rim = _path(layer.rim, closed=True)
    if holes:
        cuts = "".join(_shape(shape, colours, "#000") for shape in holes)
        fence = f'<mask id="{key}"><path d="{rim}" fill="#fff"/>{cuts}</mask>'
        within = f'<g mask="url(#{key})">'
    else:
        fence = f'<clipPath id="{key}"><path d="{rim}"/></clipPath>'
        within = f'<g clip-path="url(#{key})">'
    return fence + within + "".join(_shape(shape, colours) for shape in inner) + "</g>" + loose


def _shape(shape: Shape, colours: Mapping[str, Colour], paint: str = "") -> str:
    red, green, blue = colours[shape.colour].rgb if not paint else (0, 0, 0)
    tone = paint or f"#{red:02x}{green:02x}{blue:02x}"
    if shape.kind == "disc":
        x, y = shape.points[0]
        faint = f' fill-opacity="{_number(shape.strength)}"' if shape.strength < 1 else ""
        return f'<circle cx="{_number(x)}" cy="{_number(y)}" r="{_number(shape.width)}" fill="{tone}"{faint}/>'
    if shape.kind == "area":
        faint = f' fill-opacity="{_number(shape.strength)}"' if shape.strength < 1 else ""
        return f'<path d="{_path(shape.points, closed=True)}" fill="{tone}"{faint}/>'
    faint = f' stroke-opacity="{_number(shape.strength)}"' if shape.strength < 1 else ""
    return (
        f'<path d="{_path(shape.points)}" fill="none" stroke="{tone}" stroke-width="{_number(shape.width)}" '
        f'stroke-linecap="round" stroke-linejoin="round"{faint}/>'
    )


def _path(points: Path, closed: bool = False) -> str:
    text = "M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in points)
    return text + ("Z" if closed else "")


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0") if abs(value) >= 2 else f"{value:.2f}".rstrip("0").rstrip(".")
