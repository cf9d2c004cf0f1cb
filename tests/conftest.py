"""What many tests share: the shipped knowledge, and made-up surroundings for a run."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from hypothesis import settings

from sallow.environment import Environment
from sallow.knowledge.load import load
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge
from sallow.reasoning.stored import remembering
from sallow.values import replace
from tests.support import compiled

TODAY = date(2026, 5, 20)

# A busy machine is no fault of what is tested; speed has tests of its own.
settings.register_profile("house", deadline=None)
settings.load_profile("house")


def pytest_configure(config: pytest.Config) -> None:
    """Workers leave the shared folder to the process that started them."""
    if not hasattr(config, "workerinput"):
        compiled.begin()


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """Speed is measured without company, and a few named tests run sooner without workers."""
    named = all(".py" in argument for argument in config.args)
    return 0 if named or config.getoption("benchmark_only") else None


def pytest_unconfigure(config: pytest.Config) -> None:
    if not hasattr(config, "workerinput"):
        compiled.end()


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    """The shipped knowledge with its published cases, as the program has it where it keeps no cache: compiled evidence
    of a cause is made once. A copy with other causes or signs needs ``stored=None``, or it would go by the old ones."""
    known = load([shipped_folder("knowledge")], with_cases=True)
    return replace(known, stored=remembering(known))


@pytest.fixture(scope="session")
def compiled_folder() -> Path:
    """Where compiled knowledge is kept, shared by all tests so that it is made once."""
    return compiled.compiled_place()


@pytest.fixture
def surroundings(tmp_path: Path, compiled_folder: Path) -> Callable[..., Environment]:
    """Makes an environment with typed input, no colour, 80 columns, a fixed day and an empty data folder."""

    def make(typed: str = "", width: int = 80, today: date = TODAY) -> Environment:
        return Environment(
            stdin=StringIO(typed),
            stdout=StringIO(),
            stderr=StringIO(),
            today=today,
            width=width,
            data_folder=tmp_path / "data",
            cache_folder=compiled_folder,
            user_knowledge=None,
        )

    return make
