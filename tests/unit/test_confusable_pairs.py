"""Pairs that people confuse: a grower who has the one is asked something that tells it from the other.

The signs named beside each group are those that publications tell these causes apart by. A grower whose tree shows the
typical look of one cause is interviewed; one of the named signs must come up, and its answers must be able to turn the
odds between the two at least four to one (6 decibans). A pair of which the other cannot occur on the grower's kind of
tree is told apart by the first question.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import permutations
from math import log10
from typing import Any

import pytest
from tests.conftest import TODAY
from tests.support.grower import interviewed

from sallow.answers import look_from
from sallow.diagnosis import weigh_look
from sallow.knowledge.model import Knowledge
from sallow.reasoning.compile import grows_on

FOUR_TO_ONE = 6.0

# group: (causes, signs that tell them apart); sources: see the look-alikes of each cause.
GROUPS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    # AZ1415, UF CH142, BC and WSU leaflets: leaf age, width of the green bands, size of the leaf.
    "iron, manganese, zinc, magnesium": (
        ("iron_shortage_lime", "manganese_shortage", "zinc_shortage", "magnesium_shortage"),
        ("colour_pattern", "leaf_shape", "leaf_age"),
    ),
    # UC IPM aeration, UC Kallsen, UCMG: dig, take the soil's temperature, see which leaves and how many.
    "nitrogen, wet roots, cold soil, old leaves, sulfur": (
        ("nitrogen_shortage", "overwatering", "winter_yellowing", "old_leaves_going", "sulfur_shortage"),
        ("soil_at_depth", "soil_smell", "soil_temperature", "leaf_age", "extent", "leaf_drop"),
    ),
    # UC IPM salt and boron pages, OMAFRA, UC drought and sunburn pages.
    "potassium, salt, boron, wind, sun, drought": (
        ("potassium_shortage", "salt_burn", "boron_excess", "wind_burn", "sunburn_leaves", "drought"),
        ("soil_at_depth", "soil_crust", "dead_areas", "leaf_age", "crown_place", "leaf_shape", "resin_specks"),
    ),
    # PP328, CREC: do both halves of the leaf match; UC stubborn: shape of fruit and tree.
    "zinc, blotchy mottle, stubborn disease": (
        ("zinc_shortage", "huanglongbing", "citrus_stubborn"),
        ("symmetry", "fruit_core", "whole_change", "crown_place"),
    ),
    # UF CH142, UC herbicide page: wound or band, limb or tree, cold soil, edge of a treated strip.
    "yellow veins": (
        ("girdled_limb", "girdled_trunk", "herbicide_soil_residual", "nitrogen_shortage", "winter_yellowing"),
        ("trunk_base", "limb_base", "crown_place", "leaf_age", "soil_temperature", "worst_beside"),
    ),
    # UC leaf damage key for citrus, UC mites: what sits on the leaf, and which mite.
    "mites, thrips, leafhoppers, ozone, rust mites": (
        ("spider_mites", "citrus_thrips", "leafhoppers", "ozone_injury", "citrus_rust_mite"),
        ("on_leaf", "mites_seen", "dots_where", "leaf_face", "rind_scar"),
    ),
    # PN74137, Delaware 2,4-D page, USU leaf curl: tunnel, twisted stalk, insects, thick blisters, one night.
    "leafminer, hormone weed killer, aphids, leaf curl, frost": (
        ("citrus_leafminer", "herbicide_hormone", "aphids", "peach_leaf_curl", "frost_damage"),
        ("holes_kind", "leaf_shape", "on_leaf", "dead_areas", "onset"),
    ),
    # UC bacterial canker page, UCNFA fire blight, UC borers, OMAFRA winter injury.
    "fire blight, bacterial canker, borer, frost dieback": (
        ("fire_blight", "bacterial_canker", "trunk_borers", "winter_dieback"),
        ("morning_ooze", "bark_change", "wood_cut", "shoot_change", "alive_where", "winter_chill"),
    ),
    # UC verticillium, aeration and vertebrate pages: dig, cut a shoot, look at the crown, rock it.
    "wilt: drought, wet roots, verticillium, gophers, failing graft": (
        ("drought", "overwatering", "verticillium_wilt", "rodent_gnawing", "graft_failure"),
        ("soil_at_depth", "soil_smell", "wood_cut", "trunk_base", "rocks", "inner_bark", "crown_place"),
    ),
    # UC fig mosaic, TNAU and Alabama fig rust, UC sunburn.
    "fig rust, fig mosaic, sun": (
        ("fig_rust", "fig_mosaic", "sunburn_leaves"),
        ("spot_kind", "colour_pattern", "crown_place", "onset"),
    ),
    # UC pear psylla, UCNFA fire blight.
    "pear psylla, fire blight": (("pear_psylla", "fire_blight"), ("on_leaf", "morning_ooze", "shoot_change")),
    # UF CH142, UC Kallsen.
    "magnesium, old leaves": (("magnesium_shortage", "old_leaves_going"), ("colour_pattern", "leaf_age", "extent")),
    # Citrus Industry vol. II, UC Kallsen on boron: which leaves, gum specks beneath, clean leaves since.
    "biuret, boron": (("biuret_injury", "boron_excess"), ("leaf_age", "resin_specks", "new_leaves_since")),
    # WSU zinc page, MSU glyphosate page: shape of the leaf, low shoots or the whole crown.
    "glyphosate, zinc": (("herbicide_glyphosate", "zinc_shortage"), ("leaf_shape", "crown_place", "weed_killer")),
}


def before_any_laboratory(knowledge: Knowledge, cause: str) -> dict[str, Any]:
    """The typical look of a cause without results of laboratory and clinic."""
    raw = dict(knowledge.causes[cause].typical)
    told = {sign: value for sign, value in raw.get("answers", {}).items() if not knowledge.signs[sign].result_of}
    return raw | {"answers": told}


def one_answer_each(knowledge: Knowledge, raw: dict[str, Any], sign_id: str) -> Iterator[dict[str, Any]]:
    """The look with each answer of a sign in turn."""
    sign = knowledge.signs[sign_id]
    for answer in sign.answers:
        value = [answer] if sign.kind == "several" else answer
        if sign.of_symptom:
            first, *rest = raw["symptoms"]
            yield raw | {"symptoms": [{**first, sign_id: value}, *rest]}
        else:
            yield raw | {"answers": {**raw.get("answers", {}), sign_id: value}}


def swing(knowledge: Knowledge, raw: dict[str, Any], one: str, other: str, sign: str) -> float:
    """How far (decibans) the answers of a sign can move the odds between two causes."""
    odds = []
    for told in one_answer_each(knowledge, raw, sign):
        _, weighed = weigh_look(knowledge, look_from(told, one, knowledge, TODAY))
        here, there = weighed.belief(one), weighed.belief(other)
        if here > 0 and there > 0:
            odds.append(10 * log10(here / there))
    return max(odds) - min(odds) if odds else 0.0


@pytest.fixture(scope="module")
def asked_of(knowledge: Knowledge) -> Any:
    """The signs asked of a grower whose tree shows the typical look of a cause."""

    @cache
    def asked(cause: str) -> frozenset[str]:
        look = look_from(before_any_laboratory(knowledge, cause), cause, knowledge, TODAY)
        return frozenset(interviewed(knowledge, look)[0])

    return asked


@pytest.mark.parametrize("group", GROUPS)
def test_a_question_that_tells_the_pair_apart_is_asked(knowledge: Knowledge, asked_of: Any, group: str) -> None:
    causes, signs = GROUPS[group]
    undecided = []
    for one, other in permutations(causes, 2):
        raw = before_any_laboratory(knowledge, one)
        if not grows_on(other, raw["tree"]["crop"], knowledge):
            continue
        if not any(sign in asked_of(one) and swing(knowledge, raw, one, other, sign) >= FOUR_TO_ONE for sign in signs):
            undecided.append(f"{one}, which might be {other}")
    assert not undecided
