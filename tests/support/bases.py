"""Knowledge bases made for tests: small random ones, and large ones for speed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from random import Random
from types import MappingProxyType

from sallow.knowledge.conditions import All, Any_, Condition, Finds, Not, Some, Test
from sallow.knowledge.model import (
    Answer,
    Cause,
    Crop,
    EventKind,
    Evidence,
    Finding,
    FindingRule,
    Knowledge,
    RedFlag,
    Sign,
    Step,
)
from sallow.reasoning.facts import OVERLOOKED, Facts

WEIGHTS = (3.0, 6.0, 10.0, 20.0, -3.0, -6.0, -10.0)
FREQUENCIES = ("rare", "uncommon", "occasional", "common", "very_common")
NO_CONTEXT: Mapping[str, str] = {}


def knowledge_of(
    signs: Sequence[Sign],
    findings: Sequence[Finding] = (),
    causes: Sequence[Cause] = (),
    events: Sequence[EventKind] = (),
) -> Knowledge:
    """A knowledge base of these entries with one crop and nothing else."""
    return Knowledge(
        signs={sign.id: sign for sign in signs},
        findings={finding.id: finding for finding in findings},
        causes={cause.id: cause for cause in sorted(causes, key=lambda cause: cause.id)},
        checks={},
        events={event.id: event for event in events},
        crops={"lemon": Crop("lemon", "lemon", "", True, (), {})},
        crop_groups={},
        climates={},
        climate_questions=(),
        cautions={},
        intentions={},
        sources={},
        tables={},
        cases=(),
        version="test",
    )


def sign_of(name: str, base: Sequence[float], part: str = "tree", kind: str = "one", defines: bool = False) -> Sign:
    """A sign with answers a, b, c ... at these base rates; the first one means that nothing is odd."""
    answers = {
        chr(97 + i): Answer(chr(97 + i), f"answer {i}", share, none=i == 0 and kind == "one")
        for i, share in enumerate(base)
    }
    return Sign(name, part, kind, f"What about {name}?", answers, effort=1.0, miss=0.4, defines=defines)


def cause_of(name: str, evidence: Sequence[Evidence], common: str = "occasional", **more: object) -> Cause:
    """A cause on leaves of any crop with these pieces of evidence."""
    values: dict[str, object] = {
        "parts": ("leaf",),
        "steps": (Step("now", f"See to {name}."),),
        "red_flag": (),
        **more,
    }
    return Cause(
        id=name,
        name=name.replace("_", " "),
        kind="disease",
        summary=f"About {name}.",
        crops=("any",),
        how_common={"default": common},
        evidence=tuple(evidence),
        checks=(),
        look_alikes=(),
        sources=(),
        **values,  # type: ignore[arg-type]
    )


def evidence_of(when: Condition, decibans: float, about: str, rules_out: bool = False) -> Evidence:
    """A piece of evidence without a source."""
    return Evidence(when, decibans, about, f"because of {about} ({decibans:g})", (), "published", rules_out)


def random_rates(random: Random, count: int) -> list[float]:
    """Base rates that add up to 1, none of them tiny."""
    raw = [random.uniform(0.1, 1.0) for _ in range(count)]
    return [value / sum(raw) for value in raw]


class Maker:
    """Makes a random base: signs of the tree and of symptoms, findings on findings, causes."""

    def __init__(
        self, seed: int, causes: int = 5, findings: int = 4, circular: bool = False, single: bool = False
    ) -> None:
        self.random = Random(seed)
        self.single = single
        self.circular = circular
        tree = [sign_of(f"t{i}", random_rates(self.random, self.random.randint(2, 4))) for i in range(4)]
        leaf = [
            sign_of(
                f"s{i}", random_rates(self.random, self.random.randint(2, 4)), "leaf", defines=i == 0 and not single
            )
            for i in range(4)
        ]
        ticks = sign_of("ticks", [self.random.uniform(0.05, 0.6) for _ in range(3)], "leaf", "several")
        self.signs = [*tree, *leaf, ticks]
        self.event = EventKind("fed", "When was it fed?", (21, 60), ("3 weeks", "2 months"), (0.2, 0.3, 0.5))
        self.tree_values: dict[str, tuple[str, ...]] = {sign.id: tuple(sign.answers) for sign in tree}
        self.tree_values["event.fed"] = ("w0", "w1", "w2")
        self.leaf_values: dict[str, tuple[str, ...]] = {sign.id: tuple(sign.answers) for sign in leaf}
        self.leaf_values |= {f"ticks.{option}": ("yes", "no") for option in ticks.answers}
        self.finding_names = [f"f{i}" for i in range(findings)]
        made = [self.finding(place, name) for place, name in enumerate(self.finding_names)]
        self.knowledge = knowledge_of(self.signs, made, [self.cause(f"c{i}") for i in range(causes)], (self.event,))

    # -- conditions -------------------------------------------------------------------------------------------

    def test(self, values: Mapping[str, tuple[str, ...]]) -> Test:
        """A test of a random variable for some of its values."""
        name = self.random.choice(sorted(values))
        wanted = self.random.sample(values[name], self.random.randint(1, len(values[name]) - 1))
        return Test(name, frozenset(wanted))

    def condition(
        self, values: Mapping[str, tuple[str, ...]], findings: Sequence[str], some: bool, depth: int = 2
    ) -> Condition:
        """A random condition over these variables and findings."""
        kind = self.random.random()
        if depth == 0 or kind < 0.4:
            if findings and self.random.random() < 0.4:
                return Finds(self.random.choice(findings))
            if some and self.random.random() < 0.25:
                return Some(self.condition(self.leaf_values, (), False, 1))
            return self.test(values)
        if kind < 0.55:
            return Not(self.condition(values, findings, some, depth - 1))
        parts = tuple(self.condition(values, findings, some, depth - 1) for _ in range(self.random.randint(2, 3)))
        return All(parts) if kind < 0.8 else Any_(parts)

    def finding(self, place: int, name: str) -> Finding:
        """A finding with two or three rules, on findings before it (or on any, when circular)."""
        upstream = self.finding_names if self.circular else self.finding_names[:place]
        rules = tuple(
            FindingRule(
                self.condition(self.tree_values, upstream, True),
                self.random.random() < 0.7,
                f"rule {i}",
                (),
                "published",
            )
            for i in range(self.random.randint(2, 3))
        )
        return Finding(name, name, f"{name} holds", f"{name} does not hold", rules)

    def cause(self, name: str) -> Cause:
        """A cause with evidence on signs of the tree and of the symptom."""
        pieces = []
        for i in range(self.random.randint(2, 6)):
            values = self.leaf_values if self.random.random() < 0.5 else self.tree_values
            if self.single:
                when: Condition = self.test(values)
                assert isinstance(when, Test)
                about = when.variable
            else:
                findings = self.finding_names if values is self.tree_values else ()
                when = self.condition(values, findings, values is self.tree_values, 1)
                about = f"clue{i if self.random.random() < 0.7 else 0}"
            pieces.append(evidence_of(when, self.random.choice(WEIGHTS), about))
        if not self.single and self.random.random() < 0.2:
            pieces.append(evidence_of(self.test(self.tree_values), -20.0, "never", rules_out=True))
        flags = (RedFlag(self.test(self.leaf_values), "worth_ruling_out", "Look closely."),)
        return cause_of(
            name, pieces, self.random.choice(FREQUENCIES), red_flag=flags if self.random.random() < 0.3 else ()
        )

    # -- facts ------------------------------------------------------------------------------------------------

    def facts(self, symptoms: int, share: float = 0.5) -> Facts:
        """Random facts: each variable is known with the given probability."""
        return Facts(
            {},
            self._some(self.tree_values, share),
            tuple(
                MappingProxyType({**self._some(self.leaf_values, share), "part_is": "leaf"}) for _ in range(symptoms)
            ),
            self.random.random() < 0.5,
        )

    def _some(self, values: Mapping[str, tuple[str, ...]], share: float) -> Mapping[str, str]:
        chosen = {name: self.random.choice(row) for name, row in values.items() if self.random.random() < share}
        for name in chosen:
            if self.random.random() < 0.1:
                chosen[name] = OVERLOOKED
        return MappingProxyType(chosen)

    def fewer(self, facts: Facts) -> Facts:
        """The facts with some of them forgotten."""
        return Facts(
            facts.context,
            MappingProxyType({k: v for k, v in facts.tree.items() if self.random.random() < 0.6}),
            tuple(
                MappingProxyType({k: v for k, v in row.items() if k == "part_is" or self.random.random() < 0.6})
                for row in facts.symptoms
            ),
            facts.closed and self.random.random() < 0.5,
        )


def large_base(scale: float, seed: int = 1) -> Knowledge:
    """A base of 150 causes and 1,000 pieces of evidence times ``scale``, on signs that grow with its square root.

    A third of the signs belong to the tree; a sixth of the evidence joins two signs, as in the shipped knowledge.
    """
    random = Random(seed)
    count = round(100 * scale**0.5)
    signs = [
        sign_of(
            f"{'t' if i % 3 == 0 else 's'}{i}",
            random_rates(random, random.randint(2, 6)),
            "tree" if i % 3 == 0 else "leaf",
            defines=i in (1, 2),
        )
        for i in range(count)
    ]
    tree = [sign for sign in signs if sign.part == "tree"]
    leaf = [sign for sign in signs if sign.part == "leaf"]

    def test(pool: Sequence[Sign]) -> Test:
        sign = random.choice(pool)
        return Test(sign.id, frozenset(random.sample(sorted(sign.answers), random.randint(1, len(sign.answers) - 1))))

    causes = []
    pieces = round(1000 * scale)
    number = round(150 * scale)
    for i in range(number):
        evidence = []
        for j in range(pieces * (i + 1) // number - pieces * i // number):
            pool = tree if random.random() < 0.35 else leaf
            when: Condition = All((test(pool), test(pool))) if random.random() < 1 / 6 else test(pool)
            evidence.append(evidence_of(when, random.choice(WEIGHTS), f"clue{j}"))
        causes.append(cause_of(f"cause{i:05}", evidence, random.choice(FREQUENCIES)))
    return knowledge_of(signs, (), causes)
