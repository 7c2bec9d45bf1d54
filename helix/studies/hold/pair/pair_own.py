"""Pieces of one's own with two wires worked as one: what they move, and how many may still unwind."""

from __future__ import annotations

import numpy as np

from helix.geometry.maths.jets import Array
from helix.mechanics import limits
from helix.mechanics.pair.sharing import WireLaw, longer_stress
from helix.model.joint.wire import Wire
from helix.statistics.proportions import share_interval
from helix.studies.hold.evidence.forecast import OwnPulls, as_bent, lesser_by_rank, no_further_than, update_by_own
from helix.studies.hold.pair.pair_load import PairLoad
from helix.studies.hold.scatter import Draws
from helix.values import hidden, result


@result
class OwnPair:
    """Own pieces, as equal as they were made.

    expected_n, plan_with_n: of one more piece, whether it breaks or unwinds, from the mechanics and the pieces. unwinds_at_most: of such
    pieces, the largest part that may unwind after what these did (the upper 95 % limit). of_others: whether those that broke have other counts,
    bent alike; then they lower the load, and pieces are those of this joint.
    """

    pieces: int
    unwound: int
    unwinds_at_most: float
    expected_n: float
    plan_with_n: float
    of_others: bool = hidden(default=False)


def own_pair(wire: Wire, load: PairLoad, pieces_n: Array, own: OwnPulls, draws: Draws) -> OwnPair | None:
    """What own pieces make of a pair's load; None without any. pieces_n: loads of one wire's joint, as `pair_load` took them; own.bent: of
    other pairs, those bent alike."""
    bent = as_bent(own.bent)
    if not own.loads_n and bent is None:
        return None
    before = pair_pieces(wire, pieces_n, load.slack_mm / load.free_length_mm, draws.seed)
    loads, failed = np.array(own.loads_n), np.array(own.broke, bool) | np.array(own.unwound, bool)
    after = update_by_own(before, loads, failed, np.array(own.joints), draws) if loads.size else before
    if loads.size and not failed.any():
        after = no_further_than(after, before, float(loads.max()))
    lower = None if failed.any() or bent is None else update_by_own(before, *bent, draws)
    lowers = lower is not None and lower.mean() < after.mean()
    if lower is not None and lowers:
        after = lesser_by_rank(after, lower)
    elif not loads.size:
        return None
    count, unwound = len(own.loads_n), sum(own.unwound)
    most = share_interval(unwound, count)[1] if count else 1.0
    return OwnPair(
        pieces=count,
        unwound=unwound,
        unwinds_at_most=most,
        expected_n=float(after.mean()),
        plan_with_n=float(np.quantile(after, limits.HELD)),
        of_others=lowers,
    )


def pair_pieces(wire: Wire, pieces_n: Array, slack: float, seed: int) -> Array:
    """Loads of pairs whose two wires have nothing in common, (n,): the weaker one is the shorter one. slack: over the free length."""
    other = np.random.default_rng(seed).permutation(pieces_n)
    weaker, stronger = np.minimum(pieces_n, other), np.maximum(pieces_n, other)
    most = float(weaker.max()) / wire.area_mm2
    law = WireLaw(wire.modulus_mpa, most, most, 0.0)
    behind = wire.area_mm2 * longer_stress(slack, weaker / wire.area_mm2, law)
    return np.asarray(np.maximum(weaker + behind, stronger))
