"""The draft that follows a hand: what it says must be what the answer says, to a coarse sample's precision.

Map of what must hold:
  counts, wire to cut and finished sizes of a draft are those of the answer
  its strains lie within a hundredth of the answer's, its angles within a degree, its verdicts are the same
  but for the overlap it knows the same flags; it says nothing of overlaps
  a scene can be made of it
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import KDTree

from helix.model.recipe.recipe import read_recipe
from helix.output.viewer.scene import scene
from helix.studies.shape.outline import DRAFT_STEP, Draft, Outline, draft
from helix.studies.shape.shape import ShapeResult, shape

FAULTS = sorted((Path(__file__).parents[3] / "docs" / "examples" / "faults").glob("*.toml"))
REFUSED = ("crossings-as-turns", "lay-two")
ROUGH = ("over-twist", "overbent")  # what their exits need to clear is looked for only roughly


@pytest.fixture(
    scope="module", params=[path for path in FAULTS if path.stem not in REFUSED], ids=lambda path: path.stem
)
def both(request: pytest.FixtureRequest) -> tuple[Draft, ShapeResult]:
    recipe = read_recipe(request.param)
    return draft(recipe), shape(recipe)


SIZES = ("length_mm", "eye_inside_width_mm", "eye_inside_length_mm", "twist_diameter_mm", "barrel_diameter_mm")
NEAR_D = 0.01  # what a draft promises; between samples 0.01 d apart a point lies within 0.005 d of one


def rough(result: ShapeResult) -> bool:
    return Path(result.recipe.place).stem.startswith(ROUGH)


def test_a_draft_has_the_answers_numbers(both: tuple[Draft, ShapeResult]) -> None:
    quick, full = both
    assert isinstance(full, Outline)
    if rough(full):
        assert quick.cut_mm == pytest.approx(full.cut.total_mm, rel=5e-3)
        return
    near = NEAR_D * full.joint.diameter_mm
    assert quick.cut_mm == pytest.approx(full.cut.total_mm, abs=near)
    assert (quick.counts.turns, quick.counts.wraps) == (full.counts.turns, full.counts.wraps)
    assert quick.counts.total == pytest.approx(full.counts.total, abs=NEAR_D)
    for name in SIZES:
        ours, theirs = getattr(quick.finished, name), getattr(full.finished, name)
        assert ours == theirs or ours == pytest.approx(theirs, abs=near), name


def test_a_draft_judges_as_the_answer_does(both: tuple[Draft, ShapeResult]) -> None:
    quick, full = both
    for coarse, fine in zip(quick.bends, full.bends, strict=True):
        assert coarse.severity == fine.severity, fine.name
        assert coarse.strain == pytest.approx(fine.strain, abs=0.01), fine.name
        if fine.min_radius_d is None or coarse.min_radius_d is None:
            assert coarse.min_radius_d == fine.min_radius_d or fine.governing == "overlap", fine.name
        else:
            assert coarse.min_radius_d == pytest.approx(fine.min_radius_d, rel=0.01), fine.name
        assert coarse.visible_angle_deg == pytest.approx(fine.visible_angle_deg, abs=1.0), fine.name
    told = [flag for flag in full.findings if flag.code not in ("overlap", "wraps-overlap")]
    assert [flag.code for flag in quick.findings] == [flag.code for flag in told]


def test_a_scene_of_a_draft_stands_where_the_joint_does(both: tuple[Draft, ShapeResult]) -> None:
    quick, full = both
    told, known = scene(quick, step_d=0.3), scene(full)
    assert told["legends"].keys() == known["legends"].keys()
    names = [{note["name"] for note in each["notes"] if note["part"]} for each in (told, known)]
    assert names[0] == names[1]
    line = quick.line(0.3)
    assert np.array_equal(np.unique(line.section), np.unique(full.joint.sample(0.3).section))
    steps = np.linalg.norm(np.diff(line.points_mm, axis=0), axis=1) / full.joint.diameter_mm
    bent = np.minimum(line.curvature_per_mm[1:], line.curvature_per_mm[:-1]) > 0.0  # straight parts are coarser
    assert steps[bent].max() < 0.3 + 2 * DRAFT_STEP
    if not rough(full):
        dense = KDTree(full.joint.sample(0.01, 0.01).points_mm)
        away, _ = dense.query(line.points_mm)
        assert away.max() / full.joint.diameter_mm < NEAR_D
