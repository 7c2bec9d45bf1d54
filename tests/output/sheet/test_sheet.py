"""The bench sheet: true to size, measured in the PDF itself; its words; bad input.

Map of what must hold:
  one page of the size asked for, lying; text that can be selected, every font inside the file
  the check rule is 100 mm within 0.1 %, and so is every part of the joint drawn at true size
  the ink marks stand on the wire's strip at their distances
  where the joint is too large, the sheet says that it is not true size, and does not say that it is
  nothing runs past the paper, no two words stand on each other
  what to cut, to count and to watch is on the sheet, in the units asked for
"""

from __future__ import annotations

import io
import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pypdf import PdfReader

from helix.commands.main import main
from helix.model.batch.plan import read_plan
from helix.model.recipe.recipe import read_recipe, recipe_from_text
from helix.output.batch.cut_sheet import sheet_bytes
from helix.output.canvas.lettering import text_width
from helix.output.canvas.paper import SIZES_MM, Page, page_pdf
from helix.output.canvas.primitives import Area, Stroke, Text
from helix.output.hold.hold_answers import load_head
from helix.output.picture.view import shown_part
from helix.output.sheet.sheet import CHECK_WORDS, sheet_page
from helix.output.words.findings.finding_words import capital
from helix.output.words.words import tape_number
from helix.studies.batch.cut_plan import cut_plan
from helix.studies.hold.holding import hold
from helix.studies.shape.shape import ShapeResult, shape
from helix.studies.teaching.hand_work import pin_to_bend_mm
from helix.studies.teaching.steps import ink_marks
from helix.studies.teaching.wire_parts import wire_parts
from helix.units import format_length, format_tape
from tests.tools.pdf_text import text_of

ROOT = Path(__file__).resolve().parents[3]
GOOD = ROOT / "docs" / "examples" / "logger-tether.toml"
FAULTS = ROOT / "docs" / "examples" / "faults"
MM = 25.4 / 72.0
LARGE = """
title = "Large"
[wire]
diameter = "1.9 mm"
material = "302 stainless"
[eye]
pin = "120 mm"
"""
LONG = """
title = "Long \\u4e00"
[wire]
diameter = "1 mm"
material = "302 stainless"
[eye]
pin = "6 mm"
[twist]
turns = 75
"""


@dataclass(frozen=True)
class Line:
    """A stroked line of the PDF in mm from the lower left corner, its width, and how its ends are cut."""

    points: np.ndarray
    width: float
    cap: int


@dataclass(frozen=True)
class Printed:
    """What the PDF's own content says: size in mm, lines, filled shapes, words, fonts."""

    size: tuple[float, float]
    lines: list[Line]
    shapes: list[np.ndarray]
    text: str
    fonts: list[Any]
    pages: int


def printed(data: bytes) -> Printed:
    """Read the PDF back by its operators, with whatever matrix they set."""

    from pypdf.generic import ContentStream

    reader = PdfReader(io.BytesIO(data))
    page = reader.pages[0]
    box = page.mediabox
    assert page.get("/UserUnit", 1) == 1
    lines: list[Line] = []
    shapes: list[np.ndarray] = []
    path: list[tuple[float, float]] = []
    state = [(1.0, 0, np.eye(3))]
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        name = operator.decode()
        assert name != "Do"  # everything is drawn in place
        width, cap, matrix = state[-1]
        if name == "q":
            state.append(state[-1])
        elif name == "Q":
            state.pop()
        elif name == "cm":
            a, b, c, d, e, f = map(float, operands)
            state[-1] = (width, cap, np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix)
        elif name == "w":
            state[-1] = (float(operands[0]), cap, matrix)
        elif name == "J":
            state[-1] = (width, int(operands[0]), matrix)
        elif name in ("m", "l"):
            x, y, _ = np.array([float(operands[0]), float(operands[1]), 1.0]) @ matrix
            path.append((x * MM, y * MM))
        elif name in ("S", "s", "f", "b", "B", "n", "f*", "b*", "B*"):
            if name in ("S", "s") and path:
                scale = float(np.sqrt(abs(np.linalg.det(matrix))))
                lines.append(Line(np.array(path), width * scale * MM, cap))
            elif name != "n" and path:
                shapes.append(np.array(path))
            path = []
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    size = (float(box.width) * MM, float(box.height) * MM)
    return Printed(size, lines, shapes, text_of(page), fonts, len(reader.pages))


@pytest.fixture(scope="module")
def good() -> ShapeResult:
    return shape(read_recipe(GOOD))


@pytest.fixture(scope="module")
def sheet(good: ShapeResult) -> Printed:
    return printed(page_pdf(sheet_page(good)))


@pytest.fixture(scope="module")
def large() -> ShapeResult:
    return shape(recipe_from_text(LARGE))


def words(page: Page) -> list[str]:
    return [item.text for item in page.shapes if isinstance(item, Text)]


def test_one_page_of_the_size_asked_for(sheet: Printed) -> None:
    assert sheet.pages == 1
    assert sheet.size == pytest.approx(SIZES_MM["a4"], abs=1e-3)
    assert SIZES_MM["a4"] == (297.0, 210.0)
    assert SIZES_MM["letter"] == pytest.approx((279.4, 215.9))


def test_fonts_are_inside_the_file_and_text_can_be_selected(sheet: Printed) -> None:
    assert sheet.fonts
    for font in sheet.fonts:
        described = font["/FontDescriptor"].get_object()
        assert font["/Subtype"] == "/TrueType"
        assert "/FontFile2" in described
        assert "/ToUnicode" in font
    assert CHECK_WORDS in sheet.text
    assert "Logger tether, lower eye (invented)" in sheet.text


def test_check_rule_is_true(sheet: Printed) -> None:
    rules = [line for line in sheet.lines if len(line.points) == 2 and abs(np.ptp(line.points[:, 0]) - 100.0) < 2.0
             and np.ptp(line.points[:, 1]) < 1e-6]  # fmt: skip
    assert len(rules) == 1
    rule = rules[0]
    assert np.ptp(rule.points[:, 0]) == pytest.approx(100.0, rel=1e-5)
    assert rule.cap == 0  # cut square where it is said to end
    ticks = sorted({round(float(line.points[0, 0] - rule.points[:, 0].min()), 4) for line in sheet.lines
                    if len(line.points) == 2 and abs(line.points[0, 1] - rule.points[0, 1]) < 1e-4
                    and line.points[1, 1] < rule.points[0, 1] and np.ptp(line.points[:, 0]) < 1e-6})  # fmt: skip
    assert ticks == pytest.approx(np.arange(101.0), abs=1e-3)


def test_check_rule_is_4_inches_where_the_sheet_is_in_inches(good: ShapeResult) -> None:
    page = sheet_page(good, "inch")
    (rule,) = (item for item in page.shapes if isinstance(item, Stroke) and item.role == "check rule")
    assert np.ptp(rule.points, axis=0) == pytest.approx([101.6, 0.0])
    said = " ".join(words(page))
    assert "It must measure 4 inches." in said
    assert "Distances in inches from the tag's cut end" in said
    assert not re.search(r"\bin in\b|\bmm\b", said)


def true_wire(sheet: Printed, d: float) -> np.ndarray:
    """Points of the lines as wide as the wire is thick: the wire at true size."""
    return np.concatenate([line.points for line in sheet.lines if abs(line.width / d - 1.0) < 1e-4])


def test_joint_is_drawn_true_to_a_part_in_a_thousand(good: ShapeResult, sheet: Printed) -> None:
    """Across: the eye's inside width of the study. Along: all that is shown of the centre line."""
    d = good.recipe.wire.diameter_mm
    wire = true_wire(sheet, d)
    assert np.ptp(wire[:, 1]) - d == pytest.approx(good.finished.eye_inside_width_mm, rel=1e-3)
    shown = shown_part(good.joint).points_mm
    assert np.ptp(wire[:, 0]) == pytest.approx(np.ptp(shown[:, 2]), rel=1e-5)
    assert np.ptp(wire[:, 0]) > good.finished.length_mm


def test_every_point_of_the_true_view_lies_on_the_joint(good: ShapeResult, sheet: Printed) -> None:
    """Each point drawn is a point of the centre line seen along the pin: nowhere off by more than rounding."""
    from scipy.spatial import cKDTree

    d = good.recipe.wire.diameter_mm
    wire = true_wire(sheet, d)
    line = good.joint.sample(0.005)
    seen = line.points_mm[:, [2, 0]] - [line.points_mm[:, 2].min(), 0.0]
    wire = wire - [wire[:, 0].min(), 0.0]
    middle = (wire[:, 1].max() + wire[:, 1].min()) / 2 - (seen[:, 1].max() + seen[:, 1].min()) / 2
    gaps, _ = cKDTree(seen).query(wire - [0.0, middle])
    assert gaps.max() < 0.001 * good.finished.length_mm


def test_ink_marks_stand_at_their_distances(good: ShapeResult) -> None:
    page = sheet_page(good)
    marks = [item for item in page.shapes if isinstance(item, Stroke) and item.role == "ink mark"]
    strip = [
        item
        for item in page.shapes
        if isinstance(item, Area) and item.edge and np.isclose(item.points[2][1] - item.points[0][1], 2.2)
    ]
    start = min(x for item in strip for x, _ in item.points)
    at = sorted(item.points[-1][0] - start for item in marks)
    assert at == pytest.approx([mark.from_tag_end_mm for mark in ink_marks(good)], abs=1e-9)
    begins = sorted(item.points[0][0] - start for item in strip)
    assert begins == pytest.approx([part.begins_mm for part in wire_parts(good)], abs=1e-9)
    for mark in ink_marks(good):
        assert f"{mark.letter}  {round(2.0 * mark.from_tag_end_mm) / 2.0:g}" in words(page)


def test_parts_of_the_wire_add_up_to_the_cut_and_meet_at_the_marks(good: ShapeResult) -> None:
    parts = wire_parts(good)
    ends = np.cumsum([part.length_mm for part in parts])
    assert ends[-1] == pytest.approx(good.cut.total_mm, rel=1e-12)
    assert [part.begins_mm for part in parts[1:]] == pytest.approx(ends[:-1].tolist(), rel=1e-12)
    joins = [mark.from_tag_end_mm for mark in ink_marks(good) if "middle" not in mark.what]
    assert all(np.abs(ends - at).min() < 1e-9 for at in joins)


@pytest.mark.parametrize("text", [LARGE, LONG], ids=["wide", "long"])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_what_is_not_true_says_so(text: str, paper: str) -> None:
    page = sheet_page(shape(recipe_from_text(text)), paper=paper)
    said = " ".join(words(page))
    assert "NOT true size: the joint is too large for this paper" in said
    assert "True size" not in said
    assert CHECK_WORDS in said


def test_a_joint_that_fits_is_not_called_too_large(good: ShapeResult) -> None:
    said = " ".join(words(sheet_page(good)))
    assert "True size: lay the joint on it" in said
    assert "NOT" not in said


@pytest.mark.parametrize(
    ("name", "paper", "units"),
    [
        ("overbent-120", "a4", "metric"),
        ("opposite-hand-barrel", "letter", "inch"),
        ("wraps-only", "letter", "metric"),
        ("twist-only", "a4", "inch"),
        ("over-twist", "a3", "inch"),
    ],
)
def test_nothing_runs_past_the_paper_and_no_words_collide(name: str, paper: str, units: Any) -> None:
    result = shape(read_recipe(FAULTS / f"{name}.toml"))
    (finding, *_) = result.findings
    title = " ".join(["A tether of the outer reef"] * 6) + " (invented)"
    result = replace(result, recipe=replace(result.recipe, title=title), findings=(finding,) * 12)
    page = sheet_page(result, units, paper=paper)
    assert any(text.endswith("... (invented)") for text in words(page))
    boxes, boxes_of = [], []
    for item in page.shapes:
        if isinstance(item, Text):
            wide = text_width(item.text, item.size, item.bold) * 0.9  # the estimate errs on the wide side
            x = item.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * wide
            boxes.append((x, item.y - 0.72 * item.size, x + wide, item.y, item.text))
        else:
            xs, ys = zip(*item.points, strict=True)
            boxes_of.append((min(xs), min(ys), max(xs), max(ys)))
    for k, (x0, y0, x1, y1, text) in enumerate(boxes):
        boxes_of.append((x0, y0, x1, y1))
        for a0, b0, a1, b1, other in boxes[k + 1 :]:
            assert x1 <= a0 or a1 <= x0 or y1 <= b0 or b1 <= y0, (text, other)
    low, high = np.min(boxes_of, axis=0), np.max(boxes_of, axis=0)
    assert low[:2].min() >= 5.0
    assert high[2] <= page.width - 5.0
    assert high[3] <= page.height - 5.0


def test_what_was_found_is_on_the_sheet() -> None:
    result = shape(read_recipe(FAULTS / "overbent-120.toml"))
    said = " ".join(words(sheet_page(result)))
    assert "SHARP" in said
    assert "Never bend the tag past square" in said
    assert re.search(r"\bsharp\b", said)


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_numbers_are_those_of_the_result_in_the_units_asked_for(good: ShapeResult, units: Any) -> None:
    said = words(sheet_page(good, units))
    made = good.finished
    for size in (made.length_mm, made.overall_length_mm, made.eye_inside_width_mm, good.recipe.wire.diameter_mm):
        assert format_length(size, units) in said
    assert any(text.startswith(f"Cut {format_tape(good.cut.total_mm, units)}") for text in said)
    assert "5 (right-hand)" in said


def test_more_findings_than_room_are_counted(good: ShapeResult) -> None:
    (finding,) = shape(read_recipe(FAULTS / "wraps-only.toml")).findings
    many = replace(good, findings=(finding,) * 30)
    said = words(sheet_page(many))
    counted = [int(match[1]) for text in said if (match := re.fullmatch(r"And (\d+) more, .*", text))]
    assert len(counted) == 1
    shown = sum(text.startswith("FAULT: ") for text in said)
    assert counted[0] + shown >= 30


def test_the_same_sheet_gives_the_same_bytes_and_no_title_breaks_it(good: ShapeResult) -> None:
    odd = replace(good, recipe=replace(good.recipe, title="\u4e00 $x^2$ (\\) \u00e9"))
    page = sheet_page(odd)
    small = replace(page, shapes=tuple(item for item in page.shapes if isinstance(item, Text)))
    first = page_pdf(small)
    assert first == page_pdf(small)
    assert "? $x^2$ (\\" in printed(first).text


def test_command_writes_the_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "sheet.pdf"
    assert main(["sheet", str(FAULTS / "wraps-only.toml"), "-o", str(target), "--paper", "Letter", "--strict"]) == 1
    assert target.read_bytes().startswith(b"%PDF-")
    assert "100 %" in capsys.readouterr().out
    assert main(["sheet", str(GOOD), "-o", str(target)]) == 2
    assert "--force" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "lines"),
    [
        (["no.toml", "-o", "sheet.pdf"], 1),
        (["no.toml", "-o", "nowhere/sheet.pdf"], 2),
        ([str(GOOD), "-o", "sheet.png"], 1),
        ([str(GOOD), "-o", "sheet.pdf", "--paper", "a5"], 1),
        ([str(FAULTS / "lay-two.toml"), "-o", "sheet.pdf"], 1),
    ],
)
def test_bad_input_is_one_line_a_fault_and_no_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    arguments: list[str], lines: int,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    assert main(["sheet", *arguments]) == 2
    assert len(capsys.readouterr().err.splitlines()) == lines
    assert list(tmp_path.iterdir()) == []


def test_cut_sheet_has_the_paper_asked_for_and_loses_nothing() -> None:
    """Each paper has its size, a rule of 4 inches or 100 mm, and the words that A4 has."""
    plan = cut_plan(read_plan(ROOT / "docs" / "examples" / "reef-station.toml"))
    lines: dict[str, set[str]] = {}
    for paper, size in (("a4", (210.0, 297.0)), ("a3", (420.0, 297.0)), ("letter", (215.9, 279.4))):
        pages = PdfReader(io.BytesIO(sheet_bytes(plan, "inch", paper=paper))).pages
        assert (float(pages[0].mediabox.width) * MM, float(pages[0].mediabox.height) * MM) == pytest.approx(
            size, abs=1e-3
        )
        said = {line for page in pages for line in page.extract_text().splitlines()}
        assert any("4 inches when printed at full size" in line for line in said)
        lines[paper] = {line for line in said if not line.startswith("page ")}
    assert lines["a4"] == lines["a3"] == lines["letter"]
    pins = {pin_to_bend_mm(end.recipe) for piece in plan.pieces for end in piece.piece.ends if end.recipe is not None}
    told = " ".join(lines["a4"])
    assert pins and all(format_length(pin, "inch") in told for pin in pins if pin is not None)  # thinner than the eyes


def test_the_sheet_of_two_wires_has_both_to_cut_and_to_ink() -> None:
    recipe = recipe_from_text(
        'title = "Doubled (invented)"\n[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\ncount = 2\n'
        '[eye]\npin = "6 mm"\npair = "one over the other"\n'
    )
    two = shape(recipe)
    page = sheet_page(two)
    assert any("wire 1 501 mm and wire 2 499 mm" in text for text in words(page))
    inked = [shape.points for shape in page.shapes if isinstance(shape, Stroke) and shape.role == "ink mark"]
    for points, mark in zip(inked, ink_marks(two), strict=True):
        first, second = (place.from_tag_end_mm for place in mark.places)
        assert points[-1][0] - points[1][0] == pytest.approx(second - first, abs=1e-9)
        assert f"{mark.letter}  {tape_number(first, 'metric')}" in " ".join(words(page))
        assert tape_number(second, "metric") in " ".join(words(page))
    for number, wire in enumerate(two.wires):
        assert sum(part.length_mm for part in wire_parts(two, number)) == pytest.approx(wire.cut_mm)


@pytest.mark.parametrize("name", ["logger-tether", "faults/overbent-120"])
def test_the_load_and_what_kind_of_number_it_is_stand_on_the_sheet(name: str) -> None:
    result = shape(read_recipe(GOOD.parent / f"{name}.toml"))
    head = load_head(hold(result.recipe), "metric")
    [line] = [shape.text for shape in sheet_page(result).shapes if isinstance(shape, Text) and head.short in shape.text]
    assert head.mark in line and capital(head.rest) in line
