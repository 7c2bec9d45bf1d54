"""Two wires worked as one, as an answer: what they hold should their joint not unwind, and how stiff they are."""

from __future__ import annotations

from helix.model.joint.wire import Wire
from helix.studies.hold.evidence.forecast import Forecast
from helix.studies.hold.pair.pair_load import PairLoad, pair_load
from helix.studies.hold.pair.pair_stiffness import PairStiffness, stiffness_beside
from helix.values import result


@result
class PairHold:
    """load: None where no load of one wire's joint is estimated. Whether four strands unwind, no model says."""

    load: PairLoad | None
    stiffness: PairStiffness


def pair_hold(wire: Wire, one: Forecast | None, free_length_mm: float, slack_mm: float | None = None) -> PairHold:
    """What two such wires hold and how stiff they are; one: what is forecast of one wire's joint; the rest as `pair_load`."""
    return PairHold(
        load=None if one is None else pair_load(wire, one.pieces_n, free_length_mm, slack_mm),
        stiffness=stiffness_beside(wire, free_length_mm),
    )
