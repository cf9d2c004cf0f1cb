"""The walk round as an iCalendar file (RFC 5545): whole-day events that any calendar can take in."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from datetime import date, timedelta

from sallow.trees.rounds import Due

_OURS = uuid.UUID("8f1c1b64-4c0b-5d0e-9b1d-7361756c6c6f")
_LONGEST_LINE = 75  # octets without the line end, RFC 5545 section 3.1


def calendar(items: Iterable[Due], today: date) -> str:
    """The text of the calendar file. The same item gets the same UID each time: a second import renews it."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//sallow//tree book//EN", "CALSCALE:GREGORIAN"]
    for item in items:
        lines += _event(item, today)
    lines.append("END:VCALENDAR")
    return "".join(fold(line) + "\r\n" for line in lines)


def _event(item: Due, today: date) -> list[str]:
    # What is overdue is put on today: a calendar hides what lies in the past.
    day = max(item.start, today)
    names = ", ".join(item.trees)
    return [
        "BEGIN:VEVENT",
        f"UID:{uid_of(item)}",
        f"DTSTAMP:{today:%Y%m%d}T000000Z",
        f"DTSTART;VALUE=DATE:{day:%Y%m%d}",
        f"DTEND;VALUE=DATE:{day + timedelta(days=1):%Y%m%d}",
        f"SUMMARY:{escape(f'{item.name}: {_short(names)}')}",
        f"DESCRIPTION:{escape(_description(item, names))}",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
    ]


def uid_of(item: Due) -> str:
    """A lasting id made of the task, its first day and its trees."""
    return str(uuid.uuid5(_OURS, "\n".join((item.id, item.start.isoformat(), *item.trees))))


def escape(text: str) -> str:
    """A TEXT value: backslash, semicolon, comma, line end escaped (section 3.3.11), other controls gone."""
    for plain, escaped in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\r\n", "\\n"), ("\n", "\\n")):
        text = text.replace(plain, escaped)
    return "".join(mark for mark in text if mark == "\t" or (ord(mark) >= 32 and ord(mark) != 127))


def fold(line: str) -> str:
    """The line cut into pieces of at most 75 octets, joined by a line end and a blank, no character split."""
    pieces, piece, room = [], bytearray(), _LONGEST_LINE
    for mark in line:
        octets = mark.encode("utf-8", "replace")
        if len(piece) + len(octets) > room:
            pieces.append(piece.decode("utf-8"))
            piece, room = bytearray(), _LONGEST_LINE - 1
        piece += octets
    pieces.append(piece.decode("utf-8"))
    return "\r\n ".join(pieces)


def _short(names: str) -> str:
    return names if len(names) <= 120 else names[:117] + "..."


def _description(item: Due, names: str) -> str:
    until = f"\nUntil {item.until.isoformat()}." if item.until else ""
    return f"{item.say}\nTrees: {names}.{until}"
