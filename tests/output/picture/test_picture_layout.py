"""The sheet round the joint: view, placing of labels, leader lines, marks.

Map of what must hold:
  the view keeps lengths and hands; a fitted joint just fills its box
  all of the joint but the far standing leg is drawn, unbroken but at the break sign
  labels are placed as a quadratic program would (least squares, in order, apart)
  no text lies on another, on the wire or off the canvas; no leader line crosses a text or another line
  every bend that is not ok is marked at its place, and named; two at one place are marked once
  a verdict too long for its lines names the gravest, and says how many more
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from helix.model.recipe.recipe import recipe_from_text
from helix.output.canvas.label_places import spread
from helix.output.canvas.lettering import fitted_line, text_width, wrapped
from helix.output.canvas.primitives import Area, Stroke, Text
from helix.output.picture.picture_layout import Sheet, compose, round_below, verdict_lines
from helix.output.picture.view import STANDING_SHOWN_D, VisiblePart, fitted, shown_part, side_view
from helix.output.words.words import telling
from helix.studies.shape.shape import ShapeResult, shape
from tests.output.conftest import EXAMPLES

ALL = (
    "logger-tether", "faults/bench-exit", "faults/loose-twist", "faults/open-barrel",
    "faults/opposite-hand-barrel", "faults/over-twist", "faults/overbent-120", "faults/short-exit",
    "faults/small-entry-radius", "faults/tight-pitch", "faults/twist-only", "faults/uneven-zero",
    "faults/wide-throat", "faults/wraps-only",
)  # fmt: skip
REFUSED = ("crossings-as-turns", "lay-two")  # no joint can be made of these
EVERY = tuple(
    f"faults/{path.stem}" for path in sorted((EXAMPLES / "faults").glob("*.toml")) if path.stem not in REFUSED
)
MANY = """
title = "Many faults at once, and a title that says so at some length, as titles at times do, for the width of a page"
[wire]
size = "MWG 12"
material = "302 stainless"
rated_load = "2 kN"
[eye]
pin = "6 mm"
throat = "100 deg"
[entry]
radius = "0.6 d"
[twist]
turns = 3
lay_length = "4 d"
evenness = 0.3
[exit]
peak_angle = "120 deg"
[barrel]
wraps = 3
pitch = "1.8 d"
hand = "opposite"
"""


@cache
def many_faults() -> ShapeResult:
    """A joint with seven findings or more."""
    result = shape(recipe_from_text(MANY))
    assert len(telling(result)) >= 7
    return result


def sheet_of(
    result: ShapeResult, size: tuple[float, float] = (1600.0, 900.0), tilt: float = 0.28
) -> tuple[Sheet, VisiblePart]:
    shown = shown_part(result.joint)
    return compose(result, shown, side_view(tilt), size, "metric"), shown


@pytest.mark.parametrize("tilt", [0.0, 0.3, 2.0])
def test_the_view_is_a_rotation_that_keeps_the_axis(tilt: float) -> None:
    axes = side_view(tilt).axes
    assert np.allclose(axes @ axes.T, np.eye(3), atol=1e-15)
    assert np.linalg.det(axes) == pytest.approx(1.0)  # right, up, nearer: no mirror image
    flat, near = side_view(tilt).project([[0.0, 0.0, 1.0]])
    assert np.allclose(flat, [[1.0, 0.0]]) and np.allclose(near, 0.0)


def test_seen_along_the_pin_x_is_up_and_y_comes_nearer() -> None:
    flat, near = side_view().project([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    assert np.allclose(flat, [[0.0, -1.0], [0.0, 0.0]]) and np.allclose(near, [0.0, 1.0])


@pytest.mark.parametrize("name", ["faults/good", "faults/wraps-only", "faults/overbent-120"])
def test_all_but_the_far_standing_leg_is_drawn(example: Callable[[str], ShapeResult], name: str) -> None:
    joint = example(name).joint
    shown = shown_part(joint)
    d = joint.diameter_mm
    own = joint.wire_mm - joint.section_mm("standing")
    assert shown.break_mm is not None and len(shown.pieces) == 2
    beyond, rest = shown.pieces
    steps = np.linalg.norm(np.diff(shown.points_mm[rest], axis=0), axis=1)
    assert steps.max() <= 0.3 * d
    top = shown.points_mm[shown.rows("standing")[-1], 2]
    drawn = shown.s_mm[rest][-1] - shown.s_mm[rest][0]
    highest = shown.points_mm[~np.isin(np.arange(len(shown.s_mm)), shown.rows("standing")), 2].max()
    standing = highest + STANDING_SHOWN_D * d - shown.points_mm[shown.rows("barrel_core", "exit_standing")[0], 2]
    assert drawn == pytest.approx(own + standing, rel=1e-9)
    assert steps.sum() == pytest.approx(drawn, rel=2e-4)
    assert top <= shown.break_mm[0] < shown.break_mm[1] == pytest.approx(shown.points_mm[beyond][:, 2].min())
    assert np.abs(shown.points_mm[shown.rows("standing"), :2]).max() < 1e-9


def test_a_short_standing_leg_is_drawn_whole(good: ShapeResult) -> None:
    recipe = replace(good.recipe, finish=replace(good.recipe.finish, standing_mm=2.0))
    joint = shape(recipe).joint
    shown = shown_part(joint)
    assert shown.break_mm is None and shown.pieces == (slice(0, len(shown.s_mm)),)
    assert shown.s_mm[-1] - shown.s_mm[0] == pytest.approx(joint.wire_mm)
    assert np.linalg.norm(np.diff(shown.points_mm, axis=0), axis=1).sum() == pytest.approx(joint.wire_mm, rel=2e-4)


@pytest.mark.parametrize("box", [(10.0, 20.0, 500.0, 120.0), (0.0, 0.0, 100.0, 900.0)])
def test_a_fitted_joint_just_fills_its_box(good: ShapeResult, box: tuple[float, float, float, float]) -> None:
    shown = shown_part(good.joint)
    view = fitted(side_view(0.2), shown, box)
    flat, _ = view.project(shown.points_mm)
    half = shown.d_mm / 2 * view.scale
    low, high = flat.min(axis=0) - half, flat.max(axis=0) + half
    slack = np.array([low[0] - box[0], low[1] - box[1], box[2] - high[0], box[3] - high[1]])
    assert slack.min() == pytest.approx(0.0, abs=1e-9)
    assert slack[0] == pytest.approx(slack[2]) and slack[1] == pytest.approx(slack[3])


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(1, 15)), min_size=1, max_size=6), st.floats(0, 20))
def test_labels_are_placed_as_a_quadratic_program_would(boxes: list[tuple[float, float]], low: float) -> None:
    boxes = sorted(boxes)
    wanted, widths = np.array([b[0] for b in boxes]), np.array([b[1] for b in boxes])
    high = low + widths.sum() + 40.0
    left = np.array(spread(wanted.tolist(), widths.tolist(), low, high))
    assert np.all(np.diff(left) >= widths[:-1] - 1e-9)
    assert left[0] >= low - 1e-9 and left[-1] + widths[-1] <= high + 1e-9

    def cost(x: np.ndarray) -> float:
        return float(np.sum((x + widths / 2 - wanted) ** 2))

    apart = [{"type": "ineq", "fun": lambda x, k=k: x[k + 1] - x[k] - widths[k]} for k in range(len(boxes) - 1)]
    start = low + np.concatenate(([0.0], np.cumsum(widths)[:-1]))
    bounds = [(low, high - w) for w in widths]
    best = minimize(cost, start, constraints=apart, bounds=bounds, method="SLSQP", options={"ftol": 1e-12})
    assert cost(left) <= best.fun + 1e-5 * (1 + best.fun)


@pytest.mark.parametrize("value", [1e-6, 0.2, 0.99, 1.0, 7.3, 1e5])
def test_round_numbers_are_the_largest_below(value: float) -> None:
    found = round_below(value, (1.0, 2.0, 5.0))
    assert found <= value * (1 + 1e-9) < 2.5 * found * (1 + 1e-9)
    assert f"{found:e}"[0] in "125" and float(f"{found:.0e}") == pytest.approx(found)


def test_text_is_broken_to_fit() -> None:
    text = "The eye legs cross at 100 deg, beyond 90 deg: sharp, and so on for quite a while."
    lines = wrapped(text, 10.0, 120.0)
    assert " ".join(lines) == text
    assert max(text_width(line, 10.0) for line in lines) <= 120.0
    assert not any(line.endswith(("100", "90")) for line in lines)
    assert len(wrapped(text, 10.0, 120.0, most=2)) == 2 and wrapped(text, 10.0, 120.0, most=2)[1].endswith("...")
    assert text_width(fitted_line(text, 10.0, 90.0), 10.0) <= 90.0


def box_of(item: Text) -> tuple[float, float, float, float]:
    width = text_width(item.text, item.size, item.bold)
    x = item.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * width
    return x, item.y - 0.75 * item.size, x + width, item.y + 0.22 * item.size


def overlap(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def crosses(p: np.ndarray, q: np.ndarray, r: np.ndarray, s: np.ndarray) -> bool:
    """Whether two segments cross inside of both."""

    def side(a: np.ndarray, b: np.ndarray, c: np.ndarray) -> float:
        return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))

    return side(p, q, r) * side(p, q, s) < -1e-9 and side(r, s, p) * side(r, s, q) < -1e-9


def lies_along(p: np.ndarray, q: np.ndarray, r: np.ndarray, s: np.ndarray) -> bool:
    """Whether two level segments lie on each other for some length."""
    if p[1] != q[1] or r[1] != s[1] or abs(p[1] - r[1]) > 1e-9:
        return False
    return bool(min(max(p[0], q[0]), max(r[0], s[0])) > max(min(p[0], q[0]), min(r[0], s[0])) + 1e-9)


def hits(a: np.ndarray, b: np.ndarray, box: tuple[float, float, float, float]) -> bool:
    """Whether a level or upright segment runs into the inside of a box."""
    assert np.any(np.abs(a - b) < 1e-9)
    return overlap((*np.minimum(a, b), *np.maximum(a, b)), box)


@pytest.mark.parametrize("name", ["logger-tether", *EVERY])
def test_nothing_on_the_sheet_runs_into_anything_else(example: Callable[[str], ShapeResult], name: str) -> None:
    check_sheet(example(name), (1600.0, 900.0))


@pytest.mark.parametrize("size", [(1600.0, 900.0), (600.0, 1200.0)])
@pytest.mark.parametrize(
    ("turns", "wraps", "pin_mm"), [(100.0, 100.0, 6.0), (5.0, 5.0, 60.0), (1.0, 0.5, 0.8), (40.0, 1.0, 3.0)]
)
def test_nor_where_all_parts_are_crowded_together(
    good: ShapeResult, turns: float, wraps: float, pin_mm: float, size: tuple[float, float]
) -> None:
    recipe = replace(
        good.recipe,
        twist=replace(good.recipe.twist, turns=turns),
        barrel=replace(good.recipe.barrel, wraps=wraps),
        eye=replace(good.recipe.eye, pin_mm=pin_mm),
    )
    check_sheet(shape(recipe), size)


def test_nor_where_there_are_many_faults() -> None:
    check_sheet(many_faults(), (1600.0, 900.0))


@pytest.mark.parametrize("width", [2500.0, 1500.0, 900.0, 500.0])
def test_a_long_verdict_names_the_gravest_and_counts_the_rest(width: float) -> None:
    result = many_faults()
    found = telling(result)
    lines = verdict_lines(result, "metric", 24.0, width)
    text = " ".join(lines)
    assert len(lines) <= 2 and "..." not in text
    assert all(text_width(line, 24.0, bold=True) <= width for line in lines)
    more = re.search(r"(\d+) more findings?\.$", text)
    told = len(found) - (int(more[1]) if more else 0)
    assert told >= 1 and all(finding.short in text for finding in found[:told])
    assert text.startswith(f"{found[0].severity.word.capitalize()}: {found[0].short}")
    assert bool(more) == (width < 1500.0)


def check_sheet(result: ShapeResult, size: tuple[float, float]) -> None:
    sheet, shown = sheet_of(result, size)
    texts = [item for item in (*sheet.under, *sheet.over) if isinstance(item, Text)]
    boxes = [box_of(item) for item in texts]
    for box, item in zip(boxes, texts, strict=True):
        assert box[0] >= 0 and box[1] >= 0 and box[2] <= size[0] and box[3] <= size[1], item.text
    for (a, first), (b, second) in combinations(zip(boxes, texts, strict=True), 2):
        assert not overlap(a, b), (first.text, second.text)
    leaders = [item for item in sheet.over if isinstance(item, Stroke) and item.role.startswith("leader")]
    lines = [
        (item.role, np.array(item.points[k]), np.array(item.points[k + 1]))
        for item in leaders
        for k in range(len(item.points) - 1)
    ]
    for (role, p, q), (other, r, s) in combinations(lines, 2):
        assert role == other or not crosses(p, q, r, s), (role, other)
        assert role == other or not lies_along(p, q, r, s), (role, other)
    for role, p, q in lines:
        for box, item in zip(boxes, texts, strict=True):
            assert not hits(p, q, box), (role, item.text)
    flat, _ = sheet.view.project(shown.points_mm)
    for box, item in zip(boxes, texts, strict=True):
        gap = np.maximum(
            np.maximum(box[0] - flat[:, 0], flat[:, 0] - box[2]), np.maximum(box[1] - flat[:, 1], flat[:, 1] - box[3])
        )
        assert gap.min() > sheet.wire_width / 2, item.text


@pytest.mark.parametrize("name", ALL)
def test_every_bend_that_is_not_ok_is_marked_in_its_place_and_named(
    example: Callable[[str], ShapeResult], name: str
) -> None:
    result = example(name)
    sheet, _ = sheet_of(result)
    written = " ".join(item.text for item in (*sheet.under, *sheet.over) if isinstance(item, Text))
    for bend in result.bends:
        flat, _ = sheet.view.project(bend.point_mm)
        away = [np.hypot(ring[1] - flat[0, 0], ring[2] - flat[0, 1]) for ring in sheet.rings]
        rings = [ring for ring, far in zip(sheet.rings, away, strict=True) if far <= 0.7 * ring[3] + 1e-6]
        assert bool(rings) == (bool(bend.severity) and bend.governing != "hand")
        for severity, _, _, radius in rings:
            assert radius > 1.5 * sheet.wire_width / 2  # what it points at is to be seen through it
            assert f"{severity.name}: " in written
    marks = [item for item in sheet.over if isinstance(item, Area) and item.role.startswith("mark")]
    assert len(marks) == len(sheet.rings)
    for one, other in combinations(sheet.rings, 2):  # two at one place are one
        assert np.hypot(one[1] - other[1], one[2] - other[2]) > 0.7 * min(one[3], other[3])
    corners = {"fault": 4, "sharp": 3, "caution": 6}
    assert all(len(mark.points) == corners[mark.role.split()[1]] for mark in marks)  # told by shape too


@pytest.mark.parametrize("name", ALL)
def test_title_answer_parts_and_caution_are_written(example: Callable[[str], ShapeResult], name: str) -> None:
    result = example(name)
    sheet, _ = sheet_of(result)
    lines = [item.text for item in (*sheet.under, *sheet.over) if isinstance(item, Text)]
    assert lines[0] == result.recipe.title
    assert lines[1].startswith(f"Cut {result.cut.total_mm:.0f} mm")
    parts = {"eye", "standing leg", "end of the tag"} | ({"twist"} if result.counts.turns else set())
    assert parts | ({"barrel"} if result.counts.wraps else set()) <= set(lines)
    assert any("Not for lifting" in line for line in lines)


@pytest.mark.parametrize(("units", "mm", "unit"), [("metric", 1.0, "mm"), ("inch", 25.4, "in")])
def test_the_scale_bar_is_as_long_as_it_says(good: ShapeResult, units: str, mm: float, unit: str) -> None:
    sheet = compose(good, shown_part(good.joint), side_view(), (1600.0, 900.0), units)
    bar = next(item for item in sheet.over if isinstance(item, Stroke) and item.role == "scale bar")
    label = next(
        item.text
        for item in sheet.over
        if isinstance(item, Text) and item.text.endswith(f" {unit}") and item.x == bar.points[0][0]
    )
    length = bar.points[1][0] - bar.points[0][0]
    assert length == pytest.approx(float(label.split()[0]) * mm * sheet.view.scale, rel=1e-12)
    assert 0.05 < length / 1600 < 0.25
