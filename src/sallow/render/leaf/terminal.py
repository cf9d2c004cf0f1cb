"""A grid of pixels as terminal lines: half blocks in colour, or plain characters whose texture carries the meaning."""

from __future__ import annotations

from sallow.knowledge.pictures import Outline, Picture, PictureBook
from sallow.render.leaf.raster import Grid, Pixel, Rgb, grid_of

_LEVELS = (0, 95, 135, 175, 215, 255)
RESET = "\x1b[0m"


def leaf_lines(
    book: PictureBook,
    picture: Picture,
    outline: Outline,
    columns: int,
    rows: int,
    colours: int,
    unicode: bool,
    apart: bool = False,
) -> list[str]:
    """The picture in ``rows`` lines, each exactly ``columns`` cells wide.

    ``colours`` is 0, 16, 256 or more. Without colours, or without half blocks, it is drawn with characters.
    ``apart`` leaves the lower half of the last line of blocks empty, so that leaves one below another do not touch.
    """
    if colours and unicode:
        grid = grid_of(book, picture, outline, columns, rows * 2 - apart)
        grid = (*grid, (None,) * columns) if apart else grid
        return [_blocks(book, grid[2 * y], grid[2 * y + 1], colours) for y in range(rows)]
    grid = grid_of(book, picture, outline, columns, rows * 2)
    return [_characters(book, grid, y, unicode) for y in range(rows)]


def _characters(book: PictureBook, grid: Grid, y: int, unicode: bool) -> str:
    line = ""
    for upper, lower in zip(grid[2 * y], grid[2 * y + 1], strict=True):
        name = plain_name(book, upper, lower)
        colour = book.colours.get(name)
        line += " " if colour is None else colour.plain if unicode else colour.ascii
    return line


def plain_name(book: PictureBook, upper: Pixel | None, lower: Pixel | None) -> str:
    """The colour name that stands for two pixels, one above the other; '' for none."""
    if upper is None or lower is None:
        only = upper or lower
        return only.name if only is not None and only.cover >= 0.6 else ""
    if upper.name == lower.name:
        return upper.name
    weights = {pixel.name: pixel.cover * book.colours[pixel.name].weight for pixel in (upper, lower)}
    return max(sorted(weights), key=lambda name: weights[name])


def _blocks(book: PictureBook, upper: tuple[Pixel | None, ...], lower: tuple[Pixel | None, ...], colours: int) -> str:
    line, state = "", ""
    for top, bottom in zip(upper, lower, strict=True):
        if top is None and bottom is None:
            code, character = "", " "
        elif bottom is None:
            code, character = _code(book, top, colours, 38), "▀"
        elif top is None:
            code, character = _code(book, bottom, colours, 38), "▄"
        else:
            code = f"{_code(book, top, colours, 38)};{_code(book, bottom, colours, 48)}"
            character = "▀"
        if code != state:
            line += RESET if state else ""
            line += f"\x1b[{code}m" if code else ""
            state = code
        line += character
    return line + (RESET if state else "")


def _code(book: PictureBook, pixel: Pixel | None, colours: int, ground: int) -> str:
    assert pixel is not None
    if colours > 256:
        return f"{ground};2;{pixel.rgb[0]};{pixel.rgb[1]};{pixel.rgb[2]}"
    if colours == 256:
        return f"{ground};5;{nearest_of_256(pixel.rgb)}"
    number = book.colours[pixel.name].ansi
    return str(ground - 8 + number if number < 8 else ground + 52 + number - 8)


def nearest_of_256(rgb: Rgb) -> int:
    """The number of the nearest colour among the 256 of a terminal (colour cube or grey ramp)."""
    steps = [min(range(6), key=lambda i: abs(_LEVELS[i] - value)) for value in rgb]
    cube = tuple(_LEVELS[i] for i in steps)
    shade = min(max(round((sum(rgb) / 3 - 8) / 10), 0), 23)
    grey = 8 + 10 * shade
    far = sum((a - b) ** 2 for a, b in zip(cube, rgb, strict=True))
    if sum((grey - value) ** 2 for value in rgb) < far:
        return 232 + shade
    return 16 + 36 * steps[0] + 6 * steps[1] + steps[2]
