"""Records the printed result beside every demo look: python tests/tools/record_demos.py."""

from __future__ import annotations

from sallow.commands.demo import played, recordings
from sallow.environment import from_process
from sallow.knowledge.access import open_knowledge


def main() -> None:
    """Write NAME.txt beside every NAME.yaml of the recorded looks."""
    environment = from_process({})
    knowledge = open_knowledge(environment)
    for path in recordings().values():
        path.with_suffix(".txt").write_text(played(path, knowledge, environment), encoding="utf-8")


if __name__ == "__main__":
    main()
