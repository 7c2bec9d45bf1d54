"""The bench sheet: one page of paper to lay the joint on, with what to cut, ink, count, measure and watch."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from helix.output.colouring import SECTION_COLOURS
from helix.output.files import write_whole
from helix.output.inks import INK, MARK_COLOURS, NOTE_COLOUR, SOFT, Area, Ink, Stroke, Text
from helix.output.lettering import fitted_line, text_width, wrapped
from helix.output.numbers import Block, bends_block, counts_block, sizes_block, wire_line
from helix.output.paper import SIZES_MM, Page, page_pdf
from helix.output.placing import spread
from helix.output.sheet_views import LETTER, enlarged_inks, extent_mm, true_inks, true_view
from helix.output.view import shown_part
from helix.output.words import answer_line, findings, fixed_length, sound_line, title_of, verdict_line
from helix.studies.marks import ink_marks, middle_of_eye_mm
from helix.units import MM_PER_INCH, UnitSystem

if TYPE_CHECKING:
    from helix.studies.shape import ShapeResult

CHECK_MM: Final = 100.0
CHECK_WORDS: Final = "Check this rule before you trust the drawing"
MARGIN: Final = 11.0
_CAUTION: Final = (
    "An estimate, not a proof. Not for lifting, fall arrest or loads over people. Hard wire whips when it is let go or "
    "broken off: wear eye protection."
)
_TINTS: Final = {
    "handle": "#e9e6df", "stub": SECTION_COLOURS["stub"], "barrel": SECTION_COLOURS["barrel"],
    "exit": SECTION_COLOURS["exit_tag"], "twist": SECTION_COLOURS["twist_tag"], "eye": SECTION_COLOURS["eye"],
    "core": SECTION_COLOURS["barrel_core"], "standing": SECTION_COLOURS["standing"],
}  # fmt: skip
_LEG_TINTS: Final = {"twist": SECTION_COLOURS["twist_standing"], "exit": SECTION_COLOURS["exit_standing"]}
_SHORT: Final = {"core": "under barrel", "standing": "standing leg"}
_COLUMNS_MM: Final = 39.0
_STRIP_MM: Final = 24.0
_MOST_SCALE: Final = 10.0


def sheet_page(result: ShapeResult, units: UnitSystem = "metric", *, paper: str = "a4") -> Page:
    """The sheet as shapes in mm on a lying page; paper: "a4" or "letter" (KeyError otherwise).

    The joint stands at true size; where the paper is too small for it, the sheet says so in its place.
    """
    width, height = SIZES_MM[paper]
    left, right = MARGIN, width - MARGIN
    inks = _head(result, units, left, right)
    columns = height - MARGIN - 3.0 - _COLUMNS_MM
    strip = columns - _STRIP_MM
    inks += _views(result, units, (left, 30.0, right, strip - 1.0))
    inks += _strip(result, units, left, right, strip)
    inks += _columns(result, units, left, right, columns)
    inks.append(
        Text(left, height - MARGIN + 2.0, fitted_line(_CAUTION, LETTER, right - left - 34.0), LETTER, INK)
    )
    inks.append(
        Text(
            right, height - MARGIN + 2.0, f"helix {result.version.split('+')[0]}", LETTER, SOFT, anchor="end"
        )
    )
    return Page(width, height, f"Bench sheet: {title_of(result)}", tuple(inks))


def write_sheet(
    result: ShapeResult, path: Path, units: UnitSystem = "metric", *, paper: str = "a4", force: bool = False
) -> None:
    """Write the sheet to a PDF file, whole or not at all; raises InputFaults when it cannot."""
    write_whole(path, page_pdf(sheet_page(result, units, paper=paper)), force=force)


def _head(result: ShapeResult, units: UnitSystem, left: float, right: float) -> list[Ink]:
    """Title, what to cut, the verdict in a line, the wire."""
    answer, _, parts = answer_line(result, units).partition(":")
    size = 6.2
    cut = fitted_line(answer, size, right - left, bold=True)
    beside = left + text_width(cut, size, True) * 0.93 + 4.0
    wire = fitted_line(wire_line(result, units), 3.0, (right - left) * 0.55)
    title = fitted_line(title_of(result), 3.8, (right - left) * 0.44, bold=True)
    verdict = fitted_line(verdict_line(result), 3.4, right - left - 6.0, bold=True)
    told = findings(result)
    worst = told[0].severity if told and told[0].severity != "note" else "ok"
    colour = MARK_COLOURS.get(worst, NOTE_COLOUR)
    return [
        Text(left, 13.0, title, 3.8, SOFT, True),
        Text(right, 13.0, wire, 3.0, SOFT, anchor="end"),
        Text(left, 21.0, cut, size, INK, True),
        Text(
            beside, 21.0, fitted_line(f"of it {parts.strip()}", 3.4, right - beside) if parts else "", 3.4, INK
        ),
        Area(_rectangle(left, 23.9, left + 2.6, 26.5), colour),
        Text(left + 4.6, 26.4, verdict, 3.4, INK, True),
        Stroke(((left, 29.0), (right, 29.0)), 0.2, SOFT),
    ]  # fmt: skip


def _views(result: ShapeResult, units: UnitSystem, box: tuple[float, float, float, float]) -> list[Ink]:
    """The true-size view with its check rule, and the enlarged one in what room is left."""
    shown = shown_part(result.joint)
    length, tall = extent_mm(shown)
    left, top, right, bottom = box
    room_x, room_y = right - left, bottom - top
    fits = length <= room_x - 4.0 and tall <= room_y - 24.0
    enlarged_room = room_y - max(tall, 8.0) - 23.5
    both = fits and enlarged_room >= 34.0
    inks: list[Ink] = []
    if both:
        foot = top + 6.5 + max(tall, 8.0) + 1.5
        inks.append(_heading("True size: lay the joint on it", left, top + 4.0))
        inks += true_inks(shown, true_view(shown, (left + 4.0, top + 6.0, right, foot)), right)
        inks += _rule(left + 4.0, foot + 5.5)
        top = foot + 14.0
        found, scale, _ = enlarged_inks(result, shown, (left, top + 3.0, right, bottom), units, _MOST_SCALE)
        inks.append(_heading(f"{scale:g} times as large", left, top + 2.0))
        return inks + found
    inks += _rule(left + 4.0, bottom - 5.5)
    found, scale, _ = enlarged_inks(
        result, shown, (left, top + 6.0, right, bottom - 14.0), units, 1.0 if fits else 0.9
    )
    said = "True size: lay the joint on it" if scale == 1.0 else (
        f"NOT true size: the joint is too large for this paper and is shown at 1 : {1 / scale:.3g}"
    )  # fmt: skip
    return [*inks, _heading(said, left, top + 4.0), *found]


def _rule(x: float, y: float) -> list[Ink]:
    """The check rule: 100 mm below the line, inches above it, and what it is for."""
    end = x + CHECK_MM
    inks: list[Ink] = [Stroke(((x, y), (end, y)), 0.3, INK, "check rule")]
    for mm in range(101):
        tick = 2.6 if mm % 10 == 0 else 1.8 if mm % 5 == 0 else 1.1
        inks.append(Stroke(((x + mm, y), (x + mm, y + tick)), 0.18 if mm % 10 == 0 else 0.1, INK))
        if mm % 20 == 0:
            inks.append(Text(x + mm, y + 4.9, f"{mm}", LETTER * 0.9, INK, anchor="middle"))
    for eighth in range(int(CHECK_MM / MM_PER_INCH * 8) + 1):
        at = x + eighth * MM_PER_INCH / 8
        tick = 2.2 if eighth % 8 == 0 else 1.0
        inks.append(Stroke(((at, y), (at, y - tick)), 0.14, SOFT))
        if eighth % 8 == 0 and eighth:
            inks.append(Text(at + 0.5, y - 1.4, f"{eighth // 8} in", LETTER * 0.9, SOFT))
    inks.append(Text(end + 3.2, y + 4.9, "mm", LETTER * 0.9, INK))
    inks.append(Text(end + 12.0, y + 0.6, f"{CHECK_WORDS}.", 3.4, INK, True))
    words = f"It must measure {CHECK_MM:g} mm. If it does not, print again at 100 %, not fitted to the page."
    inks.append(Text(end + 12.0, y + 4.6, words, LETTER * 1.1, INK))
    return inks


def _strip(result: ShapeResult, units: UnitSystem, left: float, right: float, top: float) -> list[Ink]:
    """The straight wire from its tag end, true to size where it fits, with a place for each ink mark."""
    marks = ink_marks(result)
    own = marks[-1].begins_mm
    room = right - left - 22.0
    scale = 1.0 if own <= room else room / own
    unit, decimals = ("in", 2) if units == "inch" else ("mm", 1)
    said = "at true size: lay the wire along it" if scale == 1.0 else f"at 1 : {1 / scale:.3g}, NOT true size"
    total = fixed_length(result.cut.total_mm, units, decimals)
    inks: list[Ink] = [
        Stroke(((left, top), (right, top)), 0.2, SOFT),
        _heading(f"Ink the straight wire, from the tag's cut end ({unit}), {said}", left, top + 4.2),
    ]
    y, half, x0 = top + 17.0, 1.1, left + 4.0
    names = [_SHORT.get(mark.part, mark.part) for mark in marks]
    eye = next(k for k, mark in enumerate(marks) if mark.part == "eye")
    for k, mark in enumerate(marks):
        tint = _TINTS[mark.part]
        if k > eye and mark.part in _LEG_TINTS:
            names[k], tint = f"{mark.part}, leg", _LEG_TINTS[mark.part]
        a = x0 + mark.begins_mm * scale
        b = min(a + mark.length_mm * scale, right - 9.0) if mark is marks[-1] else a + mark.length_mm * scale
        inks.append(Area(_rectangle(a, y - half, b, y + half), tint, INK, 0.12))
    ends = right - 9.0
    for shift in (0.0, 1.1):
        inks.append(Stroke(((ends - 0.5 + shift, y + 2.0), (ends + 0.5 + shift, y - 2.0)), 0.2, INK))
    inks.append(Text(right, y + 5.0, f"{total} in all", LETTER, INK, True, "end"))
    inks.append(Stroke(((x0, y - 3.0), (x0, y + 3.0)), 0.5, INK))
    places = [(mark.letter, name, mark.begins_mm) for mark, name in zip(marks, names, strict=True)]
    places.append(("", "middle of eye", middle_of_eye_mm(result)))
    places.sort(key=lambda place: place[2])
    words = [
        (f"{letter} {fixed_length(at, units, decimals)}".strip(), name, x0 + at * scale)
        for letter, name, at in places
    ]
    widths = [max(text_width(a, LETTER, True), text_width(b, LETTER)) + 1.2 for a, b, _ in words]
    starts = spread([x for _, _, x in words], widths, left, right)
    for (number, name, x), start, wide in zip(words, starts, widths, strict=True):
        middle = start + wide / 2
        inks += [
            Text(middle, top + 8.4, number, LETTER, INK, True, "middle"),
            Text(middle, top + 11.2, name, LETTER, SOFT, anchor="middle"),
            Stroke(((middle, top + 11.9), (x, y - half - 1.4), (x, y + half + 0.6)), 0.2, INK, "ink mark"),
        ]
    return inks


def _columns(result: ShapeResult, units: UnitSystem, left: float, right: float, top: float) -> list[Ink]:
    """What to count, measure and check, and what was found, beside each other."""
    inks: list[Ink] = [Stroke(((left, top), (right, top)), 0.2, SOFT)]
    widths = (53.0, 52.0, 78.0)
    gap = 6.0
    x = left
    blocks = (counts_block(result), sizes_block(result, units), bends_block(result))
    for block, width in zip(blocks, widths, strict=True):
        inks += _table(block, x, x + width, top)
        x += width + gap
    return inks + _found(result, x, right, top)


def _table(block: Block, left: float, right: float, top: float) -> list[Ink]:
    inks: list[Ink] = [_heading(block.title, left, top + 4.4)]
    y = top + 4.4
    across = (
        [right - 14.0 * k for k in range(max(len(row) for row in block.rows) - 1)][::-1] if block.rows else []
    )
    if len(across) > 1:
        across = [right - 38.5, right - 25.0, right - 11.0, right][-len(across) :]
        for x, text in zip(across, block.head[1:], strict=True):
            inks.append(Text(x, y, text, LETTER, SOFT, anchor="end"))
    for row in block.rows:
        y += 3.95
        inks.append(Stroke(((left, y + 1.1), (right, y + 1.1)), 0.08, SOFT))
        inks.append(Text(left, y, row[0], LETTER * 1.08, SOFT))
        for x, text in zip(across, row[1:], strict=True):
            grave = text in ("sharp", "caution")
            inks.append(Text(x, y, text, LETTER * 1.08, INK, grave or len(across) == 1, "end"))
    return inks


def _found(result: ShapeResult, left: float, right: float, top: float) -> list[Ink]:
    """Every finding with what to do, as many as there is room for."""
    inks: list[Ink] = [_heading("Watch", left, top + 4.4)]
    told = [(finding.severity, finding.sentence()) for finding in findings(result)]
    if all(word == "note" for word, _ in told):
        told.insert(0, ("ok", sound_line(result)))
    y, bottom, size = top + 4.4, top + _COLUMNS_MM - 1.0, LETTER
    for number, (word, sentence) in enumerate(told):
        lines = wrapped(f"{word.upper()}  {sentence}", size, right - left - 2.6)
        if y + 2.95 * len(lines) > bottom - (3.0 if number + 1 < len(told) else 0.0):
            fit = max(int((bottom - 3.0 - y) / 2.95), 0)
            rest = len(told) - number
            if number == 0 and fit > 1:
                lines, rest = (
                    [*lines[: fit - 1], fitted_line(lines[fit - 1] + " ...", size, right - left)],
                    rest - 1,
                )
            else:
                lines = []
            inks += _told(word, lines, left, y, size)
            y += 2.95 * len(lines) + 1.0
            more = f"And {rest} more: helix shape tells them all."
            if rest:
                inks.append(Text(left, y + 2.95, more, size, INK, True))
            break
        inks += _told(word, lines, left, y, size)
        y += 2.95 * len(lines) + 1.2
    return inks


def _told(word: str, lines: list[str], left: float, y: float, size: float) -> list[Ink]:
    if not lines:
        return []
    colour = MARK_COLOURS.get(word, NOTE_COLOUR)
    bar = Area(_rectangle(left, y + 0.9, left + 0.9, y + 0.7 + 2.95 * len(lines)), colour)
    return [bar, *(Text(left + 2.0, y + 2.95 * (k + 1), line, size, INK) for k, line in enumerate(lines))]


def _heading(text: str, x: float, y: float) -> Text:
    return Text(x, y, text, 3.1, INK, True)


def _rectangle(x0: float, y0: float, x1: float, y1: float) -> tuple[tuple[float, float], ...]:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
