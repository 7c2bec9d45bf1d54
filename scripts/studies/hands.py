"""Joints that hands form in the simulation: what angles and tensions make of a twist, and how much such a joint holds.

    .venv/bin/python scripts/studies/hands.py               twists at several angles and differences of the hands
    .venv/bin/python scripts/studies/hands.py --tension     by the tension of the hands
    .venv/bin/python scripts/studies/hands.py --pull        formed and pulled, beside the recipe's joint of that lay wound and let go, and exact

The tables of docs/simulation.md. Ten to twenty minutes on two cores. Needs helix[simulate].
"""

from __future__ import annotations

import argparse
import dataclasses
import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TypeVar

from helix.model.recipe.recipe import read_recipe
from helix.studies.simulate.forming import form_joint, simulate_form
from helix.studies.simulate.pull_result import PullRun, Start
from helix.studies.simulate.pulling import PullSetting, hands_of, pull_once

RECIPE = Path(__file__).resolve().parents[2] / "docs" / "examples" / "logger-tether.toml"
ANGLES = (60.0, 75.0, 90.0, 105.0)
UNLIKE = (0.0, 20.0, 40.0)
TENSIONS = (0.05, 0.1, 0.2, 0.4)
Case = TypeVar("Case")
PULLED = [(turns, friction) for friction in (0.08, 0.05) for turns in (2.0, 3.0, 4.0, 5.0, 6.0, 7.0)]


def main() -> None:
    """Run the study and print its table."""
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("--tension", action="store_true", help="vary the tension, at 100 deg and hands 20 deg unlike")
    reader.add_argument("--pull", action="store_true", help="form joints and pull them")
    given = reader.parse_args()
    if given.pull:
        print("turns friction   lay  off pitch   formed             wound and let go   exact")
        in_threads(_pulled, PULLED)
        return
    cases = (
        [(100.0, 20.0, tension) for tension in TENSIONS]
        if given.tension
        else [(angle, unlike, 0.1) for unlike in UNLIKE for angle in ANGLES]
    )
    print("hands unlike tension   lay (let go)  evenness  first crossing   strain after  fibre  unaccounted")
    in_threads(_twisted, cases)


def in_threads(line: Callable[[Case], str], cases: Iterable[Case]) -> None:
    """Print a line a case, in their order; compiled code does not hold the others up."""
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        for text in pool.map(line, cases):
            print(text, flush=True)


def _twisted(case: tuple[float, float, float]) -> str:
    angle, unlike, tension = case
    run = simulate_form(read_recipe(RECIPE), hands_deg=angle, unlike_deg=unlike, tension=tension, barrel=False)
    if run.held is None or run.free is None:
        return f"{angle:g} {unlike:g} {tension:g} {run.outcome.value}"
    return (
        f"{angle:5.0f} {unlike:6.0f} {tension:7.2f} {run.held.lay_d:7.2f} {run.free.lay_d:5.2f} {run.held.evenness:12.2f}"
        f" {run.first_deg:8.0f} {run.first_strain:6.2f} {run.strain:10.2f} {run.fibre_strain:12.2f} {run.unaccounted:10.5f}"
    )


def _pulled(case: tuple[float, float]) -> str:
    turns, friction = case
    demo = read_recipe(RECIPE)
    recipe = dataclasses.replace(demo, twist=dataclasses.replace(demo.twist, turns=turns))
    setting = PullSetting(Start.FORMED, friction, friction)
    formed = form_joint(recipe, hands_of(recipe, setting)).run
    if formed.free is None or formed.sprung is None:
        return f"{turns:5g} {friction:8.2f} {formed.outcome.value}"
    lay = formed.free.lay_d
    alike = dataclasses.replace(recipe, twist=dataclasses.replace(recipe.twist, lay_mm=lay * recipe.wire.diameter_mm))
    runs = [
        pull_once(recipe, setting),
        *(pull_once(alike, PullSetting(start, friction, friction)) for start in (Start.SPRUNG, Start.EXACT)),
    ]
    ends = "".join(f"{_end(run):19s}" for run in runs)
    return f"{turns:5g} {friction:8.2f} {lay:5.2f} {formed.sprung.off_d:.3f} {formed.sprung.pitch_d:.2f}   {ends}"


def _end(run: PullRun) -> str:
    nominal = run.nominal
    return f"{run.outcome.value} {nominal.load if nominal else run.peak_load:.3f} ({run.loose_d:.3f})"


if __name__ == "__main__":
    main()
