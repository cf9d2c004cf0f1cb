"""The pictures of a question in a real pseudo-terminal of 80 columns: in every number of colours, in none, and dumb."""

from __future__ import annotations

import json
import os
import re
import sys
from pathlib import Path

import pexpect
import pyte
import pytest

COLUMNS = 80
QUESTION = "How is the colour spread over the leaf?"
BEGUN = {
    "look": {
        "date": "2026-05-20",
        "tree": {"crop": "lemon", "grown_in": "ground", "climate": "dry_summer", "hemisphere": "south"},
        "about_to": "nothing",
        "symptoms": [{"part": "leaf", "leaf_change": ["colour"], "leaf_age": "newest"}],
        "answers": {"age_years": 7, "looks_well": "fair"},
        "no_more_symptoms": False,
    }
}
ESCAPE = re.compile(r"\x1b\[[0-9;]*m")


class Seen:
    """A look taken up in a terminal, just before the answer to the question with the pictures."""

    def __init__(self, folder: Path, rows: int, *words: str, **variables: str) -> None:
        (folder / "data").mkdir()
        (folder / "data" / "unfinished_look.json").write_text(json.dumps(BEGUN))
        kept = {k: v for k, v in os.environ.items() if k not in ("FORCE_COLOR", "COLORTERM", "NO_COLOR", "COLUMNS")}
        own = {"SALLOW_DATA": str(folder / "data"), "SALLOW_KNOWLEDGE": str(folder / "none"), "TERM": "xterm"}
        own |= {"SALLOW_TODAY": "2026-05-20", "PROMPT_TOOLKIT_NO_CPR": "1"}
        self.screen = pyte.Screen(COLUMNS, rows)
        self.stream = pyte.Stream(self.screen)
        self.raw = ""
        self.child = pexpect.spawn(
            sys.executable, ["-m", "sallow", "look", "--resume", *words], env={**kept, **own, **variables},
            dimensions=(rows, COLUMNS), encoding="utf-8", timeout=20,
        )  # fmt: skip

    def until(self, words: str) -> list[str]:
        """Read until the screen shows the words; its lines."""
        for _ in range(400):
            if any(words in line for line in self.screen.display):
                return [line.rstrip() for line in self.screen.display]
            try:
                data = self.child.read_nonblocking(4096, timeout=0.05)
            except pexpect.TIMEOUT:
                continue
            self.raw += data
            self.stream.feed(data)
        raise AssertionError("\n".join(self.screen.display))

    def close(self) -> None:
        self.child.close(force=True)


def strip_of(raw: str) -> str:
    """What was written between the help of the question and the question itself, in a terminal by keys."""
    return raw.split("then at the two halves.")[1].split(QUESTION)[0]


@pytest.mark.parametrize(
    ("variables", "has", "lacks"),
    [
        ({"TERM": "xterm-256color", "COLORTERM": "truecolor"}, "\x1b[38;2;", "\x1b[38;5;"),
        ({"TERM": "xterm-256color"}, "\x1b[38;5;", "\x1b[38;2;"),
        ({"TERM": "xterm"}, "\x1b[32;42m", "\x1b[38"),
    ],
)
def test_in_colour_numbered_leaves_stand_above_their_answers(
    tmp_path: Path, variables: dict[str, str], has: str, lacks: str
) -> None:
    seen = Seen(tmp_path, 24, **variables)
    lines = seen.until("7 yellow or brown")
    seen.close()
    strip = strip_of(seen.raw)
    assert has in strip and lacks not in strip and "▀" in strip
    above = " ".join(lines[: next(n for n, line in enumerate(lines) if QUESTION in line)])
    assert [number for number in range(1, 19) if str(number) in re.findall(r"\d+", above)] == list(range(1, 19))
    assert any(line.lstrip(" »").startswith("1 the green is normal") for line in lines)


@pytest.mark.parametrize("variables", [{"NO_COLOR": "1"}, {"NO_COLOR": "1", "TERM": "xterm-256color"}])
def test_without_colour_the_texture_says_it(tmp_path: Path, variables: dict[str, str]) -> None:
    seen = Seen(tmp_path, 24, **variables)
    seen.until("7 yellow or brown")
    seen.close()
    strip = strip_of(seen.raw)
    coloured = [code for code in ESCAPE.findall(strip) if re.search(r"[\[;][349]\d", code)]
    assert coloured == [] and "▒" in strip and "+.+" in strip and "▀" not in strip


def test_a_dumb_terminal_gets_plain_prompts_with_characters_and_not_one_control_sequence(tmp_path: Path) -> None:
    seen = Seen(tmp_path, 60, TERM="dumb")
    lines = seen.until("I'll go and look later")
    seen.close()
    assert "\x1b" not in seen.raw
    first = next(n for n, line in enumerate(lines) if line.startswith(" 1  ▒"))
    answers = next(n for n, line in enumerate(lines) if line.endswith("1 the green is normal"))
    assert first < answers and all(len(line) <= COLUMNS for line in lines)


def test_prompts_for_a_screen_reader_name_the_pictures_and_draw_none(tmp_path: Path) -> None:
    seen = Seen(tmp_path, 60, "--plain")
    lines = seen.until("I'll go and look later")
    seen.close()
    text = "\n".join(lines)
    assert "sallow leaves colour_pattern" in text and "▒" not in text and "▀" not in text


def test_a_long_answer_is_broken_not_cut(tmp_path: Path) -> None:
    seen = Seen(tmp_path, 50)
    lines = seen.until("18 very dark green")
    seen.close()
    place = next(n for n, line in enumerate(lines) if "7 yellow or brown islands" in line)
    assert lines[place].endswith("still") and lines[place + 1].strip() == "green"
