"""Dates in the words people use, worked out from a given today."""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sallow.errors import BadInput
from sallow.months import MONTHS

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_NUMBERS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "couple": 2, "few": 3,
}  # fmt: skip
_SEASON_MIDDLE = {"winter": 1, "spring": 4, "summer": 7, "autumn": 10, "fall": 10}
_EXAMPLES = "today, yesterday, last tuesday, 3 weeks ago, 12 may, may 2024, 2024-05-12"
_LONGEST_PHRASE = 5
_SMALL_WORDS = ("on", "in", "of", "the", "about", "since")
_NUMBER = re.compile(r"\d+(?:[.,/]\d+)?")
_DATE_SHAPE = re.compile(r"\d{4}-\d{1,2}-\d{1,2}|\d{1,2}/\d{1,2}/\d{2,4}")


@dataclass(frozen=True, slots=True)
class When:
    """A day, and how exactly it is meant: day, week, month, season or year (then ``day`` lies inside it)."""

    day: date
    precision: str = "day"


def read_date(text: str, today: date, hemisphere: str = "", *, future: bool = False) -> When:
    """The day that ``text`` means. BadInput when it means none, or one to come while ``future`` is false."""
    phrase = _tidy(text)
    try:
        found = _read(phrase, today, hemisphere)
    except (ValueError, OverflowError):
        found = None
    if found is None:
        raise BadInput(f"'{text}' is not a date sallow understands; try one of these forms: {_EXAMPLES}.")
    if found.day > today and not future:
        raise BadInput(f"'{text}' is {found.day.isoformat()}, which is still to come; a note needs a day gone by.")
    return found


def split_off_date(words: Sequence[str], today: date, hemisphere: str = "") -> tuple[tuple[str, ...], When | None]:
    """The words without a date at their end, and that date; a lone month, year or weekday stays a word."""
    for length in range(min(_LONGEST_PHRASE, len(words)), 0, -1):
        tail = words[-length:]
        phrase = _tidy(" ".join(tail))
        if not _unmistakable(phrase) and not (length > 1 and tail[0].lower() in ("in", "on")):
            continue
        try:
            found = _read(phrase, today, hemisphere)
        except (BadInput, ValueError, OverflowError):
            continue
        if found is not None and found.day <= today:
            if tail[0].lower() == "in" and words[:-length] and _NUMBER.fullmatch(words[-length - 1]):
                length -= 1  # "12 in 1 dec": the word is the unit of the number, inches
            return tuple(words[: len(words) - length]), found
    return tuple(words), None


def refuse_unread_date(words: Sequence[str], today: date, hemisphere: str = "") -> None:
    """BadInput when the words end in what can only be meant as a date but is none, or is still to come."""
    if words and _DATE_SHAPE.fullmatch(words[-1].rstrip(".")):
        read_date(words[-1], today, hemisphere)
    for tail in (words[-3:], words[-2:]):
        if tail and tail[0].lower() in ("in", "last", "this"):
            _season(_tidy(" ".join(tail)), today, hemisphere)


def read_planted(text: str, today: date, hemisphere: str = "") -> str:
    """A planting date as YYYY, YYYY-MM or YYYY-MM-DD, as exactly as it was told."""
    found = read_date(text, today, hemisphere)
    iso = found.day.isoformat()
    return {"year": iso[:4], "season": iso[:7], "month": iso[:7]}.get(found.precision, iso)


def say_date(day: date, precision: str = "day", *, year: bool = True) -> str:
    """The day in words, as exactly as it is known: '12 May 2024', 'about 12 May 2024', 'May 2024', '2024'."""
    month = MONTHS[day.month - 1][:3]
    if precision == "year":
        return str(day.year)
    tail = f" {day.year}" if year else ""
    if precision in ("month", "season"):
        return ("about " if precision == "season" else "") + month + tail
    return ("about " if precision == "week" else "") + f"{day.day} {month}{tail}"


def say_ago(day: date, today: date) -> str:
    """How long ago, in words a person would use."""
    days = (today - day).days
    if days < 0:
        return f"in {_count(-days)}"
    if days < 2:
        return ("today", "yesterday")[days]
    return f"{_count(days)} ago"


def _count(days: int) -> str:
    for least, size, unit in ((700, 365.25, "year"), (60, 30.44, "month"), (14, 7, "week")):
        if days >= least:
            return f"{max(2, round(days / size))} {unit}s"
    return f"{days} day{'' if days == 1 else 's'}"


def _tidy(text: str) -> str:
    phrase = re.sub(r"(\d)(st|nd|rd|th)\b", r"\1", text.strip().lower().rstrip("."))
    return " ".join(word for word in phrase.replace(",", " ").split() if word not in _SMALL_WORDS)


def _unmistakable(phrase: str) -> bool:
    words = phrase.split()
    if not words:
        return False
    if words[0] in ("today", "yesterday", "last", "this") or words[-1] == "ago" or phrase == "day before yesterday":
        return True
    if re.fullmatch(r"\d{4}-\d{1,2}(-\d{1,2})?|\d{1,4}[./]\d{1,2}[./]\d{2,4}", phrase):
        return True
    return len(words) > 1 and any(_month(word) for word in words) and any(word.isdigit() for word in words)


def _read(phrase: str, today: date, hemisphere: str) -> When | None:
    for reader in (_fixed_word, _so_long_ago, _weekday, _last_span, _digits, _with_month):
        found = reader(phrase, today)
        if found is not None:
            return found
    return _season(phrase, today, hemisphere)


def _fixed_word(phrase: str, today: date) -> When | None:
    back = {
        "today": 0, "now": 0, "this morning": 0, "tonight": 0, "this afternoon": 0, "yesterday": 1,
        "last night": 1, "yesterday morning": 1, "yesterday evening": 1, "day before yesterday": 2,
    }.get(phrase)  # fmt: skip
    return None if back is None else When(today - timedelta(days=back))


def _so_long_ago(phrase: str, today: date) -> When | None:
    match = re.fullmatch(r"(?:a )?(\w+) (?:of )?(day|week|fortnight|month|year)s? ago", phrase)
    if not match:
        return None
    count = int(match[1]) if match[1].isdecimal() else _NUMBERS.get(match[1])
    if count is None:
        return None
    unit = match[2]
    if unit == "day":
        return When(today - timedelta(days=count))
    if unit in ("week", "fortnight"):
        return When(today - timedelta(days=count * (14 if unit == "fortnight" else 7)), "week")
    months = count * (12 if unit == "year" else 1)
    return When(_months_back(today, months), "month" if unit == "month" else "year")


def _months_back(today: date, months: int) -> date:
    index = today.year * 12 + today.month - 1 - months
    year, month = divmod(index, 12)
    return date(year, month + 1, min(today.day, monthrange(year, month + 1)[1]))


def _weekday(phrase: str, today: date) -> When | None:
    match = re.fullmatch(r"(?:last |this )?([a-z]{3,})", phrase)
    if not match or match[1] not in (*WEEKDAYS, *(name[:3] for name in WEEKDAYS), "tues", "thur", "thurs"):
        return None
    index = next(number for number, name in enumerate(WEEKDAYS) if name.startswith(match[1][:3]))
    return When(today - timedelta(days=(today.weekday() - index - 1) % 7 + 1))


def _last_span(phrase: str, today: date) -> When | None:
    spans = {"last week": ("week", 7), "this week": ("week", 0)}
    if phrase in spans:
        precision, back = spans[phrase]
        return When(today - timedelta(days=back), precision)
    if phrase in ("last month", "this month"):
        return When(_months_back(today, 1 if phrase == "last month" else 0).replace(day=1), "month")
    if phrase in ("last year", "this year"):
        return When(date(today.year - (phrase == "last year"), 1, 1), "year")
    return None


def _digits(phrase: str, today: date) -> When | None:
    if match := re.fullmatch(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})", phrase):
        return When(date(int(match[1]), int(match[2]), int(match[3])))
    if match := re.fullmatch(r"(\d{4})-(\d{1,2})", phrase):
        return When(date(int(match[1]), int(match[2]), 1), "month")
    if re.fullmatch(r"(18|19|20|21)\d\d", phrase):
        return When(date(int(phrase), 1, 1), "year")
    if match := re.fullmatch(r"(\d{1,2})([./])(\d{1,2})[./](\d{4}|\d{2})", phrase):
        return _slashed(int(match[1]), int(match[3]), match[4], match[2], phrase, today)
    return None


def _slashed(first: int, second: int, year_text: str, mark: str, phrase: str, today: date) -> When:
    year = int(year_text) if len(year_text) == 4 else today.year // 100 * 100 + int(year_text)
    if mark == "/" and first <= 12 and second <= 12 and first != second:
        raise BadInput(
            f"'{phrase}' can be read two ways. Write the month in letters: {first} "
            f"{MONTHS[second - 1]} {year} "
            f"or {second} {MONTHS[first - 1]} {year}."
        )
    day, month = (second, first) if second > 12 else (first, second)
    return When(date(year, month, day))


def _month(word: str) -> int:
    if len(word) < 3:
        return 0
    if word == "sept":
        return 9
    return next((number for number, name in enumerate(MONTHS, 1) if name.lower().startswith(word)), 0)


def _with_month(phrase: str, today: date) -> When | None:
    words = phrase.removeprefix("last ").split()
    months = [_month(word) for word in words]
    numbers = [int(word) for word in words if word.isdecimal()]
    if sum(map(bool, months)) != 1 or len(numbers) != len(words) - 1 or len(words) > 3:
        return None
    month = next(filter(None, months))
    years = [number for number in numbers if number > 31]
    days = [number for number in numbers if number <= 31]
    if len(years) > 1 or len(days) > 1 or any(year < 1800 or year > 2199 for year in years):
        return None
    if years:
        return When(date(years[0], month, days[0] if days else 1), "day" if days else "month")
    for year in range(today.year, today.year - 9, -1):
        day = days[0] if days else 1
        if day <= monthrange(year, month)[1] and date(year, month, day) <= today:
            return When(date(year, month, day), "day" if days else "month")
    return None


def _season(phrase: str, today: date, hemisphere: str) -> When | None:
    match = re.fullmatch(
        r"(?:last |this )?(early |mid |late )?(winter|spring|summer|autumn|fall)(?: (\d{4}))?", phrase.replace("-", " ")
    )
    if not match:
        return None
    if not hemisphere:
        raise BadInput(
            f"'{phrase}' falls at different times in the two halves of the world. Say a month "
            "instead, or tell the "
            "book where the tree stands: sallow trees edit NAME --hemisphere south"
        )
    part = {"early ": -1, "late ": 1}.get(match[1] or "", 0)
    month = (_SEASON_MIDDLE[match[2]] + part - 1 + (6 if hemisphere == "south" else 0)) % 12 + 1
    if match[3]:
        return When(date(int(match[3]), month, 1), "season")
    year = today.year if date(today.year, month, 1) <= today else today.year - 1
    return When(date(year, month, 1), "season")
