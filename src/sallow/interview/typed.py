"""Numbers and days in the words people type, read for a question."""

from __future__ import annotations

import re
from datetime import date

from sallow.errors import BadInput
from sallow.knowledge.model import Sign
from sallow.phrases import MONTHS

_ABOUT = re.compile(r"^(?:(?:about|around|roughly|approximately|approx\.?|circa|ca\.?|c\.|some|maybe|perhaps|~)\s*)+")
_WORDS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "fifteen": 15, "twenty": 20, "thirty": 30, "half a": 0.5, "a couple of": 2,
}  # fmt: skip
_A_YEAR = {"year": 1.0, "yr": 1.0, "y": 1.0, "month": 12.0, "week": 52.0, "day": 365.0}
_SPAN = re.compile(r"(?P<count>.*?)\s*(?P<unit>year|yr|y|month|week|day)s?(?:\s+(?:old|ago))?")
_RANGE = re.compile(r"(\d+(?:\.\d+)?)\s*(?:-|to|or)\s*(\d+(?:\.\d+)?)")
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


def day_typed(
    text: str, today: date | None, hemisphere: str = "", whole_spans: bool = False, to_come: bool = False
) -> date:
    """The day that was typed, 'today' or '4 May' as well as 2026-05-04. BadInput says what was expected.

    A day after ``today`` is refused where that is known, except ``to_come``; a month or season only counts with
    ``whole_spans``.
    """
    from sallow.trees.dates import read_date, say_date

    try:
        found = date.fromisoformat(text)
        precision = "day"
    except ValueError:
        if today is None:
            raise BadInput(f"'{text[:40]}' is not a date; type year-month-day, for instance 2026-05-20.") from None
        try:
            when = read_date(text[:40], today, hemisphere, future=True)
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
    if precision not in ("day", "week") and not whole_spans:
        raise BadInput(f"'{text[:40]}' is a longer time; which day was it, about? For instance {say_date(found)}.")
    return found
