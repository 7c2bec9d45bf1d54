"""A canvas as SVG: the same views, words and marks, the wire as shaded shapes; needs no graphics card."""

from __future__ import annotations

import numpy as np

from helix.output.canvas.canvas import LIGHT, Canvas, Frame, Theme, recoloured
from helix.output.canvas.primitives import Area, Stroke
from helix.output.canvas.shapes_svg import shape_svg, svg_document
from helix.output.picture.view import only, runs_inside
from helix.output.shape.wire_shapes import layers


def canvas_svg(canvas: Canvas, theme: Theme = LIGHT) -> str:
    """The canvas as SVG text. The wire is plain metal; a verdict's colour is on its marks and frames only.

    Surfaces other than the wire (a pin) are drawn as their outline.
    """
    body = [shape_svg(recoloured(item, theme)) for item in canvas.under]
    for number, frame in enumerate(canvas.frames):
        body += _frame(frame, number, theme)
    body += [shape_svg(recoloured(item, theme)) for item in canvas.over]
    return svg_document((canvas.width, canvas.height), canvas.title, body, paper=theme.paper)


def _frame(frame: Frame, number: int, theme: Theme) -> list[str]:
    x0, y0, x1, y1 = frame.box
    box = f'x="{x0:.2f}" y="{y0:.2f}" width="{x1 - x0:.2f}" height="{y1 - y0:.2f}"'
    lines = [f'<clipPath id="frame{number}"><rect {box}/></clipPath>']
    if frame.panel:
        lines.append(f'<rect {box} fill="{theme.panel}"/>')
    lines.append(f'<g clip-path="url(#frame{number})" stroke-linejoin="round">')
    for thing in frame.things:
        flat, _ = frame.view.project(thing.vertices)
        middle, reach = (flat.min(axis=0) + flat.max(axis=0)) / 2, np.ptp(flat, axis=0) / 2
        lines.append(
            f'<ellipse cx="{middle[0]:.2f}" cy="{middle[1]:.2f}" rx="{reach[0]:.2f}" ry="{reach[1]:.2f}" '
            f'fill="none" stroke="{theme.soft}" stroke-width="1.5" stroke-dasharray="6 4"/>'
        )
    drawn: list[tuple[float, list[Area | Stroke]]] = []
    for shown, _ in frame.wires:
        wire = shown.d_mm * frame.view.scale
        seen = only(shown, runs_inside(shown, frame.view, frame.box, wire))
        drawn += layers(seen, frame.view, wire) if seen.pieces else []
    drawn.sort(key=lambda layer: layer[0])
    lines += [shape_svg(shape, 2) for _, shapes in drawn for shape in shapes]
    lines.append("</g>")
    if frame.edge:
        colour = theme.of(frame.edge)
        lines.append(f'<rect {box} fill="none" stroke="{colour}" stroke-width="{frame.edge_width:.2f}"/>')
    return lines
