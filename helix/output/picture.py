"""The joint as a picture: all of it, its first bend and exit close by, and what is to be said of them; a PNG file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from helix.output.closeups import Angle, CloseUp, close_ups
from helix.output.colouring import ColourBy, Coloured
from helix.output.files import write_whole
from helix.output.inks import INK, MARK_COLOURS, NOTE_COLOUR, SOFT, Area, Ink, Stroke, Text
from helix.output.labels import part_callouts
from helix.output.layout import SMALL_PRINT, break_sign, mark_outline, part_inks, round_below, scale_bar
from helix.output.legend import legend_height, legend_inks
from helix.output.lettering import fitted_line, wrapped
from helix.output.placing import Silhouette, sized, spread, stand
from helix.output.plate import LIGHT, Box, Frame, Plate, Theme, plate_pixels, png_bytes
from helix.output.render import CannotRender
from helix.output.spots import Spot, spots
from helix.output.view import Shown, View, fitted, named_view, shown_part
from helix.output.wire_colours import wire_colours
from helix.output.words import GRAVE, answer_line, sound_line, title_of, verdict_line
from helix.units import MM_PER_INCH, UnitSystem

if TYPE_CHECKING:
    from helix.studies.shape import ShapeResult

__all__ = ["CannotRender", "Look", "picture_pixels", "picture_plate", "write_picture"]

Mark = tuple[str, float, float, float]

SIZE_PX = (1600, 900)
STEP_D = 0.1
_BELOW = ("entry_standing", "entry_tag", "twist_standing", "twist_tag", "exit_standing", "exit_tag", "barrel")
_ZONE = 0.55  # share of the height at which the close-ups begin


@dataclass(frozen=True)
class Look:
    """How a picture looks: what the wire is coloured by, from where it is seen, light or dark, on paper or on nothing."""

    colour: ColourBy = "verdict"
    view: str = "side"
    theme: Theme = LIGHT
    transparent: bool = False


PLAIN = Look()


def picture_plate(
    result: ShapeResult, units: UnitSystem = "metric", size_px: tuple[int, int] = SIZE_PX, look: Look = PLAIN
) -> Plate:
    """The picture before it is painted: three views of the wire, names, marks, words and a legend."""
    width, height = size_px
    f = min(height / 46.0, width / 80.0)
    margin = 2.2 * f
    shown = shown_part(result.joint, STEP_D)
    colours = wire_colours(result, shown, look.colour, look.theme.metal)
    head, y = _head(result, units, margin, f, width)
    zone = _ZONE * height
    frame, around, view = _whole(result, units, shown, colours, look, (margin, y, width - margin, zone), f)
    found = spots(result, shown, view)
    wire = shown.d_mm * view.scale
    over = [*head, *around]
    marks: list[Mark] = []
    low = float(view.project(shown.points_mm[shown.rows(*_BELOW)])[0][:, 1].max()) + wire / 2
    ring = max(1.15 * wire, 1.1 * f)
    over += _marks(found, view, ring, low + 2.6 * f, f, marks)
    low += 3.9 * f if found else 0.9 * f
    panels = close_ups(result, shown)
    columns = _columns(margin, width - margin, len(panels), f)
    bottom = height - margin - 1.2 * f
    frames = [frame]
    for panel, (x0, x1) in zip(panels, columns[:-1], strict=True):
        box = (x0, zone + 2.2 * f, x1, bottom - 2.9 * f)
        close, inks = _close_up(panel, shown, colours, box, f, units, found)
        frames.append(close)
        over += inks
        if look.view != "eye":
            over += _zoom_lines(panel, shown, view, box, (low, zone + 0.2 * f), f)
    over += _words(result, found, colours, (columns[-1][0], zone, columns[-1][1], bottom), f)
    small = fitted_line(SMALL_PRINT, 0.85 * f, width - 2 * margin)
    over.append(Text(width - margin, height - 0.7 * margin, small, 0.85 * f, SOFT, anchor="end"))
    return Plate(width, height, tuple(frames), tuple(over), title=title_of(result), marks=tuple(marks))


def picture_pixels(
    result: ShapeResult,
    units: UnitSystem = "metric",
    *,
    size_px: tuple[int, int] = SIZE_PX,
    look: Look = PLAIN,
) -> NDArray[np.uint8]:
    """The picture as an image (height, width, 4), 0 to 255; raises CannotRender where 3-D cannot be drawn."""
    plate = picture_plate(result, units, size_px, look)
    return plate_pixels(plate, look.theme, transparent=look.transparent)


def write_picture(
    result: ShapeResult,
    path: Path,
    units: UnitSystem = "metric",
    *,
    size_px: tuple[int, int] = SIZE_PX,
    look: Look = PLAIN,
    force: bool = False,
) -> None:
    """Write the picture to a PNG file, whole or not at all; raises CannotRender, or InputFaults when it cannot."""
    pixels = picture_pixels(result, units, size_px=size_px, look=look)
    write_whole(path, png_bytes(pixels), force=force)


def _head(
    result: ShapeResult, units: UnitSystem, margin: float, f: float, width: float
) -> tuple[list[Ink], float]:
    """Title, answer and verdict; and where they end."""
    room = width - 2 * margin
    y = margin + 0.7 * f
    inks: list[Ink] = [
        Text(margin, y, fitted_line(title_of(result), 1.55 * f, room, bold=True), 1.55 * f, INK, True)
    ]
    y += 2.0 * f
    inks.append(Text(margin, y, fitted_line(answer_line(result, units), 1.2 * f, room), 1.2 * f))
    for line in wrapped(verdict_line(result), 1.2 * f, room, bold=True, most=2):
        y += 1.65 * f
        inks.append(Text(margin, y, line, 1.2 * f, INK, True))
    return inks, y + 0.8 * f


def _whole(
    result: ShapeResult,
    units: UnitSystem,
    shown: Shown,
    colours: Coloured,
    look: Look,
    box: Box,
    f: float,
) -> tuple[Frame, list[Ink], View]:
    """The whole joint in a box, its parts named above it, a scale bar below."""
    x0, y0, x1, y1 = box
    width = x1 - x0
    end_on = look.view == "eye"  # the parts lie behind each other there
    parts = [] if end_on else sized(part_callouts(result, shown, units), f, width)
    above = max((block.height for block in parts), default=0.0) + 1.8 * f
    view = fitted(named_view(look.view), shown, (x0, y0 + above, x1, y1 - 2.6 * f))
    wire = shown.d_mm * view.scale
    edge = Silhouette(view.project(shown.points_mm)[0], wire / 2)
    stand(parts, view, edge, f, (x0, x1), up=True)
    lift = min(min((block.y for block in parts), default=y0) - y0, 0.0)  # labels that would run into the head
    view = View(view.axes, view.scale, (view.origin[0], view.origin[1] - lift))
    for block in parts:
        block.y, block.anchor = block.y - lift, (block.anchor[0], block.anchor[1] - lift)
    inks: list[Ink] = [ink for block in parts for ink in part_inks(block, f)]
    if not end_on:
        inks += break_sign(shown, view, wire, f)
    unit = view.scale * (MM_PER_INCH if units == "inch" else 1.0)
    bar = round_below(0.18 * width / unit, (1.0, 2.0, 5.0)) * unit
    inks += scale_bar(view.scale, units, x1 - bar, y1 - 0.4 * f, f, 0.9 * width, "")
    return Frame((0.0, y0, x1 + x0, y1), view, shown, colours.rgb), inks, view


def _columns(x0: float, x1: float, panels: int, f: float) -> list[tuple[float, float]]:
    """Left and right edges of the close-ups and of the words beside them."""
    gap = 1.8 * f
    each = 0.33 * (x1 - x0) - gap
    edges = [(x0 + k * (each + gap), x0 + k * (each + gap) + each) for k in range(panels)]
    return [*edges, (x0 + panels * (each + gap), x1)]


def _close_up(
    panel: CloseUp, shown: Shown, colours: Coloured, box: Box, f: float, units: UnitSystem, found: list[Spot]
) -> tuple[Frame, list[Ink]]:
    x0, y0, x1, y1 = box
    scale = (x1 - x0) / panel.length_mm
    middle = panel.middle_mm * scale
    view = View(panel.view.axes, scale, ((x0 + x1) / 2 - middle, (y0 + y1) / 2))
    colour = MARK_COLOURS.get(panel.verdict, SOFT)
    edge = colour if panel.verdict != "ok" else SOFT
    frame = Frame(box, view, shown, colours.rgb, True, edge, (0.22 if panel.verdict != "ok" else 0.08) * f)
    word = panel.verdict if panel.verdict == "ok" else panel.verdict.upper()
    inks: list[Ink] = [
        Area(mark_outline(panel.verdict, x0 + 0.6 * f, y0 - 0.95 * f, 0.42 * f), colour),
        Text(x0 + 1.6 * f, y0 - 0.55 * f, f"{panel.title}: {word}", 1.15 * f, INK, True),
    ]
    for k, line in enumerate(panel.caption):
        inks.append(Text(x0, y1 + (1.25 + 1.3 * k) * f, line, 0.95 * f, INK))
    if panel.angle is not None:
        inks += angle_inks(panel.angle, view, f, colour, box)
    unit = MM_PER_INCH if units == "inch" else 1.0
    bar = round_below(6.0 * f / (scale * unit), (1.0, 2.0, 5.0)) * scale * unit
    inks += scale_bar(scale, units, x1 - bar, y1 + 2.5 * f, 0.85 * f, 30.0 * f, "")
    return frame, inks


def angle_inks(angle: Angle, view: View, f: float, colour: str, box: Box) -> list[Ink]:
    """Two lines and an arc between them, its size in words; white beside it so that it shows on any wire."""
    ((x, y),) = view.project(angle.corner_mm)[0].tolist()
    turns = []
    for direction in (angle.first, angle.second):
        along = np.asarray(direction) @ view.axes[:2].T
        turns.append(float(np.arctan2(along[1], along[0])))
    first, second = turns
    second = first + (second - first + np.pi) % (2 * np.pi) - np.pi
    long, radius = 6.4 * f, 4.2 * f
    lines = [((x, y), _within(x, y, a, long, box)) for a in (first, second)]
    swept = np.linspace(first, second, 40)
    arc = tuple((x + radius * float(np.cos(a)), y - radius * float(np.sin(a))) for a in swept)
    inks: list[Ink] = []
    for width, painted in ((0.42 * f, "#ffffff"), (0.2 * f, colour)):
        inks += [Stroke(line, width, painted, "angle") for line in (*lines, arc)]
    middle, away = (first + second) / 2, radius + 1.9 * f
    wide, high = 3.3 * f, 0.95 * f
    tx = min(max(x + away * float(np.cos(middle)), box[0] + wide + 0.5 * f), box[2] - wide - 0.5 * f)
    ty = min(max(y - away * float(np.sin(middle)) + 0.4 * f, box[1] + 1.8 * f), box[3] - 0.9 * f)
    card = ((tx - wide, ty - 1.25 * high), (tx + wide, ty - 1.25 * high),
            (tx + wide, ty + 0.45 * high), (tx - wide, ty + 0.45 * high))  # fmt: skip
    size = f"{angle.size_deg:.0f} deg"
    return [
        *inks,
        Area(card, "#ffffff", colour, 0.1 * f),
        Text(tx, ty, size, 1.1 * f, "#22262a", True, "middle"),
    ]


def _within(x: float, y: float, angle: float, long: float, box: Box) -> tuple[float, float]:
    """The far end of a line of that length and direction, cut off just inside the box."""
    dx, dy = float(np.cos(angle)), -float(np.sin(angle))
    for start, step, low, high in ((x, dx, box[0], box[2]), (y, dy, box[1], box[3])):
        if abs(step) > 1e-9:
            long = min(long, max(0.0, ((high if step > 0 else low) - start) / step - 6.0))
    return x + long * dx, y + long * dy


def _zoom_lines(
    panel: CloseUp, shown: Shown, view: View, box: Box, levels: tuple[float, float], f: float
) -> list[Ink]:
    """A bracket below the part of the whole joint that a close-up shows, and a line to the close-up."""
    flat, _ = view.project(shown.points_mm[panel.rows])
    half, (low, level) = shown.d_mm * view.scale, levels
    x0, x1 = float(flat[:, 0].min()) - half, float(flat[:, 0].max()) + half
    bracket = ((x0, low - 0.5 * f), (x0, low), (x1, low), (x1, low - 0.5 * f))
    x = (x0 + x1) / 2
    target = min(max(x, box[0] + 1.0 * f), box[2] - 1.0 * f)
    path: tuple[tuple[float, float], ...] = ((x, low), (x, level), (target, level), (target, box[1]))
    path = path if abs(target - x) > 1.0 else ((x, low), (x, box[1]))
    return [Stroke(bracket, 0.12 * f, SOFT, f"zoom {panel.name}"), Stroke(path, 0.08 * f, SOFT)]


def _marks(
    found: list[Spot], view: View, radius: float, level: float, f: float, marks: list[Mark]
) -> list[Ink]:
    """A ring at each place of a finding, and below the joint a row of numbered badges with lines to them."""
    rings: list[Ink] = []
    heads: list[tuple[Spot, float, float]] = []
    for spot in found:
        drawn: list[tuple[float, float]] = []
        for x, y in view.project(np.reshape(spot.points_mm, (-1, 3)))[0].tolist():
            if any(np.hypot(x - a, y - b) < 0.5 * radius for a, b in drawn):
                continue
            drawn.append((x, y))
            rings += ring_inks(spot, x, y, radius, f)
            marks.append((spot.severity, x, y, radius))
        if drawn:
            heads.append((spot, *drawn[0]))
    heads.sort(key=lambda head: head[1])
    wide = 2.9 * f
    left = spread([x for _, x, _ in heads], [wide] * len(heads), -1e9, 1e9)
    lines: list[Ink] = []
    badges: list[Ink] = []
    for (spot, x, y), edge in zip(heads, left, strict=True):
        at = edge + wide / 2
        colour = MARK_COLOURS.get(spot.severity, NOTE_COLOUR)
        foot = y + radius * (1.3 if spot.severity in GRAVE else 1.0)
        lines.append(
            Stroke(((x, foot), (at, max(level - 1.2 * f, foot)), (at, level)), 0.12 * f, colour, "leader")
        )
        badges += badge(spot.severity, spot.number, at, level, 0.95 * f)
    return [*rings, *lines, *badges]


def ring_inks(spot: Spot, x: float, y: float, radius: float, f: float) -> list[Ink]:
    """The mark of a finding round its place, white beside it so that it shows on any wire."""
    outline = mark_outline(spot.severity, x, y, radius)
    colour = MARK_COLOURS.get(spot.severity, NOTE_COLOUR)
    return [
        Area(outline, None, "#ffffff", 0.6 * f, "halo"),
        Area(outline, None, colour, 0.3 * f, f"mark {spot.severity} {spot.number}"),
    ]


def badge(severity: str, number: int, x: float, y: float, f: float) -> list[Ink]:
    """A finding's number in a mark of its shape and colour."""
    colour = MARK_COLOURS.get(severity, NOTE_COLOUR)
    return [
        Area(mark_outline(severity, x, y, 0.98 * f), colour, "#ffffff", 0.16 * f, "badge"),
        Text(
            x,
            y + 0.37 * f,
            str(number),
            1.02 * f,
            "#ffffff" if severity in GRAVE else "#1b1e22",
            True,
            "middle",
        ),
    ]


def _words(result: ShapeResult, found: list[Spot], colours: Coloured, box: Box, f: float) -> list[Ink]:
    """What was found, numbered, and the legend below it."""
    x0, y0, x1, y1 = box
    room = x1 - x0
    under = legend_height(colours.legend, f, room)
    inks = legend_inks(colours.legend, x0, y1 - under + 0.4 * f, f, room)
    y, end = y0 + 0.4 * f, y1 - under
    if not found:
        inks.append(Area(mark_outline("ok", x0 + 0.7 * f, y + 0.75 * f, 0.5 * f), MARK_COLOURS["ok"]))
        inks.append(Text(x0 + 2.0 * f, y + 1.15 * f, "ok", 1.15 * f, INK, True))
        for k, line in enumerate(wrapped(sound_line(result), f, room - 2.0 * f)):
            inks.append(Text(x0 + 2.0 * f, y + (2.7 + 1.35 * k) * f, line, f))
        return inks
    room -= 2.4 * f
    told = [
        (
            spot,
            wrapped(f"{spot.severity.upper()}: {_small(spot.title)}", 1.05 * f, room, bold=True, most=2),
            " ".join(f"{_large(part).rstrip('.')}." for part in (spot.why, spot.do) if part),
        )
        for spot in found
    ]
    bodies = _bodies([wrapped(text, f, room) for _, _, text in told], _lines_left(told, y, end, f), room, f)
    for (spot, head, _), body in zip(told, bodies, strict=True):
        inks += badge(spot.severity, spot.number, x0 + 0.9 * f, y + 0.9 * f, 0.85 * f)
        for line in head:
            y += 1.35 * f
            inks.append(Text(x0 + 2.4 * f, y, line, 1.05 * f, INK, True))
        for line in body:
            y += 1.35 * f
            inks.append(Text(x0 + 2.4 * f, y, line, f, INK))
        y += 0.7 * f
    return inks


def _lines_left(told: list[tuple[Spot, list[str], str]], y: float, end: float, f: float) -> int:
    """Lines that fit below each other besides the headings."""
    heads = sum(len(head) for _, head, _ in told)
    return int((end - y - 0.7 * f * len(told)) / (1.35 * f)) - heads


def _bodies(texts: list[list[str]], room: int, width: float, f: float) -> list[list[str]]:
    """As many lines of each text as fit, one more of each in turn, the first first; cut ones end in "..."."""
    counts = [0] * len(texts)
    while room > 0 and any(count < len(text) for count, text in zip(counts, texts, strict=True)):
        for k, text in enumerate(texts):
            if room > 0 and counts[k] < len(text):
                counts[k], room = counts[k] + 1, room - 1
    return [
        wrapped(" ".join(text), f, width, most=count) if count else []
        for count, text in zip(counts, texts, strict=True)
    ]


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]


def _large(text: str) -> str:
    return text[:1].upper() + text[1:]
