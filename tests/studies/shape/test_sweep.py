"""Many joints at once against one at a time.

Map of what must hold:
  every joint of a sweep takes the wire that `build_joint` finds, to 1e-9, over random recipes; one that cannot be made is nan
  strains, sizes and gaps are those of `shape` and of the search for the least gap
  a grid and the same joints side by side give the same; a value swept alone equals the recipe's own
  where lays are too many to search every exit, the known ones are exact and the others within what is said
  keywords that are none, units that are missing and values out of range are told all at once
"""

from __future__ import annotations

import itertools
import random
from typing import Any

import numpy as np
import pytest

from helix.errors import ValidationError
from helix.geometry.joint.exit_choice import Planned
from helix.geometry.joint.eye import EyeCannotClose, Throat, closed_eye
from helix.geometry.joint.eye_lengths import Throats, eye_lengths
from helix.geometry.wire.curves import curve_length
from helix.geometry.wire.distance import SKIP, nearest
from helix.model.joint.joint import build_joint, shortened
from helix.model.joint.joint_curves import Sizes, plan_of
from helix.model.recipe.recipe import Recipe, recipe_from_values
from helix.studies.shape import sweep as sweep_module
from helix.studies.shape.shape import shape
from helix.studies.shape.sweep import MOST_EXITS, sweep

WIRE = {"diameter_mm": 0.74, "material": "302 stainless"}
AXES = ("turns", "lay_d", "pin_d", "wraps")


def random_recipe(draw: random.Random) -> dict[str, Any]:
    """The keywords of a recipe: any throat, entry, exit, barrel and finish."""
    values = WIRE | {"pin_d": draw.uniform(3.0, 20.0), "hand": draw.choice(["right", "left"])}
    values["evenness"] = draw.choice([1.0, 1.0, 0.9, 0.5, 0.0])
    values |= {"throat_deg": draw.uniform(40.0, 110.0)} if draw.random() < 0.4 else {}
    values |= {"radius_d": draw.uniform(0.7, 3.0)} if draw.random() < 0.3 else {}
    values |= {"pitch_d": draw.uniform(1.02, 1.6)} if draw.random() < 0.3 else {}
    values |= {"stub_mm": draw.choice([0.0, 0.2, 3.0])} if draw.random() < 0.5 else {}
    return values | {"style": draw.choice(["gradual", "bench"])}


def one(values: dict[str, Any], **changes: float) -> Recipe:
    """The recipe of one joint of a sweep."""
    return recipe_from_values(values | changes)


@pytest.mark.parametrize("seed", range(6))
def test_every_joint_takes_the_wire_that_is_found_for_it_alone(seed: int) -> None:
    draw = random.Random(seed)
    values = random_recipe(draw)
    axes = {"turns": [0.0, 2.5], "lay_d": [1.9, draw.uniform(2.2, 3.3), draw.uniform(3.6, 9.0)],
            "pin_d": [0.4, draw.uniform(2.0, 20.0)], "wraps": [0.0, 3.25]}  # fmt: skip
    swept = sweep(one(values, turns=5, lay_d=4.0), **axes)
    made = 0
    for place, point in zip(np.ndindex(swept.cut_mm.shape), itertools.product(*axes.values()), strict=True):
        try:
            joint = build_joint(one(values, **dict(zip(AXES, point, strict=True))))
        except ValidationError:
            assert not swept.feasible[place] and np.isnan(swept.cut_mm[place]), point
            continue
        made += 1
        assert swept.feasible[place], point
        wanted = joint.wire_mm + joint.recipe.finish.handle_mm
        assert swept.cut_mm[place] == pytest.approx(wanted, rel=1e-9), point
    assert made >= 4 and not swept.feasible.all()
    assert np.all(swept.cut_error_mm[swept.feasible] == 0.0)


@pytest.mark.parametrize("seed", range(3))
def test_sizes_strains_and_gaps_are_those_of_the_joint(seed: int) -> None:
    draw = random.Random(100 + seed)
    values = random_recipe(draw)
    lay_d, wraps = draw.uniform(2.5, 7.0), 4.0
    swept = sweep(one(values, turns=5), paired=True, turns=[3.0], lay_d=[lay_d], wraps=[wraps])
    alone = shape(one(values, turns=3.0, lay_d=lay_d, wraps=wraps))
    rows = {row.name: row for row in alone.sections}
    assert swept.twist.standing_strain[0] == pytest.approx(rows["twist_standing"].max_strain, rel=1e-9, abs=1e-12)
    assert swept.twist.tag_strain[0] == pytest.approx(rows["twist_tag"].max_strain, rel=1e-9)
    assert swept.barrel.strain[0] == pytest.approx(rows["barrel"].max_strain, rel=1e-9)
    assert swept.twist.length_mm[0] == pytest.approx(rows["twist_tag"].axial_mm, rel=1e-9)
    assert swept.barrel.length_mm[0] == pytest.approx(rows["barrel"].axial_mm, rel=1e-9)
    assert swept.twist.diameter_mm[0] == pytest.approx(alone.finished.twist_diameter_mm, rel=1e-9)
    assert swept.barrel.diameter_mm[0] == pytest.approx(alone.finished.barrel_diameter_mm, rel=1e-9)
    assert swept.cut_mm[0] == pytest.approx(alone.cut.total_mm, rel=1e-9)
    layout = shortened(alone.joint)
    names = [piece.section for piece in layout.path.pieces]
    gaps = {tuple(sorted((names[a], names[b]))): gap for (a, b), gap in nearest([layout.path], skip=SKIP).gaps.items()}
    assert swept.twist.gap_d[0] == pytest.approx(gaps["twist_standing", "twist_tag"], abs=1e-9)
    if "pitch_d" in values and values["pitch_d"] < 1.4:
        assert swept.barrel.gap_d[0] > 0.0
    if ("barrel", "barrel") in gaps:
        assert swept.barrel.gap_d[0] == pytest.approx(gaps["barrel", "barrel"], abs=1e-9)


def test_the_eye_s_wire_is_that_of_the_closed_eye() -> None:
    draw = random.Random(7)
    pins, tags, legs, wanted = [], [], [], []
    for _ in range(120):
        lay, out = draw.uniform(0.3, 1.1), draw.uniform(0.2, 1.1)
        curvature = draw.uniform(0.2, 1.2)
        tag = Throat(draw.uniform(0.3, 1.0), curvature, lay, out, draw.uniform(0.7, 2.0), draw.random() < 0.2)
        leg = Throat(draw.uniform(0.0, 0.6), curvature, lay, lay, 1.0 / curvature, False)
        pins.append(draw.uniform(0.5, 20.0))
        tags.append(tag)
        legs.append(leg)
        try:
            eye = closed_eye(pins[-1], tag, leg)
            wanted.append(sum(curve_length(curve) for curve in (*eye.entry_tag, *eye.eye, *eye.entry_standing)))
        except EyeCannotClose:
            wanted.append(np.nan)
    found = eye_lengths(np.array(pins), Throats.of(tags), Throats.of(legs))
    assert 10 < np.isfinite(wanted).sum() < 120
    np.testing.assert_allclose(found, wanted, rtol=1e-11)


def test_a_grid_and_the_same_joints_side_by_side_are_the_same() -> None:
    recipe = one(WIRE, pin_mm=6, turns=5)
    grid = sweep(recipe, turns=[3, 4], pin_mm=[5.0, 6.0, 7.0])
    rows = grid.to_rows()
    side = sweep(recipe, paired=True, turns=[row["turns"] for row in rows], pin_mm=[row["pin_mm"] for row in rows])
    assert np.array_equal(side.cut_mm, grid.cut_mm.ravel())
    assert grid.cut_mm.shape == (2, 3) and len(rows) == 6
    assert list(grid.to_frame().columns) == list(rows[0])
    inches = sweep(recipe, turns=[3, 4], pin_in=np.array([5.0, 6.0, 7.0]) / 25.4)
    np.testing.assert_allclose(inches.cut_mm, grid.cut_mm, rtol=1e-14)


def test_joints_of_one_lay_share_one_exit(monkeypatch: pytest.MonkeyPatch) -> None:
    searches = []

    def counted(recipe: Recipe, sizes: Sizes) -> Planned:
        searches.append(sizes)
        return plan_of(recipe, sizes)

    monkeypatch.setattr(sweep_module, "plan_of", counted)
    swept = sweep(one(WIRE, pin_mm=6), turns=range(1, 11), lay_d=[4.0, 5.0], pin_mm=range(4, 14), wraps=range(1, 11))
    assert len(searches) == 2 and swept.cut_mm.size == 2000 and not swept.cut_error_mm.any()


def test_what_is_not_swept_is_the_recipe_s_own() -> None:
    recipe = one(WIRE, pin_mm=6, turns=4, lay_d=5.0, wraps=3, pitch_d=1.1)
    alone = sweep(recipe, turns=[4.0])
    for other in ({"lay_d": 5.0}, {"wraps": 3}, {"pitch_d": [1.1]}, {"pin_mm": 6}, {"evenness": [1.0]}):
        assert sweep(recipe, **other).cut_mm[0] == pytest.approx(alone.cut_mm[0], rel=1e-14)


@pytest.mark.slow
def test_of_many_lays_the_known_are_exact_and_the_others_as_far_off_as_is_said() -> None:
    recipe = one(WIRE, pin_mm=6, turns=5)
    lays = np.linspace(3.5, 6.0, 401)
    swept = sweep(recipe, lay_d=lays)
    exact = swept.cut_error_mm == 0.0
    assert MOST_EXITS - 2 <= exact.sum() <= MOST_EXITS
    for k in np.random.default_rng(3).choice(len(lays), 24, replace=False):
        alone = build_joint(one(WIRE, pin_mm=6, turns=5, lay_d=float(lays[k])))
        off = abs(swept.cut_mm[k] - alone.wire_mm - alone.recipe.finish.handle_mm)
        assert off <= (1e-9 * swept.cut_mm[k] if exact[k] else 2.0 * swept.cut_error_mm[k] + 1e-6)


def test_everything_that_is_wrong_is_told_at_once() -> None:
    recipe = one(WIRE, pin_mm=6, turns=5)
    several: dict[str, Any] = {"turns": [3, -3], "lay": [4.0], "evenness": [1.2], "colour": [1]} | {
        "wraps": ["few"], "pin_mm": [np.nan]
    }  # fmt: skip
    with pytest.raises(ValidationError) as caught:
        sweep(recipe, **several)
    assert [(issue.path.key, issue.code) for issue in caught.value.faults] == [
        ("turns", "out-of-range"),
        ("lay", "no-unit"),
        ("evenness", "out-of-range"),
        ("colour", "unknown-key"),
        ("wraps", "wrong-type"),
        ("pin_mm", "wrong-type"),
    ]
    wrong: list[dict[str, Any]] = [
        {},
        {"lay_d": [4.0], "lay_mm": [3.0]},
        {"paired": True, "turns": [3, 4], "wraps": [1, 2, 3]},
        {"turns": np.arange(2000), "wraps": np.arange(2000)},
        {"turns": [[1, 2]]},
        {"turns": []},
    ]
    for values in wrong:
        with pytest.raises(ValidationError):
            sweep(recipe, **values)
