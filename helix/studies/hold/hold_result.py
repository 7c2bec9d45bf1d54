"""The answer to "will it hold": what an estimate of one joint gives, as values."""

from __future__ import annotations

import math
from typing import ClassVar, Final

import helix
from helix.data.calibration import FrictionNumber
from helix.findings import Finding
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.evidence.deciding_test import DecidingTest
from helix.studies.hold.evidence.forecast import Forecast, Layer
from helix.studies.hold.evidence.wound_alike import OtherPieces
from helix.studies.hold.grip_models import Grip
from helix.studies.hold.hold_findings import hold_findings
from helix.studies.hold.outcome import Outcome, Setting, Verdict
from helix.studies.hold.pair.pair_hold import PairHold
from helix.values import Result, hidden, result

SCHEMA: Final = 5


@result
class Band:
    """Low, nominal, high; nan where nothing is estimated."""

    low: float
    nominal: float
    high: float

    @classmethod
    def of(cls, low: float, nominal: float = math.nan, high: float = math.nan) -> Band:
        """Three numbers in their order."""
        return cls(low=low, nominal=nominal, high=high)


@result
class WireStrength:
    """The straight wire: breaking load for weakest, nominal and strongest; its ductility as a reduction of area."""

    diameter_mm: float
    breaking_load_n: Band
    strength_mpa: Band
    ductility: Band
    rated_load_n: float | None


@result
class Probability:
    """Of unwinding, counted in draws, the mean over the models that apply; and of holding the rated load.

    low, high: 95 % limits of the counting alone. models_low, models_high: the least and the most that a model gives.
    holds_rated: None without a rated load or an estimate.
    """

    unwinds: float = math.nan
    low: float = math.nan
    high: float = math.nan
    models_low: float = math.nan
    models_high: float = math.nan
    holds_rated: float | None = None
    draws: int
    seed: int


@result
class ModelHold:
    """One model's answer in N; nan where it does not apply, and not_applicable_because says why.

    unwinds_at_n: 95 % of the pieces lie between low and high; infinite where it is locked. by_bending_n, by_torsion_n:
    the same without scatter, by how the barrel gives way. hold_n: the lesser of unwinding and breaking.
    """

    also: ClassVar = ("applicable",)
    key: str
    assumption: str
    friction: FrictionNumber | None
    not_applicable_because: str
    unwinds_at_n: Band
    by_bending_n: float
    by_torsion_n: float
    hold_n: float
    probability_unwinds: float

    @property
    def applicable(self) -> bool:
        """Whether the joint lies in its range."""
        return not self.not_applicable_because


@result
class BreakHold:
    """One place where the joint may break.

    load_n: joint load at which it breaks there in wire of nominal strength, at most the wire's own. odds_first: of the
    pieces that break, how often there first. grade: of the evidence, B closed form and simulation agree, C simulated
    only, D an argument only. load_proportion: of the load that passes; leaves: of the strength, 95 % of draws and middle.
    strain is None where parts overlap: no estimate.
    """

    place: str
    load_n: float
    odds_first: float
    grade: str
    load_proportion: float
    strain: float | None
    turn_deg: float | None
    leaves: Band
    s_mm: float


@result
class MadeRight:
    """The same joint made right, its counts kept: the load to plan with, the expected one, and whether it holds then."""

    plan_with_n: float
    expected_n: float
    verdict: Verdict

    @property
    def holds(self) -> bool:
        """Whether it does not unwind as often as not."""
        return self.verdict != "unwinds"


@result
class BarrelHold:
    """What the barrel holds if its first wrap uncoils by bending, or by torsion."""

    bending_n: float
    torsion_n: float


@result
class Evidence:
    """What the friction numbers were fitted to, how many joints of what kind that is, what it cannot say."""

    origin: str
    rests_on: str
    notes: tuple[Finding, ...] = hidden()


@result
class BrokeAt:
    """A joint that broke at a place: odds of breaking there first by the estimate, nan where there is none; what to look
    at, the most telling first. A caution is one that this joint shows, a note one to look for on the pieces."""

    place: str
    odds_first: float
    look_at: tuple[Finding, ...]


@result
class HoldResult(Result):
    """The answer for one recipe.

    plan_with_n: 19 of 20 pieces hold more; expected_n: their mean; hold_n: it between the 2.5 % and the 97.5 % of pieces.
    not_estimated: codes of what practice calls a fault and no model speaks of; then there is no load. load_withheld: code of the
    finding for which none is told, as pieces of another joint unwound and all that is known of this one is that it is no better. made_right: of the
    same joint without a fault, which none is said to better. layers: what each layer of evidence moved. bends_leave_n:
    what the places leave, as hold_n. models: all that could be asked; model: the governing one, the most conservative of those
    that apply. not_modelled: codes of what the models know nothing of in this joint, most of them those of findings of
    its shape. pair: of two wires worked as one, what they would hold and how stiff they are. outcome, forecast: what the draws gave.
    others_broke: whether own pieces of other joints in this wire broke. piece_plan_n: what 19 of 20 more whole pieces hold with such a joint
    at both ends, by own ones; nan where they do not say.
    """

    recipe: Recipe
    wire: WireStrength
    verdict: Verdict
    governs_place: str
    expected_n: float
    plan_with_n: float
    hold_n: Band
    not_estimated: tuple[str, ...]
    load_withheld: str | None = None
    made_right: MadeRight | None
    layers: tuple[Layer, ...]
    bends_leave_n: Band
    probability: Probability
    model: ModelHold | None
    models: tuple[ModelHold, ...]
    breaks: tuple[BreakHold, ...]
    barrel: BarrelHold
    throat_tension_proportion: float
    not_modelled: tuple[str, ...]
    evidence: Evidence
    deciding_tests: tuple[DecidingTest, ...]
    grip: Grip = hidden()
    setting: Setting = hidden()
    outcome: Outcome = hidden()
    forecast: Forecast | None = hidden()
    benchmark_n: float = hidden()
    other: OtherPieces | None = hidden(default=None)
    others_broke: bool = hidden(default=False)
    piece_plan_n: float = hidden(default=math.nan)
    turns_above: tuple[float, bool] | None = hidden(default=None)
    broke_at: BrokeAt | None = None
    pair: PairHold | None = None
    schema: int = SCHEMA
    version: str = helix.__version__

    @property
    def strength_n(self) -> float:
        """Nominal breaking load of the straight wire."""
        return self.wire.breaking_load_n.nominal

    @property
    def applicable(self) -> tuple[ModelHold, ...]:
        """The models in whose range the joint lies."""
        return tuple(model for model in self.models if model.applicable)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the estimate finds wrong: that it unwinds or may, breaks early, holds less than is asked, or is none."""
        right = None if self.made_right is None else self.made_right.verdict
        return tuple(
            hold_findings(
                self.recipe,
                self.grip,
                self.outcome,
                self.forecast,
                self.benchmark_n,
                right,
                self.other,
                self.turns_above,
            )
        )
