"""What `form` and `stretch` answer in a few lines: where to hold, when to grip anew, which pin; how much longer."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from helix.findings import Severity
from helix.output.report.document import Answer
from helix.output.words.answer_words import headline, short_title
from helix.output.words.assumptions import stretch_note
from helix.output.words.words import shown_severity
from helix.studies.hold.stretch import StretchResult
from helix.studies.judge import judge
from helix.studies.teaching.hand_work import FormResult, regrips
from helix.units import UnitSystem, format_force, format_length, format_tape

_MOTIONS: Final = {"twist the pair": "to twist", "wind a wrap": "to wind"}


def form_answer(result: FormResult, units: UnitSystem) -> Answer:
    """What the hands do: where to hold, when to grip anew, how far apart the legs are, which pin."""
    recipe, grips = result.recipe, result.grips
    reach = format_length(grips.free_length_mm, units)
    turns, wraps = regrips(result)
    after = [f"turn {count}" for count in turns] + [f"wrap {count}" for count in wraps]
    again = f"re-grip after {' and after '.join(after)}" if after else "one grip reaches all of it"
    hold = "Hold the eye on its pin; there is no barrel to wind."
    if recipe.barrel.wraps:
        hold = f"Hold the {'twist' if recipe.twist.turns else 'eye'}, not the leg, while you wind the barrel."
    lines = [*_verdict(result), hold, f"Grip within {reach} of the work; {again}."]
    if grips.tag_holds > 1:
        lines.append(f"Hold the tag no further out than that: take hold of it {grips.tag_holds} times.")
    hands = result.hands
    if hands is not None and hands.held_deg is not None:
        free = hands.hands_alike_deg
        alike = f"hands alike to {free:.0f} deg" if free >= 1.0 else "both hands exactly alike"
        lines.append(f"Legs {hands.held_deg:.0f} deg apart in the hands, {alike} (simulated).")
    lines += _force_lines(result, units)
    pin = result.springback.pin_for_wanted_eye_mm
    eye = format_length(recipe.eye.pin_mm, units)
    lines.append(
        f"Pin {format_length(pin, units)} for an eye of {eye}: it springs open."
        if pin is not None
        else f"No pin leaves an eye of {eye}: bend it further by hand."
    )
    return Answer(tuple(lines), f"Hands: {short_title(recipe.title)}")


def _force_lines(result: FormResult, units: UnitSystem) -> Iterator[str]:
    """What the hand gives at the grip, for the hardest wire, and whether a hand can."""
    force = {work.motion: work.moment_n_mm.high / result.grips.free_length_mm for work in result.work}
    most = max(force.values())
    parts = [f"{format_force(force[motion], units)} {words}" for motion, words in _MOTIONS.items() if motion in force]
    hand = f"{format_force(result.hand_force_n, units)} (assumed)"
    ease = f"a hand gives {hand}"
    if most > result.hand_force_n:
        crank = max(work.least_crank_mm * work.moment_n_mm.high / work.moment_n_mm.nominal for work in result.work)
        ease = f"over a hand's {hand}: crank of {format_length(crank, units)}"
    yield f"Force at that grip: up to {', '.join(parts or [format_force(most, units)])}; {ease}."


def stretch_answer(result: StretchResult, units: UnitSystem) -> Answer:
    """How much longer under the load, and how long then."""
    band, load = result.joint_stretch_mm, format_force(result.load_n, units)
    low, middle, high = (format_length(mm, units) for mm in (band.low, band.nominal, band.high))
    lines = [
        *_verdict(result),
        f"{middle} longer under {load} (an estimate: {low} to {high}).",
        (
            f"From inside the eye to the last wrap {format_length(result.length_under_load_mm.nominal, units)}, "
            f"{format_length(result.length_unloaded_mm, units)} without load."
        ),
        (
            f"The standing leg of {format_tape(result.recipe.finish.standing_mm, units)} stretches "
            f"{format_length(result.standing_stretch_mm, units)} beside that."
        ),
        *([note] if (note := stretch_note(result)) else []),
    ]
    return Answer(tuple(lines), f"Stretch: {short_title(result.recipe.title)}")


def _verdict(result: FormResult | StretchResult) -> list[str]:
    """The verdict on a joint that is not good."""
    judgement = judge(result.recipe)
    return [headline(judgement)] if shown_severity(judgement) > Severity.OK else []
