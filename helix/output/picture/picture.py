"""The joint as a picture: all of it, its first bend and exit close by, and what is to be said of them; a PNG file."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from helix.findings import Severity
from helix.output.canvas.canvas import LIGHT, Box, Canvas, Frame, Theme, canvas_pixels, png_bytes
from helix.output.canvas.label_places import Rectangle, Silhouette, beside
from helix.output.canvas.legend import legend_height, legend_shapes
from helix.output.canvas.lettering import fitted_line, text_width, wrapped
from helix.output.canvas.primitives import INK, MARK_COLOURS, SOFT, Area, Primitive, Stroke, Text
from helix.output.files import write_whole
from helix.output.picture.closeup.closeup_primitives import close_up_shapes, zoom_lines
from helix.output.picture.closeup.closeups import chosen, faulty_parts, panels
from helix.output.picture.markers import Marker, places, spots
from helix.output.picture.part_names import PartNames
from helix.output.picture.picture_layout import break_sign, mark_outline, round_below, scale_bar, verdict_lines
from helix.output.picture.render import CannotRender
from helix.output.picture.view import View, VisiblePart, fitted, named_view, shown_part
from helix.output.shape.colouring import ColourBy, Coloured
from helix.output.shape.labels import part_callouts
from helix.output.shape.wire_colours import wire_colours
from helix.output.words.answer_words import CAUTION
from helix.output.words.lesson_words import first_lesson
from helix.output.words.words import answer_line, more_words, small_eye_line, sound_line, telling, title_of
from helix.units import MM_PER_INCH, UnitSystem, format_length

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

__all__ = ["CannotRender", "Look", "picture_canvas", "picture_pixels", "write_picture"]

Mark = tuple[Severity, float, float, float]

SIZE_PX = (1600, 900)
STEP_D = 0.1
_BELOW = ("entry_standing", "entry_tag", "twist_standing", "twist_tag", "exit_standing", "exit_tag", "barrel")
_ZONE = 0.57  # share of the height at which the close-ups begin
_TAUGHT_ZONE = 0.5  # the same where a fault is taught, which has to be seen close by


@dataclass(frozen=True)
class Look:
    """How a picture looks: what the wire is coloured by, from where it is seen, light or dark, on paper or on nothing."""

    colour: ColourBy = "verdict"
    view: str = "side"
    theme: Theme = LIGHT
    transparent: bool = False


PLAIN = Look()


def picture_canvas(
    result: ShapeResult, units: UnitSystem = "metric", size_px: tuple[int, int] = SIZE_PX, look: Look = PLAIN
) -> Canvas:
    """The picture before it is painted: three views of the wire, names, marks, words and a legend."""
    width, height = size_px
    f = min(height / 46.0, width / 80.0)
    margin = 2.2 * f
    shown = shown_part(result.joint, STEP_D)
    colours = wire_colours(result, shown, look.colour, look.theme.metal)
    head, y = _head(result, units, margin, f, width)
    zone, bottom = (
        (_ZONE if not telling(result) else _TAUGHT_ZONE) * height,
        height - margin - (2.5 if telling(result) else 1.2) * f,
    )
    small = not telling(result) and small_eye_line(result)
    parts = ("eye", "exit") if small else chosen([result], spare=not faulty_parts([result]))
    close = panels(result, shown, parts)
    columns = _columns(margin, width - margin, len(close), f)
    wide = len(close) == 1  # its caption stands beside its title
    frame, around, view, under = _whole(result, units, shown, colours, look, (margin, y, width - margin, zone), f)
    words, markers = _words(
        result, spots(result, shown, view, units), colours, (columns[-1][0], zone, columns[-1][1], bottom), f
    )
    over = [*head, *around]
    marks: list[Mark] = []
    low = float(view.project(shown.points_mm[shown.rows(*_BELOW)])[0][:, 1].max()) + shown.d_mm * view.scale / 2
    over += _marks(markers, shown, view, (margin, y, width - margin, zone - 0.5 * f), around, f, marks)
    low = min(max([low, under, *(my + 1.3 * radius for _, _, my, radius in marks)]) + 0.8 * f, zone - 0.3 * f)
    frames = [frame]
    end = -np.inf
    for panel, (x0, x1) in zip(close, columns[:-1], strict=True):
        box = (x0, zone + 2.2 * f, x1, bottom - (0.5 if wide else 2.9) * f)
        made, shapes, clear = close_up_shapes(panel, shown, colours, box, f, view.scale, beside=wide)
        frames.append(made)
        over += shapes
        if look.view != "eye":
            flat = view.project(shown.points_mm[panel.rows])[0][:, 0]
            stretch = (float(flat.min()) - shown.d_mm * view.scale, float(flat.max()) + shown.d_mm * view.scale)
            level = low + (0.8 * f if stretch[0] < end else 0.0)  # brackets do not run into each other
            over += zoom_lines(panel.name, stretch, box, clear, level, f)
            end = max(end, stretch[1])
    over += words
    meant = f"d: the wire's diameter, {format_length(shown.d_mm, units)}."
    over.append(Text(margin, height - 0.7 * margin, meant, 0.95 * f, INK))
    if telling(result):
        calls = [call for call in part_callouts(result, shown, units) if call.name not in ("standing", "stub")]
        figures = "; ".join(f"{call.title} {' '.join(call.lines)}" for call in calls)
        line = fitted_line(f"{figures}.", 0.85 * f, width - 2 * margin)
        over.append(Text(margin, height - 0.7 * margin - 1.2 * f, line, 0.85 * f, SOFT))
    small = fitted_line(CAUTION, 0.85 * f, width - 2.5 * margin - text_width(meant, 0.95 * f))
    over.append(Text(width - margin, height - 0.7 * margin, small, 0.85 * f, SOFT, anchor="end"))
    return Canvas(width, height, tuple(frames), tuple(over), title=title_of(result), marks=tuple(marks))


def picture_pixels(
    result: ShapeResult, units: UnitSystem = "metric", *, size_px: tuple[int, int] = SIZE_PX, look: Look = PLAIN
) -> NDArray[np.uint8]:
    """The picture as an image (height, width, 4), 0 to 255; raises CannotRender where 3-D cannot be drawn."""
    canvas = picture_canvas(result, units, size_px, look)
    return canvas_pixels(canvas, look.theme, transparent=look.transparent)


def write_picture(
    result: ShapeResult,
    path: Path,
    units: UnitSystem = "metric",
    *,
    size_px: tuple[int, int] = SIZE_PX,
    look: Look = PLAIN,
    force: bool = False,
) -> None:
    """Write the picture to a PNG file, whole or not at all; raises CannotRender, or ValidationError when it cannot."""
    pixels = picture_pixels(result, units, size_px=size_px, look=look)
    write_whole(path, png_bytes(pixels), force=force)


def _head(
    result: ShapeResult, units: UnitSystem, margin: float, f: float, width: float
) -> tuple[list[Primitive], float]:
    """The lesson, else title, answer and verdict; and where they end."""
    room = width - 2 * margin
    y = margin + 0.7 * f
    first = first_lesson(result)
    if first is not None:
        lesson = first[1]
        shapes: list[Primitive] = [
            Text(margin, y + 0.2 * f, fitted_line(lesson.headline, 1.9 * f, room, bold=True), 1.9 * f, INK, True)
        ]
        y += 0.4 * f
        for head, text in (("Because:", lesson.because), ("Do this:", lesson.do)):
            if text:
                y += 1.7 * f
                shapes.append(Text(margin, y, head, 1.15 * f, INK, True))
                shapes.append(Text(margin + 7.0 * f, y, fitted_line(f"{text}.", 1.15 * f, room - 7.0 * f), 1.15 * f))
        y += 1.6 * f
        words = f"{title_of(result)}. {answer_line(result, units)}"
        return [*shapes, Text(margin, y, fitted_line(words, 0.95 * f, room), 0.95 * f, SOFT)], y + 0.8 * f
    shapes = [Text(margin, y, fitted_line(title_of(result), 1.55 * f, room, bold=True), 1.55 * f, INK, True)]
    y += 2.0 * f
    shapes.append(Text(margin, y, fitted_line(answer_line(result, units), 1.2 * f, room), 1.2 * f))
    for line in verdict_lines(result, units, 1.2 * f, room):
        y += 1.65 * f
        shapes.append(Text(margin, y, line, 1.2 * f, INK, True))
    for line in wrapped(small_eye_line(result), 1.2 * f, room) if small_eye_line(result) else ():
        y += 1.65 * f
        shapes.append(Text(margin, y, line, 1.2 * f, INK))
    return shapes, y + 0.8 * f


def _whole(
    result: ShapeResult, units: UnitSystem, shown: VisiblePart, colours: Coloured, look: Look, box: Box, f: float
) -> tuple[Frame, list[Primitive], View, float]:
    """The whole joint in a box, its parts named beside it, a scale bar below; and where the names below it end."""
    x0, y0, x1, y1 = box
    width = x1 - x0
    end_on = look.view == "eye"  # the parts lie behind each other there
    taught = bool(telling(result))  # the lesson comes first, the figures below
    along = look.view in ("side", "top")
    names = PartNames(result, shown, units, f, width, figures=not taught, along=along)
    above, below = 1.8 * f if taught or end_on else names.height + 1.8 * f, 1.6 * f
    marked = 1.2 * f if not taught else 1.4 * f if len(telling(result)) <= 3 else 3.0 * f  # badges beside them or below
    for _ in range(12):  # so that no name runs into the head, nor a mark out of the box
        view = fitted(named_view(look.view), shown, (x0, y0 + above, x1, y1 - below))
        if end_on:
            break
        names.place(view, (x0, x1))
        lack, over = y0 - names.top, names.bottom + marked + 1.3 * f - y1
        if max(lack, over) <= 0.0:
            break
        above, below = above + 0.4 * max(lack, 0.0), below + 0.4 * max(over, 0.0)
    wire = shown.d_mm * view.scale
    shapes: list[Primitive] = [] if end_on else names.shapes(view)
    if not end_on:
        shapes += break_sign(shown, view, wire, f)
    unit = view.scale * (MM_PER_INCH if units == "inch" else 1.0)
    bar = round_below(0.18 * width / unit, (1.0, 2.0, 5.0)) * unit
    shapes += scale_bar(view.scale, units, x1 - bar, y1 - 0.4 * f, f, 0.9 * width, "")
    under = -np.inf if end_on else names.bottom
    return Frame((0.0, y0, x1 + x0, y1), view, shown, colours.rgb), shapes, view, under


def _columns(x0: float, x1: float, panels: int, f: float) -> list[tuple[float, float]]:
    """Left and right edges of the close-ups and of the words beside them."""
    gap = 1.8 * f
    column = (0.58 if panels == 1 else 0.33) * (x1 - x0) - gap
    edges = [(x0 + k * (column + gap), x0 + k * (column + gap) + column) for k in range(panels)]
    return [*edges, (x0 + panels * (column + gap), x1)]


def _marks(
    markers: list[Marker],
    shown: VisiblePart,
    view: View,
    box: Box,
    around: list[Primitive],
    f: float,
    marks: list[Mark],
) -> list[Primitive]:
    """The numbers of findings beside their place, clear of the wire, with a short leader to it."""
    half = shown.d_mm * view.scale / 2
    wire = Silhouette(view.project(shown.points_mm)[0], half)
    taken, lines = _taken(around, f)
    leaders: list[Primitive] = []
    badges: list[Primitive] = []
    wide_first = sorted(places(markers, view, max(3.0 * half, 1.2 * f)), key=lambda place: -len(place.numbers))
    for place in wide_first:
        count = len(place.numbers)
        size = (1.25 * f + 1.3 * f * (count - 1), 1.25 * f)
        (x, y), end = beside((place.x, place.y), wire, size, box, taken, f, lines)
        taken += [(x - size[0], y - size[1], x + size[0], y + size[1]), *_along((x, y), end)]
        colour = MARK_COLOURS[place.severity]
        for width, painted, role in ((0.34 * f, "#ffffff", "halo"), (0.16 * f, colour, "mark leader")):
            leaders.append(Stroke(((x, y), end), width, painted, role))
        ends = (x - size[0] + 1.25 * f, y), (x + size[0] - 1.25 * f, y)
        leaders += [Stroke(ends, 0.5 * f, colour, "mark row")] if count > 1 else []
        leaders.append(Area(mark_outline(Severity.OK, *end, 0.26 * f), colour, "#ffffff", 0.1 * f))
        word = {marker.number: marker.severity for marker in markers}
        for k, number in enumerate(place.numbers):
            at = x + 2.6 * f * (k - (count - 1) / 2)
            badges += badge(word[number], number, at, y, 0.95 * f)
            marks.append((word[number], at, y, 0.93 * f))
    return [*leaders, *badges]


def _taken(around: list[Primitive], f: float) -> tuple[list[Rectangle], list[Rectangle]]:
    """Boxes round words that are there already, and round lines."""
    taken: list[Rectangle] = []
    lines: list[Rectangle] = []
    for item in around:
        if isinstance(item, Text):
            wide = text_width(item.text, item.size, item.bold)
            left = item.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * wide
            taken.append((left, item.y - 0.8 * item.size, left + wide, item.y + 0.25 * item.size))
        elif isinstance(item, Stroke):
            for (ax, ay), (bx, by) in pairwise(item.points):
                off = 0.15 * f
                lines.append((min(ax, bx) - off, min(ay, by) - off, max(ax, bx) + off, max(ay, by) + off))
    return taken, lines


def _along(start: tuple[float, float], stop: tuple[float, float]) -> list[Rectangle]:
    """Points of a line, as boxes without size."""
    share = np.linspace(0.0, 1.0, 8)
    xs, ys = (start[k] + share * (stop[k] - start[k]) for k in (0, 1))
    return [(float(x), float(y), float(x), float(y)) for x, y in zip(xs, ys, strict=True)]


def badge(severity: Severity, number: int, x: float, y: float, f: float) -> list[Primitive]:
    """A finding's number in a mark of its shape and colour."""
    colour = MARK_COLOURS[severity]
    return [
        Area(mark_outline(severity, x, y, 0.98 * f), colour, "#ffffff", 0.16 * f, "badge"),
        Text(
            x,
            y + 0.37 * f,
            str(number),
            1.02 * f,
            "#ffffff" if severity >= Severity.SHARP else "#1b1e22",
            True,
            "middle",
        ),
    ]


def _words(
    result: ShapeResult, markers: list[Marker], colours: Coloured, box: Box, f: float
) -> tuple[list[Primitive], list[Marker]]:
    """What was found, numbered, as much as there is room for; the legend below it; and the findings that are told."""
    x0, y0, x1, y1 = box
    room = x1 - x0
    under = legend_height(colours.legend, f, room)
    shapes = legend_shapes(colours.legend, x0, y1 - under + 0.4 * f, f, room)
    y, end = y0 + 1.0 * f, y1 - under
    if not markers:
        shapes.append(Area(mark_outline(Severity.OK, x0 + 0.7 * f, y + 0.75 * f, 0.5 * f), MARK_COLOURS[Severity.OK]))
        shapes.append(Text(x0 + 2.0 * f, y + 1.15 * f, "ok", 1.15 * f, INK, True))
        for k, line in enumerate(wrapped(sound_line(result), f, room - 2.0 * f)):
            shapes.append(Text(x0 + 2.0 * f, y + (2.7 + 1.35 * k) * f, line, f))
        return shapes, markers
    room -= 2.4 * f
    entries = [
        (
            marker,
            wrapped(f"{marker.word}: {_small(marker.title)}", 1.05 * f, room, bold=True, most=4),
            [f"{_large(part).rstrip('.')}." for part in (marker.why, _cure(markers, marker)) if part],
        )
        for marker in markers
    ]
    total = len(telling(result))
    while len(entries) > 1:
        last = end - (1.6 * f if len(entries) < total else 0.0)
        if _lines_left(entries, y, last, f) >= 0:
            break
        entries = entries[:-1]
    if len(entries) < total:
        end -= 1.6 * f
        shapes.append(Text(x0 + 2.4 * f, end + 0.6 * f, more_words(total - len(entries)) + ".", f, INK))
    bodies = _bodies([parts for _, _, parts in entries], _lines_left(entries, y, end, f), room, f)
    for (marker, head, _), body in zip(entries, bodies, strict=True):
        shapes += badge(marker.severity, marker.number, x0 + 0.9 * f, y + 0.9 * f, 0.85 * f)
        for line in head:
            y += 1.35 * f
            shapes.append(Text(x0 + 2.4 * f, y, line, 1.05 * f, INK, True))
        for line in body:
            y += 1.35 * f
            shapes.append(Text(x0 + 2.4 * f, y, line, f, INK))
        y += 0.7 * f
    return shapes, [marker for marker, _, _ in entries]


def _cure(markers: list[Marker], marker: Marker) -> str:
    """What to do about a finding; what is told already, by its number."""
    before = next((other for other in markers if other.number < marker.number and other.do == marker.do), None)
    return marker.do if before is None or not marker.do else f"Do as for {before.number}"


def _lines_left(entries: list[tuple[Marker, list[str], list[str]]], y: float, end: float, f: float) -> int:
    """Lines that fit below each other besides the headings."""
    heads = sum(len(head) for _, head, _ in entries)
    return int((end - y - 0.7 * f * len(entries)) / (1.35 * f)) - heads


def _bodies(texts: list[list[str]], room: int, width: float, f: float) -> list[list[str]]:
    """Why and what to do of each finding in so many lines: what to do first, of all of them, then why, the first first. What has
    no room is left out whole, for half of it would lose the mark of a limit."""
    bodies: list[list[str]] = [[] for _ in texts]
    for first in (-1, 0):
        for k, parts in enumerate(texts):
            body = wrapped(" ".join(parts[first:]), f, width) if parts else []
            if len(body) - len(bodies[k]) <= room:
                room -= len(body) - len(bodies[k])
                bodies[k] = body
    return bodies


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]


def _large(text: str) -> str:
    return text[:1].upper() + text[1:]
