"""What plain words tell as the result of a test: the sign they speak of, and which of its answers they mean."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from sallow.knowledge.model import Sign
from sallow.values import dataclass

_LATER = r"(after|for) (a|one|two|three|\d+) days?|next (day|morning)|day (after|later)|days later|24 h|overnight"
_GONE = r"(gone|drained|empty|soaked|vanished|ran (off|away))"
_STILL = r"(still|stood|stands?|standing|full|there|left)"
_THREADS = r"thread|thin|fine|feeder|hair|pulled|lifted|rinsed|found|the|its|some"
_OTHER_ROOTS = r"thick|big|main|circl\w+|trunk|above|cut|grass|weeds?|clover"
_FEW_HOURS = r"(minutes?|half an hour|an hour|(one|two|three|four|\b[1-4]) hours?|at once|quickly|fast)"


@dataclass(frozen=True, slots=True)
class Told:
    """The sign that a text speaks of, and the answer it gives; '' when that is not clear."""

    sign: str
    answer: str


@dataclass(frozen=True, slots=True)
class _Phrases:
    """Words that must all be there for a text to speak of a sign, words that forbid it, and those of each answer."""

    about: tuple[str, ...]
    answers: tuple[tuple[str, str], ...]
    unless: str = "$^"


# Tests that people do with their own hands, and tell in their own words. The first answer that fits counts.
_PHRASES: Mapping[str, _Phrases] = MappingProxyType(
    {
        "drain_hole": _Phrases(
            (r"\bhole\b", r"\bwater\b|\bfill|\bdrain"),
            (
                ("slow", rf"{_GONE}.*({_LATER})|({_LATER}).*{_GONE}"),
                ("fast", rf"{_GONE}.*{_FEW_HOURS}|{_FEW_HOURS}.*{_GONE}"),
                ("stands", rf"{_STILL}.*({_LATER})|({_LATER}).*{_STILL}"),
            ),
            r"\b(pot|barrel|tub)\b",
        ),
        "feeder_roots": _Phrases(
            (rf"\b({_THREADS})\b.*\broots?\b|^roots?\b",),
            (
                ("skin_slips", r"\b(skin|coat|sleeve)\b.*(slid|slip|came|come|peel)"),
                ("knots", r"\b(knots?|galls?|lumps?)\b"),
                ("dirty", r"\bstubby\b|soil (sticks|clings|stuck)"),
                ("black_brittle", r"\b(black\w*|slimy|mushy|rott\w+|brittle|dark brown)\b"),
                ("few", r"hardly any|almost no|\bno roots\b|\b(very|only a) few\b"),
                ("sound", r"\b(white|pale|cream\w*|healthy|firm|sound)\b"),
            ),
            rf"root ?(ball|flare|depth|stock)|\b({_OTHER_ROOTS})\b",
        ),
        "soil_smell": _Phrases(
            (r"\b(smell\w*|smelt|stink\w*|stank|odou?r)\b", r"\b(soil|earth|ground|mud|mix|clay|hole)\b"),
            (
                ("earthy", r"(\bnot|n't) (smell|stink)|\bno (bad |foul )?(smell|odou?r)\b"),
                ("sour", r"\b(eggs?|rotten|sour|foul|sulph?ur|swamp\w*|sewage|stink\w*|stank|bad)\b"),
                ("earthy", r"\b(earthy|fresh|forest|woods?|normal|fine|good|usual)\b"),
            ),
        ),
        "lime_signs": _Phrases(
            (r"\bkettle\b|\blimescale\b",),
            (
                ("no", r"\b(no|without|free of|never) (any )?(white )?(scale|limescale|crust|fur)\b|\bclean\b"),
                ("yes", r"\b(scale|limescale|crust\w*|fur\w*|white|chalky?)\b"),
            ),
        ),
        "soil_fizz": _Phrases(
            (r"\bvinegar\b|\bfizz\w*",),
            (
                ("quiet", r"(\bno|not|n't|\bnever|nothing|without)\b.*(fizz|bubbl|foam)|nothing happened|\bquiet\b"),
                ("fizzes", r"fizz|bubbl|foam"),
            ),
        ),
        "pot_drains": _Phrases(
            (r"\b(pot|barrel|tub)\b", r"\b(water|holes?)\b", r"\b(out|holes?|drain\w*|below)\b"),
            (
                ("no", r"\bnothing\b|\bno (water|holes?)\b|\bblocked\b|\b(not|n't) (run|come) out"),
                ("slowly", r"\bslow\w*|\bhours\b"),
                ("yes", r"\bfreely\b|\b(runs?|ran|came|comes|drains?) (out|through|below|well|at once)\b"),
            ),
        ),
        "soil_at_depth": _Phrases(
            (r"\b(soil|ground|earth|mix|clay)\b", r"\b(depth|deep\w*|below|underneath|\d+ ?(cm|in|inches))\b"),
            (
                ("soggy", r"\b(soggy|sodden|waterlogged|squeez\w+)\b"),
                ("wet", r"\bwet\b"),
                ("dry", r"\bdry\b"),
                ("moist", r"\b(moist|damp)\b"),
            ),
            r"\b(until|when|water(ed|ing)?|pour\w*)\b",
        ),
    }
)  # fmt: skip
_DENIED = re.compile(r"(\bnot|\bno|n't|\bnever|\bnothing|\bwithout)(\s+\w+){0,2}\s*$")
_DENIES = re.compile(r"\b(no|not|none|never|nothing|without)\b|n't\b")
_SMALL = frozenset(
    ("a", "an", "and", "are", "as", "at", "by", "did", "do", "for", "has", "i", "in", "is", "it", "its", "of", "on",
     "or", "that", "the", "they", "to", "was", "were", "with")
)  # fmt: skip


def result_told(text: str) -> Told | None:
    """The result of a test that a text in plain words tells of; None when it speaks of none."""
    said = " ".join(text.lower().split())
    for sign, phrases in _PHRASES.items():
        if re.search(phrases.unless, said) or not all(re.search(words, said) for words in phrases.about):
            continue
        answer = _by_phrases(sign, said)
        if answer or sign != "feeder_roots":
            return Told(sign, answer)
    return None


def answer_meant(sign: Sign, words: str) -> str | None:
    """The answer of the sign (its id, or a number) that the words mean; None when that cannot be told."""
    said = " ".join(words.lower().rstrip(".").split())
    if sign.kind == "number":
        numbers = re.findall(r"\d+(?:[.,]\d+)?", said)
        return numbers[0].replace(",", ".") if len(numbers) == 1 else None
    if sign.kind == "yes_no":
        return next((word for word in ("yes", "no") if re.match(rf"{word}\b", said)), None)
    for answer in sign.answers.values():
        if said in (answer.id, answer.id.replace("_", " "), answer.say.lower()):
            return answer.id
    return _by_phrases(sign.id, said) or _by_words(sign, said)


def _by_phrases(sign: str, said: str) -> str:
    phrases = _PHRASES.get(sign)
    if phrases is None:
        return ""
    return next((answer for answer, words in phrases.answers if _stands(words, said)), "")


def _stands(words: str, said: str) -> bool:
    """Whether the words are there, and nothing before them denies them."""
    return any(not _DENIED.search(said[: match.start()]) for match in re.finditer(words, said))


def _by_words(sign: Sign, said: str) -> str | None:
    """The one answer that has most of the words said, and at least half of them; none that denies what it does not."""
    stems = _stems(said)
    denied = bool(_DENIES.search(said))
    shared = {
        answer.id: len(stems & _stems(f"{answer.say} {answer.id.replace('_', ' ')}"))
        for answer in sign.answers.values()
        if bool(_DENIES.search(answer.say.lower())) == denied
    }
    most = max(shared.values(), default=0)
    best = [answer for answer, count in shared.items() if count == most]
    return best[0] if len(best) == 1 and most and 2 * most >= len(stems) else None


def _stems(text: str) -> set[str]:
    words = re.findall(r"[a-z0-9]+", text.lower())
    return {re.sub(r"(?<=\w{3})(ing|ed|es|s|y)$", "", word) for word in words if word not in _SMALL}
