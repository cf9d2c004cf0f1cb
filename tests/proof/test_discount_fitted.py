"""The discount that is shipped is the one that the published cases choose, by the way DEVELOPERS.md tells."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

from sallow.knowledge.model import Knowledge
from sallow.reasoning.weigh import RHO

TOOL = Path(__file__).resolve().parents[1] / "tools" / "fit_discount.py"


def tool() -> ModuleType:
    spec = importlib.util.spec_from_file_location("fit_discount", TOOL)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["fit_discount"] = module
    spec.loader.exec_module(module)
    return module


@pytest.mark.proof
def test_the_shipped_discount_is_the_fitted_one(knowledge: Knowledge) -> None:
    fitting = tool()
    assert not any(case.held_out for case in fitting.development(knowledge))
    found = fitting.fit(knowledge)
    print("\n" + "\n".join(fitting.table(found)))
    assert found.chosen == RHO
