"""Claims and numbers carry their source and mark, and what was not read at its source stays of modest weight."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import WEIGHTS, Knowledge

WEAK = ("memory", "second_hand", "judgement")
# Ratios, months and days of the calendar, counts, and pH and sodium ratios, which have no unit.
PURE = {
    *("start", "full", "end", "share", "factor", "factor_low", "factor_high", "index", "splits"),
    *("from_month", "from_day", "to_month", "to_day", "ph", "sar_above", "sar_from", "sar_to"),
}
PURE_TABLES = {"leafless_coefficients", "plausible_values", "soil_classes", "soil_ph_ranges", "water_classes"}
TABLES = sorted((shipped_folder("knowledge") / "tables").glob("*.yaml"))


def test_no_claim_from_memory_second_hand_or_judgement_weighs_more_than_moderate(knowledge: Knowledge) -> None:
    heavy = [
        (cause.id, evidence.because)
        for cause in knowledge.causes.values()
        for evidence in cause.evidence
        if evidence.mark in WEAK and not evidence.rules_out and abs(evidence.decibans) > WEIGHTS["moderate"]
    ]
    assert not heavy


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_every_number_of_a_table_has_its_unit_its_source_and_its_mark(path: Path) -> None:
    table: dict[str, Any] = yaml.safe_load(path.read_text(encoding="utf-8"))
    units, columns = table.get("units", {}), table["columns"]
    for row in table["rows"]:
        assert row.get("source") or table.get("source"), row
        for column in columns:
            if isinstance(row.get(column), int | float) and not isinstance(row[column], bool):
                known = column in units or column in PURE or row.get("unit")
                assert known or table["table"] in PURE_TABLES, column
