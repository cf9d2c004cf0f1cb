"""Each caution that must stand beside the numbers, as a person meets it, and not where it has no business."""

from __future__ import annotations

import io
import re
from datetime import date

import pytest
from tests.support.compiled import compiled_place

from sallow.cli import main
from sallow.environment import Environment
from sallow.status import ExitStatus

FED = (
    "feed", "--crop", "lemon", "--age", "6", "--canopy", "3m", "--in", "ground", "--climate", "dry_summer",
    "--hemisphere", "north", "--leaf-colour", "pale_old", "--soil", "moist", "--hurt-by", "none",
)  # fmt: skip
DRIP = ("--bag", "20-0-0", "--drip-flow", "16 L", "--drip-hours", "8")
WATER = ("water", "--crop", "lemon", "--canopy", "3m", "--et0", "5mm")
DATED = ("--taken", "2026-08-20", "--hemisphere", "north")


def run(*words):
    surroundings = Environment(
        stdin=io.StringIO(), stdout=io.StringIO(), stderr=io.StringIO(), today=date(2026, 1, 20),
        cache_folder=compiled_place(),
    )
    status = main(list(words), surroundings)
    return status, re.sub(r"\s+", " ", surroundings.stdout.getvalue()), surroundings.stderr.getvalue()


@pytest.mark.parametrize(
    ("words", "cautions"),
    [
        pytest.param((*FED, "--bag", "6-2-3"), ("burns roots", "dry roots", "water the day before"), id="burn"),
        pytest.param(
            (*FED, "--bag", "6-2-3"),
            ("groundwater", "heavy rain", "frozen, waterlogged", "wells, drains, ditches"),
            id="groundwater and runoff",
        ),
        pytest.param((*FED, "--frost", "yes"), ("soft growth that frost kills", "Last safe day"), id="late nitrogen"),
        pytest.param((*FED, "--bag", "6-2-3"), ("names boron or copper", "narrow margin"), id="boron and copper, bag"),
        pytest.param(("lab", "water", "--values", "B=0.4mg/L"), ("from too little to too much",), id="boron, water"),
        pytest.param(
            ("lab", "leaf", "--crop", "lemon", "--table", "florida", "--values", "Cu=25ppm", *DATED),
            ("Copper builds up",), id="copper, leaf",
        ),
        pytest.param(("lab", "soil", "--texture", "sand", "--values", "pH=7.3"), ("Sulfur dust", "mask"), id="sulfur"),
        pytest.param(
            ("lab", "water", "--values", "HCO3=200mg/L"), ("Acid to treat", "must never meet chlorine"), id="acid"
        ),
        pytest.param((*FED, "--bag", "ammonium sulfate"), ("turns the soil acid",), id="souring feeds"),
        pytest.param(
            (*FED, "--manure", "10 kg", "--manure-kind", "chicken"),
            ("germs", "90 days, and 120", "safety rules"), id="manure",
        ),
        pytest.param((*FED, "--compost", "10 kg"), ("Sewage sludge (biosolids)",), id="biosolids"),
        pytest.param((*FED, "--bag", "6-2-3"), ("may hold lead",), id="lead, feed"),
        pytest.param(("lab", "soil", "--values", "pH=6.5"), ("may hold lead",), id="lead, soil"),
        pytest.param((*FED, "--bag", "bone meal"), ("tempt pets", "castor meal is poisonous"), id="pets"),
        pytest.param((*FED, *DRIP), ("backflow preventer", "bleach and acid together"), id="injection"),
        pytest.param(
            (*WATER, "--caught", "50", "50", "10", "50"),
            ("backflow preventer", "never bring bleach (chlorine) and acid together"), id="emitters",
        ),
        pytest.param((*FED, "--bag", "6-2-3"), ("label", "limit phosphorus or nitrogen"), id="local limits"),
        pytest.param((*WATER, "--water-ec", "1.1dS/m"), ("only where water drains away freely",), id="leaching"),
    ],
)  # fmt: skip
def test_the_caution_stands_where_it_belongs(words, cautions):
    status, out, err = run(*words)
    assert status == ExitStatus.OK, err
    for caution in cautions:
        assert caution in out


@pytest.mark.parametrize(
    ("words", "absent"),
    [
        pytest.param((*FED, "--bag", "urea"), ("germs", "pets", "Sewage", "backflow"), id="a plain bag"),
        pytest.param((*FED[:-4], "--soil", "wet", "--bag", "6-2-3"), ("Take care",), id="nothing is given"),
        pytest.param(WATER, ("bleach", "backflow", "drains away freely"), id="no test, no salt"),
        pytest.param(("lab", "water", "--values", "EC=0.3dS/m"), ("Acid", "lead", "Boron"), id="good water"),
    ],
)
def test_cautions_that_do_not_apply_are_left_out(words, absent):
    out = run(*words)[1]
    assert out and not [word for word in absent if word in out]
