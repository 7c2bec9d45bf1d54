"""The film of a joint's making as data for the page: the finished wire once, and for each picture how far it is formed.

Each picture is put together by the page without a formula: rings of the finished wire between two arc lengths, the places
that are listed beyond them, and a straight line on. So it is the wire that the study has worked out, as long as it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from helix.geometry.joint.free_ends import FreeEnds
from helix.output.shape.colouring import SECTION_COLOURS, TAG_TONE, rgb, tag_proportion
from helix.output.viewer.scene import METAL, outermost, packed, rings_record
from helix.output.viewer.scene_steps import mark_notes, marks_of_wires_d
from helix.output.words.step_words import step_words
from helix.output.words.words import counted
from helix.studies.teaching.film import FRAMES_A_SECOND, HAND_AHEAD_S, film_frames, film_of
from helix.studies.teaching.hand_work import pin_drawn_mm
from helix.studies.teaching.steps import Step
from helix.units import UnitSystem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from helix.studies.shape.shape import ShapeResult
    from helix.studies.teaching.film import Film, FilmFrames, WireFrames
    from helix.studies.teaching.making import Making

Floats = NDArray[np.float64]

_STEP_D, _STRAIGHT_STEP_D = 0.15, 0.6
_TINT_D: Final = 0.15  # distance of the places whose colour is listed
_INK_D = 0.45  # half the width of an ink mark [d]
_INK, _HANDLE = "#1c1f23", "#e9e6df"
_NAMES = (*SECTION_COLOURS, "handle")
_STANDING_D = 60.0  # standing leg that is kept beyond what is formed [d]
_EYE_NEAR_D, _NEAR_D = (
    16.0,
    10.0,
)  # wire beyond what is formed that stays in the picture: of the eye, of twist and barrel [d]
_END_D = 4.0  # standing leg that is seen beyond the joint [d]
_PAN = 24  # pictures in which the view goes on to the next
_STRAIGHT: Final[Mapping[int, tuple[Floats, ...]]] = {}
_PIN_HALF_D = 2.0  # half the length of the pin [d]


def film_record(
    result: ShapeResult, steps: Sequence[Step] | None = None, units: UnitSystem = "metric"
) -> dict[str, Any]:
    """The film, ready for JSON; lengths in mm. The standing leg is cut short far from the joint, for all pictures alike.

    The keys are described in docs/sheet-and-viewer.md.
    """
    film = film_of(result, steps)
    d = result.joint.diameter_mm
    count = round(film.seconds * FRAMES_A_SECOND) + 1
    frames = film_frames(film, np.linspace(0.0, 1.0, count))
    marks = [note for step in film.steps[:1] for note in mark_notes(result, step, units)]
    each = zip(film.making.wires, frames.wires, marks_of_wires_d(result), strict=True)
    return {
        "frames": count,
        "a_second": FRAMES_A_SECOND,
        "ahead": round(HAND_AHEAD_S * FRAMES_A_SECOND),
        "wires": [_wire(making, own, frames.bent_from, marks) for making, own, marks in each],
        "hands": packed(frames.hands * d, "<f4"),
        "pin": {
            "middle": [round(float(value) * d, 3) for value in film.pin_d],
            "radius": 0.985 * pin_drawn_mm(result.recipe) / 2.0,
            "half": _PIN_HALF_D * d + pin_drawn_mm(result.recipe) / 2.0,
            "out": packed(frames.pin_out, "<f4"),
        },
        "step": packed(frames.step, "u1"),
        "count": packed(frames.count, "<f4"),
        "captions": [_caption(film, step, count, step_words(step, result, units)) for step in film.steps],
        "marks": marks,
        "views": _views(film, frames, np.array([note["point"] for note in marks]) / d),
    }


def _wire(making: Making, frames: WireFrames, bent_from: NDArray[np.int64], marks: Floats) -> dict[str, Any]:
    """One of the wires: what is formed in the end, its colours, and what lies beyond in each picture."""
    path, d = making.joint.layout.path, making.joint.diameter_mm
    first = max(min(making.throat_d[0], float(marks.min(initial=np.inf))) - _STANDING_D, 0.0)
    samples = path.sample(_STEP_D, _STRAIGHT_STEP_D)
    rows = samples.s >= first
    formed = rings_record(samples.points[rows] * d, samples.tangents[rows], d, colours={})
    formed["s"] = packed(samples.s[rows] * d, "<f4")
    last = path.length + making.handle_d
    return {
        "first": first * d,
        "breaks": path.length * d,
        "last": last * d,
        "formed": formed,
        "tint": _tint(making, first, last, marks),
        "low": _ends(frames.low, d, -1.0),
        "high": _ends(frames.high, d, 1.0, dict(zip(bent_from.tolist(), frames.bent, strict=True))),
        "carried": packed(frames.carried * d, "<f4"),
    }


def _caption(film: Film, step: Step, count: int, sentence: str) -> dict[str, Any]:
    return {
        "title": step.title,
        "sentence": sentence,
        "done": round(film.time_of(step.number) * (count - 1)),
        "counted": counted(step.kind, film.whole(step.kind)) if step.kind in ("twist", "wrap") else "",
    }


def _tint(making: Making, first: float, last: float, marks: Floats) -> dict[str, Any]:
    """Colours along the wire, whichever shape it has: in two tones, and by its parts; inked."""
    path = making.joint.layout.path
    s = np.linspace(first, last, int(np.ceil((last - first) / _TINT_D)) + 1)
    piece = np.clip(np.searchsorted(path.starts, s, side="right") - 1, 0, len(path.pieces))
    names = np.array([*(_NAMES.index(each.section) for each in path.pieces), _NAMES.index("handle")])
    section = names[piece]
    plain = np.outer(1.0 - (1.0 - TAG_TONE) * tag_proportion(section, _NAMES, s), rgb(METAL))
    parts = np.array([rgb(colour) for colour in (*SECTION_COLOURS.values(), _HANDLE)])[section]
    inked = np.any(np.abs(s[:, None] - marks) <= _INK_D, axis=1, keepdims=True)
    colours = {"plain": plain, "section": parts}
    return {
        "step": (last - first) / (len(s) - 1) * making.joint.diameter_mm,
        "colours": {
            name: packed(np.round(255.0 * np.where(inked, rgb(_INK), own)), "u1") for name, own in colours.items()
        },
    }


def _ends(ends: FreeEnds, d: float, way: float, bent: Mapping[int, tuple[Floats, ...]] = _STRAIGHT) -> dict[str, Any]:
    """Places beyond what is formed, picture after picture: how many, arc lengths, points, unit vectors towards the tag."""
    counts, s, points, tangents = [], [], [], []
    for k in range(len(ends.s)):
        if k in bent:
            places = bent[k]
        elif ends.along[k, -1] > 0.0:
            places = (ends.s[k] + way * ends.along[k], ends.points[k], way * ends.tangents[k])
        else:
            places = (ends.s[k : k + 1], ends.points[k, :1], way * ends.tangents[k, :1])
        counts.append(len(places[0]))
        s.append(places[0])
        points.append(places[1])
        tangents.append(places[2])
    return {
        "count": packed(np.array(counts), "u1"),
        "s": packed(np.concatenate(s) * d, "<f4"),
        "points": packed(np.concatenate(points) * d, "<f4"),
        "along": packed(np.concatenate(tangents), "<f4"),
    }


def _views(film: Film, frames: FilmFrames, marks_d: Floats) -> list[dict[str, Any]]:
    """What must be in the picture, from picture to picture: points at some of them, evenly passing over between two.

    First the ink marks, then the eye and the legs near it, then the joint and the tag as far as it sweeps, the handle, and the joint alone.
    """
    d, count = film.making.joint.diameter_mm, len(frames.time)
    kinds = [film.steps[number - 1].kind for number in frames.step.tolist()]

    def rows(*names: str) -> NDArray[np.int64]:
        return np.array([k for k, kind in enumerate(kinds) if kind in names], dtype=np.int64)

    def swept(of: NDArray[np.int64], near_d: float) -> Floats:
        near = np.full(count, near_d)
        return np.concatenate([ends.place(near)[of] for wire in frames.wires for ends in (wire.low, wire.high)])

    wires = [making.joint for making in film.making.wires]
    sampled = [joint.layout.path.sample(0.5, 2.0) for joint in wires]
    joint_points = np.concatenate(
        [
            samples.points[samples.s >= joint.layout.path.length - joint.own_d - _END_D]
            for joint, samples in zip(wires, sampled, strict=True)
        ]
    )
    begun, wound, last = (
        rows("mark", "bend", "cross"),
        rows("twist", "straighten", "swing", "wrap"),
        rows("handle", "finished"),
    )
    views = [(int(begun[-1]), swept(begun, _EYE_NEAR_D))]
    if len(marks_d):
        marked, inked = int(rows("mark")[-1]), marks_d + np.array([[-_END_D, 0.0, 0.0], [_END_D, 0.0, 0.0]])[:, None]
        inked = inked.reshape(-1, 3)
        views = [(0, inked), (marked, inked), (min(marked + _PAN, views[0][0] - 1), views[0][1]), *views]
    else:
        views = [(0, views[0][1]), *views]
    if len(wound):
        stretch = np.concatenate([joint_points, swept(wound, _NEAR_D)])
        views += [(min(int(wound[0]) + _PAN, int(wound[-1])), stretch), (int(wound[-1]), stretch)]
    if len(frames.bent_from):
        carried: NDArray[np.bool_] = np.any(frames.wire.carried, axis=1)
        bent = [
            points
            for wire in frames.wires
            for (_, points, _), off in zip(wire.bent, carried[frames.bent_from], strict=True)
            if not off
        ]
        handle = np.concatenate([joint_points, *bent])
        off = int(np.flatnonzero(carried)[0]) if carried.any() else int(last[-1])
        views += [(min(int(last[0]) + _PAN, off), handle), (off, handle)]
    views.append((count - 1, joint_points))
    return [
        {"frame": frame, "points": [round(float(value) * d, 2) for value in outermost(points).ravel()]}
        for frame, points in views
    ]
