"""Steps as an animation and as a page.

Map of what must hold:
  an animation has a frame for every moment and no two alike in a row
  a page needs no network and says its policy
"""

from __future__ import annotations

import io
from dataclasses import replace
from html import escape
from itertools import pairwise
from typing import Any

import pytest

from helix.output.canvas.canvas_svg import canvas_svg
from helix.output.teaching import animation
from helix.output.teaching.animation import moments, moving_bytes, steps_html
from helix.output.teaching.step_pictures import step_canvas
from helix.studies.shape.shape import shape
from helix.studies.teaching.steps import forming_steps
from tests.output.teaching.lessons import lesson, small


def test_moments_go_forward_and_rest_at_every_step() -> None:
    _, steps = small()
    found = moments(steps)
    assert [each.step for each in found if each.moment is None] == list(steps)
    times = [each.step.moment if each.moment is None else each.moment for each in found]
    assert times == sorted(times)
    assert all(each.shown_ms > 500 for each in found if each.moment is None)
    rocked = [
        each.moment for each in found if each.rocked
    ]  # to and fro until it breaks: the first move after the handle
    (handle,) = (step for step in steps if step.kind == "handle")
    assert len(rocked) > 20 and all(each.step is handle for each in found if each.rocked)
    assert all(moment is not None and handle.moment < moment < handle.moment + 1.0 for moment in rocked)
    many = forming_steps(
        shape(replace(lesson("good").recipe, barrel=replace(lesson("good").recipe.barrel, wraps=300.0)))
    )
    assert len(moments(many)) <= animation.MOST_FRAMES


@pytest.mark.rendering
@pytest.mark.parametrize("kind", ["gif", "webp"])
def test_an_animation_moves(rendering: None, kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    from PIL import Image, ImageChops

    monkeypatch.setattr(animation, "_BETWEEN", {"twist": 3, "cross": 2})
    bench, steps = small()
    told: list[tuple[int, int]] = []
    data = moving_bytes(bench, steps[:5], kind, (300, 200), lambda done, of: told.append((done, of)))
    image: Any = Image.open(io.BytesIO(data))
    wanted = moments(steps[:5])
    assert image.n_frames == len(wanted) == told[-1][0] == told[-1][1]
    assert image.size == (300, 200) and image.info["loop"] == 0
    frames = []
    for k in range(image.n_frames):
        image.seek(k)
        frames.append(image.convert("RGB"))
    for one, other in pairwise(frames):
        assert ImageChops.difference(one, other).getbbox() is not None


def test_a_page_of_steps_needs_nothing_else() -> None:
    bench, steps = small()
    pictures = [canvas_svg(step_canvas(bench, step, (640, 400))).encode() for step in steps[:4]]
    page = steps_html(bench, steps[:4], pictures, "svg+xml")
    assert page.count("<figure") == 4 and page.count("data:image/svg+xml;base64,") == 4
    assert "default-src 'none'" in page and "script-src 'sha256-" in page
    assert "http" not in page.replace("http-equiv", "")
    for step in steps[:4]:
        assert escape(step.sentence) in page
    for mark in bench.marks:
        assert f"<td>{mark.letter}</td><td>{round(2.0 * mark.from_tag_end_mm) / 2.0:g}</td>" in page
