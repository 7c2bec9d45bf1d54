"""The bench sheet: one page of paper to lay the joint on, with what to cut, ink, count, measure and watch."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from helix.findings import Severity
from helix.output.canvas.label_places import spread
from helix.output.canvas.lettering import fitted_line, fitted_title, text_width, wrapped
from helix.output.canvas.paper import SIZES_MM, Page
from helix.output.canvas.primitives import INK, MARK_COLOURS, SOFT, Area, Primitive, Stroke, Text, rectangle
from helix.output.hold.hold_answers import strength_line
from helix.output.picture.view import shown_part
from helix.output.report.document import Table
from helix.output.report.numbers import bends_block, counts_block, sizes_block, wire_line
from helix.output.shape.colouring import SECTION_COLOURS
from helix.output.sheet.sheet_views import LETTER, enlarged_shapes, extent_mm, true_shapes, true_view
from helix.output.words.answer_words import CAUTION, tape_range
from helix.output.words.lesson_words import with_advice
from helix.output.words.words import (
    answer_line,
    findings,
    mark_number,
    of_each_wire,
    shown_severity,
    sound_line,
    title_of,
    verdict_line,
    wires_apart,
)
from helix.studies.teaching.hand_work import pin_to_bend_mm
from helix.studies.teaching.steps import Mark, ink_marks
from helix.studies.teaching.wire_parts import WirePart, wire_parts
from helix.units import MM_PER_INCH, UNIT_WORDS, UnitSystem, format_length, format_tape

if TYPE_CHECKING:
    from helix.studies.hold.hold_result import HoldResult
    from helix.studies.shape.shape import ShapeResult

CHECK_MM: Final = {"metric": 100.0, "inch": 4.0 * MM_PER_INCH}
"""Length of the check rule: 100 mm, or 4 inches."""
CHECK_WORDS: Final = "Check this rule before you trust the drawing"
MARGIN: Final = 11.0
_TINTS: Final = {
    "handle": "#e9e6df", "stub": SECTION_COLOURS["stub"], "barrel": SECTION_COLOURS["barrel"],
    "exit": SECTION_COLOURS["exit_tag"], "twist": SECTION_COLOURS["twist_tag"], "eye": SECTION_COLOURS["eye"],
    "core": SECTION_COLOURS["barrel_core"], "standing": SECTION_COLOURS["standing"],
}  # fmt: skip
_LEG_TINTS: Final = {"twist": SECTION_COLOURS["twist_standing"], "exit": SECTION_COLOURS["exit_standing"]}
_NAMES: Final = {"core": "under barrel", "standing": "standing leg"}
_COLUMNS_MM: Final = 39.0
_READ: Final = 2.7  # height of the columns' font, 7.7 points
_LEAD: Final = 4.35
_WATCH_SIZES: Final = (2.55, 2.3, 2.1, 1.95)
_STRIP_MM: Final = 23.0
_MOST_SCALE: Final = 20.0
_LEAST_ENLARGED: Final = 1.5


def sheet_page(
    result: ShapeResult, units: UnitSystem = "metric", *, paper: str = "a4", held: HoldResult | None = None
) -> Page:
    """The sheet as shapes in mm on a lying page; paper: one of `SIZES_MM` (KeyError otherwise); held: an estimate in place of the usual.

    The joint stands at true size; where the paper is too small for it, the sheet says so in its place.
    """
    width, height = SIZES_MM[paper]
    left, right = MARGIN, width - MARGIN
    shapes = _head(result, units, left, right, strength_line(result.recipe, units, held))
    columns = height - MARGIN - 3.0 - _COLUMNS_MM
    strip = columns - _STRIP_MM
    shapes += _views(result, units, (left, 30.0, right, strip - 1.0))
    shapes += _strip(result, units, left, right, strip)
    shapes += _columns(result, units, left, right, columns)
    shapes.append(Text(left, height - MARGIN + 2.0, fitted_line(CAUTION, LETTER, right - left - 34.0), LETTER, INK))
    shapes.append(
        Text(right, height - MARGIN + 2.0, f"helix {result.version.split('+')[0]}", LETTER, SOFT, anchor="end")
    )
    return Page(width, height, f"Bench sheet: {title_of(result)}", tuple(shapes))


_BOLD: Final = frozenset(severity.word for severity in Severity if severity >= Severity.CAUTION)


def _head(result: ShapeResult, units: UnitSystem, left: float, right: float, holds: str) -> list[Primitive]:
    """Title, what to cut, the verdict and the load in a line each, the wire."""
    _, _, parts = answer_line(result, units).partition(":")
    total, lows = result.cut.total_mm, [wire.low_mm for wire in result.wires]
    between = tape_range(min(lows), max(wire.high_mm for wire in result.wires), units)
    answer, size = f"Cut {format_tape(total, units)} ({between})", 6.2
    if len(result.wires) > 1:
        answer, size = f"Cut {wires_apart(result, units)} ({between})", 4.6
        parts = ""
    cut = fitted_line(answer, size, right - left, bold=True)
    beside = left + text_width(cut, size, True) * 0.95 + 4.0
    wire = fitted_line(wire_line(result, units), 3.0, (right - left) * 0.55)
    title = fitted_title(title_of(result), 3.8, (right - left) * 0.44)
    verdict = fitted_line(verdict_line(result, units), 3.4, right - left - 6.0, bold=True)
    strength = fitted_line(holds, 2.9, right - left - 6.0)
    colour = MARK_COLOURS[shown_severity(result.judgement)]
    return [
        Text(left, 13.0, title, 3.8, SOFT, True),
        Text(right, 13.0, wire, 3.0, SOFT, anchor="end"),
        Text(left, 20.0, cut, size, INK, True),
        Text(
            beside, 20.0, fitted_line(f"of it {parts.strip()}", 3.4, right - beside) if parts else "", 3.4, INK
        ),
        Area(rectangle(left, 22.2, left + 2.6, 24.8), colour),
        Text(left + 4.6, 24.7, verdict, 3.4, INK, True),
        Text(left + 4.6, 28.4, strength, 2.9, INK),
        Stroke(((left, 29.8), (right, 29.8)), 0.2, SOFT),
    ]  # fmt: skip


def _views(result: ShapeResult, units: UnitSystem, box: tuple[float, float, float, float]) -> list[Primitive]:
    """The true-size view with its check rule, and the enlarged one if there is room for it.

    Where there is not, the true-size view takes all the room, with dimensions if they fit round it; a
    joint too large for the paper is shown smaller, and the sheet says so.
    """
    shown = shown_part(result.joint)
    length, tall = extent_mm(shown)
    left, top, right, bottom = box
    true = "True size: lay the joint on it"
    unit = UNIT_WORDS[units]
    if length <= right - left - 4.0 and tall <= bottom - top - 22.0:
        foot = top + 7.5 + max(tall, 8.0)
        shapes: list[Primitive] = [_heading(true, left, top + 4.0)]
        shapes += true_shapes(shown, true_view(shown, (left + 4.0, top + 6.0, right, foot)), right)
        shapes += _rule(left + 4.0, foot + 5.5, units)
        below = (left, foot + 17.0, right, bottom)
        if below[3] - below[1] > 34.0:
            enlarged, scale = enlarged_shapes(result, shown, below, units, _MOST_SCALE)
            if scale >= _LEAST_ENLARGED:
                return [*shapes, _heading(f"{scale:g} times as large. Sizes in {unit}", left, foot + 16.0), *enlarged]
        rule = _rule(left + 4.0, bottom - 5.5, units)
        whole, scale = enlarged_shapes(result, shown, (left, top + 6.0, right, bottom - 14.0), units, 1.0)
        return [_heading(f"{true}. Sizes in {unit}", left, top + 4.0), *rule, *whole] if scale == 1.0 else shapes
    enlarged, scale = enlarged_shapes(result, shown, (left, top + 6.0, right, bottom - 14.0), units, 0.9)
    words = f"NOT true size: the joint is too large for this paper and is shown at 1 : {1 / scale:.3g}. Sizes in {unit}"
    return [_heading(words, left, top + 4.0), *_rule(left + 4.0, bottom - 5.5, units), *enlarged]


def _rule(x: float, y: float, units: UnitSystem) -> list[Primitive]:
    """The check rule in the one unit that the sheet is in, 4 inches or 100 mm long, and what it is for."""
    inch, length = units == "inch", CHECK_MM[units]
    parts, long, middling = (64, 16, 8) if inch else (100, 10, 5)
    numbered, step = (16, length / parts) if inch else (20, 1.0)
    end = x + length
    shapes: list[Primitive] = [Stroke(((x, y), (end, y)), 0.3, INK, "check rule")]
    for k in range(parts + 1):
        at, tick = x + k * step, 2.6 if k % long == 0 else 1.8 if k % middling == 0 else 1.1
        shapes.append(Stroke(((at, y), (at, y + tick)), 0.18 if k % long == 0 else 0.1, INK))
        if k % numbered == 0:
            number = f"{k // numbered if inch else k}"
            shapes.append(Text(at, y + 4.9, number, LETTER * 0.9, INK, anchor="middle"))
    shapes.append(Text(end + 3.2, y + 4.9, UNIT_WORDS[units] if inch else "mm", LETTER * 0.9, INK))
    shapes.append(Text(end + 14.0, y + 0.6, f"{CHECK_WORDS}.", 3.4, INK, True))
    words = f"It must measure {check_length(units)}. If it does not, print again at 100 %, not fitted to the page."
    shapes.append(Text(end + 14.0, y + 4.6, words, LETTER * 1.1, INK))
    return shapes


def check_length(units: UnitSystem) -> str:
    """Length of the check rule in words."""
    return "4 inches" if units == "inch" else "100 mm"


def _strip(result: ShapeResult, units: UnitSystem, left: float, right: float, top: float) -> list[Primitive]:
    """Each straight wire from its tag end, true to size where it fits, with the ink marks above, the parts below."""
    of_wires, marks = [wire_parts(result, number) for number in range(len(result.wires))], ink_marks(result)
    parts, two = of_wires[0], len(of_wires) > 1
    own, room = parts[-1].begins_mm, right - left - 24.0
    scale = 1.0 if own <= room else room / own
    unit = UNIT_WORDS[units]
    what, lay = ("both straight wires", "them") if two else ("the straight wire", "the wire")
    words = f"at true size: lay {lay} along it" if scale == 1.0 else f"at 1 : {1 / scale:.3g}, NOT true size"
    heading = f"Ink {what} {words}. Distances in {unit}{of_each_wire(marks, units)} from the tag's cut end"
    shapes: list[Primitive] = [Stroke(((left, top), (right, top)), 0.2, SOFT), _heading(heading, left, top + 4.2)]
    shapes.append(Text(right, top + 4.2, _hints(result, marks, units), LETTER * 1.1, INK, anchor="end"))
    y, half, x0, end = top + 14.0, 1.1, left + 4.0, right - 9.0
    levels = (y - 0.75, y + 0.75) if two else (y,)
    for number, (level, own_parts) in enumerate(zip(levels, of_wires, strict=True), 1):
        edges = [(x0 + p.begins_mm * scale, x0 + (p.begins_mm + p.length_mm) * scale) for p in own_parts]
        edges[-1] = (edges[-1][0], end)
        thick = 0.65 if two else half
        for part, (a, b) in zip(own_parts, edges, strict=True):
            shapes.append(Area(rectangle(a, level - thick, b, level + thick), _tint(part), INK, 0.12))
        if two:
            shapes.append(Text(x0 - 1.0, level + 0.6, f"{number}", 0.8 * LETTER, INK, anchor="end"))
    shapes += [Stroke(((end - 0.5 + q, y + 2.0), (end + 0.5 + q, y - 2.0)), 0.2, INK) for q in (0.0, 1.1)]
    total = " and ".join(dict.fromkeys(format_tape(wire.cut_mm, units) for wire in result.wires))
    shapes.append(Text(right, y - 3.2, f"all: {total}", LETTER, INK, True, "end"))
    shapes.append(Stroke(((x0, y - 3.2), (x0, y + 2.4)), 0.5, INK))
    shapes.append(Text(x0, y - 4.2, "0", LETTER, INK, True, "middle"))

    texts = [f"{mark.letter}  {mark_number(mark, units)}" for mark in marks]
    at = [[x0 + place.from_tag_end_mm * scale for place in mark.places] for mark in marks]
    middles = _apart(texts, [places[0] for places in at], left + 8.0, right - (36.0 if two else 24.0), bold=True)
    for places, middle, text in zip(at, middles, texts, strict=True):
        x, on = places[0], places[-1]
        step = ((x, y), (on, y)) if on != x else ()
        path = ((middle, y - 3.9), (x, y - half - 1.0), *step, (on, y + half + 0.6))
        shapes += [Text(middle, y - 4.6, text, LETTER, INK, True, "middle"), Stroke(path, 0.22, INK, "ink mark")]
    names = [_NAMES.get(part.part, part.part) for part in parts]
    middles = [(a + b) / 2 for a, b in edges]
    for x, middle, name in zip(middles, _apart(names, middles, left, right), names, strict=True):
        shapes.append(Text(middle, y + 5.6, name, LETTER, SOFT, anchor="middle"))
        shapes.append(Stroke(((middle, y + 3.5), (x, y + half + 0.5)), 0.12, SOFT))
    return shapes


def _hints(result: ShapeResult, marks: tuple[Mark, ...], units: UnitSystem) -> str:
    """What to do at the two marks that matter most."""
    letters = {mark.what: mark.letter for mark in marks}
    pin = pin_to_bend_mm(result.recipe)
    on = "lay this on the pin" if pin is None else f"lay on a {format_length(pin, units)} pin"
    hints = [("it breaks here", "the handle breaks off here"), ("middle of the eye: on the pin", on)]
    return ".  ".join(f"{letters[what]}: {words}" for what, words in hints if what in letters)


def _apart(texts: list[str], wanted: list[float], low: float, high: float, *, bold: bool = False) -> list[float]:
    """Middles of texts in a row, as near as can be to where they are wanted."""
    widths = [text_width(text, LETTER, bold) * 0.95 + 1.6 for text in texts]
    return [start + wide / 2 for start, wide in zip(spread(wanted, widths, low, high), widths, strict=True)]


def _tint(part: WirePart) -> str:
    return _LEG_TINTS.get(part.part, _TINTS[part.part]) if part.leg == "standing leg" else _TINTS[part.part]


def _columns(result: ShapeResult, units: UnitSystem, left: float, right: float, top: float) -> list[Primitive]:
    """What to count, measure and check, and what was found, beside each other."""
    shapes: list[Primitive] = [Stroke(((left, top), (right, top)), 0.2, SOFT)]
    widths = (50.0, 51.0, 82.0)
    gap = 6.0
    x = left
    blocks = (counts_block(result), sizes_block(result, units), bends_block(result))
    for block, width in zip(blocks, widths, strict=True):
        shapes += _table(block, x, x + width, top)
        x += width + gap
    return shapes + _found(result, units, x, right, top)


def _table(block: Table, left: float, right: float, top: float) -> list[Primitive]:
    shapes: list[Primitive] = [_heading(block.title, left, top + 4.4)]
    y = top + 4.4
    across = [right - 14.0 * k for k in range(max(len(row) for row in block.rows) - 1)][::-1] if block.rows else []
    if len(across) > 1:
        across = [right - 38.5, right - 25.0, right - 11.0, right][-len(across) :]
        for x, text in zip(across, block.heading[1:], strict=True):
            shapes.append(Text(x, y, text, LETTER, SOFT, anchor="end"))
    for row in block.rows:
        y += _LEAD
        shapes.append(Stroke(((left, y + 1.2), (right, y + 1.2)), 0.08, SOFT))
        shapes.append(Text(left, y, row[0], _READ, SOFT))
        for x, text in zip(across, row[1:], strict=True):
            grave = text in _BOLD
            shapes.append(Text(x, y, text, _READ, INK, grave or len(across) == 1, "end"))
    return shapes


def _found(result: ShapeResult, units: UnitSystem, left: float, right: float, top: float) -> list[Primitive]:
    """Every finding with what to do, in letters as large as the room allows; what does not fit is counted."""
    sentences = [(each.severity, f"{each.word}: {with_advice(each).sentence()}") for each in findings(result, units)]
    if result.judgement.severity <= Severity.NOTE:
        sentences.insert(0, (Severity.OK, f"{Severity.OK.name}: {sound_line(result)}"))
    room = _COLUMNS_MM - 6.0
    for size in _WATCH_SIZES:
        line = 1.27 * size
        blocks = [wrapped(text, size, right - left - 2.6) for _, text in sentences]
        heights = [line * len(block) + 0.45 * line for block in blocks]
        if sum(heights) <= room:
            break
    shapes: list[Primitive] = [_heading("Watch", left, top + 4.4)]
    y, kept = top + 4.6, 0
    for (severity, _), block, height in zip(sentences, blocks, heights, strict=True):
        if y + height > top + 4.6 + room - (line if kept + 1 < len(sentences) else 0.0):
            break
        bar = rectangle(left, y + 0.3 * line, left + 0.9, y + height - 0.15 * line)
        shapes.append(Area(bar, MARK_COLOURS[severity]))
        shapes += [Text(left + 2.0, y + line * (k + 1), text, size, INK) for k, text in enumerate(block)]
        y, kept = y + height, kept + 1
    if kept < len(sentences):
        shapes.append(Text(left, y + line, f"And {len(sentences) - kept} more, not on this sheet.", size, INK, True))
    return shapes


def _heading(text: str, x: float, y: float) -> Text:
    return Text(x, y, text, 3.1, INK, True)
