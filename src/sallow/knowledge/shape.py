"""A small checker for the part of JSON Schema that the schemas here use, for looks, where speed at the door counts.

Knowledge files are checked with the jsonschema library; a test proves that the two find the same faults.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from sallow.knowledge.locate import shipped_folder
from sallow.values import dataclass, replace

if TYPE_CHECKING:
    from sallow.knowledge.document import Document

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class ShapeFault:
    """What is wrong and where: the keyword that failed with its value, the schema it stands in, the value found."""

    absolute_path: Path
    validator: str
    validator_value: Any
    schema: Mapping[str, Any]
    instance: Any


def faults(value: Any, schema: Mapping[str, Any], path: Path = ()) -> Iterator[ShapeFault]:
    """Every fault of ``value`` under ``schema``."""
    for keyword, wanted in schema.items():
        if keyword in _SIMPLE and not _SIMPLE[keyword](value, wanted):
            yield ShapeFault(path, keyword, wanted, schema, value)
    if "anyOf" in schema and all(next(faults(value, option), None) for option in schema["anyOf"]):
        yield ShapeFault(path, "anyOf", schema["anyOf"], schema, value)
    if "if" in schema:
        holds = next(faults(value, schema["if"]), None) is None
        yield from faults(value, schema.get("then" if holds else "else", {}), path)
    if isinstance(value, dict):
        yield from _map_faults(value, schema, path)
    elif isinstance(value, list) and "items" in schema:
        for index, item in enumerate(value):
            yield from faults(item, schema["items"], (*path, index))


def _map_faults(value: dict[str, Any], schema: Mapping[str, Any], path: Path) -> Iterator[ShapeFault]:
    for key in schema.get("required", ()):
        if key not in value:
            yield ShapeFault(path, "required", schema["required"], schema, value)
    known = schema.get("properties", {})
    rest = schema.get("additionalProperties", True)
    if rest is False and not value.keys() <= known.keys():
        yield ShapeFault(path, "additionalProperties", False, schema, value)
    for key, inner in value.items():
        if key in known:
            yield from faults(inner, known[key], (*path, key))
        elif isinstance(rest, dict):
            yield from faults(inner, rest, (*path, key))
        for fault in faults(key, schema.get("propertyNames", {})):
            yield replace(fault, absolute_path=path)


def _is(value: Any, wanted: str | list[str]) -> bool:
    names = [wanted] if isinstance(wanted, str) else wanted
    return any(_TYPES[name](value) for name in names)


def _number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


_TYPES: dict[str, Any] = {
    "object": lambda v: isinstance(v, dict),
    "array": lambda v: isinstance(v, list),
    "string": lambda v: isinstance(v, str),
    "boolean": lambda v: isinstance(v, bool),
    "integer": lambda v: _number(v) and v == v and abs(v) != float("inf") and v == int(v),
    "number": _number,
    "null": lambda v: v is None,
}
_SIMPLE: dict[str, Any] = {
    "type": _is,
    "enum": lambda v, wanted: any(v == each and isinstance(v, bool) == isinstance(each, bool) for each in wanted),
    "const": lambda v, wanted: v == wanted and isinstance(v, bool) == isinstance(wanted, bool),
    "pattern": lambda v, wanted: not isinstance(v, str) or re.search(wanted, v) is not None,
    "minLength": lambda v, least: not isinstance(v, str) or len(v) >= least,
    "maxLength": lambda v, most: not isinstance(v, str) or len(v) <= most,
    "minItems": lambda v, least: not isinstance(v, list) or len(v) >= least,
    "maxItems": lambda v, most: not isinstance(v, list) or len(v) <= most,
    "minProperties": lambda v, least: not isinstance(v, dict) or len(v) >= least,
    "minimum": lambda v, least: not _number(v) or v >= least,
    "maximum": lambda v, most: not _number(v) or v <= most,
    "exclusiveMinimum": lambda v, least: not _number(v) or v > least,
}
_NESTED = ("anyOf", "if", "then", "else", "items", "properties", "additionalProperties", "propertyNames", "required")
KEYWORDS = frozenset((*_SIMPLE, *_NESTED, "$schema", "title"))


@cache
def schema(kind: str) -> dict[str, Any]:
    """The JSON Schema of a kind of file."""
    path = shipped_folder("knowledge") / "schema" / f"{kind}.json"
    value: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return value


def check_shape(document: Document, kind: str) -> None:
    """Add a complaint to the document for everything its schema does not allow, without the library."""
    for fault in faults(document.value, schema(kind)):
        tell(document, fault)


def tell(document: Document, fault: ShapeFault) -> None:
    """Put a fault into words, and into the document's complaints."""
    from sallow.knowledge.conditions import nearest

    path = fault.absolute_path
    found = json.dumps(fault.instance, ensure_ascii=False, default=str)
    short = found if len(found) <= 60 else found[:57] + "..."
    if fault.validator == "additionalProperties":
        known = list(fault.schema.get("properties", {}))
        for extra in sorted(set(fault.instance) - set(known)):
            message = f"'{extra}' is not a key that can stand here"
            document.complain((*path, extra), "unknown-key", message, ", ".join(known), nearest(extra, known))
    elif fault.validator == "required":
        for key in fault.validator_value:
            message = f"'{key}' is missing"
            if key not in fault.instance and not _told(document, path, message):
                document.complain(path, "missing-key", message, ", ".join(fault.validator_value))
    elif fault.validator == "enum":
        allowed = [str(value) for value in fault.validator_value]
        close = nearest(str(fault.instance), allowed)
        document.complain(path, "illegal-value", f"{short} is not allowed here", ", ".join(allowed), close)
    elif fault.validator == "type":
        wanted = fault.validator_value
        names = wanted if isinstance(wanted, list) else [wanted]
        document.complain(path, "wrong-type", f"found {short}", " or ".join(names))
    else:
        document.complain(path, "schema", f"found {short}", f"{fault.validator} {fault.validator_value}")


def _told(document: Document, path: Path, message: str) -> bool:
    place = document.place(path)
    return any((c.line, c.column) == place and c.message == message for c in document.complaints)
