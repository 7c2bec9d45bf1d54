"""Linked joints as they stand, for a picture and a 3-D page: each wire with its colours, in the first joint's frame."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from helix.geometry.wire.placed import Pose
from helix.output.picture.view import VisiblePart, only, shown_part
from helix.output.shape.colouring import METAL, TAG_TONE, rgb, tag_proportion
from helix.studies.link.link_result import LinkResult

Floats = NDArray[np.float64]

STEP_D: Final = 0.1
_LAPPED: Final = 0.05  # of a ring's way round that its ends lie in each other, so that none is seen


@dataclass(frozen=True)
class LinkPart:
    """One wire of it: what is seen of it, its colours (n, 3), and what it is called."""

    shown: VisiblePart
    rgb: Floats
    name: str


def link_parts(result: LinkResult, metal: str = METAL, step_d: float = STEP_D) -> tuple[LinkPart, ...]:
    """The first joint and what it is linked with, pulled; lengths in mm."""
    mean_mm = result.contact.touching_mm
    linked = result.linked
    poses = (linked.first.above, linked.second.below(linked.pulled))
    names = ("joint", "ring") if result.ring is not None else ("first joint", "second joint")
    parts = []
    for joint, pose, name in zip(result.joints, poses, names, strict=False):
        shown = shown_part(joint.shaped.joint, step_d)
        # without what lies beyond the break of the standing leg
        shown = replace(only(shown, [shown.pieces[-1]]), break_mm=None)
        own = Pose(pose.turn, _scaled(pose, mean_mm), 1.0)  # what is shown is in mm already
        tones = 1.0 - (1.0 - TAG_TONE) * tag_proportion(shown.section, shown.names, shown.s_mm / shown.d_mm)
        placed = replace(shown, points_mm=own.points(shown.points_mm), tangents=own.directions(shown.tangents))
        parts.append(LinkPart(placed, tones[:, None] * rgb(metal), name))
    if result.ring is not None:
        parts.append(_ring(result, metal, step_d))
    return tuple(parts)


def touch_mm(result: LinkResult) -> tuple[float, float, float]:
    """Where they touch, as the parts stand: the first joint is moved by what its eye is off the line of pull."""
    x, y, z = result.contact.point_mm
    first = result.linked.first
    return x - first.centre[0] * first.diameter * result.contact.touching_mm, y, z


def _scaled(pose: Pose, mean_mm: float) -> tuple[float, float, float]:
    x, y, z = pose.shift
    return x * mean_mm, y * mean_mm, z * mean_mm


def _ring(result: LinkResult, metal: str, step_d: float) -> LinkPart:
    """The ring as a wire whose ends lie in each other."""
    mean_mm, linked = result.contact.touching_mm, result.linked
    path = linked.second.path
    samples = path.sample(step_d)
    lapped = int(np.ceil(_LAPPED * len(samples.s)))
    rows = np.concatenate((np.arange(len(samples.s) - 1), np.arange(lapped)))
    pose = linked.second.below(linked.pulled)
    shown = VisiblePart(
        points_mm=pose.points(samples.points[rows]) * mean_mm,
        tangents=pose.directions(samples.tangents[rows]),
        section=np.zeros(len(rows), dtype=np.int64),
        s_mm=step_d * np.arange(len(rows), dtype=np.float64),
        pieces=(slice(0, len(rows)),),
        break_mm=None,
        names=("standing",),
        d_mm=linked.second.diameter * mean_mm,
        closed=True,
    )
    return LinkPart(shown, np.tile(rgb(metal), (len(rows), 1)), "ring")
