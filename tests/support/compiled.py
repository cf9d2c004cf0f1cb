"""Where a run of the tests keeps compiled knowledge: made once, shared by all tests and by workers that run at once."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from tempfile import mkdtemp

# Workers inherit the variable from the process that starts them.
_VARIABLE = "SALLOW_TESTS_COMPILED"


def begin() -> None:
    """Make the folder."""
    os.environ[_VARIABLE] = mkdtemp(prefix="sallow-tests-")


def end() -> None:
    """Remove it with all it holds."""
    shutil.rmtree(os.environ.pop(_VARIABLE), ignore_errors=True)


def compiled_place() -> Path:
    """The folder of this run."""
    return Path(os.environ[_VARIABLE])
