"""A model for a printer, planned along the wire: whole, or in two parts with pegs where it is too long for the bed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from helix.geometry.wire.path import Path as WirePath
from helix.geometry.wire.rings import Rings, rings

Floats = NDArray[np.float64]
End = Literal["flat", "peg", "socket"]

BED_MM: Final = 220.0
"""Length of a usual printer's bed (an assumption)."""
GAP_MM: Final = 8.0
"""Between two parts on the plate (an assumption)."""
PEG: Final = 0.5
"""Thickness of a peg over that of the wire."""
PEG_DEPTH_D: Final = 1.2
"""Length of a peg [d]."""
PLAY_MM: Final = 0.2
"""What a socket is wider than its peg all round, as printed (an assumption)."""
LEAST_WALL_MM: Final = 0.4
"""Least wall round a socket, as printed: one line of a usual nozzle (an assumption)."""
_LOOK_D = 0.02  # as rings of a draft
_STEPS = 200  # places along the standing leg that are tried for a cut


@dataclass(frozen=True)
class Span:
    """A stretch of wire by arc length from `start` to `stop` [d], and how its two ends are finished."""

    start: float
    stop: float
    ends: tuple[End, End] = ("flat", "flat")


@dataclass(frozen=True)
class Part:
    """A part of a model: its stretches of wire, and its size (along, across, high) [d]."""

    spans: tuple[Span, ...]
    size_d: tuple[float, float, float]


def peg_fits(wire_mm: float) -> bool:
    """Whether wire printed so thick has a wall left round a socket.

    >>> peg_fits(7.4), peg_fits(2.0)
    (True, False)
    """
    return 0.5 * (1.0 - PEG) * wire_mm - PLAY_MM >= LEAST_WALL_MM


@dataclass(frozen=True)
class JointParts:
    """A joint of a model: the diameter of its wire, its whole, and its two parts where it can be cut (else none)."""

    d_mm: float
    whole: Part
    halves: tuple[Part, ...]

    def parts(self, scale: float, over_mm: float | None) -> tuple[Part, ...]:
        """What is printed: the parts where the whole is longer than over_mm."""
        needed = over_mm is not None and self.whole.size_d[0] * self.d_mm * scale > over_mm
        return self.halves if needed and self.halves else (self.whole,)


@dataclass(frozen=True)
class Plate:
    """What is printed at a scale: all joints side by side. bed_mm: length and width of the printer's bed; assumed: nobody
    named it. split: a joint longer than the bed is in two parts."""

    joints: tuple[JointParts, ...]
    scale: float
    bed_mm: float
    assumed: bool
    split: bool

    @property
    def parts(self) -> tuple[tuple[JointParts, Part], ...]:
        """Every part with its joint, in the order in which they lie."""
        over = self.bed_mm if self.split else None
        return tuple((joint, part) for joint in self.joints for part in joint.parts(self.scale, over))

    @property
    def sizes_mm(self) -> Floats:
        """Length, width and height (n, 3) of each part as printed."""
        sizes: Floats = np.array([
            [joint.d_mm * self.scale * size for size in part.size_d] for joint, part in self.parts
        ])  # fmt: skip
        return sizes

    @property
    def size_mm(self) -> tuple[float, float]:
        """Length and width that all parts take."""
        sizes = self.sizes_mm
        return float(sizes[:, 0].max()), float(sizes[:, 1].sum()) + GAP_MM * (len(sizes) - 1)

    @property
    def fits(self) -> bool:
        """Whether the bed has room for it."""
        return max(self.size_mm) <= self.bed_mm

    def fitting_scale(self, split: bool) -> float | None:
        """The largest scale that fits the bed, rounded down; None where no joint would be cut for it."""
        shown = [joint.halves if split and joint.halves else (joint.whole,) for joint in self.joints]
        if split and all(len(parts) == 1 for parts in shown):
            return None
        sizes = np.array([
            [joint.d_mm * size for size in part.size_d[:2]]
            for joint, parts in zip(self.joints, shown, strict=True) for part in parts
        ])  # fmt: skip
        room = self.bed_mm - GAP_MM * (len(sizes) - 1)
        return _rounded_down(min(self.bed_mm / sizes[:, 0].max(), room / sizes[:, 1].sum()))


def joint_parts(path: WirePath, d_mm: float, scale: float) -> JointParts:
    """The whole of a joint and its two parts, where the longer of them is shortest.

    A cut goes through both legs of the even twist, where the parts are turned into each other along the twist, or through
    the standing leg alone. path: in wire diameters.
    """
    line = rings(path, _LOOK_D)
    every = (Span(0.0, float(line.s[-1])),)
    whole = Part(every, _size(line, every))
    names = np.array([piece.section for piece in path.pieces])[line.piece]
    peg: End = "peg" if peg_fits(d_mm * scale) else "flat"
    halves = (_halves(line, cut, peg) for cut in (*_twist_cuts(line, names), *_leg_cuts(line, names)))
    best = min(halves, key=_longest, default=())
    return JointParts(d_mm, whole, best if best and _longest(best) < whole.size_d[0] else ())


def _rounded_down(scale: float) -> float:
    """A scale that people take: a whole number, below 1 one digit that counts.

    >>> _rounded_down(4.27), _rounded_down(0.38)
    (4.0, 0.3)
    """
    unit = 1.0 if scale >= 1.0 else 10.0 ** math.floor(math.log10(scale)) if scale > 0.0 else 1.0
    return round(math.floor(scale / unit + 1e-9) * unit, 9)


def _longest(parts: Sequence[Part]) -> float:
    return max(part.size_d[0] for part in parts)


def _halves(line: Rings, cut: tuple[float, float], peg: End) -> tuple[Part, ...]:
    """The part with the eye, which has the pegs, and the rest."""
    first, second = cut
    last = float(line.s[-1])
    socket: End = "socket" if peg == "peg" else "flat"
    eye = (Span(first, second, (peg, peg if second < last else "flat")),)
    rest = [Span(0.0, first, ("flat", socket))]
    if second < last:
        rest.append(Span(second, last, (socket, "flat")))
    return tuple(Part(spans, _size(line, spans)) for spans in (eye, tuple(rest)))


def _twist_cuts(line: Rings, names: NDArray[np.str_]) -> list[tuple[float, float]]:
    """Cuts through both legs of the even twist at one height, each a peg's length from where the twist ends."""
    leg, tag = np.flatnonzero(names == "twist_standing"), np.flatnonzero(names == "twist_tag")
    if len(leg) < 2 or len(tag) < 2:
        return []
    heights = line.points[tag, 2]
    fits = (line.s[leg] - line.s[leg[0]] >= PEG_DEPTH_D) & (line.points[leg, 2] >= heights[0])
    ends = np.interp(line.points[leg[fits], 2], heights, line.s[tag])
    return [
        (float(start), float(stop))
        for start, stop in zip(line.s[leg[fits]], ends, strict=True)
        if line.s[tag[-1]] - stop >= PEG_DEPTH_D
    ]


def _leg_cuts(line: Rings, names: NDArray[np.str_]) -> list[tuple[float, float]]:
    """Cuts through the standing leg alone, beyond all else."""
    leg, last = names == "standing", float(line.s[-1])
    beyond = float(line.points[~leg, 2].max()) + 1.0 if np.any(~leg) else 0.0
    free = float(line.points[0, 2]) - beyond - PEG_DEPTH_D  # the leg is straight: arc length is height
    return [(float(s), last) for s in np.linspace(PEG_DEPTH_D, free, _STEPS)] if free > PEG_DEPTH_D else []


def _size(line: Rings, spans: Sequence[Span]) -> tuple[float, float, float]:
    """Extent of some stretches along the joint, across the eye and out of its plane, pegs with them [d]."""
    inside = np.zeros(len(line.s), dtype=bool)
    ends = []
    for span in spans:
        reach = [PEG_DEPTH_D if end == "peg" else 0.0 for end in span.ends]
        inside |= (line.s >= span.start) & (line.s <= span.stop)
        ends += [span.start - reach[0], span.start, span.stop, span.stop + reach[1]]
    tips = np.clip(ends, line.s[0], line.s[-1])
    points, tangents = (
        np.concatenate((rows[inside], np.stack([np.interp(tips, line.s, rows[:, k]) for k in range(3)], axis=1)))
        for rows in (line.points, line.tangents)
    )
    out = 0.5 * np.sqrt(np.clip(1.0 - tangents**2, 0.0, 1.0))
    along, across, high = (float((points + out)[:, k].max() - (points - out)[:, k].min()) for k in (2, 0, 1))
    return along, across, high
