"""The steps of making a joint.

Map of what must hold:
  every step, and every moment between two, is one wire of the length to be cut, with one tangent at its joins
  the stretch that is formed only grows; when all is wound the wire is the finished joint and the handle
  no step overlaps itself where the joint does not, nor does a moment between two
  the order is that of the hands; turns and wraps come one by one; a part that is lacking has no step
  ink marks are the sections' ends, measured from either end; no two that are told apart read alike on a tape
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from helix.geometry.wire.curves import derivatives
from helix.geometry.wire.distance import nearest
from helix.model.recipe.recipe import read_recipe, recipe_from_text
from helix.output.words.words import mark_number
from helix.studies.shape.shape import ShapeResult, shape
from helix.studies.teaching.making import making_of, wire_at
from helix.studies.teaching.steps import forming_steps, ink_marks, shown_counts
from helix.units import UnitSystem

ROOT = Path(__file__).resolve().parents[3]
LESSONS = sorted(path.stem for path in (ROOT / "docs" / "lessons").glob("*.toml"))


@cache
def lesson(name: str) -> ShapeResult:
    return shape(read_recipe(ROOT / "docs" / "lessons" / f"{name}.toml"))


@cache
def twist_only() -> ShapeResult:
    return shape(read_recipe(ROOT / "docs" / "examples" / "faults" / "twist-only.toml"))


@pytest.mark.parametrize("name", ["good", "steep-exit", "wraps-only", "half-turns-counted"])
def test_every_step_is_a_wire_of_the_length_to_cut(name: str) -> None:
    result = lesson(name)
    total = result.cut.total_mm / result.joint.diameter_mm
    for step in forming_steps(result):
        assert step.path.length + step.broken_off_d == pytest.approx(total, abs=1e-9), step.title
        found = step.path.sample(0.1, 5.0)
        chords = float(np.linalg.norm(np.diff(found.points, axis=0), axis=1).sum())
        assert chords == pytest.approx(step.path.length, rel=2e-4), step.title  # the curve itself, by its chords
        for one, other in zip(step.path.pieces[:-1], step.path.pieces[1:], strict=True):
            a = derivatives(one.curve, np.array([one.curve.span]), 1)[:, 0]
            b = derivatives(other.curve, np.array([0.0]), 1)[:, 0]
            assert np.allclose(a[0], b[0], atol=1e-9), step.title
            assert np.allclose(a[1] / np.linalg.norm(a[1]), b[1] / np.linalg.norm(b[1]), atol=1e-9), step.title


@cache
def shorter(name: str) -> ShapeResult:
    """A lesson with three turns and wraps at most and little wire beyond: quicker to search."""
    recipe = lesson(name).recipe
    twist = replace(recipe.twist, turns=min(recipe.twist.turns, 3.0))
    barrel = replace(recipe.barrel, wraps=min(recipe.barrel.wraps, 3.0))
    return shape(
        replace(recipe, twist=twist, barrel=barrel, finish=replace(recipe.finish, standing_mm=20.0, handle_mm=30.0))
    )


@pytest.mark.parametrize("name", ["good", "steep-exit", "uneven-twist", "opposite-hand-barrel", "wraps-only"])
def test_no_step_lies_in_itself(name: str) -> None:
    for step in forming_steps(shorter(name)):
        if step.kind not in ("mark", "bend", "finished"):  # straight legs, far apart: nothing to search
            assert nearest([step.path], step=0.12).gap > -1e-3, step.title


@pytest.mark.parametrize("name", ["good", "steep-entry", "uneven-twist", "wraps-only"])
def test_nor_does_the_wire_between_two_steps(name: str) -> None:
    making = making_of(shorter(name).joint)
    total = making.joint.layout.path.length + making.handle_d
    closing = making.parallel + (1.0 - making.parallel) * np.array([0.3, 0.6, 0.9])
    rocked = making.moment_after("handle") + np.array([0.2, 1.2])  # rocked as far as it goes; broken off
    for moment in (*closing, 1.13, 1.5, 2.4, 2.9, 3.4, *rocked):
        now = wire_at(making, float(moment))
        paths = [path for path in (now.path, now.broken_off) if path is not None]
        assert sum(path.length for path in paths) == pytest.approx(total, abs=1e-9)
        assert nearest(paths, step=0.12).gap > -1e-3, moment


def test_the_formed_stretch_only_grows_and_ends_as_the_joint() -> None:
    making = making_of(lesson("good").joint)
    path = making.joint.layout.path
    low, high = making.middle_d + 1.0, making.middle_d - 1.0
    for moment in np.linspace(0.0, making.end, 61):
        now = wire_at(making, float(moment))
        assert now.formed_d[0] <= low + 1e-9 and now.formed_d[1] >= high - 1e-9
        low, high = now.formed_d
    wound = wire_at(making, making.moment_after("wrap")).path.sample(0.1, 1.0)
    joint = path.sample(0.1, 1.0)
    own = joint.s > making.throat_d[0] - 40.0
    for k in range(3):
        there = np.interp(joint.s[own], wound.s, wound.points[:, k])
        assert np.abs(there - joint.points[own, k]).max() < 2e-3


def test_legs_are_parallel_when_the_eye_is_bent() -> None:
    for name in ("good", "steep-entry", "uneven-twist", "wraps-only"):
        step = forming_steps(lesson(name))[1]
        found = step.path.sample(0.2, 5.0)
        assert step.kind == "bend"
        assert found.tangents[0] @ found.tangents[-1] == pytest.approx(-1.0, abs=0.02)


def test_the_order_is_that_of_the_hands() -> None:
    kinds = [step.kind for step in forming_steps(lesson("good"))]
    assert kinds == [
        "mark",
        "bend",
        "cross",
        *["twist"] * 5,
        "straighten",
        "swing",
        *["wrap"] * 5,
        "handle",
        "finished",
    ]
    assert [step.kind for step in forming_steps(twist_only())].count("wrap") == 0
    wraps = [step.kind for step in forming_steps(lesson("wraps-only"))]
    assert "twist" not in wraps and "straighten" not in wraps and wraps.count("wrap") == 5
    half = [step for step in forming_steps(lesson("half-turns-counted")) if step.kind == "twist"]
    assert [step.done for step in half] == [1.0, 2.0, 2.5]
    assert "opposite" not in kinds and all(
        "against the hand" in step.sentence
        for step in forming_steps(lesson("opposite-hand-barrel"))
        if step.kind == "wrap"
    )
    assert any("past square" in s.sentence and "120 deg" in s.sentence for s in forming_steps(lesson("steep-exit")))


def test_steps_are_numbered_and_have_a_sentence() -> None:
    for name in LESSONS:
        steps = forming_steps(lesson(name))
        assert [step.number for step in steps] == list(range(1, len(steps) + 1))
        assert all(step.title and step.sentence.endswith(".") and step.sentence.isascii() for step in steps)


@pytest.mark.parametrize("count", [0.5, 1.0, 5.0, 7.25, 8.0, 9.0, 20.0, 1000.0])
def test_which_turns_are_shown(count: float) -> None:
    shown = shown_counts(count)
    assert shown[-1] == count and len(shown) <= 8 and shown == sorted(set(shown))
    if count <= 8:
        assert shown[: int(count)] == [float(k) for k in range(1, int(count) + 1)]


@pytest.mark.parametrize("name", LESSONS)
def test_ink_marks_are_where_the_parts_begin(name: str) -> None:
    result = lesson(name)
    path, d = result.joint.layout.path, result.joint.diameter_mm
    marks = ink_marks(result)
    assert [mark.letter for mark in marks] == list("ABCDEFGHIJ"[: len(marks)])
    borders = {0.0, result.joint.wire_mm}
    lengths = [row.wire_mm for row in result.sections]
    borders |= {float(v) for v in np.cumsum(lengths)}
    eye = next(mark for mark in marks if "middle of the eye" in mark.what)
    for mark in marks:
        assert mark.from_tag_end_mm + mark.from_standing_end_mm == pytest.approx(result.cut.total_mm)
        if mark is not eye:
            assert min(abs(mark.from_standing_end_mm - border) for border in borders) < 1e-6, mark.what
    ends = [float(path.starts[k] * d) for k, piece in enumerate(path.pieces) if piece.section == "eye"]
    ends.append(float(path.starts[max(k for k, p in enumerate(path.pieces) if p.section == "eye") + 1] * d))
    assert eye.from_standing_end_mm == pytest.approx((ends[0] + ends[-1]) / 2)
    assert "it breaks here" in marks[0].what and marks[0].from_tag_end_mm == result.recipe.finish.handle_mm


def test_a_joint_without_a_handle_has_no_handle_to_break() -> None:
    recipe = lesson("good").recipe
    result = shape(replace(recipe, finish=replace(recipe.finish, handle_mm=0.0, stub_mm=0.0)))
    steps = forming_steps(result)
    assert "handle" not in [step.kind for step in steps] and "used up" in steps[-1].sentence
    assert all(mark.from_tag_end_mm > 0.0 for mark in ink_marks(result))


def test_next_to_no_turn_is_no_move() -> None:
    from tests.tools.brute import answer

    marks = ink_marks(answer(turns=1e-300))
    assert marks and all(mark.from_tag_end_mm > 0.0 for mark in marks)


@pytest.mark.parametrize("stub", ["1.5 d", "1 d", "0.3 d", "0.1 d"])
@pytest.mark.parametrize("units", ["metric", "inch"])
def test_no_two_ink_marks_read_alike(stub: str, units: UnitSystem) -> None:
    """Failed once: the break and the end of the barrel, half a mm apart, were both at 2 3/8 in."""
    text = f'[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n[finish]\nstub = "{stub}"\n'
    marks = ink_marks(shape(recipe_from_text(text)))
    assert len({mark_number(mark, units) for mark in marks}) == len(marks)
