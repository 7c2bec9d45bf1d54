"""The section of a round wire under tension, two bendings and torsion: yield, flow, kinematic hardening.

Forces are over their plastic values, so that the section yields where `yield_norm` is one.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from helix.mechanics.rod.compiling import compiled

MIX: Final = 0.45
"""Share of the bending that adds to the tension as it is; fitted to the exact curve of a round section, to 0.004."""
_ROUND = 1e-4  # the corner at no bending is rounded by this
_TOLERANCE = 1e-9
_TRIES = 12


@compiled
def yield_norm(n: float, m: float, t: float) -> float:
    """Return how far a section is loaded: 1 where it yields.

    Parameters
    ----------
    n, m, t : float
        Tension, bending moment and torque over their plastic values.

    Returns
    -------
    float
        sqrt(t^2 + R^2), R = MIX |m| + sqrt((1 - MIX)^2 m^2 + n^2): a norm, so the elastic region is convex.

    Notes
    -----
    Torsion leaves sqrt(1 - t^2) of the section's strength, exact for a thin tube. Derivation: docs/theory/rod.md.
    """
    r = MIX * abs(m) + np.sqrt((1.0 - MIX) ** 2 * m * m + n * n)
    return float(np.sqrt(t * t + r * r))


@compiled
def return_to_yield(s: np.ndarray, x: np.ndarray, stiff: np.ndarray, hard: np.ndarray) -> float:
    """Bring a section that is loaded too far back to yielding, along the normal of the yield surface.

    Parameters
    ----------
    s, x : array
        Forces and back forces over the plastic values, (4,): tension, two bendings, torsion; changed in place.
    stiff, hard : array
        Elastic and hardening stiffness over the plastic values squared, (4,).

    Returns
    -------
    float
        Work lost to plastic flow per unit length.
    """
    lost = 0.0
    flow = 0.0
    for _ in range(_TRIES):
        n, a, b, t = s[0] - x[0], s[1] - x[1], s[2] - x[2], s[3] - x[3]
        m = np.sqrt(a * a + b * b + _ROUND * _ROUND)
        q = np.sqrt((1.0 - MIX) ** 2 * m * m + n * n)
        r = MIX * m + q
        f = np.sqrt(t * t + r * r)
        if flow > 0.0:
            lost += flow * f
        if f - 1.0 <= _TOLERANCE:
            break
        dn = r / f * n / q
        dm = r / f * (MIX + (1.0 - MIX) ** 2 * m / q) / m
        da, db = dm * a, dm * b
        dt = t / f
        resist = (
            (stiff[0] + hard[0]) * dn * dn
            + (stiff[1] + hard[1]) * da * da
            + (stiff[2] + hard[2]) * db * db
            + (stiff[3] + hard[3]) * dt * dt
        )
        flow = (f - 1.0) / resist
        s[0] -= stiff[0] * dn * flow
        s[1] -= stiff[1] * da * flow
        s[2] -= stiff[2] * db * flow
        s[3] -= stiff[3] * dt * flow
        x[0] += hard[0] * dn * flow
        x[1] += hard[1] * da * flow
        x[2] += hard[2] * db * flow
        x[3] += hard[3] * dt * flow
    return lost
