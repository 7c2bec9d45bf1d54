"""Findings in the picture.

Map of what must hold:
  every finding that has room is numbered, marked beside its place, off the wire, and named, never cut; the rest is counted
  a sound joint has no mark
"""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import combinations

import numpy as np
import pytest

from helix.output.canvas.primitives import Area, Stroke, Text
from helix.output.picture.markers import places, spots
from helix.output.picture.picture import picture_canvas
from helix.output.words.words import telling, title_of
from helix.studies.shape.shape import ShapeResult
from helix.units import UnitSystem
from tests.output.picture.seen_faults import HANDS, MANY_FAULTS
from tests.output.picture.test_picture_layout import EVERY, box_of, many_faults, overlap


@pytest.mark.parametrize("name", ["logger-tether", *EVERY, MANY_FAULTS])
def test_every_finding_is_numbered_marked_and_named(example: Callable[[str], ShapeResult], name: str) -> None:
    result = many_faults() if name == MANY_FAULTS else example(name)
    canvas = picture_canvas(result, "metric", (1600, 900))
    found = telling(result)
    texts = [item for item in canvas.over if isinstance(item, Text)]
    words = " ".join(item.text for item in texts)
    counted = re.search(r"(\d+) more findings?\.", words)
    more = int(counted[1]) if counted else 0
    told = found[: len(found) - more]
    assert len(told) >= min(len(found), 2) and bool(canvas.marks) == bool(found)
    for number, finding in enumerate(told, 1):
        assert words.count(f" {number} ") >= 2 if number > 1 else True
        assert f"{finding.word}: {finding.what}"[:24] in words
    numbers = sorted({int(item.text) for item in texts if item.text.isdigit() and item.anchor == "middle" and any(
        np.hypot(item.x - x, item.y - y) < r for _, x, y, r in canvas.marks)})  # fmt: skip
    assert numbers == list(range(1, len(told) + 1))  # every one, what is found of the hold as well
    roles = [item.role for item in canvas.over if isinstance(item, Area)]
    assert sum(role == "badge" for role in roles) == len(canvas.marks) + len(told)


@pytest.mark.parametrize("name", [*EVERY, MANY_FAULTS])
def test_a_mark_stands_beside_its_place_and_covers_no_wire(example: Callable[[str], ShapeResult], name: str) -> None:
    result = many_faults() if name == MANY_FAULTS else example(name)
    canvas = picture_canvas(result, "metric", (1600, 900))
    whole = canvas.frames[0]
    flat, _ = whole.view.project(whole.shown.points_mm)
    half = whole.shown.d_mm * whole.view.scale / 2
    texts = [box_of(item) for item in canvas.over if isinstance(item, Text) and not item.text.isdigit()]
    for _, x, y, radius in canvas.marks:
        diamond = np.abs(flat[:, 0] - x) + np.abs(flat[:, 1] - y)
        assert diamond.min() > 1.3 * radius + half, "the mark lies on the wire"
        assert not any(overlap((x - radius, y - radius, x + radius, y + radius), box) for box in texts)
    for (_, x, y, radius), (_, a, b, _) in combinations(canvas.marks, 2):
        assert np.hypot(x - a, y - b) > 2.0 * radius
    leaders = [item.points for item in canvas.over if isinstance(item, Stroke) and item.role == "mark leader"]
    at = [(spot.x, spot.y) for spot in places(spots(result, whole.shown, whole.view), whole.view, 1.0)]
    for start, end in leaders:
        assert min(np.hypot(end[0] - x, end[1] - y) for x, y in at) < 5.0 * half  # a barrel is 3 from its axis
        assert np.hypot(start[0] - end[0], start[1] - end[1]) < 0.11 * canvas.width
    for one, other in combinations([end for _, end in leaders], 2):  # two at one place are one
        assert np.hypot(one[0] - other[0], one[1] - other[1]) > half


def test_findings_at_one_place_are_marked_once(short_exit: ShapeResult) -> None:
    canvas = picture_canvas(short_exit, "metric", (1600, 900))
    leaders = [item for item in canvas.over if isinstance(item, Stroke) and item.role == "mark leader"]
    assert len(leaders) == 1 and len(canvas.marks) >= 2
    assert len({round(y, 6) for _, _, y, _ in canvas.marks}) == 1


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("name", [*HANDS, MANY_FAULTS])
def test_no_finding_is_cut(example: Callable[[str], ShapeResult], name: str, units: UnitSystem) -> None:
    """Half a sentence loses the mark of its limit: what has no room is left out whole."""
    result = many_faults() if name == MANY_FAULTS else example(f"faults/{name}")
    canvas = picture_canvas(result, units, (1600, 900))
    assert [
        item.text
        for item in canvas.over
        if isinstance(item, Text) and item.text.endswith("...") and title_of(result)[:20] not in item.text
    ] == []
