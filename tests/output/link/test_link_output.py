"""Linked joints in words, on a chart, in a picture and on a page. What must hold, strongest first:

the wires that are drawn just touch, at the place that is ringed; the first is the joint's own, the ring is round
a drawing paints every wire's pieces by how near they are, whichever wire they are of
the page carries what the picture shows, fetches nothing, and has the verdict on the crossing beside it
the answer names the weaker joint's load, what is not in it, and the harder bend; the chart marks this link and the limits
"""

from __future__ import annotations

import base64
import json
import re
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from scipy.spatial import cKDTree

from helix.output.canvas.canvas import Canvas, canvas_pixels
from helix.output.canvas.canvas_svg import canvas_svg
from helix.output.canvas.primitives import Area, Text
from helix.output.link.link_chart import bars_chart
from helix.output.link.link_page import link_html, link_scene
from helix.output.link.link_parts import link_parts, touch_mm
from helix.output.link.link_picture import link_canvas
from helix.output.link.link_report import link_answer, link_document, percents
from helix.output.report.document import Table
from helix.output.shape.wire_shapes import layers
from helix.output.words.answer_words import CAUTION
from helix.studies.hold.hold_result import Band
from helix.studies.link.link_result import LinkResult, Ring
from helix.studies.link.linking import link_joints
from tests.tools.brute import recipe

BAR_D, INSIDE_D = 3.0, 20.0


@cache
def pair() -> LinkResult:
    return link_joints(recipe(), recipe(diameter=1.5, pin=5, throat=100.0))


@cache
def hung() -> LinkResult:
    return link_joints(recipe(), ring=Ring(diameter_mm=BAR_D, inside_mm=INSIDE_D))


@cache
def canvas_of(made) -> Canvas:
    return link_canvas(made())


def words(made) -> str:
    return "\n".join(item.text for item in canvas_of(made).over if isinstance(item, Text))


@pytest.mark.parametrize("made", [pair, hung])
def test_the_wires_that_are_drawn_just_touch_where_it_is_ringed(made) -> None:
    result = made()
    first, second = link_parts(result, step_d=0.02)
    near, _ = cKDTree(second.shown.points_mm).query(first.shown.points_mm)
    assert near.min() == pytest.approx(result.contact.touching_mm, abs=1e-3)  # samples 0.02 d apart
    touch = np.array(touch_mm(result))
    for part in (first, second):
        assert np.linalg.norm(part.shown.points_mm - touch, axis=1).min() == pytest.approx(part.shown.d_mm / 2, abs=0.3)
    canvas = canvas_of(made)
    flat, _ = canvas.frames[0].view.project([touch])
    rings = [item for item in canvas.over if isinstance(item, Area) and item.role.startswith("mark") and not item.fill]
    assert len(rings) == 1
    assert np.mean(rings[0].points, axis=0) == pytest.approx(flat[0], abs=1e-6)
    assert len(canvas.frames) == 2 and all(len(frame.wires) == 2 for frame in canvas.frames)


def test_the_first_is_the_joint_itself_and_the_ring_is_round() -> None:
    first, ring = link_parts(hung())
    own = hung().joints[0].shaped.joint.sample(0.1).points_mm
    assert cKDTree(own).query(first.shown.points_mm[::9])[0].max() < 0.06
    middle = ring.shown.points_mm[:-20].mean(axis=0)
    away = np.linalg.norm(ring.shown.points_mm - middle, axis=1)
    assert away == pytest.approx((INSIDE_D + BAR_D) / 2, abs=0.5) and ring.shown.d_mm == BAR_D
    assert np.ptp(ring.shown.points_mm, axis=0) == pytest.approx([0.0, INSIDE_D + BAR_D, INSIDE_D + BAR_D], abs=0.05)


def test_a_drawing_paints_the_near_over_the_far_whichever_wire_they_are_of() -> None:
    canvas = canvas_of(hung)
    view = canvas.frames[0].view
    order = sorted(
        (near, k)
        for k, (shown, _) in enumerate(canvas.frames[0].wires)
        for near, _ in layers(shown, view, shown.d_mm * view.scale)
    )
    changes = sum(a[1] != b[1] for a, b in pairwise(order))
    assert changes > 4  # the eye goes through the ring
    drawn = canvas_svg(canvas)
    assert drawn.startswith("<?xml") and drawn.count("<clipPath") == 2
    assert CAUTION in drawn and "they touch here" in drawn


def test_the_picture_is_painted_with_both_wires(rendering: None) -> None:
    canvas = canvas_of(hung)
    image = canvas_pixels(canvas).astype(int)
    view = canvas.frames[0].view
    for part in link_parts(hung()):
        flat, _ = view.project(part.shown.points_mm[::40])
        at = image[flat[:, 1].astype(int), flat[:, 0].astype(int), :3]
        assert np.mean(np.abs(at - image[2, 2, :3]).max(axis=1) > 12) > 0.9


def test_the_picture_says_what_the_answer_says() -> None:
    said = words(pair)
    for text in (
        "SHARP: first bend of 100 deg",
        "an estimate",
        "not in this load",
        "first joint",
        "second joint",
        "drawn tight:",
        CAUTION,
    ):
        assert text in said
    assert "caution" in said and "inside radius 0.750 mm" in said  # of the first joint, over the thicker wire
    assert "ring" in words(hung) and "OK. Nothing found wrong." in words(hung)


def test_the_page_carries_both_wires_and_the_crossing() -> None:
    result = pair()
    scene = link_scene(result)
    text = link_html(result)
    carried = json.loads(re.search(r'id="helix-scene">(.*?)</script>', text, re.DOTALL)[1])
    assert carried == json.loads(json.dumps(scene))
    for record, part in zip((scene["wire"], *scene["others"]), link_parts(result), strict=True):
        middle = np.frombuffer(base64.b64decode(record["middle"]), "<f4").reshape(-1, 3)
        assert middle == pytest.approx(part.shown.points_mm, abs=1e-4) and 2.0 * record["radius"] == part.shown.d_mm
    flag = next(note for note in scene["notes"] if not note["part"])
    assert flag["verdict"] == "caution" and flag["point"] == pytest.approx(touch_mm(result), abs=1e-4)
    assert [note["title"] for note in scene["notes"] if note["part"]] == ["first joint", "second joint"]
    outside = set(re.findall(r"(?:src|href)=\"(?!data:)([^\"]*)\"", text))
    assert outside == set() and CAUTION in text
    assert set(re.findall(r"url\(#([\w-]+)\)", text)) <= set(re.findall(r'id="([\w-]+)"', text))


def test_the_answer_is_of_the_weaker_joint_and_the_harder_bend() -> None:
    result = pair()
    lines = link_answer(result, "metric").lines
    assert result.weakest is min(result.joints, key=lambda joint: joint.linked.plan_with_n)
    assert f"Plan with {result.weakest.linked.plan_with_n:.0f} N" in lines[1]
    assert lines[2].startswith("Second joint tight over the other wire: radius 0.83 d, strain 0.60")
    assert len(lines) <= 7
    tables = [block for block in link_document(result).blocks if isinstance(block, Table)]
    assert [table.title for table in tables] == [
        "The crossing, first joint",
        "The crossing, second joint",
        "Room and length, at rest",
    ]
    assert percents(Band.of(0.21, 0.5, 0.99)) == "50 % of the wire (21 to 99)"


def test_the_chart_marks_this_link_and_the_limits() -> None:
    from matplotlib.figure import Figure

    figure = Figure()
    bars_chart(pair(), "metric").draw(figure)
    assert len(figure.axes) == 2
    for axes, joint in zip(figure.axes, pair().joints, strict=True):
        marks = [line for line in axes.lines if line.get_marker() == "o"]
        assert marks[0].get_xdata()[0] == pytest.approx(joint.over_mm)
        assert marks[0].get_ydata()[0] == pytest.approx(joint.leaves.nominal)
        dotted = sorted(line.get_xdata()[0] for line in axes.lines if line.get_linestyle() == ":")
        d_mm = joint.recipe.wire.diameter_mm
        assert dotted == pytest.approx([d_mm / 3.0, d_mm])
        assert {text.get_text() for text in axes.texts} >= {"sharp", "caution", "ok"}
