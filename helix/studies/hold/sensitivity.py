"""How the answer moves with one cause at a time, the largest first; what no model knows is listed and left empty."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, ClassVar, Final

from helix.data.calibration import Calibration, given_number
from helix.data.materials import materials, strength_mpa
from helix.data.practice import practice
from helix.errors import HelixError
from helix.geometry.twist.helices import lay_angle
from helix.model.joint.joint import checked_sizes
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.made_right import estimate, twins_of
from helix.studies.hold.outcome import Setting
from helix.values import Result, result

LAY_STEP_D: Final = 0.5
OVERBENT_DEG: Final = 100.0
Made = Callable[[], Recipe]


@result
class Answer:
    """hold_n: expected load; plan_with_n: what 19 of 20 pieces hold. nan where nothing is estimated."""

    hold_n: float
    plan_with_n: float
    probability_unwinds: float


@result
class Bar:
    """What one cause does to the answer, alone: its two values in words, and the answers there.

    note: what is said where no model knows the cause; both answers are None then.
    """

    cause: str
    low: str | None = None
    high: str | None = None
    at_low: Answer | None = None
    at_high: Answer | None = None
    note: str | None = None

    @property
    def moves(self) -> float:
        """How far the load that 19 of 20 hold moves [N]; 0 where nothing is known."""
        if self.at_low is None or self.at_high is None:
            return 0.0
        moved = abs(self.at_high.plan_with_n - self.at_low.plan_with_n)
        return 0.0 if math.isnan(moved) else moved


@result
class Sensitivities(Result):
    """The answer as it stands, and a bar for each cause, the one that moves it furthest first."""

    rows_in: ClassVar = "bars"
    now: Answer
    bars: tuple[Bar, ...]


def sensitivities(recipe: Recipe, setting: Setting) -> tuple[Answer, tuple[Bar, ...]]:
    """The answer as it stands, and a bar for each cause, the one that moves it furthest first."""
    bars = sorted(_known(recipe, setting), key=lambda bar: -bar.moves)
    return answer(recipe, setting), (*bars, *_unknown(recipe))


def answer(recipe: Recipe, setting: Setting, strength_n: float | None = None) -> Answer:
    """The answer for a recipe; strength_n in place of its nominal breaking load. Raises InfeasibleJointError."""
    estimated = estimate(twins_of(recipe), setting)
    coming = estimated.forecast
    if coming is None:
        return Answer(hold_n=math.nan, plan_with_n=math.nan, probability_unwinds=estimated.outcome.unwinds)
    k = 1.0 if strength_n is None else strength_n / recipe.wire.breaking_load_n[1]
    return Answer(
        hold_n=k * coming.expected_n, plan_with_n=k * coming.plan_with_n, probability_unwinds=coming.probability_unwinds
    )


def _known(recipe: Recipe, setting: Setting) -> Iterator[Bar]:
    scatter, d = setting.scatter, recipe.wire.diameter_mm
    base = answer(recipe, setting)

    def with_setting(cause: str, low: str, high: str, first: Setting, second: Setting) -> Bar:
        return Bar(cause=cause, low=low, high=high, at_low=answer(recipe, first), at_high=answer(recipe, second))

    def with_recipe(cause: str, low: str, high: str, first: Made, second: Made) -> Bar | None:
        try:
            at_low, at_high = answer(first(), setting), answer(second(), setting)
        except HelixError:
            return None  # one of the two cannot be made, or lies beyond its range
        return Bar(cause=cause, low=low, high=high, at_low=at_low, at_high=at_high)

    def twisted(**change: Any) -> Made:
        return lambda: recipe.variant(twist=replace(recipe.twist, length_mm=None, **change))

    yield with_setting(
        "friction number, its 95 % interval", "low", "high", _frictions(setting, "low"), _frictions(setting, "high")
    )
    low, _, high = scatter.flow
    yield with_setting(
        "flow stress over strength",
        f"{low:g}",
        f"{high:g}",
        replace(setting, scatter=replace(scatter, flow=(low,) * 3)),
        replace(setting, scatter=replace(scatter, flow=(high,) * 3)),
    )
    yield with_setting(
        "how the barrel gives way",
        "torsion",
        "bending",
        replace(setting, mechanism="torsion"),
        replace(setting, mechanism="bending"),
    )
    area = practice().scatter.reduction_of_area
    yield with_setting(
        "ductility, reduction of area",
        f"{area[0]:g}",
        f"{area[2]:g}",
        replace(setting, ductility=(area[0],) * 3),
        replace(setting, ductility=(area[2],) * 3),
    )
    yield with_setting(
        "wire at the pin",
        "turns with it",
        "slides round it",
        replace(setting, sliding_rad=0.0),
        replace(setting, sliding_rad=math.pi),
    )
    weak, usual, strong = recipe.wire.breaking_load_n
    at_low, at_high = _scaled(base, weak / usual, strong / usual)
    yield Bar(cause="strength of this material", low="lowest", high="highest", at_low=at_low, at_high=at_high)
    other = _other_materials(recipe)
    if other:
        (poor, poor_n), (best, best_n) = other
        at_low, at_high = _scaled(base, poor_n / usual, best_n / usual)
        yield Bar(cause="material, size kept", low=poor, high=best, at_low=at_low, at_high=at_high)
    twist = recipe.twist
    if twist.turns:
        lay = checked_sizes(recipe).lay
        ends = (max(lay - LAY_STEP_D, math.pi), lay + LAY_STEP_D)
        words = [f"{math.degrees(lay_angle(0.5, lay)):.0f} deg ({lay:.2g} d)" for lay in ends]
        made = [twisted(lay_mm=lay * d) for lay in ends]
        bar = with_recipe("lay angle (lay)", words[1], words[0], made[1], made[0])
        if bar:
            yield bar
        if twist.turns > 1.0:
            fewer, more = twist.turns - 1.0, twist.turns + 1.0
            bar = with_recipe("turns", f"{fewer:g}", f"{more:g}", twisted(turns=fewer), twisted(turns=more))
            if bar:
                yield bar
        if recipe.barrel.wraps:
            plain = replace(recipe.exit, style="gradual", leg_mm=None, swing_turns=None, peak_angle_rad=None)
            over = replace(plain, peak_angle_rad=math.radians(OVERBENT_DEG))
            bar = with_recipe(
                "exit bend", f"bent to {OVERBENT_DEG:.0f} deg", "gradual",
                lambda: recipe.variant(exit=over), lambda: recipe.variant(exit=plain),
            )  # fmt: skip
            if bar:
                yield bar


def _unknown(recipe: Recipe) -> Iterator[Bar]:
    saying = practice().saying
    for cause, key in (
        ("number of wraps", "wraps"),
        ("evenness of the twist", "evenness"),
        ("hand of the barrel", "hand"),
        ("size of the wire", "size"),
    ):
        yield Bar(cause=cause, note=f"no model, {saying(key)}")


def _frictions(setting: Setting, end: str) -> Setting:
    """The setting with every friction number at one end of its interval."""
    old = setting.calibration
    numbers = {
        key: given_number(key, number.low if end == "low" else number.high, number.scatter)
        for key, number in old.numbers.items()
    }
    return replace(
        setting, calibration=Calibration(numbers=numbers, origin=old.origin, evidence=old.evidence, notes=old.notes)
    )


def _scaled(base: Answer, low: float, high: float) -> tuple[Answer, Answer]:
    """The answers for a weaker and a stronger wire: every load scales with the strength, the chance does not."""
    first, second = (replace(base, hold_n=base.hold_n * k, plan_with_n=base.plan_with_n * k) for k in (low, high))
    return first, second


def _other_materials(recipe: Recipe) -> tuple[tuple[str, float], tuple[str, float]] | None:
    """The weakest and the strongest material known at this diameter, with nominal breaking loads."""
    others = []
    for material in materials():
        try:
            others.append((material.name, strength_mpa(material.name, recipe.wire.diameter_mm).nominal))
        except ValueError:
            continue
    if len(others) < 2:
        return None
    area = recipe.wire.area_mm2
    others.sort(key=lambda other: other[1])
    return (others[0][0], others[0][1] * area), (others[-1][0], others[-1][1] * area)
