"""A small line chart of a few numbers over time, in plain characters; shape alone carries the meaning."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class Point:
    """One number of a chart: its day and its value in the chart's unit."""

    day: date
    value: float


ROWS = 6
_MARKS = {True: ("●", "·", "│", "─", "└"), False: ("o", ".", "|", "-", "+")}


def draw(
    points: Sequence[Point],
    *,
    width: int,
    unicode: bool,
    low: float | None = None,
    high: float | None = None,
    years: bool = False,
) -> list[str]:
    """Lines of text, at most ``width`` cells wide: values up the side, dates along the foot.

    Points stand at their dates; of two in one column the later shows. ``low`` and ``high`` fix the scale; where each
    point is a whole year (``years``) the foot names years.
    Nothing is drawn for fewer than two days: the caller says the single number in words.
    """
    points = sorted(points, key=lambda point: point.day)
    if len({point.day for point in points}) < 2:
        return []
    bottom, step, decimals = scale([point.value for point in points], low, high)
    labels = [f"{bottom + step * row:.{decimals}f}" for row in range(ROWS)]
    margin = max(len(label) for label in labels) + 1
    columns = max(12, min(width - margin - 2, 60))
    grid = _plot(points, bottom, bottom + step * (ROWS - 1), columns, unicode)
    _, _, side, foot, corner = _MARKS[unicode]
    lines = [f"{labels[row]:>{margin}} {side}{''.join(grid[row]).rstrip()}" for row in range(ROWS - 1, -1, -1)]
    lines.append(f"{'':>{margin}} {corner}{foot * columns}")
    lines.append(f"{'':>{margin}}  {_dates(points, columns, years)}")
    return lines


def scale(values: Sequence[float], low: float | None, high: float | None) -> tuple[float, float, int]:
    """The foot of the scale, the step between rows, and the decimals that show each step; round numbers."""
    bottom = min(values) if low is None else low
    top = max(*values, bottom) if high is None else high
    if low is not None and high is not None:
        step = (top - bottom) / (ROWS - 1)
        return bottom, step, _decimals(step)
    span = (top - bottom) or abs(bottom) or 1.0
    power = 10.0 ** math.floor(math.log10(span / (ROWS - 1)))
    for step in (power * factor for factor in (1, 2, 2.5, 5, 10, 20, 25)):
        foot = math.floor(bottom / step + 1e-9) * step
        if foot + step * (ROWS - 1) >= top - step * 1e-9:
            return foot, step, _decimals(step)
    raise AssertionError("a step of 20 to 25 times the power of ten always spans the values")


def _decimals(step: float) -> int:
    return next((places for places in range(4) if abs(round(step, places) - step) < 1e-9 * step), 4)


def _plot(points: Sequence[Point], bottom: float, top: float, columns: int, unicode: bool) -> list[list[str]]:
    mark, between, *_ = _MARKS[unicode]
    first, days = points[0].day, (points[-1].day - points[0].day).days
    grid = [[" "] * columns for _ in range(ROWS)]
    places = []
    for point in points:
        column = round((point.day - first).days / days * (columns - 1))
        height = min(1.0, max(0.0, (point.value - bottom) / (top - bottom)))
        places.append((column, round(height * (ROWS - 1))))
    for (left, low_row), (right, high_row) in pairwise(places):
        for column in range(left + 1, right):
            row = round(low_row + (high_row - low_row) * (column - left) / (right - left))
            grid[row][column] = between
    last_in_column = dict(places)
    for column, row in last_in_column.items():
        for line in grid:
            line[column] = " "
        grid[row][column] = mark
    return grid


def ends(points: Sequence[Point], years: bool) -> tuple[str, str]:
    """What stands at the two ends of the foot: days, or years over a long time."""
    first, last = points[0].day, points[-1].day
    if years or (last - first).days > 700:
        return str(first.year), str(last.year)
    return first.isoformat(), last.isoformat()


def _dates(points: Sequence[Point], columns: int, years: bool) -> str:
    left, right = ends(points, years)
    if len(left) + len(right) >= columns:  # too narrow for whole days
        same_year = left[:4] == right[:4]
        left, right = (left[5:], right[5:]) if same_year else (left[:4], right[:4])
    return left + right.rjust(columns - len(left))
