"""Close-ups of a joint: its two bends, and whatever other part is at fault; which of them to show.

The first bend is seen along the pin, the exit turned so that its bend faces the viewer, the rest from the side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from helix.findings import Finding, Severity, judgement_of
from helix.mechanics import limits
from helix.model.joint.section_names import part_name
from helix.output.picture.closeup.guides import Guide, bend_guides, few, part_guides
from helix.output.picture.view import TILT_RAD, View, VisiblePart, missing_wraps_d, side_view
from helix.output.words.closeup_words import part_caption
from helix.studies.shape.along import severities
from helix.studies.shape.joint_sizes import bight_height

if TYPE_CHECKING:
    from helix.studies.shape.bends import Bend
    from helix.studies.shape.shape import ShapeResult

Point = tuple[float, float, float]

LIMIT_DEG = float(np.degrees(limits.ANGLE_LIMIT_RAD))
_PARTS = ("eye", "twist", "hand", "barrel")
_SHOWN = {
    "opposite-hand": "hand",
    "wraps-only": "twist",
    "no-barrel": "barrel",
}  # what is wrong is to be seen where the twist should be
_CLOSE = ("entry", "exit", *_PARTS)
_MOST_D = 32.0  # of the axis in one close-up


@dataclass(frozen=True)
class Angle:
    """An angle to draw: its corner in mm, two unit directions from there, and its size in degrees.

    square: the direction at which the second would stand square to the first, where hands have to bend it back to that.
    """

    corner_mm: Point
    first: Point
    second: Point
    size_deg: float
    square: Point | None = None

    def words(self) -> str:
        """Its size, and the limit where that is passed.

        >>> Angle((0, 0, 0), (0, 0, 1), (0, 1, 0), 120.0).words()
        '120 deg (limit 90)'
        """
        return _limited(self.size_deg, "")

    @property
    def is_past(self) -> bool:
        """Whether it is past its limit."""
        return self.size_deg > LIMIT_DEG + 1e-6


def _limited(deg: float, mark: str = ": practice") -> str:
    """An angle; past its limit with that, whose mark stands in the heading of the close-up where a card has no room."""
    return f"{deg:.0f} deg" + (f" (limit {LIMIT_DEG:.0f}{mark})" if deg > LIMIT_DEG + 1e-6 else "")


@dataclass(frozen=True)
class CloseUp:
    """A close-up: what it shows, how severe that is, the numbers of the bend, from where it is seen, and how much.

    middle_mm: height along the joint's axis that stands in the middle; length_mm: how much of the axis is
    shown. rows: samples of the bend itself. angle: the one that can be seen on the bench.
    """

    name: str
    title: str
    severity: Severity
    caption: tuple[str, ...]
    view: View
    middle_mm: float
    length_mm: float
    rows: np.ndarray
    angle: Angle | None
    guides: tuple[Guide, ...] = ()

    @property
    def legs(self) -> tuple[Point, Point]:
        """The ways that the two arms of its angle go."""
        return (self.angle.first, self.angle.second) if self.angle else ((0.0, 0.0, 1.0), (0.0, 0.0, 1.0))

    def heading(self) -> str:
        """Title and verdict, loud where it is bad."""
        return f"{self.title}: {self.severity.name if self.severity else self.severity.word}"


def close_ups(result: ShapeResult, shown: VisiblePart) -> tuple[CloseUp, ...]:
    """The first bend and the exit; a joint that swings its tag nowhere has no exit to show."""
    bends = {bend.name: bend for bend in result.bends}
    close = [_entry(result, shown, bends)]
    if bends["exit_tag"].length_d > 0.0:
        close.append(_exit(result, shown, bends))
    return tuple(close)


def part_of(finding: Finding) -> str:
    """The close-up that shows a finding: "entry", "exit", "twist", "hand" or "barrel"; "" for none."""
    if finding.code == "overlap" and finding.remedy in ("gradual-exit", "no-overbend"):  # what presses is the exit
        return "exit"
    part = _SHOWN.get(finding.code) or part_name(finding.place)
    return part if part in _CLOSE else ""


def faulty_parts(results: Sequence[ShapeResult]) -> dict[str, Severity]:
    """The parts that findings are about, the most severe first, each with the most severe verdict on it; of what is found of
    the hold where the shape has none.

    A barrel of the wrong hand takes in what is said of the barrel.
    """
    worst: dict[str, Severity] = {}
    found = [finding for result in results for finding in result.findings if _is_shown(finding)]
    found = found or [finding for result in results for finding in result.judgement.findings if _is_shown(finding)]
    for finding in judgement_of(found).findings:
        worst.setdefault(part_of(finding), finding.severity)
    if "hand" in worst and "barrel" in worst:
        worst["hand"] = max(worst["hand"], worst.pop("barrel"))
    return worst


def _is_shown(finding: Finding) -> bool:
    return bool(part_of(finding)) and finding.severity > Severity.NOTE


def chosen(results: Sequence[ShapeResult], most: int = 2, *, spare: bool = True) -> tuple[str, ...]:
    """The close-ups that show what is wrong with any of these joints, in order along the wire; else the two bends.

    spare: a sound bend fills up the room that faults leave, the one that lies farther from them.
    """
    faulty = list(faulty_parts(results))[:most]
    sound = ["exit", "entry"] if "twist" in faulty or "entry" in faulty else ["entry", "exit"]
    both = [*faulty, *(bend for bend in sound if spare and bend not in faulty)][:most]
    order = ("eye", "entry", "twist", "exit", "hand", "barrel")
    return tuple(sorted(both, key=order.index))


def panels(
    result: ShapeResult, shown: VisiblePart, parts: Sequence[str], among: Sequence[ShapeResult] = ()
) -> tuple[CloseUp, ...]:
    """The close-ups of these parts; among: the joints that it stands beside, which share the length shown."""
    group = list(among) or [result]
    worst = faulty_parts([result])
    bends = {
        panel.name: replace(
            panel,
            guides=tuple(bend_guides(result, shown, panel.name, panel.legs, group)),
            severity=max(panel.severity, worst.get(panel.name, Severity.OK)),
        )
        for panel in close_ups(result, shown)
    }
    made = []
    for part in parts:
        if part in _PARTS:
            made.append(_part(result, shown, part, group))
        elif part in bends:
            made.append(bends[part])
    return tuple(made)


def _part(result: ShapeResult, shown: VisiblePart, part: str, group: list[ShapeResult]) -> CloseUp:
    words = faulty_parts([result])
    starts, stops = _window(result, part, group)
    length = min(max(stop - start for start, stop in (_window(joint, part, group) for joint in group)),
                 _MOST_D * shown.d_mm)  # fmt: skip
    starts = stops - length if part == "barrel" else starts  # what is wanted is at its end
    names = {
        "eye": ("eye",),
        "twist": ("twist_standing", "twist_tag") if result.counts.turns else ("barrel",),
        "hand": ("exit_tag", "barrel"),
        "barrel": ("barrel",),
    }[part]
    rows = shown.rows(*names)
    rows = rows[(shown.points_mm[rows, 2] >= starts) & (shown.points_mm[rows, 2] <= starts + length)]
    if not len(rows):
        rows = shown.rows("exit_tag", "twist_tag", "entry_tag")[-20:]
    title = {"eye": "Eye", "twist": "Twist", "hand": "Barrel", "barrel": "Barrel"}[part]
    return CloseUp(
        name=part,
        title="No twist" if part == "twist" and not result.counts.turns else title,
        severity=words.get(part, words.get("barrel", Severity.OK) if part == "hand" else Severity.OK),
        caption=part_caption(result, part),
        view=side_view(0.0 if part == "eye" else TILT_RAD),
        middle_mm=starts + length / 2.0,
        length_mm=length,
        rows=rows,
        angle=None,
        guides=tuple(part_guides(result, shown, part, group)),
    )


def _window(result: ShapeResult, part: str, group: list[ShapeResult]) -> tuple[float, float]:
    """The stretch of the axis [mm] that shows a part."""
    axial, d = result.joint.axial, result.joint.diameter_mm
    if part == "eye":
        return (bight_height(result.joint) - 2.0) * d, 3.0 * d
    if part == "twist":
        if few(group, "turns"):
            return -1.5 * d, axial["exit"] + 2.0 * d
        one = max((joint.joint.layout.sizes.lay for joint in group if joint.counts.turns), default=4.0)
        return -4.0 * d, max(9.5, one + 1.5) * d
    if part == "hand":
        return axial["exit"] - 6.5 * d, axial["barrel"] + 4.5 * d
    missing = missing_wraps_d(result.joint) + (0.0 if result.counts.wraps else 1.0)  # room for it
    return axial["barrel"] - 4.5 * d, axial["top"] + (missing + 2.5) * d


def _entry(result: ShapeResult, shown: VisiblePart, bends: dict[str, Bend]) -> CloseUp:
    pair = [bends["entry_standing"], bends["entry_tag"]]
    d = shown.d_mm
    seen = bends["entry_tag"].visible_angle_deg
    throats = result.joint.layout.sizes.tag_throat, result.joint.layout.sizes.standing_throat
    # the tag's eye leg is on the side of +x as the wire runs towards the twist
    way = float(np.sign(shown.points_mm[shown.rows("entry_tag")[0], 0]) or 1.0)
    legs = [
        (float(side * np.sin(throat.leg_angle)), 0.0, -float(np.cos(throat.leg_angle)))
        for side, throat in zip((way, -way), throats, strict=True)
    ]
    return CloseUp(
        name="entry",
        title="First bend",
        severity=_worst(result, pair),
        caption=(f"legs cross at {_limited(seen)}", _numbers(pair)),
        view=side_view(),
        middle_mm=-0.5 * d,
        length_mm=11.0 * d,
        rows=shown.rows("entry_standing", "entry_tag"),
        angle=Angle((0.0, 0.0, 0.0), legs[0], legs[1], seen),
    )


def _exit(result: ShapeResult, shown: VisiblePart, bends: dict[str, Bend]) -> CloseUp:
    pair = [bends["exit_standing"], bends["exit_tag"]]
    tag, d = bends["exit_tag"], shown.d_mm
    axial = result.joint.axial
    rows = shown.rows("exit_tag")
    wound = shown.rows("barrel")
    first_wrap = wound[shown.s_mm[wound] <= shown.s_mm[wound[0]] + 6.4 * d] if len(wound) else wound
    both = np.concatenate((rows, first_wrap))
    slant = np.degrees(np.arccos(np.clip(shown.tangents[both, 2], -1.0, 1.0)))
    off = np.abs(slant - tag.visible_angle_deg)  # not merely the largest: where parts overlap that is not trusted
    peak = int(both[np.flatnonzero(off <= off.min() + 0.05)[0]])
    x, y, z = (float(v) for v in shown.points_mm[peak])
    facing = side_view(float(np.arctan2(x, y)))
    start, stop = axial["exit"], max(axial["barrel"], axial["on_axis"])
    length = max(stop - start + 4.5 * d, 9.5 * d)
    t = tuple(float(v) for v in shown.tangents[peak])
    across = np.hypot(t[0], t[1]) or 1.0
    past = tag.visible_angle_deg is not None and tag.visible_angle_deg > LIMIT_DEG + 1e-6
    square = (t[0] / across, t[1] / across, 0.0) if past else None
    wraps_deg = float(np.degrees(result.joint.layout.sizes.barrel_lay)) if result.counts.wraps else 0.0
    own = ", as the wraps lie" if abs((tag.visible_angle_deg or 0.0) - wraps_deg) < 0.5 else ""
    return CloseUp(
        name="exit",
        title="Exit",
        severity=_worst(result, pair),
        caption=(
            f"tag at up to {_limited(tag.visible_angle_deg)}{own}",
            f"over {tag.length_d:.1f} d, {_numbers(pair)}",
        ),
        view=facing,
        middle_mm=(start + stop) / 2.0 + 1.4 * d,
        length_mm=length,
        rows=shown.rows("exit_standing", "exit_tag"),
        angle=Angle((x, y, z), (0.0, 0.0, 1.0), (t[0], t[1], t[2]), tag.visible_angle_deg, square),
    )


def _worst(result: ShapeResult, bends: list[Bend]) -> Severity:
    worst = severities(result)
    return max((worst[bend.name] for bend in bends if bend.length_d > 0.0), default=Severity.OK)


def _numbers(bends: list[Bend]) -> str:
    radius = min((b.min_radius_d for b in bends if b.min_radius_d is not None), default=None)
    strain = max((b.strain for b in bends), default=0.0)
    return ("" if radius is None else f"radius {radius:.2f} d, ") + f"strain {strain:.2f}"
