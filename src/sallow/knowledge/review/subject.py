"""What is under review: the linked knowledge, with the place of every part in its file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from sallow.errors import Complaint
from sallow.knowledge.conditions import Condition
from sallow.knowledge.gather import Gathered
from sallow.knowledge.model import Cause, Evidence, Finding, FindingRule, Knowledge
from sallow.knowledge.review.forms import Domain, Form, forms
from sallow.reasoning.variables import context_values, variables_of

Path = tuple[str | int, ...]


@dataclass
class Subject:
    """A knowledge base and the files it came from. ``complaints`` gathers what the reviewers say."""

    knowledge: Knowledge
    found: Gathered
    complaints: list[Complaint] = field(default_factory=list)

    def say(
        self,
        kind: str,
        identifier: str,
        path: Path,
        code: str,
        message: str,
        expected: str = "",
        suggestion: str = "",
    ) -> None:
        """A complaint about the part at ``path`` of an entry, such as ('cause', 'drought', ('evidence', 2, 'when'))."""
        document, start, _ = self.found.of(kind)[identifier]
        line, column = document.place((*start, *path))
        self.complaints.append(Complaint(document.file, line, column, code, message, expected, suggestion))

    def place(self, kind: str, identifier: str, path: Path = ()) -> str:
        """'line 12' of an entry's file, with the file's name where it is another than that of ``kind``."""
        document, start, _ = self.found.of(kind)[identifier]
        return f"line {document.place((*start, *path))[0]}"

    def raw(self, kind: str, identifier: str) -> Any:
        """An entry as it was written."""
        return self.found.of(kind)[identifier][2]

    @cached_property
    def domains(self) -> Domain:
        """The values of every variable that conditions may test."""
        values = {name: tuple(variable.base) for name, variable in variables_of(self.knowledge).items()}
        return (
            values
            | context_values(self.knowledge)
            | {"part_is": ("leaf", "shoot", "flower", "fruit", "bark", "root", "whole")}
        )

    def forms(self, condition: Condition) -> list[Form]:
        """The ways a condition can be true (see forms)."""
        return forms(condition, self.domains)

    def evidence(self) -> Iterator[tuple[Cause, int, Evidence]]:
        """Every piece of evidence with its cause and number."""
        for cause in self.knowledge.causes.values():
            for index, evidence in enumerate(cause.evidence):
                yield cause, index, evidence

    def rules(self) -> Iterator[tuple[Finding, int, FindingRule]]:
        """Every finding rule with its finding and number."""
        for finding in self.knowledge.findings.values():
            for index, rule in enumerate(finding.rules):
                yield finding, index, rule
