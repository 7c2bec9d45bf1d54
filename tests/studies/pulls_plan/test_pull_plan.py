"""Plans of pull tests: pieces, load cells, wire through the joint model, energy, blocked random order."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from helix.errors import ValidationError
from helix.findings import notice
from helix.model.recipe.recipe import read_recipe, recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.output.words.findings.finding_words import explain
from helix.quantities import parse
from helix.statistics.samples import tolerance_factor
from helix.studies.pulls_plan.load_cells import judged, load_cell
from helix.studies.pulls_plan.pull_by_size import shows
from helix.studies.pulls_plan.pull_order import STAIR_STEPS
from helix.studies.pulls_plan.pull_plan import PlanResult, Setup, plan_pulls
from helix.studies.pulls_plan.pull_sizes import Wanted, size_rows
from helix.studies.shape.shape import shape

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


def test_a_recipe_of_two_wires_asks_for_the_cell_and_the_wire_of_both(recipe: Recipe) -> None:
    wire = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\ncount = {}\n[eye]\npin = "8 mm"\n'
    one, two = (recipe_from_text(wire.format(count)) for count in (1, 2))
    of_one, of_two = (plan_pulls([("a.toml", each)], Wanted(), Setup()) for each in (one, two))
    cells = [next(choice for choice in plan.cells if choice.will_do).cell for plan in (of_one, of_two)]
    assert cells[1].capacity_n == 2.0 * cells[0].capacity_n == 2000.0
    assert of_two.energy.load_n == pytest.approx(2.0 * of_one.energy.load_n, rel=1e-12)
    with pytest.raises(ValidationError, match="must all be of one wire, or all of two"):
        plan_pulls([("a.toml", one), ("b.toml", two)], Wanted(), Setup())


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


def of_sizes(recipe: Recipe, *sizes: str) -> list[tuple[str, Recipe]]:
    text = DEMO.read_text(encoding="utf-8")
    assert '"MWG 12"' in text
    return [(f"{size}.toml", recipe_from_text(text.replace('"MWG 12"', f'"{size}"'))) for size in sizes]


def test_a_test_day_of_three_sizes(recipe: Recipe) -> None:
    setup = Setup(each=6, controls=3, batches=("A", "B"))
    day = plan_pulls(of_sizes(recipe, "MWG 14", "MWG 6", "MWG 12"), Wanted(), setup)
    assert [size.size for size in day.by_size] == ["MWG 6", "MWG 12", "MWG 14"]
    sizes = [row.treatment.size for row in day.order]
    assert [size for k, size in enumerate(sizes) if k == 0 or size != sizes[k - 1]] == ["MWG 6", "MWG 12", "MWG 14"]
    counts = Counter((row.treatment.size, row.batch, row.treatment.joints) for row in day.order)
    assert all(counts[size.size, batch, joints] == 3 for size in day.by_size for batch in "AB" for joints in (0, 2))
    assert len({row.id for row in day.order}) == len(day.order) == 3 * (6 + 6)
    blocks = [row.block for row in day.order]
    assert blocks == sorted(blocks) and len({(row.block, row.batch, row.treatment.size) for row in day.order}) == 6
    for size in day.by_size:  # each size alone asks for the same, up to where its numbers start
        (alone,) = plan_pulls(of_sizes(recipe, size.size), Wanted(), setup).by_size
        assert alone == size
    assert day.load_low_n == min(size.load_low_n for size in day.by_size)
    assert day.load_high_n == max(size.load_high_n for size in day.by_size)
    cut = {length.treatment: length.cut_mm for length in day.lengths}
    for size in day.by_size:
        rows = [row for row in day.order if row.treatment.size == size.size]
        assert size.cut_mm == pytest.approx(sum(cut[row.treatment.name] for row in rows))
        assert 1.1 * size.cut_mm <= size.stock_mm + 1e-6 < 1.1 * size.cut_mm + 100.0


def test_one_load_cell_for_all_or_one_a_size(recipe: Recipe) -> None:
    recipes = of_sizes(recipe, "MWG 6", "MWG 14")
    coarse, small, large = load_cell(5000.0, "1", 2.0), load_cell(500.0), load_cell(2000.0, "1", 2.0)
    both = plan_pulls(recipes, Wanted(), Setup(cells=(coarse, small, load_cell(2000.0))))
    assert both.cell is not None and both.cell.cell == load_cell(2000.0)
    apart = plan_pulls(recipes, Wanted(), Setup(cells=(coarse, small, large)))
    assert apart.cell is None
    assert [size.cell.cell for size in apart.by_size if size.cell] == [small, large]
    none = plan_pulls(recipes, Wanted(), Setup(cells=(load_cell(100.0),)))
    assert none.cell is None and not any(size.cell for size in none.by_size)


def test_the_load_cell_takes_straight_wire_too(recipe: Recipe) -> None:
    expected = Setup(expected_n=900.0, controls=5)
    even = Wanted(cv=0.001, expected=0.8)
    assert plan_pulls([], even, expected).load_high_n == pytest.approx(900.0 / 0.8 * 1.045)
    assert plan_pulls([], even, replace(expected, controls=0)).load_high_n == pytest.approx(900.0 * 1.003)


def test_what_so_many_pieces_show_against_simulated_benches() -> None:
    rng = np.random.default_rng(6)
    for pieces in (3, 10, 29):
        found = shows(pieces, Wanted())
        assert (1.0 - found.unwinds_at_most) ** pieces == pytest.approx(0.025)
        loads = 1.0 + 0.04 * rng.standard_normal((20_000, pieces))
        mean, sd = loads.mean(axis=1), loads.std(axis=1, ddof=1)
        assert found.mean_within is not None and found.plan_below is not None
        # an even SD makes half-widths of that many SD: their means over benches, by the mean of the SD
        assert np.mean(abs(mean - 1.0) < found.mean_within * sd / 0.04) == pytest.approx(0.95, abs=0.006)
        next_ones = 1.0 + 0.04 * rng.standard_normal(20_000)
        assert np.mean(next_ones > mean - found.plan_below * sd / 0.04) == pytest.approx(0.95, abs=0.006)
    assert shows(2, Wanted()).plan_below is None


def test_95_percent_reach_90_counts_the_chance_to_succeed() -> None:
    rows = {power: size_rows(Wanted(power=power, cv=0.035)) for power in (0.5, 0.9)}
    half, most = (next(row.pieces for row in rows[power] if row.key == "each") for power in (0.5, 0.9))
    assert half is not None and most is not None and half < most
    rng = np.random.default_rng(7)
    loads = 0.97 * (1.0 + 0.035 * rng.standard_normal((2000, most)))
    bounds = loads.mean(axis=1) - tolerance_factor(most, 0.95, 0.95) * loads.std(axis=1, ddof=1)
    assert np.mean(bounds >= 0.90) == pytest.approx(0.9, abs=0.03)


@pytest.mark.parametrize(
    ("setup", "count", "said"),
    [
        (Setup(), 0, "recipes: must be one or more"),
        (Setup(turns=(3.0, 4.0), expected_n=800.0), 0, "need one recipe to start from; got 0"),
        (Setup(turns=(3.0, 4.0)), 2, "need one recipe to start from; got 2"),
        (Setup(turns=tuple(range(1, 8)), wraps=tuple(range(1, 8))), 1, "at most 36 combinations"),
        (Setup(turns=(3.0, 4.0), design="staircase"), 1, "two or more turns and two or more wraps"),
        (Setup(each=1000, turns=(3.0, 4.0, 5.0), wraps=(4.0, 5.0)), 1, "at most 5,000 pieces; this one has 6,005"),
        (Setup(), 37, "recipes: must be at most 36; got 37"),
    ],
)
def test_plans_that_cannot_be_made(setup: Setup, count: int, said: str, recipe: Recipe) -> None:
    with pytest.raises(ValidationError, match=said):
        plan_pulls([("demo.toml", recipe)] * count, Wanted(), setup)


def test_the_pieces_that_can_refute_the_simulation_are_planned_with_what_it_says(recipe: Recipe) -> None:
    plan = plan_pulls([("demo.toml", recipe)], Wanted(), Setup(decide=True, each=4, controls=3))
    counts = Counter(row.treatment.name for row in plan.order)
    assert counts == {
        "5 turns, no barrel": 4,
        "hands 75 deg apart": 4,
        "hands 105 deg apart": 4,
        "one bend of 90 deg": 4,
        "control": 3,
    }
    lengths = {length.treatment: length for length in plan.lengths}
    assert (
        lengths["one bend of 90 deg"].joints == 0
        and lengths["5 turns, no barrel"].cut_mm < lengths["hands 75 deg apart"].cut_mm
    )
    assert plan.decide is not None and plan.decide.strength_n == recipe.wire.breaking_load_n[1]
    for item in plan.decide.tests:
        # each can come out wrong, and what would show it lies outside what is expected
        assert 0.0 < item.low < item.high
        assert (item.wrong_below is None) != (item.wrong_above is None)
        assert (item.wrong_below or 0.0) < item.low and (item.wrong_above or 9.0) > item.high
    assert plan.invented and "recipe-at-fault" not in {note.code for note in plan.notes}


def test_the_deciding_plan_needs_one_recipe(recipe: Recipe) -> None:
    with pytest.raises(ValidationError, match="decide: needs one recipe of one wire"):
        plan_pulls([("a", recipe), ("b", recipe)], Wanted(), Setup(decide=True))
    with pytest.raises(ValidationError, match="decide: needs one recipe of one wire"):
        plan_pulls([("a", recipe)], Wanted(), Setup(decide=True, turns=(4.0,)))
