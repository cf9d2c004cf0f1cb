"""Seasons from the date and the hemisphere; meteorological seasons of three whole months."""

from __future__ import annotations

from datetime import date
from typing import Literal

Hemisphere = Literal["north", "south"]
SEASONS = ("winter", "spring", "summer", "autumn")


def season_of(day: date, hemisphere: Hemisphere) -> str:
    """The meteorological season (common practice): December to February is winter in the north, summer in the south."""
    quarter = day.month % 12 // 3
    return SEASONS[(quarter + (2 if hemisphere == "south" else 0)) % 4]


def shift_month(month: int, hemisphere: Hemisphere) -> int:
    """The month (1 to 12) that answers to a northern-hemisphere ``month``: six months later in the south."""
    return month if hemisphere == "north" else (month + 5) % 12 + 1
