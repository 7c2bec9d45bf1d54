"""What the simulation says of real wire, so that wire can refute it: four tests, each with what would show it wrong.

Loads over the strength of straight wire. From docs/simulation.md, docs/theory/straightening.md; nothing here has been tested.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Final

from helix.values import result

BARE_TURNS: Final = 5.0
HANDS_DEG: Final = (75.0, 105.0)


class Test(StrEnum):
    """Five turns and no barrel; one bend of 90 deg pulled straight; twists by hands 75 and 105 deg apart; paint along the barrel."""

    __test__ = False  # for pytest
    NO_BARREL = "no_barrel"
    ONE_BEND = "one_bend"
    HANDS = "hands"
    PAINT = "paint"


@result
class Refutable:
    """One prediction. low to high: where it lies; wrong_below, wrong_above: what shows it wrong; None: no bound. What is measured depends on the
    test: load over strength (no_barrel, one_bend), lay at 105 deg over that at 75 (hands), turns of the barrel as one piece at the largest load (paint).
    """

    test: Test
    pieces: int
    low: float
    high: float
    wrong_below: float | None
    wrong_above: float | None


@result
class Refuting:
    """The tests for one wire: its nominal strength, over which loads are."""

    strength_n: float
    tests: tuple[Refutable, ...]


PREDICTIONS: Final = (
    Refutable(test=Test.NO_BARREL, pieces=5, low=0.74, high=0.89, wrong_below=0.5, wrong_above=None),
    Refutable(test=Test.ONE_BEND, pieces=5, low=0.82, high=0.93, wrong_below=0.75, wrong_above=None),
    Refutable(test=Test.HANDS, pieces=10, low=0.53, high=0.68, wrong_below=None, wrong_above=0.85),
    Refutable(test=Test.PAINT, pieces=5, low=0.3, high=1.1, wrong_below=0.1, wrong_above=None),
)
"""no_barrel: slips or breaks, frictions 0.05 to 0.25 (a model that gives all to the barrel says near zero). one_bend: fibres on the simulated bend, hardening 0.1 to 0.5;
under 0.75 ductility is used up, and a wide throat breaks early. hands: lays of 3.1 and 5.3 d, by tension. paint: 0.6 to 0.8 turn when a 5 + 5 joint breaks."""
