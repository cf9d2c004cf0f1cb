"""The names of the months, in English whatever the computer speaks."""

from __future__ import annotations

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
