"""'sallow knowledge graph': the rules around a cause as a tree in the terminal, and as a drawing."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator
from pathlib import Path

from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.interview.keep import write_atomically
from sallow.knowledge.access import open_knowledge
from sallow.knowledge.conditions import nearest
from sallow.knowledge.tree import Branch, cause_tree
from sallow.render.markup import safe
from sallow.status import ExitStatus

ROW = 22
INDENT = 26
LETTERS = 92
COLOURS = {"cause": "#2f6b2f", "heading": "#1b1b1b", "for": "#1f5d8a", "against": "#8a3b1c", "finding": "#5b4a8a"}


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Print the tree; with ``--svg`` write the drawing too."""
    knowledge = open_knowledge(environment, arguments.knowledge)
    if arguments.cause not in knowledge.causes:
        close = nearest(arguments.cause, knowledge.causes)
        raise BadInput(f"there is no cause '{arguments.cause}'." + (f" Did you mean '{close}'?" if close else ""))
    tree = cause_tree(knowledge.causes[arguments.cause], knowledge)
    for line in tree_lines(tree, environment.width, environment.unicode):
        environment.say(line)
    if arguments.svg:
        target = Path(arguments.svg).expanduser()
        write_atomically(target, tree_svg(tree))
        environment.complain(f"Saved: {target}")
    return ExitStatus.OK


def tree_lines(branch: Branch, width: int, unicode: bool = True) -> list[str]:
    """The tree as lines of at most ``width`` cells."""
    signs = ("├─ ", "└─ ", "│  ", "   ") if unicode else ("|- ", "`- ", "|  ", "   ")
    return list(_lines(branch, "", "", width, signs))


def _lines(branch: Branch, first: str, rest: str, width: int, signs: tuple[str, str, str, str]) -> Iterator[str]:
    stem = signs[2] if branch.below else signs[3]
    parts = textwrap.wrap(_plain(branch.text), max(width - len(rest) - 4, 20), break_on_hyphens=False)
    for number, part in enumerate(parts or [""]):
        yield (first if number == 0 else rest + stem) + part
    for number, inner in enumerate(branch.below):
        last = number == len(branch.below) - 1
        yield from _lines(inner, rest + signs[1 if last else 0], rest + signs[3 if last else 2], width, signs)


def _plain(text: str) -> str:
    return "".join(character if character.isprintable() else "?" for character in text)


def tree_svg(tree: Branch) -> str:
    """The tree as a drawing: one row a line, a stroke from each branch to the one it belongs to."""
    rows: list[tuple[int, int, Branch, str]] = []
    _place(tree, 0, rows)
    height = ROW * (len(rows) + 1)
    width = max(INDENT * depth + 8 * len(text) for depth, _, _, text in rows) + 2 * INDENT
    body = []
    for number, (depth, parent, branch, text) in enumerate(rows):
        x, y = INDENT * (depth + 1), ROW * (number + 1)
        if parent >= 0:
            px, py = INDENT * (rows[parent][0] + 1) - 8, ROW * (parent + 1) + 4
            body.append(f'<path d="M{px} {py}V{y - 4}H{x - 4}" fill="none" stroke="#999"/>')
        weight = ' font-weight="bold"' if branch.kind in ("cause", "heading") else ""
        colour = COLOURS.get(branch.kind, "#333333")
        body.append(f'<text x="{x}" y="{y}" fill="{colour}"{weight}>{safe(text)}</text>')
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}" '
        f'font-family="system-ui, sans-serif" font-size="13" role="img">\n<title>{safe(tree.text)}</title>\n'
        + "\n".join(body)
        + "\n</svg>\n"
    )


def _place(branch: Branch, depth: int, rows: list[tuple[int, int, Branch, str]], parent: int = -1) -> None:
    lines = textwrap.wrap(_plain(branch.text), LETTERS) or [""]
    own = len(rows)
    rows.append((depth, parent, branch, lines[0]))
    rows.extend((depth, -1, branch, line) for line in lines[1:])
    for inner in branch.below:
        _place(inner, depth + 1, rows, own)
