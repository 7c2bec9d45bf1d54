"""The picture as it is composed: where the joint stands, the words round it, the angles, the names of its parts.

Map of what must hold:
  whole joint and both close-ups lie in their boxes, from every view; no words run into others or off the canvas
  an angle that is drawn is as large as it says, and is the bend's; past its limit it says so
  a named view is a rotation
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations, pairwise

import numpy as np
import pytest

from helix.output.canvas.primitives import Text
from helix.output.picture.closeup.closeups import close_ups, faulty_parts
from helix.output.picture.picture import Look, picture_canvas
from helix.output.picture.view import VIEWS, named_view, shown_part
from helix.studies.shape.shape import ShapeResult
from tests.output.picture.seen_faults import FAULTS_SEEN, MANY_FAULTS, seen, strokes
from tests.output.picture.test_picture_layout import ALL, EVERY, box_of, many_faults, overlap


@pytest.mark.parametrize("view", VIEWS)
def test_a_named_view_is_a_rotation(view: str) -> None:
    axes = named_view(view).axes
    assert np.allclose(axes @ axes.T, np.eye(3), atol=1e-15)
    assert np.linalg.det(axes) == pytest.approx(1.0)


def test_a_view_of_another_name_is_refused() -> None:
    with pytest.raises(ValueError, match="side, top, eye, three-quarter; got front"):
        named_view("front")


@pytest.mark.parametrize(
    ("name", "size"),
    [
        (name, (1600, 900))
        for name in ("logger-tether", *EVERY[::2], MANY_FAULTS, "few-wraps", "long-lay", "small-eye", "quick-swing")
    ]
    + [pytest.param(name, (1600, 900), marks=pytest.mark.slow) for name in EVERY[1::2]]
    + [(name, (1000, 800)) for name in ("faults/short-exit", "faults/over-twist", MANY_FAULTS)],
)
def test_words_keep_clear_of_each_other_and_of_the_edges(
    example: Callable[[str], ShapeResult], name: str, size: tuple[int, int]
) -> None:
    result = (
        many_faults()
        if name == MANY_FAULTS
        else example(name)
        if "/" in name or name == "logger-tether"
        else seen(example, name)
    )
    canvas = picture_canvas(result, "metric", size)
    texts = [item for item in canvas.over if isinstance(item, Text)]
    boxes = [(item.text, box_of(item)) for item in texts]
    for text, box in boxes:
        assert box[0] >= 0 and box[1] >= 0 and box[2] <= size[0] and box[3] <= size[1], text
    for (first, a), (second, b) in combinations(boxes, 2):
        assert not overlap(a, b), (first, second)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("name", ["faults/good", "faults/wide-throat", "faults/wraps-only", "faults/twist-only"])
def test_the_whole_joint_stands_clear_of_words_and_close_ups(
    example: Callable[[str], ShapeResult], name: str, view: str
) -> None:
    canvas = picture_canvas(example(name), "metric", (1600, 900), Look(view=view))
    whole, *panels = canvas.frames
    flat, _ = whole.view.project(whole.shown.points_mm)
    half = whole.shown.d_mm * whole.view.scale / 2
    low, high = flat.min(axis=0) - half, flat.max(axis=0) + half
    assert low[0] >= whole.box[0] and low[1] >= whole.box[1]
    assert high[0] <= whole.box[2] and high[1] <= whole.box[3]
    assert all(panel.box[1] >= whole.box[3] for panel in panels)
    assert len(panels) == (len(faulty_parts([example(name)])) or 2)  # nothing that is fine beside what is not
    head = [item for item in canvas.over if isinstance(item, Text) and item.y < low[1]]
    assert max(item.y for item in head) < low[1]


@pytest.mark.parametrize("name", ALL)
def test_an_angle_is_as_large_as_it_says(example: Callable[[str], ShapeResult], name: str) -> None:
    result = example(name)
    shown = shown_part(result.joint, 0.05)
    bends = {bend.name: bend for bend in result.bends}
    for panel in close_ups(result, shown):
        said = bends["entry_tag" if panel.name == "entry" else "exit_tag"].visible_angle_deg
        assert panel.angle is not None and panel.angle.size_deg == said
        first, second = (np.asarray(way) @ panel.view.axes[:2].T for way in (panel.angle.first, panel.angle.second))
        drawn = np.degrees(np.arccos(first @ second / np.linalg.norm(first) / np.linalg.norm(second)))
        # drawn at a sample, seen square to the bend; a tag that lifts does not lie quite flat
        assert drawn == pytest.approx(said, abs=0.6), panel.name


def test_the_eye_legs_run_along_the_lines_of_the_first_bend(good: ShapeResult) -> None:
    shown = shown_part(good.joint)
    angle = close_ups(good, shown)[0].angle
    assert angle is not None
    for way, name in ((angle.first, "entry_tag"), (angle.second, "entry_standing")):
        rows = shown.rows(name)
        row = rows[-1] if name == "entry_standing" else rows[0]
        along = shown.tangents[row, [0, 2]] / np.linalg.norm(shown.tangents[row, [0, 2]])
        assert abs(along @ np.asarray(way)[[0, 2]]) > np.cos(np.radians(12.0))


@pytest.mark.parametrize("name", FAULTS_SEEN)
def test_the_names_of_parts_stand_beside_them_and_their_leaders_end_on_them(
    example: Callable[[str], ShapeResult], name: str
) -> None:
    """Failed once: a leader ran the height of the eye along the tag, another ended in the air."""
    result = seen(example, name)
    canvas = picture_canvas(result, "metric", (1600, 900))
    whole = canvas.frames[0]
    flat, _ = whole.view.project(whole.shown.points_mm)
    half = whole.shown.d_mm * whole.view.scale / 2
    counted = {item.role.split(" ")[1]: item.points for item in strokes(canvas, "counted")}
    axial = result.joint.axial
    ends = {"twist": (0.0, axial["exit"]), "barrel": (axial["barrel"], axial["top"])}
    assert set(counted) == {
        part for part, count in (("twist", result.counts.turns), ("barrel", result.counts.wraps)) if count
    }
    for part, points in counted.items():  # a bracket over exactly what is counted, clear of the wire
        at = [whole.view.project([0.0, 0.0, z])[0][0, 0] for z in ends[part]]
        assert sorted({round(x, 6) for x, _ in points}) == pytest.approx(at)
        beside = flat[(flat[:, 0] > at[0]) & (flat[:, 0] < at[1]), 1]
        assert all(y < beside.min() - half or y > beside.max() + half for _, y in points)
    words = {item.text: box_of(item) for item in canvas.over if isinstance(item, Text)}
    for line in strokes(canvas, "leader"):
        part, (x, y) = line.role.split(" ")[1], line.points[-1]
        if part in counted:
            xs = [px for px, _ in counted[part]]
            assert min(xs) - 1e-6 <= x <= max(xs) + 1e-6 and any(abs(y - py) < 1e-6 for _, py in counted[part])
        else:
            assert np.hypot(flat[:, 0] - x, flat[:, 1] - y).min() <= half + 1e-6, part
        assert sum(np.hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(line.points)) < 130.0, part
    for text, box in words.items():  # none on the wire
        if box[3] < whole.box[3] and box[1] > whole.box[1] and not text.isdigit():
            gap = np.maximum(np.maximum(box[0] - flat[:, 0], flat[:, 0] - box[2]),
                             np.maximum(box[1] - flat[:, 1], flat[:, 1] - box[3]))  # fmt: skip
            assert gap.min() > half, text


@pytest.mark.parametrize(
    ("name", "said"), [("wide-throat", "100 deg (limit 90)"), ("overbent-120", "120 deg (limit 90)"), ("good", "")]
)
def test_an_angle_past_its_limit_names_it(example: Callable[[str], ShapeResult], name: str, said: str) -> None:
    canvas = picture_canvas(example(f"faults/{name}"), "metric", (1600, 900))
    words = [item.text for item in canvas.over if isinstance(item, Text)]
    assert (said in words) if said else not any("limit 90" in text for text in words)
    assert not said or any("(limit 90: practice)" in text for text in words)
    assert "d: the wire's diameter, 0.737 mm." in words
    # its words keep off the bend that they are about
    whole = canvas.frames[0].shown
    bends = [panel for panel in close_ups(example(f"faults/{name}"), whole) if not said or panel.severity]
    for panel, frame in zip(bends, canvas.frames[1:], strict=True):
        assert panel.angle is not None
        ((x, y),) = frame.view.project(panel.angle.corner_mm)[0].tolist()
        card = box_of(next(item for item in canvas.over if isinstance(item, Text) and item.text == panel.angle.words()))
        assert not card[0] < x < card[2] or not card[1] < y < card[3]
