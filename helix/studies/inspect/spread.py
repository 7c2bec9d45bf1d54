"""What small errors do to a joint: cut length, finished length and verdicts, by derivatives and by random trials."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import ClassVar

import numpy as np

import helix
from helix.errors import InfeasibleJointError, IssuePath, ValidationError, ValidationIssue
from helix.findings import Finding, Severity
from helix.geometry.twist.worked_wires import strand_lay_angle
from helix.mechanics import limits
from helix.model.joint.joint import Joint, build_joint
from helix.model.recipe.recipe_keys import TABLES
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.fits.response import Floats
from helix.studies.inspect.spread_model import Input, Moved, SpreadModel
from helix.studies.shape.bends import BENDS
from helix.values import Result, hidden, keyed, result

SCHEMA = 2
DRAWS = 10_000
SEED = 0
CHECKS = 6  # random points at which the table is compared with exact builds
STEPS = (Severity.OK, Severity.CAUTION, Severity.SHARP)
_SLACK = 1e-9


@result
class Steps:
    """Plus or minus of sizes: angles [deg], lengths [mm], counts [turns].

    own: lay, pin, gaps, swing, counts, stub and handle by the recipe's own tolerances instead.
    """

    angle_deg: float = 1.0
    length_mm: float = 0.1
    turn: float = 0.25
    own: bool = False


@result
class Effect:
    """What one input does when it alone is off: change for one step by the first derivative, and standard
    deviation over random draws. cut, finished [mm]; strain: of the four bends."""

    also: ClassVar = (
        "name=input.name",
        "step=input.step",
        "unit=input.unit",
        "only_grows=input.upward",
        "cut_sd_derivative_mm",
        "finished_sd_derivative_mm",
    )
    input: Input = hidden()
    cut_slope_mm: float = keyed("cut_per_step_mm")
    cut_sd_mm: float = keyed("cut_sd_trials_mm")
    finished_slope_mm: float = keyed("finished_per_step_mm")
    finished_sd_mm: float = keyed("finished_sd_trials_mm")
    strain_slope: tuple[float, ...] = keyed("strain_per_step")
    strain_sd: tuple[float, ...] = keyed("strain_sd_trials")

    @property
    def cut_sd_derivative_mm(self) -> float:
        """Standard deviation of the cut by the first derivative."""
        return self._slope_sd(self.cut_slope_mm)

    @property
    def finished_sd_derivative_mm(self) -> float:
        """Standard deviation of the finished length by the first derivative."""
        return self._slope_sd(self.finished_slope_mm)

    def _slope_sd(self, slope: float) -> float:
        """By the first derivative, the error uniform within its step."""
        return abs(slope) / math.sqrt(3.0) / (2.0 if self.input.upward else 1.0)


@result
class Total:
    """All inputs off at once. nominal; sd by derivatives (root of the sum of squares); mean, sd and 95 %
    limits over random draws [mm]."""

    nominal_mm: float
    slope_sd_mm: float = keyed("sd_derivative_mm")
    mean_mm: float = keyed("mean_trials_mm")
    sd_mm: float = keyed("sd_trials_mm")
    low_mm: float
    high_mm: float


@result
class Proportions:
    """Of the draws, those whose bend is ok, caution and sharp."""

    ok: float
    caution: float
    sharp: float


@result
class BendSpread:
    """One bend: how severe as stated; strain as stated, its standard deviation both ways;
    verdicts of the draws, by random trials and with the first derivatives in their place."""

    name: str
    severity: Severity
    strain: float
    strain_slope_sd: float = keyed("strain_sd_derivative")
    strain_sd: float = keyed("strain_sd_trials")
    trials: Proportions = keyed("proportions_trials")
    derivative: Proportions = keyed("proportions_derivative")


@result
class Check:
    """Largest difference of the table from exact builds at random points: cut, finished [mm], strain."""

    points: int
    cut_mm: float
    finished_mm: float
    strain: float


@result
class SpreadResult(Result):
    """The answer for one recipe and its steps. builds: exact joints built; overlaps: the exit as stated. of_hold: what is found of the
    joint's hold where own pieces decide it; None where the usual estimate does."""

    rows_in: ClassVar = "effects"
    recipe: Recipe
    steps: Steps
    effects: tuple[Effect, ...] = keyed("inputs")
    cut: Total
    finished: Total
    bends: tuple[BendSpread, ...]
    check: Check
    draws: int
    seed: int
    builds: int
    overlaps: bool = hidden()
    of_hold: tuple[Finding, ...] | None = hidden(default=None)
    schema: int = SCHEMA
    version: str = helix.__version__


def spread(
    recipe: Recipe,
    steps: Steps | None = None,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    on_output: Callable[[str], None] = lambda _: None,
) -> SpreadResult:
    """What errors of one step do, input by input and all at once.

    draws: 100 to 1,000,000 random trials, the same for the same seed; tell: is told what is going on.
    Raises InfeasibleJointError where the joint, or one with a step of error, cannot exist, and ValueError for draws
    outside these.
    """
    if not 100 <= draws <= 1_000_000:
        raise ValueError(f"draws must be from 100 to 1000000; got {draws}")
    steps = steps or Steps()
    inputs = inputs_of(recipe, build_joint(recipe), steps)
    _refuse_nothing_left(recipe, inputs)
    _refuse_too_many(recipe, inputs)
    model = SpreadModel(recipe, inputs)
    k = len(inputs)
    on_output("building the joint with every error in turn ...")
    rest = _fitted(model)
    rng = np.random.default_rng(seed)
    upward = np.array([quantity.upward for quantity in inputs])
    z = _drawn(rng, draws, upward)
    base = model.many(np.zeros((1, k)))
    slopes = _slopes(model, rest, k)
    together, linear = model.many(z), _linear(base, slopes, z)
    effects = []
    for i, quantity in enumerate(inputs):
        alone = np.zeros_like(z)
        alone[:, i] = z[:, i]
        moved = model.many(alone)
        effects.append(
            Effect(
                input=quantity,
                cut_slope_mm=float(slopes.cut_mm[i]),
                cut_sd_mm=float(moved.cut_mm.std()),
                finished_slope_mm=float(slopes.finished_mm[i]),
                finished_sd_mm=float(moved.finished_mm.std()),
                strain_slope=tuple(float(v) for v in slopes.strain[i]),
                strain_sd=tuple(float(v) for v in moved.strain.std(axis=0)),
            )
        )
    check = _check(model, rng, upward)
    return SpreadResult(
        recipe=recipe,
        steps=steps,
        effects=tuple(effects),
        cut=_total(base.cut_mm, slopes.cut_mm, together.cut_mm, upward),
        finished=_total(base.finished_mm, slopes.finished_mm, together.finished_mm, upward),
        bends=_bends(model.joint, base, slopes, together, linear, upward),
        check=check,
        draws=draws,
        seed=seed,
        builds=model.builds,
        overlaps=model.joint.layout.planned.overlaps,
    )


def inputs_of(recipe: Recipe, joint: Joint, steps: Steps) -> tuple[Input, ...]:
    """The inputs of a recipe that can be off, each with its step."""
    sizes, plan, slack = joint.layout.sizes, joint.layout.planned.plan, recipe.tolerance
    d, own = joint.diameter_mm, steps.own
    touching = sizes.pitch <= sizes.touching_pitch * (1.0 + 1e-9)
    lay_step = math.degrees(slack.lay_mm * math.pi * d / ((math.pi * d) ** 2 + recipe.twist.lay_mm**2))
    if sizes.count > 1:
        near = (sizes.lay, sizes.lay + sizes.lay_slack)
        lay_step = math.degrees(strand_lay_angle(near[0], sizes.count) - strand_lay_angle(near[1], sizes.count))
    quantities = []
    if sizes.turns:
        quantities.append(Input(name="lay angle", step=lay_step if own else steps.angle_deg, unit="deg"))
        quantities.append(Input(name="throat", step=steps.angle_deg, unit="deg"))
    if len(plan.swings) > 1:
        quantities.append(Input(name="peak angle", step=steps.angle_deg, unit="deg"))
    quantities.append(Input(name="pin", step=slack.pin_mm if own else steps.length_mm, unit="mm"))
    if sizes.wraps:
        quantities.append(
            Input(
                name="gap between wraps", step=slack.wrap_gap_mm if own else steps.length_mm, unit="mm", upward=touching
            )
        )
    if plan.leg:
        quantities.append(Input(name="exit leg", step=steps.length_mm, unit="mm"))
    if plan.swings:
        quantities.append(Input(name="swing", step=slack.swing_turns if own else steps.turn, unit="turns"))
    if sizes.turns:
        quantities.append(Input(name="turns", step=slack.turns if own else steps.turn, unit="turns"))
    if sizes.wraps:
        quantities.append(Input(name="wraps", step=slack.wraps if own else steps.turn, unit="turns"))
    quantities.append(Input(name="stub", step=slack.stub_mm if own else steps.length_mm, unit="mm"))
    quantities.append(Input(name="handle", step=slack.handle_mm if own else steps.length_mm, unit="mm"))
    return tuple(quantity for quantity in quantities if quantity.step > 0.0)


def _refuse_nothing_left(recipe: Recipe, inputs: tuple[Input, ...]) -> None:
    """Raise InfeasibleJointError where errors may take all turns and all wraps away."""
    off = {quantity.name: quantity.step for quantity in inputs}
    least = max(recipe.twist.turns - off.get("turns", 0.0), recipe.barrel.wraps - off.get("wraps", 0.0))
    if least <= 0.0:
        place = IssuePath(file=recipe.place, table=("twist",), key="turns")
        message = "with errors of this size the joint cannot exist: no turns and no wraps may be left"
        raise InfeasibleJointError.at(place, message)


def _refuse_too_many(recipe: Recipe, inputs: tuple[Input, ...]) -> None:
    """Raise InfeasibleJointError where errors may lead to more turns or wraps than are computed."""
    off = {quantity.name: quantity.step for quantity in inputs}
    for table, name, count in (("twist", "turns", recipe.twist.turns), ("barrel", "wraps", recipe.barrel.wraps)):
        most = next(key.limits.high for key in TABLES[table] if key.name == name and key.limits)
        if count + off.get(name, 0.0) > most:
            place = IssuePath(file=recipe.place, table=(table,), key=name)
            message = (
                f"with errors of this size there may be {count + off[name]:g} {name}, and more than {most:g} are not "
                f"computed: at most {most - off[name]:g} can be spread"
            )
            raise InfeasibleJointError.at(place, message)


def _fitted(model: SpreadModel) -> Floats:
    """The first derivatives of the rest, the model fitted; says so where an error makes a joint that cannot exist."""
    try:
        model.fit()
        return model.slopes()
    except ValidationError as problem:
        raise InfeasibleJointError(
            ValidationIssue(fault.place, f"with errors of this size the joint cannot exist: {fault.message}")
            for fault in problem.faults
        ) from problem


def _drawn(rng: np.random.Generator, count: int, upward: np.ndarray) -> Floats:
    """Random points within a step either way, or upward only (count, k)."""
    z = rng.uniform(-1.0, 1.0, (count, len(upward)))
    z[:, upward] = np.abs(z[:, upward])
    return z


def _slopes(model: SpreadModel, rest: Floats, k: int) -> Moved:
    """First derivatives of every output, for one step of each input: rows are inputs."""
    small = 1e-5
    more, less = model.near(small * np.eye(k), rest), model.near(-small * np.eye(k), rest)

    def slope(a: Floats, b: Floats) -> Floats:
        return (a - b) / (2.0 * small)

    return Moved(
        cut_mm=slope(more.cut_mm, less.cut_mm),
        finished_mm=slope(more.finished_mm, less.finished_mm),
        strain=slope(more.strain, less.strain),
        peak=slope(more.peak, less.peak),
        first_deg=slope(more.first_deg, less.first_deg),
        exit_deg=slope(more.exit_deg, less.exit_deg),
    )


def _linear(base: Moved, slopes: Moved, z: Floats) -> Moved:
    """Outputs at many points by the first derivatives alone."""
    return Moved(
        cut_mm=base.cut_mm + z @ slopes.cut_mm,
        finished_mm=base.finished_mm + z @ slopes.finished_mm,
        strain=base.strain + z @ slopes.strain,
        peak=base.peak + z @ slopes.peak,
        first_deg=base.first_deg + z @ slopes.first_deg,
        exit_deg=base.exit_deg + z @ slopes.exit_deg,
    )


def _total(base: Floats, slopes: Floats, drawn: Floats, upward: np.ndarray) -> Total:
    low, high = (float(v) for v in np.percentile(drawn, [2.5, 97.5]))
    return Total(
        nominal_mm=float(base[0]),
        slope_sd_mm=_rss(slopes, upward),
        mean_mm=float(drawn.mean()),
        sd_mm=float(drawn.std()),
        low_mm=low,
        high_mm=high,
    )


def _rss(slopes: Floats, upward: np.ndarray) -> float:
    """Standard deviation by first derivatives, each error uniform within its step."""
    own = np.where(upward, 1.0, 2.0) / math.sqrt(12.0)
    return float(np.sqrt(np.sum((slopes * own) ** 2)))


def _verdicts(joint: Joint, moved: Moved) -> np.ndarray:
    """The severity of the four bends at every point (n, 4)."""
    verdicts = np.zeros(moved.strain.shape, dtype=int)
    verdicts[moved.strain > limits.STRAIN_OK + _SLACK] = Severity.CAUTION
    verdicts[moved.peak / 2.0 > limits.STRAIN_CAUTION] = Severity.CAUTION
    verdicts[moved.strain > limits.STRAIN_CAUTION + _SLACK] = Severity.SHARP
    limit = math.degrees(limits.ANGLE_LIMIT_RAD) + 1e-6
    verdicts[moved.first_deg > limit, :2] = Severity.SHARP
    verdicts[moved.exit_deg > limit, 3] = Severity.SHARP
    sizes = joint.layout.sizes
    if sizes.barrel_sign < 0.0 and sizes.wraps:
        verdicts[:, 3] = np.maximum(verdicts[:, 3], Severity.CAUTION)
    if joint.layout.planned.overlaps:
        verdicts[:, 3] = Severity.SHARP
    if not sizes.turns:
        verdicts[:, [0, 2]] = Severity.OK
    return verdicts


def _bends(
    joint: Joint, base: Moved, slopes: Moved, drawn: Moved, linear: Moved, upward: np.ndarray
) -> tuple[BendSpread, ...]:
    stated, random, straight = (_verdicts(joint, draw) for draw in (base, drawn, linear))
    rows = []
    for k, name in enumerate(BENDS):
        if base.peak[0, k] <= 0.0 and base.strain[0, k] <= 0.0:
            continue
        rows.append(
            BendSpread(
                name=name,
                severity=Severity(int(stated[0, k])),
                strain=float(base.strain[0, k]),
                strain_slope_sd=_rss(slopes.strain[:, k], upward),
                strain_sd=float(drawn.strain[:, k].std()),
                trials=_proportions(random[:, k]),
                derivative=_proportions(straight[:, k]),
            )
        )
    return tuple(rows)


def _proportions(verdicts: np.ndarray) -> Proportions:
    ok, caution, sharp = (float(np.mean(verdicts == severity)) for severity in STEPS)
    return Proportions(ok=ok, caution=caution, sharp=sharp)


def _check(model: SpreadModel, rng: np.random.Generator, upward: np.ndarray) -> Check:
    """How far the table is off exact builds, at points drawn as the trials are."""
    z = _drawn(rng, CHECKS, upward)
    quick = model.many(z)
    worst = np.zeros(3)
    for k in range(CHECKS):
        exact = model.exact(z[k])
        off = (
            abs(float(exact.cut_mm[0] - quick.cut_mm[k])),
            abs(float(exact.finished_mm[0] - quick.finished_mm[k])),
            float(np.abs(exact.strain[0] - quick.strain[k]).max()),
        )
        worst = np.maximum(worst, off)
    cut, finished, strain = worst.tolist()
    return Check(points=CHECKS, cut_mm=cut, finished_mm=finished, strain=strain)
