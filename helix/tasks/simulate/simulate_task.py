"""Simulate: pull the joint in a simulation and see what it does."""

from __future__ import annotations

from helix.output.report.record import record
from helix.output.simulate.simulate_report import simulate_document
from helix.studies.simulate.pull_result import Start
from helix.studies.simulate.pull_start import FRICTIONS
from helix.studies.simulate.pulling import BAND, simulate_pull
from helix.tasks.options import RECIPE, TICK, Option, choice, numbers, units
from helix.tasks.task import Task

STARTS = {"sprung": (Start.SPRUNG,), "exact": (Start.EXACT,), "both": (Start.SPRUNG, Start.EXACT)}

TASK = Task(
    options=(
        RECIPE,
        units("loads and sizes"),
        Option("pull", "pull the joint until it breaks or slips; done in any case", TICK),
        Option(
            "friction",
            "frictions to pull at",
            numbers(*FRICTIONS),
            default=",".join(f"{friction:g}" for friction in BAND),
        ),
        Option(
            "start",
            "how the wire stands at the start: sprung (wound from straight wire and let go), exact (touching, free of stress), both",
            choice(*STARTS),
            default="sprung",
        ),
    ),
    run=lambda given: simulate_pull(
        given.recipe, given.friction, starts=STARTS[given.start], on_output=given.on_output
    ),
    document=simulate_document,
    record=record,
    json="mm, N and deg; _d in wire diameters, loads over the strength",
)
