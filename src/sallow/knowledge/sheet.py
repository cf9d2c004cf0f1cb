"""The stations of the field sheet, as written in the knowledge."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from sallow.knowledge.conditions import nearest
from sallow.values import dataclass

if TYPE_CHECKING:
    from sallow.knowledge.document import Document


@dataclass(frozen=True, slots=True)
class Station:
    """One stop of the walk: its signs and events in order; ``takes`` adds the tree's own words, the plan, or the
    events that no station names. Stops of the ``appendix`` are rarely needed and stand on a page of their own."""

    id: str
    name: str
    hint: str = ""
    takes: tuple[str, ...] = ()
    signs: tuple[str, ...] = ()
    events: tuple[str, ...] = ()
    appendix: bool = False


def build_stations(
    documents: Sequence[Document], signs: Collection[str], events: Collection[str]
) -> tuple[Station, ...]:
    """The stations of the last file that has any; a complaint for every unknown sign or event."""
    stations: tuple[Station, ...] = ()
    for document in documents:
        for index, raw in enumerate(document.value["stations"]):
            for kind, known in (("sign", signs), ("event", events)):
                for position, name in enumerate(raw.get(f"{kind}s", ())):
                    if name not in known:
                        document.complain(
                            ("stations", index, f"{kind}s", position),
                            f"unknown-{kind}",
                            f"there is no {kind} '{name}'",
                            f"a known {kind}",
                            nearest(name, known),
                        )
        stations = tuple(station_in(raw) for raw in document.value["stations"])
    return stations


def station_in(raw: Mapping[str, Any]) -> Station:
    """A station from its raw form."""
    return Station(
        raw["station"],
        raw["name"],
        raw.get("hint", ""),
        tuple(raw.get("takes", ())),
        tuple(raw.get("signs", ())),
        tuple(raw.get("events", ())),
        raw.get("appendix", False),
    )


def station_out(station: Station) -> dict[str, Any]:
    """A station as plain values."""
    return {
        "station": station.id,
        "name": station.name,
        "hint": station.hint,
        "takes": list(station.takes),
        "signs": list(station.signs),
        "events": list(station.events),
        "appendix": station.appendix,
    }
