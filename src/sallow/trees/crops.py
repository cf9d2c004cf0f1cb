"""Crop names as people write them; a stand-in list until the knowledge passes in its own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from difflib import get_close_matches
from types import MappingProxyType

from sallow.errors import BadInput

# known_crop(text) gives the crop's id, or the nearest names when it knows none by that text.
KnownCrop = Callable[[str], str | tuple[str, ...]]

_CITRUS = ("orange", "mandarin", "lemon", "lime", "grapefruit", "kumquat")
_STONE = ("peach", "nectarine", "plum", "apricot", "cherry", "almond")
_POME = ("apple", "pear")
CROPS = (
    *_CITRUS, "avocado", *_STONE, *_POME, "fig", "persimmon", "pomegranate", "loquat", "olive", "mango", "guava",
    "grape", "other",
)  # fmt: skip
_ALSO = MappingProxyType(
    {
        "tangerine": "mandarin", "clementine": "mandarin", "satsuma": "mandarin", "navel": "orange",
        "pomelo": "grapefruit", "prune": "plum", "vine": "grape", "grapevine": "grape", "another": "other",
        "cumquat": "kumquat", "kaki": "persimmon",
    }
)  # fmt: skip
_DECIDUOUS = (*_STONE, *_POME, "fig", "persimmon", "pomegranate", "grape")
_GROUPS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "citrus": frozenset(_CITRUS),
        "stone": frozenset(_STONE),
        "pome": frozenset(_POME),
        "deciduous": frozenset(_DECIDUOUS),
        "evergreen": frozenset(CROPS) - frozenset(_DECIDUOUS) - {"other"},
    }
)


def default_crop(text: str) -> str | tuple[str, ...]:
    """The id of the crop in the built-in list, or the nearest names of that list."""
    word = text.strip().lower().removesuffix(" tree")
    for spelling in (word, word.removesuffix("s"), word.removesuffix("es"), word.removesuffix("ies") + "y"):
        if spelling in CROPS:
            return spelling
        if spelling in _ALSO:
            return _ALSO[spelling]
    return tuple(get_close_matches(word, (*CROPS, *_ALSO), n=3, cutoff=0.6))


def crop_id(text: str, known_crop: KnownCrop = default_crop) -> str:
    """The id of the crop; BadInput with the nearest names when there is none."""
    found = known_crop(text)
    if isinstance(found, str):
        return found
    hint = f"Did you mean {' or '.join(found)}?" if found else f"It knows {', '.join(CROPS[:-1])}; otherwise use 'other'."
    raise BadInput(f"sallow knows no crop called '{text}'. {hint}")


def in_group(crop: str, groups: str) -> bool:
    """Whether the crop is one of these space-separated crops or groups; 'any' takes every crop."""
    return any(word == "any" or word == crop or crop in _GROUPS.get(word, ()) for word in groups.split())
