"""What the wire of a simulated rod has been through, fibre by fibre: where it breaks, and at which moment of the run.

A run follows one yield surface a section. Afterwards each section is cut into fibres that are bent from straight wire to
the shape of the start, then follow the run's bends and carry its tensions: kinematic hardening, true area. It breaks
where no stretch carries the tension any more.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from helix.geometry.maths.jets import Array
from helix.mechanics.rod.compiling import compiled

FINEST: Final = (8, 16)
"""Rings and spokes of fibres."""
_LEAST, _MOST = 2e-5, 0.1  # stretch tried in one go
_HALVINGS = 12  # of a bracket that is as wide as the last step


def fibre_places(rings: int = FINEST[0], spokes: int = FINEST[1]) -> Array:
    """Give fibres of equal area over a round section.

    Parameters
    ----------
    rings, spokes : int
        How many.

    Returns
    -------
    ndarray
        Places from the middle [d], (rings spokes, 2).

    Examples
    --------
    >>> places = fibre_places()
    >>> len(places), [round(float(x), 4) for x in (places**2).mean(axis=0) * 16.0]
    (128, [1.0, 1.0])
    """
    radius = 0.5 * np.sqrt((np.arange(rings) + 0.5) / rings)
    # of equal area, each at the radius that halves its own: the second moment of area is that of the full section
    angle = 2.0 * np.pi * (np.arange(spokes) + 0.5) / spokes
    return np.stack([np.outer(radius, np.cos(angle)).ravel(), np.outer(radius, np.sin(angle)).ravel()], axis=1)


@compiled
def section_pull(
    places: np.ndarray, plastic: np.ndarray, stretch: float, one: float, two: float, stiffness: float, hardening: float
) -> float:
    """Give the tension of a section over its strength; each fibre thins as it stretches.

    Parameters
    ----------
    places : array
        Fibres [d], (m, 2).
    plastic : array
        Their plastic strains, (m,).
    stretch, one, two : float
        Strain of the middle, curvatures in both directions [1/d].
    stiffness, hardening : float
        Young's modulus over the strength; strength gained per unit strain over it.

    Returns
    -------
    float
        The mean of stress over 1 + strain.
    """
    total = 0.0
    for k in range(len(places)):
        strain = stretch + one * places[k, 0] + two * places[k, 1]
        over = stiffness * (strain - plastic[k]) - hardening * plastic[k]
        stress = stiffness * (strain - plastic[k])
        if over > 1.0:
            stress -= stiffness * (over - 1.0) / (stiffness + hardening)
        elif over < -1.0:
            stress -= stiffness * (over + 1.0) / (stiffness + hardening)
        total += stress / (1.0 + max(strain, -0.9))
    return total / len(places)


@compiled
def follow_fibres(
    places: np.ndarray,
    plastic: np.ndarray,
    stretch: np.ndarray,
    bend: np.ndarray,
    pull: np.ndarray,
    broken: np.ndarray,
    stiffness: float,
    hardening: float,
) -> int:
    """Take every section on to new curvatures and tensions.

    Parameters
    ----------
    places : array
        Fibres [d], (m, 2).
    plastic, stretch : array
        Plastic strains (n, m) and strains of the middle (n,); changed in place.
    bend, pull : array
        Curvatures [1/d], (n, 2), and tensions over the strength, (n,), as they are now.
    broken : array
        Whether a section has broken, (n,); changed in place.
    stiffness, hardening : float
        As in `section_pull`.

    Returns
    -------
    int
        How many are newly broken.
    """
    new = 0
    for i in range(len(pull)):
        if broken[i]:
            continue
        one, two = bend[i, 0], bend[i, 1]
        low = stretch[i]
        now = section_pull(places, plastic[i], low, one, two, stiffness, hardening)
        step = _LEAST
        if now > pull[i]:
            high = low
            while step < _MOST:
                low = high - step
                if section_pull(places, plastic[i], low, one, two, stiffness, hardening) <= pull[i]:
                    break
                step *= 2.0
        else:
            high = low
            found = False
            while step < _MOST:
                high = stretch[i] + step
                if section_pull(places, plastic[i], high, one, two, stiffness, hardening) >= pull[i]:
                    found = True
                    break
                low = high
                step *= 1.5
            if not found:
                broken[i] = True
                new += 1
                continue
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            if section_pull(places, plastic[i], middle, one, two, stiffness, hardening) < pull[i]:
                low = middle
            else:
                high = middle
        stretch[i] = 0.5 * (low + high)
        for k in range(len(places)):
            strain = stretch[i] + one * places[k, 0] + two * places[k, 1]
            over = stiffness * (strain - plastic[i, k]) - hardening * plastic[i, k]
            if over > 1.0:
                plastic[i, k] += (over - 1.0) / (stiffness + hardening)
            elif over < -1.0:
                plastic[i, k] += (over + 1.0) / (stiffness + hardening)
    return new


def formed_fibres(bend: Array, stiffness: float, hardening: float, places: Array) -> tuple[Array, Array]:
    """Bend sections from straight wire to where a run starts; the middle keeps its length.

    Parameters
    ----------
    bend : ndarray
        Curvatures at the start [1/d], (n, 2).
    stiffness, hardening : float
        As in `section_pull`.
    places : ndarray
        Fibres [d], (m, 2).

    Returns
    -------
    plastic : ndarray
        Plastic strains, (n, m).
    stretch : ndarray
        Strains of the middle, (n,).
    """
    strain = bend @ places.T
    over = stiffness * strain
    plastic = np.sign(over) * np.maximum(np.abs(over) - 1.0, 0.0) / (stiffness + hardening)
    return plastic, np.zeros(len(bend))
