"""The sources of a reckoning: numbered as they come up, and listed as they are cited."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path


class Citations:
    """Gives each source a number the first time it is named."""

    def __init__(self) -> None:
        self.keys: list[str] = []

    def mark(self, keys: Iterable[str]) -> str:
        """`` [1, 2]`` for these sources; '' for none."""
        numbers = []
        for key in keys:
            if key not in self.keys:
                self.keys.append(key)
            numbers.append(str(self.keys.index(key) + 1))
        return f" [{', '.join(numbers)}]" if numbers else ""

    def lines(self, knowledge: Path) -> list[str]:
        """Each source with its number, in the order they came up."""
        return [f"[{number}] {text}" for number, text in enumerate(cited(self.keys, knowledge), 1)]


def cited(keys: Iterable[str], knowledge: Path) -> tuple[str, ...]:
    """How each source of the knowledge folder is cited; the key itself for one that is not listed."""
    import yaml

    cites: dict[str, str] = {}
    for path in sorted((knowledge / "sources").glob("*.yaml")):
        for key, entry in (yaml.safe_load(path.read_text(encoding="utf-8")) or {}).items():
            cites[key] = entry.get("cite", key)
    return tuple(cites.get(key, key) for key in keys)
