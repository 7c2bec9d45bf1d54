"""A handout for a class, to print: the joints with questions in front, what is wrong with each behind; PDF."""

from __future__ import annotations

from itertools import count

import numpy as np

from helix.output.batch.cut_sheet_parts import (
    EDGE,
    LINE,
    PAGE_MM,
    RIGHT,
    WIDE,
    SheetBlock,
    columns,
    paragraph,
    wide_lines,
    words,
)
from helix.output.canvas.paper import Page, page_pdf
from helix.output.canvas.primitives import SOFT, Primitive, Stroke, moved
from helix.output.picture.picture_layout import break_sign
from helix.output.picture.view import View, VisiblePart, shown_part, side_view
from helix.output.shape.wire_shapes import wire_shapes
from helix.output.words.answer_words import CAUTION
from helix.output.words.compare_words import key_fact
from helix.output.words.lesson_words import taught
from helix.output.words.words import title_of
from helix.studies.shape.shape import ShapeResult
from helix.studies.teaching.compare_joints import Comparison
from helix.units import UnitSystem

QUESTIONS = ("What is wrong with this one?", "What should hands do?")
_TILT = float(np.radians(16.0))
_LEAST_ROOM = 2 * EDGE + 8.0
_BREAK = 1.1  # size of the sign where the standing leg is cut short [mm]


def handout_pages(comparison: Comparison, units: UnitSystem = "metric") -> tuple[list[Page], list[Page]]:
    """The pages of questions and those of answers. The first joint is the good one; the others go by a letter."""
    first, *others = comparison.results
    shown = [shown_part(result.joint) for result in comparison.results]
    scale = WIDE / max(_length(part) for part in shown)
    invented = " (invented)" if any("(invented)" in title_of(result) for result in comparison.results) else ""
    letters = [chr(ord("A") + k) for k in range(len(others))]
    front = [_title(f"What is wrong with these joints?{invented}"), _joint("Made right", shown[0], scale)]
    front += [_joint(letter, part, scale, QUESTIONS) for letter, part in zip(letters, shown[1:], strict=True)]
    behind = [_title(f"Answers{invented}"), SheetBlock(8.0, (words(EDGE, 4.0, f"Made right: {title_of(first)}", 9),))]
    behind += [_answers(letter, result, units) for letter, result in zip(letters, others, strict=True)]
    return _pages(front, "Questions"), _pages(behind, "Answers")


def handout_pdf(comparison: Comparison, units: UnitSystem = "metric") -> bytes:
    """The handout as the content of a file; the same joints give the same bytes."""
    front, behind = handout_pages(comparison, units)
    return page_pdf(*front, *behind)


def _title(text: str) -> SheetBlock:
    return SheetBlock(11.0, (words(EDGE, 6.0, text, 15, bold=True),), heading=True)


def _flat(part: VisiblePart) -> np.ndarray:
    return side_view(_TILT).project(part.points_mm)[0]


def _length(part: VisiblePart) -> float:
    return float(np.ptp(_flat(part)[:, 0])) + part.d_mm


def _joint(name: str, part: VisiblePart, scale: float, questions: tuple[str, ...] = ()) -> SheetBlock:
    """A joint from the side, and a line to write on for each question."""
    flat, half = _flat(part), part.d_mm / 2
    low, high = flat.min(axis=0) - half, flat.max(axis=0) + half
    view = View(side_view(_TILT).axes, scale, (EDGE - float(low[0]) * scale, 9.0 - float(low[1]) * scale))
    wire = part.d_mm * scale
    shapes: list[Primitive] = [words(EDGE, 5.0, name, 11, bold=True), *wire_shapes(part, view, wire)]
    shapes += break_sign(part, view, wire, _BREAK)
    y = 9.0 + float(high[1] - low[1]) * scale + 2.0
    for question in questions:
        y += 7.0
        shapes += [words(EDGE, y, question, 9), Stroke(((EDGE + 56.0, y), (RIGHT, y)), LINE, SOFT)]
    return SheetBlock(y + 6.0, tuple(shapes))


def _answers(letter: str, result: ShapeResult, units: UnitSystem) -> SheetBlock:
    """Each lesson of a joint: what is to be seen, why it matters, what to do; its figures small."""
    shapes: list[Primitive] = []
    y = 5.0
    lessons = taught(result, units)
    headlines = [lesson.headline for lesson in lessons] or ["Nothing was found wrong"]
    for number, headline, lesson in zip(count(), headlines, [*lessons, None], strict=False):
        shapes.append(words(EDGE, y, f"{letter}: {headline}" if number == 0 else headline, 11, bold=True))
        told = (("Because", lesson.because), ("Do this", lesson.do)) if lesson else ()
        lines = wide_lines([f"{head}: {text}." for head, text in told if text], 9)
        shapes += paragraph(y + 5.0, 4.6, lines, 9)
        y += 8.0 + 4.6 * len(lines)
    lines = wide_lines([f"{title_of(result)}. {key_fact(result, units)}."], 8)
    shapes += [*paragraph(y - 2.6, 3.8, lines, 8)]
    return SheetBlock(y + 3.8 * len(lines) + 2.0, tuple(shapes))


def _pages(blocks: list[SheetBlock], title: str) -> list[Page]:
    pages = columns(blocks, PAGE_MM[1] - _LEAST_ROOM)
    made = []
    for number, page in enumerate(pages, 1):
        shapes: list[Primitive] = [
            words(EDGE, PAGE_MM[1] - 8.0, CAUTION, 7.5),
            words(RIGHT, PAGE_MM[1] - 8.0, f"{title}, {number} of {len(pages)}", 7, SOFT, anchor="end"),
        ]
        top = EDGE
        for block in page:
            shapes += [moved(item, top) for item in block.shapes]
            top += block.height
        made.append(Page(*PAGE_MM, title, tuple(shapes)))
    return made
