"""Several charts one below the other as one picture, PNG, SVG or PDF."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any, Final

from helix.output.report.document import Chart

_MM_PER_INCH: Final = 25.4
_WIDTH_MM: Final = 174.0
_TITLE_MM: Final = 7.0
_CAPTION_MM: Final = 11.0
_DPI: Final = 160


def charts_file(charts: Sequence[Chart], suffix: str) -> bytes:
    """The charts with their titles and captions as one file; suffix: .png, .svg or .pdf. The same charts, the same bytes.

    Raises ValueError for another suffix.
    """
    if suffix not in (".png", ".svg", ".pdf"):
        raise ValueError(f"suffix must be .png, .svg or .pdf; got {suffix!r}")
    import textwrap

    from matplotlib import rc_context
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    from helix.output.report.chart_style import QUIET, STYLE

    ratios = [height for chart in charts for height in (_TITLE_MM, chart.height_mm, _CAPTION_MM)]
    total = sum(ratios)
    with rc_context({**STYLE, "svg.hashsalt": "-".join(chart.name for chart in charts), "pdf.fonttype": 42}):
        figure = Figure(figsize=(_WIDTH_MM / _MM_PER_INCH, total / _MM_PER_INCH), dpi=_DPI)
        FigureCanvasAgg(figure)
        strips: Any = figure.subfigures(len(ratios), 1, height_ratios=ratios)
        for k, chart in enumerate(charts):
            title, picture, caption = strips[3 * k : 3 * k + 3]
            title.text(0.01, 0.3, chart.title, fontweight="bold", fontsize=10.0)
            chart.draw(picture)
            lines = "\n".join(textwrap.wrap(chart.caption, 125))
            caption.text(0.01, 0.9, lines, fontsize=7.0, color=QUIET, va="top")
        out = io.BytesIO()
        none = {
            "png": {"Software": None},
            "svg": {"Date": None, "Creator": None},
            "pdf": {"CreationDate": None, "Creator": None, "Producer": None},
        }
        figure.savefig(out, format=suffix[1:], metadata=none[suffix[1:]])
    return out.getvalue()
