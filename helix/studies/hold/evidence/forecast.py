"""What one may plan with: the load of one more piece, from layers of evidence that each move it.

Layers: the table of the material's strength; the coil, by straight wire that was pulled (of a file, or the recipe's `measured_load`); the mechanics of the joint; the
trade's rule of thumb, through the friction of the grip's models; joints of one's own; those of them with other counts, bent alike.
docs/theory/evidence.md.
"""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist
from typing import Final, Literal

import numpy as np

from helix.geometry.maths.jets import Array
from helix.mechanics import limits
from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.fits.predictive import update_log_normal
from helix.studies.hold.evidence.wound_alike import OtherPieces
from helix.studies.hold.outcome import STRAIGHT_SCATTER, Breaks, Outcome
from helix.studies.hold.scatter import Draws
from helix.values import hidden, result

STRAIGHTENED: Final = 0.10  # straightened wire is weaker by up to this, EN 10270 [pub, reprint]
TABLE_SIGMAS: Final = 1.96  # the table's limits are taken as a 95 % range (assumed)
# scatter of log loads from joint to joint: median, sigma of its log (assumed; so wide that pieces decide)
JOINT_SCALE: Final = (0.04, 1.75)
SURVIVED_SCALE: Final = 0.05  # the same where no piece failed so (assumed)
COIL_SCALE: Final = (STRAIGHT_SCATTER, 0.7)  # the same of straight wire of one coil (assumed)
BrokeOf = Literal["own", "bent", "better"]
_MOST_SLIP: Final = 3.0  # a joint that never unwinds counts as one that would at so many times the wire's strength


@result
class BentPieces:
    """Pieces of another joint in this wire. of: the recipes of its ends; loads_n, broke, joints: as `OwnPulls` has them, (n,) each."""

    of: tuple[Recipe, ...]
    loads_n: tuple[float, ...]
    broke: tuple[bool, ...]
    joints: tuple[int, ...]


@result
class OwnPulls:
    """Pieces of one's own. straight_n: breaking loads of straight wire of this coil. loads_n, broke, unwound, joints: of
    pieces with this joint, (n,) each; a piece that neither broke at a joint nor unwound says only "above this". ended: how many
    of them broke or unwound; None for all. pin_mm: what they were bent round, where that is not the recipe's pin.
    others: pieces of other joints in this wire. other: of those what bounds this joint, or, where there is none of it, the nearest
    of which some unwound; `other_of`. unlike: pieces of joints in other wires, of which some unwound; they count for nothing.
    whole_n: loads at which pieces broke, anywhere, that have this joint at both ends; empty where any unwound.
    bent: pieces of other joints by how they were bent; those bent as this one, its counts apart, bound its load."""

    straight_n: tuple[float, ...] = ()
    loads_n: tuple[float, ...] = ()
    broke: tuple[bool, ...] = ()
    unwound: tuple[bool, ...] = ()
    joints: tuple[int, ...] = ()
    ended: int | None = None
    pin_mm: float | None = None
    others: tuple[OtherPieces, ...] = ()
    other: OtherPieces | None = None
    unlike: tuple[OtherPieces, ...] = ()
    whole_n: tuple[float, ...] = ()
    bent: tuple[BentPieces, ...] = ()


@result
class Layer:
    """One layer of evidence: the load to plan with once it is in, and by how much it moved it [N]."""

    name: str
    plan_with_n: float
    moved_n: float


@result
class Forecast:
    """One more piece. Loads in N: expected, to plan with (5 % of pieces lie below), 95 % range.

    odds_first: of the pieces that break, the part that does so at each place, in the order of the places. none_failed: own
    joints were pulled, and none of them broke or unwound. own_unwound: how many of them unwound, of own_pieces that broke or unwound; own_pulled: whether any were pulled. own_broke_n: loads at which
    they broke; unpulled_n: what was expected before they were pulled. broke_of: whether those are pieces of its own, of joints bent
    alike with other counts, or of one that is made no worse, which lower the load.
    """

    expected_n: float
    plan_with_n: float
    low_n: float
    high_n: float
    probability_unwinds: float
    odds_first: tuple[float, ...]
    layers: tuple[Layer, ...]
    pieces_n: Array = hidden()
    none_failed: bool = hidden()
    own_unwound: int = hidden()
    own_pieces: int = hidden(default=0)
    own_pin_mm: float | None = hidden(default=None)
    own_pulled: bool = hidden(default=False)
    own_broke_n: tuple[float, ...] = hidden(default=())
    unpulled_n: float = hidden(default=math.nan)
    broke_of: BrokeOf = hidden(default="own")

    def holds(self, load_n: float) -> float:
        """Probability that one more piece holds a load."""
        return float(np.mean(self.pieces_n >= load_n))

    def no_better_than(self, other: Forecast) -> Forecast:
        """This, with no load higher and no probability of unwinding lower than another's; what it costs is a layer."""
        plan = min(self.plan_with_n, other.plan_with_n)
        lost = Layer(name="made_right", plan_with_n=plan, moved_n=plan - self.plan_with_n)
        by_pieces = bool(other.own_broke_n) and other.expected_n < self.expected_n
        return replace(
            self,
            own_broke_n=other.own_broke_n if by_pieces else self.own_broke_n,
            broke_of="better" if by_pieces else self.broke_of,
            expected_n=min(self.expected_n, other.expected_n),
            plan_with_n=plan,
            low_n=min(self.low_n, other.low_n),
            high_n=min(self.high_n, other.high_n),
            probability_unwinds=max(self.probability_unwinds, other.probability_unwinds),
            layers=(*self.layers, lost) if lost.moved_n < 0.0 else self.layers,
            pieces_n=lesser_by_rank(self.pieces_n, other.pieces_n),
        )


def forecast(
    wire: Wire, breaks: Breaks, outcome: Outcome, draws: Draws, own: OwnPulls | None = None, linked: Array | None = None
) -> Forecast:
    """The load of one more piece, layer by layer. linked: load over the coil's strength at which each draw breaks in a bend that
    own pieces had not, (n,).

    Raises ValueError where no model speaks of the joint's grip.
    """
    if outcome.governing is None:
        raise ValueError("a forecast needs a model that speaks of the grip")
    pulls, strength = own or OwnPulls(), wire.breaking_load_n[1]
    layers: list[Layer] = []

    def add(name: str, loads: Array) -> None:
        plan = strength * float(np.quantile(loads, limits.HELD))
        layers.append(Layer(name=name, plan_with_n=plan, moved_n=plan - (layers[-1].plan_with_n if layers else 0.0)))

    straight = np.exp(STRAIGHT_SCATTER * draws.piece)
    coil = _table(wire, draws)
    add("table", coil * straight)
    straight_n = np.array([*_measured(wire), *pulls.straight_n])
    if straight_n.size:
        coil = _coil(wire, coil, straight_n / strength, draws)
        add("coil", coil * straight)
    broken, slips = coil * breaks.least, coil * outcome.slips
    add("mechanics", broken)
    add("rule_of_thumb", np.minimum(broken, slips).ravel())
    unwinds, pieces = outcome.unwinds, np.minimum(broken, slips).ravel()
    unpulled = strength * float(pieces.mean())
    none_failed = bool(pulls.loads_n) and not any(pulls.broke) and not any(pulls.unwound)
    if pulls.loads_n:
        loads, joints = np.array(pulls.loads_n) / strength, np.array(pulls.joints)
        broken = update_by_own(broken, loads, np.array(pulls.broke), joints, draws)
        slips = update_by_own(
            np.minimum(slips, _MOST_SLIP).ravel(), loads, np.array(pulls.unwound), joints, draws, turned=True
        )[None]
        unwinds = float(np.mean(slips < broken))
        if not any(pulls.unwound):  # pieces that only say "above" never raise the odds
            unwinds = min(unwinds, outcome.unwinds)
        else:  # a piece that unwound at a high load says where the grip ends, not that fewer unwind
            held = forecast(wire, breaks, outcome, draws, _held_alone(pulls))
            unwinds = max(unwinds, held.probability_unwinds)
        before, pieces = pieces, np.minimum(broken, slips).ravel()
        if none_failed:
            pieces = no_further_than(pieces, before, float(loads.max()))
        add("own_joints", pieces)
        if linked is not None:  # by rank, as own pieces have no draws in common with it
            pieces = lesser_by_rank(pieces, coil * linked)
            add("linked", pieces)
    broke_n = tuple(load for load, broke in zip(pulls.loads_n, pulls.broke, strict=True) if broke)
    broke_of: BrokeOf = "own"
    if not broke_n and not any(pulls.unwound) and (bent := as_bent(pulls.bent, strength)) is not None:
        lower = np.minimum(update_by_own(broken, *bent, draws), slips).ravel()
        if lower.mean() < pieces.mean():  # by rank; what broke higher than is expected says nothing of other counts
            pieces = lesser_by_rank(pieces, lower)
            add("bent_alike", pieces)
            broke_n, broke_of = tuple((strength * bent[0][bent[1]]).tolist()), "bent"
    pieces = strength * pieces
    low, high = np.quantile(pieces, [limits.TAIL, 1.0 - limits.TAIL])
    return Forecast(
        expected_n=float(pieces.mean()),
        plan_with_n=layers[-1].plan_with_n,
        low_n=float(low),
        high_n=float(high),
        probability_unwinds=unwinds,
        odds_first=_odds(breaks, outcome),
        layers=tuple(layers),
        pieces_n=pieces,
        none_failed=none_failed,
        own_unwound=sum(pulls.unwound),
        own_pieces=len(pulls.loads_n) if pulls.ended is None else pulls.ended,
        own_pin_mm=pulls.pin_mm,
        own_pulled=bool(pulls.loads_n),
        own_broke_n=broke_n,
        unpulled_n=unpulled,
        broke_of=broke_of,
    )


def lesser_by_rank(one: Array, other: Array) -> Array:
    """Of two samples of loads the lesser, piece by piece in their order; without rounding one to the size of the other."""
    both = np.lcm(one.size, other.size)
    first, second = (np.repeat(np.sort(loads), both // loads.size) for loads in (one, other))
    return np.asarray(np.minimum(first, second))


def as_bent(groups: tuple[BentPieces, ...], strength_n: float = 1.0) -> tuple[Array, np.ndarray, Array] | None:
    """Loads over the strength, whether each piece broke, and its joints; None where none broke."""
    loads, broke, joints = (
        np.array([value for group in groups for value in getattr(group, name)])
        for name in ("loads_n", "broke", "joints")
    )
    return (loads / strength_n, broke, joints) if broke.any() else None


def _held_alone(own: OwnPulls) -> OwnPulls:
    """Own pieces without those that unwound."""
    kept = [k for k, unwound in enumerate(own.unwound) if not unwound]
    return OwnPulls(
        straight_n=own.straight_n,
        loads_n=tuple(own.loads_n[k] for k in kept),
        broke=tuple(own.broke[k] for k in kept),
        unwound=(False,) * len(kept),
        joints=tuple(own.joints[k] for k in kept),
    )


def no_further_than(pieces: Array, before: Array, seen: float) -> Array:
    """Loads once own joints were pulled of which none failed, (n,), by rank: no higher than the highest pull, but where they
    were before. Nothing is known of what lies beyond it."""
    # by hand: numpy's quantile takes ten times as long for as many ranks as there are draws
    at = (np.arange(pieces.size) + 0.5) / pieces.size * (before.size - 1)
    return np.minimum(np.sort(pieces), np.maximum(np.interp(at, np.arange(before.size), np.sort(before)), seen))


def _table(wire: Wire, draws: Draws) -> Array:
    """Strength of the coil over the nominal one, (n,): the table's limits as a 95 % range, straightened wire weaker."""
    low, usual, high = wire.breaking_load_n
    middle, spread = 0.5 * np.log(low * high / usual**2), np.log(high / low) / (2.0 * TABLE_SIGMAS)
    return np.asarray(np.exp(middle + spread * draws.coil) * (1.0 - STRAIGHTENED * draws.straightened))


def _measured(wire: Wire) -> Array:
    """Breaking loads that stand for the coil's measured mean: so many pulls round it, scattered as straight wire is."""
    if wire.measured_load_n is None:
        return np.empty(0)
    count = max(round(wire.measured_pulls), 1)
    scores = [NormalDist().inv_cdf((k + 0.5) / count) for k in range(count)]
    return np.asarray(wire.measured_load_n * np.exp(STRAIGHT_SCATTER * np.array(scores)))


def _coil(wire: Wire, table: Array, loads: Array, draws: Draws) -> Array:
    """The same once straight wire was pulled."""
    logs = np.log(table)
    posterior = update_log_normal(
        (float(logs.mean()), float(logs.std())), COIL_SCALE, loads, loads > 0.0, np.ones(loads.size)
    )
    return np.asarray(np.exp(posterior.draw(draws.location, draws.scale)[0]))


def update_by_own(
    before: Array, loads: Array, failed: np.ndarray, joints: Array, draws: Draws, turned: bool = False
) -> Array:
    """Loads at which one more joint fails so, (n,), once own joints were pulled. turned: levels of the draws the other way
    round, so that two kinds of failure are drawn apart."""
    logs = np.log(before)
    if not failed.any():
        return _survived(before, logs, loads, joints, 1.0 - draws.criterion if turned else draws.location)
    low, middle, high = np.quantile(logs, [0.16, 0.5, 0.84])
    prior = (float(middle), max(float(high - low) / 2.0, 0.02))
    posterior = update_log_normal(prior, JOINT_SCALE, loads, failed, joints)
    u, v, z = draws.location, draws.scale, draws.piece
    if turned:
        u, v, z = 1.0 - draws.criterion, 1.0 - draws.straightened, draws.coil
    theta, sigma = posterior.draw(u, v)
    return np.asarray(np.exp(theta + sigma * z))


def _survived(before: Array, logs: Array, loads: Array, joints: Array, levels: Array) -> Array:
    """The draws before, of every model, weighed by how well they go with pieces none of which failed so, and drawn anew."""
    from scipy.special import log_ndtr

    at = np.linspace(logs.min(), logs.max(), 2001)  # the weight depends on the draw's load alone, and smoothly
    weight = (joints * log_ndtr((at[:, None] - np.log(loads)) / SURVIVED_SCALE)).sum(axis=1)
    weights = np.interp(logs, at, weight)
    below = np.cumsum(np.exp(weights - weights.max()))
    return np.asarray(before[np.searchsorted(below, levels * below[-1])])


def _odds(breaks: Breaks, outcome: Outcome) -> tuple[float, ...]:
    first, broke = breaks.drawn.argmin(axis=0), (outcome.slips >= breaks.least).mean(axis=0)
    counted = np.bincount(first, weights=broke, minlength=len(breaks.still))
    return tuple((counted / max(float(counted.sum()), 1e-12)).tolist())
