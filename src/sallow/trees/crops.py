"""Crop names as people write them, and the groups crops belong to, from a crops document of the knowledge."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from types import MappingProxyType
from typing import Any

from sallow.errors import BadInput

# Gives the crop's id, or the nearest names when it knows none by that text.
KnownCrop = Callable[[str], str | tuple[str, ...]]
Find = Callable[[str], str | None]


@dataclass(frozen=True, slots=True)
class CropList:
    """Crop ids by every spelling, their plain names, the groups of each (its own; evergreen or deciduous).

    ``find`` gives the crop that a text stands for, or None.
    """

    ids: Mapping[str, str]
    names: Mapping[str, str]
    groups: Mapping[str, frozenset[str]]
    find: Find

    def known_crop(self, text: str) -> str | tuple[str, ...]:
        """The id of the crop called ``text``; otherwise the nearest spellings."""
        return self.find(text) or tuple(get_close_matches(text.strip().lower(), self.ids, n=3, cutoff=0.6))

    def belongs(self, crop: str, groups: str) -> bool:
        """Whether the crop is one of these space-separated crops or groups; 'any' takes every crop."""
        own = self.groups.get(crop, frozenset())
        return any(word in ("any", crop) or word in own for word in groups.split())


def crop_list(document: Mapping[str, Any], find: Find | None = None) -> CropList:
    """The list of a document with ``crops: [{crop, name, group, evergreen, also_called}, ...]``.

    Without ``find`` only the exact spellings are known.
    """
    ids: dict[str, str] = {}
    for crop in document["crops"]:
        for spelling in (*crop.get("also_called", ()), crop["name"], crop["crop"].replace("_", " ")):
            ids[str(spelling).lower()] = crop["crop"]
    return CropList(
        ids=MappingProxyType(ids),
        names=MappingProxyType({crop["crop"]: crop["name"] for crop in document["crops"]}),
        groups=MappingProxyType({crop["crop"]: _groups(crop) for crop in document["crops"]}),
        find=find or ids.get,
    )


def crop_id(text: str, known_crop: KnownCrop) -> str:
    """The id of the crop; BadInput with the nearest names when there is none."""
    found = known_crop(text)
    if isinstance(found, str):
        return found
    hint = f"Did you mean {' or '.join(found)}?" if found else "If it is none of those sallow knows, write 'other'."
    raise BadInput(f"sallow knows no crop called '{text}'. {hint}")


def _groups(crop: Mapping[str, Any]) -> frozenset[str]:
    leaves = "evergreen" if crop.get("evergreen") else "deciduous"
    known = () if crop["crop"] == "other" else (leaves,)
    return frozenset((*known, *([crop["group"]] if crop.get("group") else [])))
