"""Turns rows of the soybean data into a knowledge folder in our own form, and measures answers against the truth."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log, log10
from pathlib import Path
from typing import Any

import yaml

from sallow.knowledge.load import load
from sallow.knowledge.model import FREQUENCIES, Knowledge

DATA = Path(__file__).parents[1] / "data" / "soybean_large.csv"
TINY = frozenset(("2-4-d-injury", "cyst-nematode", "diaporthe-pod-&-stem-blight", "herbicide-injury"))
MOST_DECIBANS = 20.0
LEAST_DECIBANS = 0.0001
SOURCE = "soybean_rows"


@dataclass(frozen=True, slots=True)
class Row:
    """One field case: its diagnosis, and the value of every column that is known."""

    cause: str
    values: Mapping[str, str]


def word(text: str) -> str:
    """A name that the knowledge files accept."""
    return "".join(letter if letter.isalnum() else "_" for letter in text.lower())


def rows(split: str) -> list[Row]:
    """The rows of the 15 larger classes in the training or the test file, in order."""
    with DATA.open(encoding="utf-8", newline="") as file:
        return [
            Row(
                word(raw["Class"]),
                {word(key): f"v{value}" for key, value in raw.items() if key not in ("split", "Class") and value},
            )
            for raw in csv.DictReader(file)
            if raw["split"] == split and raw["Class"] not in TINY
        ]


@dataclass(frozen=True, slots=True)
class Counts:
    """Counts in training rows: of classes, of values, and of values within a class."""

    classes: Counter[str]
    domains: Mapping[str, tuple[str, ...]]
    values: Mapping[str, Counter[str]]
    within: Mapping[tuple[str, str], Counter[str]]


def counted(training: Sequence[Row], everything: Sequence[Row]) -> Counts:
    """Counts of the training rows; ``everything`` tells only which values a column can have."""
    names = sorted({name for row in everything for name in row.values})
    domains = {name: tuple(sorted({row.values[name] for row in everything if name in row.values})) for name in names}
    values: dict[str, Counter[str]] = {name: Counter() for name in names}
    within: dict[tuple[str, str], Counter[str]] = {}
    for row in training:
        for name, value in row.values.items():
            values[name][value] += 1
            within.setdefault((row.cause, name), Counter())[value] += 1
    return Counts(Counter(row.cause for row in training), domains, values, within)


def share(counter: Counter[str], value: str, domain: Sequence[str], pseudo: float) -> float:
    """A smoothed relative frequency."""
    return (counter[value] + pseudo) / (sum(counter.values()) + pseudo * len(domain))


def frequency_word(number: int, typical: float) -> str:
    """The word for how common a class is, nearest to its count over a typical one."""
    return min(FREQUENCIES, key=lambda name: abs(log(FREQUENCIES[name]) - log(number / typical)))


def write_knowledge(folder: Path, counts: Counts, pseudo: float, factors: Mapping[str, float]) -> None:
    """Write the knowledge that these counts amount to; a column's weights are multiplied by its factor."""
    base = base_rates(counts, pseudo)
    signs: list[dict[str, Any]] = [
        {
            "sign": name,
            "part": "tree",
            "kind": "one",
            "ask": f"What is the {name.replace('_', ' ')}?",
            "effort": 1,
            "answers": {value: {"say": f"code {value[1:]}", "base": p} for value, p in row.items()},
        }
        for name, row in base.items()
    ]
    laboratory = {"pos": {"say": "found", "base": 0.5}, "neg": {"say": "not found", "base": 0.5}}
    signs.append(
        {
            "sign": "laboratory",
            "part": "tree",
            "kind": "one",
            "ask": "What did it find?",
            "effort": 10,
            "answers": laboratory,
        }
    )
    check = {
        "check": "send_sample", "name": "A sample", "how": ["Send a plant."], "need": "a bag", "cost": "low",
        "effort": "hours", "days": 14, "gives": "laboratory", "source": [SOURCE],
        "results": [{"answer": "pos", "means": "found"}, {"answer": "neg", "means": "not found"}],
    }  # fmt: skip
    save(folder / "signs" / "soybean.yaml", {"signs": signs})
    save(folder / "checks" / "soybean.yaml", {"checks": [check]})
    save(folder / "sources" / "soybean.yaml", {SOURCE: {"cite": "UCI Soybean (Large), training rows."}})
    save(folder / "crops.yaml", {"groups": {}, "crops": [{"crop": "other", "name": "soybean", "evergreen": False}]})
    typical = sorted(counts.classes.values())[0]
    for cause in sorted(counts.classes):
        save(folder / "causes" / f"{cause}.yaml", cause_file(cause, counts, base, pseudo, factors, typical))


def base_rates(counts: Counts, pseudo: float) -> dict[str, dict[str, float]]:
    """How common each value of each column is over all training rows."""
    return {
        name: {value: round(share(counts.values[name], value, domain, pseudo), 6) for value in domain}
        for name, domain in counts.domains.items()
    }


def decibans(
    counts: Counts, base: Mapping[str, Mapping[str, float]], pseudo: float, cause: str, name: str
) -> list[float]:
    """The weight of each value of a column for a cause, at most 20 decibans either way."""
    inside, domain = counts.within.get((cause, name), Counter()), counts.domains[name]
    raw = (10 * log10(share(inside, value, domain, pseudo) / base[name][value]) for value in domain)
    return [max(-MOST_DECIBANS, min(MOST_DECIBANS, weight)) for weight in raw]


def cause_file(
    cause: str,
    counts: Counts,
    base: Mapping[str, Mapping[str, float]],
    pseudo: float,
    factors: Mapping[str, float],
    typical: float,
) -> dict[str, Any]:
    """One cause with a piece of evidence for every value of every column, weighed in decibans."""
    evidence = []
    for name, domain in counts.domains.items():
        for value, weight in zip(domain, decibans(counts, base, pseudo, cause, name), strict=True):
            size = min(abs(weight) * factors.get(name, 1.0), MOST_DECIBANS)
            item: dict[str, Any] = {
                "when": {name: value},
                "weight": max(round(size, 4), LEAST_DECIBANS),
                "about": name,
                "because": "Counted in the training rows.",
                "source": [SOURCE],
            }
            evidence.append(item if weight >= 0 else {**item, "speaks": "against"})
    look = {"date": "1980-07-01", "symptoms": [{"part": "whole"}]}
    return {
        "cause": cause,
        "name": cause.replace("_", " "),
        "kind": "disease",
        "summary": "A class of the soybean data.",
        "crops": ["any"],
        "parts": ["whole"],
        "how_common": {"default": frequency_word(counts.classes[cause], typical)},
        "evidence": evidence,
        "checks": ["send_sample"],
        "steps": [{"when": "now", "do": f"See to {cause}."}, {"when": "confirmed", "do": "Treat it."}],
        "typical": look,
        "near_miss": {**look, "first": cause},
        "sources": [SOURCE],
    }


class _Plain(getattr(yaml, "CSafeDumper", yaml.SafeDumper)):  # type: ignore[misc]
    """Writes every value out, since the knowledge files know no aliases."""

    def ignore_aliases(self, _: Any) -> bool:
        return True


def save(path: Path, value: Any) -> None:
    """Write plain values as YAML."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(yaml.dump(value, Dumper=_Plain), encoding="utf-8")


def learned(
    folder: Path, training: Sequence[Row], everything: Sequence[Row], pseudo: float, factors: Mapping[str, float]
) -> Knowledge:
    """The knowledge of some training rows, written to a folder and read by the ordinary loader."""
    write_knowledge(folder, counted(training, everything), pseudo, factors)
    return load([folder])


def naive_bayes(training: Sequence[Row], everything: Sequence[Row], pseudo: float = 0.5) -> Any:
    """Plain naive Bayes, add-0.5 smoothing, silent unknowns: a function from values to beliefs."""
    counts = counted(training, everything)

    def believe(values: Mapping[str, str]) -> dict[str, float]:
        scores = {}
        for cause, number in counts.classes.items():
            total = log(number)
            for name, value in values.items():
                inside = counts.within.get((cause, name), Counter())
                total += log(share(inside, value, counts.domains[name], pseudo))
            scores[cause] = total
        top = max(scores.values())
        raw = {cause: 2.718281828459045 ** (score - top) for cause, score in scores.items()}
        return {cause: value / sum(raw.values()) for cause, value in raw.items()}

    return believe


@dataclass(frozen=True, slots=True)
class Score:
    """How a set of beliefs did: shares of first choice and first three, calibration error in 10 bins, log loss."""

    first: float
    three: float
    calibration: float
    loss: float


def score(beliefs: Sequence[Mapping[str, float]], truth: Sequence[str]) -> Score:
    """Score beliefs against the true classes."""
    ranked = [sorted(row, key=lambda cause: (-row[cause], cause)) for row in beliefs]
    hits = [order[0] == cause for order, cause in zip(ranked, truth, strict=True)]
    bins: dict[int, list[tuple[float, bool]]] = {}
    for row, order, hit in zip(beliefs, ranked, hits, strict=True):
        bins.setdefault(min(int(row[order[0]] * 10), 9), []).append((row[order[0]], hit))
    gap = sum(abs(sum(p for p, _ in found) - sum(hit for _, hit in found)) for found in bins.values())
    count = len(truth)
    return Score(
        sum(hits) / count,
        sum(cause in order[:3] for order, cause in zip(ranked, truth, strict=True)) / count,
        gap / count,
        -sum(log(max(row[cause], 1e-12)) for row, cause in zip(beliefs, truth, strict=True)) / count,
    )
