"""Lines of contact of tag and leg against brute force: nearest places of sampled points, their midpoints as a cloud."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import minimum_spanning_tree
from scipy.spatial import cKDTree

from helix.model.joint.section_names import SECTIONS
from helix.studies.shape.contact_lines import TOUCH_D
from helix.studies.shape.shape import ShapeResult
from tests.tools.brute import answer

STEP = 0.005
EVERY = 5  # places of the tag that are looked at


def cloud_length(middles: np.ndarray) -> float:
    """Length of the lines that a cloud of midpoints lies on: its shortest tree of steps below 0.08 d."""
    pairs = cKDTree(middles).query_pairs(0.08, output_type="ndarray")
    if not len(pairs):
        return 0.0
    apart = np.linalg.norm(middles[pairs[:, 0]] - middles[pairs[:, 1]], axis=1)
    graph = coo_matrix((np.maximum(apart, 1e-12), (pairs[:, 0], pairs[:, 1])), shape=(len(middles),) * 2)
    return float(minimum_spanning_tree(graph.tocsr()).sum())


def by_brute_force(result: ShapeResult) -> tuple[float, float]:
    """Contact [d] of both legs in the twist, and of what has the exit in it: wherever the distance has a minimum of one
    diameter, within TOUCH_D where a tight lay is opened or the tag lifted, and else within what the samples' spacing can hide."""
    line = result.joint.sample(STEP)
    names = np.array([SECTIONS[k] for k in line.section])
    at = {
        side: np.flatnonzero(np.isin(names, sections))
        for side, sections in (
            ("tag", ("twist_tag", "exit_tag")),
            ("leg", ("twist_standing", "exit_standing", "barrel_core", "standing")),
        )
    }
    layout = result.joint.layout
    opened = layout.twist_end.z, layout.twist_end.z + layout.planned.plan.open_length
    points, leg = line.points_mm / result.joint.diameter_mm, at["leg"]
    twist: list[np.ndarray] = []
    leaving: list[np.ndarray] = []
    for row in at["tag"][::EVERY]:
        apart = np.linalg.norm(points[leg] - points[row], axis=1)
        low = np.flatnonzero((apart[1:-1] <= apart[:-2]) & (apart[1:-1] < apart[2:])) + 1
        for k in low[apart[low] <= 1.0 + TOUCH_D]:
            near = layout.planned.plan.lift > 0.0 or any(opened[0] <= points[j, 2] < opened[1] for j in (row, leg[k]))
            if not near and apart[k] > 1.0 + STEP**2:
                continue
            both = names[row] == "twist_tag" and names[leg[k]] == "twist_standing"
            (twist if both else leaving).append((points[row] + points[leg[k]]) / 2.0)
    return tuple(cloud_length(np.array(each).reshape(-1, 3)) for each in (twist, leaving))


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param({"lay": 2.2}, marks=pytest.mark.slow),
        {"lay": 2.6},
        {"lay": 2.6, "hand": "left", "turns": 2.5},
        pytest.param({"lay": 2.6, "evenness": 0.5}, marks=pytest.mark.slow),
        {"lay": 2.9, "exit": 'style = "bench"'},  # lifts off while running in
        pytest.param({"lay": 3.3}, marks=pytest.mark.slow),  # opened, on one line
        *(pytest.param({"lay": lay}, marks=pytest.mark.slow) for lay in (3.05, 3.6)),
        {"lay": 4.0},
        {"lay": 4.0, "evenness": 0.3},
        {"lay": 5.0, "barrel_hand": "opposite"},
    ],
    ids=str,
)
def test_contact_of_legs_and_exit_by_brute_force(changes):
    result = answer(**changes)
    contact, d = result.contact, result.joint.diameter_mm
    twist, leaving = by_brute_force(result)
    lines, step = (2 if changes["lay"] < 3.14 else 1), EVERY * STEP
    assert contact.leg_on_leg_mm / d == pytest.approx(twist, abs=2 * lines * step)  # a step at each end of a line
    ends = 8 if lines == 2 else 2  # two lines, each on both sides of the twist's end, and where the opening closes
    assert contact.tag_on_leg_mm / d == pytest.approx(leaving, abs=ends * step / 2)


def test_the_lines_of_a_tight_lay_part_at_once():
    """One line all along the opening, as for legs that face each other there, would be its whole length more."""
    tight, just = answer(lay=2.6), answer(lay=3.3)
    for result in (tight, just):
        assert result.joint.layout.planned.plan.open_length == 3.0
    assert tight.clearance.lift_off_d > 0.02 and just.clearance.lift_off_d == 0.0
    assert just.contact.tag_on_leg_mm - tight.contact.tag_on_leg_mm > 3.0


def test_nothing_is_said_of_an_exit_that_overlaps():
    result = answer(exit='leg = "1.5 d"\nswing = 0.4')
    assert result.joint.layout.planned.overlaps and result.contact.tag_on_leg_mm == 0.0
