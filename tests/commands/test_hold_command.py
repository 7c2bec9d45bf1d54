"""The commands hold, why, form and stretch, as a user and as a script meets them.

Map of what must hold:
  the answer comes first, exit codes are 0, 1 (only with --strict) and 2, nothing ends in a traceback
  every fault of recipe, options and test file at once, one line each, on standard error only, nothing written
  JSON is the same whatever --units says; the same seed gives the same bytes
  numbers need numpy only
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from helix.commands.main import main

ROOT = Path(__file__).resolve().parents[2]
DEMO = str(ROOT / "docs" / "examples" / "logger-tether.toml")
FAULTS = ROOT / "docs" / "examples" / "faults"
FEW = ("--draws", "500")


class Ran(NamedTuple):
    code: int
    out: str
    err: str

    @property
    def told(self):
        return self.err.splitlines()


@pytest.fixture
def helix(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def run(*words):
        code = main([str(word) for word in words])
        told = capsys.readouterr()
        assert "Traceback" not in told.err
        return Ran(code, told.out, told.err)

    return run


def recipe(tmp_path, text, name="joint.toml"):
    path = tmp_path / name
    path.write_text(
        f'[wire]\nsize = "MWG 14"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n{text}\n', encoding="utf-8"
    )
    return path


def test_hold_says_the_verdict_first(helix, tmp_path):
    good = helix("hold", DEMO)
    assert good.code == 0 and good.err == ""
    assert good.out.startswith("LOCKS. About 1 in 100 joints unwinds.\nPlan with ")
    path = recipe(tmp_path, "[twist]\nturns = 4\n[barrel]\nwraps = 4")
    short = helix("hold", path)
    assert short.out.startswith("FAULT: it unwinds before the wire breaks")
    assert "would best decide between the models" not in " ".join(short.out.split())
    assert "would best decide between the models" in " ".join(helix("hold", path, "--all").out.split())


def test_strict_tells_a_joint_that_does_not_lock(helix, tmp_path):
    path = recipe(tmp_path, "[twist]\nturns = 3")
    assert helix("hold", path, *FEW).code == 0
    assert helix("hold", path, *FEW, "--strict").code == 1
    assert helix("hold", DEMO, *FEW, "--strict").code == 0
    assert helix("hold", FAULTS / "uneven-zero.toml", *FEW, "--strict").code == 1


def test_json_has_its_keys_and_knows_no_units(helix):
    data = json.loads(helix("hold", DEMO, "--json", *FEW).out)
    assert data == json.loads(helix("hold", DEMO, "--json", "--units", "inch", *FEW).out)
    assert set(data["hold_n"]) == {"low", "nominal", "high"} and data["verdict"] == "locks"
    assert "table" not in data
    other = json.loads(helix("hold", DEMO, "--json", *FEW, "--seed", "7").out)
    assert other["probability"]["seed"] == 7 and other["expected_n"] == pytest.approx(data["expected_n"], rel=0.02)


def test_the_table_as_text_and_json(helix):
    shown = helix("hold", DEMO, "--table", *FEW)
    assert shown.code == 0 and "Fewest counts estimated to lock: 5 turns" in shown.out
    assert "LOCKS" not in shown.out and "What moves the answer" not in shown.out
    both = helix("hold", DEMO, "--table", "--all", *FEW).out
    assert (
        both.index("LOCKS") < both.index("Fewest counts estimated to lock") < both.index("What moves")
        and shown.out.split("\n\n")[2] in both
    )
    assert shown.told == ["trying every pair and every cause, this takes a few seconds ..."]
    data = json.loads(helix("hold", DEMO, "--table", "--json", *FEW).out)
    assert len(data["table"]["cells"]) == 121 and data["table"]["smallest_safe"]["turns"] == 5.0


@pytest.mark.parametrize(
    "suffix", ["svg", *(pytest.param(suffix, marks=pytest.mark.slow) for suffix in ("png", "pdf"))]
)
def test_charts_are_written_and_not_over_another_file(helix, tmp_path, suffix):
    target = tmp_path / f"chart.{suffix}"
    assert helix("hold", DEMO, *FEW, "--chart", target).code == 0
    first = target.read_bytes()
    again = helix("hold", DEMO, *FEW, "--chart", target)
    assert again.code == 2 and "exists already" in again.err and again.out == ""
    assert helix("hold", DEMO, *FEW, "--chart", target, "--force").code == 0
    assert target.read_bytes() == first
    assert [path.name for path in tmp_path.iterdir()] == [target.name]


def test_why_as_text_page_and_json(helix, tmp_path):
    path = recipe(tmp_path, "[twist]\nturns = 4\n[barrel]\nwraps = 4")
    shown = helix("why", path, *FEW, "-o", "why.html")
    assert shown.code == 0
    assert "Best change: make 5 turns and 5 wraps" in shown.out
    assert "Make 5 turns and 5 wraps" in helix("why", path, *FEW, "--all").out
    page = (tmp_path / "why.html").read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>") and page.count("<img ") == 4  # no layers of a load
    data = json.loads(helix("why", path, *FEW, "--json").out)
    assert data["best_change"] == "make 5 turns and 5 wraps"
    assert len(data["load_path"]["s_mm"]) == len(data["load_path"]["carried_proportion"]["L"])
    assert helix("why", path, "-o", "why.txt").told == ["helix: why.txt: must end in .html"]


def test_form_and_stretch(helix):
    shown = helix("form", DEMO)
    assert shown.code == 0 and shown.out.startswith("By hand: yes.") and "across the finished twist" in shown.out
    data = json.loads(helix("form", DEMO, "--json", "--hand-force", "20 N").out)
    work = {each["motion"]: each for each in data["work"]}
    assert work["wind a wrap"]["least_crank_mm"] == pytest.approx(work["wind a wrap"]["moment_n_mm"]["nominal"] / 20.0)
    shown = helix("stretch", DEMO, "--load", "100 lbf", "--units", "inch")
    assert shown.code == 0 and " in longer under 100 lbf (an estimate" in shown.out


def test_a_load_is_asked_for_where_no_rated_load_is_known(helix, tmp_path):
    path = tmp_path / "plain.toml"
    text = '[wire]\nsize = "AWG 20"\nmaterial = "music wire"\n{}[eye]\npin = "6 mm"\n'
    path.write_text(text.format('rated_load = "300 N"\n'), encoding="utf-8")
    assert json.loads(helix("stretch", path, "--json").out)["load_n"] == 300.0
    path.write_text(text.format(""), encoding="utf-8")
    assert helix("stretch", path).told == [
        'helix: --load: is needed, such as "600 N", where the wire has no rated load'
    ]
    assert helix("stretch", path, "--load", "90 kN").told[0].startswith("helix: --load: must be above 0 and at most")
    assert helix("stretch", path, "--load", "5 mm").told == [
        'helix: --load: must be a force such as "700 N"; got "5 mm", which is a length'
    ]


# ------------------------------------------------------------------ calibration

HEAD = "id,group,turns,wraps,load,unit,failure,joints\n"


def bench_file(tmp_path, rows, name="tests.csv", head=HEAD):
    path = tmp_path / name
    path.write_text(head + "".join(f"{k},g,{row}\n" for k, row in enumerate(rows, 1)), encoding="utf-8")
    return path


SLIPS = [f"4,{wraps},{load},N,unwound,1" for wraps, load in ((4, 960), (5, 930), (8, 985), (4, 905), (2, 1000))]
BREAKS = [f"5,{wraps},{load},N,broke_exit,1" for wraps, load in ((5, 1010), (2, 1030), (8, 995))]


def test_calibrate_fits_and_says_so(helix, tmp_path):
    path = recipe(tmp_path, "")
    tests = bench_file(tmp_path, SLIPS + BREAKS)
    shown = helix("hold", path, "--calibrate", tests, *FEW, "--all")
    assert shown.code == 0
    text = " ".join(shown.out.split())
    assert "Friction numbers fitted to" in text and "varied apart" in text and "8 pieces, of which 5 unwound" in text
    data = json.loads(helix("hold", path, "--calibrate", tests, "--json", *FEW).out)
    assert data["calibration"]["turns_and_wraps_apart"] is True
    numbers = {each["key"]: each for each in data["calibration"]["models"]}
    assert numbers["L"]["friction"]["low"] < numbers["L"]["friction"]["value"] < numbers["L"]["friction"]["high"]
    assert data["model"]["friction"]["source"].startswith("fitted to")


def test_calibrate_says_when_turns_and_wraps_cannot_be_told_apart(helix, tmp_path):
    rows = [*(f"4,4,{load},N,unwound,1" for load in (900, 930, 960, 985)), "5,5,1010,N,broke,1"]
    shown = helix("hold", recipe(tmp_path, ""), "--calibrate", bench_file(tmp_path, rows), *FEW, "--all")
    assert shown.code == 0 and "varied together: the tests cannot tell" in " ".join(shown.out.split())


@pytest.mark.parametrize(
    ("head", "rows", "told"),
    [
        (HEAD, ["4,4,900,N,unwound,1", *BREAKS], ["must have 3 or more pieces that unwound"]),
        (HEAD, ["4,4,900,N,slipped away,1", *SLIPS], ["column failure: must be one of broke_clear"]),
        (HEAD, ["4,4,200,lbf,unwound,1", *SLIPS], ["rows 3 to 7, column unit: must be lbf as in row 2"]),
        ("id,group,load,unit,failure\n", ["900,N,unwound"], ["column turns is missing", "column wraps is missing"]),
    ],
    ids=["too few", "unknown word", "mixed units", "missing columns"],
)
def test_a_test_file_that_cannot_be_used(helix, tmp_path, head, rows, told):
    path = recipe(tmp_path, "")
    ran = helix("hold", path, "--calibrate", bench_file(tmp_path, rows, head=head), "--chart", "c.png")
    assert ran.code == 2 and ran.out == "" and not (tmp_path / "c.png").exists()
    assert len(ran.told) == len(told)
    for line, words in zip(ran.told, told, strict=True):
        assert words in line and line.startswith("helix: ")


# ------------------------------------------------------------------ bad input


def test_every_fault_of_the_options_at_once(helix, tmp_path):
    ran = helix(
        "hold", DEMO, "--ductility", "1.2", "--friction", "L=-1,Q=3,x", "--draws", "5", "--seed", "-1", "--chart", "no/c.bmp",
        "--calibrate", "none.csv",
    )  # fmt: skip
    assert ran.code == 2 and ran.out == ""
    starts = ["none.csv: no such file in ", "no/c.bmp: must end", "--friction: must be from 0 to 10",
              "--friction: must name model L, E or R", "--friction: must be from 0 to 10",
              "--ductility: must be above 0 and below 1", "--draws: must be a whole number",
              "--seed: must be a whole number"]  # fmt: skip
    assert len(ran.told) == len(starts)
    for line, start in zip(ran.told, starts, strict=True):
        assert line.startswith(f"helix: {start}"), line


@pytest.mark.parametrize("text", ["0", "1", "nan", "-0.5", "52 %", "much"])
def test_ductility_lies_between_0_and_1(helix, text):
    ran = helix("hold", DEMO, "--ductility", text)
    assert ran.code == 2 and ran.told[0].startswith("helix: --ductility: must be above 0 and below 1")


@pytest.mark.parametrize("command", ["hold", "why", "form", "stretch"])
def test_a_recipe_that_cannot_be_used(helix, tmp_path, command):
    bad = tmp_path / "bad.toml"
    bad.write_text('[wire]\nsize = "MWG 14"\n[wire.own]\nmodulus = "190 GPa"\n[eye]\npin = "-6 mm"\n', encoding="utf-8")
    ran = helix(command, bad)
    assert ran.code == 2 and ran.out == "" and len(ran.told) >= 3
    assert any("strength: is missing" in line for line in ran.told)  # a material without strength
    assert helix(command, "nothing.toml").told[0].startswith("helix: nothing.toml")


def test_a_joint_that_cannot_exist(helix, tmp_path):
    path = recipe(tmp_path, "")
    path.write_text(path.read_text(encoding="utf-8").replace('pin = "6 mm"', 'pin = "1 mm"\nthroat = "150 deg"'))
    for command in ("hold", "why", "form"):
        ran = helix(command, path)
        assert ran.code == 2 and "the least pin that works" in ran.err and ran.out == ""


@pytest.mark.parametrize("path", sorted(FAULTS.glob("*.toml")), ids=lambda path: path.stem)
def test_every_faulty_example_gets_an_answer(helix, path):
    ran = helix("hold", path, *FEW, "--json")
    if path.stem in ("crossings-as-turns", "lay-two"):  # no recipe that can be used
        assert ran.code == 2 and ran.out == ""
        return
    assert ran.code == 0
    data = json.loads(ran.out)
    assert data["verdict"] in ("locks", "marginal", "unwinds", "no model")
    assert (data["plan_with_n"] is None) == (data["expected_n"] is None) == (data["layers"] == [])
    assert {each["place"] for each in data["breaks"]} >= {"clear", "behind_barrel", "exit_standing"}


def test_numbers_load_numpy_only():
    command = [sys.executable, "-X", "importtime", "-m", "helix", "hold", DEMO, "--table", "--json", *FEW]
    done = subprocess.run(
        command, capture_output=True, text=True, check=False, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}
    )
    assert done.returncode == 0
    loaded = {line.rpartition("|")[2].strip().split(".")[0] for line in done.stderr.splitlines()}
    assert loaded & {"scipy", "sympy", "matplotlib", "pyvista", "trimesh", "PIL"} == set()
    assert "numpy" in loaded
