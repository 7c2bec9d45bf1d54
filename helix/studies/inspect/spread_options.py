"""How far hands may be off, from text: plus or minus of angles, lengths and counts."""

from __future__ import annotations

from helix.errors import ValidationIssue
from helix.studies.inspect.spread import Steps
from helix.studies.option_values import FaultList, plus_or_minus


def steps_asked(
    d_mm: float,
    faults: FaultList,
    *,
    angle: str | None = None,
    length: str | None = None,
    turn: str | None = None,
    own: bool = False,
) -> Steps:
    """The steps for a wire of diameter `d_mm`; every fault is added to the others.

    >>> steps_asked(1.0, [], angle="2 deg").angle_deg
    2.0
    """
    usual = Steps()
    if own and (length is not None or turn is not None):
        faults.append(ValidationIssue("--own", "must not stand beside --length or --turn: give one or the other"))
    return Steps(
        angle_deg=plus_or_minus("--angle", angle, "angle", d_mm, usual.angle_deg, 20.0, faults),
        length_mm=plus_or_minus("--length", length, "length", d_mm, usual.length_mm, 10.0 * d_mm, faults),
        turn=plus_or_minus("--turn", turn, "none", d_mm, usual.turn, 1.0, faults),
        own=own,
    )
