"""Links signs with their answers, and events with their windows, into the model; base rates must add up."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from sallow.knowledge import model as m
from sallow.knowledge.conditions import Condition, event_value, parse_days
from sallow.knowledge.document import Document
from sallow.knowledge.linking import Linker


def frozen(value: Mapping[str, Any]) -> Mapping[str, Any]:
    """A read-only view of a mapping."""
    return MappingProxyType(value if isinstance(value, dict) else dict(value))


class SignBuilder(Linker):
    """Builds what can be asked."""

    def sign(self, document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any]) -> m.Sign:
        """A sign; a complaint when its base rates do not add up to 1."""
        answers = self.answers(document, path, raw)
        if raw["kind"] not in ("several", "date") and answers:
            total = sum(answer.base for answer in answers.values())
            if abs(total - 1) > 0.005:
                document.complain(
                    (*path, "sign"),
                    "base-rates",
                    f"the base rates of '{raw['sign']}' add up to {total:.3f}",
                    "1",
                )
        known = {key: None for key in self.vocabulary.variables.get(raw["sign"], ())}
        implied = []
        for index, item in enumerate(raw.get("implied", ())):
            here = (*path, "implied", index)
            self.refer(document, (*here, "answer"), [item["answer"]], known, "answer")
            implied.append(m.Implied(self.condition(document, (*here, "when"), item["when"]), item["answer"]))
        return m.Sign(
            id=raw["sign"],
            part=raw["part"],
            kind=raw["kind"],
            ask=raw["ask"],
            answers=frozen(answers),
            effort=raw["effort"],
            how_to_tell=raw.get("how_to_tell", ""),
            core=raw.get("core", 0),
            opening=raw.get("opening", 0),
            miss=raw.get("miss", 0.5),
            defines=raw.get("defines", False),
            unticked=raw.get("unticked", "overlooked"),
            unit=raw.get("unit", ""),
            least=raw.get("least"),
            most=raw.get("most"),
            ask_when=self.optional(document, path, raw, "ask_when"),
            implied=tuple(implied),
            result_of=raw.get("result_of", ""),
            core_when=self.optional(document, path, raw, "core_when"),
            not_if=self.optional(document, path, raw, "not_if"),
        )

    def answers(self, document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any]) -> dict[str, m.Answer]:
        """The answers of a sign: its own, the bands of a number, or yes and no."""
        kind = raw["kind"]
        if kind == "yes_no":
            base = raw.get("base", 0.5)
            return {"yes": m.Answer("yes", "yes", base), "no": m.Answer("no", "no", 1 - base, none=True)}
        listed = raw.get("bands" if kind == "number" else "answers", {})
        if kind != "date" and not listed:
            document.complain(
                (*path, "kind"),
                "missing-key",
                f"the sign '{raw['sign']}' has no answers",
                "bands" if kind == "number" else "answers",
            )
        crops = {**self.found.of("crop"), **self.found.groups}
        for key, value in listed.items():
            self.refer(document, (*path, "answers", key, "only_on"), value.get("only_on", ()), crops, "crop")
        return {
            key: m.Answer(
                key,
                value["say"],
                value["base"],
                value.get("means", ""),
                value.get("none", False),
                value.get("below"),
                tuple(value.get("only_on", ())),
            )
            for key, value in listed.items()
        }

    def event(self, document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any]) -> m.EventKind:
        """A kind of event; a complaint for windows that are no rising spans of time and for wrong base rates."""
        windows = []
        for index, span in enumerate(raw["within"]):
            days = parse_days(span)
            if days is None:
                document.complain(
                    (*path, "within", index),
                    "illegal-value",
                    f"'{span}' is not a span of time",
                    "for instance '3 weeks'",
                )
            windows.append(days or 0)
        if len(raw["base"]) != len(windows) + 1 or abs(sum(raw["base"]) - 1) > 0.005 or windows != sorted(windows):
            document.complain(
                (*path, "base"),
                "base-rates",
                "the base rates must be one more than the windows and add up to 1",
                f"{len(windows) + 1} numbers",
            )
        labels = tuple(raw["within"])
        spans = {label: event_value(index) for index, label in enumerate((*labels, "never"))}
        implied = []
        for index, item in enumerate(raw.get("implied", ())):
            here = (*path, "implied", index)
            self.refer(document, (*here, "within"), [item["within"]], spans, "answer")
            when = self.condition(document, (*here, "when"), item["when"])
            implied.append(m.Implied(when, spans.get(item["within"], "")))
        not_if = self.optional(document, path, raw, "not_if")
        return m.EventKind(raw["event"], raw["ask"], tuple(windows), labels, tuple(raw["base"]), tuple(implied), not_if)

    def optional(
        self, document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any], key: str
    ) -> Condition | None:
        """The condition under a key, or None where there is none."""
        return self.condition(document, (*path, key), raw[key]) if key in raw else None
