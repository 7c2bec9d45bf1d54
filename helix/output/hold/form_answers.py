"""What `form` and `stretch` answer in a few lines: where to hold, when to grip anew, which pin; how much longer."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from helix.findings import Severity
from helix.mechanics import limits
from helix.mechanics.bends.hand_twist import is_simulated
from helix.output.report.document import Answer
from helix.output.words.answer_words import headline, short_title
from helix.output.words.assumptions import stretch_note
from helix.output.words.findings.finding_words import explain
from helix.output.words.step_words import pin_line
from helix.output.words.words import shown_severity
from helix.studies.hold.stretch import StretchResult
from helix.studies.judge import judge
from helix.studies.teaching.hand_work import FormResult, Grips
from helix.units import UnitSystem, format_force, format_length, format_tape

UNSIMULATED: Final = "(not simulated so): measure a trial's lay"
_MOTIONS: Final = {"twist the pair": "to twist", "wind a wrap": "to wind"}


def form_answer(result: FormResult, units: UnitSystem) -> Answer:
    """Whether hands can; which pin, how far apart the legs are, which jaw where, when it moves on, where the tag is held."""
    recipe, grips = result.recipe, result.grips
    reach = format_length(grips.free_length_mm, units)
    lines = [
        *_verdict(result),
        *_force_lines(result, units),
        pin_line(result.recipe, units),
        *_angle_lines(result, units),
    ]
    if recipe.barrel.wraps:
        tool = "flat smooth pliers" if result.tools.held_in == "pliers" else "a vice with smooth jaws"
        part = "finished twist" if recipe.twist.turns else "eye's throat"
        lines.append(f"Jaw: {tool} (common practice, no source) across the {part}, never on the leg.")
    again = f"move on after {after_words(grips)}" if grips.grip_moves else "one grip reaches all of it"
    lines.append(f"Grip within {reach} of the work{', the tag too' if grips.tag_holds else ''}; {again}.")
    return Answer(tuple(lines), f"Hands: {short_title(recipe.title)}")


def after_words(grips: Grips) -> str:
    """After which turns and wraps the grip moves on, where it does.

    >>> from types import SimpleNamespace
    >>> after_words(SimpleNamespace(after_turns=(3,), after_wraps=(2, 14)))
    'turn 3 and after wraps 2, 14'
    """
    counted = (("turn", grips.after_turns), ("wrap", grips.after_wraps))
    parts = [f"{name}{'s' * (len(counts) > 1)} {', '.join(map(str, counts))}" for name, counts in counted if counts]
    return " and after ".join(parts)


def _force_lines(result: FormResult, units: UnitSystem) -> Iterator[str]:
    """Whether a hand can: what it gives at the grip for the hardest wire; else which jig can."""
    force = {work.motion: work.moment_n_mm.high / result.grips.free_length_mm for work in result.work}
    parts = [f"{format_force(force[motion], units)} {words}" for motion, words in _MOTIONS.items() if motion in force]
    needed = ", ".join(parts or [f"{format_force(max(force.values()), units)} to bend the eye"])
    can = "yes" if result.tools.crank_mm is None else "no"
    hand = f"{format_force(result.hand_force_n, units)} (assumed)"
    both = " (both wires at once)" if result.recipe.wire.count > 1 else ""
    yield f"By hand: {can}. At most {needed}{both}; a hand gives {hand}."
    if result.tools.crank_mm is not None:
        yield f"Turn it with a hand-turned jig, crank of {format_length(result.tools.crank_mm, units)} or more."


def _angle_lines(result: FormResult, units: UnitSystem) -> Iterator[str]:
    """How far apart the legs are held, and whether hands can hold them so alike."""
    hands = result.hands
    if hands is None:
        if result.recipe.wire.count > 1:
            yield "Twist: how far apart to hold two pairs nobody has simulated: try one, and measure its lay."
        return
    if hands.pulled_deg is None:
        yield f"Twist: a lay of {hands.lay_d:.3g} d is too short to wind by hand in hard wire (simulated)."
        return
    pull = format_force(hands.pull_n, units)
    own = math.degrees(2.0 * math.atan(math.pi / hands.lay_d))
    let_go = f"let go {own:.0f} (limit {math.degrees(limits.ANGLE_LIMIT_RAD):.0f}: practice)"
    told = f"(simulated); {let_go}" if is_simulated(hands.lay_d, hands.pull_share) else UNSIMULATED
    yield f"Twist: legs {hands.pulled_deg:.0f} deg apart, {pull} along each, alike {told}."
    for finding in result.of_making:
        found = explain(finding, units)
        yield f"{found.word}: {found.what}."


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
    judgement = judge(result.recipe, result.of_hold)
    return [headline(judgement)] if shown_severity(judgement) > Severity.OK else []
