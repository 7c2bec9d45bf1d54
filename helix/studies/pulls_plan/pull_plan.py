"""A plan for pull tests: pieces, load cell, speed, wire to cut, energy at break, order of tests."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar, Final, Literal

import helix
from helix.errors import ValidationError, argument_issue
from helix.findings import Finding, Severity, notice
from helix.model.joint.joint import Joint, build_joint, rebuilt
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.pulls_plan.load_cells import COMMON_N, CellChoice, LoadCell, judged, load_cell
from helix.studies.pulls_plan.pull_order import OrderRow, Treatment, shuffled_order, staircase_order
from helix.studies.pulls_plan.pull_sizes import SizeRow, Wanted, size_rows
from helix.studies.shape.cut_length import cut_length
from helix.values import Result, hidden, result

SCHEMA: Final = 2
STRESS_RATE_MPA_S: Final = (6.0, 60.0)
"""Rate of stress in tests of steel, ISO 6892-1 method B, modulus of 150 GPa and more [mem]."""
MOST_TREATMENTS: Final = 36


@result
class Setup:
    """How the tests are set up: lengths in mm, joints a piece, wires worked as one, blocks, counts, seed."""

    free_mm: float = 250.0
    grip_mm: float = 60.0
    joints: int = 2
    wires: int = 1
    each: int | None = None
    controls: int = 5
    batches: tuple[str, ...] = ("1",)
    makers: tuple[str, ...] = ("1",)
    turns: tuple[float, ...] = ()
    wraps: tuple[float, ...] = ()
    design: Literal["factorial", "staircase"] = "factorial"
    cells: tuple[LoadCell, ...] = ()
    expected_n: float | None = None
    seed: int = 1


@result
class Length:
    """Wire to cut for one kind of piece: mm, with limits, and how it is made up. joint_mm: of one joint with its handle."""

    treatment: str
    pieces: int
    cut_mm: float
    low_mm: float
    high_mm: float
    joints: int
    joint_mm: float
    free_mm: float
    grips: int
    grip_mm: float


@result
class Energy:
    """Highest load in N, energy in the free length at break in J, as a fall of 1 kg in mm, speed of a free end in m/s."""

    load_n: float
    energy_j: float
    fall_of_1_kg_mm: float
    end_speed_m_s: float


@result
class PlanResult(Result):
    """The plan. each: pieces of each recipe that are ordered. load_low_n to load_high_n: loads to be read."""

    also: ClassVar = ("seed=setup.seed",)
    schema: int
    version: str
    wanted: Wanted
    setup: Setup = hidden()
    sizes: tuple[SizeRow, ...]
    each: int
    load_low_n: float
    load_high_n: float
    cells: tuple[CellChoice, ...]
    speed_mm_min: tuple[float, float] | None
    load_rate_n_s: tuple[float, float] | None
    lengths: tuple[Length, ...]
    energy: Energy | None
    order: tuple[OrderRow, ...]
    notes: tuple[Finding, ...]


def plan_pulls(recipes: Sequence[tuple[str, Recipe]], wanted: Wanted, setup: Setup) -> PlanResult:
    """The plan for these recipes (file name and recipe), or from `setup.expected_n` alone without any.

    Raises ValidationError for turns or wraps without exactly one recipe, too many combinations, or nothing to
    plan for; InfeasibleJointError for a joint that cannot exist.
    """
    _check(recipes, setup)
    notes: list[Finding] = []
    low, high = _loads(recipes, wanted, setup)
    cells = tuple(judged(cell, low, high) for cell in setup.cells or tuple(load_cell(n) for n in COMMON_N))
    if not setup.cells:
        notes.append(notice("no-cell-named"))
    if not any(choice.will_do for choice in cells):
        notes.append(notice("no-cell-will-do", "", Severity.CAUTION))
    rows = size_rows(wanted)
    each = setup.each or _each(rows, notes)
    treatments, lengths = _pieces(recipes, setup, notes)
    order: tuple[OrderRow, ...] = ()
    if treatments:
        first = treatments[0]
        control = Treatment(name="control", recipe="", turns=None, wraps=None, size=first.size, lay="", joints=0)
        if setup.design == "staircase":
            span = [(min(v), max(v)) for v in (setup.turns, setup.wraps)]
            order = staircase_order(span[0], span[1], first, setup.seed, setup.batches, setup.makers)
            notes.append(notice("staircases"))
        else:
            order = shuffled_order(treatments, each, setup.controls, setup.batches, setup.makers, setup.seed, control)
            blocks = len(setup.batches) * len(setup.makers)
            if each % blocks:
                notes.append(notice("blocks-uneven", pieces=each, blocks=blocks))
        counts = {row.treatment.name: 0 for row in order}
        for row in order:
            counts[row.treatment.name] += 1
        lengths = [replace(length, pieces=counts.get(length.treatment, 0)) for length in lengths]
        if setup.design == "staircase":
            lengths = [replace(length, pieces=0) for length in lengths]
    if len(setup.batches) == 1:
        notes.append(notice("one-batch"))
    speed, rate = _speed(recipes, setup)
    return PlanResult(
        schema=SCHEMA, version=helix.__version__, wanted=wanted, setup=setup, sizes=rows, each=each, load_low_n=low,
        load_high_n=high, cells=cells, speed_mm_min=speed, load_rate_n_s=rate, lengths=tuple(lengths),
        energy=_energy(recipes, setup, high), order=order, notes=tuple(notes),
    )  # fmt: skip


def _check(recipes: Sequence[tuple[str, Recipe]], setup: Setup) -> None:
    faults = []
    if not recipes and setup.expected_n is None:
        faults.append(
            argument_issue("recipes", "must be one or more, or the load be given that a piece is expected to reach")
        )
    varied = bool(setup.turns or setup.wraps)
    if varied and len(recipes) != 1:
        faults.append(argument_issue("turns", f"and wraps need one recipe to start from; got {len(recipes)}"))
    if len(setup.turns or (0,)) * len(setup.wraps or (0,)) > MOST_TREATMENTS:
        faults.append(argument_issue("turns", f"and wraps must make at most {MOST_TREATMENTS} combinations"))
    if setup.design == "staircase" and (len(set(setup.turns)) < 2 or len(set(setup.wraps)) < 2):
        faults.append(
            argument_issue("design", "of a staircase needs two or more turns and two or more wraps to go between")
        )
    if faults:
        raise ValidationError(faults)


def _each(rows: Sequence[SizeRow], notes: list[Finding]) -> int:
    """Pieces of each recipe: what a question of telling apart takes, else ten."""
    asked = {row.key: row.pieces for row in rows}
    for key in ("apart", "shares"):
        if asked.get(key):
            pieces = max(3, int(asked[key] or 0))
            notes.append(notice("pieces-of-question", pieces=pieces, question=key))
            return pieces
    notes.append(notice("pieces-as-usual", pieces=10))
    return 10


def _loads(recipes: Sequence[tuple[str, Recipe]], wanted: Wanted, setup: Setup) -> tuple[float, float]:
    """Loads to be read: from 3 SD under the weakest joint expected to the strongest straight wire."""
    if setup.expected_n is not None:
        low, high = setup.expected_n * (1.0 - 3.0 * wanted.cv), setup.expected_n * (1.0 + 3.0 * wanted.cv)
        return low * setup.wires, high * setup.wires
    least = min(r.wire.breaking_load_n[0] for _, r in recipes) * wanted.expected * (1.0 - 3.0 * wanted.cv)
    most = max(
        max(r.wire.breaking_load_n[2], r.wire.breaking_load_n[1] * (1.0 + 3.0 * wanted.control_cv)) for _, r in recipes
    )
    return least * setup.wires, most * setup.wires


def _speed(
    recipes: Sequence[tuple[str, Recipe]], setup: Setup
) -> tuple[tuple[float, float] | None, tuple[float, float] | None]:
    if not recipes:
        return None, None
    wire = recipes[0][1].wire
    area = math.pi * wire.diameter_mm**2 / 4.0 * setup.wires
    low, high = (60.0 * rate / wire.modulus_mpa * setup.free_mm for rate in STRESS_RATE_MPA_S)
    return (low, high), (STRESS_RATE_MPA_S[0] * area, STRESS_RATE_MPA_S[1] * area)


def _energy(recipes: Sequence[tuple[str, Recipe]], setup: Setup, high_n: float) -> Energy | None:
    """Elastic energy of the free length, F^2 L/(2 E A); a free end then moves at sigma/sqrt(E rho) (1-D wave)."""
    if not recipes:
        return None
    wire = recipes[0][1].wire
    area = math.pi * wire.diameter_mm**2 / 4.0 * setup.wires
    joules = high_n**2 * setup.free_mm / (2.0 * wire.modulus_mpa * area) / 1000.0
    speed = high_n / area * 1e6 / math.sqrt(wire.modulus_mpa * 1e6 * wire.density_kg_m3)
    return Energy(load_n=high_n, energy_j=joules, fall_of_1_kg_mm=joules / 9.80665 * 1000.0, end_speed_m_s=speed)


def _pieces(
    recipes: Sequence[tuple[str, Recipe]], setup: Setup, notes: list[Finding]
) -> tuple[list[Treatment], list[Length]]:
    """Treatments, and the wire that each takes through the joint model."""
    treatments: list[Treatment] = []
    lengths: list[Length] = []
    for file, recipe in recipes:
        joint = build_joint(recipe)
        varied = bool(setup.turns or setup.wraps)
        for turns in setup.turns or (recipe.twist.turns,):
            for wraps in setup.wraps or (recipe.barrel.wraps,):
                changed = recipe.variant(
                    twist=replace(recipe.twist, turns=turns), barrel=replace(recipe.barrel, wraps=wraps)
                )
                same = (turns, wraps) == (recipe.twist.turns, recipe.barrel.wraps)
                made = joint if same else _changed(joint, changed)
                name = f"{turns:g}+{wraps:g}" if varied or len(recipes) == 1 else recipe.title
                if any(t.name == name for t in treatments):
                    name = f"{name} ({file})"
                size = recipe.wire.size or f"{recipe.wire.diameter_mm:.4g} mm"
                lay = f"{joint.layout.sizes.lay:.4g} d"
                treatments.append(
                    Treatment(name=name, recipe=file, turns=turns, wraps=wraps, size=size, lay=lay, joints=setup.joints)
                )
                lengths.append(_length(name, made, setup))
    if recipes:
        straight = setup.free_mm + 2.0 * setup.grip_mm
        lengths.append(
            Length(
                treatment="control", pieces=0, cut_mm=straight, low_mm=straight, high_mm=straight, joints=0, joint_mm=0.0,
                free_mm=setup.free_mm, grips=2, grip_mm=setup.grip_mm,
            )
        )  # fmt: skip
        if setup.wires > 1:
            notes.append(notice("wires-as-one", wires=setup.wires))
    return treatments, lengths


def _changed(joint: Joint, recipe: Recipe) -> Joint:
    """The joint with other counts; the exit's choices depend on the lay, not on them."""
    if recipe.twist.turns == 0.0 or recipe.barrel.wraps == 0.0:
        return build_joint(recipe)
    return rebuilt(joint, recipe)


def _length(name: str, joint: Joint, setup: Setup) -> Length:
    cut = cut_length(joint)
    own = cut.joint_mm + joint.recipe.finish.handle_mm
    wide = (cut.high_mm - cut.low_mm) / 2.0 * math.sqrt(setup.joints)
    grips = 2 - setup.joints
    total = setup.joints * own + setup.free_mm + setup.grip_mm * grips
    return Length(
        treatment=name, pieces=0, cut_mm=total, low_mm=total - wide, high_mm=total + wide, joints=setup.joints,
        joint_mm=own, free_mm=setup.free_mm, grips=grips, grip_mm=setup.grip_mm,
    )  # fmt: skip
