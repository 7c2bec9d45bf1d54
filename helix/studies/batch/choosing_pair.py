"""Two thinner wires worked as one in place of one: the lightest pair whose joint would hold a load with a margin."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import ClassVar, Final

from helix.findings import Judgement
from helix.mechanics import limits
from helix.model.joint.joint import Joint, build_joint
from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_keys import MOST_WRAPS_OF_TWO
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold_with
from helix.studies.hold.pair.pair_hold import two_wires_of
from helix.studies.hold.pair.pair_load import PairLoad, pair_load
from helix.studies.hold.pair.pair_stiffness import PairStiffness
from helix.studies.judge import judge_held
from helix.studies.shape.joint_sizes import barrel_diameter_mm, finished_mm, twist_diameter_mm
from helix.values import hidden, keyed, result

_MOST_TRIED: Final = 40


@result
class PairChoice:
    """Two such wires worked as one, should four strands not unwind, which no model says.

    holds_n: to plan with, the two equal to within `load.most_slack_mm` over a piece; margin: that over the load; kg_per_m: of both; one: what
    is estimated of one wire's joint. joint: of the two; finished_mm: its length from eye to last wrap; piece_mm: of both wires, to cut for a piece.
    """

    also: ClassVar = (
        "size=wire.size",
        "diameter_mm=wire.diameter_mm",
        "material=wire.material",
        "judgement=of_one",
        "expected_n=load.expected_n",
        "reckoned_n=load.reckoned_n",
        "most_slack_mm=load.most_slack_mm",
        "stiffness_n_mm2=stiffness.pair.stiffness_n_mm2",
        "twist_diameter_mm",
        "barrel_diameter_mm",
    )
    wire: Wire = hidden()
    one: HoldResult = hidden()
    load: PairLoad = hidden()
    stiffness: PairStiffness = hidden()
    joint: Joint = hidden()
    finished_mm: float = keyed("joint_length_mm")
    holds_n: float
    margin: float
    kg_per_m: float
    piece_mm: float = keyed("piece_wire_mm")

    @property
    def of_one(self) -> Judgement:
        """The verdict on the same joint in one of the wires: what is wrong with its recipe is wrong with that of two."""
        return judge_held(self.one)

    @property
    def twist_diameter_mm(self) -> float | None:
        """Outside diameter of the twist of four strands, None where there is none."""
        return twist_diameter_mm(self.joint)

    @property
    def barrel_diameter_mm(self) -> float | None:
        """Outside diameter of the barrel where it is widest, None where there is none."""
        return barrel_diameter_mm(self.joint)


def lightest_pair(
    wires: Sequence[Wire],
    load_n: float,
    margin: float,
    piece_length_mm: float,
    held: Callable[[Wire], HoldResult | None],
    kg_per_m: Callable[[Wire], float],
) -> PairChoice | None:
    """The first of the wires, lightest first, of which two hold the load with the margin; None where none is found.

    held: what is estimated of one wire's joint, None where it cannot be made.
    """
    strong = [wire for wire in wires if 2.0 * (1.0 - limits.PAIR_LOSS) * wire.breaking_load_n[0] >= load_n * margin]
    for wire in strong[:_MOST_TRIED]:
        one = held(wire)
        if one is None or one.forecast is None or one.recipe.barrel.wraps > MOST_WRAPS_OF_TWO:
            continue
        if pair_load(wire, one.forecast.pieces_n, piece_length_mm).plan_with_n < load_n * margin:
            continue
        two = hold_with(two_wires_of(one.recipe), replace(one.setting, free_length_mm=piece_length_mm))
        if two.pair is None or two.pair.load is None or two.pair.load.plan_with_n < load_n * margin:
            continue
        joint, holds_n = build_joint(two.recipe), two.pair.load.plan_with_n
        length = finished_mm(joint)
        return PairChoice(
            wire=wire,
            one=one,
            load=two.pair.load,
            stiffness=two.pair.stiffness,
            joint=joint,
            finished_mm=length,
            holds_n=holds_n,
            margin=holds_n / load_n,
            kg_per_m=2.0 * kg_per_m(wire),
            piece_mm=piece_mm(joint, piece_length_mm, length),
        )
    return None


def piece_mm(joint: Joint, piece_length_mm: float, finished: float) -> float:
    """Wire to cut for a piece with a joint at each end, of all its wires [mm]. finished: length of the joint from the eye to the last wrap."""
    straight = max(piece_length_mm - 2.0 * (finished - 0.5 * joint.diameter_mm), 0.0)
    own = (wire.wire_mm - wire.section_mm("standing") for wire in joint.wires)
    return sum(straight + 2.0 * (each + joint.recipe.finish.handle_mm) for each in own)
