"""What a rod is made of and how it stands: flat tuples of arrays that kernels change in place.

Lengths in wire diameters d, forces in the strength S of the straight wire, speeds in that of sound along the wire, so
that a length d of wire has the mass E A/S. Node i lies at the end of edge i-1 and the start of edge i.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np


class Wire(NamedTuple):
    """What stays as it is.

    length, alive, inertia (n-1,) of edges; node_length, mass (n,) of nodes; stiff, plastic, hard (4,) of the section:
    tension, two bendings, torsion; steps of time, damping of all that moves and of all that strains.
    """

    length: np.ndarray
    alive: np.ndarray
    inertia: np.ndarray
    node_length: np.ndarray
    mass: np.ndarray
    stiff: np.ndarray
    plastic: np.ndarray
    hard: np.ndarray
    time_step: float
    drag: float
    viscosity: float


class State(NamedTuple):
    """Where a rod is and what it bears; all changed in place.

    points, velocity (n, 3); director (n-1, 3) square to the edge, spin (n-1,) about it; tangent (n-1, 3);
    stretch (n-1,), bend (n, 2), twist (n,) as of the last step; force, back (n-1, 2, 4) of the section at both ends of
    each edge, over the plastic values; force_on (n, 3), torque_on (n-1,) by the rod itself; pushed (n, 3), turned (n-1,)
    by what it touches; load (n, 3), moment (n-1,) from outside; energy (12,), see ENERGIES; clock (2,): time, distance
    that any node can have moved since contacts were looked for.
    """

    points: np.ndarray
    velocity: np.ndarray
    director: np.ndarray
    spin: np.ndarray
    tangent: np.ndarray
    stretch: np.ndarray
    bend: np.ndarray
    twist: np.ndarray
    force: np.ndarray
    back: np.ndarray
    force_on: np.ndarray
    torque_on: np.ndarray
    pushed: np.ndarray
    turned: np.ndarray
    load: np.ndarray
    moment: np.ndarray
    energy: np.ndarray
    clock: np.ndarray


class Guides(NamedTuple):
    """What is held or moved by hands, k of them: each moves as a rigid body.

    node (n,), edge (n-1,): number of the guide that holds it, -1 where it is free; centre, velocity, turning (k, 3);
    ramp: time over which speed and loads rise from nothing.
    """

    node: np.ndarray
    edge: np.ndarray
    centre: np.ndarray
    velocity: np.ndarray
    turning: np.ndarray
    ramp: float


class Pins(NamedTuple):
    """Rigid round pins, k of them.

    centre, axis (k, 3): a point of each axis, and its direction; radius, friction (k,); grip (k, p, 3) of each point; turning (k, 3)
    about the point of the axis [rad per time].
    """

    centre: np.ndarray
    axis: np.ndarray
    radius: np.ndarray
    friction: np.ndarray
    grip: np.ndarray
    turning: np.ndarray


class Touch(NamedTuple):
    """Where the wire may touch itself.

    point (m,) number of the point on the later part of the wire; place (m,) of its foot on the earlier part, in nodes;
    grip (m, 3) tangential spring; press (m,) force as of the last step; used (1,) how many are; per_node points a
    node; stiffness a unit length, normal and tangential; damping a unit length; friction; apart: least distance along
    the wire of parts that can touch; reach: distance at which a pair is followed.
    """

    point: np.ndarray
    place: np.ndarray
    grip: np.ndarray
    press: np.ndarray
    used: np.ndarray
    per_node: int
    stiffness: float
    grip_stiffness: float
    damping: float
    friction: float
    apart: float
    reach: float


DRIVEN, ELASTIC, MOVING, PLASTIC, STRAINING, DRAGGED, PRESSED, RUBBED, DAMPED, HARDENED = range(10)
"""Entries of State.energy: work done from outside; stored elastically; kinetic; lost to flow, to damping of strains, to
drag; stored in contacts; lost to friction and to damping of contacts; stored in hardening."""
