"""What must hold for any recipe whatever: used by the tests with random recipes, case by case in worker processes."""

from __future__ import annotations

import math
import re
import warnings
from dataclasses import fields, is_dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from helix.errors import InfeasibleJointError
from helix.geometry.twist.strands import helix_length
from helix.geometry.wire.curves import curvature_vectors, derivatives
from helix.geometry.wire.path import Path
from helix.mechanics import limits
from helix.model.joint.joint import build_joint
from helix.model.joint.section_names import SECTIONS
from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape.bend_findings import bends_of
from helix.studies.shape.shape import ShapeResult, shape
from tests.tools.brute import ALONG, brute_gap


def problem_of(case: tuple[int, str]) -> str | None:
    """What is wrong with the answer to a recipe's text, or None. The number picks the slower checks in turn."""
    number, text = case
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            _check(number, recipe_from_text(text))
    except Exception as error:  # noqa: BLE001  (whatever it is, it is told with the recipe that makes it)
        return f"case {number}: {type(error).__name__}: {error}\n{text}"
    return None


def _check(number: int, recipe: Recipe) -> None:
    try:
        result = shape(recipe)
    except InfeasibleJointError as refused:
        _refusal_names_a_pin_that_works(recipe, str(refused))
        return
    _numbers_are_finite(result, "result")
    _lengths_and_counts_add_up(result)
    _wire_is_smooth(result.joint.layout.path)
    _overlaps_are_told(result)
    slow = (_least_gap_is_brute_force, _mirror_changes_nothing, _scale_changes_lengths_only)
    if number % 10 < len(slow):
        slow[number % 10](result)


def _need(true: Any, what: str) -> None:
    if not true:
        raise AssertionError(what)


def _near(ours: float, theirs: float, what: str, tolerance: float = 1e-9) -> None:
    _need(abs(ours - theirs) <= tolerance * (1.0 + abs(theirs)), f"{what}: {ours!r} is not {theirs!r}")


def _refusal_names_a_pin_that_works(recipe: Recipe, message: str) -> None:
    _need("pin" in message, f"refused for something else: {message}")
    if "no pin works" in message:
        return
    found = re.search(r"least pin that works is ([\d.e+]+) mm", message)
    _need(found, message)
    least = float(found[1]) if found else math.nan
    build_joint(replace(recipe, eye=replace(recipe.eye, pin_mm=least)))
    try:
        build_joint(replace(recipe, eye=replace(recipe.eye, pin_mm=0.985 * least)))
    except InfeasibleJointError:
        return
    raise AssertionError(f"a pin below the least of {least} mm works as well")


def _numbers_are_finite(thing: Any, name: str) -> None:
    if isinstance(thing, float):
        _need(math.isfinite(thing), f"{name} is {thing}")
    elif isinstance(thing, tuple | list):
        for k, one in enumerate(thing):
            _numbers_are_finite(one, f"{name}[{k}]")
    elif is_dataclass(thing):
        for field in fields(thing):
            if field.name not in ("joint", "recipe"):
                _numbers_are_finite(getattr(thing, field.name), f"{name}.{field.name}")


def _lengths_and_counts_add_up(result: ShapeResult) -> None:
    joint, sizes, cut, counts = result.joint, result.joint.layout.sizes, result.cut, result.counts
    rows = {row.name: row.wire_mm for row in result.sections}
    d = joint.diameter_mm
    _need(tuple(rows) == SECTIONS, "sections are out of order")
    _near(sum(rows.values()) + result.recipe.finish.handle_mm, cut.total_mm, "sum of the sections")
    _near(rows["standing"] + cut.joint_mm + result.recipe.finish.handle_mm, cut.total_mm, "standing, joint and handle")
    _need(cut.low_mm <= cut.total_mm <= cut.high_mm, "the cut is outside its interval")
    for name, a in (("twist_standing", sizes.standing_radius), ("twist_tag", sizes.tag_radius)):
        closed = helix_length(a, sizes.lay, sizes.turns) * d if sizes.turns else 0.0
        _near(rows[name], closed, name)
    _near(rows["barrel"], helix_length(1.0, sizes.pitch, sizes.wraps) * d, "barrel")
    _near(rows["stub"], result.recipe.finish.stub_mm, "stub")
    _near(counts.total, counts.turns + counts.swing + counts.wraps, "counts")
    told = {name for finding in result.findings for name in bends_of(finding)}
    bad = {bend.name for bend in result.bends if bend.governing not in ("none", "hand")}
    _need(told >= bad, "a bend is bad and nothing is found of it")


def _wire_is_smooth(path: Path) -> None:
    for before, after in pairwise(path.pieces):
        ends = []
        for curve, u in ((before.curve, before.curve.span), (after.curve, 0.0)):
            d = derivatives(curve, np.array([u]), 2)
            ends.append(np.array([d[0, 0], d[1, 0] / np.linalg.norm(d[1, 0]), curvature_vectors(d)[0]]))
        jump = np.abs(ends[0] - ends[1]).max(axis=1)
        where = f"{before.section} to {after.section}: {jump}"
        _need(jump[0] < 1e-9 and jump[1] < 1e-9, f"broken or bent, {where}")
        _need(jump[2] < 1e-7 * (1.0 + np.abs(ends[0][2]).max()), f"curvature jumps, {where}")


def _overlaps_are_told(result: ShapeResult) -> None:
    """Flagged where the least gap is negative; where nothing is flagged, coarse samples show no overlap either."""
    gap = result.clearance.least_d
    _need(
        (gap < -limits.OVERLAP_D) == any(flag.code in ("overlap", "wraps-overlap") for flag in result.findings),
        f"a gap of {gap} and its flag",
    )
    _need(not (gap < -limits.OVERLAP_D and result.judgement.is_ok), "an overlap is presented as sound")
    d = result.joint.diameter_mm
    line = result.joint.sample(0.08, straight_step_d=0.08)
    _need(np.all(np.diff(line.s_mm) > 0.0), "arc length runs backwards")
    _need(np.diff(line.s_mm).max() <= 0.08 * d * (1.0 + 1e-9), "samples are further apart than asked")
    from scipy.spatial import cKDTree

    near = cKDTree(line.points_mm / d).query_pairs(1.0 + min(gap, 0.0) - 1e-4, output_type="ndarray")
    apart = np.abs(np.diff(line.s_mm[near], axis=1)[:, 0]) / d
    _need(not np.any(apart > ALONG), f"samples are nearer than the least gap of {gap}")


def _least_gap_is_brute_force(result: ShapeResult) -> None:
    """Nothing is nearer, and the least is there, but for what a search of samples leaves open."""
    gap, brute = result.clearance.least_d, brute_gap(result)
    if gap > -0.3 and result.clearance.curvature_limited_d > 0.0:
        _near(gap, brute, "least gap", 1e-6)
    else:  # parts that run through each other, and folds
        _need(abs(gap - brute) < 0.05, f"least gap: {gap} is not {brute}")


def _mirror_changes_nothing(result: ShapeResult) -> None:
    recipe = result.recipe
    hand: Any = "left" if recipe.twist.hand == "right" else "right"
    other = shape(replace(recipe, twist=replace(recipe.twist, hand=hand)))
    _same_numbers(result, other, 1.0)
    one, two = (r.joint.sample(0.5).points_mm for r in (result, other))
    _need(np.abs(one - two * [1.0, -1.0, 1.0]).max() < 1e-9 * (1.0 + np.abs(one).max()), "not the mirror image")


def _scale_changes_lengths_only(result: ShapeResult) -> None:
    if result.recipe.finish.handle_mm < result.recipe.tolerance.handle_mm:
        return  # the usual tolerance, in mm, is allowed there, twice as much is not
    _same_numbers(result, shape(scaled(result.recipe, 2.0)), 2.0)


def scaled(thing: Any, k: float) -> Any:
    """The same recipe with every length k times as long."""
    changes = {}
    for field in fields(thing):
        value = getattr(thing, field.name)
        if is_dataclass(value):
            changes[field.name] = scaled(value, k)
        elif field.name.endswith("_mm") and value is not None:
            changes[field.name] = value * k
    return replace(thing, **changes)


def _same_numbers(one: ShapeResult, other: ShapeResult, k: float) -> None:
    """Lengths k times as long; gaps, angles, radii in diameters, strains and verdicts as they were."""
    _near(other.cut.joint_mm, k * one.cut.joint_mm, "wire of the joint", 1e-6)
    _near(other.finished.length_mm, k * one.finished.length_mm, "finished length", 1e-6)
    _near(other.clearance.least_d, one.clearance.least_d, "least gap", 1e-6)
    _near(other.counts.total, one.counts.total, "counts", 1e-6)
    for a, b in zip(one.bends, other.bends, strict=True):
        _need((a.severity, a.governing) == (b.severity, b.governing), f"verdict on {a.name}")
        for name in ("turn_deg", "visible_angle_deg", "strain", "length_d"):
            _near(getattr(b, name), getattr(a, name), f"{name} of {a.name}", 1e-4)
    _need(
        {f.code for f in one.findings} >= {f.code for f in other.findings if f.code in ("overlap", "wraps-overlap")},
        "flags",
    )


__all__ = ["problem_of", "scaled"]
