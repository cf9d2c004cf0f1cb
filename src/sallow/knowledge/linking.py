"""What every kind of entry needs when it is linked: references, conditions, sources and marks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sallow.knowledge.conditions import All, Condition, Fault, nearest, parse_condition
from sallow.knowledge.document import Document
from sallow.knowledge.gather import Gathered, make_vocabulary

STAND_INS = {"common_practice": "common_practice", "judgement": "judgement", "from_memory": "memory"}


class Linker:
    """The gathered entries and the words they may use; faults become complaints of the document they stand in."""

    def __init__(self, found: Gathered) -> None:
        self.found = found
        self.off = found.off
        self.signs_raw = found.of("sign")
        self.causes_raw = found.of("cause")
        self.findings_raw = found.of("finding")
        self.checks_raw = found.of("check")
        self.sources_raw = found.of("source")
        self.cautions = found.of("caution")
        self.vocabulary = make_vocabulary(found)

    def condition(self, document: Document, path: tuple[str | int, ...], raw: Any) -> Condition:
        """The condition at ``path``; of use only when the document does not complain."""
        if raw is None:
            return All(())
        faults: list[Fault] = []
        condition = parse_condition(raw, self.vocabulary, faults)
        for fault in faults:
            document.complain((*path, *fault.path), fault.code, fault.message, fault.expected, fault.suggestion)
        return condition

    def refer(
        self,
        document: Document,
        path: tuple[str | int, ...],
        words: Sequence[str],
        known: Mapping[str, Any],
        what: str,
    ) -> tuple[str, ...]:
        """The words, each of which must be known."""
        for index, word in enumerate(words):
            if word not in known:
                document.complain(
                    (*path, index),
                    "unknown-" + what.replace(" ", "-"),
                    f"there is no {what} '{word}'",
                    f"a known {what}",
                    nearest(word, known),
                )
        return tuple(words)

    def sourced(
        self, document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any]
    ) -> tuple[tuple[str, ...], str]:
        """The sources of a claim and its mark: the one written, or the one that its sources give it."""
        source = self.refer(document, (*path, "source"), raw["source"], self.sources_raw, "source")
        if "mark" in raw:
            return source, str(raw["mark"])
        stand_ins = [STAND_INS[key] for key in source if key in STAND_INS]
        if len(stand_ins) == len(source) and stand_ins:
            return source, stand_ins[0]
        published = [key for key in source if key not in STAND_INS and key in self.sources_raw]
        if all(self.sources_raw[key][2].get("second_hand") for key in published):
            return source, "second_hand"
        return source, "published"

    def on(self, words: Iterable[str]) -> tuple[str, ...]:
        """The words without causes that an overlay switches off."""
        return tuple(word for word in words if word not in self.off)
