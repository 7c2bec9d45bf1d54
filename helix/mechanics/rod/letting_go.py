"""A rod that was bent from straight wire, and how it springs back: held where it was bent, then let go little by little."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from helix.mechanics.rod.rod_state import DRIVEN, ELASTIC, HARDENED, Guides, Pins, State, Touch, Wire
from helix.mechanics.rod.section import return_to_yield
from helix.mechanics.rod.stepping import advance, ramp_up
from helix.mechanics.rod.strains import resist, strain_rod

TIME: Final = 1500.0
"""Time of letting go: three times as slow moves a joint's barrel by less than 0.001 d, at once makes it yield anew."""
_DRAG: Final = 0.005
_STAGES: Final = 30
_AFTER: Final = 10


def bend_from_straight(state: State, wire: Wire, share: ArrayLike = 1.0) -> None:
    """Give a rod at rest the moments of one that was bent from straight to where it is: what is left is to let it go.

    Parameters
    ----------
    state : State
        As `make_rod` gives it, free of stress; its forces and back forces are written. What is stored so far counts as driven.
    wire : Wire
        Its constants.
    share : array_like
        Of its moment that each node keeps, 0 to 1, (n,) or one number: 0 where nothing is to spring back.

    Notes
    -----
    Each section goes along a ray: bending about one axis, without tension or twist. What is let go springs back by
    M/EI, the moment with its hardening (`test_a_bow_bent_from_straight_springs_back_by_its_moment`).
    """
    stiff, hard = wire.stiff / wire.plastic**2, wire.hard / wire.plastic**2
    curvature = state.bend / wire.node_length[:, None]
    stored = kept = 0.0
    kept_share = np.broadcast_to(np.asarray(share, dtype=float), len(state.points))
    for j in range(len(state.tangent)):
        for end in range(2):
            s, x = np.zeros(4), np.zeros(4)
            s[1:3] = wire.stiff[1] * curvature[j + end] / wire.plastic[1]
            if math.hypot(s[1], s[2]) > 1.0:
                return_to_yield(s, x, stiff, hard)
            s, x = kept_share[j + end] * s, kept_share[j + end] * x
            state.force[j, end], state.back[j, end] = s, x
            half = 0.25 * wire.length[j]
            stored += half * float(np.sum(s * s / stiff))
            kept += half * float(np.sum(np.where(hard > 0.0, x * x / np.where(hard > 0.0, hard, 1.0), 0.0)))
    state.energy[DRIVEN] += stored + kept
    state.energy[ELASTIC], state.energy[HARDENED] = stored, kept


def let_go(state: State, wire: Wire, guides: Guides, pins: Pins, touch: Touch, time: float = TIME) -> int:
    """Let a rod go that is held at every node, little by little, so that it comes to rest without swinging.

    Parameters
    ----------
    state : State
        At rest, out of balance; changed in place.
    wire : Wire
        Its constants; its drag is not used.
    guides, pins, touch : Guides, Pins, Touch
        What goes on holding it.
    time : float
        That it takes; a third more is left for coming to rest.

    Returns
    -------
    int
        As `advance`.
    """
    nodes = len(state.points)
    moments, tensions = np.zeros((nodes, 3)), np.zeros(nodes - 1)
    strain_rod(state, wire, moments, tensions, np.zeros((8, 4)))
    resist(state, wire, moments, tensions)
    force, torque = state.force_on.copy(), state.torque_on.copy()
    slow = wire._replace(drag=_DRAG)
    report = np.zeros(3 + 6 * len(guides.centre))
    failed = 0
    for k in range(_STAGES + _AFTER):
        held = 1.0 - ramp_up(k + 1.0, float(_STAGES))
        state.load[:] = -held * force
        state.moment[:] = -held * torque
        failed = failed or advance(
            state, slow, guides, pins, touch, round(time / _STAGES / wire.time_step), True, report
        )
    state.load[:] = 0.0
    state.moment[:] = 0.0
    return failed
