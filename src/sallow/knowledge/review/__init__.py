"""Reviews the linked knowledge for what the schemas cannot see; every complaint has a stable code (see codes)."""

from __future__ import annotations

from sallow.errors import Complaint
from sallow.knowledge.gather import Gathered
from sallow.knowledge.model import Knowledge


def review_knowledge(knowledge: Knowledge, found: Gathered) -> list[Complaint]:
    """Everything the reviewers have to say, in order of file and line."""
    from sallow.knowledge.review import evidence, rules, usage, wording
    from sallow.knowledge.review.subject import Subject

    subject = Subject(knowledge, found)
    for reviewer in (rules, evidence, wording, usage):
        reviewer.review(subject)
    return sorted(set(subject.complaints))
