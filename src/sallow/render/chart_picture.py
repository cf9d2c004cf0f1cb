"""A small line chart as SVG for a page: the same scale as the chart in the terminal, every value in its text."""

from __future__ import annotations

from collections.abc import Iterator

from sallow.render.markup import safe
from sallow.trees.chart import ROWS, ends, scale
from sallow.trees.dates import say_date
from sallow.trees.story import Series, single_words

_WIDTH, _HEIGHT, _LEFT, _TOP, _FOOT = 360, 150, 44, 8, 22


def chart_figure(item: Series, key: str) -> str:
    """The chart as a figure, or a sentence when there is a single number; ``key`` must be unique in the page."""
    points = sorted(item.points, key=lambda point: point.day)
    if len({point.day for point in points}) < 2:
        return f"<p>{safe(single_words(item))}</p>"
    note = f" ({item.note})" if item.note else ""
    values = "; ".join(
        f"{point.value:.4g} {f'in {point.day.year}' if item.yearly else f'on {say_date(point.day)}'}"
        for point in points
    )
    drawing = "".join(_marks(item))
    return (
        f'<figure class="chart"><svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="{key}-t" '
        f'viewBox="0 0 {_WIDTH} {_HEIGHT}"><title id="{key}-t">{safe(f"{item.title}: {values}")}</title>{drawing}</svg>'
        f"<figcaption>{safe(item.title + note)}: {safe(values)}.</figcaption></figure>"
    )


def _marks(item: Series) -> Iterator[str]:
    """Lines across with their values, the foot with its two ends, the line through the points, the points."""
    points = sorted(item.points, key=lambda point: point.day)
    bottom, step, decimals = scale([point.value for point in points], item.low, item.high)
    wide, high = _WIDTH - _LEFT - 8, _HEIGHT - _TOP - _FOOT

    def up(value: float) -> float:
        share = (value - bottom) / (step * (ROWS - 1))
        return _TOP + high * (1 - min(1.0, max(0.0, share)))

    for row in range(ROWS):
        value = bottom + step * row
        y = up(value)
        yield f'<path d="M{_LEFT} {y:.1f}h{wide}" stroke="{"#555" if row == 0 else "#ccc"}" stroke-width="1"/>'
        yield _text(_LEFT - 5, y + 3.5, "end", f"{value:.{decimals}f}")
    left, right = ends(points, item.yearly)
    yield _text(_LEFT, _HEIGHT - 6, "start", left)
    yield _text(_WIDTH - 8, _HEIGHT - 6, "end", right)
    first, days = points[0].day, (points[-1].day - points[0].day).days
    places = [(_LEFT + wide * (point.day - first).days / days, up(point.value)) for point in points]
    line = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
    yield f'<polyline points="{line}" fill="none" stroke="#2f6b2f" stroke-width="2"/>'
    yield from (f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5" fill="#2f6b2f"/>' for x, y in places)


def _text(x: float, y: float, anchor: str, words: str) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="10" font-family="sans-serif" fill="#333" '
        f'text-anchor="{anchor}">{safe(words)}</text>'
    )
