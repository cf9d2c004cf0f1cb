"""Every error a person can meet: each says what, where, what was expected and what to do."""

from __future__ import annotations

from collections.abc import Sequence

from sallow.values import dataclass


class SallowError(Exception):
    """Base of all errors that are told to the person instead of shown as a crash."""


class BadInput(SallowError):
    """Something typed, or a file given, cannot be used; the message names the place and what was expected.

    ``suggestion`` is the nearest right word, where there is one, so that a person may simply say yes to it.
    """

    def __init__(self, message: str, suggestion: str = "") -> None:
        super().__init__(message)
        self.suggestion = suggestion


class KnowledgeError(SallowError):
    """The knowledge files cannot be used; carries every complaint, not only the first."""

    def __init__(self, complaints: Sequence[Complaint]) -> None:
        self.complaints = tuple(complaints)
        super().__init__("\n".join(str(complaint) for complaint in self.complaints))


class BookError(SallowError):
    """The tree book cannot be read or written; the message says how to recover."""


class Interrupted(SallowError):
    """The person stopped (Ctrl-C or end of input); what was answered has been kept."""


@dataclass(frozen=True, slots=True, order=True)
class Complaint:
    """One fault in a knowledge file: place (1-based line and column), stable code, and a sentence."""

    file: str
    line: int
    column: int
    code: str
    message: str
    expected: str = ""
    suggestion: str = ""

    def __str__(self) -> str:
        text = f"{self.file}:{self.line}:{self.column}: {self.code}: {self.message}"
        if self.expected:
            text += f" (expected: {self.expected})"
        if self.suggestion:
            text += f" Did you mean '{self.suggestion}'?"
        return text
