"""Faults of wording: promises, missing hedges and cautions, doses, markup, units, the same text twice."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sallow.care.amounts import AMOUNTS
from sallow.knowledge.model import Cause, Step
from sallow.knowledge.review.subject import Path, Subject

_MARKUP = re.compile(
    r"\*\*|__|``?|</?[a-z]+[^>]*>|\]\(|\[/?(?:bold|italic|red|green|yellow|blue|link|dim|[a-z]+ on )[^\]]*\]"
)
_CERTAIN = re.compile(
    r"\b(?:certainly|definitely|undoubtedly|surely|guarantee\w*|without (?:a |any )?doubt|never fails|always works|"
    r"proves?|will (?:cure|recover|kill|save|die)|safe to eat|100 ?%)",
    re.IGNORECASE,
)
# Who may speak with certainty, and how a sentence takes certainty back.
_NOT_CERTAIN = re.compile(r"\b(?:laborator\w+|clinic|no|not|nor|never|nothing|only|little|cannot)\b", re.IGNORECASE)
_HEDGE = re.compile(
    r"\b(?:may|might|can|could|should|likely|probably|perhaps|usually|often|mostly|most|as a rule|seldom|rarely|"
    r"sometimes|commonly|if|unless|where|when|until|before|consider|try|let|ask|look|leave|check|watch|keep|note|some|many|"
    # A season, the weather, or the tree it is for narrows a step as well as an 'if' does.
    r"(?:in|next) (?:(?:late |early )?(?:dry|mild|warm|cool|hot|wet|spring|summer|autumn|winter)|the (?:dry|cool))|"
    r"next (?:bloom|year)|after (?:harvest|bloom)|for a year|on a (?:young|small|grown) (?:tree|vine)|"
    r"a badly \w+ tree|while|"
    # To wait, to avoid and to have it measured or seen by others commits to nothing.
    r"rather than|wait|avoid|spare|as usual|as in any year|do not|does not|call|have the|take pH)\b",
    re.IGNORECASE,
)
_DOSE = re.compile(
    r"\b\d+(?:[.,/]\d+)?\s?(?:g|kg|mg|ml|grams?|kilos?|oz|ounces?|lb|lbs|pounds?|cups?|tablespoons?|teaspoons?|tbsp|tsp|"
    r"gallons?|litres?|liters?|L|%)(?!\w)"
)
_SPRAY = re.compile(
    r"\b(?:fungicide|insecticide|pesticide|miticide|herbicide|bactericide|copper (?:fungicide|soap|spray)|lime sulfur|"
    r"(?:horticultural|dormant|summer|spray) oil|oil spray|soap spray|wettable sulfur|neem|spinosad|bait spray|"
    r"spray (?:the|it|them|with|at|in|when|once|only|again|copper|oil|every|just|before))\b",
    re.IGNORECASE,
)
# How a sentence forbids a spray, or speaks of water or of sprays already done.
_NO_SPRAY = re.compile(
    r"\b(?:not|no|never|without|instead of|before you spray|rather than|water|seldom|needless|hardly ever|was|were|"
    r"hose|nothing|too late)\b",
    re.IGNORECASE,
)
_COSTLY = re.compile(r"\b(?:buy|fungicide|insecticide|chelate|chainsaw)\b", re.IGNORECASE)
_METRIC = re.compile(r"\b\d+(?:\.\d+)?\s?(?:mm|cm|m|km|°C|metres?|meters?|centimetres?|litres?|L|kg|g)\b")
_US = re.compile(r"\b\d+(?:\.\d+)?\s?(?:in|inch(?:es)?|ft|feet|foot|yards?|°F|gallons?|gal|lb|oz|pints?|quarts?)\b")
LONG = 40


def review(subject: Subject) -> None:
    """Read every text of the knowledge."""
    for kind, owner, path, text in texts(subject):
        _text(subject, kind, owner, path, text)
    _twice(subject)
    for cause in subject.knowledge.causes.values():
        for index, step in enumerate(cause.steps):
            _step(subject, cause, index, step)
        _regulated(subject, cause)
    for sign in subject.knowledge.signs.values():
        if sign.kind == "number" and not sign.unit:
            subject.say("sign", sign.id, ("sign",), "missing-unit", f"the number '{sign.id}' has no unit", "unit: ...")


def texts(subject: Subject) -> Iterator[tuple[str, str, Path, str]]:
    """(kind, id, path, text) of everything that a person may come to read."""
    for kind in ("sign", "event", "finding", "check", "cause", "intention", "caution", "source", "crop"):
        for owner, (_, _, raw) in subject.found.of(kind).items():
            yield from _within(kind, owner, (), raw)


_READ = frozenset(
    (
        *("ask", "how_to_tell", "say", "means", "name", "summary", "because", "do", "tell_apart", "note", "says"),
        *("says_not", "how", "need", "effort", "misleads", "cite"),
    )
)


def _within(kind: str, owner: str, path: Path, raw: object) -> Iterator[tuple[str, str, Path, str]]:
    if isinstance(raw, str):
        if kind == "caution" or any(part in _READ for part in path[-2:]):
            yield kind, owner, path, raw
    elif isinstance(raw, dict):
        for key, value in raw.items():
            if key not in ("when", "typical", "near_miss", "ask_when", "core_when", "not_if"):
                yield from _within(kind, owner, (*path, key), value)
    elif isinstance(raw, list):
        for index, value in enumerate(raw):
            yield from _within(kind, owner, (*path, index), value)


def _text(subject: Subject, kind: str, owner: str, path: Path, text: str) -> None:
    found = _MARKUP.search(text)
    if found:
        subject.say(kind, owner, path, "markup", f"the text holds '{found.group()}'", "plain text")
    if kind == "source":
        return
    found = next(
        (_CERTAIN.search(s) for s in _sentences(text) if _CERTAIN.search(s) and not _NOT_CERTAIN.search(s)), None
    )
    if found:
        subject.say(kind, owner, path, "certainty", f"'{found.group().strip()}' promises too much", "a hedge")
    metric, us = _METRIC.search(text), _US.search(text)
    only = (metric or us) if bool(metric) != bool(us) else None
    if only and re.search(r"(?:mm|cm|m|°C|in|ft|°F|feet|inch\w*|met\w+)$", only.group()):
        other = "inches, feet or °F" if metric else "cm, m or °C"
        subject.say(kind, owner, path, "one-unit-only", f"'{only.group()}' stands without its like", other)


# What should tell one entry from all others of its kind; a reason, a step or a way of testing may well be shared.
_OWN = frozenset(("name", "summary", "ask", "says"))


def _twice(subject: Subject) -> None:
    """Texts that stand twice in one entry, and texts of two entries that should tell them apart."""
    inside: dict[tuple[str, str, str], Path] = {}
    between: dict[tuple[str, str], tuple[str, Path]] = {}
    for kind, owner, path, text in texts(subject):
        if len(text) < LONG or kind == "source":
            continue
        plain = " ".join(text.lower().split())
        own = len(path) == 1 and path[0] in _OWN
        if (kind, owner, plain) in inside:
            _say_twice(subject, (kind, owner, path), (kind, owner, inside[kind, owner, plain]))
        elif own and (kind, plain) in between:
            _say_twice(subject, (kind, owner, path), (kind, *between[kind, plain]))
        inside.setdefault((kind, owner, plain), path)
        if own:
            between.setdefault((kind, plain), (owner, path))


def _say_twice(subject: Subject, second: tuple[str, str, Path], first: tuple[str, str, Path]) -> None:
    where = f"the {first[0]} '{first[1]}', {subject.place(*first)}"
    subject.say(*second, "duplicate-text", f"the same text stands in {where}")


def _step(subject: Subject, cause: Cause, index: int, step: Step) -> None:
    def say(code: str, message: str, expected: str = "", key: str = "do") -> None:
        subject.say("cause", cause.id, ("steps", index, key), code, message, expected)

    if step.when == "confirmed" and not re.match(
        r"(?:if|when|once|where|after|should|as long as)\b", step.do, re.IGNORECASE
    ):
        say("confirmed-without-condition", "the step does not begin with its condition", "If the test ...")
    if step.when == "likely" and not _HEDGE.search(step.do):
        say("not-hedged", "the step has no 'may', 'if', 'often' or the like")
    if step.amount and step.amount not in AMOUNTS:
        say("unknown-amount", f"there is no calculation '{step.amount}'", ", ".join(AMOUNTS), "amount")
    dose = _DOSE.search(step.do)
    if dose and not step.caution and step.when != "not_to_do":
        say("dose-without-caution", f"'{dose.group()}' is a dose, and the step has no caution", "amount: or caution:")
    if step.when in ("now", "likely", "confirmed") and "label_first" not in step.caution and _sprays(step.do):
        say("spray-without-label", "the step speaks of spraying", "caution: [label_first]")
    costly = _COSTLY.search(step.do)
    if step.when == "now" and costly and not _NO_SPRAY.search(step.do):
        say("too-early", f"'{costly.group()}' in a step for now", "likely or confirmed", "when")


def _sprays(text: str) -> bool:
    """Whether some sentence tells to spray (rather than warns of it, or speaks of water)."""
    return any(_SPRAY.search(sentence) and not _NO_SPRAY.search(sentence) for sentence in _sentences(text))


def _sentences(text: str) -> list[str]:
    return re.split(r"(?<=[.;!?])\s", text)


def _regulated(subject: Subject, cause: Cause) -> None:
    if not cause.regulated:
        return
    if not any("report" in step.caution for step in cause.steps):
        subject.say(
            "cause",
            cause.id,
            ("regulated",),
            "regulated-without-report",
            "no step says to report it",
            "caution: [report]",
        )
    if not cause.red_flag:
        subject.say("cause", cause.id, ("regulated",), "regulated-without-flag", "there is no red flag", "red_flag:")
