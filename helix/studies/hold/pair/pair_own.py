"""Pieces of one's own with two wires worked as one: what they move, and how many may still unwind."""

from __future__ import annotations

import numpy as np

from helix.geometry.maths.jets import Array
from helix.mechanics import limits
from helix.mechanics.pair.sharing import WireLaw, longer_stress
from helix.model.joint.wire import Wire
from helix.statistics.proportions import share_interval
from helix.studies.hold.evidence.forecast import OwnPulls, no_further_than, update_by_own
from helix.studies.hold.pair.pair_load import PairLoad
from helix.studies.hold.scatter import Draws
from helix.values import result


@result
class OwnPair:
    """Own pieces, as equal as they were made.

    expected_n, plan_with_n: of one more piece, whether it breaks or unwinds, from the mechanics and the pieces. unwinds_at_most: of such
    pieces, the largest part that may unwind after what these did (the upper 95 % limit).
    """

    pieces: int
    unwound: int
    unwinds_at_most: float
    expected_n: float
    plan_with_n: float


def own_pair(wire: Wire, load: PairLoad, pieces_n: Array, own: OwnPulls, draws: Draws) -> OwnPair | None:
    """What own pieces make of a pair's load; None without any. pieces_n: loads of one wire's joint, as `pair_load` took them."""
    if not own.loads_n:
        return None
    before = pair_pieces(wire, pieces_n, load.slack_mm / load.free_length_mm, draws.seed)
    loads, failed = np.array(own.loads_n), np.array(own.broke) | np.array(own.unwound)
    after = update_by_own(before, loads, failed, np.array(own.joints), draws)
    if not failed.any():
        after = no_further_than(after, before, float(loads.max()))
    count, unwound = len(own.loads_n), sum(own.unwound)
    _, most = share_interval(unwound, count)
    return OwnPair(
        pieces=count,
        unwound=unwound,
        unwinds_at_most=most,
        expected_n=float(after.mean()),
        plan_with_n=float(np.quantile(after, limits.HELD)),
    )


def pair_pieces(wire: Wire, pieces_n: Array, slack: float, seed: int) -> Array:
    """Loads of pairs whose two wires have nothing in common, (n,): the weaker one is the shorter one. slack: over the free length."""
    other = np.random.default_rng(seed).permutation(pieces_n)
    weaker, stronger = np.minimum(pieces_n, other), np.maximum(pieces_n, other)
    most = float(weaker.max()) / wire.area_mm2
    law = WireLaw(wire.modulus_mpa, most, most, 0.0)
    behind = wire.area_mm2 * longer_stress(slack, weaker / wire.area_mm2, law)
    return np.asarray(np.maximum(weaker + behind, stronger))
