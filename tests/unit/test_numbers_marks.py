"""Figures from memory say so wherever they are printed, and figures that cannot be meant are refused."""

from __future__ import annotations

import io
import re
from datetime import date

import pytest
from tests.support.compiled import compiled_place

from sallow.cli import main
from sallow.environment import Environment
from sallow.status import ExitStatus


def run(*words):
    surroundings = Environment(
        stdin=io.StringIO(), stdout=io.StringIO(), stderr=io.StringIO(), today=date(2026, 8, 1),
        cache_folder=compiled_place(),
    )
    status = main(list(words), surroundings)
    return status, re.sub(r"\s+", " ", surroundings.stdout.getvalue()), surroundings.stderr.getvalue()


FED = (
    "feed", "--crop", "lemon", "--age", "6", "--canopy", "3m", "--climate", "dry_summer", "--hemisphere", "south",
    "--leaf-colour", "pale_old", "--soil", "moist", "--hurt-by", "none", "--shoots", "short",
)  # fmt: skip


@pytest.mark.parametrize(
    ("words", "marked"),
    [
        (("water", "--crop", "lemon", "--canopy", "3m", "--climate", "desert", "--warmth", "hot"),
         "6 to 8 mm (0.24 to 0.31 in) (reference evapotranspiration; a usual range, from memory)"),
        (("water", "--crop", "peach", "--canopy", "3m", "--et0", "5mm", "--water-ec", "1dS/m"),
         "this tree bears: 1.7 dS/m (from memory)"),
        (("lab", "water", "--crop", "peach", "--values", "EC=1.9dS/m"), "of the crop is then left (from memory)"),
        (("lab", "water", "--crop", "lemon", "--values", "EC=1.9dS/m"), "of the crop is then left (published)"),
        (("lab", "soil", "--crop", "apricot", "--values", "EC(paste)=3dS/m"), "bears up to 1.6 dS/m (from memory)"),
        (("lab", "leaf", "--crop", "lemon", "--table", "florida", "--values", "N=2.1%"),
         "Florida table (from memory, not checked against the printed table)"),
        (("lab", "soil", "--texture", "loam", "--values", "pH=5.0"), "(from memory), in 2 equal parts"),
        ((*FED, "--bag", "urea"), "cups only roughly; from memory, not checked"),
        ((*FED, "--bag", "feather meal"), "The numbers of feather meal are from memory, not checked"),
        (("water", "--caught", "50", "50", "50", "40"), "the word is from memory"),
    ],
)  # fmt: skip
def test_what_is_from_memory_says_so_beside_the_figure(words, marked):
    status, out, err = run(*words)
    assert status == ExitStatus.OK, err
    assert marked in out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("water", "--crop", "lemon", "--canopy", "3", "--et0", "5mm"), "has no unit"),
        (("water", "--crop", "lemon", "--canopy", "3m", "--et0", "5"), "has no unit"),
        (("water", "--crop", "lemon", "--canopy", "3m", "--tmin", "10", "--tmax", "25C", "--latitude", "34S"),
         "has no unit"),
        (("water", "--crop", "lemon", "--canopy", "3m", "--et0", "5mm", "--water-ec", "0.9"), "has no unit"),
        (("water", "--crop", "lemon", "--canopy", "3mm", "--et0", "5mm"), "not believable"),
        (("water", "--crop", "lemon", "--canopy", "-3m", "--et0", "5mm"), "more than zero"),
        (("water", "--crop", "lemon", "--canopy", "1m", "--et0", "5mm", "--pot-width", "57m"), "not believable"),
        (("feed", "--crop", "lemon", "--compost", "-5kg"), "more than zero"),
        (("feed", "--crop", "lemon", "--canopy", "-3 m"), "more than zero"),
    ],
)  # fmt: skip
def test_sizes_without_unit_below_zero_or_beyond_belief_are_refused(words, says):
    status, out, err = run(*words)
    assert (status, out) == (ExitStatus.BAD_INPUT, "")
    assert says in err and "usage:" not in err


def test_with_units_chosen_a_bare_number_is_in_them():
    metric = run("water", "--crop", "lemon", "--canopy", "3", "--et0", "5", "--units", "metric")[1]
    assert metric == run("water", "--crop", "lemon", "--canopy", "3m", "--et0", "5mm", "--units", "metric")[1]
    us = run("water", "--crop", "lemon", "--canopy", "10", "--et0", "0.2", "--units", "us")[1]
    assert us == run("water", "--crop", "lemon", "--canopy", "10ft", "--et0", "0.2in", "--units", "us")[1]
