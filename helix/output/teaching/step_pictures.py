"""The making of a joint in pictures: a tile for each step, the strip with the ink marks, the sheet of all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from helix.geometry.wire.path import Path
from helix.output.canvas.canvas import Box, Canvas, Frame
from helix.output.canvas.label_places import spread
from helix.output.canvas.lettering import fitted_line, text_width, wrapped
from helix.output.canvas.primitives import INK, PAPER, SOFT, Area, Primitive, Stroke, Text, disc, rectangle
from helix.output.picture.render import Body, pin_body
from helix.output.picture.view import TILT_RAD, View, VisiblePart, side_view
from helix.output.shape.colouring import METAL, SECTION_COLOURS, TAG_TONE, rgb, tag_proportion, tag_tone
from helix.output.teaching.bench import Bench
from helix.output.teaching.between_steps import Between, handle_swept, passing_view, tail_view, way_shapes
from helix.output.teaching.step_captions import (
    LINE,
    LINES,
    TONES,
    caption_shapes,
    fault_at,
    fault_line,
    grip_line,
    key_line,
)
from helix.output.teaching.step_hands import hand_shapes, inside, letter_shapes, name_shapes
from helix.output.words.answer_words import CAUTION
from helix.output.words.step_words import step_words
from helix.output.words.words import answer_line, mark_number, of_each_wire, title_of
from helix.studies.teaching.hand_work import pin_drawn_mm
from helix.studies.teaching.steps import Step
from helix.units import UNIT_WORDS, format_tape

NAMES = (*SECTION_COLOURS, "handle")
INK_MARK = "#15171a"
_INK_D = 0.45  # half the width of an ink mark [d]
_STEP_D, _STRAIGHT_STEP_D = 0.1, 0.3
_WINDOW_D = 56.0  # longest part of a joint that a tile shows [d]
_STANDING_MM = 35.0  # standing leg that is shown on the strip with the marks
_PIN_COLOUR = "#efece4"
_NEVER_FORMED = ("standing", "barrel_core")  # straight from beginning to end


def wire_shown(
    bench: Bench, paths: Sequence[Path], broken_off: Sequence[Path | None] | None = None
) -> tuple[VisiblePart, NDArray[np.float64]]:
    """Each wire as it is shown, and the colours (n, 3): standing leg and tag in two tones, inked at the marks."""
    d = bench.d_mm
    parts, runs, shades, row = [], [], [], 0
    for number, (path, off) in enumerate(zip(paths, broken_off or [None] * len(paths), strict=True)):
        start = begin = bench.making.starts_d[number]
        own = []
        for piece_of in (path,) if off is None else (path, off):
            samples = piece_of.sample(_STEP_D, _STRAIGHT_STEP_D)
            names = np.array([NAMES.index(piece.section) for piece in piece_of.pieces])
            own.append((samples.points * d, samples.tangents, names[samples.piece], begin + samples.s))
            runs.append(slice(row, row + len(samples.s)))
            begin, row = begin + piece_of.length, row + len(samples.s)
        section, s = (np.concatenate([part[column] for part in own]) for column in (2, 3))
        colours = np.outer(1.0 - (1.0 - TAG_TONE) * tag_proportion(section, NAMES, s), rgb(METAL))
        for mark in bench.marks:
            inked = np.abs(s - start - mark.places[number].from_standing_end_mm / d) <= _INK_D
            colours = np.where(inked[:, None], rgb(INK_MARK), colours)
        parts += own
        shades.append(colours)
    points, tangents, section, s = (np.concatenate(column) for column in zip(*parts, strict=True))
    return VisiblePart(points, tangents, section, s * d, tuple(runs), None, NAMES, d), np.concatenate(shades)


def _step_wire(bench: Bench, step: Step) -> tuple[VisiblePart, NDArray[np.float64]]:
    """The wires of a step as they are shown; made once, with the light that gets to them."""
    if step.number not in bench.wires:
        bench.wires[step.number] = wire_shown(bench, step.paths)
    return bench.wires[step.number]


def tile(
    bench: Bench, step: Step, box: Box, f: float, *, now: Between | None = None, lines: int = LINES
) -> tuple[Frame, list[Primitive]]:
    """One step in a box: its number and title, the wire, how much is left, the sentence.

    now: the wire on the way to the step, in the place of the step's own. lines: below it.
    """
    x0, y0, x1, y1 = box
    paths = tuple(wire.path for wire in now.wires) if now else step.paths
    formed = tuple(wire.formed_d for wire in now.wires) if now else step.formed_of_d
    area = (x0, y0 + 2.2 * f, x1, y1 - (LINE * lines + 3.0) * f)
    off = [wire.broken_off for wire in now.wires] if now else None
    shown, colours = wire_shown(bench, paths, off) if now else _step_wire(bench, step)
    view = _tile_view(bench, paths[0], formed[0], area)
    if now and now.tail_mm is not None:
        view = passing_view(view, tail_view(now.tail_mm, bench.d_mm, area), now.tail)
    elif step.kind == "handle" and (swept := handle_swept(bench)) is not None:
        view = tail_view(swept, bench.d_mm, area)
    pins = (_pin(bench),) if (now.pin if now else step.kind not in ("mark", "finished")) else ()
    frame = Frame(area, view, shown, colours, panel=True, edge=SOFT, edge_width=0.07 * f, things=pins)
    badge = 1.0 * f
    shapes: list[Primitive] = [
        Area(disc(x0 + badge, y0 + 0.9 * f, badge), INK),
        Text(x0 + badge, y0 + 1.28 * f, str(step.number), 1.05 * f, PAPER, True, "middle"),
        Text(x0 + 2.6 * f, y0 + 1.35 * f, fitted_line(step.title, 1.15 * f, x1 - x0 - 2.6 * f, bold=True),
             1.15 * f, INK, True),
    ]  # fmt: skip
    grip = ""
    if now:
        shapes += way_shapes(now, view, area, f)
        shapes.append(Text(x1, y0 + 1.45 * f, now.count, 1.5 * f, INK, True, "end"))
    elif step.kind not in ("mark", "finished"):
        hands = hand_shapes(bench, step, shown, view, formed, f)
        if lines < LINES:  # a picture by itself: from so far that all of what hands do is in it
            while not inside(hands, area) and view.scale > 0.5 * frame.view.scale:
                middle = (area[1] + area[3]) / 2
                view = View(view.axes, 0.94 * view.scale, (x0 + 0.94 * (view.origin[0] - x0), middle))
                hands = hand_shapes(bench, step, shown, view, formed, f)
            frame = replace(frame, view=view)
        hands = [item for item in hands if not _is_grip(item) or inside([item], area)]
        shapes += hands
        if any(_is_grip(item) for item in hands):
            grip = grip_line(bench, step)
        shapes += letter_shapes(bench, shown, view, area, f, hands)
    if lines < LINES and not now:
        shapes += name_shapes(bench, shown, view, area, f, shapes, formed)
    if pins:
        x, y = view.project(bench.pin_mm)[0][0].tolist()
        shapes.append(Text(x, y + 0.3 * f, "pin", 0.9 * f, INK, anchor="middle"))
    shapes += _used(bench, formed, step.broken_off_d, (x0, area[3] + 0.7 * f, x1), f)
    top = area[3] + 2.9 * f
    wrong = fault_at(bench.result, step, bench.kinds)
    return frame, [
        *shapes,
        *caption_shapes(step_words(step, bench.result, bench.units), wrong, grip, (x0, top), x1 - x0, f),
    ]


def _is_grip(item: Primitive) -> bool:
    return isinstance(item, Stroke) and item.role == "grip"


def step_canvas(
    bench: Bench, step: Step, size_px: tuple[int, int] = (1280, 800), *, now: Between | None = None
) -> Canvas:
    """A picture of one step by itself; the first is the strip with the ink marks."""
    width, height = size_px
    f = min(width / 62.0, height / 38.0)
    margin = 1.6 * f
    title = f"{title_of(bench.result)}: {step.title}"
    words = "" if step.kind == "mark" else TONES if step.kind == "finished" else key_line(bench)
    key = wrapped(words, 0.8 * f, width - 2 * margin, most=2) if words else []
    box = (margin, margin, width - margin, height - margin - (1.2 + 1.05 * len(key)) * f)
    wrong = fault_line(bench.result)
    title_line = f"{title_of(bench.result)}. {wrong}" if wrong else title_of(bench.result)
    written = [*key, *(fitted_line(line, 0.8 * f, width - 2 * margin) for line in (title_line, CAUTION))]
    small = [
        Text(margin, height - (0.4 + 1.05 * k) * f, line, 0.8 * f, SOFT) for k, line in enumerate(reversed(written))
    ]
    if step.kind == "mark":
        frame, shapes, _ = marks_strip(bench, step, box, f, own=True)
    else:
        frame, shapes = tile(bench, step, box, f, now=now, lines=3)
    return Canvas(width, height, (frame,), (*shapes, *small), title=title)


def contact_canvas(bench: Bench, steps: Sequence[Step], width_px: int = 2000, columns: int = 4) -> Canvas:
    """All steps on one sheet, numbered, a sentence each; the ink marks on top."""
    f = width_px / 118.0
    margin = 2.0 * f
    room = width_px - 2 * margin
    y = margin + 1.2 * f
    result = bench.result
    over: list[Primitive] = [
        Text(margin, y, fitted_line(f"{title_of(result)}: how it is made", 1.7 * f, room, bold=True), 1.7 * f, INK, True),
        Text(margin, y + 2.1 * f, fitted_line(f"{answer_line(result, bench.units)} {TONES}", 1.15 * f, room), 1.15 * f),
    ]  # fmt: skip
    wrong = fault_line(result)
    if wrong:
        line = fitted_line(wrong, 1.15 * f, room, bold=True)
        over.append(Text(margin, y + 4.0 * f, line, 1.15 * f, INK, True))
    y += (5.5 if wrong else 3.6) * f
    strip, shapes, tall = marks_strip(bench, steps[0], (margin, y, width_px - margin, y + 16.0 * f), f)
    frames, over = [strip], over + shapes
    y += tall + 1.6 * f
    gap = 1.8 * f
    wide = (room - gap * (columns - 1)) / columns
    high = 0.5 * wide + (2.2 + LINE * LINES + 3.0) * f
    for k, step in enumerate(steps[1:]):
        row, column = divmod(k, columns)
        x, top = margin + column * (wide + gap), y + row * (high + 1.4 * f)
        frame, words = tile(bench, step, (x, top, x + wide, top + high), f)
        frames.append(frame)
        over += words
    rows = -(-len(steps[1:]) // columns)
    y += rows * (high + 1.4 * f)
    small = fitted_line(CAUTION, 0.95 * f, room)
    over.append(Text(margin, y + 0.8 * f, small, 0.95 * f, SOFT))
    height = int(np.ceil(y + 0.8 * f + margin))
    return Canvas(width_px, height, tuple(frames), tuple(over), title=f"{title_of(result)}: how it is made")


def marks_strip(
    bench: Bench, step: Step, box: Box, f: float, *, own: bool = False
) -> tuple[Frame, list[Primitive], float]:
    """The straight wire with its marks, lettered, their distances from the tag's end; its height.

    own: a picture by itself, the words larger and in one column.
    """
    x0, y0, x1, _ = box
    total = bench.result.cut.total_mm
    far = max(mark.from_tag_end_mm for mark in bench.marks)
    seen = min(total, far + _STANDING_MM)
    scale = (x1 - x0) / seen
    shown, colours = _step_wire(bench, step)
    along = shown.tangents[0]
    up = np.array([0.0, 1.0, 0.0]) if abs(along[1]) < 0.5 else np.array([1.0, 0.0, 0.0])
    ends = shown.points_mm[[run.stop - 1 for run in shown.pieces]]
    if len(ends) > 1:  # one wire above the other
        up = ends[0] - ends[1]
    up = up - along * float(up @ along)
    up /= np.linalg.norm(up)
    axes = np.stack((along, up, np.cross(along, up)))
    title = _marks_title(bench, own=own)
    shapes: list[Primitive] = [
        Area(disc(x0 + f, y0 + 0.9 * f, f), INK),
        Text(x0 + f, y0 + 1.28 * f, str(step.number), 1.05 * f, PAPER, True, "middle"),
        Text(
            x0 + 2.6 * f, y0 + 1.35 * f, fitted_line(title, 1.15 * f, x1 - x0 - 2.6 * f, bold=True), 1.15 * f, INK, True
        ),
    ]
    level = y0 + 7.2 * f
    end = ends[0] - 0.5 * (len(ends) - 1) * bench.d_mm * up
    view = View(axes, scale, (x1 - scale * float(end @ axes[0]), level + scale * float(end @ axes[1])))
    thick = max(bench.d_mm * scale, 1.0)
    frame = Frame((x0 - 1, level - 3 * thick - 2, x1 + 1, level + 3 * thick + 2), view, shown, colours)
    places = sorted(((x1 - mark.from_tag_end_mm * scale, mark) for mark in bench.marks), key=lambda p: p[0])
    sizes = [mark_number(mark, bench.units) for _, mark in places]
    widths = [max(text_width(size, f), 2.0 * f) + 1.2 * f for size in sizes]
    left = spread([x for x, _ in places], widths, x0, x1)
    for (x, mark), size, at, width in zip(places, sizes, left, widths, strict=True):
        middle = at + width / 2
        path = ((middle, y0 + 4.9 * f), (middle, y0 + 5.3 * f), (x, y0 + 6.1 * f), (x, level - thick))
        shapes += [
            Stroke(path, 0.1 * f, INK, f"mark {mark.letter}"),
            Text(middle, y0 + 3.4 * f, mark.letter, 1.1 * f, INK, True, "middle"),
            Text(middle, y0 + 4.7 * f, size, f, INK, anchor="middle"),
        ]
    left_out = total - seen
    if left_out > 0.5:
        words = f"{format_tape(left_out, bench.units)} more of standing leg"
        shapes.append(Text(x0, level + thick + 1.9 * f, words, 0.95 * f, SOFT))
    shapes.append(Text(x1, level + thick + 1.9 * f, "tag end: 0", 0.95 * f, SOFT, anchor="end"))
    y = level + thick + 4.0 * f
    columns = 1 if own else 3
    font = 1.3 * f if own else f
    wide = (x1 - x0) / columns
    rows = -(-len(bench.marks) // columns)
    for k, mark in enumerate(bench.marks):
        column, row = divmod(k, rows)
        text = f"{mark.letter}  {mark_number(mark, bench.units)}  {mark.what}"
        shapes.append(Text(x0 + column * wide, y + 1.5 * font * row, fitted_line(text, font, wide - f), font))
    return frame, shapes, y + 1.5 * font * rows - y0


def _marks_title(bench: Bench, *, own: bool) -> str:
    """What to cut, where nothing else says so, and what the numbers at the marks are."""
    unit = f"{UNIT_WORDS[bench.units]}{of_each_wire(bench.marks, bench.units)}"
    lengths = [format_tape(wire.cut_mm, bench.units) for wire in bench.result.wires]
    cut = f"Cut {' and '.join(lengths)}" if own else "Cut the wire"
    return f"{cut} and ink where each part begins: {unit} from the tag's end."


def _tile_view(bench: Bench, path: Path, formed_d: tuple[float, float], area: Box) -> View:
    """The finished joint just fits; of a very long one the stretch round the place that is worked on."""
    x0, y0, x1, y1 = area
    d, joint = bench.d_mm, bench.result.joint
    width = bench.result.recipe.eye.pin_mm + 2.0 * d
    low = float(bench.pin_mm[2]) - width / 2 - 2.0 * d
    high = joint.axial["top"] + 5.0 * d
    window = min(high - low, _WINDOW_D * d + width)
    if high - low > window:
        s = formed_d[1]
        k = int(np.clip(np.searchsorted(path.starts, s) - 1, 0, len(path.pieces) - 1))
        piece = path.pieces[k].curve
        z = float(piece.jets(np.array([piece.span / 2]), 0)[2].c[0, 0]) * d
        low = float(np.clip(z - 0.6 * window, low, high - window))
    scale = min((x1 - x0) / window, (y1 - y0) / (width + 6.0 * d))
    middle = low + window / 2
    return View(side_view(TILT_RAD).axes, scale, ((x0 + x1) / 2 - scale * middle, (y0 + y1) / 2))


def _pin(bench: Bench) -> Body:
    pin = pin_drawn_mm(bench.result.recipe)
    return pin_body(bench.pin_mm, np.array([0.0, 1.0, 0.0]), pin * 0.985, 2.0 * bench.d_mm, rgb(_PIN_COLOUR))


def _tone(name: str) -> str:
    """The colour of a part on the bar: standing leg and tag as on the wire, the eye between them, the handle paler."""
    if name in ("eye", "handle"):
        return {"eye": "#a9adb2", "handle": "#dcd7cb"}[name]
    return tag_tone() if tag_proportion(np.array([NAMES.index(name)]), NAMES)[0] else METAL


def _used(
    bench: Bench, formed_d: Sequence[tuple[float, float]], off_d: float, at: tuple[float, float, float], f: float
) -> list[Primitive]:
    """Each wire as a bar, what is formed full and what is still straight thin, and how much tag is left."""
    x0, y, x1 = at
    d, cuts = bench.d_mm, [wire.cut_mm for wire in bench.result.wires]
    left = [cut - high * d for cut, (_, high) in zip(cuts, formed_d, strict=True)]
    words = "none left" if off_d else f"tag left {format_tape(max(left), bench.units)}"
    thick = 1.0 / len(cuts)
    shapes: list[Primitive] = []
    for number, (total, formed) in enumerate(zip(cuts, formed_d, strict=True)):
        middle = y + (0.55 + 1.15 * thick * (number - 0.5 * (len(cuts) - 1))) * f
        shapes += _bar(
            bench, number, (formed[0] * d, formed[1] * d), off_d, (x0, middle, x1 - 9.6 * f), thick * f, total
        )
    shapes.append(Text(x1, y + 0.95 * f, words, 0.9 * f, INK, anchor="end"))
    return shapes


def _bar(
    bench: Bench,
    number: int,
    formed_mm: tuple[float, float],
    off_d: float,
    at: tuple[float, float, float],
    thick: float,
    total: float,
) -> list[Primitive]:
    """One of the wires as a bar (left, height, right), from a little before its last ink mark."""
    x0, y, x1 = at
    path = bench.making.wires[number].joint.layout.path
    first = max(total - max(mark.places[number].from_tag_end_mm for mark in bench.marks) - _STANDING_MM, 0.0)
    scale = (x1 - x0) / (total - first)
    edges = [*(path.starts * bench.d_mm).tolist(), total]
    names = [*(piece.section for piece in path.pieces), "handle"]
    shapes: list[Primitive] = []
    for name, start, stop in zip(names, edges[:-1], edges[1:], strict=True):
        if name == "handle" and off_d:
            continue
        for low, high, done in (
            (start, min(stop, formed_mm[0]), False),
            (max(start, formed_mm[0]), min(stop, formed_mm[1]), True),
            (max(start, formed_mm[1]), stop, False),
        ):
            low = max(low, first)
            if high - low < 1e-6:
                continue
            done = done and name not in _NEVER_FORMED
            half = (0.5 if done else 0.14) * thick
            box = (x0 + (low - first) * scale, y - half, x0 + (high - first) * scale, y + half)
            shapes.append(Area(rectangle(*box), _tone(name), role="formed" if done else "straight"))
    return shapes
