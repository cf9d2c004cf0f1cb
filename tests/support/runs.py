"""Runs of every command and every action of a command, without a person at the keys."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from pathlib import Path

LOOK = {
    "date": "2026-10-05",
    "tree": {"crop": "lemon", "climate": "dry_summer"},
    "symptoms": [{"part": "leaf", "leaf_age": "newest", "colour_pattern": "fine_net"}],
    "answers": {"soil_fizz": "fizzes"},
}
NEW_SOURCE = "my_notes\nMy own notes, 2026\n\n"
# What is typed, in this order, and on standard input; every command and every action of a command is among them.
RUNS: list[tuple[str, str]] = [
    ("look --answers answers.json", ""),
    ("look --answers answers.json --format markdown --save look.html --save look.svg --save look.json", ""),
    ("look --many many.jsonl", ""),
    ("look --answers answers.json --why iron_shortage_lime", ""),
    ("look --follow-up look.json --plain", "\nf\nf\n"),
    ("feed --crop lemon --in ground --age 6 --soil moist --hurt-by none --leaf-colour pale_old --bag 10-5-5", ""),
    ("lab water EC=0.9dS/m B=0.4mg/L --save-answers water.json", ""),
    ("look --answers answers.json --with water.json", ""),
    ("water --crop lemon --canopy 3m --et0 5mm --soil loam --gets 60L", ""),
    ("questions", ""),
    ("demo", ""),
    ("demo year", ""),
    ("leaves --crop lemon", ""),
    ("sheet --crop lemon --save sheet.html", ""),
    ("trees add Lemon --crop lemon", ""),
    ("trees list", ""),
    ("trees edit Lemon --grown pot", ""),
    ("trees note Lemon pruned --on 2026-05-01", ""),
    ("trees round --ics round.ics", ""),
    ("trees show Lemon --save story.html", ""),
    ("trees export book.json", ""),
    ("trees import book.json", ""),
    ("trees undo --list", ""),
    ("trees remove Lemon", ""),
    ("knowledge check", ""),
    ("knowledge meaning unused", ""),
    ("knowledge new source --into own", NEW_SOURCE),
    ("knowledge show drought", ""),
    ("knowledge graph drought --svg drought.svg", ""),
    ("knowledge compare own own", ""),
    ("knowledge cases", ""),
    ("knowledge coverage", ""),
]
# Those that weigh every case, or replay a year.
SLOW = ("demo year", "knowledge compare", "knowledge cases", "knowledge coverage")
MADE = ["look.html", "look.svg", "look.json", "sheet.html", "round.ics", "story.html", "book.json", "drought.svg"]


def lay_out(folder: Path) -> None:
    """Write the files that the runs read."""
    (folder / "answers.json").write_text(json.dumps(LOOK), encoding="utf-8")
    (folder / "many.jsonl").write_text(json.dumps(LOOK) + "\n", encoding="utf-8")


def leaves(name: str, parser: argparse.ArgumentParser) -> Iterator[str]:
    """Every command that can be run by itself."""
    inner = [action for action in parser._actions if isinstance(action, argparse._SubParsersAction)]
    if not inner:
        yield name
    for action in inner:
        for word, below in action.choices.items():
            yield from leaves(f"{name} {word}".strip(), below)
