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
from helix.studies.teaching.hand_work import pulled_apart_deg
from helix.studies.teaching.making import Making, making_of, wires_at
from helix.units import format_turns
from helix.values import hidden, result

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
class InkPlace:
    """Where a mark is on one of the wires [mm]: its distance from either end of the cut wire."""

    from_tag_end_mm: float
    from_standing_end_mm: float


@result
class Mark:
    """A place to ink on each straight wire: what is there, and where on each of them; apart_mm: how near the next mark is."""

    letter: str
    what: str
    places: tuple[InkPlace, ...]
    apart_mm: float = hidden(default=math.inf)

    @property
    def from_tag_end_mm(self) -> float:
        """Distance from the tag's end of the wire, of the first of several [mm]."""
        return self.places[0].from_tag_end_mm

    @property
    def from_standing_end_mm(self) -> float:
        """Distance from the standing end of the wire, of the first of several [mm]."""
        return self.places[0].from_standing_end_mm


@result
class Step:
    """One step: what to do, and each wire when it is done (wire diameters, the handle included).

    kind: "mark", "bend", "cross", "twist", "straighten", "swing", "wrap", "handle" or "finished". done: how
    many turns or wraps there are then. moment: see helix.studies.teaching.making. paths, formed_of_d: of each wire
    its path, and the arc lengths between which it has its final shape. broken_off_d: what is no longer part of a wire.
    """

    number: int
    kind: str
    done: float
    title: str
    sentence: str
    moment: float
    paths: tuple[Path, ...]
    formed_of_d: tuple[tuple[float, float], ...]
    broken_off_d: float

    @property
    def path(self) -> Path:
        """The path of the wire, of the first of several."""
        return self.paths[0]

    @property
    def formed_d(self) -> tuple[float, float]:
        """What is formed of the wire, of the first of several."""
        return self.formed_of_d[0]


def ink_marks(result: ShapeResult) -> tuple[Mark, ...]:
    """The marks in order from the tag's end, lettered from A; parts that the joint lacks have none."""
    d, cuts = result.joint.diameter_mm, [wire.cut_mm for wire in result.wires]
    marks = []
    for each in zip(*(_ink_places(making) for making in making_of(result.joint).wires), strict=True):
        if 0.0 < each[0][0] * d < cuts[0] - 1e-9:
            places = [
                InkPlace(from_tag_end_mm=cut - s * d, from_standing_end_mm=s * d)
                for (s, _), cut in zip(each, cuts, strict=True)
            ]
            marks.append((each[0][1], tuple(places)))
    apart = [math.inf, *np.diff([places[0].from_tag_end_mm for _, places in marks]).tolist(), math.inf]
    return tuple(
        Mark(letter=chr(ord("A") + k), what=what, places=places, apart_mm=min(apart[k : k + 2]))
        for k, (what, places) in enumerate(marks)
    )


def _ink_places(making: Making) -> list[tuple[float, str]]:
    """Arc lengths to ink on a wire, from its tag's end on, and what is there."""
    layout = making.joint.layout
    names = [p.section for p in layout.path.pieces] + ["handle"]
    places = [(making.middle_d, "middle of the eye: on the pin")]
    for k, name in enumerate(names):
        begins = k == 0 or names[k - 1] != name
        if begins and name in _BEGINS and not (name == "entry_tag" and "twist_tag" in names):
            words = _BEGINS[name][layout.sizes.turns == 0.0]
            words = words if name != "stub" or layout.sizes.wraps else "stub begins"
            places.append((float(layout.path.starts[k]), words))
    return sorted(places, reverse=True)


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
            paths, off = result.joint.layout.paths, making.handle_d
            formed = tuple((0.0, path.length) for path in paths)
        else:
            now = wires_at(making, moment)
            paths, formed, off = tuple(wire.path for wire in now), tuple(wire.formed_d for wire in now), 0.0
        steps.append(
            Step(
                number=len(steps) + 1,
                kind=kind,
                done=done,
                title=title,
                sentence=sentence,
                moment=moment,
                paths=paths,
                formed_of_d=formed,
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
    two = recipe.wire.count > 1
    lie = "wire 1 over wire 2" if making.joint.layout.sizes.over else "side by side"
    sentence = (
        "Cut both wires and ink them where each part will begin; hold them side by side."
        if two
        else "Cut the wire and ink it where each part will begin."
    )
    yield "mark", 0.0, 0.0, "Ink the wires" if two else "Ink the wire", sentence
    sentence = (
        f"Lay the eye's marks on the pin, {lie}, and bend both pairs of legs round it."
        if two
        else "Lay the eye's mark on the pin and bend both legs round it."
    )
    yield "bend", 0.0, making.parallel, "Bend the eye", sentence
    first = next(bend for bend in result.bends if bend.name == "entry_tag").visible_angle_deg
    legs = "pairs of legs" if two else "legs"
    pulled_deg = pulled_apart_deg(making.joint) if recipe.twist.turns else None
    held = "to each other"
    if pulled_deg is not None:
        held = f"once let go; hands hold them about {pulled_deg:.0f} apart and pull along each (simulated)"
    sentence = f"Cross the {legs} close to the pin, at {first:.0f} deg {held}."
    yield "cross", 0.0, 1.0, "Cross the legs", sentence
    if "twist" in kinds:
        yield from _turns(result, making)
    if "straighten" in kinds:
        sentence = (
            "Let the standing pair come straight onto the axis, side by side, each tag still lying on the leg next to it."
            if two
            else "Let the standing leg come straight onto the axis, the tag still lying on it."
        )
        title = "Straighten the pair" if two else "Straighten the leg"
        yield "straighten", 0.0, making.moment_after("straighten"), title, sentence
    if "swing" in kinds:
        title = "Swing the tags out" if two else "Swing the tag out"
        yield "swing", 0.0, making.moment_after("swing"), title, _swing_sentence(result)
    if "wrap" in kinds:
        yield from _wraps(result, making)
    if recipe.finish.handle_mm > 0.0:
        bent = "Bend each rest into a handle" if two else "Bend the rest into a handle"
        sentence = f"{bent} and rock it to and fro until it breaks. Eye protection on."
        title = "Break off the tags" if two else "Break off the tag"
        yield "handle", 0.0, making.moment_after("handle"), title, sentence
    yield "finished", 0.0, making.end, "Finished", _end_sentence(result)


def _end_sentence(result: ShapeResult) -> str:
    finish, two = result.recipe.finish, result.recipe.wire.count > 1
    if finish.handle_mm == 0.0:
        return "All of both tags is used up." if two else "All of the tag is used up."
    left = "flush" if finish.stub_mm == 0.0 else "and leave the stubs" if two else "and leaves the stub"
    return f"The handles break off {left}." if two else f"The handle breaks off {left}."


def _turns(result: ShapeResult, making: Making) -> Iterator[tuple[str, float, float, str, str]]:
    twist, two = result.recipe.twist, result.recipe.wire.count > 1
    how = "both legs bent alike" if twist.evenness >= limits.EVEN else "here the tag is bent more than the leg"
    what, how = ("pairs", "both pairs bent alike") if two else ("legs", how)
    for done in shown_counts(twist.turns):
        sentence = f"Twist the {what} round each other, {twist.hand}-hand, {how}: {done:g} of {twist.turns:g} turns."
        title = f"Twist: turn {done:g} of {twist.turns:g}"
        yield "twist", done, making.moment_after("twist", done), title, sentence


def _wraps(result: ShapeResult, making: Making) -> Iterator[tuple[str, float, float, str, str]]:
    barrel = result.recipe.barrel
    how = "each hard against the last" if barrel.pitch_mm is None else "at the recipe's pitch"
    if barrel.hand == "opposite":
        how = "here against the hand of the twist"
    what = "Wind the tag round the straight leg"
    if result.recipe.wire.count > 1:
        what = "Wind both tags at once round the straight pair, one on each side of it"
    for done in shown_counts(barrel.wraps):
        sentence = f"{what}, {how}: {done:g} of {barrel.wraps:g} wraps."
        yield "wrap", done, making.moment_after("wrap", done), f"Wrap {done:g} of {barrel.wraps:g}", sentence


def _swing_sentence(result: ShapeResult) -> str:
    bend = next(bend for bend in result.bends if bend.name == "exit_tag")
    angle, two = bend.visible_angle_deg, result.recipe.wire.count > 1
    if angle > math.degrees(limits.ANGLE_LIMIT_RAD):
        return f"Here the tag is bent out to {angle:.0f} deg, past square: here it goes wrong."
    over = f"over {format_turns(result.counts.swing_after_leg)} to {angle:.0f} deg from the standing"
    if two:
        return f"Swing both tags out, one to each side, {over} pair; never past square."
    return f"Swing the tag out {over} leg; never past square."
