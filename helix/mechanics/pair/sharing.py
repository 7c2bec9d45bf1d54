"""How two alike wires of unequal length share a load between the same two ends. Arrays in, arrays out.

The longer one carries nothing until its slack is used up. A wire is elastic, then hardens along a straight line until it
breaks. Stresses in MPa over the section of one wire; strains and slack over the length of the shorter wire. Derivation:
docs/theory/pair.md.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_nonnegative, check_positive, check_proportion


@dataclass(frozen=True)
class WireLaw:
    """Stress against strain of a straight length: elastic to the yield, then a straight line to the strength.

    modulus_mpa, yield_mpa, strength_mpa: above 0, the yield no more than the strength; uniform_strain: lasting strain at
    the strength, 0 or more. With a uniform strain of 0 it is elastic until it breaks.
    """

    modulus_mpa: ArrayLike
    yield_mpa: ArrayLike
    strength_mpa: ArrayLike
    uniform_strain: ArrayLike

    def __post_init__(self) -> None:
        check_positive(self.modulus_mpa, "modulus_mpa")
        strength = check_positive(self.strength_mpa, "strength_mpa")
        check_proportion(check_positive(self.yield_mpa, "yield_mpa") / strength, "yield_mpa over strength_mpa")
        check_nonnegative(self.uniform_strain, "uniform_strain")

    @property
    def yield_strain(self) -> Array:
        """Strain at the yield."""
        strain: Array = np.asarray(self.yield_mpa, dtype=float) / np.asarray(self.modulus_mpa, dtype=float)
        return strain

    @property
    def compliance(self) -> Array:
        """Strain for each MPa beyond the yield [1/MPa]; infinite where the yield is the strength."""
        room = np.asarray(self.strength_mpa, dtype=float) - np.asarray(self.yield_mpa, dtype=float)
        lasting = np.asarray(self.uniform_strain, dtype=float)
        with np.errstate(divide="ignore", invalid="ignore"):
            slow = np.where(lasting > 0.0, lasting / room, 0.0)
        return np.asarray(1.0 / np.asarray(self.modulus_mpa, dtype=float) + slow)


def wire_stress(strain: ArrayLike, law: WireLaw) -> Array:
    """Return the stress of one wire.

    Parameters
    ----------
    strain : array_like
        Strain of the wire; slack, and carries nothing, below 0.
    law : WireLaw
        Broadcasts with `strain`.

    Returns
    -------
    array
        Stress [MPa]; beyond the strength the line goes on, where a wire breaks is not asked here.

    Notes
    -----
    Bilinear, as any text on plasticity. Derivation: docs/theory/pair.md.

    Examples
    --------
    >>> law = WireLaw(200e3, 1600.0, 2000.0, 0.01)
    >>> wire_stress([-0.1, 0.004, 0.008, 0.014], law).tolist()
    [0.0, 800.0, 1600.0, 1800.0]
    """
    taut = np.maximum(np.asarray(strain, dtype=float), 0.0)
    beyond = np.maximum(taut - law.yield_strain, 0.0)
    elastic = np.minimum(taut, law.yield_strain) * np.asarray(law.modulus_mpa, dtype=float)
    return np.asarray(elastic + beyond / law.compliance)


def wire_strain(stress_mpa: ArrayLike, law: WireLaw) -> Array:
    """Return the strain at which one wire carries a stress: the inverse of `wire_stress`.

    Parameters
    ----------
    stress_mpa : array_like
        Stress, 0 or more [MPa].
    law : WireLaw
        Broadcasts with `stress_mpa`.

    Returns
    -------
    array
        The least strain.

    Raises
    ------
    ValueError
        For a negative stress.

    Notes
    -----
    Derivation: docs/theory/pair.md.

    Examples
    --------
    >>> wire_strain([0.0, 1600.0, 1800.0], WireLaw(200e3, 1600.0, 2000.0, 0.01)).round(6).tolist()
    [0.0, 0.008, 0.014]
    """
    stress = check_nonnegative(stress_mpa, "stress_mpa")
    beyond = np.maximum(stress - np.asarray(law.yield_mpa, dtype=float), 0.0)
    lasting = np.where(beyond > 0.0, beyond * np.where(np.isfinite(law.compliance), law.compliance, 0.0), 0.0)
    return np.asarray(
        np.minimum(stress, np.asarray(law.yield_mpa, dtype=float)) / np.asarray(law.modulus_mpa) + lasting
    )


def longer_strain(strain: ArrayLike, slack: ArrayLike) -> Array:
    """Return the strain of the longer wire when the shorter one has a strain; negative while it hangs slack.

    Parameters
    ----------
    strain : array_like
        Strain of the shorter wire, 0 or more.
    slack : array_like
        How much longer the other is, over the shorter one's length, 0 or more.

    Returns
    -------
    array
        (strain - slack)/(1 + slack).

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Both span the same distance, L (1 + strain). Derivation: docs/theory/pair.md.

    Examples
    --------
    >>> longer_strain([0.0, 0.01, 0.02], 0.01).round(5).tolist()
    [-0.0099, 0.0, 0.0099]
    """
    loose = check_nonnegative(slack, "slack")
    return np.asarray((check_nonnegative(strain, "strain") - loose) / (1.0 + loose))


def longer_stress(slack: ArrayLike, break_mpa: ArrayLike, law: WireLaw) -> Array:
    """Return what the longer wire carries when the shorter one breaks.

    Parameters
    ----------
    slack : array_like
        How much longer the other is, over the shorter one's length, 0 or more.
    break_mpa : array_like
        Stress in its straight length at which a wire breaks, wherever it does so, 0 or more [MPa].
    law : WireLaw
        Broadcasts with both.

    Returns
    -------
    array
        Stress [MPa]: `break_mpa` without slack, 0 where the shorter one breaks before the slack is used up. The pair
        breaks at break_mpa plus this, over the section of one wire: what is left alone holds no more than break_mpa.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Two parallel bars of a misfit, any text on statically indeterminate bars. Derivation: docs/theory/pair.md.

    Examples
    --------
    >>> longer_stress([0.0, 0.004, 0.02], 1600.0, WireLaw(200e3, 2000.0, 2000.0, 0.0)).round(1).tolist()
    [1600.0, 796.8, 0.0]
    """
    return wire_stress(longer_strain(wire_strain(break_mpa, law), slack), law)


def caught_up(slack: ArrayLike, break_mpa: ArrayLike, law: WireLaw) -> Array:
    """Return how far the longer wire catches up because the shorter one yields.

    Parameters
    ----------
    slack : array_like
        How much longer the other is, over the shorter one's length, 0 or more.
    break_mpa : array_like
        Stress at which a wire breaks, above 0 [MPa].
    law : WireLaw
        Broadcasts with both.

    Returns
    -------
    array
        Part of the difference between the two, as it is in elastic wire, that is made up when the shorter one breaks: 0
        where nothing yields or nothing is to be made up, 1 where both carry the same.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/pair.md.

    Examples
    --------
    >>> law = WireLaw(200e3, 1600.0, 2000.0, 0.01)
    >>> caught_up(0.002, [1500.0, 1900.0], law).round(2).tolist()
    [0.0, 0.83]
    """
    stress = check_positive(break_mpa, "break_mpa")
    elastic = WireLaw(law.modulus_mpa, law.strength_mpa, law.strength_mpa, 0.0)
    behind = stress - longer_stress(slack, stress, elastic)
    left = (stress - longer_stress(slack, stress, law)) / np.maximum(behind, np.finfo(float).tiny)
    return np.asarray(np.where(behind > 1e-6 * stress, 1.0 - left, 0.0))


def slack_for_loss(loss: ArrayLike, break_mpa: ArrayLike, law: WireLaw) -> Array:
    """Return the slack with which a pair holds so much less than twice one wire.

    Parameters
    ----------
    loss : array_like
        Part of twice one wire's load that is lost, 0 to 0.5.
    break_mpa : array_like
        Stress at which a wire breaks, above 0 [MPa].
    law : WireLaw
        Broadcasts with both.

    Returns
    -------
    array
        Slack over the shorter wire's length: the inverse of 1 - (break_mpa + longer_stress)/(2 break_mpa).

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/pair.md.

    Examples
    --------
    >>> float(slack_for_loss(0.05, 1600.0, WireLaw(200e3, 2000.0, 2000.0, 0.0)).round(6))
    0.000794
    """
    stress = check_positive(break_mpa, "break_mpa")
    carried = stress * (1.0 - check_proportion(2.0 * np.asarray(loss, dtype=float), "twice the loss"))
    at_break, behind = wire_strain(stress, law), wire_strain(carried, law)
    return np.asarray((at_break - behind) / (1.0 + behind))
