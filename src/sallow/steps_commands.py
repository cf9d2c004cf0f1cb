"""The command that works an amount out, with what a look knows filled in as its options."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

Known = Mapping[str, object]
_SOIL = {"dry": "dry", "moist": "moist", "wet": "wet", "soggy": "wet"}
_SHOOTS = ("hardly", "short", "normal", "strong")
_TEXTURES = ("sand", "loam", "clay")


def command_line(command: str, known: Known) -> str:
    """``sallow feed --crop lemon --age 6 --ask`` and the like; it asks for what is not filled in."""
    options = _OPTIONS[command]
    if command == "sallow water":
        known = {**known, **_as_reckoned(known)}
    parts = [f"{option} {text}" for option, key, write in options if (text := write(known.get(key)))]
    return " ".join([command, *parts, "--ask"])


def _as_reckoned(known: Known) -> dict[str, object]:
    """How the week's water was reckoned, so that the command comes to the same."""
    from sallow.care.water_usual import cover_of, size_of, system_of

    facts = {name: value for name, value in known.items() if isinstance(value, str | int | float | date)}
    told: dict[str, object] = {"water_size": size_of(facts)}
    if "ground_cover" in facts or facts.get("grown_in") == "lawn":
        told["water_cover"] = cover_of(facts)
    if "watering_how" in facts:
        told["water_system"] = system_of(facts)
    return told


def _word(value: object) -> str:
    return value if isinstance(value, str) and value.replace("_", "").isalnum() else ""


def _number(value: object, unit: str = "") -> str:
    return f"{value:.3g}{unit}" if isinstance(value, int | float) and not isinstance(value, bool) and value > 0 else ""


def _metres(value: object) -> str:
    return _number(value, "m")


def _centimetres(value: object) -> str:
    return _number(value, "cm")


def _one_of(*words: str) -> Callable[[object], str]:
    return lambda value: value if isinstance(value, str) and value in words else ""


def _soil(value: object) -> str:
    return _SOIL.get(value, "") if isinstance(value, str) else ""


def _day(value: object) -> str:
    return str(value) if value else ""


def _bag(value: object) -> str:
    if not isinstance(value, str):
        return ""
    return f"'{value}'" if " " in value else value


_TREE = (
    ("--crop", "crop", _word),
    ("--canopy", "canopy_diameter_m", _metres),
    ("--pot-width", "pot_diameter_m", _metres),
    ("--climate", "climate", _word),
)
_OPTIONS: Mapping[str, tuple[tuple[str, str, Callable[[object], str]], ...]] = {
    "sallow feed": (
        *_TREE,
        ("--hemisphere", "hemisphere", _word),
        ("--in", "grown_in", _word),
        ("--age", "age_years", _number),
        ("--trunk", "trunk_diameter_cm", _centimetres),
        ("--height", "height_m", _metres),
        ("--soil", "soil_at_depth", _soil),
        ("--shoots", "shoot_growth", _one_of(*_SHOOTS)),
        ("--last-fed", "last_fed", _day),
        ("--bag", "bag", _bag),
    ),
    "sallow water": (
        *_TREE,
        ("--soil", "soil_texture", _one_of(*_TEXTURES)),
        ("--hemisphere", "hemisphere", _word),
        ("--size", "water_size", _one_of("young", "half_grown")),
        ("--cover", "water_cover", _word),
        ("--system", "water_system", _word),
    ),
}
