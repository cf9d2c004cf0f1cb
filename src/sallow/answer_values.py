"""Reads one answer: a word, a list of words, a number or a day, as its sign takes it."""

from __future__ import annotations

from datetime import date
from typing import Any

from sallow.knowledge.conditions import nearest
from sallow.knowledge.document import Document, unsafe_characters
from sallow.knowledge.model import Sign
from sallow.looks import SPECIAL, Value


class AnswerValues:
    """Reads the answers of a document; what is wrong with one is added to the document's complaints."""

    def __init__(self, document: Document) -> None:
        self.document = document

    def day(self, path: tuple[str | int, ...], text: Any) -> date | None:
        """A day between 1900 and 2200, or None."""
        if text is None:
            return None
        try:
            day = date.fromisoformat(str(text))
        except ValueError:
            self.document.complain(path, "date", f"'{text}' is not a date", "year-month-day, for instance 2026-05-20")
            return None
        if not date(1900, 1, 1) <= day <= date(2200, 1, 1):
            self.document.complain(path, "date", f"'{text}' is not a likely date", "a day between 1900 and 2200")
            return None
        return day

    def value(self, path: tuple[str | int, ...], sign: Sign, raw: Any) -> Value | None:
        """The answer to any sign, or None."""
        if isinstance(raw, bool):
            raw = "yes" if raw else "no"
        if isinstance(raw, str) and raw in SPECIAL:
            return raw
        if sign.kind == "several":
            return self.several(path, sign, raw)
        if sign.kind == "number":
            return self.number(path, sign, raw)
        if sign.kind == "date":
            day = self.day(path, raw)
            return day.isoformat() if day else None
        if not isinstance(raw, str | int | float) or str(raw) not in sign.answers:
            self.document.complain(
                path,
                "illegal-value",
                f"'{short(raw)}' is not an answer to '{sign.id}'",
                ", ".join((*sign.answers, *SPECIAL)),
                nearest(str(raw), sign.answers),
            )
            return None
        return str(raw)

    def several(self, path: tuple[str | int, ...], sign: Sign, raw: Any) -> Value | None:
        """The options ticked, or each option with yes or no."""
        words = [raw] if isinstance(raw, str) else raw
        if not isinstance(words, list | dict) or not all(isinstance(word, str) for word in words):
            self.document.complain(path, "wrong-type", f"found {short(raw)}", "a list of answers")
            return None
        for index, word in enumerate(words):
            if word not in sign.answers:
                where = (*path, index) if isinstance(raw, list) else path
                self.document.complain(
                    where,
                    "illegal-value",
                    f"'{short(word)}' is not an answer to '{sign.id}'",
                    ", ".join(sign.answers),
                    nearest(word, sign.answers),
                )
                return None
        if isinstance(words, dict):
            return {word: "yes" if told in (True, "yes") else "no" for word, told in words.items()}
        return tuple(dict.fromkeys(words))

    def number(self, path: tuple[str | int, ...], sign: Sign, raw: Any) -> Value | None:
        """A number within the sign's limits, or the name of one of its bands."""
        if isinstance(raw, str) and raw in sign.answers:
            return raw
        number = parse_number(raw, sign)
        if number is None:
            limits = (
                f"a number from {sign.least:g} to {sign.most:g}"
                if sign.least is not None and sign.most is not None
                else "a number"
            )
            self.document.complain(
                path,
                "illegal-value",
                f"'{short(raw)}' is not a likely value of '{sign.id}'",
                f"{limits} ({sign.unit})",
            )
        return number


def short(value: Any) -> str:
    """A value as it may be quoted in a complaint."""
    text = str(value)
    if unsafe_characters(text):
        text = ascii(text)
    return text if len(text) <= 40 else text[:37] + "..."


def parse_number(raw: Any, sign: Sign) -> float | None:
    """A number within the sign's limits, or None."""
    try:
        number = float(str(raw).replace(",", ".").removesuffix(sign.unit).strip())
    except ValueError:
        return None
    low = sign.least if sign.least is not None else -1e6
    high = sign.most if sign.most is not None else 1e6
    return number if low <= number <= high else None
