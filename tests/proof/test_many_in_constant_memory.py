"""Many looks at once stream: twenty times as many lines take no more memory."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from itertools import cycle, islice
from pathlib import Path

import pytest

resource = pytest.importorskip("resource", reason="peak memory of a child is told on POSIX systems")

SOURCE = Path(__file__).resolve().parents[2] / "src"
FEW, MANY = 200, 4000
MOST_TIMES = 1.05
# The child tells its own peak once all lines are done.
CHILD = """
import resource, sys
from datetime import date
from sallow.commands.look_many import results
from sallow.knowledge.load import load
from sallow.knowledge.locate import shipped_folder
from sallow.reasoning.stored import remembering
from sallow.values import replace
knowledge = load([shipped_folder("knowledge")])
knowledge = replace(knowledge, stored=remembering(knowledge))
done = sum(well for _, _, well in results(sys.stdin, knowledge, date(2026, 5, 20)))
print(done, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def lines() -> list[str]:
    """Looks of several trees, with one and two odd things and different answers."""
    found = []
    for crop in ("lemon", "apple", "avocado", "fig"):
        for soil in ("dry", "moist", "soggy"):
            pale = {"part": "leaf", "leaf_change": ["colour"], "leaf_age": "newest", "colour_pattern": "fine_net"}
            odd = [pale, {"part": "fruit", "fruit_change": "drop"}] if soil == "moist" else [pale]
            found.append(json.dumps({"tree": {"crop": crop}, "symptoms": odd, "answers": {"soil_at_depth": soil}}))
    return found


def peak(count: int) -> int:
    """The peak memory of a process that works through so many lines (in the system's unit)."""
    told = subprocess.run(
        [sys.executable, "-c", CHILD],
        input="\n".join(islice(cycle(lines()), count)),
        env={**os.environ, "PYTHONPATH": str(SOURCE)},
        capture_output=True,
        text=True,
        check=True,
        timeout=900,
    )
    done, most = map(int, told.stdout.split())
    assert done == count
    return most


@pytest.mark.proof
def test_twenty_times_as_many_lines_take_no_more_memory() -> None:
    few, many = peak(FEW), peak(MANY)
    print(f"\nPeak memory: {few} for {FEW} lines, {many} for {MANY} ({many / few:.3f} times)")
    assert many <= MOST_TIMES * few
