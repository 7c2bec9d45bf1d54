"""A plan for pull tests: pieces, load cell, speed, wire to cut, energy at break, order of tests."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import ClassVar, Final, Literal

import helix
from helix.errors import ValidationError, argument_issue
from helix.findings import Finding, Severity, notice
from helix.model.joint.joint import Joint, build_joint, rebuilt
from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.judge import judge
from helix.studies.pulls_plan.load_cells import COMMON_N, CellChoice, LoadCell, judged, load_cell
from helix.studies.pulls_plan.pull_by_size import (
    STRESS_RATE_MPA_S,
    Energy,
    Shows,
    SizePlan,
    best_cell,
    energy_at_break,
    load_rate,
    shows,
    stock_of,
)
from helix.studies.pulls_plan.pull_order import OrderRow, Treatment, shuffled_order, staircase_order
from helix.studies.pulls_plan.pull_sizes import SizeRow, Wanted, size_rows
from helix.studies.shape.cut_length import cut_length
from helix.studies.simulate.predictions import BARE_TURNS, HANDS_DEG, PREDICTIONS, Refuting
from helix.values import Result, hidden, result

SCHEMA: Final = 2
MOST_TREATMENTS: Final = 36
ONE_BEND: Final = "one bend of 90 deg"
_BEND_D: Final = 3.0
MOST_ORDERED: Final = 5000  # pieces of a plan, straight wire among them


@result
class Setup:
    """How the tests are set up: lengths in mm, joints a piece, wires worked as one, blocks, counts, seed; decide: for the tests that can
    refute the simulation, in place of the recipe's own.
    """

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
    decide: bool = False


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
class PlanResult(Result):
    """The plan. each: pieces of each recipe that are ordered. load_low_n to load_high_n: loads to be read. cell: the one to
    take for all of them, None where none will do. by_size: thin wire first. shows: what so many pieces let one say. invented:
    a recipe says in its title that it is. decide: what the simulation says of these pieces.
    """

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
    cell: CellChoice | None
    by_size: tuple[SizePlan, ...]
    shows: Shows
    speed_mm_min: tuple[float, float] | None
    load_rate_n_s: tuple[float, float] | None
    lengths: tuple[Length, ...]
    energy: Energy | None
    order: tuple[OrderRow, ...]
    decide: Refuting | None = None
    invented: bool
    notes: tuple[Finding, ...]


def plan_pulls(recipes: Sequence[tuple[str, Recipe]], wanted: Wanted, setup: Setup) -> PlanResult:
    """The plan for these recipes (file name and recipe), or from `setup.expected_n` alone without any.

    Raises ValidationError for turns or wraps without exactly one recipe, too many combinations, or nothing to
    plan for; InfeasibleJointError for a joint that cannot exist.
    """
    _check(recipes, setup)
    invented = any("(invented)" in recipe.title for _, recipe in recipes)
    if setup.decide:
        recipes = deciding_recipes(recipes[0][1])
    setup = replace(setup, wires=max([setup.wires, *(recipe.wire.count for _, recipe in recipes)]))
    notes = [
        notice("recipe-at-fault", file, verdict.severity, verdict=verdict.severity.word, fault=verdict.code)
        for file, recipe in recipes
        if not setup.decide and not (verdict := judge(recipe)).is_ok  # those are faulty on purpose
    ]
    sizes = _sizes(recipes)
    low, high = _loads(recipes, wanted, setup)
    named = setup.cells or tuple(load_cell(n) for n in COMMON_N)
    cells = tuple(judged(cell, low, high) for cell in named)
    if not setup.cells:
        notes.append(notice("no-cell-named"))
    best = best_cell(named, low, high)
    if best is None:
        notes.append(notice("no-cell-will-do", "", Severity.CAUTION))
    rows = size_rows(wanted)
    each = setup.each or _each(rows, notes)
    treatments, lengths = _pieces(recipes, sizes, setup, notes)
    _check_count(treatments, sizes, each, setup)
    order = _order(treatments, sizes, each, setup, notes)
    counts = Counter(row.treatment.name for row in order)
    if setup.design == "staircase":
        counts.clear()
    lengths = [replace(length, pieces=counts[length.treatment]) for length in lengths]
    if len(setup.batches) == 1:
        notes.append(notice("one-batch"))
    thinnest = next(iter(sizes.values()))[0][1].wire if recipes else None
    return PlanResult(
        schema=SCHEMA, version=helix.__version__, wanted=wanted, setup=setup, sizes=rows, each=each, load_low_n=low,
        load_high_n=high, cells=cells, cell=best,
        by_size=tuple(_size_plan(size, inside, order, lengths, wanted, setup) for size, inside in sizes.items()),
        shows=shows(each, wanted),
        speed_mm_min=_speed(recipes[0][1].wire, setup) if recipes else None,
        load_rate_n_s=load_rate(recipes[0][1].wire, setup.wires) if len(sizes) == 1 else None, lengths=tuple(lengths),
        energy=None if thinnest is None else _most_energy(recipes, wanted, setup), order=order,
        decide=Refuting(strength_n=recipes[0][1].wire.breaking_load_n[1], tests=PREDICTIONS) if setup.decide else None,
        invented=invented, notes=tuple(notes),
    )  # fmt: skip


def _sizes(recipes: Sequence[tuple[str, Recipe]]) -> dict[str, list[tuple[str, Recipe]]]:
    """Recipes by the size of their wire, thin wire first."""
    names: dict[float, str] = {}
    by_size: dict[str, list[tuple[str, Recipe]]] = {}
    for file, recipe in sorted(recipes, key=lambda pair: pair[1].wire.diameter_mm):
        name = names.setdefault(round(recipe.wire.diameter_mm, 4), size_text(recipe))
        by_size.setdefault(name, []).append((file, recipe))
    return by_size


def size_text(recipe: Recipe) -> str:
    """A wire's size as it is written into a file of pull tests."""
    return recipe.wire.size or f"{recipe.wire.diameter_mm:.4g} mm"


def _order(
    treatments: Sequence[Treatment], sizes: Mapping[str, object], each: int, setup: Setup, notes: list[Finding]
) -> tuple[OrderRow, ...]:
    """The order of tests, one size after another, thin wire first: grips and load cell are changed once a size."""
    if not treatments:
        return ()
    if setup.design == "staircase":
        notes.append(notice("staircases"))
        span = [(min(v), max(v)) for v in (setup.turns, setup.wraps)]
        return staircase_order(span[0], span[1], treatments[0], setup.seed, setup.batches, setup.makers)
    order: tuple[OrderRow, ...] = ()
    for size in sizes:
        control = Treatment(name=_control(size, sizes), size=size, joints=0)
        mine = [treatment for treatment in treatments if treatment.size == size]
        order += shuffled_order(
            mine, each, setup.controls, setup.batches, setup.makers, setup.seed, control, before=order
        )
    blocks = len(setup.batches) * len(setup.makers)
    if each % blocks:
        notes.append(notice("blocks-uneven", pieces=each, blocks=blocks))
    if len(sizes) > 1:
        notes.append(notice("size-by-size"))
    return order


def _control(size: str, sizes: Mapping[str, object]) -> str:
    return "control" if len(sizes) == 1 else f"control, {size}"


def _size_plan(
    size: str, recipes: Sequence[tuple[str, Recipe]], order: Sequence[OrderRow], lengths: Sequence[Length],
    wanted: Wanted, setup: Setup,
) -> SizePlan:  # fmt: skip
    mine = Counter(row.treatment for row in order if row.treatment.size == size)
    cut = {length.treatment: length.cut_mm for length in lengths}
    longest = max(cut.values())  # of a staircase, whose counts come as the tests go
    total = setup.wires * sum(count * cut.get(treatment.name, longest) for treatment, count in mine.items())
    low, high = _loads(recipes, wanted, replace(setup, expected_n=None))
    wire = recipes[0][1].wire
    return SizePlan(
        size=size, pieces=sum(count for treatment, count in mine.items() if treatment.joints),
        controls=sum(count for treatment, count in mine.items() if not treatment.joints), load_low_n=low, load_high_n=high,
        cell=best_cell(setup.cells or tuple(load_cell(n) for n in COMMON_N), low, high),
        load_rate_n_s=load_rate(wire, setup.wires), energy=energy_at_break(wire, setup.wires, setup.free_mm, high),
        cut_mm=total, stock_mm=stock_of(total),
    )  # fmt: skip


def _most_energy(recipes: Sequence[tuple[str, Recipe]], wanted: Wanted, setup: Setup) -> Energy:
    """That of the size that lets go most."""
    per_size = (
        energy_at_break(r.wire, setup.wires, setup.free_mm, _loads([(file, r)], wanted, setup)[1])
        for file, r in recipes
    )
    return max(per_size, key=lambda energy: energy.energy_j)


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
    if setup.decide and (len(recipes) != 1 or varied or setup.wires > 1):
        faults.append(argument_issue("decide", "needs one recipe of one wire, and no turns or wraps to vary"))
    if len(recipes) > MOST_TREATMENTS:
        faults.append(argument_issue("recipes", f"must be at most {MOST_TREATMENTS}; got {len(recipes)}"))
    if len({recipe.wire.count for _, recipe in recipes}) > 1:
        faults.append(argument_issue("recipes", "must all be of one wire, or all of two worked as one"))
    if setup.design == "staircase" and (len(set(setup.turns)) < 2 or len(set(setup.wraps)) < 2):
        faults.append(
            argument_issue("design", "of a staircase needs two or more turns and two or more wraps to go between")
        )
    if faults:
        raise ValidationError(faults)


def _check_count(treatments: Sequence[Treatment], sizes: Mapping[str, object], each: int, setup: Setup) -> None:
    """Refuse a plan of more pieces than anybody pulls."""
    count = len(treatments) * each + len(sizes) * len(setup.batches) * setup.controls
    if treatments and setup.design != "staircase" and count > MOST_ORDERED:
        raise ValidationError(
            [argument_issue("each", f"must make a plan of at most {MOST_ORDERED:,} pieces; this one has {count:,}")]
        )


def _each(rows: Sequence[SizeRow], notes: list[Finding]) -> int:
    """Pieces of each recipe: what a question of telling apart takes, else ten."""
    pieces_of = {row.key: row.pieces for row in rows}
    for key in ("apart", "shares"):
        if pieces_of.get(key):
            pieces = max(3, int(pieces_of[key] or 0))
            notes.append(notice("pieces-of-question", pieces=pieces, question=key))
            return pieces
    notes.append(notice("pieces-as-usual", pieces=10))
    return 10


def _loads(recipes: Sequence[tuple[str, Recipe]], wanted: Wanted, setup: Setup) -> tuple[float, float]:
    """Loads to be read: from 3 SD under the weakest joint expected to the strongest straight wire, if there is any."""
    straight = 1.0 + 3.0 * wanted.control_cv if setup.controls else 0.0
    if setup.expected_n is not None:
        low, high = setup.expected_n * (1.0 - 3.0 * wanted.cv), setup.expected_n * (1.0 + 3.0 * wanted.cv)
        return low * setup.wires, max(high, straight * setup.expected_n / wanted.expected) * setup.wires
    least = min(r.wire.breaking_load_n[0] for _, r in recipes) * wanted.expected * (1.0 - 3.0 * wanted.cv)
    most = max(max(r.wire.breaking_load_n[2], r.wire.breaking_load_n[1] * straight) for _, r in recipes)
    return least * setup.wires, most * setup.wires


def _speed(wire: Wire, setup: Setup) -> tuple[float, float]:
    """Speed of the crosshead [mm/min] that stresses straight wire of the free length as fast as it should be."""
    low, high = (60.0 * rate / wire.modulus_mpa * setup.free_mm for rate in STRESS_RATE_MPA_S)
    return low, high


def _pieces(
    recipes: Sequence[tuple[str, Recipe]],
    sizes: Mapping[str, Sequence[tuple[str, Recipe]]],
    setup: Setup,
    notes: list[Finding],
) -> tuple[list[Treatment], list[Length]]:
    """Treatments, and the wire that each takes through the joint model."""
    treatments: list[Treatment] = []
    lengths: list[Length] = []
    of_wire = {recipe.wire.diameter_mm: size for size, inside in sizes.items() for _, recipe in inside}
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
                size = of_wire[recipe.wire.diameter_mm]
                lay = f"{joint.layout.sizes.lay:.4g} d"
                treatments.append(
                    Treatment(name=name, recipe=file, turns=turns, wraps=wraps, size=size, lay=lay, joints=setup.joints)
                )
                lengths.append(_length(name, made, setup))
    straight = setup.free_mm + 2.0 * setup.grip_mm
    if setup.decide:
        _add_bend(recipes[0][1], straight, setup, treatments, lengths)
    for size in sizes:
        lengths.append(_jointless(_control(size, sizes), straight, setup))
    if recipes and setup.wires > 1:
        notes.append(notice("wires-as-one", wires=setup.wires))
    return treatments, lengths


def _add_bend(
    recipe: Recipe, straight: float, setup: Setup, treatments: list[Treatment], lengths: list[Length]
) -> None:
    """Straight wire with one bend round its own diameter in the middle."""
    cut = straight + _BEND_D * recipe.wire.diameter_mm
    treatments.append(Treatment(name=ONE_BEND, size=size_text(recipe), joints=0))
    lengths.append(_jointless(ONE_BEND, cut, setup))


def _jointless(treatment: str, cut_mm: float, setup: Setup) -> Length:
    """The length of wire without a joint, in a grip at either end."""
    return Length(
        treatment=treatment, pieces=0, cut_mm=cut_mm, low_mm=cut_mm, high_mm=cut_mm, joints=0, joint_mm=0.0,
        free_mm=setup.free_mm, grips=2, grip_mm=setup.grip_mm,
    )  # fmt: skip


def deciding_recipes(recipe: Recipe) -> list[tuple[str, Recipe]]:
    """The joints that can refute the simulation, from a recipe: five turns without a barrel, and the recipe made by hands near and far apart."""
    near, far = (f"hands {angle:g} deg apart" for angle in HANDS_DEG)
    bare = recipe.variant(
        title=f"{BARE_TURNS:g} turns, no barrel",
        twist=replace(recipe.twist, turns=BARE_TURNS),
        barrel=replace(recipe.barrel, wraps=0.0),
    )
    return [("no barrel", bare), (near, recipe.variant(title=near)), (far, recipe.variant(title=far))]


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
