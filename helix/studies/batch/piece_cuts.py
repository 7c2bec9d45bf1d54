"""One kind of piece: the wire to cut for it, where to mark it, and whether to cut it long."""

from __future__ import annotations

import math
from typing import ClassVar

import numpy as np

from helix.errors import ValidationError, ValidationIssue
from helix.findings import Judgement, judgement_of
from helix.model.batch.plan_parts import CutPiece, Cutting, End
from helix.model.joint.joint import Joint
from helix.model.joint.wire import Wire
from helix.studies.shape.cut_length import Cut, cut_lengths
from helix.studies.shape.shape import ShapeResult
from helix.units import format_length
from helix.values import hidden, keyed, result

SAME_FOR_BOTH = "choice of ramps"
"""The share of a cut that does not average out: it is one choice of the model, the same at both ends."""
SAWN_TO = 1.0
"""To this the cut of a piece with joints is rounded up, as a tape shows it; what is over lies in its handles [mm]."""
EXACT_TO = 0.1
"""The same of a piece without joints, and of wires that are to bear alike [mm]."""
_TINY = 1e-9
MARKS = {
    "tag throat": "where the tag goes from the eye into the twist",
    "eye middle": "what lies on the pin",
    "leg throat": "where the standing leg goes from the eye into the twist",
    "barrel end": "where the last wrap comes to lie on the standing leg",
}
"""Ink marks of a joint in the order of the wire, from the handle on, and what each of them is."""


@result
class EndCut:
    """One end of a piece. bearing_mm: along the joint's axis from what bears in the eye to the middle of
    the last wrap, where the straight wire begins; wire_mm: of the joint without standing leg and handle;
    marks_mm: (what, distance along the wire from this end), see MARKS. All 0 at a plain end."""

    name: str = keyed("end")
    bearing_mm: float
    wire_mm: float = keyed("joint_mm")
    handle_mm: float
    marks_mm: tuple[tuple[str, float], ...] = hidden()
    shares: tuple[tuple[str, float], ...] = hidden()
    judgement: Judgement | None


PLAIN_END = EndCut(name="plain", bearing_mm=0.0, wire_mm=0.0, handle_mm=0.0, marks_mm=(), shares=(), judgement=None)


@result
class InkMark:
    """An ink mark: what it marks, which end it belongs to (1 or 2, 0 for none), and where it is."""

    what: str
    end: int = hidden()
    end_name: str = keyed("end")
    from_first_mm: float
    from_second_mm: float


@result
class PieceCut:
    """One kind of piece as cut. count: wanted; spare: cut besides; enough: the chance that the spares do.

    free_mm: finished length with no load; stretch_mm: what the stated load adds; straight_mm: of the wire
    between the joints; cut_mm: wire it takes, low_mm to high_mm its interval; saw_mm: what to cut off the
    stock, longer by `extra_mm` where `long` says to cut long and trim. paired: one of two wires worked as one.
    """

    also: ClassVar = (
        "name=piece.name",
        "count=piece.count",
        "wire=piece.wire",
        "ends=end_names",
        "length_mm=piece.length_mm",
        "at_load_n=piece.at_load_n",
        "marks_mm",
        "joints=ends",
    )
    piece: CutPiece = hidden()
    wire: Wire = hidden()
    spare: int
    enough: float = keyed("spare_enough")
    ends: tuple[EndCut, EndCut] = hidden()
    free_mm: float
    stretch_mm: float = hidden()
    straight_mm: float
    cut_mm: float
    low_mm: float
    high_mm: float
    saw_mm: float
    long: bool = keyed("cut_long")
    paired: bool = hidden()
    marks: tuple[InkMark, ...]

    @property
    def end_names(self) -> tuple[str, ...]:
        """The plan's names of its two ends."""
        return tuple(end.name for end in self.piece.ends)

    @property
    def judgement(self) -> Judgement:
        """The more severe verdict on its two joints."""
        judged = [end.judgement for end in self.ends if end.judgement is not None]
        return max(judged, key=lambda one: one.severity, default=judgement_of(()))

    @property
    def marks_mm(self) -> tuple[float, ...]:
        """Where the ink marks are, from the first end."""
        return tuple(mark.from_first_mm for mark in self.marks)

    @property
    def to_cut(self) -> int:
        """Pieces to cut, spares included."""
        return self.piece.count + self.spare

    @property
    def extra_mm(self) -> float:
        """What is cut beyond the nominal length, to be trimmed."""
        return self.saw_mm - self.cut_mm


def end_cuts(end: End, shaped: ShapeResult, judgement: Judgement) -> tuple[EndCut, ...]:
    """What one joint takes of each wire of a piece, and its marks from that wire's own end."""
    cuts = cut_lengths(shaped.joint)
    return tuple(
        _end_cut(end, shaped, joint, cut, judgement) for joint, cut in zip(shaped.joint.wires, cuts, strict=True)
    )


def _end_cut(end: End, shaped: ShapeResult, joint: Joint, cut: Cut, judgement: Judgement) -> EndCut:
    d = joint.diameter_mm
    handle = shaped.recipe.finish.handle_mm
    throat = handle + sum(joint.section_mm(name) for name in ("stub", "barrel", "exit_tag", "twist_tag"))
    around = throat + joint.section_mm("entry_tag")
    beyond = around + joint.section_mm("eye") + joint.section_mm("entry_standing")
    last = beyond + sum(joint.section_mm(name) for name in ("twist_standing", "exit_standing", "barrel_core"))
    marks = [
        ("tag throat", throat),
        ("eye middle", handle + cut.joint_mm - _bight_mm(joint)),
        ("leg throat", beyond),
        ("barrel end", last),
    ]
    return EndCut(
        name=end.name,
        bearing_mm=shaped.finished.length_mm - 0.5 * d,
        wire_mm=cut.joint_mm,
        handle_mm=handle,
        marks_mm=tuple(marks),
        shares=tuple((cause, size) for cause, size in cut.shares if size > 0.0),
        judgement=judgement,
    )


def _bight_mm(joint: Joint) -> float:
    """Wire from the last wrap along the standing leg to the eye's lowest point."""
    line = joint.sample(0.02)
    z, s = line.points_mm[:, 2], line.s_mm
    k = int(np.clip(np.argmin(z), 1, len(z) - 2))
    # the lowest point of a parabola through the three samples round it
    fit = np.polyfit(s[k - 1 : k + 2] - s[k], z[k - 1 : k + 2] - z[k], 2)
    lowest = s[k] - 0.5 * fit[1] / fit[0]
    return float(lowest - joint.section_mm("standing"))


def piece_cut(
    piece: CutPiece,
    wire: Wire,
    ends: tuple[EndCut, EndCut],
    cutting: Cutting,
    stretch_mm: tuple[float, float],
    *,
    paired: bool = False,
) -> PieceCut:
    """Cut length, interval and marks of one kind of piece.

    stretch_mm: what the stated load adds to each joint. paired: whether it is one of two wires worked as one. Raises ValidationError where the joints alone are
    longer than the piece.
    """
    joints = sum(end.bearing_mm for end in ends)
    strain = _strain(piece, wire)
    straight = (piece.length_mm - joints - sum(stretch_mm)) / (1.0 + strain)
    if not straight > 0.0:
        shown = format_length(joints)
        message = f"must be more than the {shown} that its joints take up; got {format_length(piece.length_mm)}"
        raise ValidationError([ValidationIssue(f"piece {piece.name}: length", message)])
    cut = straight + sum(end.wire_mm + end.handle_mm for end in ends)
    half = interval(ends)
    handles = [end.handle_mm for end in ends if end.handle_mm > 0.0 or end.wire_mm > 0.0]
    long = half > cutting.handle_give * min(handles, default=math.inf) + _TINY and half > 0.0
    step = SAWN_TO if half > 0.0 and not paired else EXACT_TO
    saw = math.ceil((cut + (half if long else 0.0)) / step - 1e-6) * step
    joints_made = sum(1 for end in ends if end.wire_mm > 0.0)
    good = (1.0 - cutting.spare) ** joints_made
    spare = math.ceil(piece.count / good - 1e-9) - piece.count
    return PieceCut(
        piece=piece,
        wire=wire,
        spare=spare,
        enough=_at_least(piece.count, piece.count + spare, good),
        ends=ends,
        free_mm=straight + joints,
        stretch_mm=0.0 if piece.at_load_n is None else piece.length_mm - straight - joints,
        straight_mm=straight,
        cut_mm=cut,
        low_mm=cut - half,
        high_mm=cut + half,
        saw_mm=round(saw, 1),
        long=long,
        paired=paired,
        marks=_marks(ends, saw, cut),
    )


def interval(ends: tuple[EndCut, EndCut]) -> float:
    """Plus or minus of a cut [mm]: root of the sum of squares, the choice of ramps added up over the ends."""
    shares = [share for end in ends for share in end.shares]
    common = sum(size for cause, size in shares if cause == SAME_FOR_BOTH)
    return math.sqrt(common**2 + sum(size**2 for cause, size in shares if cause != SAME_FOR_BOTH))


def _strain(piece: CutPiece, wire: Wire) -> float:
    """Elastic strain of the straight wire under the piece's load."""
    return 0.0 if piece.at_load_n is None else piece.at_load_n / (wire.modulus_mpa * wire.area_mm2)


def _marks(ends: tuple[EndCut, EndCut], saw: float, cut: float) -> tuple[InkMark, ...]:
    """All marks in the order of the wire. What is cut beyond the nominal lies in the handles, or at a plain end."""
    made = [end.wire_mm > 0.0 for end in ends]
    extra = saw - cut
    before = (0.5 * extra, 0.5 * extra) if made[0] == made[1] else (0.0, 0.0)
    marks = []
    for k, end in enumerate(ends):
        for what, own in end.marks_mm:
            at = own + before[k]
            first, second = (at, saw - at) if k == 0 else (saw - at, at)
            marks.append(InkMark(what=what, end=k + 1, end_name=end.name, from_first_mm=first, from_second_mm=second))
    return tuple(sorted(marks, key=lambda mark: mark.from_first_mm))


def _at_least(wanted: int, tried: int, good: float) -> float:
    """Chance that at least `wanted` of `tried` are good."""
    if good >= 1.0:
        return 1.0
    return float(sum(math.comb(tried, k) * good**k * (1.0 - good) ** (tried - k) for k in range(wanted, tried + 1)))
