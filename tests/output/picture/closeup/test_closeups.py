"""Close-ups.

Map of what must hold:
  they show what is wrong; what is drawn into them (arrows, turns, gaps) is what the joint has
  nothing in one hides anything else; what is missing is marked where it is not
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest

from helix.findings import Severity
from helix.output.canvas.primitives import Area, Stroke, Text
from helix.output.picture.closeup.closeups import chosen, faulty_parts, panels
from helix.output.picture.markers import spots
from helix.output.picture.picture import picture_canvas
from helix.output.picture.view import shown_part, side_view
from helix.output.words.words import telling
from helix.studies.shape.along import severities
from helix.studies.shape.shape import ShapeResult, shape
from tests.output.picture.seen_faults import FAULTS_SEEN, HANDS, seen, strokes
from tests.output.picture.test_picture_layout import box_of, many_faults, overlap


@pytest.mark.parametrize(
    ("name", "parts", "verdicts"),
    [
        ("good", ("entry", "exit"), ("ok", "ok")),
        ("wide-throat", ("entry", "exit"), ("sharp", "ok")),
        ("overbent-120", ("entry", "exit"), ("ok", "sharp")),
        ("uneven-zero", ("twist", "exit"), ("fault", "ok")),
        ("wraps-only", ("twist", "exit"), ("fault", "ok")),
        ("loose-twist", ("twist", "exit"), ("fault", "ok")),
        ("open-barrel", ("entry", "barrel"), ("ok", "fault")),
        ("opposite-hand-barrel", ("entry", "hand"), ("ok", "fault")),
    ],
)
def test_close_ups_show_what_is_wrong(
    example: Callable[[str], ShapeResult], name: str, parts: tuple[str, ...], verdicts: tuple[str, ...]
) -> None:
    result = example(f"faults/{name}")
    assert chosen([result]) == parts
    shown = shown_part(result.joint)
    made = panels(result, shown, parts)
    assert tuple(panel.severity.word for panel in made) == verdicts
    for panel in made:  # what it is about lies in it
        z = shown.points_mm[panel.rows, 2]
        assert abs(float(np.median(z)) - panel.middle_mm) < panel.length_mm / 2
    canvas = picture_canvas(result, "metric", (1600, 900))
    frames = canvas.frames[1:]
    bad = [verdict for verdict in verdicts if verdict != "ok"]
    assert [frame.edge != "#6b727a" for frame in frames] == ([True] * len(bad) or [False] * 2)


@pytest.mark.parametrize(("name", "same"), [("good", True), ("opposite-hand-barrel", False)])
def test_arrows_show_the_hands(example: Callable[[str], ShapeResult], name: str, same: bool) -> None:
    result = example(f"faults/{name}")
    (panel,) = panels(result, shown_part(result.joint), ("hand",))
    twist, barrel = panel.guides
    leans = []
    for guide in (twist, barrel):
        (x0, y0), (x1, y1) = panel.view.project([guide.start_mm, guide.stop_mm])[0].tolist()
        assert x1 > x0  # the tag runs away from the eye
        leans.append(y1 > y0)
    assert leans[0] and leans[1] == same  # a right-handed wire in front goes down as it goes on
    assert twist.text == "right-hand"
    assert barrel.text == ("right-hand: same way" if same else "left-hand: wrong way")
    said = "twist and barrel right-hand" if same else "twist right-hand, barrel left-hand"
    assert panel.caption[0] == said


@pytest.mark.parametrize(("name", "gap"), [("good", 0.0), ("open-barrel", None)])
def test_the_gap_that_is_drawn_is_the_barrels(
    example: Callable[[str], ShapeResult], name: str, gap: float | None
) -> None:
    result = example(f"faults/{name}")
    shown = shown_part(result.joint, 0.02)
    (panel,) = panels(result, shown, ("barrel",))
    guide = next(guide for guide in panel.guides if guide.kind == "gap")
    wide = (guide.stop_mm[2] - guide.start_mm[2]) / shown.d_mm
    if gap is not None:
        assert wide == pytest.approx(gap, abs=1e-9) and guide.text == "wraps touch"
        return
    assert guide.text == "gap" and wide > 0.1
    numbers = [guide for guide in panel.guides if guide.kind == "turn"]
    assert [guide.text for guide in numbers] == [str(k + 1) for k in range(int(result.counts.wraps))]
    (push,) = (guide for guide in panel.guides if guide.kind == "push")
    assert push.stop_mm[2] < push.start_mm[2]  # towards the twist, where the wraps belong
    barrel = shown.points_mm[shown.rows("barrel")]
    for edge in (guide.start_mm, guide.stop_mm):  # either end lies on a wrap, the middle on none
        away = np.linalg.norm(barrel - np.asarray(edge), axis=1).min() / shown.d_mm
        assert away == pytest.approx(0.5, abs=0.03)
    middle = (np.asarray(guide.start_mm) + np.asarray(guide.stop_mm)) / 2
    assert np.linalg.norm(barrel - middle, axis=1).min() > 0.55 * shown.d_mm


def test_turns_are_counted_where_there_are_too_few() -> None:
    result = many_faults()
    (panel,) = panels(result, shown_part(result.joint), ("twist",))
    lay = result.recipe.twist.lay_mm
    turns = [guide for guide in panel.guides if guide.kind == "turn"]
    assert [guide.text for guide in turns] == ["1", "2", "3"]
    (missing,) = (guide for guide in panel.guides if guide.kind == "insert")
    assert missing.text == "2 more turns here" and missing.start_mm[2] == pytest.approx(3 * lay)
    for k, guide in enumerate(turns):
        assert (guide.start_mm[2], guide.stop_mm[2]) == pytest.approx((k * lay, (k + 1) * lay))


@pytest.mark.parametrize("name", HANDS)
def test_a_close_up_of_a_fault_says_what_hands_do_or_what_is_missing(
    example: Callable[[str], ShapeResult], name: str
) -> None:
    canvas = picture_canvas(example(f"faults/{name}"), "metric", (1600, 900))
    role, words = HANDS[name]
    panels = [frame for frame in canvas.frames if frame.panel]
    drawn = [item for item in canvas.over if isinstance(item, Stroke) and item.role == role]
    assert drawn
    for item in drawn:  # in a close-up
        x, y = np.mean(item.points, axis=0)
        assert any(frame.box[0] <= x <= frame.box[2] and frame.box[1] <= y <= frame.box[3] for frame in panels)
    cards = [item for item in canvas.over if isinstance(item, Area) and item.role == "card"]
    texts = [item.text for item in canvas.over if isinstance(item, Text)]
    assert not words or words in texts
    for one, other in combinations([(*card.points[0], *card.points[2]) for card in cards], 2):
        assert not overlap(one, other), "two cards lie over each other"
    for line in (item for item in canvas.over if isinstance(item, Stroke)):
        if line.role in ("hand", "push", "slant"):
            points = np.concatenate([np.linspace(a, b, 20) for a, b in pairwise(line.points)])
            for card in cards:
                (left, top), (right, low) = card.points[0], card.points[2]
                inside = (left < points[:, 0]) & (points[:, 0] < right) & (top < points[:, 1]) & (points[:, 1] < low)
                assert not inside.any(), "an arrow crosses a card"
    assert not any(frame.box[0] < x < frame.box[2] and frame.box[1] < y < frame.box[3]
                   for item in canvas.over if isinstance(item, Stroke) and item.role == "break"
                   for x, y in item.points for frame in panels), "the sign of a leg cut short is in a close-up"  # fmt: skip


@pytest.mark.parametrize("name", FAULTS_SEEN)
def test_nothing_in_a_close_up_hides_anything_else(example: Callable[[str], ShapeResult], name: str) -> None:
    """Failed once: a card over the bend, a ruler on dark wraps, a ghost over a card, a line through a label."""
    canvas = picture_canvas(seen(example, name), "metric", (1600, 900))
    cards = [
        (*item.points[0], *item.points[2]) for item in canvas.over if isinstance(item, Area) and item.role == "card"
    ]
    numbers = [box_of(item) for item in canvas.over if isinstance(item, Text) and item.bold and item.anchor == "middle"]
    f = 900 / 46
    for frame in (frame for frame in canvas.frames if frame.panel):
        flat, _ = frame.view.project(frame.shown.points_mm)
        half = frame.shown.d_mm * frame.view.scale / 2
        own = [
            card
            for card in cards
            if frame.box[0] <= card[0] <= frame.box[2] and frame.box[1] <= card[1] <= frame.box[3]
        ]
        for card in own:
            assert (
                card[0] >= frame.box[0]
                and card[1] >= frame.box[1]
                and card[2] <= frame.box[2]
                and card[3] <= frame.box[3]
            )
            deep = np.minimum(half + np.minimum(flat[:, 0] - card[0], card[2] - flat[:, 0]),
                              half + np.minimum(flat[:, 1] - card[1], card[3] - flat[:, 1]))  # fmt: skip
            assert deep.max() < (1.2 * f if name == "over-twist" else 0.45 * f), "a card over the wire"
        for one, other in combinations(own, 2):
            assert not overlap(one, other)
        for line in strokes(canvas, "turn", "wrong", "wanted"):
            (x0, y0), (x1, y1) = line.points
            if not frame.box[0] <= x0 <= frame.box[2] or not frame.box[1] <= y0 <= frame.box[3] or y0 != y1:
                continue
            there = flat[(flat[:, 0] > x0) & (flat[:, 0] < x1) & (frame.shown.points_mm[:, 2] > 0.0), 1]
            assert abs(there - y0).min() > half, "a ruler on the wire"
            assert not any(overlap((x0, y0 - 1.0, x1, y0 + 1.0), card) for card in own)
        for dash in strokes(canvas, "ghost"):
            for x, y in dash.points:
                assert not any(card[0] < x < card[2] and card[1] < y < card[3] for card in own), "a ghost over a card"
        for line in strokes(canvas, "card"):  # a line from a card ends where it stands for something
            assert line.role == "card leader"
    for line in strokes(canvas, "zoom"):  # nor does the way to the close-up run through words or numbers
        for a, b in pairwise(line.points):
            box = (min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]))
            texts = [item for item in canvas.over if isinstance(item, Text)]
            assert not any(overlap(box, box_of(item)) for item in texts), name
    assert numbers or name not in ("few-wraps", "few-turns", "quick-swing")


def test_a_twist_that_is_too_open_is_measured_and_marked(example: Callable[[str], ShapeResult]) -> None:
    """Failed once: the joint had no mark, no close-up of its twist, and was told to make more turns."""
    result = seen(example, "long-lay")
    assert faulty_parts([result]) == {"twist": Severity.FAULT}
    canvas = picture_canvas(result, "metric", (1600, 900))
    panel = canvas.frames[1]
    for role, lay in (("wrong", 8.0), ("wanted", 4.0)):
        xs = [x for line in strokes(canvas, role) for x, _ in line.points]
        assert max(xs) - min(xs) == pytest.approx(lay * panel.shown.d_mm * panel.view.scale)
    (marker,) = spots(result, panel.shown, canvas.frames[0].view)
    at = np.linalg.norm(panel.shown.points_mm - np.asarray(marker.points_mm[0]), axis=1).argmin()
    assert panel.shown.names[panel.shown.section[at]].startswith("twist") and len(canvas.marks) == 1


def test_a_small_eye_that_is_right_is_told_all_the_same(example: Callable[[str], ShapeResult]) -> None:
    result = seen(example, "small-eye")
    assert not telling(result)
    words = " ".join(item.text for item in picture_canvas(result).over if isinstance(item, Text))
    assert "Small eye, on a pin of 2 d" in words and "strain 0.33" in words
    assert "Small eye" not in " ".join(
        item.text for item in picture_canvas(example("faults/good")).over if isinstance(item, Text)
    )


def test_what_is_missing_is_marked_where_it_is_not(example: Callable[[str], ShapeResult]) -> None:
    """No wire is to blame for turns and wraps that are not there: none is coloured, the mark points to their place."""
    whole, wide = example("faults/good"), side_view()
    few = shape(whole.recipe.variant(twist=replace(whole.recipe.twist, turns=3.0, length_mm=None)))
    for result, z in (
        (example("faults/wraps-only"), 0.0),
        (example("faults/twist-only"), example("faults/twist-only").joint.axial["barrel"]),
        (few, few.joint.axial["exit"]),
    ):
        markers = spots(result, shown_part(result.joint), wide)
        (missing,) = (m for m in markers if m.title in ("A twist without a barrel", "Only 3 turns") or "wraps without" in m.title.lower())  # fmt: skip
        ((x, y, at),) = missing.points_mm
        assert (x, y) == (0.0, 0.0) and abs(at - z) <= result.joint.diameter_mm
    for name in ("wraps-only", "twist-only"):
        assert set(severities(example(f"faults/{name}")).values()) == {Severity.OK}
