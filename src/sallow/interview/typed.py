"""Numbers and days in the words people type, read for a question."""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date
from typing import TYPE_CHECKING

from sallow.errors import BadInput
from sallow.knowledge.model import Sign
from sallow.months import MONTHS

if TYPE_CHECKING:
    from sallow.trees.dates import When

_ABOUT = re.compile(r"^(?:(?:about|around|roughly|approximately|approx\.?|circa|ca\.?|c\.|some|maybe|perhaps|~)\s*)+")
_WORDS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "fifteen": 15, "twenty": 20, "thirty": 30, "half a": 0.5, "a couple of": 2,
}  # fmt: skip
_A_YEAR = {"year": 1.0, "yr": 1.0, "y": 1.0, "month": 12.0, "week": 52.0, "day": 365.0}
_SPAN = re.compile(r"(?P<count>.*?)\s*(?P<unit>year|yr|y|month|week|day)s?(?:\s+(?:old|ago))?")
_RANGE = re.compile(r"(\d+(?:\.\d+)?)\s*(?:-|to|or)\s*(\d+(?:\.\d+)?)")
# The parts of a month as people name them: its first day and the day taken (0: seven days before the end, the end).
_PARTS = {
    "early": (1, 5), "beginning": (1, 5), "start": (1, 5), "first half": (1, 8), "first week": (1, 4),
    "second week": (8, 11), "mid": (11, 15), "middle": (11, 15), "third week": (15, 18), "second half": (16, 23),
    "fourth week": (22, 25), "late": (21, 25), "end": (0, 0), "last week": (0, 0), "last days": (0, 0),
}  # fmt: skip
_PART_OF_MONTH = re.compile(
    rf"(?:in |at )?(?:the )?({'|'.join(_PARTS)})[ -](?:of )?([a-z]{{3,9}})\.?(?: ((?:19|20)\d\d))?"
)
_NOT_KNOWN = ("n", "not sure", "unsure", "don't know", "dont know", "?")
_A_YEAR_OF_OURS = re.compile(r"(?:in\s+)?((?:19|20)\d\d)")


def _with_months(text: str) -> str:
    """The text with the names of months as they are written."""
    return re.sub(rf"\b({'|'.join(month.lower() for month in MONTHS)})\b", lambda found: found[0].capitalize(), text)


def number_typed(text: str, sign: Sign, this_year: int) -> float | None:
    """The number that was typed for a sign, within its limits; None when it is none.

    'About 4', '4 to 5' (the middle) and the unit before or after the number are read; for a span in years also months,
    weeks, days and the year of planting.
    """
    phrase = _phrase(text)
    unit = sign.unit.lower()
    if unit == "years":
        number = _years(phrase, this_year)
    else:
        number = _plain(phrase.removesuffix(unit).removeprefix(unit).strip(" :="))
    low = sign.least if sign.least is not None else -1e6
    high = sign.most if sign.most is not None else 1e6
    return number if number is not None and low <= number <= high else None


def years_typed(text: str) -> float | None:
    """A span in years, as ``number_typed`` reads it, whatever its size; None when it is none."""
    return _years(_phrase(text), None)


def _phrase(text: str) -> str:
    return _ABOUT.sub("", " ".join(text.lower().replace(",", ".").split())).strip()


def _years(phrase: str, this_year: int | None) -> float | None:
    if this_year is not None and (match := _A_YEAR_OF_OURS.fullmatch(phrase)):
        return float(max(0, this_year - int(match[1])))
    if match := _SPAN.fullmatch(phrase):
        count = _plain(match["count"])
        return None if count is None else round(count / _A_YEAR[match["unit"]], 2)
    return _plain(phrase)


def _plain(phrase: str) -> float | None:
    if phrase in _WORDS:
        return float(_WORDS[phrase])
    if match := _RANGE.fullmatch(phrase):
        return (float(match[1]) + float(match[2])) / 2
    return float(phrase) if re.fullmatch(r"-?\d+(?:\.\d+)?|\.\d+", phrase) else None


def part_of_month(text: str, today: date) -> When | None:
    """The day meant by 'last week of August', 'mid May' or 'late June 2025', the latest gone by where no year is told.

    None when the words are of another kind. The middle of the part is taken, or ``today`` in a part not over yet.
    """
    from sallow.trees.dates import When

    match = _PART_OF_MONTH.fullmatch(" ".join(text.lower().replace(",", " ").split()))
    named = [number for number, name in enumerate(MONTHS, 1) if match and name.lower().startswith(match[2])]
    if match is None or len(named) != 1:
        return None
    first, middle = _PARTS[match[1]]
    for year in [int(match[3])] if match[3] else [today.year, today.year - 1]:
        length = monthrange(year, named[0])[1]
        begins = date(year, named[0], first or length - 6)
        day = date(year, named[0], middle or length - 3)
        if begins <= today:
            return When(min(day, today), "week")
    return When(day, "week")


def day_typed(
    text: str, today: date | None, hemisphere: str = "", whole_spans: bool = False, to_come: bool = False
) -> date:
    """The day that was typed, 'today' or '4 May' as well as 2026-05-04. BadInput says what was expected.

    A day after ``today`` is refused where that is known, except ``to_come``; a month or season only counts with
    ``whole_spans``.
    """
    from sallow.trees.dates import read_date, say_date

    if text.lower() in _NOT_KNOWN:
        raise BadInput("A rough day will do: type for instance last week, 3 weeks ago, early May or middle of May.")
    try:
        found = date.fromisoformat(text)
        precision = "day"
    except ValueError:
        if today is None:
            raise BadInput(f"'{text[:40]}' is not a date; type year-month-day, for instance 2026-05-20.") from None
        try:
            when = part_of_month(text, today) or read_date(text[:40], today, hemisphere, future=True)
        except BadInput as error:
            if "two ways" in str(error) or "two halves" in str(error):
                raise BadInput(_with_months(str(error).split(", or tell the book")[0].rstrip(".") + ".")) from None
            raise BadInput(
                f"'{text[:40]}' is not a date I understand. Type for instance: today, yesterday, 4 May, "
                "4 May 2026 or 2026-05-04."
            ) from None
        found, precision = when.day, when.precision
    if today is not None and found > today and not to_come:
        raise BadInput(f"{say_date(found)} is still to come; type a day up to today, {say_date(today)}.")
    if precision == "month" and not whole_spans:
        month = f"{MONTHS[found.month - 1]} {found.year}"
        raise BadInput(
            f"{month} is a whole month; which day was it, about? Type early {month}, middle of {month}, late {month}, "
            "or a day."
        )
    if precision not in ("day", "week") and not whole_spans:
        raise BadInput(f"'{text[:40]}' is a longer time; which day was it, about? For instance {say_date(found)}.")
    return found
