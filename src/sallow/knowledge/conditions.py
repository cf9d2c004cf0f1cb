"""The ``when:`` language: from YAML to a small immutable tree of tests on variables."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from sallow.values import dataclass

# A variable is something with finitely many values: a sign, one option of a 'several' sign ('on_leaf.webbing'),
# an event's recency ('event.fed'), or a piece of context that is known from the start ('crop').
CONTEXT = ("crop", "climate", "season", "grown_in", "hemisphere", "evergreen", "part_is")
DAYS = {"day": 1, "days": 1, "week": 7, "weeks": 7, "month": 30, "months": 30, "year": 365, "years": 365}
_COMPARISON = r"^(<=|>=|<|>)\s*(-?\d+(?:\.\d+)?)\s*([^\d\s].*)?$"


@dataclass(frozen=True, slots=True)
class Test:
    """True when the variable has one of ``values``, false when it has another, else unknown."""

    variable: str
    values: frozenset[str]


@dataclass(frozen=True, slots=True)
class Finds:
    """True when the finding has been told true."""

    finding: str


@dataclass(frozen=True, slots=True)
class Not:
    """The false side of a condition."""

    inner: Condition


@dataclass(frozen=True, slots=True)
class All:
    """Every part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Any_:
    """At least one part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Some:
    """The inner condition holds for at least one symptom of the look."""

    inner: Condition


Condition = Test | Finds | Not | All | Any_ | Some


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """What conditions may speak of.

    ``variables`` maps each variable to its values in order; ``options`` maps a 'several' sign to its option ids;
    ``bands`` maps a number sign to (value id, exclusive upper edge or None) in ascending order; ``units`` to its
    unit; ``windows`` maps an event to its windows in days; ``groups`` maps a crop group to its crops.
    """

    variables: Mapping[str, tuple[str, ...]]
    options: Mapping[str, tuple[str, ...]]
    bands: Mapping[str, tuple[tuple[str, float | None], ...]]
    units: Mapping[str, str]
    windows: Mapping[str, tuple[int, ...]]
    groups: Mapping[str, tuple[str, ...]]
    findings: frozenset[str]


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong in a condition: the path inside it, a sentence, what was expected, the nearest right word."""

    path: tuple[str | int, ...]
    code: str
    message: str
    expected: str = ""
    suggestion: str = ""


def nearest(word: str, words: Iterable[str]) -> str:
    """The most similar known word, or an empty string."""
    from difflib import get_close_matches

    found = get_close_matches(word, list(words), n=1, cutoff=0.6)
    return found[0] if found else ""


def event_value(index: int) -> str:
    """The value of an event variable for its window number ``index`` (the last one means longer ago or never)."""
    return f"w{index}"


def parse_days(text: str) -> int | None:
    """'3 weeks' as days, or None."""
    match = re.fullmatch(r"(\d{1,4})\s+(\w+)", text.strip())
    if not match or match.group(2) not in DAYS:
        return None
    return int(match.group(1)) * DAYS[match.group(2)]


def parse_condition(raw: Any, vocabulary: Vocabulary, faults: list[Fault]) -> Condition:
    """A Condition from YAML; what is wrong goes to ``faults`` (the value returned is then of no use)."""
    return _Parser(vocabulary, faults).group(raw, ())


class _Parser:
    def __init__(self, vocabulary: Vocabulary, faults: list[Fault]) -> None:
        self.vocabulary = vocabulary
        self.faults = faults

    def fault(
        self, path: tuple[str | int, ...], code: str, message: str, expected: str = "", suggestion: str = ""
    ) -> Condition:
        self.faults.append(Fault(path, code, message, expected, suggestion))
        return All(())

    def group(self, raw: Any, path: tuple[str | int, ...]) -> Condition:
        if not isinstance(raw, dict) or not raw:
            return self.fault(path, "condition", "a condition must be a map of signs and answers", "{sign: answer}")
        parts = [self.entry(key, value, (*path, key)) for key, value in raw.items()]
        return parts[0] if len(parts) == 1 else All(tuple(parts))

    def entry(self, key: str, value: Any, path: tuple[str | int, ...]) -> Condition:
        if key == "not":
            return Not(self.group(value, path))
        if key in ("any", "all"):
            if not isinstance(value, list) or not value:
                return self.fault(path, "condition", f"'{key}' must hold a list of conditions", "[{...}, {...}]")
            parts = tuple(self.group(item, (*path, index)) for index, item in enumerate(value))
            return Any_(parts) if key == "any" else All(parts)
        if key == "some_symptom":
            return Some(self.group(value, path))
        if key == "event":
            return self.event(value, path)
        if key in self.vocabulary.findings:
            return self.finding(key, value, path)
        if key in self.vocabulary.options:
            return self.options(key, value, path)
        if key in self.vocabulary.variables:
            return self.variable(key, value, path)
        known = [*self.vocabulary.variables, *self.vocabulary.options, *self.vocabulary.findings]
        return self.fault(
            path,
            "unknown-sign",
            f"there is no sign or finding '{key}'",
            "a sign, a finding, not, any, all, some_symptom or event",
            nearest(key, known),
        )

    def finding(self, key: str, value: Any, path: tuple[str | int, ...]) -> Condition:
        if value is True:
            return Finds(key)
        if value is False:
            return Not(Finds(key))
        return self.fault(
            path,
            "illegal-value",
            f"the finding '{key}' is either true or false, not {value!r}",
            "true or false",
        )

    def options(self, key: str, value: Any, path: tuple[str | int, ...]) -> Condition:
        options = self.vocabulary.options[key]
        words = value if isinstance(value, list) else [value]
        tests: list[Condition] = []
        for index, word in enumerate(words):
            if word not in options:
                where = (*path, index) if isinstance(value, list) else path
                return self.fault(
                    where,
                    "illegal-value",
                    f"'{key}' has no option '{word}'",
                    ", ".join(options),
                    nearest(str(word), options),
                )
            tests.append(Test(f"{key}.{word}", frozenset(("yes",))))
        return tests[0] if len(tests) == 1 else Any_(tuple(tests))

    def variable(self, key: str, value: Any, path: tuple[str | int, ...]) -> Condition:
        values = self.vocabulary.variables[key]
        if key in self.vocabulary.bands and isinstance(value, str) and re.match(_COMPARISON, value):
            return self.comparison(key, value, path)
        chosen: set[str] = set()
        for index, word in enumerate(value if isinstance(value, list) else [value]):
            plain = {True: "yes", False: "no"}.get(word, str(word)) if isinstance(word, bool) else str(word)
            if key == "crop" and plain in self.vocabulary.groups:
                chosen.update(self.vocabulary.groups[plain])
            elif plain in values:
                chosen.add(plain)
            else:
                where = (*path, index) if isinstance(value, list) else path
                known = [*values, *(self.vocabulary.groups if key == "crop" else ())]
                return self.fault(
                    where,
                    "illegal-value",
                    f"'{key}' has no answer '{plain}'",
                    ", ".join(known),
                    nearest(plain, known),
                )
        return Test(key, frozenset(chosen))

    def comparison(self, key: str, value: str, path: tuple[str | int, ...]) -> Condition:
        match = re.match(_COMPARISON, value)
        assert match is not None
        sign, number, unit = match.group(1), float(match.group(2)), (match.group(3) or "").strip()
        wanted_unit = self.vocabulary.units.get(key, "")
        if unit and unit != wanted_unit:
            return self.fault(
                path,
                "unit",
                f"'{key}' is measured in {wanted_unit or 'plain numbers'}, not '{unit}'",
                wanted_unit,
            )
        bands = self.vocabulary.bands[key]
        edges = [edge for _, edge in bands if edge is not None]
        if sign in ("<=", ">") or number not in edges:
            allowed = ", ".join(f"'< {edge:g}' or '>= {edge:g}'" for edge in edges)
            return self.fault(path, "band-edge", f"'{value}' does not fall on an edge of the bands of '{key}'", allowed)
        cut = edges.index(number) + 1
        chosen = bands[:cut] if sign == "<" else bands[cut:]
        return Test(key, frozenset(band for band, _ in chosen))

    def event(self, value: Any, path: tuple[str | int, ...]) -> Condition:
        windows = self.vocabulary.windows
        if not isinstance(value, dict) or "what" not in value:
            return self.fault(path, "condition", "an event needs 'what'", "{what: ..., within: ...}")
        what = value["what"]
        if what not in windows:
            return self.fault(
                (*path, "what"),
                "unknown-event",
                f"there is no event '{what}'",
                ", ".join(windows),
                nearest(str(what), windows),
            )
        stray = set(value) - {"what", "within"}
        if stray:
            return self.fault(path, "condition", f"an event has no '{sorted(stray)[0]}'", "what and within")
        days = windows[what]
        if "within" not in value:
            return Test(f"event.{what}", frozenset(event_value(index) for index in range(len(days))))
        span = parse_days(str(value["within"]))
        if span not in days:
            allowed = ", ".join(f"{day} days" for day in days)
            return self.fault(
                (*path, "within"),
                "event-window",
                f"'{value['within']}' is not a window of the event '{what}'",
                allowed,
            )
        return Test(f"event.{what}", frozenset(event_value(index) for index in range(days.index(span) + 1)))


def variables_in(condition: Condition) -> frozenset[str]:
    """Every variable a condition tests, findings not followed."""
    match condition:
        case Test(variable, _):
            return frozenset((variable,))
        case Finds(_):
            return frozenset()
        case Not(inner) | Some(inner):
            return variables_in(inner)
        case All(parts) | Any_(parts):
            return frozenset().union(*(variables_in(part) for part in parts))


def findings_in(condition: Condition) -> frozenset[str]:
    """Every finding a condition reads."""
    match condition:
        case Test():
            return frozenset()
        case Finds(finding):
            return frozenset((finding,))
        case Not(inner) | Some(inner):
            return findings_in(inner)
        case All(parts) | Any_(parts):
            return frozenset().union(*(findings_in(part) for part in parts))


def tests_in(condition: Condition) -> tuple[Test, ...]:
    """Every test in a condition, findings not followed."""
    match condition:
        case Test():
            return (condition,)
        case Finds(_):
            return ()
        case Not(inner) | Some(inner):
            return tests_in(inner)
        case All(parts) | Any_(parts):
            return tuple(test for part in parts for test in tests_in(part))
