"""A chart set on a page of a PDF: its lines as lines, its words as words that can be selected."""

from __future__ import annotations

from typing import Any

from helix.output.canvas.paper import BOLD_FONT, PLAIN_FONT
from helix.output.report.document import Chart

_MOVE, _LINE, _BEND, _CURVE, _CLOSE = 1, 2, 3, 4, 79  # codes of a path of matplotlib
_HATCH_PT = 72.0  # side of a tile of hatching


def paint_chart(chart: Chart, pen: Any, width: float, height: float) -> None:
    """Draw a chart on a canvas of reportlab, its lower left corner at the origin; width and height in points."""
    from matplotlib import rc_context
    from matplotlib.backend_bases import RendererBase
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    from helix.output.report.chart_style import STYLE

    class Renderer(RendererBase):
        """What matplotlib hands its lines and words to; one point is one pixel."""

        def get_canvas_width_height(self) -> tuple[float, float]:
            return width, height

        def flipy(self) -> bool:
            return False

        def draw_path(self, gc: Any, path: Any, transform: Any, rgbFace: Any = None) -> None:
            pen.saveState()
            _clip(pen, gc)
            line, face = gc.get_rgb(), rgbFace
            own = gc.get_forced_alpha() or face is None or len(face) == 3
            pen.setStrokeAlpha(gc.get_alpha() if own else line[3])
            pen.setStrokeColorRGB(*line[:3])
            pen.setLineWidth(gc.get_linewidth())
            pen.setLineCap({"butt": 0, "round": 1, "projecting": 2}[gc.get_capstyle()])
            pen.setLineJoin({"miter": 0, "round": 1, "bevel": 2}[gc.get_joinstyle()])
            offset, dashes = gc.get_dashes()
            pen.setDash(list(dashes or ()), offset or 0)
            if face is not None:
                pen.setFillAlpha(gc.get_alpha() if own else face[3])
                pen.setFillColorRGB(*face[:3])
            outline = _outline(pen, path, transform)
            pen.drawPath(outline, stroke=int(gc.get_linewidth() > 0.0), fill=int(face is not None))
            if gc.get_hatch():
                pen.clipPath(outline, stroke=0, fill=0)
                pen.setLineWidth(gc.get_hatch_linewidth())
                for tile in _tiles(path.get_extents(transform)):
                    pen.drawPath(_outline(pen, gc.get_hatch_path(), tile))
            pen.restoreState()

        def draw_text(
            self, gc: Any, x: float, y: float, s: str, prop: Any, angle: float, ismath: Any = False, mtext: Any = None
        ) -> None:
            pen.saveState()
            pen.setFillColorRGB(*gc.get_rgb()[:3])
            pen.setFont(BOLD_FONT if prop.get_weight() in ("bold", 700) else PLAIN_FONT, prop.get_size_in_points())
            pen.translate(x, y)
            pen.rotate(angle)
            pen.drawString(0.0, 0.0, s)
            pen.restoreState()

    with rc_context(STYLE):
        figure = Figure(figsize=(width / 72.0, height / 72.0), dpi=72.0)
        FigureCanvasAgg(figure)
        chart.draw(figure)
        figure.patch.set_visible(False)
        renderer: Any = Renderer()
        renderer.dpi = 72.0
        figure.draw(renderer)


def _clip(pen: Any, gc: Any) -> None:
    box = gc.get_clip_rectangle()
    if box is not None:
        outline = pen.beginPath()
        outline.rect(box.x0, box.y0, box.width, box.height)
        pen.clipPath(outline, stroke=0, fill=0)
    path, transform = gc.get_clip_path()
    if path is not None:
        pen.clipPath(_outline(pen, path, transform), stroke=0, fill=0)


def _outline(pen: Any, path: Any, transform: Any) -> Any:
    outline, at = pen.beginPath(), (0.0, 0.0)
    for points, code in path.iter_segments(transform, simplify=False):
        x, y = (float(value) for value in points[-2:])
        if code == _MOVE:
            outline.moveTo(x, y)
        elif code == _LINE:
            outline.lineTo(x, y)
        elif code == _BEND:  # of two thirds of the way to its one handle
            handle = points[:2]
            ends = [tuple(end + 2.0 / 3.0 * (handle - end)) for end in (at, (x, y))]
            outline.curveTo(*ends[0], *ends[1], x, y)
        elif code == _CURVE:
            outline.curveTo(*map(float, points))
        elif code == _CLOSE:
            outline.close()
            continue
        at = (x, y)
    return outline


def _tiles(box: Any) -> list[Any]:
    """Where the unit square of a hatching lies, tile by tile, to cover a box."""
    from matplotlib.transforms import Affine2D

    across, up = int(box.width // _HATCH_PT) + 1, int(box.height // _HATCH_PT) + 1
    return [
        Affine2D().translate(k % across, k // across).scale(_HATCH_PT).translate(box.x0, box.y0)
        for k in range(across * up)
    ]
