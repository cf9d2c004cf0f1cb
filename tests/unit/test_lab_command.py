"""sallow lab as a person meets it: options, CSV with a column map, questions, JSON, and bad input."""

import io
import json
from datetime import date

import pytest
from tests.support.compiled import compiled_place

from sallow.cli import main
from sallow.environment import Environment


def run(*words, typed="", width=80):
    out, err = io.StringIO(), io.StringIO()
    environment = Environment(
        stdin=io.StringIO(typed), stdout=out, stderr=err, today=date(2026, 4, 20), width=width,
        cache_folder=compiled_place(),
    )  # fmt: skip
    status = main(("lab", *words), environment)
    return status, out.getvalue(), err.getvalue()


# Inside both windows for citrus: Florida July and August, California from 15 August.
DATED = ("--taken", "2026-08-20", "--hemisphere", "north")


def in_one_line(text):
    return " ".join(text.split())


def answers(*words):
    status, out, err = run(*words, "--format", "json")
    assert status == 0, err
    return json.loads(out)["answers"]


def test_leaf_figures_from_options():
    words = ("leaf", "--crop", "lemon", "--table", "florida", "--values", "N=2.1%", "Zn=15ppm", "K=1.4 %", *DATED)
    assert answers(*words) == {"leaf_nitrogen": "low", "leaf_potassium": "about_right", "leaf_zinc": "low"}
    status, out, _ = run(*words, "--show-working")
    assert status == 0
    assert "from memory" in out
    assert "nitrogen 2.1 %: deficient; aim 2.5 to 2.7 %" in out
    assert "zinc -76, nitrogen -19" in out
    assert "DOP = 100 x 2.1 / 2.6 - 100 = -19.2 %" in out


def test_figures_may_follow_the_sample_directly():
    assert answers("leaf", "N=2.1%", "--crop", "lemon", "--table", "florida", *DATED) == {"leaf_nitrogen": "low"}


def test_soil_report_with_amendments_and_cautions():
    status, out, _ = run("soil", "--crop", "peach", "--texture", "loam", "--values", "pH=5.0", "EC(paste)=2.3 dS/m")
    assert status == 0
    out = in_one_line(out)
    assert "Ground limestone" in out and "lb per 100 sq ft (from memory)" in out
    assert "may hold lead" in out
    assert "Lime dust burns eyes" in out
    _, out, _ = run("soil", "--texture", "sand", "--values", "pH=7.3")
    assert "Sulfur powder" in out and "goggles" in out
    _, out, _ = run("soil", "--texture", "clay", "--fizzes", "yes", "--values", "pH=8.1")
    assert "cannot realistically be acidified" in in_one_line(out)


def test_water_report():
    found = answers(
        "water", "--crop", "avocado", "--values", "EC=900 uS/cm", "Cl=120 mg/L", "B=0.4ppm", "HCO3=180 mg/L"
    )
    assert found == {"water_salt": "raised", "water_boron": "low", "water_hardness": "hard"}
    _, out, _ = run("water", "--values", "EC=1.2dS/m", "HCO3=180 mg/L", "B=0.4 mg/L")
    out = in_one_line(out)
    assert "must never meet chlorine" in out and "too little to too much is small" in out


LONG = "Sample,Analyte,Result,Units,Method\nA,Nitrogen,2.1,%,\nA,Zn,15,ppm,\nA,CEC,12,meq/100g,\nA,P2O5,0.35,%,\n"


def test_csv_one_figure_a_line(tmp_path):
    path = tmp_path / "report.csv"
    path.write_text(LONG, encoding="utf-8")
    words = ("leaf", "--crop", "orange", "--table", "florida", "--csv", str(path), *DATED)
    assert answers(*words) == {"leaf_nitrogen": "low", "leaf_phosphorus": "about_right", "leaf_zinc": "low"}
    assert "not tests this command reads: CEC" in run(*words)[1]


def test_csv_with_a_column_map(tmp_path):
    path = tmp_path / "report.csv"
    path.write_text("Stoff;Wert;Einheit;Art\nP;12,5;ppm;Olsen\nK;180;ppm;ammonium acetate\n", encoding="utf-8")
    words = ("soil", "--csv", str(path), "--columns", "test=Stoff,value=Wert,unit=Einheit,method=Art")
    status, out, err = run(*words)
    assert status == 0, err
    assert "phosphorus (olsen) 12.5 ppm: borderline" in out
    assert "potassium (ammonium acetate) 180 ppm: optimal" in out


def test_csv_one_sample_a_line(tmp_path):
    path = tmp_path / "report.csv"
    path.write_text("ID,N (%),Zn [ppm],Remarks\nX,2.6,40,fine\nY,2.0,12,pale\n", encoding="utf-8")
    words = ("leaf", "--crop", "orange", "--table", "florida", "--csv", str(path), *DATED)
    assert answers(*words) == {"leaf_nitrogen": "about_right", "leaf_zinc": "about_right"}
    assert answers(*words, "--row", "2") == {"leaf_nitrogen": "low", "leaf_zinc": "low"}


def test_guided_leaf_report():
    replies = ["1", "lemon", "N 2.4 ppm", "N 2.1 %", "Zn 15 ppm", "", "2", "2", "2026-02-20"]
    status, out, err = run(typed="\n".join(replies) + "\n")
    assert status == 0, err
    assert "Did you mean 2.4 %?" in out
    assert "taken" in out


def test_guided_soil_report_asks_the_method():
    replies = ["2", "peach", "pH 7.3", "P 12 ppm", "", "1", "3", "2"]
    status, out, err = run(typed="\n".join(replies) + "\n")
    assert status == 0, err
    assert "How was phosphorus extracted" in out
    assert "phosphorus (olsen) 12 ppm" in out


def test_guided_not_sure_and_end_of_input():
    status, _, err = run(typed="\n")
    assert status == 2 and "kind of report" in err
    status, _, err = run(typed="1\n\n\n")
    assert status == 2 and "no figure was typed" in err
    status, _, err = run(typed="1\nlemon\n")
    assert status == 130 and "Stopped" in err
    status, out, _ = run(typed="3\n\nEC 1.1 dS/m\n\n\n")
    assert status == 0 and "Hazards of the water" in out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--values", "N=2%"), "say what was sampled"),
        (("leaf", "--values", "N=2.4ppm"), "Did you mean 2.4 %"),
        (("leaf", "--values", "nonsense"), "cannot be read"),
        (("leaf", "--table", "mars", "--values", "N=2%"), "not a leaf table"),
        (("leaf", "--crop", "banana", "--values", "N=2%"), "not a tree"),
        (("leaf", "--csv", "nowhere.csv"), "cannot be read"),
        (("leaf", "--format", "json"), "needs the figures"),
        (("soil", "--texture", "loam", "--lime-strength", "0", "--values", "pH=5"), "not believable"),
    ],
)
def test_bad_input_is_a_plain_message(words, says):
    status, _, err = run(*words)
    assert status == 2
    assert says in err and "Traceback" not in err


@pytest.mark.parametrize(
    ("content", "words", "says"),
    [
        (LONG, ("--columns", "test=Foo"), "no column called 'Foo'"),
        (LONG, ("--columns", "thing=Foo"), "cannot be used"),
        ("Analyte,Result,Units\nN,2.4,ppm\n", (), "Did you mean 2.4 %"),
        ("Analyte,Result,Units\nN,abc,%\n", (), "line 2"),
        ("Analyte,Result,Units\nN,2.4,\n", (), "has no unit"),
        ("one,two\n1,2\n", (), "no column is known"),
        ("Analyte,Result,Units\n", (), "no figures"),
        ("N (%),Zn (ppm)\n2,3\n", ("--row", "9"), "--row 9"),
    ],
)
def test_bad_files_are_told_with_their_place(tmp_path, content, words, says):
    path = tmp_path / "report.csv"
    path.write_text(content, encoding="utf-8")
    status, _, err = run("leaf", "--crop", "orange", "--csv", str(path), *words)
    assert status == 2
    assert says in err


@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_line_is_wider_than_the_terminal(width):
    words = (
        "soil",
        "--crop",
        "peach",
        "--texture",
        "clay",
        "--values",
        "pH=7.2",
        "P(Olsen)=12 ppm",
        "EC(paste)=3 dS/m",
    )
    _, out, _ = run(*words, "--show-working", width=width)
    assert max(map(len, out.splitlines())) <= width


def test_guided_letters_are_those_of_a_look():
    replies = ["1", "lemon", "N 2.4 %", "b", "N 2.1 %", "n", "n", "n", "n"]
    status, out, err = run(typed="\n".join(replies) + "\n")
    assert status == 0, err
    assert "w why do you ask; b back; s what" in " ".join(out.split())
    assert out.count("First figure?") == 2 and "2.1 %" in out and "2.4 %" not in out


def test_what_to_make_of_it_comes_first_and_the_signs_are_in_words():
    _, out, _ = run("leaf", "--crop", "lemon", "--table", "florida", "--values", "N=2.1%", *DATED)
    assert out.lstrip().startswith("What to make of it\n  Nitrogen is likely short")
    assert "nitrogen of the leaf: low" in out and "leaf_nitrogen" not in out
    _, out, _ = run("soil", "--crop", "peach", "--values", "pH=7.0", "EC(paste)=1dS/m")
    assert "pH of the soil: 7.0" in out


@pytest.mark.parametrize(
    ("values", "says"),
    [
        (("EC(1:1)=2.5dS/m", "pH=6.2"), "Salt is more than this tree likes"),
        (("EC(paste)=2.3dS/m", "pH=6.2"), "Salt is more than this tree likes"),
        (("pH=5.2",), "The soil is sour for it"),
        (("pH=7.9",), "The soil is too limy for it"),
        (("pH=6.2", "EC(paste)=1dS/m"), "Nothing here is far from what a fruit tree wants"),
    ],
)
def test_no_verdict_on_soil_leaves_out_salt_or_ph(values, says):
    status, out, err = run("soil", "--crop", "peach", "--values", *values)
    assert status == 0, err
    assert out.lstrip().startswith(f"What to make of it\n  {says}")


def test_sources_are_listed_as_they_are_cited():
    _, out, _ = run("soil", "--crop", "peach", "--values", "pH=5.5", "P(Olsen)=12ppm", "--show-working")
    out = in_one_line(out)
    assert "by the table [1] (published)" in out and "[1] Sallato, DuPont" in out and "wsu_em119" not in out
