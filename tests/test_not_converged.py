"""A search that comes to no rest ends with one line and exit code 1, and prints no answer."""

from __future__ import annotations

import contextlib
import io
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from helix.commands.main import main
from helix.errors import ConvergenceError, HelixError
from helix.model.measured.readings import Reading
from helix.model.recipe.recipe import read_recipe
from helix.statistics.fits import least_squares as estimating
from helix.statistics.fits import likelihood, logistic
from helix.statistics.fits.least_squares import estimate
from helix.studies.inspect.made_joint import lengths_of, read_made

EXAMPLES = Path(__file__).resolve().parents[1] / "docs" / "examples"
TETHER = str(EXAMPLES / "logger-tether.toml")
PULLS = str(EXAMPLES / "pulls" / "logger-tethers.csv")


def run(*words: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(words)
    return code, out.getvalue(), err.getvalue()


def ends_in_one_line(words: tuple[str, ...], what: str) -> None:
    code, out, err = run(*words)
    told = [line for line in err.splitlines() if not line.endswith("...")]
    assert (code, out) == (1, "")
    assert len(told) == 1 and told[0].startswith(f"helix: {what}"), err
    assert "Traceback" not in err and "fault of helix itself" not in err


def test_readings_that_lead_nowhere(monkeypatch: pytest.MonkeyPatch) -> None:
    words = ("inspect", TETHER, "--twist-length", "14.9 mm", "--turns", "5 +- 0.5", "--lay", "3.1 mm +- 0.01 mm")
    assert run(*words)[0] == 0
    monkeypatch.setattr(estimating, "_MOST_STEPS", 1)
    ends_in_one_line(words, "the search for the sizes behind these readings did not converge: the readings contradict")


def test_a_cutting_list_that_the_solver_gives_up(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import scipy.optimize

    lengths = (1376.5, 2482.8, 349.2, 1341.1, 2176.6)  # too many for a list that is plainly the best
    stock = ((6000, 10), (4000, 6), (2950.5, 4), (7300, 5), (25000, 1))
    plain = 'count = 4\nends = ["plain", "plain"]\n'
    text = '[cutting]\nsaw_loss = "1.5 mm"\nleast_tail = "400 mm"\n[wire.thin]\nsize = "MWG 12"\nmaterial = "302 stainless"\n'
    text += "".join(f'[[piece]]\nname = "p{each}"\nlength = "{each} mm"\n{plain}' for each in lengths)
    text += "".join(f'[[stock]]\nname = "s{each}"\nlength = "{each} mm"\ncount = {count}\n' for each, count in stock)
    plan = tmp_path / "plan.toml"
    plan.write_text(text, encoding="utf-8")
    assert run("cut", str(plan))[0] == 0
    gave_up = SimpleNamespace(x=None, message="numerical difficulties\nencountered")
    monkeypatch.setattr(scipy.optimize, "linprog", lambda *_, **__: gave_up)
    ends_in_one_line(("cut", str(plan)), "the cutting list was not solved")


def test_pull_tests_whose_fits_come_to_no_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(likelihood, "_MOST_STEPS", 1)
        ends_in_one_line(("pulls", "read", PULLS), "the strength of one joint did not converge")
    monkeypatch.setattr(logistic, "_MOST_STEPS", 1)
    ends_in_one_line(("pulls", "read", PULLS), "the chance of unwinding did not converge")


def test_it_is_no_fault_of_the_input() -> None:
    assert issubclass(ConvergenceError, HelixError) and issubclass(ConvergenceError, RuntimeError)


def test_readings_far_off_the_recipe_still_come_to_rest() -> None:
    """Full Gauss-Newton steps overshoot here and never settle; halved ones find the least of the misfit."""
    recipe = read_recipe(Path(TETHER))
    lengths, d = lengths_of(recipe), recipe.wire.diameter_mm
    usual = {
        "wire": d, "lay": recipe.twist.lay_mm, "twist_length": 5.0 * recipe.twist.lay_mm, "twist_diameter": 2.0 * d,
        "barrel_length": 6.0 * d, "barrel_diameter": 3.0 * d, "eye": 6.0, "length": 35.0, "turns": 5.0, "wraps": 5.0,
    }  # fmt: skip
    rng = np.random.default_rng(5)
    for _ in range(300):
        readings = {
            name: Reading(
                name=name,
                value=value * float(np.exp(rng.normal(0.0, 0.3))),
                sd=value * float(10 ** rng.uniform(-5, -1)),
                stated=True,
            )
            for name, value in usual.items()
            if rng.random() < 0.5
        }
        found = read_made(recipe, readings, lengths)
        assert found.settled, readings


def test_at_rest_no_step_makes_the_fit_better() -> None:
    def predict(v: np.ndarray) -> np.ndarray:
        return np.array([v[0] * v[1], v[0] ** 2])

    readings, sd = np.array([12.0, 90.0]), np.array([0.1, 1e-4])
    prior, prior_sd = np.array([0.1, 4.0]), np.array([100.0, 50.0])
    found = estimate(predict, readings, sd, prior, prior_sd)

    def misfit(v: np.ndarray) -> float:
        return float((((readings - predict(v)) / sd) ** 2).sum() + (((v - prior) / prior_sd) ** 2).sum())

    assert found.settled
    least = misfit(found.values)
    for way in np.random.default_rng(0).normal(size=(50, 2)):
        assert misfit(found.values + 1e-3 * found.deviations * way) >= least
