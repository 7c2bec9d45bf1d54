"""The steps in which hands make a joint, each with a sentence and a real curve of the same wire; ink marks.

The order is: ink the straight wire, bend it round the pin, cross the legs, twist turn by turn, let the
standing leg run straight, bend out the tag, wrap by wrap, bend the handle, break it off.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from helix.geometry.wire.path import Path
from helix.mechanics import limits
from helix.studies.shape.shape import ShapeResult
from helix.studies.teaching.making import Making, making_of, wire_at
from helix.units import format_turns
from helix.values import result

MOST_OF_A_KIND = 8  # turns, or wraps, that are shown one by one
_BEGINS = {  # by section: with a twist, without one
    "twist_standing": ("twist ends, standing leg", "standing leg"),
    "entry_standing": ("twist begins, standing leg", "eye ends, standing leg"),
    "entry_tag": ("eye ends, tag", "eye ends, tag"),
    "twist_tag": ("twist begins, tag", "eye ends, tag"),
    "exit_tag": ("twist ends, exit begins, tag", "exit begins, tag"),
    "barrel": ("barrel begins", "barrel begins"),
    "stub": ("barrel ends", "barrel ends"),
    "handle": ("it breaks here", "it breaks here"),
}


@result
class Mark:
    """A place to ink on the straight wire [mm]: what is there, and its distance from either end of the cut wire."""

    letter: str
    what: str
    from_tag_end_mm: float
    from_standing_end_mm: float


@result
class Step:
    """One step: what to do, and the wire when it is done (wire diameters, the handle included).

    kind: "mark", "bend", "cross", "twist", "straighten", "swing", "wrap", "handle" or "finished". done: how
    many turns or wraps there are then. moment: see helix.studies.teaching.making. formed_d: arc lengths between
    which the wire has its final shape. broken_off_d: what is no longer part of the wire.
    """

    number: int
    kind: str
    done: float
    title: str
    sentence: str
    moment: float
    path: Path
    formed_d: tuple[float, float]
    broken_off_d: float


def ink_marks(result: ShapeResult) -> tuple[Mark, ...]:
    """The marks in order from the tag's end, lettered from A; parts that the joint lacks have none."""
    joint = result.joint
    d, path, total = joint.diameter_mm, joint.layout.path, result.cut.total_mm
    making = making_of(joint)
    places = [(making.middle_d, "middle of the eye: on the pin")]
    names = [p.section for p in path.pieces] + ["handle"]
    for k, name in enumerate(names):
        begins = k == 0 or names[k - 1] != name
        if begins and name in _BEGINS and not (name == "entry_tag" and "twist_tag" in names):
            words = _BEGINS[name][joint.layout.sizes.turns == 0.0]
            places.append(
                (float(path.starts[k]), words if name != "stub" or joint.layout.sizes.wraps else "stub begins")
            )
    places = [(s, what) for s, what in places if 0.0 < s * d < total - 1e-9]
    return tuple(
        Mark(letter=chr(ord("A") + k), what=what, from_tag_end_mm=total - s * d, from_standing_end_mm=s * d)
        for k, (s, what) in enumerate(sorted(places, reverse=True))
    )


def forming_steps(result: ShapeResult) -> tuple[Step, ...]:
    """Every step of making the joint, numbered from 1; turns and wraps one by one, up to eight of a kind.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> from helix.studies.shape.shape import shape
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> steps = forming_steps(shape(recipe_from_text(text)))
    >>> [step.kind for step in steps if step.kind not in ("twist", "wrap")]
    ['mark', 'bend', 'cross', 'straighten', 'swing', 'handle', 'finished']
    """
    making = making_of(result.joint)
    steps: list[Step] = []
    for kind, done, moment, title, sentence in _plan(result, making):
        if kind == "finished":
            path, formed, off = (result.joint.layout.path, (0.0, result.joint.layout.path.length), making.handle_d)
        else:
            now = wire_at(making, moment)
            path, formed, off = now.path, now.formed_d, 0.0
        steps.append(
            Step(
                number=len(steps) + 1,
                kind=kind,
                done=done,
                title=title,
                sentence=sentence,
                moment=moment,
                path=path,
                formed_d=formed,
                broken_off_d=off,
            )
        )
    return tuple(steps)


def shown_counts(count: float) -> list[float]:
    """Which of so many turns are shown: all up to eight, else the first few, some between, and the last.

    >>> shown_counts(2.5), shown_counts(20)
    ([1.0, 2.0, 2.5], [1.0, 2.0, 3.0, 6.0, 10.0, 13.0, 17.0, 20.0])
    """
    whole = [float(k) for k in range(1, int(count) + 1)]
    if count > whole[-1] + 1e-9 if whole else True:
        whole.append(float(count))
    if len(whole) <= MOST_OF_A_KIND:
        return whole
    rows = np.linspace(2, len(whole) - 1, MOST_OF_A_KIND - 2).round().astype(int)
    return [*whole[:2], *(whole[k] for k in rows)]


def _plan(result: ShapeResult, making: Making) -> Iterator[tuple[str, float, float, str, str]]:
    """Kind, count, moment, title and sentence of each step."""
    recipe, kinds = result.recipe, [move.kind for move in making.moves]
    yield "mark", 0.0, 0.0, "Ink the wire", "Cut the wire and ink it where each part will begin."
    yield ("bend", 0.0, making.parallel, "Bend the eye", "Lay the eye's mark on the pin and bend both legs round it.")
    first = next(bend for bend in result.bends if bend.name == "entry_tag").visible_angle_deg
    yield ("cross", 0.0, 1.0, "Cross the legs", f"Cross the legs close to the pin, at {first:.0f} deg to each other.")
    if "twist" in kinds:
        yield from _turns(result, making)
    if "straighten" in kinds:
        sentence = "Let the standing leg come straight onto the axis, the tag still lying on it."
        yield "straighten", 0.0, making.moment_after("straighten"), "Straighten the leg", sentence
    if "swing" in kinds:
        yield "swing", 0.0, making.moment_after("swing"), "Swing the tag out", _swing_sentence(result)
    if "wrap" in kinds:
        yield from _wraps(result, making)
    if recipe.finish.handle_mm > 0.0:
        sentence = "Bend the rest into a handle and rock it to and fro until it breaks. Eye protection on."
        yield "handle", 0.0, making.moment_after("handle"), "Break off the tag", sentence
    left = " and leaves the stub" if recipe.finish.stub_mm > 0.0 else ""
    sentence = f"The handle breaks off flush{left}." if recipe.finish.handle_mm > 0.0 else "All of the tag is used up."
    yield "finished", 0.0, making.end, "Finished", sentence


def _turns(result: ShapeResult, making: Making) -> Iterator[tuple[str, float, float, str, str]]:
    twist = result.recipe.twist
    how = "both legs bent alike" if twist.evenness >= limits.EVEN else "here the tag is bent more than the leg"
    for done in shown_counts(twist.turns):
        sentence = f"Twist the legs round each other, {twist.hand}-hand, {how}: {done:g} of {twist.turns:g} turns."
        title = f"Twist: turn {done:g} of {twist.turns:g}"
        yield "twist", done, making.moment_after("twist", done), title, sentence


def _wraps(result: ShapeResult, making: Making) -> Iterator[tuple[str, float, float, str, str]]:
    barrel = result.recipe.barrel
    how = "each hard against the last" if barrel.pitch_mm is None else "at the recipe's pitch"
    if barrel.hand == "opposite":
        how = "here against the hand of the twist"
    for done in shown_counts(barrel.wraps):
        sentence = f"Wind the tag round the straight leg, {how}: {done:g} of {barrel.wraps:g} wraps."
        yield "wrap", done, making.moment_after("wrap", done), f"Wrap {done:g} of {barrel.wraps:g}", sentence


def _swing_sentence(result: ShapeResult) -> str:
    bend = next(bend for bend in result.bends if bend.name == "exit_tag")
    angle = bend.visible_angle_deg
    if angle > math.degrees(limits.ANGLE_LIMIT_RAD):
        return f"Here the tag is bent out to {angle:.0f} deg, past square: here it goes wrong."
    turns = result.counts.swing_after_leg
    return f"Swing the tag out over {format_turns(turns)} to {angle:.0f} deg from the standing leg; never past square."
