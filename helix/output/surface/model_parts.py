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
Cut = tuple[tuple[float, float], ...]
"""Where each wire is cut: arc lengths of the standing leg's cut and the tag's, the wire's end where only the leg is cut [d]."""

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
_MOST_CUTS = 400  # heights of the twist that are looked at; of a very long one not every ring


@dataclass(frozen=True)
class Span:
    """A stretch of one of the wires by arc length from `start` to `stop` [d], and how its two ends are finished."""

    start: float
    stop: float
    ends: tuple[End, End] = ("flat", "flat")
    wire: int = 0


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


def joint_parts(paths: Sequence[WirePath], d_mm: float, scale: float) -> JointParts:
    """The whole of a joint and its two parts, where the longer of them is shortest.

    A cut goes through all legs of the even twist, where the parts are turned into each other along the twist, or through
    the standing legs alone. paths: one for each wire, in wire diameters.
    """
    lines = [rings(path, _LOOK_D) for path in paths]
    every = tuple(Span(0.0, float(line.s[-1]), wire=wire) for wire, line in enumerate(lines))
    whole = Part(every, _size(lines, every))
    names = [
        np.array([piece.section for piece in path.pieces])[line.piece] for path, line in zip(paths, lines, strict=True)
    ]
    peg: End = "peg" if peg_fits(d_mm * scale) else "flat"
    halves = (_halves(lines, cut, peg) for cut in (*_twist_cuts(lines, names), *_leg_cuts(lines, names)))
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


def _halves(lines: Sequence[Rings], cut: Cut, peg: End) -> tuple[Part, ...]:
    """The part with the eye, which has the pegs, and the rest."""
    socket: End = "socket" if peg == "peg" else "flat"
    eye, rest = [], []
    for wire, (line, (first, second)) in enumerate(zip(lines, cut, strict=True)):
        last = float(line.s[-1])
        eye.append(Span(first, second, (peg, peg if second < last else "flat"), wire))
        rest.append(Span(0.0, first, ("flat", socket), wire))
        if second < last:
            rest.append(Span(second, last, (socket, "flat"), wire))
    return tuple(Part(tuple(spans), _size(lines, spans)) for spans in (eye, rest))


def _twist_cuts(lines: Sequence[Rings], names: Sequence[NDArray[np.str_]]) -> list[Cut]:
    """Cuts through every leg of the even twist at one height, each a peg's length from where the twist ends."""
    ends = []  # of each wire: heights and arc lengths of both legs, upwards
    for line, sections in zip(lines, names, strict=True):
        leg, tag = np.flatnonzero(sections == "twist_standing")[::-1], np.flatnonzero(sections == "twist_tag")
        if len(leg) < 2 or len(tag) < 2:
            return []
        ends += [(line.points[part, 2], line.s[part]) for part in (leg, tag)]
    if min(abs(s[-1] - s[0]) for _, s in ends) < PEG_DEPTH_D:
        return []
    low = max(z[0] for z, _ in ends)
    high = min(float(np.interp(abs(s[-1] - s[0]) - PEG_DEPTH_D, abs(s - s[0]), z)) for z, s in ends)
    heights = ends[0][0]
    heights = heights[(heights >= low) & (heights <= high)]
    heights = heights[:: -(-len(heights) // _MOST_CUTS) or 1]
    at = np.array([np.interp(heights, z, s) for z, s in ends])
    return [tuple((float(row[k]), float(row[k + 1])) for k in range(0, len(row), 2)) for row in at.T]


def _leg_cuts(lines: Sequence[Rings], names: Sequence[NDArray[np.str_]]) -> list[Cut]:
    """Cuts through the standing legs alone, beyond all else."""
    beyond = max(
        float(line.points[sections != "standing", 2].max(initial=-1.0)) + 1.0
        for line, sections in zip(lines, names, strict=True)
    )
    beyond = max(beyond, 0.0)
    tops = [float(line.points[0, 2]) for line in lines]  # the legs are straight: arc length is height
    free = min(tops) - beyond - PEG_DEPTH_D
    if free <= PEG_DEPTH_D:
        return []
    return [
        tuple((float(s) + top - min(tops), float(line.s[-1])) for line, top in zip(lines, tops, strict=True))
        for s in np.linspace(PEG_DEPTH_D, free, _STEPS)
    ]


def _size(lines: Sequence[Rings], spans: Sequence[Span]) -> tuple[float, float, float]:
    """Extent of some stretches along the joint, across the eye and out of its plane, pegs with them [d]."""
    low, high = np.full(3, np.inf), np.full(3, -np.inf)
    for span in spans:
        line = lines[span.wire]
        inside = (line.s >= span.start) & (line.s <= span.stop)
        before, after = (PEG_DEPTH_D if end == "peg" else 0.0 for end in span.ends)
        tips = np.clip([span.start - before, span.start, span.stop, span.stop + after], line.s[0], line.s[-1])
        points, tangents = (
            np.concatenate((rows[inside], np.stack([np.interp(tips, line.s, rows[:, k]) for k in range(3)], axis=1)))
            for rows in (line.points, line.tangents)
        )
        out = 0.5 * np.sqrt(np.clip(1.0 - tangents**2, 0.0, 1.0))
        low, high = np.minimum(low, (points - out).min(axis=0)), np.maximum(high, (points + out).max(axis=0))
    along, across, deep = (float(high[k] - low[k]) for k in (2, 0, 1))
    return along, across, deep
