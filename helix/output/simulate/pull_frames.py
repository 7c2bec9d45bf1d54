"""What is seen of a simulated pull: its moments up to the break and then the wire parted, or all of a slip; ink on the wire.

After the break nothing is simulated: the broken end goes on along its own line as the pull goes on, and nothing bears load.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from helix.studies.simulate.pull_result import PullOutcome, PullPoint, PullRun

Floats = NDArray[np.float64]

MOST_FRAMES: Final = 40
PART_D: Final = 3.0
"""How far a broken end is drawn off from where nothing covers it any more: from the break, or out of the barrel."""
PART_FRAMES: Final = 16
_INK_D: Final = 3.0  # between two marks round the eye
_FACING: Final = (0.48, 0.88)  # the way of the barrel's line, which is seen first
_EYE: Final = ("entry_standing", "eye", "entry_tag")


@dataclass(frozen=True, kw_only=True)
class PullFrames:
    """Frames (k, n, 3) in diameters, tensions (k, n) over the strength, ink (n,): nodes with a mark.

    curve: what is read off in each; parted frames have the load of the break. last: from which there is no way back. broken:
    first node below the gap, None where nothing breaks; the wire is in two from frame last + 1 on.
    """

    points: Floats
    tensions: Floats
    ink: NDArray[np.bool_]
    curve: tuple[PullPoint, ...]
    pull_d: Floats
    last: int
    broken: int | None

    def bears(self, frame: int) -> bool:
        """Whether the wire is whole in a frame."""
        return self.broken is None or frame <= self.last


def frame_rows(run: PullRun, most: int = MOST_FRAMES) -> NDArray[np.int64]:
    """Points of the curve that are shown: evenly over the pull, with the one from which there is no way back."""
    even = np.linspace(0, len(run.curve) - 1, min(most, len(run.curve))).round().astype(np.int64)
    return np.unique(np.append(even, run.last))


def pull_frames(run: PullRun) -> PullFrames:
    """The frames of a run that has a curve."""
    rows = frame_rows(run)
    parts = run.outcome is PullOutcome.BREAKS and run.nominal is not None
    if parts:
        rows = rows[rows <= run.last]
    points, tensions = run.frames[rows], run.tensions[rows]
    curve = [run.curve[row] for row in rows]
    pull_d = [point.pull_d for point in curve]
    last = int(np.searchsorted(rows, run.last))
    broken = None
    if parts:
        assert run.nominal is not None
        broken = int(np.clip(np.argmin(np.abs(run.s_d - run.nominal.at_d)), 3, len(run.s_d) - 3))
        gaps = _way_off(run, broken) * np.arange(1, PART_FRAMES + 1) / PART_FRAMES
        points = np.concatenate([points, [parted(points[-1], broken, gap) for gap in gaps]])
        tensions = np.concatenate([tensions, np.zeros((PART_FRAMES, tensions.shape[1]))])
        curve += [curve[-1]] * PART_FRAMES
        pull_d += [pull_d[-1] + gap for gap in gaps]
    return PullFrames(
        points=points,
        tensions=tensions,
        ink=ink_of(run),
        curve=tuple(curve),
        pull_d=np.array(pull_d),
        last=last,
        broken=broken,
    )


def _way_off(run: PullRun, broken: int) -> float:
    """How far a broken end goes: a piece past the barrel, where it is within it or below."""
    covered = np.flatnonzero(np.array(run.section[:broken]) == "barrel_core")
    inside = float(run.s_d[broken] - run.s_d[covered[0]]) if covered.size else 0.0
    return inside + PART_D


def parted(points: Floats, broken: int, gap_d: float) -> Floats:
    """The wire (n, 3) with what is above a break, nodes before `broken`, gone on along its own line by so much."""
    s = np.concatenate([[0.0], np.linalg.norm(np.diff(points, axis=0), axis=1).cumsum()])
    to = s[:broken] - gap_d
    moved = np.stack([np.interp(to, s, points[:, x]) for x in range(3)], axis=1)
    out = (points[0] - points[1]) / s[1]
    moved += np.clip(-to, 0.0, None)[:, None] * out
    return np.concatenate([moved, points[broken:]])


def ink_of(run: PullRun) -> NDArray[np.bool_]:
    """Nodes that are marked: round the eye from its middle on, and a line along the barrel on the side that is seen."""
    sections, first = np.array(run.section), run.frames[0]
    marked = np.zeros(len(sections), dtype=bool)
    round_pin = np.flatnonzero(np.isin(sections, _EYE))
    if round_pin.size:
        middle = round_pin[np.argmin(first[round_pin, 2])]
        off = run.s_d[round_pin] - run.s_d[middle]
        for place in np.arange(np.ceil(off[0] / _INK_D), np.floor(off[-1] / _INK_D) + 1.0) * _INK_D:
            marked[round_pin[np.argmin(np.abs(off - place))]] = True
    barrel = np.flatnonzero(sections == "barrel")
    if barrel.size > 2:
        out = first[barrel, :2] @ _FACING
        peaks = (out[1:-1] >= out[:-2]) & (out[1:-1] > out[2:]) & (out[1:-1] > 0.0)
        marked[barrel[1:-1][peaks]] = True
    return marked
