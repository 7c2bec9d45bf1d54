"""What a barrel holds by its first wrap: a plastic hinge in bending, or in torsion. Arrays in, arrays out.

Loads are shares of the wire's own breaking load S = sigma_u pi d^2/4; curvatures times d; `flow` is flow stress over
sigma_u. Neither is proven. Derivations: docs/theory/holding.md.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_nonnegative, check_proportion


def hinge_bending(flow: ArrayLike, curvature_d: ArrayLike) -> Array:
    """Return the pull, over S, that uncoils a set coil by bending.

    Parameters
    ----------
    flow : array_like
        Flow stress over strength, 0 to 1.
    curvature_d : array_like
        The coil's curvature times d, 0 or more.

    Returns
    -------
    array
        M_p kappa over S, (2/(3 pi)) flow kappa d, however many coils there are, once a few are.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Source: plastic hinge, derived in docs/theory/holding.md; peel of a plastic strip: K. S. Kim & N. Aravas 1988 [mem].

    Examples
    --------
    >>> float(hinge_bending(1.0, 1.0).round(4)), float(hinge_bending(0.9, 0.9747).round(4))
    (0.2122, 0.1862)
    """
    return 2.0 / (3.0 * np.pi) * check_proportion(flow, "flow") * check_nonnegative(curvature_d, "curvature_d")


def hinge_torsion(flow: ArrayLike) -> Array:
    """Return the pull, over S, that opens a set coil like an extension spring, by torsion.

    Parameters
    ----------
    flow : array_like
        Flow stress over strength, 0 to 1.

    Returns
    -------
    array
        flow/(3 sqrt 3).

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Shear yield by von Mises, coil of mean diameter 2 d: T d = pi tau_y d^3/12. Derivation: docs/theory/holding.md.

    Examples
    --------
    >>> float(hinge_torsion(1.0).round(4))
    0.1925
    """
    return check_proportion(flow, "flow") / (3.0 * math.sqrt(3.0))
