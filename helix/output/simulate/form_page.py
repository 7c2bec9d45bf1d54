"""A simulated forming as a scene that the viewer plays, and as a table of its moments (CSV)."""

from __future__ import annotations

import csv
import io
from typing import Any, Final

import numpy as np

from helix.output.simulate.forming_film import bend_legend, forming_film
from helix.output.simulate.wire_scene import wire_scene
from helix.studies.simulate.form_result import FormRun
from helix.studies.simulate.pull_result import PullSimulation
from helix.units import UnitSystem

FORM_COLUMNS: Final = ("stage", "turns", "wraps", "strain", "at_mm", "tag")


def form_csv(result: PullSimulation, run: FormRun) -> str:
    """The forming from moment to moment: what is done, turns and wraps so far, the hardest strain, where it is and whether on the tag's leg."""
    d = result.recipe.wire.diameter_mm
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(FORM_COLUMNS)
    for stage, rounds, strains in zip(run.stages, run.rounds, run.strains, strict=True):
        at = int(np.argmax(strains))
        rows.writerow((
            stage.value, f"{min(rounds, run.turns):.4g}", f"{max(rounds - run.turns, 0.0):.4g}", f"{strains[at]:.4g}",
            f"{run.s_d[at] * d:.5g}", int(run.tag[at]),
        ))  # fmt: skip
    return text.getvalue()


def form_scene(result: PullSimulation, run: FormRun, units: UnitSystem = "metric") -> dict[str, Any]:
    """The forming as the viewer takes it: the wire at the end, and the film under `formed`."""
    d = result.recipe.wire.diameter_mm
    film = forming_film(run, result.recipe.eye.pin_mm / d, d, units)
    return wire_scene(run.frames[-1][run.there(-1)], d, bend_legend(), units) | {"formed": film}
