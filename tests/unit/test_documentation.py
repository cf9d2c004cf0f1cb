"""Every command, option, lint code and schema field is documented, and nothing that is gone still is."""

from __future__ import annotations

import json
import re
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

import pytest

from sallow.knowledge.model import FREQUENCIES, WEIGHTS
from sallow.knowledge.review.codes import CODES

ROOT = Path(__file__).parents[2]
_SPEC = spec_from_file_location("help_blocks", ROOT / "tests" / "tools" / "help_blocks.py")
assert _SPEC is not None and _SPEC.loader is not None
help_blocks = module_from_spec(_SPEC)
_SPEC.loader.exec_module(help_blocks)
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = (ROOT / "COMMANDS.md").read_text(encoding="utf-8")
AUTHORING = (ROOT / "knowledge" / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("page", help_blocks.PAGES, ids=lambda page: page.parent.name + "/" + page.name)
def test_generated_parts_are_fresh(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    assert help_blocks.filled(text) == text, "run tests/tools/help_blocks.py"


def test_every_generated_part_stands_on_a_page() -> None:
    names = {match["name"] for text in (COMMANDS, AUTHORING) for match in help_blocks.BLOCK.finditer(text)}
    assert names == set(help_blocks.blocks())


def test_every_command_and_option_is_documented() -> None:
    for name, parser in help_blocks.parsers().items():
        section = COMMANDS.split(f"## {name}\n", 1)[1].split("\n## ")[0]
        for typed, means in help_blocks.rows_of(parser):
            assert f"| `{typed}` | {means} |" in section.replace("\\|", "|"), (name, typed)
            assert means, f"{name} {typed} has no help"


def test_every_command_of_the_first_level_is_in_the_readme() -> None:
    for name in help_blocks.parsers():
        assert name.count(" ") != 1 or f"`{name}" in README, name


def test_no_command_is_documented_that_is_gone() -> None:
    assert set(re.findall(r"^## (sallow[a-z ]*)$", COMMANDS, re.MULTILINE)) == set(help_blocks.parsers())


def test_no_option_is_named_that_no_command_has() -> None:
    actions = [action for parser in help_blocks.parsers().values() for action in parser._actions]
    known = {option for action in actions for option in action.option_strings}
    for text in (README, COMMANDS, AUTHORING):
        for line in re.findall(r"`(sallow [^`\n]*)`", text):
            assert set(re.findall(r"--[a-z][a-z-]*", line)) <= known, line


def test_the_lint_codes_documented_are_those_that_exist() -> None:
    block = AUTHORING.split("<!-- help:codes -->")[1].split("<!-- /help:codes -->")[0]
    assert set(re.findall(r"^\| `([a-z-]+)` \|", block, re.MULTILINE)) == set(CODES)


def test_the_fields_documented_are_those_of_the_schemas() -> None:
    block = AUTHORING.split("<!-- help:fields -->")[1].split("<!-- /help:fields -->")[0]
    for path in help_blocks.SCHEMAS.glob("*.json"):
        schema = json.loads(path.read_text(encoding="utf-8"))
        section = block.split(f"### {path.stem}: ")[1].split("\n### ")[0]
        documented = set(re.findall(r"^\| `([^`]+)` \|", section, re.MULTILINE))
        assert documented == {name for name, _, _ in help_blocks.schema_fields(schema)}


def test_no_page_carries_both_sides_of_a_merge() -> None:
    for page in (*ROOT.glob("*.md"), *(ROOT / "knowledge").rglob("*.md")):
        assert not re.search(r"^(<{7}|>{7}) ", page.read_text(encoding="utf-8"), re.MULTILINE), page


def test_the_table_of_weights_is_that_of_the_model() -> None:
    rows = re.findall(r"^\| `(\w+)` \| (\d+) \| (\d+) to 1 \| 1 to (\d+) \|", AUTHORING, re.MULTILINE)
    assert {word: float(decibans) for word, decibans, _, _ in rows} == WEIGHTS
    for _, decibans, speaks_for, against in rows:
        assert int(speaks_for) == int(against) == round(10 ** (float(decibans) / 10))
    for word, odds in FREQUENCIES.items():
        assert f"{word.replace('_', ' ')} {odds:g}" in AUTHORING, word


def test_terms_of_the_guide_stand_in_its_glossary() -> None:
    glossary = AUTHORING.split("\n## Glossary\n")[1].split("\n## ")[0].lower()
    for kind in ("cause", "sign", "finding", "check", "look-alike", "near miss", "red flag", "base rate", "mark"):
        assert kind in glossary, kind
