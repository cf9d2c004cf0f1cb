"""Whoever answers by the typical look of a cause is led to that cause by the interview's own questions."""

from __future__ import annotations

import pytest
from tests.conftest import TODAY
from tests.support.grower import interviewed

from sallow.answers import look_from
from sallow.knowledge.model import Knowledge

# Where the interview ends elsewhere, and why that is known and borne.
ELSEWHERE = {
    "copper_shortage": "only a laboratory tells it; what it looks like is from memory and weighs little",
    "sulfur_shortage": "rare, and only a laboratory tells it from nitrogen and cold",
    "iron_shortage_wet_roots": "too much water comes first, which is what brings it on and what has to be mended",
    "poor_drainage": "too much water comes first; the hole that tells them apart is a confirming test, not a question",
    "phosphorus_shortage": "only a laboratory tells it; its look is that of many troubles of fruit",
    "phosphate_lockup": "only a laboratory tells it; the elements it locks up come first",
    "overliming": "iron on limy soil comes first; the soil's pH and how far it reaches tell them apart, as tests",
    "pear_decline": "pear psylla, which carries it, comes first; the brown line under the bark is a confirming test",
    "graft_failure": "rare; the question about the graft is asked only once likelier reasons are gone",
}


@pytest.mark.proof
def test_every_typical_look_but_the_listed_ones_is_reached_by_the_interview(knowledge: Knowledge) -> None:
    elsewhere = set()
    for cause in knowledge.causes.values():
        look = look_from(dict(cause.typical), cause.id, knowledge, TODAY)
        if interviewed(knowledge, look)[1] != cause.id:
            elsewhere.add(cause.id)
    assert elsewhere <= set(ELSEWHERE)
