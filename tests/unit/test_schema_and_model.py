"""The schemas are the single source of truth: they agree with the typed model field by field, and on samples."""

from __future__ import annotations

import copy
import json
from dataclasses import MISSING, fields
from random import Random
from typing import Any

import jsonschema
import pytest

from sallow.knowledge import model as m
from sallow.knowledge.files import FOLDERS, TOP_FILES, knowledge_files
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.pictures import Colour, Outline, Paint
from sallow.knowledge.shape import KEYWORDS, faults, schema
from sallow.knowledge.sheet import Station
from sallow.knowledge.tables import Table
from sallow.knowledge.yaml_reader import read_yaml
from sallow.looks import Event, Look

# Where the properties of a record stand in a schema; how a key is called in the model ('' where it only shapes the
# record: bands are answers of another kind, 'speaks' and 'weight' make the decibans); what the model adds itself.
AGREE: list[tuple[str, str, type, dict[str, str], set[str]]] = [
    ("signs", "signs", m.Sign, {"sign": "id", "bands": "answers", "base": "answers"}, set()),
    ("signs", "signs/answers/*", m.Answer, {}, {"id"}),
    ("signs", "signs/bands/*", m.Answer, {}, {"id"}),
    ("signs", "signs/implied", m.Implied, {}, set()),
    ("findings", "findings", m.Finding, {"finding": "id"}, set()),
    ("findings", "findings/rules", m.FindingRule, {}, set()),
    ("cause", "", m.Cause, {"cause": "id"}, set()),
    ("cause", "evidence", m.Evidence, {"weight": "decibans", "speaks": "decibans"}, {"word"}),
    ("cause", "steps", m.Step, {}, set()),
    ("cause", "look_alikes", m.LookAlike, {}, set()),
    ("cause", "red_flag", m.RedFlag, {}, set()),
    ("checks", "checks", m.Check, {"check": "id"}, set()),
    ("checks", "checks/results", m.Result, {}, set()),
    ("events", "events", m.EventKind, {"event": "id", "within": "windows"}, {"labels"}),
    ("crops", "crops", m.Crop, {"crop": "id"}, set()),
    ("climates", "climates", m.Climate, {"climate": "id", "any": "reached_by"}, set()),
    ("intentions", "intentions", m.Intention, {"intention": "id"}, set()),
    ("intentions", "intentions/harms", m.Harm, {"if": "condition"}, set()),
    ("sources", "*", m.Source, {}, {"id"}),
    ("cases", "cases", m.Case, {"case": "id"}, set()),
    ("table", "", Table, {"table": "id", "source": "rows", "mark": "rows"}, set()),
    ("pictures", "colours/*", Colour, {"hex": "rgb"}, {"id"}),
    ("pictures", "outlines/*", Outline, {}, {"id"}),
    ("pictures", "pictures/*/*/paint", Paint, {}, set()),
    ("sheet", "stations", Station, {"station": "id"}, set()),
    ("look", "", Look, {"format": ""}, set()),
    ("look", "events", Event, {}, set()),
]
SCHEMA_FOLDER = shipped_folder("knowledge") / "schema"
KINDS = sorted({*FOLDERS.values(), *TOP_FILES.values()})


def part_of(kind: str, place: str) -> dict[str, Any]:
    """The schema of the record at a place: '/' goes into a property or the items of a list, '*' into any entry."""
    found = schema(kind)
    for step in [step for step in place.split("/") if step]:
        found = found["additionalProperties"] if step == "*" else found["properties"][step]
        found = found.get("items", found)
    return found


@pytest.mark.parametrize(("kind", "place", "record", "renamed", "added"), AGREE, ids=lambda value: str(value)[:30])
def test_schema_and_model_have_the_same_fields(
    kind: str, place: str, record: type, renamed: dict[str, str], added: set[str]
) -> None:
    keys = {renamed.get(key, key) for key in part_of(kind, place)["properties"]} - {""}
    assert keys | added == {field.name for field in fields(record)}  # type: ignore[arg-type]


@pytest.mark.parametrize(("kind", "place", "record", "renamed"), [row[:4] for row in AGREE], ids=lambda v: str(v)[:30])
def test_what_a_schema_requires_has_no_default_in_the_model(
    kind: str, place: str, record: type, renamed: dict[str, str]
) -> None:
    defaults = {
        field.name
        for field in fields(record)  # type: ignore[arg-type]
        if field.default is not MISSING or field.default_factory is not MISSING
    }
    required = {renamed.get(key, key) for key in part_of(kind, place).get("required", ())}
    # The two looks of a cause are left out of the compiled form, so the model lets them be empty.
    assert required & defaults <= ({"typical", "near_miss"} if record is m.Cause else set())


def test_words_listed_in_schemas_are_those_of_the_model() -> None:
    evidence = part_of("cause", "evidence")["properties"]
    assert set(evidence["weight"]["anyOf"][0]["enum"]) == set(m.WEIGHTS)
    assert set(part_of("cause", "")["properties"]["how_common"]["additionalProperties"]["enum"]) == set(m.FREQUENCIES)
    assert set(part_of("cause", "")["properties"]["parts"]["items"]["enum"]) == set(m.PARTS)
    assert set(part_of("signs", "signs")["properties"]["part"]["enum"]) == {*m.PARTS, "any", "tree"}


@pytest.mark.parametrize("kind", [*KINDS, "look"])
def test_every_schema_is_a_schema_and_forbids_unknown_keys(kind: str) -> None:
    jsonschema.Draft202012Validator.check_schema(schema(kind))
    assert schema(kind).get("additionalProperties") is not None


def test_there_is_a_schema_for_every_kind_of_file_and_no_other() -> None:
    assert {path.stem for path in SCHEMA_FOLDER.glob("*.json")} == {*KINDS, "look"}


# -- the small checker beside the library --------------------------------------------------------------------------


def keywords(schema: Any) -> set[str]:
    """Every keyword a schema uses."""
    found = set(schema)
    for key, value in schema.items():
        if key == "properties":
            found |= {word for each in value.values() for word in keywords(each)}
        elif key == "anyOf":
            found |= {word for each in value for word in keywords(each)}
        elif isinstance(value, dict):
            found |= keywords(value)
    return found


def test_the_small_checker_knows_every_keyword_the_schemas_use() -> None:
    for kind in [*KINDS, "look"]:
        assert keywords(schema(kind)) <= KEYWORDS, kind


def shipped() -> list[tuple[str, str, Any]]:
    """(kind, name, value) of one shipped file in six, and of every file at the top."""
    files = knowledge_files(shipped_folder("knowledge"), with_cases=True)
    chosen = files[: len(TOP_FILES)] + files[len(TOP_FILES) :: 6]
    return [(kind, path.name, read_yaml(path.read_text(encoding="utf-8"), path.name).value) for kind, path in chosen]


def found_by_both(kind: str, value: Any) -> tuple[set[tuple[Any, ...]], set[tuple[Any, ...]]]:
    """(place, keyword) of every fault: by the small checker, and by the library."""
    own = {(fault.absolute_path, fault.validator) for fault in faults(value, schema(kind))}
    library = jsonschema.Draft202012Validator(schema(kind))
    return own, {(tuple(error.absolute_path), error.validator) for error in library.iter_errors(value)}


def places_in(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Every place inside a value."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for key, each in inner for place in places_in(each, (*path, key)))]


def spoiled(value: Any, random: Random) -> Any:
    """A copy with one place changed, removed, or given a key that does not belong."""
    changed = copy.deepcopy(value)
    place = random.choice([place for place in places_in(value) if place])
    holder = changed
    for step in place[:-1]:
        holder = holder[step]
    strange = random.choice([None, True, 0, -1, 1e9, "", "x" * 2000, "A B", [], {}, [[]], {"z": 1}, 3.5])
    if random.random() < 0.2:
        del holder[place[-1]]
    elif random.random() < 0.2 and isinstance(holder, dict):
        holder["Not A Key"] = strange
    else:
        holder[place[-1]] = strange
    return changed


def test_both_checkers_let_the_shipped_files_through() -> None:
    for kind, name, value in shipped():
        assert found_by_both(kind, value) == (set(), set()), name


def test_both_checkers_find_the_same_faults_in_spoiled_files() -> None:
    random = Random(11)
    files = shipped()
    faulty = 0
    for _ in range(500):
        kind, name, value = random.choice(files)
        changed = spoiled(value, random)
        own, library = found_by_both(kind, changed)
        assert own == library, (name, json.dumps(changed, default=str)[:500])
        faulty += bool(own)
    assert faulty > 250


def test_both_checkers_find_the_same_faults_in_spoiled_pictures() -> None:
    random = Random(13)
    value = next(value for kind, _, value in shipped() if kind == "pictures")
    value = {**value, "pictures": {"colour_pattern": value["pictures"]["colour_pattern"]}}
    for _ in range(150):
        own, library = found_by_both("pictures", spoiled(value, random))
        assert own == library


def test_both_checkers_find_the_same_faults_in_spoiled_looks() -> None:
    random = Random(12)
    look = {
        "date": "2026-05-20",
        "tree": {"crop": "lemon"},
        "events": [{"what": "fed", "within": "3 weeks", "note": "some"}],
        "symptoms": [{"part": "leaf", "leaf_age": "newest"}],
        "answers": {"soil_at_depth": "moist"},
    }
    for _ in range(300):
        own, library = found_by_both("look", spoiled(look, random))
        assert own == library


def test_every_shipped_file_names_its_schema_in_its_first_line() -> None:
    for kind, path in knowledge_files(shipped_folder("knowledge"), with_cases=True):
        first = path.read_text(encoding="utf-8").split("\n", 1)[0]
        named = first.removeprefix("# yaml-language-server: $schema=")
        assert named != first, path
        assert (path.parent / named).resolve() == (SCHEMA_FOLDER / f"{kind}.json").resolve(), path
