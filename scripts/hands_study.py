"""Twist the legs of one joint by hands at different angles, tensions and differences, in the simulation: evenness, lay, strain.

    .venv/bin/python scripts/hands_study.py               the table of docs/simulation.md
    .venv/bin/python scripts/hands_study.py --tension     by the tension of the hands

It takes some ten minutes on two cores. Needs helix[simulate].
"""

from __future__ import annotations

import argparse
import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from helix.model.recipe.recipe import read_recipe
from helix.studies.simulate.form_result import FormRun
from helix.studies.simulate.forming import simulate_form

RECIPE = Path(__file__).resolve().parents[1] / "docs" / "examples" / "logger-tether.toml"
ANGLES = (60.0, 75.0, 90.0, 105.0)
UNLIKE = (0.0, 20.0, 40.0)
TENSIONS = (0.05, 0.1, 0.2, 0.4)


def main() -> None:
    """Run the study and print its table."""
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument(
        "--tension", action="store_true", help="vary the tension instead, at 100 deg and hands 20 deg unlike"
    )
    recipe = read_recipe(RECIPE)
    cases = (
        [(100.0, 20.0, tension) for tension in TENSIONS]
        if reader.parse_args().tension
        else [(angle, unlike, 0.1) for unlike in UNLIKE for angle in ANGLES]
    )

    def one(case: tuple[float, float, float]) -> FormRun:
        return simulate_form(recipe, hands_deg=case[0], unlike_deg=case[1], tension=case[2])

    print("hands unlike tension   lay (let go)  evenness  first crossing   strain after  fibre  unaccounted")
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        for case, run in zip(cases, pool.map(one, cases), strict=True):
            if run.held is None or run.free is None:
                print(*case, run.outcome.value, flush=True)
                continue
            print(
                f"{case[0]:5.0f} {case[1]:6.0f} {case[2]:7.2f} {run.held.lay_d:7.2f} {run.free.lay_d:5.2f} {run.held.evenness:12.2f}"
                f" {run.first_deg:8.0f} {run.first_strain:6.2f} {run.strain:10.2f} {run.fibre_strain:12.2f} {run.unaccounted:10.5f}",
                flush=True,
            )


if __name__ == "__main__":
    main()
