"""How hard a bend strains its outer fibre, and the verdict on it by strain and by angle.

Lengths in mm or d alike, rad. Derivations: docs/theory/bending.md.
"""

from __future__ import annotations

import math

from helix.findings import Severity
from helix.mechanics import limits
from helix.mechanics.bends.bending import check_each_positive

# STRAIN_OK is certified by the wrapping test that spring-wire standards demand: the wire wound on its own diameter has
# d/(2R) = d/(d + d) = 0.50. EN 10218-1 by way of EN 10270-1, seen in a reprint.
_SLACK = 1e-9  # rounding that does not change a verdict


def outer_fibre_strain(radius: float, d: float = 1.0) -> float:
    """Return the strain of the outer fibre of a wire bent to a radius.

    Parameters
    ----------
    radius : float
        Radius R of the centre line, above 0, in the unit of d; may be infinite (strain 0).
    d : float
        Wire diameter, above 0.

    Returns
    -------
    float
        d/(2R). Below R = d/2 (strain 1) the wire would fold: the number still ranks bends.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    On a mandrel of diameter m, R = (m + d)/2 and the strain is d/(m + d). Derivation: docs/theory/bending.md.

    Examples
    --------
    >>> outer_fibre_strain(1.0), outer_fibre_strain(2.0), round(outer_fibre_strain(1.02599), 4)
    (0.5, 0.25, 0.4873)
    >>> outer_fibre_strain(2.0, d=0.8)
    0.2
    """
    if radius == math.inf:
        return 0.0
    check_each_positive(radius=radius, d=d)
    return 0.5 * d / radius


def bend_strain(curvature: float, d: float = 1.0) -> float:
    """Return the strain of the outer fibre under a curvature.

    Parameters
    ----------
    curvature : float
        |K|, 0 or more and finite, in one over the unit of d. For a verdict the mean over a gauge length of d/2,
        averaged as a vector in the rotation-minimising frame: see helix.geometry.wire.frames.gauge_curvature.
    d : float
        Wire diameter, above 0.

    Returns
    -------
    float
        (d/2) |K|.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    The gauge length is an assumption: a plastic hinge spreads over about that. See docs/theory/bending.md.

    Examples
    --------
    >>> bend_strain(1.0), bend_strain(0.5, d=0.8)
    (0.5, 0.2)
    """
    check_each_positive(d=d)
    if not (curvature >= 0.0 and math.isfinite(curvature)):
        raise ValueError(f"curvature must be zero or more and finite; got {curvature!r}")
    return 0.5 * d * curvature


def strain_severity(strain: float) -> Severity:
    """Return how severe a bend of this strain is.

    Parameters
    ----------
    strain : float
        (d/2) |K| or d/(2R), 0 or more, may be infinite.

    Returns
    -------
    Severity
        Ok up to 0.50, caution up to 0.75, else sharp.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Why there: docs/theory/bending.md.

    Examples
    --------
    >>> [strain_severity(strain).word for strain in (0.4873, 0.5, 0.6, 0.8)]
    ['ok', 'ok', 'caution', 'sharp']
    """
    if not strain >= 0.0:
        raise ValueError(f"strain must be zero or more; got {strain!r}")
    if strain <= limits.STRAIN_OK + _SLACK:
        return Severity.OK
    return Severity.CAUTION if strain <= limits.STRAIN_CAUTION + _SLACK else Severity.SHARP


def angle_severity(visible_rad: float) -> Severity:
    """Return how severe the trade takes a visible angle to be.

    Parameters
    ----------
    visible_rad : float
        Angle, 0 to 2 pi [rad].

    Returns
    -------
    Severity
        Ok up to 90 deg, sharp above; there is no band of caution.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Common practice, no source; see docs/theory/bending.md.

    Examples
    --------
    >>> angle_severity(math.radians(90.0)).word, angle_severity(math.radians(100.0)).word
    ('ok', 'sharp')
    """
    if not 0.0 <= visible_rad <= 2.0 * math.pi:
        raise ValueError(f"visible_rad must be from 0 to 2 pi rad; got {visible_rad!r}")
    return Severity.OK if visible_rad <= limits.ANGLE_LIMIT_RAD + _SLACK else Severity.SHARP
