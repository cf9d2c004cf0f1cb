"""The tests that a look asked for: which still wait for a result, by what words they go, and what may come out."""

from __future__ import annotations

import re
from collections.abc import Sequence

from sallow.trees.model import Event, Look, PendingCheck

_SENT = re.compile(r"\b(send|sent|post|laboratory)\b", re.IGNORECASE)
_OUTCOME = re.compile(r'"(.+?)": ')
_SMALL_WORDS = frozenset(("a", "an", "and", "at", "for", "in", "its", "of", "on", "or", "the", "with"))


def open_tests(look: Look, events: Sequence[Event]) -> list[PendingCheck]:
    """The tests that the look asked for and that have no result since."""
    answered = {_key(event.subject) for event in events if event.what == "test_result" and event.when >= look.day}
    return [check for check in look.checks if not answered & {_key(check.check), _key(check.name)}]


def tests_named(look: Look) -> list[PendingCheck]:
    """Every test that the report of the look told of, also those that the book does not wait for."""
    return [PendingCheck(str(test["id"]), str(test["name"]), None) for test in look.result.get("tests", ())]


def test_meant(words: str, tests: Sequence[PendingCheck]) -> PendingCheck | None:
    """The one of the tests that the words call by its id or name, or that alone has all of the words in them."""
    exact = [test for test in tests if _key(words) in (_key(test.check), _key(test.name))]
    said = _words(words)
    near = [test for test in tests if said and said <= _words(test.check) | _words(test.name)]
    found = exact or near
    return found[0] if len(found) == 1 else None


def outcomes(look: Look, test: str) -> tuple[str, ...]:
    """What may come out of a test, in the words the look was given."""
    lines = [line for kept in look.result.get("tests", ()) if kept.get("id") == test for line in kept["results"]]
    return tuple(match[1] for line in lines if (match := _OUTCOME.match(str(line))))


def say_test(look: Look, test: PendingCheck, tree: str) -> str:
    """Whether it was done, what it takes, and how to note what came out of it."""
    kept = next((dict(line) for line in look.result.get("tests", ()) if line.get("id") == test.check), {})
    sent = _SENT.search(" ".join(map(str, kept.get("how", ()))))
    takes = f" If not, you need {kept['need']} ({kept['effort']})." if kept.get("need") and kept.get("effort") else ""
    said = outcomes(look, test.check)
    name = test.name or test.check.replace("_", " ")
    note = f'sallow trees note "{tree}" tested "{name}: {said[0].lower() if said else "..."}"'
    others = f" (or {', or '.join(repr_plain(answer) for answer in said[1:])})" if said[1:] else ""
    asked = "Did you send this in?" if sent else "Did you do this test?"
    return f"{asked}{takes} When you know what came out, note it like this: {note}{others}"


def repr_plain(text: str) -> str:
    """The words in quotes, beginning small."""
    return f'"{text[:1].lower()}{text[1:]}"'


def _key(text: str) -> str:
    return text.strip().lower().replace(" ", "_")


def _words(text: str) -> set[str]:
    return set(re.findall(r"[a-z0-9]+", text.lower())) - _SMALL_WORDS
