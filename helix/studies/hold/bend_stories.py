"""Why a bend at fault is one: three different stories, of the first bend, of the standing leg's exit, of the tag's exit.

Each is told of its own fault only. Words are in helix.output.words.story_words.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from helix.findings import Finding
from helix.geometry.joint.exits import mean_sine
from helix.mechanics import limits
from helix.mechanics.bends.first_bend import WIDEST_RAD, WIDEST_SPREAD_RAD, peeled_turns
from helix.mechanics.bends.hand_twist import hands_alike
from helix.mechanics.bends.straightening import HARDENING, straightened_share
from helix.model.joint.joint import build_joint
from helix.model.joint.joint_curves import gradual_plan
from helix.studies.hold.evidence.mended import make_right
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.places.bend_places import TAG_LEFT_RANGE, BreakPlace, places_of, throat_band
from helix.studies.judge import judge_held
from helix.values import Scalar, Values, result

FIRST_BEND: Final = ("steep-first-bend", "spread-throat", "tight-first-bend")
LEG_EXIT: Final = ("tight-leg-exit", "exit-overlaps")
TAG_EXIT: Final = ("steep-exit", "tight-exit")


@result
class BendStory:
    """Why one bend is at fault.

    code: "first-bend-wound", "first-bend-spread", "first-bend-edge", "leg-exit" or "tag-exit". of: code of the finding that
    it explains. grade: of the evidence, B closed form and simulation agree, C simulated only, D an argument only.
    """

    code: str
    of: str
    place: str
    grade: str
    values: Values

    def __getitem__(self, name: str) -> Scalar:
        return self.values[name]


def bend_stories(held: HoldResult) -> tuple[BendStory, ...]:
    """The stories of a joint's bends at fault, none for a sound one, in the order of the wire."""
    by_code = {finding.code: finding for finding in reversed(judge_held(held).findings)}
    stories: list[BendStory] = []
    first = next((by_code[code] for code in FIRST_BEND if code in by_code), None)
    if first is not None:
        stories.append(_edge(first) if first.code == "tight-first-bend" else _throat(held, first))
    leg, tag = (next((by_code[code] for code in codes if code in by_code), None) for codes in (LEG_EXIT, TAG_EXIT))
    if leg is not None:
        stories.append(_leg(held, leg, "exit-overlaps" in by_code))
    if tag is not None:
        stories.append(_tag(held, tag))
    return tuple(stories)


def _throat(held: HoldResult, finding: Finding) -> BendStory:
    """A first bend wider than the limit: wound so, it opens under load; spread afterwards, it does not break early."""
    joint, places = build_joint(held.recipe), _by_name(places_of(held.recipe))
    sizes, entry = joint.layout.sizes, places["entry_tag"]
    angle, twist = math.radians(float(finding["angle_deg"] or 0.0)), sizes.tag_throat.lay + sizes.standing_throat.lay
    common: dict[str, Scalar] = {
        "angle_deg": finding["angle_deg"],
        "limit_deg": finding["limit_deg"],
        "strain": finding["strain"],
        "strain_limit": limits.STRAIN_OK,
        "own_deg": math.degrees(twist),
        "peeled_turns": float(peeled_turns(0.5 * angle)),
    }
    if finding.code == "spread-throat":
        widest_deg = math.degrees(2.0 * WIDEST_SPREAD_RAD)
        return BendStory(
            code="first-bend-spread", of=finding.code, place="entry", grade="C",
            values=Values(**common, simulated_to_deg=widest_deg),
        )  # fmt: skip
    band = throat_band(entry, places["exit_standing"], np.array([HARDENING[1]]), np.array([_usual_flow(held)]))
    simulated = 0.5 * angle <= WIDEST_RAD * (1.0 + 1e-9)
    low, high = (
        (math.nan, math.nan) if band is None or not simulated else (float(edge[0]) * held.strength_n for edge in band)
    )
    exit_strain = places["exit_standing"].peak_strain or limits.STRAIN_OK
    return BendStory(
        code="first-bend-wound", of=finding.code, place="entry", grade="C",
        values=Values(
            **common,
            load_low_n=low,
            load_high_n=high,
            cost_most_n=high - low,
            free_deg=math.degrees(2.0 * math.asin(math.sqrt(min(exit_strain, limits.STRAIN_OK)))),
            hands_alike_deg=math.degrees(hands_alike(0.5 * angle)),
            hands_alike_own_deg=math.degrees(hands_alike(0.5 * min(twist, limits.ANGLE_LIMIT_RAD))),
        ),
    )  # fmt: skip


def _edge(finding: Finding) -> BendStory:
    """A first bend made over a sharp edge, whatever its angle."""
    values = Values(strain=finding["strain"], strain_limit=limits.STRAIN_OK, radius_d=finding["radius_d"])
    return BendStory(code="first-bend-edge", of=finding.code, place="entry", grade="D", values=values)


def _leg(held: HoldResult, finding: Finding, pushed: bool) -> BendStory:
    """The leg comes straight in too short a way, by itself or pushed by a tag that swings out too soon."""
    joint, leg = build_joint(held.recipe), _by_name(places_of(held.recipe))["exit_standing"]
    bend = next(place for place in held.breaks if place.place == "exit_standing")
    right = _by_name(places_of(make_right(held.recipe)))["exit_standing"]
    plan = gradual_plan(joint.layout, joint.diameter_mm)
    turns = sum(s.length * mean_sine(s.lay_from, s.lay_to) for s in plan.swings) / (2.0 * math.pi)
    return BendStory(
        code="leg-exit", of=finding.code, place="exit_standing", grade="B",
        values=Values(
            strain=leg.strain,
            strain_limit=limits.STRAIN_OK,
            peak_strain=leg.peak_strain,
            load_n=bend.load_n,
            right_n=held.strength_n * float(straightened_share(right.strain or 0.0, HARDENING[1])),
            pushed_by_tag=pushed,
            leg_d=plan.leg + plan.open_length,
            swing_turns=turns,
        ),
    )  # fmt: skip


def _tag(held: HoldResult, finding: Finding) -> BendStory:
    """A tag bent too hard: harder than the wrapping test in the making, with little to carry in the pull."""
    tag = _by_name(places_of(held.recipe))["exit_tag"]
    low, high = TAG_LEFT_RANGE
    return BendStory(
        code="tag-exit", of=finding.code, place="exit_tag", grade="C",
        values=Values(
            angle_deg=tag.visible_angle_deg,
            limit_deg=math.degrees(limits.ANGLE_LIMIT_RAD),
            strain=finding["strain"],
            strain_limit=limits.STRAIN_OK,
            radius_d=finding["radius_d"],
            carries=tag.share,
            carries_low=low,
            carries_high=high,
        ),
    )  # fmt: skip


def _usual_flow(held: HoldResult) -> float:
    return float(held.setting.scatter.flow[1])


def _by_name(places: tuple[BreakPlace, ...]) -> dict[str, BreakPlace]:
    return {place.name: place for place in places}
