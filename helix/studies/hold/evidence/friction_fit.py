"""Friction numbers from the user's own pull tests: one for each model, with its interval, or a refusal.

Breaking and unwinding compete, and each hides the other: a piece that broke shows only that its joints would have
unwound at a higher load. Each load is turned into the friction number that the model would need for it; of these, the
ones of pieces that unwound are seen, the others are lower limits. Method: docs/theory/holding.md.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar, Final

import numpy as np

from helix.data.calibration import Calibration, FrictionNumber
from helix.data.practice import Scatter
from helix.errors import ValidationError
from helix.findings import Finding, notice
from helix.geometry.maths.jets import Array
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics import limits
from helix.model.measured.slip_tests import SlipTest, SlipTests
from helix.statistics.fits.censored import Fit, fit
from helix.statistics.fits.likelihood import sample
from helix.studies.hold.grip_models import MODELS, Grip, friction_needed, not_applicable_because
from helix.studies.hold.outcome import nominal_hinges
from helix.studies.hold.scatter import drawn, hinges, scattered
from helix.values import Result, hidden, result

_LEVELS: Final = tuple(np.round(np.concatenate([[0.001, 0.005], np.linspace(0.025, 0.975, 39), [0.995, 0.999]]), 6))


@result
class LeftOut:
    """Pieces of which a model learns nothing, and why."""

    why: str
    pieces: int


@result
class ModelFit:
    """One model's fit. friction: None where it was not fitted or the tests speak against the model, why_not says which.

    unwound: pieces that unwound and were used; held: pieces that show a lower limit. log_likelihood_behind: how much
    less likely the loads are under it than under the best model, as a difference of logarithms over the pieces that all
    fitted models can use; None where there is nothing to compare.
    """

    key: str
    friction: FrictionNumber | None = None
    why_not: str | None = None
    unwound: int
    held: int
    left_out: tuple[LeftOut, ...]
    log_likelihood_behind: float | None = None


@result
class WrapsAlone:
    """A piece without a twist, to compare with, never fitted to: its row in the file, its load over the strength."""

    row: int
    load_proportion: float
    unwound: bool


@result
class CalibrationFit(Result):
    """Friction numbers of a file of tests, and whether it can tell turns from wraps."""

    also: ClassVar = ("file", "pieces", "denominator")
    tests: SlipTests = hidden()
    calibration: Calibration = hidden()
    models: tuple[ModelFit, ...]
    turns_and_wraps_apart: bool
    turns_and_wraps_note: Finding = hidden()
    wraps_alone: tuple[WrapsAlone, ...]

    @property
    def file(self) -> str:
        """The file of tests."""
        return self.tests.place

    @property
    def pieces(self) -> int:
        """Pieces with joints in it."""
        return len(self.tests.pieces)

    @property
    def denominator(self) -> str:
        """What loads were divided by."""
        return self.tests.denominator

    @property
    def notes(self) -> tuple[Finding, ...]:
        """What was taken for granted."""
        return self.tests.notes


def calibrate(tests: SlipTests, scatter: Scatter) -> CalibrationFit:
    """The friction numbers that a file of pull tests asks for.

    Raises ValidationError when no model has enough pieces that unwound inside its range: three, or an interval is worth
    nothing.
    """
    fits = _compared(tuple(_fitted(model.key, tests, scatter) for model in MODELS), tests, scatter)
    numbers = {fit.key: fit.friction for fit in fits if fit.friction is not None}
    if not numbers:
        slips = sum(piece.unwound for piece in tests.pieces)
        usable = max(fit.unwound for fit in fits)
        used = "" if usable == slips else f", {usable} of them inside a model's range"
        raise ValidationError.at(
            tests.place,
            f"must have {limits.FEWEST_FAILURES} or more pieces that unwound, or a friction number has no interval; got "
            f"{slips}{used}. Make some joints with fewer turns, so that they unwind",
        )
    apart, varied = separable([piece for piece in tests.pieces if piece.turns > 0.0])
    calibration = Calibration(
        numbers=numbers,
        origin=f"pull tests, {tests.place}",
        evidence=f"{len(tests.pieces)} pieces, of which {sum(p.unwound for p in tests.pieces)} unwound",
        notes=(varied, notice("loads-divided", denominator=tests.denominator), *tests.notes),
    )
    alone = tuple(
        WrapsAlone(row=piece.row, load_proportion=piece.load_share, unwound=piece.unwound)
        for piece in tests.pieces
        if piece.turns == 0.0
    )
    return CalibrationFit(
        tests=tests,
        calibration=calibration,
        models=fits,
        turns_and_wraps_apart=apart,
        turns_and_wraps_note=varied,
        wraps_alone=alone,
    )


def separable(pieces: Sequence[SlipTest]) -> tuple[bool, Finding]:
    """Whether tests vary turns and wraps apart, and the finding that says so."""
    turns = np.array([piece.turns for piece in pieces], dtype=float)
    wraps = np.array([piece.wraps for piece in pieces], dtype=float)
    if turns.size == 0 or (np.ptp(turns) == 0.0 and np.ptp(wraps) == 0.0):
        return False, notice("counts-alike")
    if np.ptp(turns) == 0.0:
        return False, notice("one-count-varied", varied="wraps", other="turns")
    if np.ptp(wraps) == 0.0:
        return False, notice("one-count-varied", varied="turns", other="wraps")
    together = abs(float(np.corrcoef(turns, wraps)[0, 1]))
    if together > limits.VARIED_TOGETHER:
        return False, notice("counts-varied-together")
    return True, notice("counts-varied-apart")


def _fitted(key: str, tests: SlipTests, scatter: Scatter) -> ModelFit:
    used: list[SlipTest] = []
    left: Counter[str] = Counter()
    for piece in tests.pieces:
        why = _no_lesson(key, piece)
        if why:
            left[why] += 1
        else:
            used.append(piece)
    slips = sum(piece.unwound for piece in used)
    out = tuple(LeftOut(why=why, pieces=count) for why, count in sorted(left.items()))
    fitted = ModelFit(key=key, unwound=slips, held=len(used) - slips, left_out=out)
    if slips < limits.FEWEST_FAILURES:
        return replace(fitted, why_not=f"{slips} pieces unwound inside its range, {limits.FEWEST_FAILURES} are needed")
    needed = np.array([_needed(key, piece, scatter) for piece in used])
    try:
        result = fit(sample(needed, [p.unwound for p in used], [float(p.joints) for p in used]))
    except ValueError as problem:
        return replace(fitted, why_not=f"it cannot be fitted: {problem}")
    number = _number(key, result, used, scatter, tests)
    if number is None:
        return replace(fitted, why_not="these pieces unwound at loads that it would reach without any friction")
    return replace(fitted, friction=number)


def _compared(fits: tuple[ModelFit, ...], tests: SlipTests, scatter: Scatter) -> tuple[ModelFit, ...]:
    """The fits with what the tests say of the models themselves: one under which the loads are far less likely is dropped."""
    keys = [fit.key for fit in fits if fit.friction is not None]
    common = [piece for piece in tests.pieces if not any(_no_lesson(key, piece) for key in keys)]
    if len(keys) < 2 or sum(piece.unwound for piece in common) < limits.FEWEST_FAILURES:
        return fits
    likely: dict[str, float] = {}
    for key in keys:
        needed = np.array([_needed(key, piece, scatter) for piece in common])
        slopes = [_slope(key, piece, scatter) for piece in common if piece.unwound]
        try:
            result = fit(sample(needed, [p.unwound for p in common], [float(p.joints) for p in common]))
        except ValueError:
            return fits
        likely[key] = result.log_likelihood + float(np.log(slopes).sum())  # of the loads, not of the friction numbers
    best = max(likely.values())
    out = []
    for model_fit in fits:
        if model_fit.key not in likely:
            out.append(model_fit)
            continue
        gap = best - likely[model_fit.key]
        if gap > limits.SPEAKS_AGAINST:
            why = "the tests speak against it: their loads are far likelier under another model"
            out.append(replace(model_fit, friction=None, why_not=why, log_likelihood_behind=gap))
        else:
            out.append(replace(model_fit, log_likelihood_behind=gap))
    return tuple(out)


def _slope(key: str, piece: SlipTest, scatter: Scatter) -> float:
    """How fast the friction number rises with the load, at a piece's load."""
    step = 1e-5 * piece.load_share
    up, down = (replace(piece, load_share=piece.load_share + move) for move in (step, -step))
    return (_needed(key, up, scatter) - _needed(key, down, scatter)) / (2.0 * step)


def _no_lesson(key: str, piece: SlipTest) -> str:
    """Why a piece teaches nothing about a model's number; empty where it does."""
    if piece.turns == 0.0:
        return "no twist"
    if piece.wraps == 0.0:
        return "no barrel: its load does not tell the friction"
    return not_applicable_because(key, _grip(piece))


def _grip(piece: SlipTest) -> Grip:
    return Grip(
        turns=piece.turns, wraps=piece.wraps, lay_d=piece.lay_d, evenness=1.0, pitch_d=touching_pitch(), same_hand=True
    )


def _needed(key: str, piece: SlipTest, scatter: Scatter) -> float:
    hinge = sum(nominal_hinges(_grip(piece), scatter)) / 2.0
    return float(friction_needed(key, piece.load_share, hinge, piece.turns, piece.lay_d))


def _number(
    key: str, result: Fit, used: Sequence[SlipTest], scatter: Scatter, tests: SlipTests
) -> FrictionNumber | None:
    confidence = result.location_confidence
    quantiles = np.array([confidence.quantile(float(level)) for level in _LEVELS])
    value, (low, high) = confidence.quantile(0.5), confidence.interval(0.95)
    if value <= 0.0:
        return None
    spread = math.sqrt(max(result.scale_confidence.quantile(0.5) ** 2 - _known_spread(key, used, scatter) ** 2, 0.0))
    lays = [piece.lay_d for piece in used]
    return FrictionNumber(
        model=key,
        value=value,
        low=max(low, 0.0),
        high=high,
        scatter=max(spread / value, limits.LEAST_SCATTER),
        levels=tuple(float(level) for level in _LEVELS),
        quantiles=tuple(np.maximum(quantiles, 0.0).tolist()),
        lay_d=float(np.median(lays)),
        denominator=tests.denominator,
        source=f"fitted to {tests.place}",
    )


def _known_spread(key: str, used: Sequence[SlipTest], scatter: Scatter) -> float:
    """The part of the spread that flow stress and geometry make, which a study draws by itself."""
    slipped = [piece for piece in used if piece.unwound]
    draws = drawn(500, 0)
    spreads: list[float] = []
    for piece in slipped[:50]:
        joint = _grip(piece)
        hinge = hinges(joint, scatter, draws)
        turns, lay = scattered(joint, scatter, draws)
        values: Array = friction_needed(key, piece.load_share, hinge, np.maximum(turns, 1e-6), lay)
        spreads.append(float(values.std()))
    return float(np.sqrt(np.mean(np.square(spreads))))
