"""Inspecting a joint that was made: from caliper readings to its sizes, its recipe as made, and a verdict."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from helix.errors import ConvergenceError, ValidationError
from helix.findings import Finding, Judgement, Severity, judgement_of
from helix.mechanics import limits
from helix.model.joint.joint_curves import sizes_of
from helix.model.measured.readings import Reading
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.fits.least_squares import Estimate, Floats, derivatives
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.inspect.beside import undrawn_of
from helix.studies.inspect.inspection_result import CountedTo, Inspection, Sized, Undrawn
from helix.studies.inspect.made_checks import Inconsistency, doubts_of
from helix.studies.inspect.made_exit import exit_to_length
from helix.studies.inspect.made_joint import (
    VALUES,
    WIRE_SD,
    Lengths,
    barrel_pitch_mm,
    derived,
    finished_slack,
    lengths_of,
    read_made,
)
from helix.studies.inspect.made_load import held_of, load_lost, own_of_made, without_load
from helix.studies.inspect.seen import Transition, counted_as_recipe, seen_recipe, transition_in, transition_of
from helix.studies.judge import judge_shaped
from helix.studies.shape.shape import ShapeResult, shape
from helix.values import Values, result

CONFIDENCE = 0.95
"""Half an interval over its standard deviation: 1 % outside each, so that five of them hold together in 95 of 100."""

_MOST_ROUNDS = 3
_SAME_TURNS = 0.05  # a transition is known as near as this
_NEAR = 0.003  # the lengths of eye and exit hold for sizes as near as this share


@result
class Found:
    """What the readings say, before the made joint is shaped."""

    estimate: Estimate
    sizes: Mapping[str, Sized]
    made: Recipe | None
    doubts: tuple[Inconsistency, ...]


def found_of(recipe: Recipe, readings: Mapping[str, Reading]) -> Found:
    """The made joint's sizes, its recipe as made where one can exist, and what is doubtful.

    Raises InfeasibleJointError where the recipe's own joint cannot exist, ConvergenceError where the readings lead nowhere.
    """
    lengths = lengths_of(recipe)
    wanted = lengths.whole(recipe)
    estimate = read_made(recipe, readings, lengths)
    doubts = doubts_of(recipe, readings, estimate, lengths)
    made, shaped_as = None, (recipe.eye.throat_rad, recipe.exit.peak_angle_rad)
    if not any(inconsistency.impossible for inconsistency in doubts):
        try:
            for _ in range(_MOST_ROUNDS):  # the lengths of eye and exit, about the joint that was made
                made = made_recipe(recipe, readings, estimate)
                now = np.array([made.wire.diameter_mm, made.twist.lay_mm, made.eye.pin_mm])
                angles = (made.eye.throat_rad, made.exit.peak_angle_rad)
                if angles == shaped_as and np.all(np.abs(now / lengths.at - 1.0) < _NEAR):
                    break
                lengths, shaped_as = lengths_of(made), angles
                estimate = read_made(recipe, readings, lengths)
            made = made_recipe(recipe, readings, estimate)
        except ValidationError as problem:
            doubts, made = (*doubts, _no_joint(problem)), None
    if made is not None and not estimate.settled:
        raise ConvergenceError(
            "the search for the sizes behind these readings did not converge: the readings contradict each other; leave out what is least "
            "sure, or give it a wider uncertainty"
        )
    return Found(
        estimate=estimate,
        sizes=_sizes(recipe, readings, estimate, lengths, wanted, made is not None),
        made=made,
        doubts=doubts,
    )


def found_to_tag(recipe: Recipe, readings: Mapping[str, Reading]) -> Found:
    """`found_of` for counts to where the tag leaves; a tighter twist takes more of them to leave, so the joint that is
    found says how many. Raises as `inspect`."""
    between = transition_of(recipe)
    before: tuple[float, float] | None = None
    found = found_of(recipe, counted_as_recipe(readings, between))
    for _ in range(_MOST_ROUNDS):
        if found.made is None:
            break
        try:
            own = transition_of(found.made)
            part, miss = between.twist_turns, own.twist_turns - between.twist_turns
            if abs(miss) < _SAME_TURNS:
                break
            # by secants: a tight twist's transition grows faster than the turns that it takes from
            slope = -1.0 if before is None or miss == before[1] else (miss - before[1]) / (part - before[0])
            between, before = replace(own, twist_turns=max(part - miss / min(slope, -1.0), 0.0)), (part, miss)
            counted = counted_as_recipe(readings, between, None)
        except ValidationError:  # no joint, or one that leaves none of the counts: the last one stays
            break
        found = found_of(recipe, counted)
    return found_of(recipe, counted_as_recipe(readings, between)) if before else found


def inspect(
    recipe: Recipe, readings: Mapping[str, Reading], counted_to: CountedTo = "twist", own: OwnPulls | None = None
) -> Inspection:
    """The made joint behind the readings of it; `recipe` is the one that was to be made. own: pieces of the recipe's joint, which
    decide of one that was made so.

    Whatever is not read is taken from the recipe within its tolerances. counted_to: "tag" where turns were counted to
    where the tag leaves the twist, and wraps from there. Raises InfeasibleJointError where the recipe's own joint cannot
    exist, ValidationError for counts that are less than what lies between.
    """
    estimate = found_to_tag(recipe, readings) if counted_to == "tag" else found_of(recipe, readings)
    sizes, made, doubts = estimate.sizes, estimate.made, estimate.doubts
    shaped, plain = None, made
    undrawn: tuple[Undrawn, ...] = ()
    if made is not None:
        try:
            if "length" in readings or "outside_length" in readings:
                made = exit_to_length(made, sizes["finished"].value)
            shaped = shape(made)
            undrawn = undrawn_of(shaped, readings, counted_to == "twist")
        except ValidationError as problem:
            doubts, made = (*doubts, _no_joint(problem)), None
    held = intended = load = None
    of_readings = tuple(_findings(recipe, sizes, doubts, shaped is not None))
    judgement = judgement_of(of_readings)
    if shaped is not None and made is not None:
        held, intended = held_of(made, own_of_made(recipe, made, own)), held_of(recipe, own)
        judgement = judge_shaped(shaped, held)
        past = _past_square(shaped, readings)
        if past is not None:
            judgement = judgement_of((past, *judgement.findings))
            held = None if held is None else without_load(held, past.code)
        judgement = _advised(judgement, recipe)
        load = load_lost(held, intended, judgement)
    v = dict(zip(VALUES, estimate.estimate.values, strict=True))
    return Inspection(
        recipe=recipe,
        readings=dict(readings),
        estimate=estimate.estimate,
        wire_mm=sizes["wire"],
        lay_mm=sizes["lay"],
        lay_rad=sizes["angle"],
        gap_mm=sizes["gap"],
        evenness=sizes["evenness"],
        pin_mm=sizes["pin"],
        turns=float(v["turns"]),
        wraps=float(v["wraps"]),
        finished_mm=sizes.get("finished") if made is not None else None,
        made=made,
        shaped=shaped,
        doubts=doubts,
        judgement=judgement,
        of_readings=of_readings,
        load=load,
        undrawn=undrawn,
        between=_between(recipe, plain, shaped, counted_to),
        held=held,
        intended=intended,
        counted_to=counted_to,
    )


def _between(recipe: Recipe, plain: Recipe | None, shaped: ShapeResult | None, counted_to: CountedTo) -> Transition:
    """What lies between the made joint's turns and wraps; by the exit that they were counted with, where they were to the tag."""
    if shaped is None or plain is None:
        return transition_of(recipe)
    return transition_of(plain) if counted_to == "tag" else transition_in(shaped.joint)


def _advised(judgement: Judgement, recipe: Recipe) -> Judgement:
    """The same with the twist's own angle of the joint that is to be made, not of the lay that was: it is for the next one."""
    throats = sizes_of(recipe).tag_throat, sizes_of(recipe).standing_throat
    own = Values(own_deg=math.degrees(sum(throat.lay for throat in throats)))
    return judgement_of(
        replace(finding, values=Values(**{**finding.values, **own})) if "own_deg" in finding.values else finding
        for finding in judgement.findings
    )


def _past_square(shaped: ShapeResult, readings: Mapping[str, Reading]) -> Finding | None:
    """An exit of two wires worked as one that was seen past square, which their shape cannot have; None where there is none."""
    out = readings.get("exit")
    if out is None or shaped.recipe.wire.count == 1 or out.value <= math.degrees(limits.ANGLE_LIMIT_RAD):
        return None
    strain = next((bend.strain for bend in shaped.bends if bend.name == "exit_tag"), 0.0)
    values = Values(
        strain=strain,
        strain_limit=limits.STRAIN_OK,
        radius_d=None,
        angle_deg=out.value,
        limit_deg=math.degrees(limits.ANGLE_LIMIT_RAD),
    )
    return Finding(
        code="steep-exit", severity=Severity.SHARP, place="exit_tag", values=values, remedy="not-past-square"
    )


def _no_joint(problem: ValidationError) -> Inconsistency:
    """No joint can be built from what was read."""
    causes = "; ".join(fault.message for fault in problem.faults)
    return Inconsistency(name="readings", code="no-joint", values=Values(causes=causes))


def made_recipe(recipe: Recipe, readings: Mapping[str, Reading], estimate: Estimate) -> Recipe:
    """The recipe with what was read in it. Where the readings cannot tell evenness or pitch from the recipe's
    own, within its tolerance, the recipe's stays."""
    v = dict(zip(VALUES, (float(x) for x in estimate.values), strict=True))
    wires = recipe.wire.count
    sd = _derived_sd(estimate, None, wires)
    _, gap, evenness, _ = (float(x) for x in derived(estimate.values, None, wires))
    d = v["d"]
    pitch = recipe.barrel.pitch_mm
    if {"barrel_length", "barrel_diameter"} & set(readings):
        slack = recipe.tolerance.wrap_gap_mm
        touching = abs(gap) <= limits.SURE * sd[1] + slack
        if pitch is None or abs(v["pitch"] - pitch) > limits.SURE * _sd(estimate, "pitch") + slack:
            pitch = None if touching else v["pitch"]
    even = recipe.twist.evenness
    if "evenness" in readings:
        even = readings["evenness"].value
    elif wires == 1 and "twist_diameter" in readings and abs(evenness - even) > limits.SURE * sd[2]:
        even = min(max(evenness, 0.0), 1.0)
    size = recipe.wire.size if "wire" not in readings else None
    wire = replace(recipe.wire, diameter_mm=d, size=size) if "wire" in readings else recipe.wire
    made = recipe.variant(
        title=f"{recipe.title}, as made",
        wire=wire,
        eye=replace(recipe.eye, pin_mm=v["pin"]),
        twist=replace(
            recipe.twist,
            turns=v["turns"],
            lay_mm=v["lay"] if recipe.twist.turns or v["turns"] else recipe.twist.lay_mm,
            evenness=even,
            length_mm=None,
        ),
        barrel=replace(recipe.barrel, wraps=v["wraps"], pitch_mm=pitch),
        notes=(),
    )
    return seen_recipe(made, readings)


def _sd(estimate: Estimate, name: str) -> float:
    return float(estimate.deviations[VALUES.index(name)])


def _derived_sd(estimate: Estimate, lengths: Lengths | None, wires: int) -> Floats:
    """Standard deviations of the derived sizes, by their first derivatives."""
    slope = derivatives(lambda v: derived(v, lengths, wires), estimate.values, estimate.deviations)
    deviations: Floats = np.sqrt(np.einsum("ij,jk,ik->i", slope, estimate.covariance, slope))
    return deviations


def _sizes(
    recipe: Recipe,
    readings: Mapping[str, Reading],
    estimate: Estimate,
    lengths: Lengths,
    wanted_mm: float,
    exists: bool,
) -> dict[str, Sized]:
    """Every size with its limits, and the recipe's own beside it."""
    v = dict(zip(VALUES, (float(x) for x in estimate.values), strict=True))
    wires = recipe.wire.count
    now, sd = derived(estimate.values, lengths, wires), _derived_sd(estimate, lengths, wires)
    d, names = recipe.wire.diameter_mm, set(readings)
    pitch = barrel_pitch_mm(recipe)
    own = derived(np.array([d, recipe.twist.lay_mm, 0.5, 0.0, pitch, 0.0, 1.0, recipe.eye.pin_mm, 0.0]), None, wires)
    lay_read, eye_read = (bool(names & set(pair)) for pair in (("lay", "twist_length"), ("eye", "eye_length")))
    slack = recipe.tolerance
    shorter = estimate.values.copy()
    shorter[VALUES.index("lay")] -= min(slack.lay_mm, 0.5 * v["lay"])
    angle_slack = abs(float(derived(shorter, None, wires)[0] - derived(estimate.values, None, wires)[0]))

    def sized(
        value: float,
        spread: float,
        theirs: float,
        read: bool,
        allowed: float = 0.0,
        least: float = -math.inf,
        most: float = math.inf,
    ) -> Sized:
        half = limits.SURE * spread
        return Sized(
            value=min(max(value, least), most),
            low=max(value - half, least),
            high=min(value + half, most),
            recipe=theirs,
            read=read,
            allowed=allowed,
        )

    sizes = {
        "wire": sized(v["d"], _sd(estimate, "d"), d, "wire" in names, limits.SURE * WIRE_SD * d),
        "lay": sized(v["lay"], _sd(estimate, "lay"), recipe.twist.lay_mm, lay_read, slack.lay_mm),
        "angle": sized(float(now[0]), float(sd[0]), float(own[0]), lay_read, angle_slack),
        "gap": sized(float(now[1]), float(sd[1]), float(own[1]), "barrel_length" in names, slack.wrap_gap_mm),
        "evenness": sized(
            float(now[2]),
            float(sd[2]),
            recipe.twist.evenness,
            wires == 1 and bool(names & {"twist_diameter", "evenness"}),
            least=0.0,
            most=1.0,
        ),
        "pin": sized(v["pin"], _sd(estimate, "pin"), recipe.eye.pin_mm, eye_read, slack.pin_mm),
    }
    if exists:
        read = bool(
            names & {"length", "outside_length", "lay", "twist_length", "barrel_length", "eye", "turns", "wraps"}
        )
        sizes["finished"] = sized(float(now[3]), float(sd[3]), wanted_mm, read, finished_slack(recipe))
    return sizes


def _findings(
    recipe: Recipe, sizes: Mapping[str, Sized], doubts: tuple[Inconsistency, ...], exists: bool
) -> Iterator[Finding]:
    """What is found of the readings, then of the made joint's sizes beside the recipe's."""
    for inconsistency in doubts:
        code, severity = (
            ("reading-impossible", Severity.FAULT) if inconsistency.impossible else ("reading", Severity.CAUTION)
        )
        yield Finding(
            code=code,
            severity=severity,
            place=inconsistency.name.replace("_", " "),
            values=Values(doubt=inconsistency.code, fits=inconsistency.fits, **inconsistency.values),
        )
    if not exists:
        return
    named = {"lay": "lay", "gap between wraps": "gap", "eye": "pin", "finished length": "finished"}
    for name, size in ((name, sizes[key]) for name, key in named.items()):
        if size.off:
            values = Values(off_mm=size.off_by, allowed_mm=size.allowed, made_mm=size.value, recipe_mm=size.recipe)
            yield Finding(code="off-recipe", severity=Severity.CAUTION, place=name, values=values)
