"""The pull test that would best tell the rival models apart, for one recipe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from helix.data.practice import practice
from helix.mechanics import limits
from helix.mechanics.grip import SIMULATED_NO_BARREL
from helix.studies.hold.grip_models import Grip, models_of, not_applicable_because, slip_share
from helix.studies.hold.outcome import Setting, nominal_hinge
from helix.values import result

CUT_BEYOND_D: Final = 3.0  # how far past the last turn the tag is cut off where there is no barrel
NO_BARREL_TURNS: Final = 5.0  # the simulations without a barrel had five turns


@result
class Prediction:
    """What one model says of a test: load over the wire's strength from low to high, at most 1 (the wire breaks)."""

    model: str
    low_n: float
    high_n: float


@result
class DecidingTest:
    """A joint to make and pull: turns, wraps, lay, and what each model says. ``gap_n``: least distance of the two groups
    of models that the test tells apart."""

    turns: float
    wraps: float
    lay_d: float
    predictions: tuple[Prediction, ...]
    gap_n: float


def deciding_tests(joint: Grip, break_share: float, setting: Setting, strength_n: float) -> tuple[DecidingTest, ...]:
    """The tests that tell the models apart for this wire and pin, the best first, at most two; none if none does.

    Looked at: five turns without a barrel (tag cut 3 d past the last turn), and 1 to 10 turns with a full barrel; at
    the joint's own lay or, where no test at that lay tells anything, at the lay the friction numbers stand for.
    """
    for lay in (joint.lay_d, practice().scatter.lay_d):
        tests = []
        for turns, wraps in [(NO_BARREL_TURNS, 0.0), *((float(n), _barrel(n)) for n in range(1, 11))]:
            trial = replace(joint, turns=turns, wraps=wraps, lay_d=lay, evenness=1.0)
            predictions = _predictions(trial, break_share, setting, strength_n)
            gap = _widest_gap(predictions)
            if gap > limits.TELLS_APART * strength_n:
                tests.append(DecidingTest(turns=turns, wraps=wraps, lay_d=lay, predictions=predictions, gap_n=gap))
        if tests:
            return tuple(sorted(tests, key=lambda test: -test.gap_n)[:2])
    return ()


def _barrel(turns: int) -> float:
    """Wraps that leave nothing to the barrel: 8 where the twist is short."""
    return 8.0 if turns < limits.FEW else limits.FEW


def _predictions(joint: Grip, break_share: float, setting: Setting, strength_n: float) -> tuple[Prediction, ...]:
    predictions = []
    hinge = nominal_hinge(joint, setting)
    for model in models_of(joint):
        number = setting.calibration.numbers.get(model.key)
        if number is None:
            continue
        if (
            model.key == "R"
            and joint.wraps == 0.0
            and not not_applicable_because("R", replace(joint, wraps=limits.FEW))
        ):
            predictions.append(_prediction("R", SIMULATED_NO_BARREL, strength_n))
            continue
        if not_applicable_because(model.key, joint):
            continue
        ends = slip_share(model.key, np.array([number.low, number.high]), hinge, joint.turns, joint.lay_d)
        predictions.append(_prediction(model.key, [min(float(end), break_share) for end in ends], strength_n))
    return tuple(predictions)


def _prediction(key: str, ends: Sequence[float], strength_n: float) -> Prediction:
    low, high = (strength_n * end for end in ends)
    return Prediction(model=key, low_n=low, high_n=high)


def _widest_gap(predictions: tuple[Prediction, ...]) -> float:
    """The widest load range that parts the models into two groups; 0 where they overlap throughout."""
    ordered = sorted(predictions, key=lambda prediction: prediction.low_n)
    gaps = [0.0]
    reached = ordered[0].high_n if ordered else 0.0
    for prediction in ordered[1:]:
        gaps.append(prediction.low_n - reached)
        reached = max(reached, prediction.high_n)
    return max(gaps)
