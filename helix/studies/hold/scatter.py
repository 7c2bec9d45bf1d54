"""How pieces of one recipe differ: seeded draws of friction, flow stress, hinge, geometry and bends."""

from __future__ import annotations

from functools import lru_cache
from typing import Final, Literal

import numpy as np

from helix.data.practice import Scatter
from helix.geometry.maths.jets import Array
from helix.mechanics.barrel_hinge import hinge_bending, hinge_torsion
from helix.mechanics.grip import SIMULATED_ERROR
from helix.studies.hold.grip_models import Grip
from helix.values import result

Mechanism = Literal["both", "bending", "torsion"]
MECHANICS_ERROR: Final = 0.08  # one sigma of the log of what the mechanics says of a bend (assumed)
MOST_PLACES: Final = 8
MOST_DRAWS: Final = 10_000_000


@result
class Draws:
    """n pieces that differ by chance, before a recipe is known; the same for every recipe and model.

    flow, level, fit, strength: even in 0 to 1 (n,); torsion: which hinge, (n,); friction, turns, lay, pitch: standard normal
    (n,); strain: the same, (places, n). The friction number itself is drawn at ``level``. hardening, criterion,
    straightened, location, scale: even; error, coil, piece (n,) and straight (2, n): standard normal.
    """

    n: int
    seed: int
    flow: Array
    level: Array
    fit: Array
    strength: Array
    torsion: np.ndarray
    friction: Array
    turns: Array
    lay: Array
    pitch: Array
    strain: Array
    hardening: Array
    criterion: Array
    straightened: Array
    location: Array
    scale: Array
    error: Array
    coil: Array
    piece: Array
    straight: Array


@lru_cache(maxsize=4)
def drawn(n: int, seed: int) -> Draws:
    """n seeded draws; raises ValueError unless n is from 100 to 10 million."""
    if not 100 <= n <= MOST_DRAWS:
        raise ValueError(f"draws must be from 100 to {MOST_DRAWS:,}; got {n}")
    chance = np.random.default_rng(seed)
    even, normal = chance.random((5, n)), chance.standard_normal((4 + MOST_PLACES, n))
    more, further = chance.random((5, n)), chance.standard_normal((5, n))
    return Draws(
        n=n,
        seed=seed,
        flow=even[0],
        level=even[1],
        fit=even[2],
        strength=even[4],
        torsion=even[3] < 0.5,
        friction=normal[0],
        turns=normal[1],
        lay=normal[2],
        pitch=normal[3],
        strain=normal[4:],
        hardening=more[0],
        criterion=more[1],
        straightened=more[2],
        location=more[3],
        scale=more[4],
        error=further[0],
        coil=further[1],
        piece=further[2],
        straight=further[3:],
    )


def hinges(joint: Grip, scatter: Scatter, draws: Draws, mechanism: Mechanism = "both") -> Array:
    """What the barrel holds over the wire's strength, (n,): by bending in half of the draws, by torsion in the other.

    mechanism: "bending" or "torsion" for one of them throughout.
    """
    if not joint.hinged:
        return np.zeros(draws.n)
    pitch = np.maximum(joint.pitch_d + 0.5 * scatter.pitch_tolerance_d * draws.pitch, 0.5)
    return hinge_of(flow_stress(scatter, draws), coil_curvature(pitch), draws, mechanism)


def hinge_of(flow: Array, curvature_d: Array | float, draws: Draws, mechanism: Mechanism = "both") -> Array:
    """What a coil of that curvature holds, (n,)."""
    torsion = draws.torsion if mechanism == "both" else np.full(draws.n, mechanism == "torsion")
    return np.where(torsion, hinge_torsion(flow), hinge_bending(flow, curvature_d))


def flow_stress(scatter: Scatter, draws: Draws) -> Array:
    """Flow stress over strength, (n,)."""
    low, _, high = scatter.flow
    return np.asarray(low + (high - low) * draws.flow)


def coil_curvature(pitch_d: Array | float) -> Array:
    """Curvature times d of a coil of centre-line radius d round a core of the same wire.

    >>> float(coil_curvature(1.012939).round(4))
    0.9747
    """
    return 1.0 / (1.0 + (np.asarray(pitch_d, dtype=float) / (2.0 * np.pi)) ** 2)


def scattered(joint: Grip, scatter: Scatter, draws: Draws) -> tuple[Array, Array]:
    """Turns and lay [d] of the pieces, (n,) each; no turns stay none."""
    if joint.turns == 0.0:
        return np.zeros(draws.n), np.full(draws.n, joint.lay_d)
    turns = np.maximum(joint.turns + 0.5 * scatter.turns_tolerance * draws.turns, 0.0)
    lay = np.maximum(joint.lay_d + 0.5 * scatter.lay_tolerance_d * draws.lay, 0.5 * joint.lay_d)
    return turns, lay


def fit_errors(draws: Draws) -> Array:
    """How far model R's fit may be from its own simulations, share of S, (n,)."""
    return SIMULATED_ERROR * (2.0 * draws.fit - 1.0)


def strain_factors(scatter: Scatter, draws: Draws, places: int) -> Array:
    """What the strain of each bend is multiplied with, (places, n)."""
    return np.maximum(1.0 + scatter.strain * draws.strain[:places], 0.0)
