"""Records the printed result beside every demo look, and the leaf plate of the README.

Run it with src on PYTHONPATH: python tests/tools/record_demos.py.
"""

from __future__ import annotations

from sallow.commands.demo import played, recordings
from sallow.commands.leaves import keys_for
from sallow.environment import from_process
from sallow.knowledge.access import open_knowledge
from sallow.knowledge.locate import shipped_folder
from sallow.render.leaf.plate import plate_svg

PLATE, PLATE_CROP = "colour_pattern", "lemon"


def main() -> None:
    """Write NAME.txt beside every NAME.yaml of the recorded looks."""
    environment = from_process({})
    knowledge = open_knowledge(environment)
    for path in recordings().values():
        path.with_suffix(".txt").write_text(played(path, knowledge, environment), encoding="utf-8")
    plate = plate_svg(knowledge, keys_for(PLATE, knowledge), PLATE_CROP)
    (shipped_folder("transcripts_demo") / "leaves.svg").write_text(plate, encoding="utf-8")


if __name__ == "__main__":
    main()
