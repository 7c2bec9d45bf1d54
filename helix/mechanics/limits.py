"""Every limit that a verdict, a finding or an advice compares with: its value, unit, what it decides, and its source.

Read them as ``limits.STRAIN_OK``, never by name from here: so a test can move one and see what changes.
docs/limits.md shows the whole table. How much is computed (samples, draws, rounding) is no limit and stands where it
is used.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeVar

N = TypeVar("N", int, float)

ASSUMED = "assumed, no source"
PRACTICE = "common practice, no source"
EXACT = "exact, from the geometry"


@dataclass(frozen=True)
class Limit:
    """A limit's name, its value in its unit ("" for a proportion), what it decides, and where it is from."""

    name: str
    value: float
    unit: str
    decides: str
    source: str


LIMITS: dict[str, Limit] = {}


def _limit(name: str, value: N, unit: str, decides: str, source: str) -> N:
    LIMITS[name] = Limit(name, value, unit, decides, source)
    return value


# fmt: off
# bends
STRAIN_OK = _limit("STRAIN_OK", 0.50, "", "a bend, an eye or a first crossing with more outer-fibre strain is a caution",
                   "the wrapping test of spring wire on its own diameter: EN 10218-1 by way of EN 10270-1 [rep]")
STRAIN_CAUTION = _limit("STRAIN_CAUTION", 0.75, "", "a bend or an eye with more strain is sharp", ASSUMED)
GAUGE_D = _limit("GAUGE_D", 0.5, "d", "length over which a bend's curvature is averaged: a shorter kink counts less",
                 ASSUMED)
FOLDED_STRAIN = _limit("FOLDED_STRAIN", 1.0, "", "a kink with a larger strain at its tip folds into itself: sharp, "
                       "however short", EXACT)
ANGLE_LIMIT_RAD = _limit("ANGLE_LIMIT_RAD", 0.5 * math.pi, "rad", "a first bend or an exit beyond it is sharp",
                         PRACTICE)
ONLY_JUST = _limit("ONLY_JUST", 0.98, "",
                   "above this part of STRAIN_OK the hardest bend is only just within its limits",
                   ASSUMED)

# shape of twist, barrel and counts
OVERLAP_D = _limit("OVERLAP_D", 1e-4, "d", "parts deeper in each other overlap",
                   "a hundredth of what a mill lets a diameter vary (about 1 %): no hand or caliper finds less; assumed")
LIFT_OFF_D = _limit("LIFT_OFF_D", 1e-6, "d", "a tag further off the leg has lifted off", "rounding")
OPEN_GAP_D = _limit("OPEN_GAP_D", 1e-6, "d", "wraps further apart are an open barrel", "rounding")
SHORTEST_LAY = _limit("SHORTEST_LAY", 2.0, "d", "no even twist is laid as short or shorter", EXACT)
OVER_TWIST = _limit("OVER_TWIST", 2.696702, "d",
                    "a recipe's counted turns with a shorter lay are refused or over-twist",
                    "exact: the zero-twist lay of two strands, docs/theory")
SOUND_LAY = _limit("SOUND_LAY", 3.5, "d", "lay that is advised where one is too tight", ASSUMED)
USUAL_LAY = _limit("USUAL_LAY", 4.0, "d", "lay that is advised where one is too long", PRACTICE)
LAY_OFF = _limit("LAY_OFF", 0.25, "d", "a lay that is further off USUAL_LAY is tried as a change that may help",
                 ASSUMED)
LOOSE_LAY = _limit("LOOSE_LAY", 8.0, "d", "a longer lay is a loose twist", ASSUMED)
LOOSE_LAY_TWO = _limit("LOOSE_LAY_TWO", 11.8, "d", "a longer lay is a loose twist of two wires worked as one: as steep as "
                       "one wire's at LOOSE_LAY", ASSUMED)
EVEN = _limit("EVEN", 0.95, "", "a less even twist is a caution and outside the models", ASSUMED)
LEAST_EVEN = _limit("LEAST_EVEN", 0.5, "", "a less even twist has no estimate", "simulated: less even twists hold less")
UNEVEN = _limit("UNEVEN", 0.75, "", "a less even twist is a fault", ASSUMED)
VERY_FEW = _limit("VERY_FEW", 3.0, "turns", "as many turns or fewer are a fault", ASSUMED)
FEW = _limit("FEW", 5.0, "turns, wraps", "fewer turns or wraps are a caution", PRACTICE)
SHORT = _limit("SHORT", 4.0, "turns, wraps", "as many of each do not hold in the heaviest wire", PRACTICE)
MANY = _limit("MANY", 10.0, "turns", "as many or more may be crossings that were counted", ASSUMED)
GOOD_PIN_D = _limit("GOOD_PIN_D", 6.0, "d", "on a thinner pin a thicker one is tried as a change that may help",
                    ASSUMED)

# hold
LOCKS_AT = _limit("LOCKS_AT", 0.05, "", "locks: no model gives unwinding a higher probability", ASSUMED)
UNWINDS_AT = _limit("UNWINDS_AT", 0.5, "", "unwinds: every model gives unwinding a higher probability", ASSUMED)
TAIL = _limit("TAIL", 0.025, "", "part of the pieces left out at each end of a band", "convention: 95 %")
HELD = _limit("HELD", 0.05, "", "part of the pieces that may hold less than the load to plan with; a joint that may unwind "
              "is sharp if more do",
              "convention: 19 of 20")
HINGE_WRAPS = _limit("HINGE_WRAPS", 2.0, "wraps", "fewer make no hinge: no model applies, and it is a fault",
                     "simulated: two wraps hold within 2 % of twelve")
LAY_REACH = _limit("LAY_REACH", 0.1, "", "further off its lay, as a proportion, model R does not apply", ASSUMED)
EARLY = _limit("EARLY", 0.97, "", "breaks early: below this part of what the same joint made right is expected to hold",
               ASSUMED)
BEND_SPENT = _limit("BEND_SPENT", 0.3, "", "a bend that leaves less of the strength has used up its ductility", ASSUMED)
TELLS_APART = _limit("TELLS_APART", 0.05, "", "part of the strength by which a test must part the models", ASSUMED)
WORTH_LOAD = _limit("WORTH_LOAD", 0.01, "", "part of the strength below which a change gains nothing", ASSUMED)
WORTH_CHANCE = _limit("WORTH_CHANCE", 0.02, "", "fall in the probability of unwinding that makes a change worth it",
                      ASSUMED)
VARIED_TOGETHER = _limit("VARIED_TOGETHER", 0.95, "", "turns and wraps more correlated were not varied apart", ASSUMED)
SPEAKS_AGAINST = _limit("SPEAKS_AGAINST", 5.0, "", "difference of log-likelihood from which tests rule a model out, "
                        "1 to 150", ASSUMED)
LEAST_SCATTER = _limit("LEAST_SCATTER", 0.01, "", "a fitted friction number scatters at least this much", ASSUMED)
PAIR_LOSS = _limit("PAIR_LOSS", 0.05, "", "two wires worked as one are cut equal to within the slack that costs this part of their "
                   "load", ASSUMED)
WANDER_DEG = _limit("WANDER_DEG", 15.0, "deg", "a wire that is wound and leans more wanders: move the grip", ASSUMED)

NEAR_PIN = _limit("NEAR_PIN", 0.1, "", "pieces on a pin that is further off, as a proportion, are of another joint", ASSUMED)
NEAR_EXIT = _limit("NEAR_EXIT", 0.1, "", "pieces whose exit's length is further off, as a proportion, are of another joint",
                   "what hands and a rule vary it by; assumed")
NEAR_WIRE = _limit("NEAR_WIRE", 0.05, "", "what unwound in wire that is further off in diameter, as a proportion, does not count against a joint",
                   "under a step of sizes; assumed")
NEAR_THROAT_DEG = _limit("NEAR_THROAT_DEG", 6.0, "deg", "pieces whose first bend is further off are of another joint",
                         "twice what a first bend is read off by eye by; assumed")

# joints side by side
COMPARE_NEAR = _limit("COMPARE_NEAR", 0.02, "", "proportion by which numbers of two joints must differ to be told",
                      ASSUMED)
COMPARE_DEG = _limit("COMPARE_DEG", 1.0, "deg", "the same for angles, at least", ASSUMED)
COMPARE_D = _limit("COMPARE_D", 0.03, "d", "the same for radii and lays, at least", ASSUMED)
COMPARE_MM = _limit("COMPARE_MM", 0.5, "mm", "the same for lengths, at least", ASSUMED)
COMPARE_N = _limit("COMPARE_N", 1.0, "N", "the same for loads, at least", ASSUMED)
COMPARE_SHARE = _limit("COMPARE_SHARE", 0.005, "", "the same for proportions, at least", ASSUMED)

# readings of a made joint
SURE = _limit("SURE", 2.576, "sd", "a reading or a size further off is not what it should be",
              "normal distribution, 99 %")
AMISS = _limit("AMISS", 3.0, "sd", "a reading further off the others is doubted", ASSUMED)
IMPOSSIBLE = _limit("IMPOSSIBLE", 6.0, "sd", "a reading further off the others cannot be", ASSUMED)
OTHER_WIRE = _limit("OTHER_WIRE", 0.1, "", "a wire further off the recipe's, as a proportion, is another wire", ASSUMED)
TWIST_LEAST_D = _limit("TWIST_LEAST_D", 2.0, "d", "a twist measured thinner cannot be", EXACT)
TWIST_MOST_D = _limit("TWIST_MOST_D", 3.0, "d", "a twist measured thicker cannot be", EXACT)
BARREL_LEAST_D = _limit("BARREL_LEAST_D", 3.0, "d", "a barrel measured thinner cannot be", EXACT)
BARREL_MOST_D = _limit("BARREL_MOST_D", 6.0, "d", "a barrel measured thicker cannot be", ASSUMED)

# pull tests
FEWEST_FAILURES = _limit("FEWEST_FAILURES", 3, "pieces", "with fewer failures there is no estimate of one joint",
                         "the likelihood of two values has no width")
LEAST_SHARE_FAILED = _limit("LEAST_SHARE_FAILED", 0.3, "", "with a smaller part failed there is a bound only",
                            "simulated coverage, docs/theory/pulls.md")
FEWEST_COUNTED = _limit("FEWEST_COUNTED", 8, "pieces", "with fewer there is no fit of unwinding on turns and wraps",
                        ASSUMED)
SIGNIFICANCE = _limit("SIGNIFICANCE", 0.05, "", "a larger corrected p shows no difference", "convention: 95 %")
OUTLIER_SIGNIFICANCE = _limit("OUTLIER_SIGNIFICANCE", 0.05, "", "p at which a load stands off as odd",
                              "convention: 95 %")
FEWEST_FOR_OUTLIERS = _limit("FEWEST_FOR_OUTLIERS", 5, "pieces", "of fewer none stands off", ASSUMED)
ENOUGH_PIECES = _limit("ENOUGH_PIECES", 10, "pieces", "from fewer the load to rely on is marked", ASSUMED)
ODD_MOVES = _limit("ODD_MOVES", 0.05, "",
                   "an odd piece that moves that load by more, as a proportion, is named with it",
                   ASSUMED)
DISAGREES = _limit("DISAGREES", 0.05, "", "p below which pieces do not agree with what was predicted, or two ends differ",
                   "convention: 5 %")
SAME_WIRE = _limit("SAME_WIRE", 0.02, "", "a wire further off, as a proportion, is not the one pulled", ASSUMED)
CURVE_AGREES = _limit("CURVE_AGREES", 0.01, "", "a curve's peak further off the load written down is remarked", ASSUMED)
CURVE_DROP = _limit("CURVE_DROP", 0.01, "", "part of the peak from which a fall of the load is a slip", ASSUMED)
CURVE_BROKEN = _limit("CURVE_BROKEN", 0.5, "", "part of the peak below which a lasting fall is the end", ASSUMED)
CURVE_DEPARTS = _limit("CURVE_DEPARTS", 0.05, "", "part of the elastic extension off which a curve leaves its line",
                       ASSUMED)
CELL_CLASS_05 = _limit("CELL_CLASS_05", 0.0025, "",
                       "largest resolution over load that a load cell of class 0.5 vouches for",
                       "ISO 7500-1 [mem]")
CELL_CLASS_1 = _limit("CELL_CLASS_1", 0.005, "", "the same of class 1", "ISO 7500-1 [mem]; ASTM E4 [pub]")
CELL_CLASS_2 = _limit("CELL_CLASS_2", 0.010, "", "the same of class 2", "ISO 7500-1 [mem]")
CELL_CLASS_3 = _limit("CELL_CLASS_3", 0.015, "", "the same of class 3", "ISO 7500-1 [mem]")

# choosing, cutting, printing
LOAD_MARGIN = _limit("LOAD_MARGIN", 1.5, "", "a joint chosen holds this many times the load, if no margin is given",
                     ASSUMED)
SPARE_ENOUGH = _limit("SPARE_ENOUGH", 0.995, "", "a lower probability that the spare pieces will do is told", ASSUMED)
VERDICT_DOUBTFUL = _limit("VERDICT_DOUBTFUL", 0.005, "", "a verdict that changes in more of the trials is doubtful",
                          ASSUMED)
THIN_MM = _limit("THIN_MM", 0.8, "mm", "thinner wire is too thin to print", PRACTICE)
# fmt: on
