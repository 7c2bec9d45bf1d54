"""Numbers of pull tests in words and cells, in the units that people chose."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from helix.findings import Finding
from helix.output.words.findings.finding_words import explain
from helix.output.words.sentence_format import load_number
from helix.studies.pulls.pull_joints import Estimate
from helix.units import MM_PER_INCH, N_PER_LBF, UnitSystem

NONE = "-"


@dataclass(frozen=True)
class PullFormat:
    """Loads and lengths as cells, in one unit system."""

    units: UnitSystem

    @property
    def force(self) -> str:
        """Name of the unit of load."""
        return "lbf" if self.units == "inch" else "N"

    @property
    def length(self) -> str:
        """Name of the unit of length."""
        return "in" if self.units == "inch" else "mm"

    def load(self, newtons: float | None, decimals: int | None = None) -> str:
        """A load without its unit, whole from 100 on.

        >>> PullFormat("metric").load(842.37), PullFormat("metric").load(12.345), PullFormat("metric").load(None)
        ('842', '12.3', '-')
        """
        if newtons is None:
            return NONE
        value = newtons / N_PER_LBF if self.units == "inch" else newtons
        places = decimals if decimals is not None else (0 if abs(value) >= 100.0 else 1)
        return f"{value:.{places}f}"

    def loads(self, estimate: Estimate) -> str:
        """A load with its limits: "842 (820 to 861)"."""
        return _with_limits(estimate, self.load)

    def change(self, newtons: float) -> str:
        """A difference of loads with its sign."""
        return load_number(newtons, self.units, "+")

    def tens(self, newtons: float) -> str:
        """A load in words: whole tens from 100 on.

        >>> PullFormat("metric").tens(183.0), PullFormat("inch").tens(183.0)
        ('180', '41')
        """
        value = newtons / N_PER_LBF if self.units == "inch" else newtons
        return f"{round(value, -1) if value >= 100.0 else value:.0f}"

    def mm(self, mm: float) -> str:
        """A length without its unit."""
        return f"{mm / MM_PER_INCH:.2f}" if self.units == "inch" else f"{mm:.0f}"

    def long(self, mm: float) -> str:
        """A length of wire with its unit, in metres or feet.

        >>> PullFormat("metric").long(7542.0), PullFormat("inch").long(7542.0)
        ('7.54 m', '24.7 ft')
        """
        return f"{mm / MM_PER_INCH / 12.0:.1f} ft" if self.units == "inch" else f"{mm / 1000.0:.2f} m"


def remark_line(finding: Finding, units: UnitSystem) -> str:
    """A finding as a line of its own, after the group or piece that it is about.

    >>> from helix.findings import notice
    >>> remark_line(notice("one-piece", "A", row=2), "metric")
    'A: One piece (row 2): no spread, no interval.'
    """
    message = explain(finding, units).message
    return f"{finding.place}: {message}" if finding.place else message


def counted(count: int, word: str) -> str:
    """So many of a thing.

    >>> counted(1, "piece"), counted(3, "piece")
    ('1 piece', '3 pieces')
    """
    return f"{count} {word}{'' if count == 1 else 's'}"


def percent(share: float | None, decimals: int = 1) -> str:
    """A share in per cent without the sign.

    >>> percent(0.9786), percent(None)
    ('97.9', '-')
    """
    return NONE if share is None else f"{100.0 * share:.{decimals}f}"


def percents(estimate: Estimate, decimals: int = 1) -> str:
    """A share in per cent with its limits: "97.9 (96.0 to 99.7)"."""
    return _with_limits(estimate, lambda v: percent(v, decimals))


def plain_number(value: float | None, digits: int = 3) -> str:
    """A number of so many digits, never an exponent."""
    if value is None:
        return NONE
    return f"{value:.{digits}g}" if abs(value) < 10**digits else f"{value:.0f}"


def numbers(estimate: Estimate, digits: int = 3) -> str:
    """A bare number with its limits."""
    return _with_limits(estimate, lambda v: plain_number(v, digits))


def p_value(p: float) -> str:
    """A probability of a test: "0.032", "< 0.001", "-" for none."""
    if math.isnan(p):
        return NONE
    return "< 0.001" if p < 0.001 else f"{p:.3f}"


def _with_limits(estimate: Estimate, one: Callable[[float | None], str]) -> str:
    if estimate.value is None:
        return NONE if estimate.low is None else f"over {one(estimate.low)}"
    if estimate.low is None and estimate.high is None:
        return str(one(estimate.value))
    return f"{one(estimate.value)} ({one(estimate.low)} to {one(estimate.high)})"
