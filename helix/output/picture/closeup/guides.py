"""What is drawn into a close-up to read it by: arrows for hands, numbered turns and wraps, gaps, names, what is missing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from helix.findings import Severity
from helix.mechanics import limits
from helix.output.picture.view import TILT_RAD, View, VisiblePart, side_view
from helix.output.words.closeup_words import GUIDE_WORDS, count_words, gap_d, hand_words
from helix.studies.shape.joint_findings import OPEN_LAY
from helix.studies.shape.joint_sizes import usual_lay

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

Point = tuple[float, float, float]

_COUNTED: Final = 12.0  # more turns are not numbered one by one
_STEEP: Final = ("steep-first-bend", "spread-throat")
_ONE_TURN: Final = ("over-twist", "tight-lay")
_SHORT: Final = ("tight-leg-exit", "exit-overlaps", "tight-exit")


@dataclass(frozen=True)
class Guide:
    """Something drawn into a close-up to read it by, from one place to another in mm, with a word or two.

    kind: "slant", an arrow along the wire in front; "push", an arrow that a hand pushes along; "round", a half turn
    round the axis at start, in front, downwards where way is 1, "round-both" with the half behind; "turn", a stretch of the axis
    with its number below it, above where way is 1, "wrong" and "wanted" the same of what is at fault and of what should be;
    "insert", an arrow to where turns are missing, from above where way is 1; "ghost", the wraps that are not there, by the hand
    that way tells; "gap", the room between two wraps; "span", a stretch of the axis with a word above it; "across", a width;
    "name", a word with a line to its place (start).
    """

    kind: str
    start_mm: Point
    stop_mm: Point
    text: str
    way: float = 0.0


def part_guides(result: ShapeResult, shown: VisiblePart, part: str, group: list[ShapeResult]) -> list[Guide]:
    """What is drawn into the close-up of a part: "eye", "twist", "hand" or "barrel"; group: the joints that it stands beside."""
    match part:
        case "eye":
            return _eye_guides(result, shown)
        case "hand":
            return _hand_guides(result, shown)
        case "barrel":
            return _barrel_guides(result, shown, group)
    return _twist_guides(result, shown, group)


def bend_guides(
    result: ShapeResult, shown: VisiblePart, name: str, legs: tuple[Point, Point], group: list[ShapeResult]
) -> list[Guide]:
    """What is drawn into the close-up of a bend: "entry" or "exit"; legs: the ways that the eye legs go."""
    d, axial = shown.d_mm, result.joint.axial
    if name == "entry":
        if has(result, *_STEEP):
            words = (GUIDE_WORDS["closer"], "")
            return [_push(leg, d, text) for leg, text in zip(legs, words, strict=True)]
        kinked = has(result, "tight-first-bend")
        return [Guide("name", (0.0, 0.0, 0.0), (0.0, 0.0, 0.0), GUIDE_WORDS["kink"])] if kinked else []
    counted = _numbered(result.counts.wraps, axial["barrel"], result.joint.layout.sizes.pitch * d, 1.0)
    if not any(has(joint, *_SHORT) for joint in group):
        return counted
    ends = (0.0, 0.0, axial["exit"]), (0.0, 0.0, max(axial["barrel"], axial["on_axis"]))
    return [*counted, Guide("span", *ends, GUIDE_WORDS["too-short" if has(result, *_SHORT) else "slowly"])]


def has(result: ShapeResult, *codes: str) -> bool:
    """Whether one of these is found of a joint, and more than a note."""
    return any(finding.code in codes and finding.severity > Severity.NOTE for finding in result.findings)


def too_open(result: ShapeResult) -> bool:
    """Whether a joint's lay is too long, by its shape or by its hold."""
    return any(finding.remedy in OPEN_LAY and finding.severity > Severity.NOTE for finding in result.judgement.findings)


def few(joints: Iterable[ShapeResult], what: str) -> bool:
    """Whether it is the number of turns, or of wraps, that is wrong with one of the joints."""
    return any(finding.code == "few" and finding[f"few_{what}"] for joint in joints for finding in joint.findings)


def _eye_guides(result: ShapeResult, shown: VisiblePart) -> list[Guide]:
    rows = shown.rows("eye")
    widest = shown.points_mm[rows[int(np.argmax(np.abs(shown.points_mm[rows, 0])))], 2]
    half = result.finished.eye_inside_width_mm / 2.0
    words = f"{2.0 * half / shown.d_mm:.2g} d"
    return [Guide("across", (half, 0.0, float(widest)), (-half, 0.0, float(widest)), words)]


def _hand_guides(result: ShapeResult, shown: VisiblePart) -> list[Guide]:
    d, counts, axial = shown.d_mm, result.counts, result.joint.axial
    if not counts.turns or not counts.wraps:
        return []
    view = side_view(TILT_RAD)
    twist, barrel = hand_words(result)
    note = GUIDE_WORDS["same-way" if twist == barrel else "wrong-way"]
    return [
        _slant(shown, view, "twist_tag", axial["exit"] - 3.2 * d, 3.4 * d, twist),
        _slant(shown, view, "barrel", axial["barrel"] + 1.6 * d, 4.4 * d, f"{barrel}: {note}"),
    ]


def _barrel_guides(result: ShapeResult, shown: VisiblePart, group: list[ShapeResult]) -> list[Guide]:
    d, counts, axial = shown.d_mm, result.counts, result.joint.axial
    hand = 1.0 if result.recipe.twist.hand == "right" else -1.0
    touching = result.joint.layout.sizes.touching_pitch * d
    if not counts.wraps:
        start = axial["barrel"] + 0.8 * d
        end = start + limits.FEW * touching
        return [
            Guide("ghost", (0.0, 0.0, start), (0.0, 0.0, end), GUIDE_WORDS["no-wraps"], hand),
            Guide("round", (0.0, 0.0, start - 0.5 * d), (0.0, 0.0, start), "", hand),
        ]
    if counts.wraps <= 1.0:
        return []
    pitch = result.joint.layout.sizes.pitch * d
    is_open = gap_d(result) > 1e-6
    crowded = has(result, "wraps-overlap")
    rows = shown.rows("barrel")
    flat, _ = side_view(TILT_RAD).project(shown.points_mm[rows])
    low, high = (0.8, 0.65 * counts.wraps) if counts.wraps >= 3.0 else (0.0, counts.wraps - 1.0)  # with a wrap after it
    inner = (flat[:, 0] > axial["barrel"] + low * pitch) & (flat[:, 0] <= axial["barrel"] + high * pitch)
    first = rows[int(np.argmin(np.where(inner, flat[:, 1], np.inf)))]
    x, y, z = (float(v) for v in shown.points_mm[first])
    half = 0.5 * touching
    text = GUIDE_WORDS["gap" if is_open else "crowded" if crowded else "touch"]
    guides = (
        []
        if few([result], "wraps")
        else [Guide("gap", (x, y, z + half), (x, y, max(z + pitch - half, z + half)), text)]
    )
    guides += _numbered(counts.wraps, axial["barrel"], pitch)
    if is_open:
        top = axial["top"]
        guides.append(
            Guide("push", (1.25 * d, 0.0, top + 2.3 * d), (1.25 * d, 0.0, top + 0.7 * d), GUIDE_WORDS["tight"])
        )
    if few([result], "wraps"):
        start = axial["barrel"] + counts.wraps * pitch
        guides.append(
            Guide("ghost", (0.0, 0.0, start + 0.8 * d), (0.0, 0.0, axial["barrel"] + limits.FEW * pitch + 0.8 * d),
                  GUIDE_WORDS["no-wraps"], hand)
        )  # fmt: skip
    return guides


def _twist_guides(result: ShapeResult, shown: VisiblePart, group: list[ShapeResult]) -> list[Guide]:
    d, counts, lay = shown.d_mm, result.counts, result.joint.layout.sizes.lay * shown.d_mm
    hand = 1.0 if result.recipe.twist.hand == "right" else -1.0
    if not counts.turns:
        return [Guide("insert", (0.0, 0.0, -0.3 * d), (0.0, 0.0, -0.3 * d), GUIDE_WORDS["no-twist"], -1.0)]
    guides: list[Guide] = []
    if (few(group, "turns") or any(not joint.counts.turns for joint in group)) and counts.turns <= _COUNTED:
        guides += _numbered(counts.turns, 0.0, lay)
        if few([result], "turns"):
            at, words = (
                (0.0, 0.0, counts.turns * lay),
                f"{count_words(limits.FEW - counts.turns)} {GUIDE_WORDS['more-turns']}",
            )
            guides.append(Guide("insert", at, at, words, 1.0))
    elif any(has(joint, "uneven-twist") for joint in group):
        middle = float(np.mean(shown.s_mm[shown.rows("eye")]))
        for text, side in (("standing leg", shown.s_mm < middle), ("tag", shown.s_mm > middle)):
            rows = np.flatnonzero(side & (shown.points_mm[:, 2] < 0.0))
            x, y, z = (
                float(v) for v in shown.points_mm[rows[int(np.argmin(np.abs(shown.points_mm[rows, 2] + 1.1 * d)))]]
            )
            guides.append(Guide("name", (x, y, z), (x, y, z), text))
        if has(result, "uneven-twist"):
            guides.append(Guide("round-both", (0.0, 0.0, 6.4 * d), (0.0, 0.0, 0.0), GUIDE_WORDS["turn-both"], hand))
    elif any(too_open(joint) or has(joint, *_ONE_TURN) for joint in group):
        start, words = (0.0, 0.0, 0.0), f"{GUIDE_WORDS['one-turn']}: {lay / d:.3g} d"
        wrong = too_open(result) or has(result, *_ONE_TURN)
        guides.append(Guide("wrong" if wrong else "turn", start, (0.0, 0.0, lay), words))
        if too_open(result):
            usual = usual_lay(result.recipe)
            guides.append(Guide("wanted", start, (0.0, 0.0, usual * d), f"{GUIDE_WORDS['wanted']} {usual:g} d", 1.0))
            guides.append(Guide("round", (0.0, 0.0, 7.0 * d), (0.0, 0.0, 0.0), GUIDE_WORDS["tighter"], hand))
        if has(result, "over-twist", "tight-lay"):
            guides.append(Guide("round", (0.0, 0.0, 5.0 * d), (0.0, 0.0, 0.0), GUIDE_WORDS["back"], -hand))
    return guides


def _numbered(count: float, start_mm: float, long_mm: float, way: float = 0.0) -> list[Guide]:
    """Turns or wraps numbered along the axis, each that long, above the wire where way is 1; none where they are too many."""
    guides: list[Guide] = []
    for k in range(int(np.ceil(count - 1e-9)) if count <= _COUNTED else 0):
        part = min(count - k, 1.0)
        ends = (0.0, 0.0, start_mm + k * long_mm), (0.0, 0.0, start_mm + (k + part) * long_mm)
        guides.append(Guide("turn", *ends, str(k + 1) if part == 1.0 else count_words(part), way))
    return guides


def _push(leg: Point, d_mm: float, text: str) -> Guide:
    """An arrow from outside onto an eye leg, square to it."""
    x, z = leg[0], leg[2]
    out = (float(np.sign(x)) * abs(z), abs(x))
    start, stop = (
        (0.75 * d_mm * x + far * d_mm * out[0], 0.75 * d_mm * z + far * d_mm * out[1]) for far in (1.9, 0.62)
    )
    return Guide("push", (start[0], 0.0, start[1]), (stop[0], 0.0, stop[1]), text)


def _slant(shown: VisiblePart, view: View, name: str, at_mm: float, long_mm: float, text: str) -> Guide:
    """An arrow the way the tag runs where it lies in front, near a height along the axis."""
    rows = shown.rows(name)
    flat, near = view.project(shown.points_mm[rows])
    front = near >= near.max() - 0.02 * shown.d_mm
    best = rows[int(np.argmin(np.where(front, np.abs(flat[:, 0] - at_mm), np.inf)))]
    middle, way = shown.points_mm[best], shown.tangents[best] * long_mm / 2.0
    start, stop = (tuple(float(v) for v in middle + side * way) for side in (-1.0, 1.0))
    return Guide("slant", (start[0], start[1], start[2]), (stop[0], stop[1], stop[2]), text)
