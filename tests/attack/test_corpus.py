"""What an attack found, each by name: an answer or one clear line, never an internal error."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Final

import pytest

from helix.mechanics import limits
from helix.model.recipe.recipe import recipe_from_text
from helix.studies.shape.joint_findings import _overlap
from helix.studies.shape.shape import shape
from helix.studies.teaching.hand_work import form
from tests.attack.attacking import Case, outcome_of
from tests.attack.cases import DRAWS, drawn_cases, file_cases

DEMO = Path(__file__).resolve().parents[2] / "docs" / "examples" / "logger-tether.toml"
WIRE = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n'
THIN = '[wire]\ndiameter = "0.09 mm"\nmaterial = "1.4310 normal strength"\n[eye]\npin = "0.09 mm"\n[entry]\nradius = "1 d"\n'
SOFT = '[wire]\ndiameter = "1 mm"\n[wire.own]\nstrength = "10000 MPa"\nmodulus = "1 GPa"\ndensity = "8 g/cm3"\n[eye]\npin = "6 mm"\n'
SLIPS = "turns,wraps,load,unit,failure\n4,4,900,N,unwound\n3,4,800,N,unwound\n4,3,700,N,unwound\n"


def twisted(turns: float, lay: str, wraps: float, more: str = "") -> str:
    return (
        f'{WIRE}[eye]\npin = "12 mm"\n[twist]\nturns = {turns}\nlay_length = "{lay}"\n{more}[barrel]\nwraps = {wraps}\n'
    )


BENT = '[exit]\npeak_angle = "{} deg"\n'
# name: recipe, words of the command, exit code, what the refusal says
CORPUS = {
    "pin less its tolerance below 0": (f'{THIN}[twist]\nlay_length = "200 d"\n', ("shape",), 2, "100 d"),
    "share worked from a negative pin": (f'{THIN}[twist]\nlay_length = "100 d"\n', ("shape", "--all"), 0, ""),
    "lay too short with an error": (twisted(5, "2.1 d", 5), ("spread",), 2, "with errors of this size"),
    "errors that leave no turns and no wraps": (twisted(0.2, "4 d", 0.2), ("spread",), 2, "with errors of this size"),
    "errors beyond the most turns": (twisted(1000, "4 d", 5), ("spread",), 2, "at most 999.75 can be spread"),
    "errors beyond the most wraps": (twisted(5, "4 d", 1000), ("spread",), 2, "at most 999.75 can be spread"),
    "what would help at the most turns": (twisted(1000, "4 d", 5), ("why",), 0, ""),
    "less than one turn and what moves it": (twisted(0.5, "4 d", 5), ("hold", "--table", *DRAWS), 0, ""),
    "the most turns and what moves it": (twisted(1000, "4 d", 5), ("hold", "--table", *DRAWS), 0, ""),
    "a table of lays too long for a load": (twisted(5, "100 d", 5), ("hold", "--table", *DRAWS), 0, ""),
    "wraps next to none": (twisted(5, "4 d", 5e-324), ("shape",), 0, ""),
    "wraps next to none hold nothing": (twisted(5, "4 d", 5e-324), ("hold", "--table", *DRAWS), 0, ""),
    "bent back to 170 deg": (twisted(0, "4 d", 3, BENT.format(170)), ("form",), 0, ""),
    "bent back to 179 deg": (twisted(0, "4 d", 3, BENT.format(179)), ("form", "--json"), 0, ""),
    "a barrel that springs straight": (SOFT, ("shape",), 0, ""),
    "a ring thinner than a hair": (
        twisted(5, "4 d", 5), ("link", "--ring", "1e-09 in", "--ring-inside", "37.3 mm"), 2, "must be at least"
    ),
    "an eye of 16,000 diameters beside a fold": (
        f'{WIRE}[eye]\npin = "1000 d"\n[twist]\nturns = 2.7e-9\nlay_length = "100 d"\nevenness = 0.3\n[exit]\nleg = "0.05 d"\n',
        ("shape", "--json"), 0, "",
    ),
    "the same as JSON": (SOFT, ("shape", "--json"), 0, ""),
}  # fmt: skip


@pytest.mark.parametrize("name", CORPUS)
def test_recipes_that_an_attack_found(name: str) -> None:
    text, (command, *more), code, said = CORPUS[name]
    outcome = outcome_of(Case((command, "r.toml", *more), {"r.toml": text.encode()}))
    assert (outcome.code, outcome.problem) == (code, "") and said in outcome.said


def test_a_barrel_that_springs_straight_has_no_width_then() -> None:
    assert shape(recipe_from_text(SOFT)).finished.sprung_barrel_inside_mm is None


def test_a_tag_bent_far_back_needs_no_move_of_the_grip() -> None:
    grips = form(recipe_from_text(twisted(0, "4 d", 3, BENT.format(179)))).grips
    assert grips.worked_mm == 0.0 and grips.grip_moves == 0


@pytest.mark.parametrize("pin_d", [0.05, 0.2, 0.5, 1.0, 6.0])
def test_an_eye_springs_open_and_never_narrower(pin_d: float) -> None:
    finished = shape(recipe_from_text(f'{WIRE}[eye]\npin = "{pin_d} d"\n[twist]\nlay_length = "8 d"\n')).finished
    assert finished.sprung_eye_width_mm >= finished.eye_inside_width_mm


def test_an_overlap_that_no_caliper_finds_is_no_fault() -> None:
    joint = shape(recipe_from_text(twisted(5, "4 d", 5))).joint
    assert not list(_overlap(joint, -1.8e-6 / joint.diameter_mm, ("barrel", "twist_tag")))
    assert list(_overlap(joint, -1.01 * limits.OVERLAP_D, ("barrel", "twist_tag")))


@pytest.mark.parametrize("load", ["1e-320", "1e-9"])
def test_a_load_that_is_none_is_refused(load: str) -> None:
    files = {"r.toml": DEMO.read_bytes(), "t.csv": f"{SLIPS}5,5,{load},N,unwound\n".encode()}
    outcome = outcome_of(Case(("hold", "r.toml", "--calibrate", "t.csv"), files))
    assert (outcome.code, outcome.problem) == (2, "") and "column load: must be at least 1e-06 N" in outcome.said


def test_a_choice_where_no_model_speaks_of_any_wire_ends_at_the_first() -> None:
    """It looked at a hundred eyes of 70,000 diameters, most of them straight wire in samples: 28 s."""
    recipe = f'{WIRE}[eye]\npin = "1 d"\nthroat = "1 deg"\n[barrel]\nwraps = 1.4\n'
    words = ("choose", "--recipe", "r.toml", "--load", "1 N", "--pin", "49.05 mm", "--family", "AWG")
    outcome = outcome_of(Case(words, {"r.toml": recipe.encode()}))
    assert (outcome.code, outcome.problem) == (2, "") and "no model says" in outcome.said
    assert outcome.said.count("tried") == 0


@pytest.mark.skipif(os.name != "posix", reason="closes streams as POSIX does")
@pytest.mark.parametrize(
    ("words", "code"),
    [("sizes >&-", 0), ("--help >&-", 0), (f"shape '{DEMO}' --json >&-", 0), ("shape none.toml 2>&-", 2), ("frob 2>&-", 2),
     ("shape none.toml >&- 2>&- <&-", 2)],
)  # fmt: skip
def test_closed_streams_do_not_change_the_exit_code(words: str, code: int, tmp_path: Path) -> None:
    done = subprocess.run(
        ["sh", "-c", f"'{sys.executable}' -m helix {words}"], capture_output=True, cwd=tmp_path, check=False
    )
    assert done.returncode == code and b"Traceback" not in done.stderr


HEARING: Final = """
import runpy, signal
for number in (signal.SIGTERM, signal.SIGHUP):
    signal.signal(number, signal.SIG_DFL)
signal.signal(signal.SIGINT, signal.default_int_handler)
runpy.run_module("helix", run_name="__main__", alter_sys=True)
"""  # what runs behind a shell's & has SIGINT ignored, and hands that down


@pytest.mark.skipif(os.name != "posix", reason="signals as POSIX has them")
@pytest.mark.slow
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_a_signal_leaves_no_unfinished_file(name: str, tmp_path: Path) -> None:
    number = signal.Signals[name]
    with subprocess.Popen(
        [sys.executable, "-c", HEARING, "steps", str(DEMO), "-o", "steps"], cwd=tmp_path, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as ran:  # fmt: skip
        until = time.monotonic() + 20.0
        while not list(tmp_path.glob(".*.part/*")) and time.monotonic() < until and ran.poll() is None:
            time.sleep(0.02)
        assert ran.poll() is None, "it ended before its first file"
        ran.send_signal(number)
        _, said = ran.communicate(timeout=20.0)
    assert ran.returncode == (130 if name == "SIGINT" else 128 + number)
    assert said.decode().splitlines()[-1] == "helix: stopped; no file was left half written"
    assert not list(tmp_path.iterdir())


def test_a_slice_of_the_broken_files() -> None:
    """`scripts/attack.py` runs thousands, recipes too, under a limit of memory; time is measured there."""
    outcomes = [(case, outcome_of(case)) for cases in drawn_cases(file_cases(), 6, 7) for case in cases]
    wrong = [
        f"{outcome.problem}\n{case}" for case, outcome in outcomes if outcome.problem and "took" not in outcome.problem
    ]
    assert not wrong, "\n\n".join(wrong)
    assert 2 in {outcome.code for _, outcome in outcomes}


def test_the_attack_can_fail(monkeypatch: pytest.MonkeyPatch) -> None:
    from tests.attack import attacking

    def answers(words: tuple[str, ...]) -> int:
        print(json.dumps({"load_n": float("nan")}))
        return 0

    monkeypatch.setattr(attacking, "main", answers)
    assert "NaN" in outcome_of(Case(("hold", "--json"))).problem
    assert outcome_of(Case(("hold",))).problem == ""


def test_a_name_from_a_file_is_no_number(monkeypatch: pytest.MonkeyPatch) -> None:
    from tests.attack import attacking

    def answers(words: tuple[str, ...]) -> int:
        print("Groups\n3+inf: mean 759 N")
        return 0

    monkeypatch.setattr(attacking, "main", answers)
    assert outcome_of(Case(("pulls",), {"p.csv": b"group\n3+inf\n"})).problem == ""
    assert outcome_of(Case(("pulls",), {"p.csv": b"group\n3+3\n"})).problem == "shows no number: 3+inf"
