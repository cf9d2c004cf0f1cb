"""Everything known for one feeding question, from options, questions or a saved look."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from sallow.bounded import read_bounded
from sallow.care.feeding.decision import TROUBLES, Condition
from sallow.care.feeding.tree import CLIMATES, CROPS, PLACES, Tree
from sallow.care.season import Hemisphere
from sallow.commands.climate_words import climate_facts
from sallow.errors import BadInput

_WEIGHTY = ("confirmed", "very_likely", "likely")


@dataclass(frozen=True, slots=True)
class Facts:
    """One flat set of facts; ``None`` means not known."""

    crop: str | None = None
    age_years: float | None = None
    trunk_cm: float | None = None
    canopy_m: float | None = None
    height_m: float | None = None
    grown_in: str | None = None
    pot_m: float | None = None
    dwarf: bool = False
    bearing: bool | None = None
    climate: str | None = None
    hemisphere: Hemisphere | None = None
    frost: bool | None = None
    leaf_colour: str | None = None
    shoot_cm: float | None = None
    shoot_word: str | None = None
    soil: str | None = None
    new_growth: bool | None = None
    last_fed: date | None = None
    lawn_fed: bool | None = None
    good_soil: bool | None = None
    leaf_test: str | None = None
    leaf_nitrogen: float | None = None
    soil_test: str | None = None
    troubles: frozenset[str] = frozenset()
    unhurt: bool | None = None
    held_by: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()

    def tree(self) -> Tree:
        """The tree these facts describe."""
        return Tree(
            crop=self.crop or "other",
            age_years=self.age_years,
            trunk_cm=self.trunk_cm,
            canopy_m=self.canopy_m,
            height_m=self.height_m,
            grown_in=self.grown_in,
            pot_m=self.pot_m,
            dwarf=self.dwarf,
            bearing=self.bearing,
            climate=self.climate,
            hemisphere=self.hemisphere,
            frost=self.frost,
        )

    def condition(self) -> Condition:
        """How the tree does."""
        return Condition(
            leaf_colour=self.leaf_colour,
            shoot_cm=self.shoot_cm,
            shoot_word=self.shoot_word,
            soil=self.soil,
            new_growth=self.new_growth,
            last_fed=self.last_fed,
            lawn_fed=self.lawn_fed,
            good_soil=self.good_soil,
            leaf_test=self.leaf_test,
            soil_test=self.soil_test,
            troubles=self.troubles,
            unhurt=self.unhurt,
            held_by=self.held_by,
            beside=self.beside,
        )


def troubles_from(findings: Iterable[str], causes: Iterable[str]) -> frozenset[str]:
    """The keys of TROUBLES that a look's findings and likely causes (by id) amount to."""
    ids = set(findings) | set(causes)
    found = set()
    for name in ids:
        if name in ("roots_too_wet", "overwatering", "poor_drainage", "iron_shortage_wet_roots"):
            found.add("roots_wet")
        elif "root_rot" in name:
            found.add("root_rot")
        elif name in ("salty_root_zone", "salt_burn"):
            found.add("salted")
        elif name == "frost_damage":
            found.add("frosted")
        elif name.startswith("herbicide_"):
            found.add("weed_killer")
        elif name == "fertilizer_burn":
            found.add("burned")
    assert found <= TROUBLES.keys()
    return frozenset(found)


def facts_from_look(path: Path, known: Facts | None = None) -> Facts:
    """What a saved report of a look says, over what is known already; BadInput when it cannot be read."""
    try:
        look = json.loads(read_bounded(path, 8, "saved look"))
    except OSError as error:
        raise BadInput(
            f"the look '{path.name}' cannot be opened ({error.strerror}); check the file name."
        ) from None
    except (UnicodeDecodeError, json.JSONDecodeError) as error:
        raise BadInput(
            f"the look '{path.name}' is not JSON ({error}); give a look saved by sallow."
        ) from None
    if not isinstance(look, dict):
        raise BadInput(
            f"the look '{path.name}' should hold tree, answers, findings and causes; give a saved look."
        )
    return facts_of_look(_mapping(look.get("look")) or look, look, known or Facts())


def facts_of_look(told: Mapping[str, Any], result: Mapping[str, Any], known: Facts) -> Facts:
    """What a look was told and what it found, over what is known already.

    ``told`` is in the form of an answers file; ``result`` holds ``findings`` and ``causes`` of the report.
    """
    words = {**_mapping(told.get("answers")), **_mapping(told.get("tree"))}
    troubles = troubles_from(_ids(result.get("findings")), _ids(result.get("causes")))
    facts = replace(known, **_known_facts(words), troubles=known.troubles | troubles)
    if result.get("causes") and not facts.troubles:
        facts = replace(facts, unhurt=True)
    fed = [
        day
        for event in told.get("events") or ()
        if isinstance(event, dict) and event.get("what") == "fed" and (day := _day(str(event.get("when"))))
    ]
    return replace(facts, last_fed=max([*fed, *([facts.last_fed] if facts.last_fed else [])])) if fed else facts


def crop_named(text: str, crops: Iterable[Mapping[str, Any]]) -> str:
    """The crop id that ``text`` names, by any of its names; BadInput with the nearest name otherwise."""
    names: dict[str, str] = {"other": "other"}
    for crop in crops:
        for name in (crop["crop"], crop["name"], *crop.get("also_called", ())):
            names.setdefault(str(name).lower(), str(crop["crop"]))
    wanted = text.strip().lower().replace("_", " ")
    if wanted in names:
        return names[wanted] if names[wanted] in CROPS else "other"
    near = get_close_matches(wanted, names, n=1)
    hint = f" Did you mean '{near[0]}'?" if near else ""
    raise BadInput(f"'{text}' is not a fruit known here; for one not listed give --crop other.{hint}")


def _known_facts(known: Mapping[str, Any]) -> dict[str, Any]:
    changes = climate_facts(known) if known.get("winters") else {}
    for name, choices in (
        ("crop", CROPS),
        ("grown_in", PLACES),
        ("climate", CLIMATES),
        ("hemisphere", ("north", "south")),
    ):
        if known.get(name) in choices:
            changes[name] = known[name]
    for name, field in (
        ("age_years", "age_years"),
        ("trunk_diameter_cm", "trunk_cm"),
        ("canopy_diameter_m", "canopy_m"),
        ("height_m", "height_m"),
        ("pot_diameter_m", "pot_m"),
        ("shoot_growth_cm", "shoot_cm"),
    ):
        if isinstance(known.get(name), int | float) and not isinstance(known[name], bool):
            changes[field] = float(known[name])
    if known.get("shoot_growth") in ("hardly", "short", "normal", "strong"):
        changes["shoot_word"] = known["shoot_growth"]
    soil = {"dry": "dry", "moist": "moist", "wet": "wet", "soggy": "wet"}.get(str(known.get("soil_at_depth")))
    if soil:
        changes["soil"] = soil
    if isinstance(known.get("last_fed"), str):
        changes["last_fed"] = _day(known["last_fed"])
    return changes


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _mapping(value: object) -> Mapping[str, Any]:
    return value if isinstance(value, dict) else {}


def _ids(value: object) -> set[str]:
    """Ids from a list of ids, of pairs (id, words), of objects with an id, or an object from id to whether it holds."""
    if isinstance(value, dict):
        return {str(key) for key, holds in value.items() if holds not in (False, None)}
    found = set()
    for item in value if isinstance(value, list) else ():
        if isinstance(item, str):
            found.add(item)
        elif isinstance(item, list) and item:
            found.add(str(item[0]))
        elif isinstance(item, dict) and _counts(item):
            found.add(str(item.get("id") or item.get("cause") or item.get("finding") or ""))
    return found


def _counts(item: Mapping[str, Any]) -> bool:
    if item.get("confirmed") is True:
        return True
    standing = item.get("standing") or item.get("word") or item.get("belief")
    return standing is None or str(standing).replace(" ", "_") in _WEIGHTY
