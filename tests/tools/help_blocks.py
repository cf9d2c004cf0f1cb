"""Writes, or with --check compares, the generated parts of COMMANDS.md and knowledge/README.md.

The parts stand between ``<!-- help:NAME -->`` and ``<!-- /help:NAME -->``. Run it with src on PYTHONPATH.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from sallow.cli import build_parser
from sallow.knowledge.review.codes import CODES

ROOT = Path(__file__).parents[2]
SCHEMAS = ROOT / "knowledge" / "schema"
PAGES = (ROOT / "COMMANDS.md", ROOT / "knowledge" / "README.md")
BLOCK = re.compile(r"<!-- help:(?P<name>[a-z_ -]+) -->\n(?P<body>.*?)<!-- /help:(?P=name) -->", re.DOTALL)


def parsers() -> dict[str, argparse.ArgumentParser]:
    """Every command and sub-command by its full name, 'sallow look' among them."""
    return dict(_below("sallow", build_parser()))


def _below(name: str, parser: argparse.ArgumentParser) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    yield name, parser
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for word, inner in action.choices.items():
                yield from _below(f"{name} {word}", inner)


def spelled(action: argparse.Action) -> str:
    """An option or a word of a command as it is typed."""
    metavar = action.metavar or (f"{{{','.join(map(str, action.choices))}}}" if action.choices else action.dest.upper())
    takes = " ".join(metavar) if isinstance(metavar, tuple) else metavar
    if not action.option_strings:
        return takes
    return ", ".join(action.option_strings) + (f" {takes}" if action.nargs != 0 else "")


def rows_of(parser: argparse.ArgumentParser) -> Iterator[tuple[str, str]]:
    """What may be typed after a command, each with its meaning: sub-commands, words and options."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield from ((choice.dest, choice.help or "") for choice in action._choices_actions)
        elif action.help != argparse.SUPPRESS and not isinstance(action, argparse._HelpAction):
            yield spelled(action), (action.help or "") % {"prog": parser.prog, "default": action.default}


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def help_table(parser: argparse.ArgumentParser) -> str:
    """What a command does, and a table of what may be typed; not argparse's own layout, which Python changes."""
    cells = [f"| `{_cell(typed)}` | {_cell(means)} |\n" for typed, means in rows_of(parser)]
    table = "\n| Typed | Meaning |\n|---|---|\n" + "".join(cells) if cells else ""
    rivals = [
        ", ".join(f"`{action.option_strings[-1]}`" for action in group._group_actions)
        for group in parser._mutually_exclusive_groups
    ]
    return f"{parser.description}\n{table}" + "".join(f"\nAt most one of {names}.\n" for names in rivals)


def commands_block() -> str:
    """Every command and sub-command under a heading each."""
    return "".join(f"\n## {name}\n\n{help_table(parser)}" for name, parser in parsers().items())


def codes_block() -> str:
    """Every lint code with one line."""
    rows = [f"| `{code.id}` | {code.grade} | {code.means} |\n" for code in CODES.values()]
    return "| Code | Grade | It means |\n|---|---|---|\n" + "".join(rows)


def schema_fields(schema: Mapping[str, Any], path: str = "") -> Iterator[tuple[str, Mapping[str, Any], bool]]:
    """(path, schema, required) of every named field; lists are marked with [] and free keys with NAME."""
    for form in schema.get("anyOf", ()) or schema.get("oneOf", ()):
        yield from schema_fields(form, path)
    required = schema.get("required", ())
    for name, inner in schema.get("properties", {}).items():
        here = f"{path}.{name}" if path else name
        yield here, inner, name in required
        yield from schema_fields(inner, here)
    if isinstance(schema.get("additionalProperties"), Mapping):
        yield from schema_fields(schema["additionalProperties"], f"{path}.NAME" if path else "NAME")
    if isinstance(schema.get("items"), Mapping):
        yield from schema_fields(schema["items"], f"{path}[]")


def form_of(schema: Mapping[str, Any]) -> str:
    """What a field takes, in a few words."""
    if "enum" in schema:
        return "one of " + ", ".join(str(word) for word in schema["enum"])
    if "const" in schema:
        return f"always {schema['const']}"
    for key in ("anyOf", "oneOf"):
        if key in schema:
            return " or ".join(form_of(form) for form in schema[key])
    kind = schema.get("type", "anything")
    if kind == "array":
        return "list of " + form_of(schema.get("items", {}))
    if kind == "string":
        return "an id" if "pattern" in schema else "text"
    words = {"object": "map", "boolean": "true or false", "integer": "whole number"}
    return words.get(kind, str(kind)) if isinstance(kind, str) else " or ".join(words.get(k, k) for k in kind)


def fields_block() -> str:
    """A table of fields for every kind of file."""
    parts = []
    for path in sorted(SCHEMAS.glob("*.json")):
        schema = json.loads(path.read_text(encoding="utf-8"))
        rows: dict[str, str] = {}
        for name, inner, required in schema_fields(schema):
            rows.setdefault(name, f"| `{name}` | {'yes' if required else ''} | {form_of(inner)} |\n")
        body = "".join(rows.values()) or "| (free keys) | | map |\n"
        parts.append(f"\n### {path.stem}: {schema['title']}\n\n| Field | Needed | Takes |\n|---|---|---|\n{body}")
    return "".join(parts)


def blocks() -> dict[str, str]:
    """Every generated part by name."""
    return {
        "commands": commands_block(),
        "codes": codes_block(),
        "fields": fields_block(),
    }


def filled(text: str) -> str:
    """A page with its parts made anew."""
    made = blocks()
    return BLOCK.sub(lambda m: f"<!-- help:{m['name']} -->\n{made[m['name']]}<!-- /help:{m['name']} -->", text)


def main(words: list[str]) -> int:
    """Write the pages, or with --check say which are stale."""
    stale = [page for page in PAGES if filled(page.read_text(encoding="utf-8")) != page.read_text(encoding="utf-8")]
    for page in stale:
        if "--check" not in words:
            page.write_text(filled(page.read_text(encoding="utf-8")), encoding="utf-8")
        print(f"{page.relative_to(ROOT)}: {'stale' if '--check' in words else 'written'}")
    return 1 if stale and "--check" in words else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
