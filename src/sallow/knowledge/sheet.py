"""The stations of the field sheet, as written in the knowledge."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from sallow.knowledge.conditions import nearest
from sallow.values import dataclass

if TYPE_CHECKING:
    from sallow.knowledge.document import Document


@dataclass(frozen=True, slots=True)
class Station:
    """One stop of the walk: its signs in order; ``takes`` adds the tree's own words, the plan or the events."""

    id: str
    name: str
    hint: str = ""
    takes: tuple[str, ...] = ()
    signs: tuple[str, ...] = ()


def build_stations(documents: Sequence[Document], signs: Mapping[str, Any]) -> tuple[Station, ...]:
    """The stations of the last file that has any; a complaint for every unknown sign."""
    stations: tuple[Station, ...] = ()
    for document in documents:
        for index, raw in enumerate(document.value["stations"]):
            for position, sign in enumerate(raw.get("signs", ())):
                if sign not in signs:
                    document.complain(
                        ("stations", index, "signs", position),
                        "unknown-sign",
                        f"there is no sign '{sign}'",
                        "a known sign",
                        nearest(sign, signs),
                    )
        stations = tuple(station_in(raw) for raw in document.value["stations"])
    return stations


def station_in(raw: Mapping[str, Any]) -> Station:
    """A station from its raw form."""
    return Station(
        raw["station"], raw["name"], raw.get("hint", ""), tuple(raw.get("takes", ())), tuple(raw.get("signs", ()))
    )


def station_out(station: Station) -> dict[str, Any]:
    """A station as plain values."""
    return {
        "station": station.id,
        "name": station.name,
        "hint": station.hint,
        "takes": list(station.takes),
        "signs": list(station.signs),
    }
