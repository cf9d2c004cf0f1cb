"""Reads YAML safely into plain values, remembering the line and column of every part."""

from __future__ import annotations

import re
from typing import Any

import yaml

from sallow.errors import Complaint
from sallow.knowledge.document import (
    MAXIMUM_CHARACTERS,
    MAXIMUM_DEPTH,
    MAXIMUM_NODES,
    Document,
    Path,
    number_from,
    printable,
    unsafe_characters,
)

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_TAGS = ("tag:yaml.org,2002:str", "tag:yaml.org,2002:seq", "tag:yaml.org,2002:map")
_PLAIN_TAGS = tuple(
    f"tag:yaml.org,2002:{name}" for name in ("bool", "int", "float", "null", "timestamp", "merge", "value")
)
_TOO_DEEP = ("too-deep", "the file is nested too deeply or has too many parts", "plain entries")
# More brackets or a deeper indent than this could nest deeper than the reader below can stand.
MAXIMUM_BRACKETS = 2_000
_INDENTED = re.compile(r"^[ \t?-]{100}", re.MULTILINE)


def read_yaml(text: str, file: str) -> Document:
    """Parse one YAML (or JSON) text; every fault becomes a complaint, never an exception."""
    document = Document(file)
    if len(text) > MAXIMUM_CHARACTERS:
        document.complain((), "too-large", f"the file has {len(text)} characters", f"at most {MAXIMUM_CHARACTERS}")
        return document
    try:
        node = _compose(text, document)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        problem = " ".join(str(error.problem or error.context or "not readable as YAML").split())
        document.complaints.append(Complaint(file, line, column, "not-yaml", printable(problem), "plain YAML"))
        return document
    except RecursionError:
        document.complain((), *_TOO_DEEP)
        return document
    except (yaml.YAMLError, ValueError) as error:
        document.complain((), "not-yaml", printable(" ".join(str(error).split())), "plain YAML text in UTF-8")
        return document
    if node is None:
        if not document.complaints:
            document.complain((), "empty-file", "the file is empty", "at least one entry")
        return document
    document.value = _Builder(document).build(node, (), 0)
    return document


def _compose(text: str, document: Document) -> yaml.Node | None:
    """The node tree, unless the text holds aliases, depth or numbers of parts that could blow it up."""
    if _to_be_watched(text) and not _harmless(text, document):
        return None
    loader = _LOADER(text)
    try:
        node: yaml.Node | None = loader.get_single_node()
    finally:
        loader.dispose()
    return node


def _to_be_watched(text: str) -> bool:
    """Whether a text could hold aliases, or nest deeply; most texts cannot, and are spared being read twice."""
    return (
        "&" in text
        or "*" in text
        or text.count("[") + text.count("{") > MAXIMUM_BRACKETS
        or _INDENTED.search(text) is not None
    )


def _harmless(text: str, document: Document) -> bool:
    """Walk the events without building anything; complains of the first alias and of too many levels or parts."""
    depth = 0
    for nodes, event in enumerate(yaml.parse(text, Loader=_LOADER)):
        mark = event.start_mark
        here = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            document.places[()] = here
            document.complain((), "alias", "anchors and aliases (& and *) are not used here", "the value written out")
            return False
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        if depth > MAXIMUM_DEPTH or nodes > MAXIMUM_NODES:
            document.places[()] = here
            document.complain((), *_TOO_DEEP)
            return False
    return True


class _Builder:
    def __init__(self, document: Document) -> None:
        self.document = document
        self.nodes = 0

    def build(self, node: yaml.Node, path: Path, depth: int) -> Any:
        mark = node.start_mark
        self.document.places[path] = (mark.line + 1, mark.column + 1)
        self.nodes += 1
        if depth > MAXIMUM_DEPTH or self.nodes > MAXIMUM_NODES:
            if not any(complaint.code == _TOO_DEEP[0] for complaint in self.document.complaints):
                self.document.complain(path, *_TOO_DEEP)
            return None
        if node.tag not in _TAGS and not node.tag.startswith(_PLAIN_TAGS):
            self.document.complain(
                path,
                "tag",
                f"the tag '{printable(node.tag)}' is not allowed",
                "plain text, number, list or map",
            )
            return None
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, path, depth)
        if isinstance(node, yaml.SequenceNode):
            return [self.build(item, (*path, index), depth + 1) for index, item in enumerate(node.value)]
        return self._scalar(node, path)

    def _mapping(self, node: yaml.MappingNode, path: Path, depth: int) -> dict[str, Any]:
        result: dict[str, Any] = {}
        for key_node, value_node in node.value:
            if not isinstance(key_node, yaml.ScalarNode):
                self.document.places[(*path, "?")] = (
                    key_node.start_mark.line + 1,
                    key_node.start_mark.column + 1,
                )
                self.document.complain((*path, "?"), "key", "a key must be one plain word", "word: value")
                continue
            key = str(key_node.value)
            if key in result:
                self.document.places[(*path, key)] = (
                    key_node.start_mark.line + 1,
                    key_node.start_mark.column + 1,
                )
                self.document.complain(
                    (*path, key), "duplicate-key", f"'{printable(key)}' stands here twice", "each key once"
                )
            if unsafe_characters(key):
                self.document.complain(
                    path,
                    "control-character",
                    f"a key holds the character {unsafe_characters(key)}",
                    "plain text",
                )
                continue
            result[key] = self.build(value_node, (*path, key), depth + 1)
            if value_node.start_mark.line > key_node.start_mark.line:
                # A list or map that begins below its key is pointed at by the key.
                self.document.places[(*path, key)] = (
                    key_node.start_mark.line + 1,
                    key_node.start_mark.column + 1,
                )
        return result

    def _scalar(self, node: yaml.Node, path: Path) -> Any:
        text = str(node.value)
        found = unsafe_characters(text)
        if found:
            self.document.complain(path, "control-character", f"the text holds the character {found}", "plain text")
            return None
        # Quoted or block scalars are always text; 'yes', 'no', 'on', 'off' and dates stay text too.
        if getattr(node, "style", None) or node.tag == "tag:yaml.org,2002:str":
            return text
        if text in ("true", "True", "TRUE"):
            return True
        if text in ("false", "False", "FALSE"):
            return False
        if text in ("", "~", "null", "Null", "NULL"):
            return None
        return number_from(text)
