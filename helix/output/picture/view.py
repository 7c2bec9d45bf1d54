"""Where the joint stands on a canvas: what is shown of it, the direction of view, the projection."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from helix.mechanics import limits

if TYPE_CHECKING:
    from helix.model.joint.joint import CentreLine, Joint

Floats = NDArray[np.float64]

STANDING_SHOWN_D = 5.0
"""Length of standing leg drawn past the last wrap, in wire diameters, before the break sign."""
VIEWS = ("side", "top", "eye", "three-quarter")
TILT_RAD = float(np.radians(16.0))
"""How far the joint is turned about its axis in the view called side: its upper side shows a little."""
_BREAK_GAP_D, _BEYOND_D = 0.9, 1.6
_MOST_SAMPLES = 40_000


@dataclass(frozen=True)
class VisiblePart:
    """The part of a centre line that is drawn: points (n, 3) in mm, unit tangents (n, 3), section (n,).

    pieces: row ranges, each one unbroken length of wire. break_mm: the two heights along the joint's
    axis between which the standing leg is broken off, or None when all of it is shown. d_mm: wire diameter. closed: a
    ring, whose ends lie in each other and are not seen.
    """

    points_mm: Floats
    tangents: Floats
    section: NDArray[np.int64]
    s_mm: Floats
    pieces: tuple[slice, ...]
    break_mm: tuple[float, float] | None
    names: tuple[str, ...]
    d_mm: float
    closed: bool = False
    shades: dict[int, tuple[Floats, Floats, Floats]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    """What helix.output.picture.shade has worked out for each piece, by its first row."""

    def rows(self, *names: str) -> NDArray[np.int64]:
        """Row numbers of the sections with these names."""
        wanted = [k for k, name in enumerate(self.names) if name in names]
        return np.flatnonzero(np.isin(self.section, wanted))


@dataclass(frozen=True)
class View:
    """A parallel projection: axes (3, 3) are the unit vectors right, up and towards the viewer.

    scale: canvas units per mm. origin: where the point (0, 0, 0) falls, x to the right and y *down*.
    """

    axes: Floats
    scale: float = 1.0
    origin: tuple[float, float] = (0.0, 0.0)

    def project(self, points_mm: ArrayLike) -> tuple[Floats, Floats]:
        """Canvas position (n, 2) and nearness to the viewer (n,), in canvas units, of points (n, 3) in mm.

        >>> xy, near = side_view().project([[1.0, 2.0, 3.0]])
        >>> xy.tolist(), near.tolist()
        ([[3.0, -1.0]], [2.0])
        """
        turned = np.asarray(points_mm, dtype=float).reshape(-1, 3) @ self.axes.T * self.scale
        flat = np.stack((self.origin[0] + turned[:, 0], self.origin[1] - turned[:, 1]), axis=1)
        return flat, turned[:, 2]


def side_view(tilt_rad: float = 0.0) -> View:
    """The joint lying along the canvas, eye to the left, pin towards the viewer; scale 1, origin (0, 0).

    tilt_rad: turn of the joint about its own axis, its upper side towards the viewer; lengths along the
    axis stay true.
    """
    cos, sin = np.cos(tilt_rad), np.sin(tilt_rad)
    return View(np.array([[0.0, 0.0, 1.0], [cos, -sin, 0.0], [sin, cos, 0.0]]))


def shown_part(joint: Joint, step_d: float = 0.05, line: CentreLine | None = None) -> VisiblePart:
    """Sample the joint for drawing: all of it but the far end of the standing leg; several wires one after the other.

    step_d: distance of the samples in wire diameters; joints that would need more than about 40 000
    samples get longer steps. line: samples of the wire that there are already.
    """
    wires = joint.wires
    if len(wires) == 1:
        return _shown_wire(joint, step_d, line)
    shown = [_shown_wire(wire, step_d, None) for wire in wires]
    starts_mm = [start * joint.diameter_mm for start in joint.wire_starts_d]
    rows = np.cumsum([0, *(len(part.s_mm) for part in shown)])
    return replace(
        shown[0],
        points_mm=np.concatenate([part.points_mm for part in shown]),
        tangents=np.concatenate([part.tangents for part in shown]),
        section=np.concatenate([part.section for part in shown]),
        s_mm=np.concatenate([part.s_mm + start for part, start in zip(shown, starts_mm, strict=True)]),
        pieces=tuple(
            slice(piece.start + int(row), piece.stop + int(row))
            for part, row in zip(shown, rows[:-1], strict=True)
            for piece in part.pieces
        ),
    )


def _shown_wire(joint: Joint, step_d: float, line: CentreLine | None) -> VisiblePart:
    d = joint.diameter_mm
    names = tuple(joint.section_names)
    step_d = max(step_d, joint.own_d / _MOST_SAMPLES)
    # the standing leg is straight and may be very long: few samples of it, and its end made anew below
    line = line or joint.sample(step_d, max(step_d, joint.layout.sizes.standing / _MOST_SAMPLES))
    standing = line.section == names.index("standing")
    joint_part = VisiblePart(
        line.points_mm[~standing], line.tangents[~standing], np.asarray(line.section)[~standing],
        line.s_mm[~standing], (), None, names, d,
    )  # fmt: skip
    if not np.any(standing):
        return replace(joint_part, pieces=(slice(0, len(joint_part.s_mm)),))
    head, foot, s_foot = line.points_mm[0], joint_part.points_mm[0], float(joint_part.s_mm[0])
    top = float(joint_part.points_mm[:, 2].max())
    shown_d = STANDING_SHOWN_D + missing_wraps_d(joint)
    cuts = [top + extra * d for extra in (shown_d, shown_d + _BREAK_GAP_D)]
    end = cuts[1] + _BEYOND_D * d
    if head[2] <= end:
        return _joined([_rod(head, foot, float(line.s_mm[0]), joint_part)], joint_part, None)
    at = [foot + [0.0, 0.0, z - foot[2]] for z in (end, cuts[1], cuts[0])]
    beyond = _rod(at[0], at[1], s_foot - (end - float(foot[2])), joint_part)
    near = _rod(at[2], foot, s_foot - (cuts[0] - float(foot[2])), joint_part)
    return _joined([beyond, near], joint_part, (cuts[0], cuts[1]))


def missing_wraps_d(joint: Joint) -> float:
    """Length of leg [d] that the wraps would take which are missing of the usual ones: room to show them."""
    sizes = joint.layout.sizes
    return max(limits.FEW - sizes.wraps, 0.0) * sizes.touching_pitch


def _rod(start: Floats, stop: Floats, s_mm: float, like: VisiblePart) -> VisiblePart:
    """A straight length of standing leg, sampled every quarter of a diameter."""
    length = float(np.linalg.norm(stop - start))
    u = np.linspace(0.0, 1.0, max(int(np.ceil(length / (0.25 * like.d_mm))), 1) + 1)[:, None]
    points = start + u * (stop - start)
    ahead = np.broadcast_to((stop - start) / max(length, 1e-300), points.shape)
    section = np.full(len(points), like.names.index("standing"))
    return replace(like, points_mm=points, tangents=ahead, section=section, s_mm=s_mm + u[:, 0] * length)


def _joined(rods: list[VisiblePart], rest: VisiblePart, broken: tuple[float, float] | None) -> VisiblePart:
    """Rods and the rest of the joint as one, the last rod running on into the rest."""
    parts = [*rods, rest]
    parts[-2] = replace(
        parts[-2],
        points_mm=parts[-2].points_mm[:-1], tangents=parts[-2].tangents[:-1],
        section=parts[-2].section[:-1], s_mm=parts[-2].s_mm[:-1],
    )  # fmt: skip
    ends = np.cumsum([len(part.s_mm) for part in parts]).tolist()
    stops = [*ends[:-2], ends[-1]]
    starts = [0, *stops[:-1]]
    return replace(
        rest,
        points_mm=np.concatenate([part.points_mm for part in parts]),
        tangents=np.concatenate([part.tangents for part in parts]),
        section=np.concatenate([part.section for part in parts]),
        s_mm=np.concatenate([part.s_mm for part in parts]),
        pieces=tuple(slice(a, b) for a, b in zip(starts, stops, strict=True)),
        break_mm=broken,
    )


def fitted(view: View, shown: VisiblePart, box: tuple[float, float, float, float]) -> View:
    """The view scaled and moved so that the wire, its thickness included, just fills box (x0, y0, x1, y1)."""
    flat, _ = View(view.axes).project(shown.points_mm)
    low, high = flat.min(axis=0) - shown.d_mm / 2, flat.max(axis=0) + shown.d_mm / 2
    size = high - low
    scale = float(min((box[2] - box[0]) / size[0], (box[3] - box[1]) / size[1]))
    return placed(View(view.axes, scale), shown, box)


def placed(view: View, shown: VisiblePart, box: tuple[float, float, float, float]) -> View:
    """The view moved, not scaled, so that the wire stands in the middle of box (x0, y0, x1, y1)."""
    flat, _ = View(view.axes, view.scale).project(shown.points_mm)
    half = shown.d_mm / 2 * view.scale
    middle = (flat.min(axis=0) - half + flat.max(axis=0) + half) / 2
    return View(
        view.axes, view.scale, ((box[0] + box[2]) / 2 - float(middle[0]), (box[1] + box[3]) / 2 - float(middle[1]))
    )


def named_view(name: str) -> View:
    """One of the views that have a name; scale 1, origin (0, 0). Raises ValueError for another name.

    side: along the pin, turned 16 deg about the joint's axis so that its upper side shows. top: square to
    that, the pin upright. eye: along the axis, the eye in front. three-quarter: from the eye's end, above.

    >>> named_view("top").project([[0.0, 0.0, 1.0]])[0].tolist()
    [[1.0, 0.0]]
    """
    if name == "side":
        return side_view(TILT_RAD)
    if name == "top":
        return side_view(np.pi / 2.0)
    if name == "eye":
        return View(np.array([[0.0, 1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, -1.0]]))
    if name == "three-quarter":
        turn, rise = np.radians(34.0), np.radians(24.0)
        right, up, nearer = side_view().axes
        right, nearer = (np.cos(turn) * right + np.sin(turn) * nearer, np.cos(turn) * nearer - np.sin(turn) * right)
        up, nearer = np.cos(rise) * up - np.sin(rise) * nearer, np.cos(rise) * nearer + np.sin(rise) * up
        return View(np.stack((right, up, nearer)))
    raise ValueError(f"a view must be {', '.join(VIEWS)}; got {name}")


def runs_inside(shown: VisiblePart, view: View, box: tuple[float, float, float, float], width: float) -> list[slice]:
    """Unbroken lengths of wire that come nearer to the box than `width`, each a sample longer than that."""
    flat, _ = view.project(shown.points_mm)
    low, high = np.array(box[:2]) - width, np.array(box[2:]) + width
    inside = np.all((flat >= low) & (flat <= high), axis=1)
    runs = []
    for piece in shown.pieces:
        rows = np.flatnonzero(inside[piece]) + piece.start
        for run in np.split(rows, np.flatnonzero(np.diff(rows) > 2) + 1) if len(rows) else []:
            start, stop = max(int(run[0]) - 1, piece.start), min(int(run[-1]) + 2, piece.stop)
            if stop - start > 1:
                runs.append(slice(start, stop))
    return runs


def only(shown: VisiblePart, runs: list[slice]) -> VisiblePart:
    """The same wire, but nothing of it besides these unbroken lengths."""
    ends = np.cumsum([run.stop - run.start for run in runs]).tolist()
    rows = np.concatenate([np.arange(run.start, run.stop) for run in runs]) if runs else np.zeros(0, int)
    return replace(
        shown,
        points_mm=shown.points_mm[rows],
        tangents=shown.tangents[rows],
        section=shown.section[rows],
        s_mm=shown.s_mm[rows],
        pieces=tuple(slice(a, b) for a, b in zip([0, *ends[:-1]], ends, strict=True)) if runs else (),
    )
