"""A model for a printer as one surface: joints side by side on the plate, each whole or in two parts with pegs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from helix.output.surface.mesh import WireMesh
from helix.output.surface.model_parts import GAP_MM, PEG, PEG_DEPTH_D, PLAY_MM, Part, Span
from helix.output.surface.tube import Tube, closed_tube

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]

_PEG_RINGS = 8


@dataclass(frozen=True)
class Surface:
    """Closed bodies in mm: vertices (v, 3), faces (f, 3), normals (v, 3); section, scalar (v,), colours (v, 3)."""

    vertices: Floats
    faces: NDArray[np.int64]
    normals: Floats
    section: NDArray[np.int64]
    scalar: Floats
    colours: Bytes


def whole_surface(mesh: WireMesh, colours: Bytes) -> Surface:
    """The surface of a wire as it is."""
    body = mesh.tube
    faces = np.asarray(body.faces, dtype=np.int64)
    return Surface(body.vertices, faces, body.normals, np.asarray(body.section), body.scalar, colours)


@dataclass(frozen=True)
class Joint:
    """A joint of a model: each wire's surface and colours (v, 3), the diameter of its wire, and the parts to cut it into."""

    meshes: Sequence[WireMesh]
    colours: Sequence[Bytes]
    d_mm: float
    parts: Sequence[Part]


def plate_surface(joints: Sequence[Joint], scale: float) -> Surface:
    """Each part of each joint side by side, in the order given, with a gap as printed `scale` times true size.

    Along the joints lies z; the parts stand beside each other along x, and y is up.
    """
    laid: list[Surface] = []
    edge = 0.0
    for joint in joints:
        for part in joint.parts:
            bodies = [_cut(joint, span, scale) for span in part.spans]
            every = np.concatenate([body.vertices for body in bodies])
            corner = every.min(axis=0)
            move = np.array([edge, 0.0, 0.0]) - corner
            laid += [_moved(body, move) for body in bodies]
            edge += float(np.ptp(every[:, 0])) + GAP_MM / scale
    return together(laid)


def _cut(joint: Joint, span: Span, scale: float) -> Surface:
    """A stretch of the wire's surface with its ends closed: flat, or going on as a peg, or going back as a socket."""
    mesh, d = joint.meshes[span.wire], joint.d_mm
    body, s, sides = mesh.tube, mesh.s_mm / d, mesh.tube.sides
    inner = s[(s > span.start + 1e-9) & (s < span.stop - 1e-9)]
    rows = [(place, 1.0, 1.0) for place in (span.start, *inner, span.stop)]  # place, width, and which way is out
    for end, at, onwards in ((0, span.start, -1.0), (1, span.stop, 1.0)):
        kind = span.ends[end]
        if kind == "flat":
            continue
        play = PLAY_MM / (d * scale)
        depth, width, way = (PEG_DEPTH_D, PEG, 1.0) if kind == "peg" else (PEG_DEPTH_D + play, PEG + 2.0 * play, -1.0)
        along = at + onwards * way * np.linspace(0.0, depth, _PEG_RINGS)
        added = [(float(place), width, way) for place in along]
        rows = [*added[::-1], *rows] if end == 0 else [*rows, *added]
    places, widths, ways = (np.array(column) for column in zip(*rows, strict=True))
    rings = _rings_at(body, s, places)
    middle = rings.mean(axis=1, keepdims=True)
    rings = middle + widths[:, None, None] * (rings - middle)
    nearest = np.clip(np.searchsorted(s, places), 0, len(s) - 1)
    own = [np.asarray(values)[nearest * sides] for values in (body.section, body.scalar)]
    made = closed_tube(rings, middle[[0, -1], 0], *own)
    colours = joint.colours[span.wire][:-2].reshape(-1, sides, 3)[nearest]
    return Surface(
        made.vertices,
        np.asarray(made.faces, dtype=np.int64),
        made.normals * np.concatenate((np.repeat(ways, sides), [1.0, 1.0]))[:, None],
        np.asarray(made.section),
        made.scalar,
        np.concatenate((colours.reshape(-1, 3), colours[[0, -1], 0])),
    )


def _rings_at(body: Tube, s: Floats, places: Floats) -> Floats:
    """Rings (n, sides, 3) of a surface at places along its wire, between two rings in proportion."""
    before = np.clip(np.searchsorted(s, places, side="right") - 1, 0, len(s) - 2)
    share = ((places - s[before]) / (s[before + 1] - s[before]))[:, None, None]
    rings = body.rings
    between: Floats = (1.0 - share) * rings[before] + share * rings[before + 1]
    return between


def _moved(body: Surface, move: Floats) -> Surface:
    return Surface(body.vertices + move, body.faces, body.normals, body.section, body.scalar, body.colours)


def together(bodies: Sequence[Surface]) -> Surface:
    """Bodies as one surface."""
    starts = np.cumsum([0, *(len(body.vertices) for body in bodies[:-1])])
    return Surface(
        np.concatenate([body.vertices for body in bodies]),
        np.concatenate([body.faces + start for body, start in zip(bodies, starts, strict=True)]),
        np.concatenate([body.normals for body in bodies]),
        np.concatenate([body.section for body in bodies]),
        np.concatenate([body.scalar for body in bodies]),
        np.concatenate([body.colours for body in bodies]),
    )
