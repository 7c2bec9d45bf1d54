"""A simulated pull: the answer in a few lines, and all of it as a document. Everything carries "simulated, not tested"."""

from __future__ import annotations

from typing import Final

from helix.output.report.document import Answer, Block, Bullets, Document, Heading, Table
from helix.output.simulate.decides_words import decides_line
from helix.output.simulate.form_lines import FORM_ASSUMPTIONS, form_lines, form_table
from helix.output.simulate.prediction_words import predictions_table
from helix.output.words.answer_words import breaks_words, headline, short_title
from helix.studies.judge import judge
from helix.studies.simulate.pull_result import HARDENINGS, PullOutcome, PullRun, PullSimulation, Start
from helix.units import UnitSystem, format_force, format_length

MARK: Final = "simulated, not tested"
START_WORDS: Final = {
    Start.SPRUNG: "a joint wound and let go",
    Start.EXACT: "the exact joint, free of stress,",
    Start.FORMED: "a joint that hands formed",
}
ASSUMPTIONS: Final = (
    "All of this is simulated, not tested: nobody has compared it with real wire. It does not decide whether the joint holds.",
    (
        "Sprung: the wire is bent from straight to the exact joint, then let go, so that barrel and twist stand off a little. Exact: it touches everywhere and "
        "is free of stress, tighter than hands wind. Formed: hands twisted and wound it in the simulation. A pull that does not slip proves nothing in any of them."
    ),
    "Friction is assumed; hard wire was never measured for it. The pin does not turn, and has the friction of the wire.",
    (
        f"A section breaks where fibres, bent from straight wire and hardening by {HARDENINGS[0]:g} to {HARDENINGS[2]:g} of the strength for each unit of "
        f"strain ({HARDENINGS[1]:g} nominal, assumed), carry the tension no more. Twisting while it is formed is not in it."
    ),
    "Ductility, tightness of the barrel, fatigue, nicks and shock are not in it.",
)
_ROWS: Final = 12


def simulate_document(result: PullSimulation, units: UnitSystem = "metric") -> Document:
    """The answer, the runs side by side, the middle one from moment to moment, and what is assumed."""
    title = _title(result)
    blocks: list[Block] = [Heading(title, 1), simulate_answer(result, units)]
    assumptions: tuple[str, ...] = ASSUMPTIONS[:1]
    if result.forming is not None:
        blocks.append(form_table(result.forming, result.recipe.wire.diameter_mm, units, MARK))
        assumptions += FORM_ASSUMPTIONS
    if result.runs:
        blocks.append(_runs(result, units))
        assumptions += ASSUMPTIONS[1:]
        if result.middle.curve:
            blocks.append(_curve(result, result.middle, units))
    blocks.append(predictions_table(result.strength_n, units))
    return Document(title, (*blocks, Heading("Assumptions"), Bullets(assumptions)))


def _title(result: PullSimulation) -> str:
    done = "pull" if result.forming is None else "forming and pull" if result.runs else "forming"
    return f"Simulated {done}: {short_title(result.recipe.title)}"


def simulate_answer(result: PullSimulation, units: UnitSystem = "metric") -> Answer:
    """The verdict on the joint, how the middle run ends and at what load, how the others do, and the joint on the way."""
    lines = [headline(judge(result.recipe, result.of_hold), units)]
    if result.forming is not None:
        lay_d = result.recipe.twist.lay_mm / result.recipe.wire.diameter_mm
        lines += form_lines(result.forming, lay_d, result.recipe.wire.diameter_mm, units)
    if result.runs:
        lines += _pull_lines(result, units)
    return Answer(tuple(lines), _title(result))


def _pull_lines(result: PullSimulation, units: UnitSystem) -> list[str]:
    run = result.middle
    lines = [
        f"Simulated, not tested: {_end(result, run, units, True)}.",
        decides_line(result.held, run),
        _friction_line(result, run, units),
    ]
    others = [other for other in result.of(run.start) if other is not run]
    if others:
        lines.append(". ".join(f"Friction {other.friction:g}: {_end(result, other, units)}" for other in others) + ".")
    for other in result.runs:
        if other.start is not run.start and other.friction == run.friction:
            lines.append(f"From {START_WORDS[other.start]} it {_end(result, other, units)}.")
    if run.curve:
        lines += _way_lines(result, run, units)
    return lines


def _force(result: PullSimulation, load: float, units: UnitSystem) -> str:
    return format_force(load * result.strength_n, units)


def _end(result: PullSimulation, run: PullRun, units: UnitSystem, whole: bool = False) -> str:
    """How a run ends and at what load; whole: with the share of straight wire."""
    if run.outcome is PullOutcome.BREAKS and run.nominal is not None:
        of = f", {100.0 * run.nominal.load:.0f} % of straight wire" if whole else ""
        return f"breaks {breaks_words(run.nominal.section)} at {_force(result, run.nominal.load, units)}{of}"
    load = _force(result, run.peak_load, units)
    if run.outcome is PullOutcome.SLIPS:
        return f"slips at {load}"
    if run.outcome is PullOutcome.HELD:
        return f"still gains at {load}, where the pull ended"
    return f"did not converge beyond {load}"


def _friction_line(result: PullSimulation, run: PullRun, units: UnitSystem) -> str:
    """The friction of the middle run, and the range of its break by hardening."""
    loads = [item.load for item in run.breaks]
    span = ""
    if run.outcome is PullOutcome.BREAKS and len(loads) > 1:
        span = f"; {_force(result, min(loads), units)} to {_force(result, max(loads), units)} by how the wire hardens (assumed)"
    begun = ""
    if run.start is not Start.EXACT and run.loose_d > 0.0:
        begun = f"; let go, its barrel stood off by {100.0 * run.loose_d:.0f} % of the wire"
    return f"That is at a friction of {run.friction:g} (assumed){span}{begun}."


def _way_lines(result: PullSimulation, run: PullRun, units: UnitSystem) -> list[str]:
    """What the joint does on the way: the throat, the wire that runs through, the barrel, the tag's part of the load."""
    end = run.curve[-1]
    if run.nominal is not None:
        end = next(point for point in run.curve if point.pull_d >= run.nominal.pull_d)
    d = result.recipe.wire.diameter_mm
    through = "no wire runs" if end.through_d < 0.05 else f"{format_length(end.through_d * d, units)} of wire run"
    throat = f"the throat goes from {run.curve[0].throat_deg:.0f} to {end.throat_deg:.0f} deg"
    turned, tag = 360.0 * max(end.turned, 0.0), 100.0 * end.tag_load / max(end.load, 1e-9)
    return [
        f"In {format_length(end.pull_d * d, units)} of pull {throat}; {through} round the pin.",
        f"The barrel turns back by {turned:.0f} deg as one piece; the tag carries {tag:.0f} % of the load there.",
    ]


def _runs(result: PullSimulation, units: UnitSystem) -> Table:
    def broke(run: PullRun, hardening: float) -> str:
        return next((_force(result, item.load, units) for item in run.breaks if item.hardening == hardening), "-")

    return Table(
        f"By friction ({MARK})",
        (
            "start",
            "friction",
            "ends",
            *(f"breaks, hardening {item:g}" for item in HARDENINGS),
            "most",
            "flow",
            "rubbing",
            "unaccounted",
        ),
        tuple(
            (
                run.start.value,
                f"{run.friction:g}",
                run.outcome.value,
                *(broke(run, item) for item in HARDENINGS),
                _force(result, run.peak_load, units),
                f"{100.0 * run.works[0]:.0f} %",
                f"{100.0 * run.works[1]:.0f} %",
                f"{100.0 * run.unaccounted:.2f} %",
            )
            for run in result.runs
        ),
        left=(0, 1, 2),
        note="flow and rubbing: of the work of the pull; unaccounted: of all work, by the book of energies.",
    )


def _curve(result: PullSimulation, run: PullRun, units: UnitSystem) -> Table:
    d = result.recipe.wire.diameter_mm
    step = max(1, len(run.curve) // _ROWS)
    shown = run.curve[::-1][::step][::-1]
    return Table(
        f"The pull at a friction of {run.friction:g} ({MARK})",
        ("moved", "load", "of straight wire", "throat", "run through", "barrel turned", "tag"),
        tuple(
            (
                format_length(point.pull_d * d, units),
                _force(result, point.load, units),
                f"{round(100.0 * point.load)} %",
                f"{point.throat_deg:.0f} deg",
                format_length(max(point.through_d, 0.0) * d, units),
                f"{360.0 * point.turned:.0f} deg",
                _force(result, point.tag_load, units),
            )
            for point in shown
        ),
        left=(),
    )
