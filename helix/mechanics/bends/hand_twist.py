"""What hands make of a twist: the lay that hard wire takes of the angle and the pull, and the evenness that unlike hands leave.

Angles between the legs are halved; pulls over the straight wire's strength. Simulated, not tested. Derivation: docs/theory/first-bend.md.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from helix.mechanics import limits
from helix.mechanics.bends.first_bend import TAKEN
from helix.mechanics.checks import check_acute, check_nonnegative

LAYS_D: Final = {
    0.05: ((75.0, 6.88), (90.0, 4.77), (100.0, 3.86), (105.0, 3.54)),
    0.1: ((60.0, 7.8), (75.0, 5.3), (90.0, 3.96), (105.0, 3.1)),
    0.2: ((75.0, 4.75), (90.0, 3.65), (105.0, 2.98)),
}
"""Lay once let go [d] by the pull along each leg and the angle between them [deg], of five turns (simulated rod)."""
FIRM: Final = 0.1
"""Pull along each leg, over the strength, at which most was simulated."""
LEAST_PULL: Final = min(LAYS_D)
"""Below it nobody has simulated hands that pull: between there and hands that only lead the legs round it is drawn straight."""
MOST_PULL: Final = max(LAYS_D)
EVENNESS: Final = {60.0: (1.0, 0.96, 0.93), 75.0: (1.0, 0.92, 0.89), 90.0: (1.0, 0.86, 0.75), 105.0: (1.0, 0.82, 0.66)}
"""Evenness of the twist by the angle between the legs [deg], of hands 0, 10 and 20 deg unlike at a pull of FIRM (simulated rod)."""
WIDEST_DEG: Final = max(EVENNESS)
"""The widest that unlike hands were simulated: wider ones leave less even a twist than is counted here."""
_UNLIKE_DEG: Final = (0.0, 10.0, 20.0)
_EASED: Final = 0.6
"""What unevenness falls with the pull as: to this power, within 0.05 from 0.05 to 0.2 of the strength (simulated rod)."""


def pulled_angle(lay_rad: float, pull: float) -> float:
    """Give half the angle at which hands that pull along the legs hold them for a lay angle [rad].

    Parameters
    ----------
    lay_rad : float
        Lay angle wanted, once let go [rad], 0 to below pi/2.
    pull : float
        Pull along each leg over the strength, 0 or more; counted to MOST_PULL, and below LEAST_PULL not simulated.

    Returns
    -------
    float
        Half the angle between the legs in the hands; that of hands that only lead them round where there is no pull.

    Raises
    ------
    ValueError
        Outside the ranges.

    Examples
    --------
    >>> lay = np.arctan(np.pi / 4.0)
    >>> [round(2.0 * float(np.degrees(pulled_angle(lay, pull)))) for pull in (0.0, 0.05, 0.1, 0.2)]
    [114, 98, 89, 85]
    """
    lay = float(check_acute(lay_rad, "lay_rad"))
    taken = [TAKEN]
    for places in LAYS_D.values():
        held, lays = np.radians(0.5 * np.array(places)[:, 0]), np.arctan(np.pi / np.array(places)[:, 1])
        taken.append(float(np.interp(lay, lays, lays / held)))
    # of long lays the rod takes less than TAKEN at LEAST_PULL: without a pull no more is taken
    taken[0] = min(taken[:2])
    return lay / float(np.interp(float(check_nonnegative(pull, "pull")), [0.0, *LAYS_D], taken))


def is_simulated(lay_d: float, pull: float) -> bool:
    """Whether hands that pull so were simulated for such a lay; else their angle is drawn on from what was.

    Parameters
    ----------
    lay_d : float
        Lay wanted, once let go, in wire diameters, above 0.
    pull : float
        Pull along each leg over the strength, 0 or more.

    Returns
    -------
    bool
        Whether the pull lies within LAYS_D, and the lay within those of that pull: between two pulls, its ends are drawn straight.

    Examples
    --------
    >>> is_simulated(4.0, 0.06), is_simulated(4.0, 0.01), is_simulated(12.0, 0.1)
    (True, False, False)
    >>> is_simulated(3.0, 0.05), is_simulated(3.0, 0.2)
    (False, True)
    """
    lays = [[lay for _, lay in places] for places in LAYS_D.values()]
    shortest, longest = (float(np.interp(pull, list(LAYS_D), list(map(end, lays)))) for end in (min, max))
    return LEAST_PULL <= pull <= MOST_PULL and shortest <= lay_d <= longest


def unlike_evenness(half_throat_rad: float, unlike_rad: float, pull: float = FIRM) -> float:
    """Give the evenness of the twist of hands that differ all along, and are not brought together again.

    Parameters
    ----------
    half_throat_rad : float
        Half the angle between the legs in the hands [rad], 0 to below pi/2; counted from 30 to 52.5 deg, beyond which the twist is less even.
    unlike_rad : float
        By how much one hand stands further off the axis than the other [rad], 0 to 20 deg.
    pull : float
        Pull along each leg over the strength; counted from LEAST_PULL to MOST_PULL.

    Returns
    -------
    float
        The evenness, 1 where both legs are bent alike.

    Raises
    ------
    ValueError
        Outside the ranges.

    Examples
    --------
    >>> [round(unlike_evenness(np.radians(45.0), np.radians(10.0), pull), 2) for pull in (0.05, 0.1)]
    [0.79, 0.86]
    """
    angle = 2.0 * np.degrees(check_acute(half_throat_rad, "half_throat_rad"))
    if unlike_rad > np.radians(_UNLIKE_DEG[-1]) * (1.0 + 1e-9):
        raise ValueError(f"unlike_rad must be at most {_UNLIKE_DEG[-1]:g} deg; got {np.degrees(unlike_rad):g} deg")
    rows = np.array(list(EVENNESS.values()))
    row = [np.interp(angle, list(EVENNESS), column) for column in rows.T]
    lost = 1.0 - float(np.interp(np.degrees(check_nonnegative(unlike_rad, "unlike_rad")), _UNLIKE_DEG, row))
    eased: float = (min(max(float(check_nonnegative(pull, "pull")), LEAST_PULL), MOST_PULL) / FIRM) ** -_EASED
    return max(1.0 - lost * eased, 0.0)


def hands_alike(half_throat_rad: float) -> float:
    """Give by how much two hands may differ all along before the twist is uneven by the limit EVEN, at a pull of FIRM [rad].

    Parameters
    ----------
    half_throat_rad : float
        Half the angle between the legs [rad], 0 to below pi/2; counted from 30 to 52.5 deg.

    Returns
    -------
    float
        The difference.

    Raises
    ------
    ValueError
        Outside the range.

    Examples
    --------
    >>> [round(float(np.degrees(hands_alike(np.radians(half)))), 1) for half in (38.0, 45.0, 57.0)]
    [6.0, 3.6, 2.8]
    """
    angle = 2.0 * np.degrees(check_acute(half_throat_rad, "half_throat_rad"))
    columns = np.array(list(EVENNESS.values())).T
    row = np.array([np.interp(angle, list(EVENNESS), column) for column in columns])
    return float(np.radians(np.interp(1.0 - limits.EVEN, 1.0 - row, _UNLIKE_DEG)))
