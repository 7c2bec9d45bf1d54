"""Gaps and curvature against what scipy would do with samples; jobs of benches/warm.py.

Both get their samples for nothing, the peer its own 0.02 d apart, ours those it has kept: the search is what is timed.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from benches.warm import RECIPE, Sides, Work

from helix.geometry.maths.jets import Array
from helix.geometry.twist.coils import coil_gap
from helix.geometry.twist.helices import helix_curvature, helix_torsion
from helix.geometry.twist.strands import pair_gap
from helix.geometry.wire.curves import Strand
from helix.geometry.wire.distance import SKIP, nearest
from helix.geometry.wire.path import CurvePiece, Path
from helix.geometry.wire.screws import screw_of
from helix.model.joint.joint import build_joint
from helix.model.recipe.recipe import read_recipe

TREE = "cKDTree on samples 0.02 d"
SPACING = 0.02  # of the peers' samples [d]
LAY, RADII, TURNS = 2.6, (0.5, 0.5), 20.0
PITCH, WRAPS = 1.2, 20.0


def demo_path(joint_only: bool = False) -> Path:
    """The demo joint's wire, with or without its long standing leg."""
    pieces = build_joint(read_recipe(RECIPE)).layout.path.pieces
    return Path(tuple(piece for piece in pieces if not joint_only or piece.section != "standing"))


def by_tree(path: Path, reach: float = 1.02) -> Callable[[], Work]:
    """scipy's tree of one wire's samples: pairs within reach, those that are neighbours along the wire left out."""

    def make() -> Work:
        from scipy.spatial import cKDTree

        samples = path.sample(SPACING)
        points, s = samples.points, samples.s

        def work() -> float:
            pairs = cKDTree(points).query_pairs(reach, output_type="ndarray")
            pairs = pairs[np.abs(s[pairs[:, 0]] - s[pairs[:, 1]]) > SKIP]
            return float(np.linalg.norm(points[pairs[:, 0]] - points[pairs[:, 1]], axis=1).min()) - 1.0

        return work

    return make


def by_two_trees(one: Path, other: Path) -> Callable[[], Work]:
    """The same of two wires, the nearest sample of one to each of the other."""

    def make() -> Work:
        from scipy.spatial import cKDTree

        first, second = (path.sample(SPACING).points for path in (one, other))
        return lambda: float(cKDTree(first).query(second)[0].min()) - 1.0

    return make


def gap(path: Path) -> Sides:
    """Parts of the demo joint touch: the true gap is 0."""
    return Sides(lambda: nearest([path]).gap, {TREE: by_tree(path)}, abs)


def strand(radius: float, lay: float, turns: float, angle: float) -> Path:
    """A helix."""
    return Path((CurvePiece("twist_tag", Strand((radius,), (2.0 * np.pi / lay,), angle, 0.0, turns * lay)),))


def gap_of_helices() -> Sides:
    """Two legs of a twist so tight that they overlap off the axis; the truth is a closed form's root."""
    one, other = (strand(r, LAY, TURNS, angle) for r, angle in zip(RADII, (0.0, np.pi), strict=True))
    exact = pair_gap(*RADII, LAY)
    peer = {TREE: by_two_trees(one, other)}
    return Sides(lambda: nearest([one, other]).gap, peer, lambda found: abs(found - exact))


def gap_of_coil() -> Sides:
    """The wraps of an open coil."""
    coil = strand(1.0, PITCH, WRAPS, 0.0)
    exact = coil_gap(1.0, PITCH)
    return Sides(lambda: nearest([coil]).gap, {TREE: by_tree(coil, 1.25)}, lambda found: abs(found - exact))


def bending() -> Sides:
    """Curvature and torsion along the demo joint, at places about 0.02 d apart, every join among them.

    The truth: closed forms of helices, coils and straight parts, and that the curvature of both parts is the same at every
    join; told as a share of the largest value.
    """
    path = demo_path(joint_only=True)
    samples = path.sample(SPACING)
    piece, u, s = samples.piece, samples.u, samples.s
    spans = np.array([part.curve.span for part in path.pieces])
    joins = np.arange(len(spans) - 1)
    piece, u = np.concatenate([piece, joins]), np.concatenate([u, spans[:-1]])
    s = np.concatenate([s, path.starts[1:-1]])
    order = np.argsort(piece, kind="stable")
    piece, u, s = piece[order], u[order], s[order]
    ends = np.flatnonzero(np.diff(piece))

    def bent(first: Array, second: Array, third: Array) -> Array:
        a, b = first.T, second.T
        across = np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])
        size2, speed2 = np.einsum("in,in->n", across, across), np.einsum("in,in->n", a, a)
        torsion = np.einsum("in,ni->n", across, third)
        np.divide(torsion, size2, out=torsion, where=size2 > 1e-24)
        return np.array([np.sqrt(size2 / speed2) / speed2, torsion])

    def spline() -> Work:
        from scipy.interpolate import CubicSpline

        once = np.concatenate([[True], np.diff(s) > 0.0])

        def work() -> Array:
            line = CubicSpline(s[once], samples.points)
            return bent(*(line(s, k) for k in (1, 2, 3)))

        return work

    known = {k: closed_form(part.curve) for k, part in enumerate(path.pieces)}

    def error(found: Array) -> float:
        worst = np.abs(found[0, ends] - found[0, ends + 1]).max()
        for k, value in known.items():
            if value is not None:
                worst = max(worst, np.abs(found[:, piece == k] - np.array(value)[:, None]).max())
        return float(worst / np.abs(found).max())

    return Sides(lambda: bent(*path.evaluate(piece, u, 3)[1:]), {"CubicSpline": spline}, error)


def closed_form(curve: Any) -> tuple[float, float] | None:
    """Curvature and torsion of a helix or a straight part; None of any other."""
    screw = screw_of(curve)
    if screw is None:
        return None
    if screw.rate is None:
        return 0.0, 0.0
    lay = 2.0 * np.pi / screw.rate
    return helix_curvature(screw.radius, abs(lay)), float(np.copysign(helix_torsion(screw.radius, abs(lay)), lay))


JOBS: dict[str, Callable[[], Sides]] = {
    "gap-whole": lambda: gap(demo_path()),
    "gap-joint": lambda: gap(demo_path(joint_only=True)),
    "gap-helices": gap_of_helices,
    "gap-coil": gap_of_coil,
    "curvature": bending,
}
