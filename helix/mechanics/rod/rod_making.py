"""Make a rod from the nodes of its centre line, with guides, pins and contact as needed."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.rod.rod_state import DRIVEN, Guides, Pins, State, Touch, Wire

STIFFNESS: Final = 110.0
"""Young's modulus over the strength: 190 GPa over 1700 MPa and the like (nominal; 95 to 130 over sizes of spring wire)."""
POISSON: Final = 0.3
PLASTIC_BENDING: Final = 2.0 / (3.0 * math.pi)
"""Plastic bending moment of a round section over its tension, sigma d^3/6 [d]."""
PLASTIC_TORSION: Final = 1.0 / (3.0 * math.sqrt(3.0))
"""Plastic torque over the tension, pi d^3/12 at sigma/sqrt 3 [d]."""
CONTACT: Final = 400.0
"""Contact stiffness of a unit length of wire [S/d^2]."""
REACH: Final = 1.3
APART: Final = 2.0
"""Parts of the wire nearer than this along it are kept off each other by bending, not by contact [d]."""
_SAFE = 0.75
_DAMPED = 0.15  # of critical, for the fastest mode


def make_rod(
    points: ArrayLike,
    *,
    stiffness: float = STIFFNESS,
    yields: bool = True,
    hardening: float = 0.3,
    set_straight: bool = False,
    missing: tuple[int, ...] = (),
    drag: float = 0.002,
    contact: float = CONTACT,
) -> tuple[State, Wire]:
    """Make a rod at rest.

    Parameters
    ----------
    points : array_like
        Its nodes [d], (n, 3).
    stiffness : float
        Young's modulus over the strength.
    yields : bool
        False: elastic whatever it bears.
    hardening : float
        Strength gained per unit strain, over the strength (kinematic).
    set_straight : bool
        True: straight where it is free of stress, so that the shape given is forced on it, and must not make it yield. False: free of stress in the
        shape given.
    missing : tuple of int
        Edges that are not there; what stands before and after are two rods.
    drag : float
        Damping of all that moves, share of its speed lost in the time that sound takes over one d.
    contact : float
        Contact stiffness that the time step allows for [S/d^2]; 0 where nothing touches.

    Returns
    -------
    state : State
        At rest.
    wire : Wire
        What stays.

    Raises
    ------
    ValueError
        For fewer than three nodes, two at one place, or a stiffness that is not above zero.

    Examples
    --------
    >>> state, wire = make_rod(np.stack([np.arange(5.0), np.zeros(5), np.zeros(5)], axis=1))
    >>> float(wire.mass.sum() / STIFFNESS), state.stretch.tolist()
    (4.0, [0.0, 0.0, 0.0, 0.0])
    """
    x = np.array(points, dtype=float)
    if x.ndim != 2 or x.shape[1] != 3 or len(x) < 3:
        raise ValueError(f"points must be three or more places in space; got an array of shape {x.shape}")
    if not stiffness > 0.0:
        raise ValueError(f"stiffness must be above zero; got {stiffness!r}")
    edge = np.diff(x, axis=0)
    length = np.linalg.norm(edge, axis=1)
    alive = np.ones(len(edge), dtype=np.bool_)
    alive[list(missing)] = False
    if not length.min() > 0.0:
        raise ValueError("points must not fall on each other; two do")
    tangent = edge / length[:, None]
    own = np.where(alive, length, 0.0)
    node_length = 0.5 * (np.append(own, 0.0) + np.append(0.0, own))
    flexural = stiffness / 16.0
    rigid = np.array([stiffness, flexural, flexural, flexural / (1.0 + POISSON)])
    plastic = np.array([1.0, PLASTIC_BENDING, PLASTIC_BENDING, PLASTIC_TORSION]) * (1.0 if yields else 1e9)
    hard = hardening * np.array([1.0, 1.0 / 16.0, 1.0 / 16.0, 1.0 / 24.0])
    step, viscosity = _time_step(float(length[alive].min()), stiffness, contact)
    wire = Wire(
        length=length,
        alive=alive,
        inertia=np.maximum(own, 0.1) * stiffness / 8.0,
        node_length=np.maximum(node_length, 1e-3),
        mass=np.maximum(node_length, 1e-3) * stiffness,
        stiff=rigid,
        plastic=plastic,
        hard=hard,
        time_step=step,
        drag=drag,
        viscosity=viscosity,
    )
    n = len(x)
    state = State(
        points=x,
        velocity=np.zeros((n, 3)),
        director=_directors(tangent),
        spin=np.zeros(n - 1),
        tangent=tangent,
        stretch=np.zeros(n - 1),
        bend=np.zeros((n, 2)),
        twist=np.zeros(n),
        force=np.zeros((n - 1, 2, 4)),
        back=np.zeros((n - 1, 2, 4)),
        force_on=np.zeros((n, 3)),
        torque_on=np.zeros(n - 1),
        pushed=np.zeros((n, 3)),
        turned=np.zeros(n - 1),
        load=np.zeros((n, 3)),
        moment=np.zeros(n - 1),
        energy=np.zeros(12),
        clock=np.array([0.0, -1.0]),
    )
    _remember_shape(state)
    if set_straight:
        inner = node_length[1:-1]
        state.energy[DRIVEN] = 0.5 * flexural * float(np.sum(state.bend[1:-1] ** 2 / inner[:, None]))
        for k in range(2):
            moment = flexural * state.bend[:, k] / wire.node_length / plastic[1]
            state.force[:, 0, 1 + k], state.force[:, 1, 1 + k] = moment[:-1], moment[1:]
    return state, wire


def _time_step(length: float, stiffness: float, contact: float) -> tuple[float, float]:
    """Give time step and viscosity: bending, stretch and contact of the shortest edge, with damping, stay stable."""
    fastest = math.sqrt(max(1.0 / length**4, 4.0 / length**2) + 12.0 * contact / stiffness)
    return _SAFE * 2.0 / fastest * (math.sqrt(1.0 + _DAMPED**2) - _DAMPED), 2.0 * _DAMPED / fastest


def _directors(tangent: Array) -> Array:
    """Give directors square to the edges that do not twist about the rod."""
    first = tangent[0]
    start = np.eye(3)[int(np.argmin(np.abs(first)))]
    director = np.empty_like(tangent)
    director[0] = start - (start @ first) * first
    director[0] /= np.linalg.norm(director[0])
    for j in range(1, len(tangent)):
        a, b, d = tangent[j - 1], tangent[j], director[j - 1]
        carried = d - (a + b) * (b @ d) / (1.0 + a @ b)
        carried -= (carried @ b) * b
        director[j] = carried / np.linalg.norm(carried)
    return director


def _remember_shape(state: State) -> None:
    """Take the strains as they are for those free of stress; directors carried along have no twist."""
    t, d = state.tangent, state.director
    chi = 1.0 + np.sum(t[:-1] * t[1:], axis=1)
    binormal = 2.0 * np.cross(t[:-1], t[1:]) / chi[:, None]
    second = np.cross(t, d)
    state.bend[1:-1, 0] = 0.5 * np.sum((second[:-1] + second[1:]) * binormal, axis=1)
    state.bend[1:-1, 1] = -0.5 * np.sum((d[:-1] + d[1:]) * binormal, axis=1)


def make_guides(
    state: State,
    held: dict[int, int] | None = None,
    turned: dict[int, int] | None = None,
    centre: ArrayLike = (),
    velocity: ArrayLike = (),
    turning: ArrayLike = (),
    ramp: float = 0.0,
) -> Guides:
    """Make the guides that hold and move parts of a rod.

    Parameters
    ----------
    state : State
        The rod.
    held, turned : dict of int to int
        The guide of each node, and of each edge whose turning about itself is held.
    centre, velocity, turning : array_like
        Of each guide: a point of it [d], its speed, its turning [rad per time], (k, 3) each; nothing where it rests.
    ramp : float
        Time over which speeds and loads rise.

    Returns
    -------
    Guides
        For `advance`.
    """
    node = np.full(len(state.points), -1, dtype=np.int64)
    edge = np.full(len(state.spin), -1, dtype=np.int64)
    for place, number in (held or {}).items():
        node[place] = number
    for place, number in (turned or {}).items():
        edge[place] = number
    count = max(
        [len(np.asarray(centre)), len(np.asarray(velocity)), len(np.asarray(turning)), node.max() + 1, edge.max() + 1]
    )

    def full(given: ArrayLike) -> Array:
        array = np.array(given, dtype=float)
        return array if array.size else np.zeros((count, 3))

    return Guides(node, edge, full(centre), full(velocity), full(turning), float(ramp))


def make_touch(
    state: State,
    friction: float = 0.0,
    per_node: int = 2,
    stiffness: float = CONTACT,
    mass: float = STIFFNESS,
    room_per_point: int = 3,
    damping: float = 1.0,
) -> Touch:
    """Make the record of where a rod touches itself.

    Parameters
    ----------
    state : State
        The rod.
    friction : float
        Coulomb's number.
    per_node : int
        Points of contact a node.
    stiffness : float
        Of a unit length of wire [S/d^2].
    mass : float
        Of a unit length, the stiffness that `make_rod` was given.
    room_per_point : int
        Places that a point can be near to at once, on average.
    damping : float
        Of critical.

    Returns
    -------
    Touch
        For `advance`.
    """
    room = len(state.points) * per_node * room_per_point
    return Touch(
        point=np.zeros(room, dtype=np.int64),
        place=np.zeros(room),
        grip=np.zeros((room, 3)),
        press=np.zeros(room),
        used=np.zeros(1, dtype=np.int64),
        per_node=per_node,
        stiffness=float(stiffness),
        grip_stiffness=0.5 * float(stiffness),
        damping=2.0 * damping * math.sqrt(0.5 * stiffness * mass),
        friction=float(friction),
        apart=APART,
        reach=REACH,
    )


def make_pins(
    state: State,
    touch: Touch,
    centre: ArrayLike = (),
    axis: ArrayLike = (),
    radius: ArrayLike = (),
    friction: ArrayLike = (),
    turning: ArrayLike = (),
) -> Pins:
    """Make rigid pins.

    Parameters
    ----------
    state : State
        The rod.
    touch : Touch
        Points a node.
    centre, axis : array_like
        A point of each pin's axis [d] and its direction, (k, 3).
    radius, friction : array_like
        Of each pin, (k,).
    turning : array_like
        Of each pin about the point given [rad per time], (k, 3); nothing where they rest.

    Returns
    -------
    Pins
        For `advance`.
    """
    axes = np.array(axis, dtype=float).reshape(-1, 3)
    return Pins(
        centre=np.array(centre, dtype=float).reshape(-1, 3),
        axis=axes / np.linalg.norm(axes, axis=1, keepdims=True) if len(axes) else axes,
        radius=np.array(radius, dtype=float).reshape(-1),
        friction=np.array(friction, dtype=float).reshape(-1),
        grip=np.zeros((len(axes), len(state.points) * touch.per_node, 3)),
        turning=np.array(turning, dtype=float).reshape(-1, 3) if np.size(turning) else np.zeros((len(axes), 3)),
    )


def energy_residual(state: State) -> float:
    """Give the work that the book of energies does not account for, over all that was done or stored.

    Parameters
    ----------
    state : State
        A rod after some steps from rest, free of stress.

    Returns
    -------
    float
        0 where everything is accounted for.
    """
    driven, others = float(state.energy[0]), state.energy[1:10]
    most = max(abs(driven), float(np.abs(others).sum()))
    return (driven - float(others.sum())) / most if most > 0.0 else 0.0
