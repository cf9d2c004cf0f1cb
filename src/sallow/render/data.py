"""The report as JSON."""

from __future__ import annotations

import json

from sallow.report_model import Diagnosis
from sallow.values import as_data

FORMAT = 1


def as_json(diagnosis: Diagnosis, indent: int | None = 1) -> str:
    """The whole diagnosis as JSON text; ``format`` counts up when a key changes its meaning."""
    return json.dumps({"format": FORMAT, **as_data(diagnosis)}, indent=indent, ensure_ascii=False)
