"""Charts as files: one by itself, or several with their words one below the other; PNG, SVG or PDF."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any, Final

from helix.output.report.chart_narrow import NARROW_MM, fit_narrow
from helix.output.report.document import Chart
from helix.output.words.answer_words import CAUTION

_MM_PER_INCH: Final = 25.4
_WIDTH_MM: Final = 174.0
_TITLE_MM: Final = 7.0
_CAPTION_MM: Final = 11.0
_FOOT_MM: Final = 8.0
_DPI: Final = 160
_METADATA: Final[dict[str, dict[str, None]]] = {
    ".png": {"Software": None},
    ".svg": {"Date": None, "Creator": None},
    ".pdf": {"CreationDate": None, "Creator": None, "Producer": None},
}


def chart_file(chart: Chart, suffix: str, *, words: bool = False, narrow: bool = False) -> bytes:
    """One chart without its words, the same bytes for the same chart; suffix: as for charts_file.

    words: letters of an SVG stay text in place of outlines. narrow: for a phone.
    """
    with _figure(chart.height_mm, chart.name, words=words, width_mm=NARROW_MM if narrow else _WIDTH_MM) as figure:
        chart.draw(figure)
        if narrow:
            fit_narrow(figure)
        return _saved(figure, suffix, chart.title)


def charts_file(charts: Sequence[Chart], suffix: str, about: str = "") -> bytes:
    """The charts with their titles and captions as one file; suffix: .png, .svg or .pdf. The same charts, the same bytes.

    about: what they are of; it stands at the foot, before the caution. Raises ValueError for another suffix.
    """
    from helix.output.report.chart_style import QUIET

    ratios = [height for chart in charts for height in (_TITLE_MM, chart.height_mm, _CAPTION_MM)]
    ratios.append(_FOOT_MM)
    with _figure(sum(ratios), "-".join(chart.name for chart in charts)) as figure:
        strips: Any = figure.subfigures(len(ratios), 1, height_ratios=ratios)
        foot = "\n".join(line for line in (textwrap.shorten(about, 120, placeholder=" ..."), CAUTION) if line)
        strips[-1].text(0.01, 0.9, foot, fontsize=7.0, color=QUIET, va="top")
        for k, chart in enumerate(charts):
            title, picture, caption = strips[3 * k : 3 * k + 3]
            title.text(0.01, 0.3, chart.title, fontweight="bold", fontsize=10.0)
            chart.draw(picture)
            lines = "\n".join(textwrap.wrap(chart.caption, 125))
            caption.text(0.01, 0.9, lines, fontsize=7.0, color=QUIET, va="top")
        return _saved(figure, suffix)


@contextmanager
def _figure(height_mm: float, name: str, *, words: bool = False, width_mm: float = _WIDTH_MM) -> Iterator[Any]:
    from matplotlib import rc_context
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    from helix.output.report.chart_style import STYLE

    fonts = {"svg.fonttype": "none" if words else "path", "pdf.fonttype": 42}
    with rc_context({**STYLE, "svg.hashsalt": name, **fonts}):
        figure = Figure(figsize=(width_mm / _MM_PER_INCH, height_mm / _MM_PER_INCH), dpi=_DPI)
        FigureCanvasAgg(figure)
        yield figure


def _saved(figure: Any, suffix: str, title: str = "") -> bytes:
    if suffix not in _METADATA:
        raise ValueError(f"suffix must be .png, .svg or .pdf; got {suffix!r}")
    out = io.BytesIO()
    named = {"Title": title} if title and suffix != ".png" else {}
    figure.savefig(out, format=suffix[1:], metadata={**_METADATA[suffix], **named})
    return out.getvalue()
