"""Good beside bad: joints in rows, at one scale and from one side, the twists one below the other; PNG, SVG or HTML."""

from __future__ import annotations

import base64
from dataclasses import dataclass
from html import escape

import numpy as np

from helix.output.closeups import CloseUp, close_ups
from helix.output.colouring import ColourBy, Coloured, strain_scale
from helix.output.compare_words import difference_lines, value_text
from helix.output.inks import INK, MARK_COLOURS, SOFT, Area, Ink, Stroke, Text
from helix.output.layout import SMALL_PRINT, break_sign, mark_outline, round_below, scale_bar
from helix.output.legend import legend_inks
from helix.output.lettering import fitted_line, wrapped
from helix.output.picture import STEP_D, angle_inks, ring_inks
from helix.output.plate import LIGHT, Frame, Plate, Theme, plate_pixels, png_bytes
from helix.output.render import Painter
from helix.output.spots import spots
from helix.output.view import Shown, View, shown_part, side_view
from helix.output.wire_colours import wire_colours
from helix.output.words import title_of
from helix.studies.comparing import Comparison, worst
from helix.studies.shape import ShapeResult
from helix.units import MM_PER_INCH, UnitSystem

WIDTH_PX = 1600
MOST_JOINTS = 8
_TILT = float(np.radians(16.0))
_CLOSE = 0.165  # width of a close-up, as a share of the whole


@dataclass(frozen=True)
class _Joint:
    """A joint as it will be shown."""

    result: ShapeResult
    shown: Shown
    colours: Coloured
    panels: tuple[CloseUp, ...]


def compare_plate(
    found: Comparison,
    units: UnitSystem = "metric",
    width_px: int = WIDTH_PX,
    *,
    colour: ColourBy = "verdict",
    theme: Theme = LIGHT,
) -> Plate:
    """The joints one below the other, their bends close by, and below each what makes it differ from the first.

    All are drawn at one scale; the throat, where the twist begins, stands at the same place in each row.
    """
    f = width_px / 84.0
    margin = 2.0 * f
    joints = _joints(found, colour, theme)
    close = _CLOSE * width_px
    panels = max(len(joint.panels) for joint in joints)
    strip = width_px - 2 * margin - panels * (close + 1.2 * f)
    scale, throat = _common(joints, strip)
    zoom = close / max(panel.length_mm for joint in joints for panel in joint.panels)
    y = margin
    frames: list[Frame] = []
    over: list[Ink] = []
    under: list[Ink] = []
    for k, joint in enumerate(joints):
        over += _heading(joint, k, margin, y, width_px, f)
        top = y + 2.3 * f
        up, down = _reach(joint, scale)
        tall = max(up + down + 0.6 * f, 0.62 * close)
        view = View(side_view(_TILT).axes, scale, (margin + throat, top + (tall - up - down) / 2 + up))
        box = (margin / 2, top - f, margin + strip + 0.6 * f, top + tall + 1.6 * f)
        frames.append(Frame(box, view, joint.shown, joint.colours.rgb))
        over += break_sign(joint.shown, view, joint.shown.d_mm * scale, f)
        over += _rings(joint, view, f)
        for j, panel in enumerate(joint.panels):
            left = width_px - margin - (panels - j) * (close + 1.2 * f) + 1.2 * f
            frames.append(_close_up(panel, joint, (left, top, left + close, top + tall), zoom, f))
            over += _close_words(panel, frames[-1], f)
        under += _throat_line(margin + throat, top, top + tall, f, named=k == 0)
        y = top + tall + 2.2 * f
        lines = _told(found, k, units, strip, f)
        over += [Text(margin, y + 1.4 * f * j, line, f) for j, line in enumerate(lines)]
        y += (1.4 * len(lines) + 1.4) * f
    bar = round_below(0.16 * strip / _unit(scale, units), (1.0, 2.0, 5.0)) * _unit(scale, units)
    over += scale_bar(scale, units, width_px - margin - bar, y + 0.9 * f, f, 0.8 * strip, "")
    legend = max((joint.colours.legend for joint in joints), key=lambda each: len(each.entries))
    over += legend_inks(legend, margin, y - 0.8 * f, f, 0.6 * width_px)
    y += (4.2 if legend.scale is not None else 2.6) * f
    small = fitted_line(f"One scale, the same side. {SMALL_PRINT}", 0.85 * f, width_px - 2 * margin)
    over.append(Text(margin, y + 0.8 * f, small, 0.85 * f, SOFT))
    title = " | ".join(title_of(result) for result in found.results)
    return Plate(
        width_px, int(np.ceil(y + 0.8 * f + margin / 2)), tuple(frames), tuple(over), tuple(under), title
    )


def compare_png(plate: Plate, theme: Theme = LIGHT, by: Painter | None = None) -> bytes:
    """The plate as a PNG file; raises CannotRender on a machine that cannot draw."""
    return png_bytes(plate_pixels(plate, theme, by=by))


def compare_html(found: Comparison, picture: bytes, kind: str, units: UnitSystem = "metric") -> str:
    """One self-contained page: the picture (PNG or SVG, as `kind` says), the differences, every number in a table."""
    names = [title_of(result) for result in found.results]
    title = escape(f"{names[0]} beside {', '.join(names[1:])}")
    data = base64.b64encode(picture).decode("ascii")
    parts = [
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">',
        f"<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>",
        f"<h1>{title}</h1>",
        f'<img src="data:image/{kind};base64,{data}" alt="The joints in rows, at one scale, the twists aligned">',
    ]
    for k in range(1, len(names)):
        parts.append(f"<h2>{escape(names[k])}, against {escape(names[0])}</h2>\n<ul>")
        parts += [f"<li>{escape(line)}</li>" for line in difference_lines(found, k, units)]
        parts.append("</ul>")
    parts.append(
        '<div class="wide"><table><thead><tr><th></th>' + "".join(f"<th>{escape(n)}</th>" for n in names)
    )
    parts.append("</tr></thead><tbody>")
    for row in found.rows:
        cells = [
            f"<td{' class=differs' if differs else ''}>{escape(value_text(row, value, units))}</td>"
            for value, differs in zip(row.values, row.differs, strict=True)
        ]
        parts.append(f"<tr><th>{escape(row.name)}</th>{''.join(cells)}</tr>")
    parts.append("</tbody></table></div>")
    parts.append(f"<p class=small>{escape(SMALL_PRINT)}</p>\n</body>\n</html>\n")
    return "\n".join(parts)


_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
_STYLE = """
:root { color-scheme: light dark; --paper: #f6f5f2; --ink: #22262b; --line: #c9c7c1; --mark: #ffe3c9; }
@media (prefers-color-scheme: dark) { :root { --paper: #17191c; --ink: #eceef0; --line: #3a3f45; --mark: #5a3210; } }
body { font: 16px/1.5 system-ui, "Segoe UI", "DejaVu Sans", Arial, sans-serif; color: var(--ink);
  background: var(--paper); max-width: 76rem; margin: 1rem auto; padding: 0 1rem; }
h1 { font-size: 1.4rem; } h2 { font-size: 1.1rem; margin: 1.2rem 0 .2rem; } img { width: 100%; height: auto; }
ul { margin: .2rem 0; } .wide { overflow-x: auto; } table { border-collapse: collapse; margin-top: 1.2rem; }
th, td { padding: .25rem .7rem; border-bottom: 1px solid var(--line); text-align: right; }
tbody th { text-align: left; font-weight: 400; } .differs { background: var(--mark); font-weight: 600; }
.small { font-size: .85rem; opacity: .8; }
""".strip()


def _joints(found: Comparison, colour: ColourBy, theme: Theme) -> list[_Joint]:
    shown = [shown_part(result.joint, STEP_D) for result in found.results]
    top = max(
        strain_scale(np.array([row.gauge_strain for row in result.sections])) for result in found.results
    )
    return [
        _Joint(result, part, wire_colours(result, part, colour, theme.metal, top), close_ups(result, part))
        for result, part in zip(found.results, shown, strict=True)
    ]


def _common(joints: list[_Joint], strip: float) -> tuple[float, float]:
    """Scale that all share, and where the throat stands from the left."""
    bare = side_view(_TILT)
    flats = [bare.project(joint.shown.points_mm)[0] for joint in joints]
    half = max(joint.shown.d_mm for joint in joints) / 2
    left = max(-float(flat[:, 0].min()) for flat in flats) + half
    right = max(float(flat[:, 0].max()) for flat in flats) + half
    scale = strip / (left + right)
    return scale, left * scale


def _reach(joint: _Joint, scale: float) -> tuple[float, float]:
    """How far the joint reaches above its axis and below it on the canvas."""
    y = side_view(_TILT).project(joint.shown.points_mm)[0][:, 1] * scale
    half = joint.shown.d_mm * scale / 2
    return half - float(y.min()), float(y.max()) + half


def _heading(joint: _Joint, k: int, x: float, y: float, width: float, f: float) -> list[Ink]:
    word = worst(joint.result)
    colour = MARK_COLOURS.get(word, SOFT)
    said = word if word == "ok" else word.upper()
    title = fitted_line(f"{k + 1}  {title_of(joint.result)}: {said}", 1.3 * f, width - 2 * x, bold=True)
    return [
        Area(mark_outline(word, x + 0.6 * f, y + 0.75 * f, 0.5 * f), colour),
        Text(x + 1.8 * f, y + 1.2 * f, title, 1.3 * f, INK, True),
    ]


def _rings(joint: _Joint, view: View, f: float) -> list[Ink]:
    inks: list[Ink] = []
    radius = max(1.15 * joint.shown.d_mm * view.scale, 0.9 * f)
    for spot in spots(joint.result, joint.shown, view):
        for x, y in view.project(np.reshape(spot.points_mm, (-1, 3)))[0].tolist()[:1]:
            inks += ring_inks(spot, x, y, radius, f)
    return inks


def _close_up(
    panel: CloseUp, joint: _Joint, box: tuple[float, float, float, float], scale: float, f: float
) -> Frame:
    x0, y0, x1, y1 = box
    view = View(panel.view.axes, scale, ((x0 + x1) / 2 - panel.middle_mm * scale, (y0 + y1) / 2))
    edge = SOFT if panel.verdict == "ok" else MARK_COLOURS.get(panel.verdict, SOFT)
    return Frame(box, view, joint.shown, joint.colours.rgb, True, edge, (0.08 if edge == SOFT else 0.2) * f)


def _close_words(panel: CloseUp, frame: Frame, f: float) -> list[Ink]:
    x0, _, x1, y1 = frame.box
    inks: list[Ink] = []
    colour = MARK_COLOURS.get(panel.verdict, SOFT)
    if panel.angle is not None:
        inks += angle_inks(panel.angle, frame.view, 0.8 * f, colour, frame.box)
    words = panel.verdict if panel.verdict == "ok" else panel.verdict.upper()
    text = fitted_line(f"{panel.title}: {words}", 0.95 * f, x1 - x0 - 1.2 * f, bold=True)
    inks.append(Area(mark_outline(panel.verdict, x0 + 0.5 * f, y1 + 1.0 * f, 0.38 * f), colour))
    inks.append(Text(x0 + 1.3 * f, y1 + 1.35 * f, text, 0.95 * f, INK, True))
    return inks


def _told(found: Comparison, k: int, units: UnitSystem, width: float, f: float) -> list[str]:
    """What a joint has that the first has not, in lines; the first itself has nothing to be told."""
    return [] if k == 0 else wrapped(" ".join(difference_lines(found, k, units)), f, width)


def _throat_line(x: float, top: float, bottom: float, f: float, *, named: bool) -> list[Ink]:
    """A broken line behind each row where the twist begins, named in the first."""
    inks: list[Ink] = []
    for y in np.arange(top, bottom - 0.6 * f, 1.2 * f).tolist():
        inks.append(Stroke(((x, y), (x, y + 0.6 * f)), 0.09 * f, SOFT, "throat"))
    if named:
        inks.append(Text(x + 0.5 * f, top + 0.7 * f, "twist begins", 0.85 * f, SOFT))
    return inks


def _unit(scale: float, units: UnitSystem) -> float:
    return scale * (MM_PER_INCH if units == "inch" else 1.0)
