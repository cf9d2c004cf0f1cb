"""The recorded looks replay to exactly what stands beside them."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sallow.cli import main
from sallow.commands.demo import played, recordings
from sallow.commands.leaves import keys_for
from sallow.environment import Environment
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge
from sallow.render.leaf.plate import plate_svg


@pytest.mark.parametrize("name", recordings())
def test_a_recorded_look_replays_byte_for_byte(
    name: str, knowledge: Knowledge, surroundings: Callable[..., Environment]
) -> None:
    path = recordings()[name]
    assert played(path, knowledge, surroundings()) == path.with_suffix(".txt").read_text(encoding="utf-8")


def test_the_leaf_plate_of_the_readme_is_drawn_from_the_knowledge(knowledge: Knowledge) -> None:
    plate = plate_svg(knowledge, keys_for("colour_pattern", knowledge), "lemon")
    assert plate == (shipped_folder("transcripts_demo") / "leaves.svg").read_text(encoding="utf-8")


def test_there_are_at_least_three_and_one_ends_in_two_causes_and_one_in_leave_it_alone() -> None:
    texts = {name: path.with_suffix(".txt").read_text(encoding="utf-8") for name, path in recordings().items()}
    assert len(texts) >= 3
    assert sum("Probably more than one thing is going on" in text for text in texts.values()) >= 1
    assert sum("Leave it alone and look again" in " ".join(text.split()) for text in texts.values()) >= 1


def test_the_demo_command_plays_the_first_and_names_the_others(surroundings: Callable[..., Environment]) -> None:
    environment = surroundings()
    assert main(["demo"], environment) == 0
    printed = environment.stdout.getvalue()  # type: ignore[attr-defined]
    names = list(recordings())
    assert f"sallow demo {names[1]}" in printed


def test_an_unknown_demo_is_told_with_the_nearest_name(surroundings: Callable[..., Environment]) -> None:
    environment = surroundings()
    first = next(iter(recordings()))
    assert main(["demo", first[:-1]], environment) == 2
    assert f"Did you mean '{first}'?" in environment.stderr.getvalue()  # type: ignore[attr-defined]
