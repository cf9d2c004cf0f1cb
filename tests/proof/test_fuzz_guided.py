"""Files spoiled with coverage as the guide: the spoiling goes on from what reached new lines of the program."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

import sallow

ROOT = Path(__file__).parents[2]
SECONDS = 15
# (kind, the most files, the least number that must have been tried on a slow machine)
AMOUNTS = [("knowledge", 1500, 100), ("answers", 1000, 50), ("weather", 3000, 500), ("lab", 200, 50),
           ("books", 1500, 100)]  # fmt: skip


@pytest.mark.proof
@pytest.mark.skipif(find_spec("atheris") is None, reason="needs the coverage-guided fuzzer of the extra 'fuzz'")
@pytest.mark.parametrize(("kind", "files", "least"), AMOUNTS, ids=[row[0] for row in AMOUNTS])
def test_files_spoiled_under_the_guide_of_coverage_are_read_or_refused_in_words(
    kind: str, files: int, least: int
) -> None:
    path = os.pathsep.join([str(Path(sallow.__file__).parents[1]), str(ROOT)])
    found = subprocess.run(
        [sys.executable, "-m", "tests.support.guided_fuzzing", kind, str(files), str(SECONDS)],
        env={**os.environ, "PYTHONPATH": path}, cwd=ROOT, capture_output=True, text=True, errors="replace", timeout=300,
    )  # fmt: skip
    assert found.returncode == 0, found.stdout[-3000:] + found.stderr[-2000:]
    done = re.search(r"Done (\d+) runs", found.stderr)
    assert done is not None and int(done.group(1)) >= least, found.stderr[-500:]
    lines_reached = [int(word) for word in re.findall(r"cov: (\d+)", found.stderr)]
    assert lines_reached[-1] > lines_reached[0], "the guide found nothing new"
