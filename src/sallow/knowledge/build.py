"""Links checked documents into one Knowledge value; every broken reference becomes a complaint."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sallow.knowledge import model as m
from sallow.knowledge.build_signs import SignBuilder, frozen
from sallow.knowledge.conditions import nearest
from sallow.knowledge.document import Document
from sallow.knowledge.gather import Documents, Gathered, gather, known_how_common
from sallow.knowledge.pictures import build_pictures
from sallow.knowledge.sheet import build_stations
from sallow.knowledge.tables import Table, build_table


def link(documents: Documents, version: str, overlays: Sequence[str]) -> tuple[Gathered, m.Knowledge]:
    """The gathered entries and the Knowledge they make; the latter is of use only when no document complains."""
    found = gather(documents, len(overlays) + 1)
    answers = {key: raw.get("answers", {}) for key, (_, _, raw) in found.of("sign").items()}
    pictures = build_pictures(
        [document for kind, document in documents if kind == "pictures"],
        answers,
        {**found.of("crop"), **found.groups},
    )
    sheets = [document for kind, document in documents if kind == "sheet"]
    stations = build_stations(sheets, answers, found.of("event"))
    return found, replace(_Builder(found).build(version, tuple(overlays)), pictures=pictures, stations=stations)


class _Builder(SignBuilder):
    def build(self, version: str, overlays: tuple[str, ...]) -> m.Knowledge:
        found = self.found
        causes = {
            key: self.cause(document, raw) for key, (document, _, raw) in self.causes_raw.items() if key not in self.off
        }
        words = (layer.words(name) for layer, name in zip(found.layers[1:], overlays, strict=True))
        return m.Knowledge(
            signs=frozen({key: self.sign(*entry) for key, entry in self.signs_raw.items()}),
            findings=frozen({key: self.finding(*entry) for key, entry in self.findings_raw.items()}),
            causes=frozen(dict(sorted(causes.items()))),
            checks=frozen({key: self.check(*entry) for key, entry in self.checks_raw.items()}),
            events=frozen({key: self.event(*entry) for key, entry in found.of("event").items()}),
            crops=frozen({key: self.crop(*entry) for key, entry in found.of("crop").items()}),
            crop_groups=frozen(found.groups),
            climates=frozen(
                {
                    key: m.Climate(key, raw["name"], tuple(raw["any"]))
                    for key, (_, _, raw) in found.of("climate").items()
                }
            ),
            climate_questions=tuple(found.questions),
            cautions=frozen({key: raw for key, (_, _, raw) in self.cautions.items()}),
            intentions=frozen({key: self.intention(*entry) for key, entry in found.of("intention").items()}),
            sources=frozen({key: m.Source(key, **raw) for key, (_, _, raw) in self.sources_raw.items()}),
            tables=frozen({key: self.table(document, raw) for key, (document, _, raw) in found.of("table").items()}),
            cases=tuple(self.cases()),
            version=version,
            overlays=tuple(words),
        )

    def cases(self) -> Iterable[m.Case]:
        """The cases that are not switched off and whose right cause is not switched off either."""
        for key, entry in sorted(self.found.of("case").items()):
            case = self.case(*entry)
            truth = {case.expect[name] for name in ("first",) if name in case.expect} | set(
                case.expect.get("any_of", ())
            )
            if key not in self.off and not (truth and truth <= self.off):
                yield case

    def finding(self, document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any]) -> m.Finding:
        rules = []
        for index, item in enumerate(raw["rules"]):
            here = (*path, "rules", index)
            source, mark = self.sourced(document, here, item)
            rules.append(
                m.FindingRule(
                    self.condition(document, (*here, "when"), item["when"]),
                    item.get("concludes", True),
                    item["because"],
                    source,
                    mark,
                )
            )
        return m.Finding(raw["finding"], raw["name"], raw["says"], raw.get("says_not", ""), tuple(rules))

    def evidence(self, document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any]) -> m.Evidence:
        source, mark = self.sourced(document, path, raw)
        rules_out = raw.get("rules_out", False)
        if not rules_out and "weight" not in raw:
            document.complain(
                path,
                "missing-key",
                "a piece of evidence needs a weight, or rules_out: true",
                "slight, moderate, strong or near_proof",
            )
        weight = raw.get("weight", "near_proof")
        decibans = float(weight) if isinstance(weight, int | float) else m.WEIGHTS[weight]
        if rules_out or raw.get("speaks") == "against":
            decibans = -decibans
        return m.Evidence(
            self.condition(document, (*path, "when"), raw["when"]),
            decibans,
            raw["about"],
            raw["because"],
            source,
            mark,
            rules_out,
            str(raw.get("weight", "")),
        )

    def cause(self, document: Document, raw: Mapping[str, Any]) -> m.Cause:
        crops = {**self.found.of("crop"), **self.found.groups, "any": None}
        upstream = {**self.causes_raw, **self.findings_raw}
        self.refer(document, ("crops",), raw["crops"], crops, "crop")
        known = known_how_common(self.found)
        for key in raw["how_common"]:
            if key not in known:
                document.complain(
                    ("how_common", key),
                    "unknown-key",
                    f"'{key}' is not a climate kind, crop, season or place",
                    ", ".join(known),
                    nearest(key, known),
                )
        evidence = tuple(
            self.evidence(document, ("evidence", index), item) for index, item in enumerate(raw["evidence"])
        )
        flags = tuple(
            m.RedFlag(self.condition(document, ("red_flag", index, "when"), item["when"]), item["tier"], item["say"])
            for index, item in enumerate(raw.get("red_flag", ()))
        )
        alikes = raw.get("look_alikes", [])
        for index, item in enumerate(alikes):
            self.refer(document, ("look_alikes", index, "cause"), [item["cause"]], self.causes_raw, "cause")
        return m.Cause(
            id=raw["cause"],
            name=raw["name"],
            kind=raw["kind"],
            summary=raw["summary"],
            crops=tuple(raw["crops"]),
            parts=tuple(raw["parts"]),
            how_common=frozen(dict(raw["how_common"])),
            evidence=evidence,
            checks=self.refer(document, ("checks",), raw["checks"], self.checks_raw, "check"),
            steps=tuple(self.step(document, ("steps", index), item) for index, item in enumerate(raw["steps"])),
            look_alikes=tuple(
                m.LookAlike(item["cause"], item["tell_apart"]) for item in alikes if item["cause"] not in self.off
            ),
            sources=self.refer(document, ("sources",), raw["sources"], self.sources_raw, "source"),
            also_called=tuple(raw.get("also_called", ())),
            brought_on_by=self.on(
                self.refer(document, ("brought_on_by",), raw.get("brought_on_by", ()), upstream, "cause")
            ),
            goes_with=self.on(self.refer(document, ("goes_with",), raw.get("goes_with", ()), self.causes_raw, "cause")),
            regulated=raw.get("regulated", False),
            red_flag=flags,
            recovery_days=raw.get("recovery_days", 28),
            typical=frozen(dict(raw["typical"])),
            near_miss=frozen(dict(raw["near_miss"])),
            note=raw.get("note", ""),
        )

    def step(self, document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any]) -> m.Step:
        plan = [raw["plan"]] if "plan" in raw else []
        return m.Step(
            raw["when"],
            raw["do"],
            raw.get("amount", ""),
            self.condition(document, (*path, "not_if"), raw["not_if"]) if "not_if" in raw else None,
            self.refer(document, (*path, "caution"), raw.get("caution", ()), self.cautions, "caution"),
            self.refer(document, (*path, "source"), raw.get("source", ()), self.sources_raw, "source"),
            next(iter(self.refer(document, (*path, "plan"), plan, self.found.of("intention"), "intention")), ""),
            raw.get("while_unsure", ""),
        )

    def check(self, document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any]) -> m.Check:
        values = self.vocabulary.variables.get(raw["gives"], self.vocabulary.options.get(raw["gives"]))
        if values is None:
            self.refer(document, (*path, "gives"), [raw["gives"]], self.signs_raw, "sign")
            values = ()
        results = []
        for index, item in enumerate(raw["results"]):
            here = (*path, "results", index)
            self.refer(document, (*here, "answer"), [item["answer"]], dict.fromkeys(values), "answer")
            settles = self.refer(document, (*here, "settles"), item.get("settles", ()), self.causes_raw, "cause")
            refutes = self.refer(document, (*here, "refutes"), item.get("refutes", ()), self.causes_raw, "cause")
            results.append(m.Result(item["answer"], item["means"], self.on(settles), self.on(refutes)))
        return m.Check(
            raw["check"],
            raw["name"],
            tuple(raw["how"]),
            raw["need"],
            raw["cost"],
            raw["effort"],
            raw["days"],
            raw["gives"],
            tuple(results),
            raw.get("misleads", ""),
            self.refer(document, (*path, "caution"), raw.get("caution", ()), self.cautions, "caution"),
            self.refer(document, (*path, "source"), raw["source"], self.sources_raw, "source"),
        )

    def intention(self, document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any]) -> m.Intention:
        known = {**self.findings_raw, **self.causes_raw}
        fits = self.refer(document, (*path, "fits"), raw["fits"], self.causes_raw, "cause")
        for index, harm in enumerate(raw["harms"]):
            self.refer(document, (*path, "harms", index, "if"), [harm["if"]], known, "finding")
        untimely = raw.get("not_now", ())
        for index, late in enumerate(untimely):
            self.refer(document, (*path, "not_now", index, "cause"), [late["cause"]], self.causes_raw, "cause")
        return m.Intention(
            raw["intention"],
            raw["say"],
            self.on(fits),
            tuple(m.Harm(harm["if"], harm["because"]) for harm in raw["harms"] if harm["if"] not in self.off),
            tuple(m.Untimely(late["cause"], late["because"]) for late in untimely if late["cause"] not in self.off),
        )

    def crop(self, document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any]) -> m.Crop:
        if raw.get("group"):
            self.refer(document, (*path, "group"), [raw["group"]], self.found.groups, "crop group")
        return m.Crop(
            raw["crop"],
            raw["name"],
            raw.get("group", ""),
            raw["evergreen"],
            tuple(raw.get("also_called", ())),
            frozen(dict(raw.get("facts", {}))),
        )

    def table(self, document: Document, raw: Mapping[str, Any]) -> Table:
        table = build_table(raw)
        for index, row in enumerate(table.rows):
            self.refer(document, ("rows", index, "source"), row.source, self.sources_raw, "source")
            if not row.source:
                document.complain(
                    ("rows", index),
                    "missing-source",
                    "the row has no source",
                    "source: [...] in the row or the table",
                )
        return table

    def case(self, document: Document, path: tuple[str | int, ...], raw: Mapping[str, Any]) -> m.Case:
        self.refer(document, (*path, "source"), raw["source"], self.sources_raw, "source")
        for key in ("any_of", "also", "must_not"):
            self.refer(document, (*path, "expect", key), raw["expect"].get(key, ()), self.causes_raw, "cause")
        if "first" in raw["expect"]:
            self.refer(document, (*path, "expect", "first"), [raw["expect"]["first"]], self.causes_raw, "cause")
        return m.Case(
            raw["case"],
            frozen(raw["look"]),
            frozen(raw["expect"]),
            tuple(raw["source"]),
            raw["basis"],
            raw.get("held_out", False),
            raw.get("note", ""),
        )
