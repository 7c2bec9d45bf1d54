"""Simulate: form the joint by hands, or pull the joint, in a simulation and see what it does."""

from __future__ import annotations

import dataclasses

from helix.errors import ValidationError, argument_issue
from helix.output.report.record import record
from helix.output.simulate.form_moving import moving_form
from helix.output.simulate.pull_moving import moving_pull
from helix.output.simulate.pull_page import form_csv, pull_csv, pull_html, pull_json
from helix.output.simulate.simulate_report import simulate_document
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold
from helix.studies.judge import held_by_own
from helix.studies.simulate.forming import FRICTION, HANDS_DEG, TENSION, TENSIONS, UNLIKE_DEG, simulate_form
from helix.studies.simulate.pull_result import PullSimulation, Start
from helix.studies.simulate.pulling import BAND, simulate_pull
from helix.studies.simulate.simulated_range import FRICTIONS
from helix.tasks.hold.estimate_options import PULLS
from helix.tasks.options import RECIPE, TICK, Option, choice, number, numbers, quantity, units
from helix.tasks.task import Given, Output, Task, progress

PAGE, MOMENTS, NUMBERS, MOVING = ".html", ".csv", ".json", ".webp"
STARTS = {
    "sprung": (Start.SPRUNG,),
    "exact": (Start.EXACT,),
    "formed": (Start.FORMED,),
    "both": (Start.SPRUNG, Start.EXACT),
    "all": (Start.FORMED, Start.SPRUNG, Start.EXACT),
}


def _run(given: Given) -> PullSimulation:
    """Pulls, unless only forming is asked for; forming where it is asked for."""
    starts = STARTS[given.start]
    forming = None
    if given.form and not (given.pull and Start.FORMED in starts):
        given.on_output("forming by hands, this takes about half a minute ...")
        forming = simulate_form(
            given.recipe, hands_deg=given.hands, unlike_deg=given.unlike, tension=given.tension, friction=FRICTION
        )
        if not given.pull:
            strength_n = given.recipe.wire.breaking_load_n[1]
            return PullSimulation(recipe=given.recipe, strength_n=strength_n, forming=forming, held=_held(given))
    found = simulate_pull(
        given.recipe,
        given.friction,
        starts=starts,
        hands_deg=given.hands,
        unlike_deg=given.unlike,
        tension=given.tension,
        on_output=given.on_output,
    )
    return dataclasses.replace(found, forming=forming or found.forming, held=_held(given))


def _held(given: Given) -> HoldResult | None:
    """What decides beside it: own pieces, else the estimate; None where it is too far out to be estimated."""
    try:
        return held_by_own(given.recipe, given.pulls) or hold(given.recipe)
    except ValueError:
        return None


def _written(result: PullSimulation, given: Given, suffix: str) -> str | bytes:
    forming = None if result.runs else result.forming
    if suffix == MOMENTS:
        return pull_csv(result) if forming is None else form_csv(result, forming)
    if suffix == NUMBERS:
        return pull_json(result)
    if forming is None and not result.middle.curve:
        raise ValidationError(
            [argument_issue("output", "has no moment to show: this pull ran away as it began; .json has its numbers")]
        )
    if suffix == PAGE:
        return pull_html(result, given.system)
    told = progress(given, "frame")
    if forming is None:
        return moving_pull(result, given.system, on_output=told)
    return moving_form(result, forming, given.system, on_output=told)


TASK = Task(
    options=(
        RECIPE,
        units("loads and sizes"),
        Option("pull", "pull the joint until it breaks or slips; done unless --form stands alone", TICK),
        Option("form", "twist the legs by two hands, wind the barrel, and let go", TICK),
        Option(
            "friction",
            "frictions to pull at",
            numbers(*FRICTIONS),
            default=",".join(f"{friction:g}" for friction in BAND),
        ),
        Option(
            "start",
            "how the wire stands at the start of a pull: sprung (bent from straight wire and let go), exact (touching, free of stress), both, formed (by hands, as --form makes it), all",
            choice(*STARTS),
            default="sprung",
        ),
        Option(
            "hands",
            "angle between the hands that twist",
            quantity("angle", least=HANDS_DEG[0], most=HANDS_DEG[1]),
            usual="the recipe's throat; for a start formed 14 deg more than its legs lie apart",
        ),
        Option(
            "unlike",
            "by how much further the tag's hand stands off the axis",
            quantity("angle", most=UNLIKE_DEG[1], zero=True),
            default="0 deg",
        ),
        Option("tension", "pull of either hand, over the wire's strength", number(*TENSIONS), default=f"{TENSION:g}"),
        PULLS,
    ),
    run=_run,
    document=simulate_document,
    record=record,
    files=(
        Output(
            "output",
            "also write the pull, or the forming where nothing is pulled: .html page that plays it under a slider, .webp moving picture, .csv every moment, .json all numbers",
            (PAGE, MOVING, MOMENTS, NUMBERS),
            _written,
            said="written to {}",
            short="-o",
            pictures={MOVING: None},
            instead=f"{PAGE} can, in a browser",
        ),
    ),
    json="mm, N and deg; _d in wire diameters, loads over the strength",
)
