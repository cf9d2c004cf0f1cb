"""The plate: every leaf picture with its words, for the terminal and as one SVG drawing."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from html import escape

from sallow.environment import Environment
from sallow.knowledge.model import Knowledge
from sallow.knowledge.pictures import Picture
from sallow.render.leaf.raster import grid_of
from sallow.render.leaf.strip import outline_for
from sallow.render.leaf.svg import leaf_marks
from sallow.render.leaf.terminal import leaf_lines, plain_name
from sallow.render.wrap import wrapped

_COLUMNS, _ROWS, _GAP = 24, 8, 2
_CARD = (150, 100)


def words_of(knowledge: Knowledge, picture: Picture) -> str:
    """What a picture shows: the words of its answer, and its note."""
    say = knowledge.signs[picture.sign].answers[picture.answer].say
    return f"{say} ({picture.note.rstrip('.').lower()})" if picture.note else say


def plate_lines(knowledge: Knowledge, keys: Sequence[str], crop: str, environment: Environment) -> Iterator[str]:
    """The pictures in rows under the question each belongs to, with their words and a legend where needed."""
    pictures = [knowledge.pictures.pictures[key] for key in keys]
    for sign in dict.fromkeys(picture.sign for picture in pictures):
        yield from wrapped(f"{sign}: {knowledge.signs[sign].ask}", environment.width)
        yield ""
        yield from _rows(knowledge, [p for p in pictures if p.sign == sign], crop, environment)


def _rows(knowledge: Knowledge, pictures: Sequence[Picture], crop: str, environment: Environment) -> Iterator[str]:
    outline = outline_for(knowledge, crop)
    per_row = max(1, (environment.width + _GAP) // (_COLUMNS + _GAP))
    gap = " " * _GAP
    for start in range(0, len(pictures), per_row):
        row = pictures[start : start + per_row]
        blocks = [
            leaf_lines(knowledge.pictures, p, outline, _COLUMNS, _ROWS, environment.colours, environment.unicode)
            for p in row
        ]
        for line in zip(*blocks, strict=True):
            yield gap.join(line).rstrip(" ")
        captions = [[p.answer, *textwrap.wrap(words_of(knowledge, p), _COLUMNS)] for p in row]
        for number in range(max(len(caption) for caption in captions)):
            cells = [caption[number] if number < len(caption) else "" for caption in captions]
            yield gap.join(f"{cell:{_COLUMNS}}" for cell in cells).rstrip(" ")
        yield ""
    if not (environment.colours and environment.unicode):
        yield from legend(knowledge, pictures, crop, environment, _COLUMNS, _ROWS)
        yield ""


def legend(
    knowledge: Knowledge, pictures: Sequence[Picture], crop: str, environment: Environment, columns: int, rows: int
) -> list[str]:
    """What the characters stand for in pictures without colour."""
    book, outline = knowledge.pictures, outline_for(knowledge, crop)
    names: dict[str, None] = {}
    for picture in pictures:
        grid = grid_of(book, picture, outline, columns, rows * 2)
        for y in range(rows):
            for upper, lower in zip(grid[2 * y], grid[2 * y + 1], strict=True):
                names |= {plain_name(book, upper, lower): None}
    said: dict[str, list[str]] = {}
    for name in names:
        if name:
            colour = book.colours[name]
            words = said.setdefault(colour.plain if environment.unicode else colour.ascii, [])
            if colour.say not in words:
                words.append(colour.say)
    text = "; ".join(f"{character} {' or '.join(words)}" for character, words in said.items())
    return wrapped(f"Characters: {text}.", environment.width)


def single_lines(knowledge: Knowledge, key: str, crop: str, environment: Environment) -> Iterator[str]:
    """One picture, large, with its words."""
    picture = knowledge.pictures.pictures[key]
    columns = min(environment.width, 60)
    rows = columns // 3
    outline, colours = outline_for(knowledge, crop), environment.colours
    for line in leaf_lines(knowledge.pictures, picture, outline, columns, rows, colours, environment.unicode):
        yield line.rstrip(" ")
    yield ""
    sign = knowledge.signs[picture.sign]
    yield from wrapped(sign.ask, environment.width)
    yield from wrapped(f"{picture.answer}: {words_of(knowledge, picture)}", environment.width)
    if sign.how_to_tell:
        yield from wrapped(sign.how_to_tell, environment.width)
    if not (environment.colours and environment.unicode):
        yield from legend(knowledge, [picture], crop, environment, columns, rows)


def plate_svg(knowledge: Knowledge, keys: Sequence[str], crop: str, per_row: int = 5) -> str:
    """The pictures with their words as one SVG drawing with a white ground."""
    outline = outline_for(knowledge, crop)
    width, height = _CARD
    parts: list[str] = []
    top = 10
    pictures = [knowledge.pictures.pictures[key] for key in keys]
    for sign in dict.fromkeys(picture.sign for picture in pictures):
        own = [picture for picture in pictures if picture.sign == sign]
        for line in textwrap.wrap(knowledge.signs[sign].ask, 95):
            parts.append(_text(10, top + 16, line, "bold 15px"))
            top += 22
        for start in range(0, len(own), per_row):
            row = own[start : start + per_row]
            captions = [textwrap.wrap(words_of(knowledge, picture), 25) for picture in row]
            for place, (picture, caption) in enumerate(zip(row, captions, strict=True)):
                left = 10 + place * (width + 12)
                marks = leaf_marks(knowledge.pictures, picture, outline, f"{picture.sign}-{picture.answer}")
                parts.append(
                    f'<svg x="{left}" y="{top}" width="{width}" height="{height}" viewBox="0 0 120 80">{marks}</svg>'
                )
                parts += [_text(left, top + height + 13 + 14 * i, line, "12px") for i, line in enumerate(caption)]
            top += height + 22 + 14 * max(len(caption) for caption in captions)
        top += 8
    wide = 20 + per_row * (width + 12)
    title = "Leaf pictures"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {top}" width="{wide}" height="{top}" role="img">'
        f'<title>{title}</title><rect width="{wide}" height="{top}" fill="#fff"/>{"".join(parts)}</svg>\n'
    )


def _text(x: int, y: int, words: str, font: str) -> str:
    return f'<text x="{x}" y="{y}" fill="#222" style="font:{font} sans-serif">{escape(words)}</text>'
