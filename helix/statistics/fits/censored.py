"""The strength of one joint: estimates and intervals from pieces with several joints, some censored.

Estimates are of greatest likelihood (likelihood.py). Intervals come from the likelihood integrated with
d mu d sigma/sigma (integrated.py): the confidence distribution conditional on the configuration of the
sample, exact without censoring and when the count of failures is fixed (R. A. Fisher, Proc. R. Soc. A 144
(1934) 285; J. F. Lawless, Technometrics 20 (1978) 355) [mem]. For pieces that end in other ways at random
loads it is approximate; how often it holds is measured (docs/theory/pulls.md).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from helix.mechanics import limits
from helix.statistics.confidence import Confidence
from helix.statistics.fits.integrated import integrated
from helix.statistics.fits.likelihood import Family, Sample, log_likelihood, maximum_likelihood


@dataclass(frozen=True)
class Fit:
    """Maximum-likelihood location and scale, and the confidence distributions of both and of lower quantiles.

    ``lower``: the confidence distribution of mu + z_p sigma for each p asked for.
    """

    location: float
    scale: float
    log_likelihood: float
    location_confidence: Confidence
    scale_confidence: Confidence
    lower: tuple[Confidence, ...]


def fit(data: Sample, family: Family = "normal", shares: tuple[float, ...] = ()) -> Fit:
    """Return location and scale of greatest likelihood and their confidence distributions.

    Parameters
    ----------
    data : Sample
        Loads, or their logarithms, of pieces; 3 failures or more [any one unit].
    family : {"normal", "smallest"}
        Distribution of one joint's strength.
    shares : tuple of float
        For each p, between 0 and 1, also the load that a share 1 - p of all joints exceeds.

    Returns
    -------
    Fit
        In the unit of the data.

    Raises
    ------
    ValueError
        With fewer than 3 failures, or when all loads at failure are alike.
    ConvergenceError
        Where the greatest likelihood is not found.

    Notes
    -----
    Sources: those of this module; docs/theory/pulls.md.
    """
    if data.failures < limits.FEWEST_FAILURES:
        raise ValueError(f"failures must be at least {limits.FEWEST_FAILURES}; got {data.failures}")
    if not np.ptp(data.values[data.failed]) > 0.0:
        raise ValueError("the loads at failure must not all be alike")
    location, scale = maximum_likelihood(data, family)
    table = integrated(data, family, location, scale)
    lower = tuple(table.linear(_quantile(share, family)) for share in shares)
    best = float(log_likelihood(data, location, scale, family))
    return Fit(location, scale, best, table.linear(0.0), table.scales(), lower)


def _quantile(share: float, family: Family) -> float:
    """Where a share p of the standard distribution lies below."""
    if family == "normal":
        from scipy.special import ndtri

        return float(ndtri(share))
    return float(np.log(-np.log1p(-share)))
