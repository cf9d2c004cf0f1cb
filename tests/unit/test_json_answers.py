"""Sound JSON answers are read without the YAML reader, and mean just what it would read."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import sallow
from sallow.knowledge.json_reader import read_json
from sallow.knowledge.yaml_reader import read_yaml

WORDS = st.one_of(
    st.sampled_from(["yes", "no", "true", "null", "~", "1e5", "12", "a: b", "- x", "# c", "&a", "*a", "<<", "é 🍋"]),
    st.text(st.characters(exclude_categories=("Cs",)), max_size=8),
)
NUMBERS = st.one_of(st.integers(-(10**18), 10**18), st.floats(allow_nan=True, allow_infinity=True))
VALUES: Any = st.recursive(
    st.one_of(st.none(), st.booleans(), NUMBERS, WORDS),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(WORDS, inner, max_size=4)),
    max_leaves=12,
)


@given(st.dictionaries(WORDS, VALUES, min_size=1, max_size=5), st.sampled_from([None, 1]), st.booleans())
def test_both_readers_agree(value: dict[str, Any], indent: int | None, plain: bool) -> None:
    text = json.dumps(value, indent=indent, ensure_ascii=plain)
    quick, full = read_json(text, "f"), read_yaml(text, "f")
    if quick is not None:
        assert not full.complaints
        assert repr(quick.value) == repr(full.value)


def test_a_usual_look_is_taken_and_numbers_keep_their_kind() -> None:
    text = '{"date": "2026-05-20", "answers": {"age_years": 6, "soil_ph": 7.5, "long": 12345678901234567890}}'
    quick = read_json(text, "f")
    assert quick is not None
    assert quick.value["answers"] == {"age_years": 6, "soil_ph": 7.5, "long": "12345678901234567890"}


@pytest.mark.parametrize(
    "text",
    ["", "[1]", "a: 1", '{"a": 1', '{"a": 1, "a": 2}', '{"a": NaN}', '{"a": "\\u001b[2J"}', '{"a": "\x7f"}', "{} {}",
     '{"a": ' + "[" * 30 + "]" * 30 + "}", '{"\u202e": 1}', '{"a": "' + "x" * 60_000 + '"}'],
)  # fmt: skip
def test_what_is_not_plain_is_left_to_the_other_reader(text: str) -> None:
    assert read_json(text, "f") is None


LOADED = """
import sys
from sallow.cli import main
from sallow.environment import from_process
assert main(["look", "--answers", {answers!r}, "--format", "json"], from_process()) == 0
print(sorted(name for name in {heavy!r} if name in sys.modules), file=sys.stderr)
"""
HEAVY = ("yaml", "rich", "questionary", "prompt_toolkit", "jsonschema", "dataclasses", "inspect", "hashlib", "shutil",
         "sallow.care.weather", "sallow.trees", "sallow.interview", "sallow.render.terminal")  # fmt: skip


def test_a_look_from_json_to_json_loads_only_what_it_needs(tmp_path: Path) -> None:
    answers = tmp_path / "answers.json"
    answers.write_text('{"tree": {"crop": "lemon"}, "symptoms": [{"part": "leaf"}]}', encoding="utf-8")
    variables = {**os.environ, "PYTHONPATH": str(Path(sallow.__file__).parents[1]), "HOME": str(tmp_path)}
    words = [sys.executable, "-c", LOADED.format(answers=str(answers), heavy=HEAVY)]
    for _ in range(2):  # the first run compiles the knowledge and may load more
        found = subprocess.run(words, env=variables, capture_output=True, text=True, timeout=120, check=True)
    assert found.stderr.strip() == "[]"
