"""A step of a look that needs numbers: it asks for just those it lacks, and its command carries what is known."""

from __future__ import annotations

import io
import json
import re
import shlex
from datetime import date
from pathlib import Path

import pytest
import yaml
from tests.support.compiled import compiled_place

from sallow.care.amounts import amount
from sallow.care.known import QUESTIONS
from sallow.cli import main
from sallow.commands.feed_facts import crop_named as feed_crop
from sallow.commands.water_inputs import crop_named as water_crop
from sallow.environment import Environment
from sallow.knowledge.load import load
from sallow.knowledge.locate import shipped_folder
from sallow.status import ExitStatus
from sallow.steps_commands import command_line

PALE = {
    "part": "leaf", "leaf_change": ["colour"], "leaf_age": "oldest", "colour_pattern": "even_pale",
    "crown_place": "whole", "extent": "half", "onset": "months", "rest_of_twig": "paler",
}  # fmt: skip
LIMP = {
    "part": "leaf", "leaf_change": ["limp"], "leaf_age": "all", "crown_place": "whole", "extent": "most",
    "onset": "days",
}  # fmt: skip
MILD = {"winters": "mild", "summers": "dry", "heat": "moderate"}
LOOKS = {
    "lemon in a pot": {
        "date": "2026-09-20",
        "tree": {"crop": "lemon", **MILD, "hemisphere": "south", "grown_in": "pot", "age_years": 4},
        "symptoms": [PALE],
        "answers": {"looks_well": "fair", "shoot_growth": "short", "soil_at_depth": "moist", "watering_how": "hand"},
    },
    "peach in the ground": {
        "date": "2026-05-10",
        "tree": {
            "crop": "peach", "winters": "hard", "summers": "rainy", "hemisphere": "north", "grown_in": "ground",
            "age_years": 8,
        },
        "symptoms": [PALE],
        "answers": {"looks_well": "fair", "shoot_growth": "short", "soil_at_depth": "moist", "watering_how": "drip"},
    },
    "avocado": {
        "date": "2027-01-10",
        "tree": {"crop": "avocado", **MILD, "hemisphere": "south", "grown_in": "ground", "age_years": 5},
        "symptoms": [LIMP],
        "answers": {"looks_well": "fair", "soil_at_depth": "dry", "watering_how": "drip"},
    },
}  # fmt: skip
# What the look's steps must lack, and what they must not ask for again.
LACKS = {
    "lemon in a pot": ({"pot_diameter_m"}, {"age_years", "crop", "grown_in", "hemisphere", "climate"}),
    "peach in the ground": ({"canopy_diameter_m"}, {"age_years", "crop", "grown_in", "hemisphere", "climate"}),
    "avocado": ({"canopy_diameter_m"}, {"crop", "grown_in", "hemisphere", "climate"}),
}


def run(*words: str, typed: str = "", folder: Path | None = None) -> tuple[int, str, str]:
    surroundings = Environment(
        stdin=io.StringIO(typed), stdout=io.StringIO(), stderr=io.StringIO(), today=date(2026, 9, 20),
        cache_folder=compiled_place(), **({"data_folder": folder} if folder else {}),
    )  # fmt: skip
    status = main(words, surroundings)
    return status, surroundings.stdout.getvalue(), surroundings.stderr.getvalue()


def steps(told: dict, folder: Path) -> list[dict]:
    path = folder / "look.json"
    path.write_text(json.dumps({**told, "no_more_symptoms": True}), encoding="utf-8")
    status, out, err = run("look", "--answers", str(path), "--format", "json", folder=folder)
    assert status == ExitStatus.OK, err
    report = json.loads(out)
    return [*report["steps_now"], *report["steps_if_confirmed"]]


@pytest.mark.parametrize("name", LOOKS)
def test_steps_ask_for_just_what_they_lack(name, tmp_path):
    wanted, known = LACKS[name]
    found = steps(LOOKS[name], tmp_path)
    asked = {fact for step in found for fact in step["amount_facts"]}
    assert wanted <= asked and not asked & known
    lacking = [step for step in found if step["amount_lacks"]]
    assert lacking
    for step in lacking:
        assert step["amount_lacks"] == [QUESTIONS[fact] for fact in step["amount_facts"]]


@pytest.mark.parametrize("name", LOOKS)
@pytest.mark.parametrize(("units", "width"), [("metric", "0.5"), ("us", "1.6")])
def test_the_commands_of_steps_carry_what_is_known_and_run(name, units, width, tmp_path):
    told = LOOKS[name]
    lines = [step["command"] for step in steps(told, tmp_path) if ": sallow " in step["command"]]
    assert lines
    commands = {line.partition(": ")[2] for line in lines}
    assert all(f"--crop {told['tree']['crop']}" in command and command.endswith(" --ask") for command in commands)
    for command in commands:
        words = shlex.split(command)[1:-1]
        if words[0] == "feed":
            assert f"--age {told['tree']['age_years']}" in command and "--hemisphere" in command
        size = ["--pot-width", width] if told["tree"]["grown_in"] == "pot" else []
        unit = "m" if units == "metric" else "ft"
        extra = ["--canopy", f"{width}{unit}", *([size[0], f"{width}{unit}"] if size else [])]
        if words[0] == "water":
            extra += ["--warmth", "mild"]
        status, out, err = run(*words, *extra, "--units", units)
        assert status == ExitStatus.OK, err
        other = r"\d (ft|gal|lb|oz|in)\b" if units == "metric" else r"\d (cm|m|kg|g|L)\b"
        assert not re.search(other, out.split("Take care")[0].split("Mind")[0])


@pytest.mark.parametrize("name", LOOKS)
def test_the_reckoning_is_shown_on_request_only(name, tmp_path):
    told = LOOKS[name]
    full = {**told, "tree": {**told["tree"], "canopy_diameter_m": 3.0, "pot_diameter_m": 0.5}}
    if told["tree"]["grown_in"] != "pot":
        del full["tree"]["pot_diameter_m"]
    path = tmp_path / "look.json"
    path.write_text(json.dumps({**full, "no_more_symptoms": True}), encoding="utf-8")
    plain = run("look", "--answers", str(path), folder=tmp_path)[1]
    shown = run("look", "--answers", str(path), "--show-working", folder=tmp_path)[1]
    assert "Reckoning:" not in plain and shown.count("Reckoning:") >= 2


def test_an_amount_that_rests_on_a_guessed_pot_shows_no_reckoning(tmp_path):
    found = steps(LOOKS["lemon in a pot"], tmp_path)
    pots = [step for step in found if "pot_diameter_m" in step["amount_facts"]]
    assert pots and all(not step["working"] for step in pots)


def test_no_command_is_named_that_would_not_work_it_out(tmp_path):
    found = [step for step in steps(LOOKS["peach in the ground"], tmp_path) if "Mulch 5 cm" in " ".join(step["amount"])]
    assert found and not any(step["command"] for step in found)


def test_what_cannot_be_an_option_is_left_out():
    known = {
        "crop": "lemon", "age_years": 6, "canopy_diameter_m": "wide", "soil_at_depth": "not_sure",
        "grown_in": "ground", "shoot_growth": "go_look", "bag": "ammonium sulfate", "pot_diameter_m": -1,
    }  # fmt: skip
    assert (
        command_line("sallow feed", known)
        == "sallow feed --crop lemon --in ground --age 6 --bag 'ammonium sulfate' --ask"
    )
    assert command_line("sallow water", {}) == "sallow water --ask"


def test_every_crop_of_the_knowledge_may_stand_in_the_commands():
    crops = yaml.safe_load((shipped_folder("knowledge") / "crops.yaml").read_text(encoding="utf-8"))["crops"]
    for crop in crops:
        assert water_crop(crop["crop"]) == crop["crop"]
        assert feed_crop(crop["crop"], crops) in (crop["crop"], "other")


def test_the_caution_of_an_amount_reaches_the_report(tmp_path):
    told = LOOKS["avocado"]
    path = tmp_path / "look.json"
    full = {**told, "tree": {**told["tree"], "canopy_diameter_m": 3.0}, "no_more_symptoms": True}
    path.write_text(json.dumps(full), encoding="utf-8")
    out = run("look", "--answers", str(path), folder=tmp_path)[1]
    assert "more water drowns roots" in " ".join(out.split())


@pytest.mark.parametrize(
    ("grown_in", "watering_how", "advised"),
    [
        ("pot", None, False), ("lawn", None, False), ("ground", "drip", True), ("ground", None, True),
        ("ground", "hand", False), ("pot", "rain", False),
    ],
)  # fmt: skip
def test_the_drip_line_is_looked_at_only_where_one_is_told_or_possible(
    grown_in: str, watering_how: str | None, advised: bool, tmp_path: Path
) -> None:
    hungry = LOOKS["lemon in a pot"]
    answers = {name: value for name, value in hungry["answers"].items() if name != "watering_how"}
    answers |= {} if watering_how is None else {"watering_how": watering_how}
    found = steps({**hungry, "tree": {**hungry["tree"], "grown_in": grown_in}, "answers": answers}, tmp_path)
    told = "If a drip line waters it, run the line and look for"
    assert any(told in json.dumps(step) for step in found) == advised


SALTY = {
    "date": "2026-09-20", "about_to": "nothing",
    "tree": {
        "crop": "lemon", "climate": "dry_summer", "hemisphere": "north", "grown_in": "ground", "canopy_diameter_m": 3,
    },
    "symptoms": [{"part": "leaf", "leaf_change": ["dead"], "dead_areas": "tips", "leaf_age": "oldest"}],
    "answers": {"soil_crust": "yes", "water_salt": "high", "soil_texture": "loam"},
}  # fmt: skip


def test_washing_salt_down_carries_the_water_of_one_soaking(tmp_path):
    """Worked by hand: 3.14 x 1.5 x 1.5 m = 7.1 m2 under the canopy; the litres are those of a soak as deep."""
    found = next(step for step in steps(SALTY, tmp_path) if "one long slow soak" in step["do"])
    known = {"canopy_diameter_m": 3.0, "grown_in": "ground", "soil_texture": "loam"}
    tables = load([shipped_folder("knowledge")]).tables
    litres = re.search(r"About ([\d.]+ L)", " ".join(amount("soak_depth", known, tables).lines))
    assert litres is not None and any(litres[1] in line for line in found["amount"])
    assert not found["amount_lacks"] and "7.1 m2" in " ".join(found["working"])


@pytest.mark.parametrize(("soil", "held"), [("moist", False), ("wet", True)])
def test_a_soak_is_held_back_where_the_roots_stand_wet(tmp_path, soil, held):
    told = {**SALTY, "answers": {**SALTY["answers"], "soil_at_depth": soil}}
    found = steps(told, tmp_path)
    soaks = [step["do"] for step in found if "one long slow soak" in step["do"]]
    withheld = [step["do"] for step in found if step["do"].startswith("Not now: water it more")]
    assert (not soaks and len(withheld) == 1) if held else (soaks and not withheld)
