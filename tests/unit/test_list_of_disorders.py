"""The list of disorders that were considered: each has its cause or a stated reason, and no cause is missing."""

from __future__ import annotations

from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge


def rows() -> list[tuple[str, list[str], str]]:
    """(disorder, causes, remark) of every line of every table."""
    text = (shipped_folder("knowledge") / "DISORDERS.md").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line.startswith("|") and not line.startswith(("| Disorder", "|---"))]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    return [
        (name, [cause.strip() for cause in causes.split(",") if cause.strip()], remark)
        for name, causes, remark in cells
    ]


def test_every_disorder_has_its_cause_or_a_reason(knowledge: Knowledge) -> None:
    for disorder, causes, remark in rows():
        assert causes or remark.startswith("no file: "), disorder
        assert set(causes) <= set(knowledge.causes), disorder


def test_every_cause_stands_in_the_list(knowledge: Knowledge) -> None:
    listed = {cause for _, causes, _ in rows() for cause in causes}
    assert set(knowledge.causes) - listed == set()


def test_no_disorder_stands_twice() -> None:
    names = [name for name, _, _ in rows()]
    assert len(names) == len(set(names))
