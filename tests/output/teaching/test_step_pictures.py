"""Steps in pictures.

Map of what must hold:
  a step's tile shows its wire, the bar uses the wire up, marks stand at their distances; no words run into others
  names of the wires stand off all that is drawn
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from helix.output.canvas.canvas import canvas_pixels
from helix.output.canvas.primitives import Area, Stroke, Text
from helix.output.teaching.bench import bench_of
from helix.output.teaching.step_captions import TONES
from helix.output.teaching.step_pictures import contact_canvas, marks_strip, step_canvas
from helix.output.words.words import mark_number
from helix.studies.shape.shape import shape
from helix.studies.teaching.hand_work import form
from helix.studies.teaching.steps import forming_steps
from helix.units import UnitSystem, format_tape
from tests.output.picture.test_picture_layout import box_of, overlap
from tests.output.teaching.lessons import lesson, small, words_apart


@pytest.mark.parametrize("name", ["good", "wraps-only"])
def test_a_sheet_of_steps_is_in_order_and_can_be_read(name: str) -> None:
    result = lesson(name)
    bench, steps = bench_of(result, "metric"), forming_steps(result)
    canvas = contact_canvas(bench, steps)
    words_apart(canvas)
    assert len(canvas.frames) == len(steps)
    numbers = [item.text for item in canvas.over if isinstance(item, Text) and item.text.isdigit() and item.bold]
    assert numbers == [str(step.number) for step in steps]
    told = " ".join(item.text for item in canvas.over if isinstance(item, Text))
    for step in steps[1:]:
        assert step.sentence.split(":")[0][:30] in told
    assert len({round(frame.view.scale, 6) for frame in canvas.frames[1:]}) <= 2  # the handle needs more room


def test_the_bar_uses_the_wire_up() -> None:
    result = lesson("good")
    bench, steps = bench_of(result, "metric"), forming_steps(result)
    full, left, shown = [], [], []
    for step in steps[1:]:
        canvas = step_canvas(bench, step)
        bars = [item for item in canvas.over if isinstance(item, Area) and item.role in ("formed", "straight")]
        full.append(sum(item.points[1][0] - item.points[0][0] for item in bars if item.role == "formed"))
        shown.append(sum(item.points[1][0] - item.points[0][0] for item in bars))
        text = next(item.text for item in canvas.over if isinstance(item, Text) and ("left" in item.text))
        left.append(0.0 if "none" in text else float(re.findall(r"[0-9.]+", text)[0]))
        assert left[-1] == 0.0 or left[-1] == pytest.approx(
            result.cut.total_mm - step.formed_d[1] * bench.d_mm, abs=0.6
        )
    assert shown[:-1] == pytest.approx([shown[0]] * (len(shown) - 1), rel=1e-6) and shown[-1] < shown[0]
    assert full == sorted(full) and left == sorted(left, reverse=True)


def test_marks_stand_at_their_distances() -> None:
    result = lesson("good")
    for units in ("metric", "inch"):
        bench = bench_of(result, units)
        frame, shapes, _ = marks_strip(bench, forming_steps(result)[0], (0.0, 0.0, 1900.0, 300.0), 16.0)
        end = frame.view.project(frame.shown.points_mm[-1])[0][0, 0]
        assert end == pytest.approx(1900.0)
        for mark in bench.marks:
            line = next(item for item in shapes if isinstance(item, Stroke) and item.role == f"mark {mark.letter}")
            x = line.points[-1][0]
            assert (end - x) / frame.view.scale == pytest.approx(mark.from_tag_end_mm, rel=1e-6)
            row = int(np.argmin(np.abs(frame.shown.s_mm - mark.from_standing_end_mm)))
            assert frame.view.project(frame.shown.points_mm[row])[0][0, 0] == pytest.approx(x, abs=frame.view.scale)
            assert np.allclose(frame.rgb[row], np.array([0x15, 0x17, 0x1A]) / 255)  # ink on the wire itself
            number = mark_number(mark, units)
            assert any(isinstance(item, Text) and item.text == number for item in shapes)


@pytest.mark.rendering
def test_a_step_is_painted(rendering: None) -> None:
    bench, steps = small()
    step = next(step for step in steps if step.kind == "twist")
    image = canvas_pixels(step_canvas(bench, step, (640, 400)))[..., :3].astype(int)
    frame = step_canvas(bench, step, (640, 400)).frames[0]
    flat = frame.view.project(frame.shown.points_mm)[0]
    x0, y0, x1, y1 = frame.box
    inside = (flat[:, 0] > x0 + 4) & (flat[:, 0] < x1 - 4) & (flat[:, 1] > y0 + 4) & (flat[:, 1] < y1 - 4)
    light = []
    for s_d in (step.formed_d[0] - 6.0, step.formed_d[1] + 6.0):  # the free standing leg, the free tag
        row = int(np.argmin(np.where(inside, np.abs(frame.shown.s_mm - s_d * bench.d_mm), np.inf)))
        x, y = flat[row].round().astype(int)
        light.append(float(image[y - 1 : y + 2, x - 1 : x + 2].mean()))
    assert light[0] > light[1] + 25.0  # two tones: one sees which is the tag
    assert (np.abs(image - [0x15, 0x17, 0x1A]).max(axis=2) < 25).sum() > 20  # ink


@pytest.mark.parametrize("hand", ["right", "left"])
def test_a_step_shows_what_hands_do(hand: Any) -> None:
    recipe = lesson("good").recipe
    result = shape(replace(recipe, twist=replace(recipe.twist, hand=hand)))
    bench, steps = bench_of(result, "metric"), forming_steps(result)
    for step in steps[1:-1]:
        canvas = step_canvas(bench, step)
        frame = canvas.frames[0]
        arrows = [
            item for item in canvas.over if isinstance(item, Stroke) and item.role == "hand" and len(item.points) != 3
        ]
        assert arrows, step.kind
        if step.kind in ("twist", "wrap", "swing"):  # in front, right-hand turns go down
            (arrow,) = arrows
            assert (arrow.points[-1][1] > arrow.points[0][1]) == (hand == "right")
        bars = [item for item in canvas.over if isinstance(item, Stroke) and item.role == "grip"]
        wanted = {"twist": 2, "wrap": 1, "swing": 1}.get(step.kind, 0)
        assert len(bars) == wanted or (hand == "left" and wanted == 1 and not bars)  # there the tag runs at the viewer
        flat = frame.view.project(frame.shown.points_mm)[0]
        for bar in bars:
            middle = np.mean(bar.points, axis=0)
            s_mm = frame.shown.s_mm[int(np.argmin(np.hypot(*(flat - middle).T)))]
            away = min(abs(s_mm - end * bench.d_mm) for end in step.formed_d)
            assert away == pytest.approx(form(result.recipe).grips.free_length_mm, abs=0.35 * bench.d_mm)
        places = {mark.letter: mark.from_standing_end_mm for mark in bench.marks}
        for item in canvas.over:
            if isinstance(item, Text) and item.text in places and item.anchor == "middle":
                row = int(np.argmin(np.abs(frame.shown.s_mm - places[item.text])))
                away = np.hypot(flat[:, 0] - item.x, flat[:, 1] - item.y + 0.35 * item.size)
                assert away[row] < bench.d_mm * frame.view.scale / 2 + 1.4 * item.size and away.min() > 0.4 * item.size


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("name", ["good", "open-barrel", "steep-entry", "wraps-only"])
def test_names_of_the_wires_stand_off_all_that_is_drawn(name: str, units: UnitSystem) -> None:
    bench = bench_of(lesson(name), units)
    steps = forming_steps(bench.result)
    named = 0
    for step in steps:
        canvas = step_canvas(bench, step)
        frame = canvas.frames[0]
        texts = [item for item in canvas.over if isinstance(item, Text)]
        names = [item for item in texts if item.text in ("tag", "standing leg")]
        assert len({item.text for item in names}) == len(names)
        named += len(names)
        flat = frame.view.project(frame.shown.points_mm)[0]
        half = frame.shown.d_mm * frame.view.scale / 2.0
        for item in names:
            box = box_of(item)
            assert frame.box[0] < box[0] and box[2] < frame.box[2] and frame.box[1] < box[1] and box[3] < frame.box[3]
            assert not any(overlap(box, box_of(other)) for other in texts if other is not item)
            inside = (flat > (box[0], box[1] - half)).all(axis=1) & (flat < (box[2], box[3] + half)).all(axis=1)
            assert not inside.any(), (step.title, item.text)
        told = " ".join(item.text for item in texts)
        assert step.kind == "mark" or TONES in told, step.title
        if step.kind == "mark":
            assert f"Cut {format_tape(bench.result.cut.total_mm, units)} and ink" in told
    assert named >= len(steps)
