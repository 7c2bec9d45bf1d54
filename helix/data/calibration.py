"""The default friction numbers, one for each model: calibration.toml as frozen values.

The file is made by scripts/make/calibration.py from the facts of common practice alone, and says so itself.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache

from helix.data.tables import DATA_FOLDER
from helix.findings import Finding, remark
from helix.values import hidden, result


@dataclass(frozen=True)
class RuleRead:
    """The rule of thumb as one model reads it.

    The turns that hold and those that do not, at a lay [d] and for a standing exit of that strain. holds, lets_go: times the
    friction that the middle piece needs, with which 19 of 20 pieces of the first hold, and half of the second let go.
    """

    turns: float
    short_turns: float
    lay_d: float
    exit_strain: float
    holds: float
    lets_go: float


@result
class FrictionNumber:
    """The effective friction number of one model: no measured friction, and good for that model only.

    value: median; low, high: 95 % interval; scatter: one sigma from piece to piece, as a share of the number.
    levels, quantiles (n,): the distribution of the number itself, for drawing from it. lay_d, denominator: the lay
    it was fitted at and what loads were divided by. source: where it comes from, with its mark. rule: the rule of thumb behind it, if there is one;
    then it is drawn within what is not known of a joint, and the quantiles are over all of that.
    """

    model: str
    value: float
    low: float
    high: float
    scatter: float
    levels: tuple[float, ...] = hidden()
    quantiles: tuple[float, ...] = hidden()
    lay_d: float | None
    denominator: str
    source: str
    rule: RuleRead | None = hidden(default=None)


@result
class Calibration:
    """Friction numbers by model key, with what they rest on. ``notes``: what the evidence cannot say."""

    numbers: dict[str, FrictionNumber]
    origin: str
    evidence: str
    notes: tuple[Finding, ...]


@cache
def default_calibration() -> Calibration:
    """Return the calibration that ships with helix.

    Returns
    -------
    Calibration

    Examples
    --------
    >>> sorted(default_calibration().numbers)
    ['E', 'L', 'R']
    """
    with (DATA_FOLDER / "calibration.toml").open("rb") as stream:
        read = tomllib.load(stream)
    numbers = {
        entry["key"]: FrictionNumber(
            model=entry["key"],
            value=entry["value"],
            low=entry["low"],
            high=entry["high"],
            scatter=entry["scatter"],
            levels=tuple(entry["levels"]),
            quantiles=tuple(entry["quantiles"]),
            lay_d=read["lay_d"],
            denominator=read["denominator"],
            source=f"{read['origin']} [{read['mark']}]",
            rule=RuleRead(lay_d=read["lay_d"], **read["rule"], holds=entry["holds"], lets_go=entry["lets_go"]),
        )
        for entry in read["model"]
    }
    return Calibration(
        numbers=numbers,
        origin=read["origin"],
        evidence=read["evidence"],
        notes=tuple(remark("calibration", text) for text in read["notes"]),
    )


def given_number(model: str, value: float, scatter: float) -> FrictionNumber:
    """Return a friction number that somebody states, without an interval of its own.

    Parameters
    ----------
    model : str
        Key of the model that it is for.
    value, scatter : float
        The number, and its scatter from piece to piece; zero or more.

    Returns
    -------
    FrictionNumber

    Raises
    ------
    ValueError
        Unless value and scatter are zero or more.

    Examples
    --------
    >>> given_number("L", 0.05, 0.05).quantiles
    (0.05, 0.05)
    """
    if not (value >= 0.0 and scatter >= 0.0):
        raise ValueError(f"value and scatter must be zero or more; got {value!r} and {scatter!r}")
    source = "as given, not fitted"
    return FrictionNumber(
        model=model,
        value=value,
        low=value,
        high=value,
        scatter=scatter,
        levels=(0.0, 1.0),
        quantiles=(value, value),
        lay_d=None,
        denominator="as given",
        source=source,
    )
