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

TODAY = date(2026, 5, 20)

# A busy machine is no fault of what is tested; speed has tests of its own.
settings.register_profile("house", deadline=None)
settings.load_profile("house")


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    """The shipped knowledge with its published cases."""
    return load([shipped_folder("knowledge")], with_cases=True)


@pytest.fixture(scope="session")
def compiled_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where compiled knowledge is kept, shared by all tests so that it is made once."""
    return tmp_path_factory.mktemp("compiled")


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
