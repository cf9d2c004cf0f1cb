"""The climate kind and the frosts that a look's plain answers about winters and summers amount to."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

FROST = {"hard": True, "never_cool": False}


def climate_facts(words: Mapping[str, Any]) -> dict[str, Any]:
    """``climate`` and ``frost`` as far as the answers tell; what they leave open is left out."""
    found: dict[str, Any] = {}
    for climate, wanted in _reached():
        if all(words.get(key) == value for key, value in wanted.items()):
            found["climate"] = climate
            break
    winters = words.get("winters")
    if winters in FROST:
        found["frost"] = FROST[winters]
    return found


@cache
def _reached() -> tuple[tuple[str, dict[str, str]], ...]:
    import yaml

    from sallow.knowledge.locate import shipped_folder

    text = (shipped_folder("knowledge") / "climates.yaml").read_text(encoding="utf-8")
    return tuple(
        (str(climate["climate"]), wanted) for climate in yaml.safe_load(text)["climates"] for wanted in climate["any"]
    )
