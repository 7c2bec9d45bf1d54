"""Plans of pull tests: pieces, load cells, wire through the joint model, energy, blocked random order."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from helix.errors import ValidationError
from helix.findings import notice
from helix.model.recipe.recipe import read_recipe
from helix.model.recipe.recipe_parts import Recipe
from helix.output.words.finding_words import explain
from helix.studies.pulls_plan.load_cells import judged, load_cell
from helix.studies.pulls_plan.pull_order import STAIR_STEPS
from helix.studies.pulls_plan.pull_plan import PlanResult, Setup, plan_pulls
from helix.studies.pulls_plan.pull_sizes import Wanted, size_rows
from helix.studies.shape.shape import shape
from helix.units import parse

DEMO = Path(__file__).resolve().parents[3] / "docs" / "examples" / "logger-tether.toml"


@pytest.fixture(scope="module")
def recipe() -> Recipe:
    return read_recipe(DEMO)


@pytest.fixture(scope="module")
def factorial(recipe: Recipe) -> PlanResult:
    setup = Setup(
        each=6, controls=3, batches=("A", "B"), makers=("Ines", "Tomo"), turns=(4.0, 5.0), wraps=(3.0, 5.0), seed=3
    )
    return plan_pulls([("demo.toml", recipe)], Wanted(), setup)


def test_lengths_come_from_the_joint_model(recipe: Recipe, factorial: PlanResult) -> None:
    for turns, wraps in ((5.0, 5.0), (4.0, 3.0)):
        made = replace(recipe, twist=replace(recipe.twist, turns=turns), barrel=replace(recipe.barrel, wraps=wraps))
        cut = shape(made).cut
        (length,) = (x for x in factorial.lengths if x.treatment == f"{turns:g}+{wraps:g}")
        assert length.cut_mm == pytest.approx(2.0 * (cut.joint_mm + recipe.finish.handle_mm) + 250.0, rel=1e-9)
        assert length.high_mm - length.cut_mm == pytest.approx(math.sqrt(2.0) * (cut.high_mm - cut.total_mm), rel=1e-9)
    (control,) = (x for x in factorial.lengths if x.treatment == "control")
    assert control.cut_mm == 250.0 + 2 * 60.0


def test_every_block_has_every_recipe_as_evenly_as_can_be(factorial: PlanResult) -> None:
    cells = Counter((row.batch, row.maker, row.treatment.name) for row in factorial.order)
    for name in ("4+3", "4+5", "5+3", "5+5"):
        counts = [cells[batch, maker, name] for batch in "AB" for maker in ("Ines", "Tomo")]
        assert sum(counts) == 6
        assert max(counts) - min(counts) <= 1
    assert sum(cells[batch, maker, "control"] for batch in "AB" for maker in ("Ines", "Tomo")) == 6
    assert len({row.id for row in factorial.order}) == len(factorial.order) == 30
    blocks = [row.block for row in factorial.order]
    assert blocks == sorted(blocks)
    assert len({(row.block, row.batch, row.maker) for row in factorial.order}) == 4


def test_turns_and_wraps_are_planned_apart(factorial: PlanResult) -> None:
    pairs = {(row.treatment.turns, row.treatment.wraps) for row in factorial.order if row.treatment.joints}
    assert pairs == {(4.0, 3.0), (4.0, 5.0), (5.0, 3.0), (5.0, 5.0)}


def test_the_order_is_drawn_by_its_seed(recipe: Recipe) -> None:
    def ids(seed: int) -> list[str]:
        return [row.treatment.name for row in plan_pulls([("demo.toml", recipe)], Wanted(), Setup(seed=seed)).order]

    assert ids(1) == ids(1)
    assert ids(1) != ids(2)
    assert Counter(ids(1)) == Counter(ids(2)) == {"5+5": 10, "control": 5}


def test_a_staircase_varies_one_count_at_a_time(recipe: Recipe) -> None:
    setup = Setup(turns=(3.0, 5.0), wraps=(2.0, 5.0), design="staircase")
    plan = plan_pulls([("demo.toml", recipe)], Wanted(), setup)
    assert len(plan.order) == 2 * STAIR_STEPS
    for row in plan.order:
        fixed = row.treatment.wraps if row.treatment.name == "turns staircase" else row.treatment.turns
        assert fixed == 5.0
    assert notice("staircases") in plan.notes


def test_energy_and_speed_by_hand(recipe: Recipe, factorial: PlanResult) -> None:
    wire = recipe.wire
    area = math.pi * wire.diameter_mm**2 / 4.0
    stress = factorial.load_high_n / area
    assert factorial.energy is not None
    # strain energy per volume sigma^2/2E, times volume
    assert factorial.energy.energy_j == pytest.approx(stress**2 / (2 * wire.modulus_mpa) * area * 250.0 / 1000.0)
    assert factorial.energy.fall_of_1_kg_mm == pytest.approx(factorial.energy.energy_j / 9.80665 * 1000.0)
    # the particle speed of a stress wave: sigma/(rho c)
    wave = math.sqrt(wire.modulus_mpa * 1e6 / wire.density_kg_m3)
    assert factorial.energy.end_speed_m_s == pytest.approx(stress * 1e6 / (wire.density_kg_m3 * wave))
    assert factorial.speed_mm_min is not None
    assert factorial.load_rate_n_s is not None
    assert factorial.load_rate_n_s[1] == pytest.approx(60.0 * area)
    assert factorial.speed_mm_min[1] / 60.0 / 250.0 * wire.modulus_mpa == pytest.approx(60.0)


def test_two_wires_of_218_lbf_worked_as_one_ask_for_more_than_1000_n() -> None:
    setup = Setup(expected_n=parse("218 lbf", "force"), wires=2, cells=(load_cell(1000.0), load_cell(5000.0)))
    small, large = plan_pulls([], Wanted(), setup).cells
    assert (small.will_do, large.will_do) == (False, True)
    assert (small.reason.code, large.reason.code) == ("cell-too-small", "cell-will-do")
    assert (large.reason["lower_limit_n"], large.reason["capacity_n"]) == (100.0, 5000.0)


@pytest.mark.parametrize(
    ("cell", "low", "high", "will_do", "said"),
    [
        (load_cell(1000.0, "1", 1.0), 250.0, 900.0, True, "will do: 200 N to 1000 N"),
        (load_cell(1000.0, "1", 1.0), 150.0, 900.0, False, "too coarse: 150 N are expected, its class starts at 200 N"),
        (load_cell(1000.0, "0.5", 1.0), 250.0, 900.0, False, "its class starts at 400 N"),
        (load_cell(1000.0, "2", 1.0), 150.0, 900.0, True, "100 N to 1000 N"),
        (load_cell(1000.0, "1", 1.0), 250.0, 1001.0, False, "too small"),
        (load_cell(1000.0, "1", 1.0), 200.0, 1000.0, True, "100 % of it is used"),
    ],
)
def test_a_cell_is_judged_by_its_verified_range(
    cell: object, low: float, high: float, will_do: bool, said: str
) -> None:
    found = judged(cell, low, high)
    assert found.will_do is will_do
    assert said in explain(found.reason).what


def test_what_asks_for_more_takes_more_pieces() -> None:
    def pieces(key: str, **changes: float) -> int | None:
        wanted = replace(Wanted(apart=0.05, shares=(0.1, 0.6)), **changes)
        return next(row.pieces for row in size_rows(wanted) if row.key == key)

    assert pieces("clean") == 29
    assert pieces("clean", efficiency=0.95) == 59
    for key, change in (
        ("mean", {"cv": 0.08}), ("mean", {"efficiency": 0.95}), ("each", {"cv": 0.045}), ("apart", {"apart": 0.03}),
        ("apart", {"power": 0.99}), ("margin", {"margin": 0.01}), ("clean", {"confidence": 0.99}),
    ):  # fmt: skip
        before, after = pieces(key), pieces(key, **change)
        assert before is not None
        assert after is None or after > before, (key, change)
    assert pieces("each", cv=0.05) is None  # the mean lies under 1.645 SD above what is asked
    assert pieces("mean", expected=0.85) is None


@pytest.mark.parametrize(
    ("setup", "count", "said"),
    [
        (Setup(), 0, "recipes: must be one or more"),
        (Setup(turns=(3.0, 4.0), expected_n=800.0), 0, "need one recipe to start from; got 0"),
        (Setup(turns=(3.0, 4.0)), 2, "need one recipe to start from; got 2"),
        (Setup(turns=tuple(range(1, 8)), wraps=tuple(range(1, 8))), 1, "at most 36 combinations"),
        (Setup(turns=(3.0, 4.0), design="staircase"), 1, "two or more turns and two or more wraps"),
    ],
)
def test_plans_that_cannot_be_made(setup: Setup, count: int, said: str, recipe: Recipe) -> None:
    with pytest.raises(ValidationError, match=said):
        plan_pulls([("demo.toml", recipe)] * count, Wanted(), setup)
