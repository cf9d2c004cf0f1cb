"""Findings translated into rules of the rule language CLIPS, and facts into its facts.

A known value is ``(v NAME VALUE)`` for the tree and ``(s NUMBER NAME VALUE)`` for a symptom; an unknown one is no fact
at all. ``(f FINDING yes|no)`` is told by rules. A condition and its negation are both written with positive patterns,
since 'not known' is not 'known to be otherwise'.
"""

from __future__ import annotations

from collections.abc import Iterator

import clips

from sallow.knowledge.conditions import All, Any_, Condition, Finds, Not, Some, Test
from sallow.knowledge.model import Knowledge
from sallow.reasoning.facts import OVERLOOKED, Facts

# No fact has this form: what cannot be known holds nowhere.
NEVER = "(never never)"


class Rules:
    """A knowledge base's findings in one CLIPS environment."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.environment = clips.Environment()
        self.somes: list[Condition] = []
        for finding in knowledge.findings.values():
            for number, rule in enumerate(finding.rules):
                told = "yes" if rule.concludes else "no"
                when = self.pattern(rule.when, True, "v")
                self.build(f"{finding.id}-{number}", when, f'(f "{finding.id}" {told})')
        for number, inner in enumerate(self.somes):
            for word, positive in (("shows", True), ("fails", False)):
                when = self.pattern(inner, positive, "s ?s")
                self.build(f"{word}-{number}", f"(symptom ?s) {when}", f"({word} {number} ?s)")
            self.build(f"some-{number}", f"(shows {number} ?)", f"(some {number} yes)")
            every = f"(closed) (forall (symptom ?s) (fails {number} ?s))"
            self.build(f"none-{number}", every, f"(some {number} no)")

    def build(self, name: str, when: str, then: str) -> None:
        """Add a rule."""
        self.environment.build(f"(defrule {name} {when} => (assert {then}))")

    def pattern(self, condition: Condition, positive: bool, scope: str) -> str:
        """The pattern of a condition known to be true (or, when not ``positive``, known to be false)."""
        match condition:
            case Test(variable, values):
                quoted = [f'"{value}"' for value in sorted(values)]
                choice = "|".join(quoted) if positive else "&".join(f"~{value}" for value in quoted)
                return f'({scope} "{variable}" {choice})'
            case Finds(finding):
                return f'(f "{finding}" {"yes" if positive else "no"})' if scope == "v" else NEVER
            case Not(inner):
                return self.pattern(inner, not positive, scope)
            case Some(inner):
                if inner not in self.somes:
                    self.somes.append(inner)
                return f"(some {self.somes.index(inner)} {'yes' if positive else 'no'})"
            case All(parts) | Any_(parts):
                joint = "and" if isinstance(condition, All) == positive else "or"
                return f"({joint} {' '.join(self.pattern(part, positive, scope) for part in parts)})"

    def told(self, facts: Facts) -> set[tuple[str, bool]]:
        """Every (finding, True or False) that CLIPS concludes."""
        self.environment.reset()
        for fact in written(facts):
            self.environment.assert_string(fact)
        self.environment.run()
        found = [list(fact) for fact in self.environment.facts() if fact.template.name == "f"]
        return {(str(name), str(word) == "yes") for name, word in found}


def written(facts: Facts) -> Iterator[str]:
    """The facts of a look as CLIPS facts."""
    if facts.closed:
        yield "(closed)"
    wide = {**facts.context, **facts.tree}
    yield from (f'(v "{name}" "{value}")' for name, value in wide.items() if value != OVERLOOKED)
    for number, own in enumerate(facts.symptoms):
        yield f"(symptom {number})"
        seen = {**wide, **own}
        yield from (f'(s {number} "{name}" "{value}")' for name, value in seen.items() if value != OVERLOOKED)
