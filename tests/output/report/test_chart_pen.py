"""Charts on a page of a PDF: every line where matplotlib puts it, cut off at its axes, words as words.

Map of what must hold:
  points of a line are those of the transform of its axes, curves those of the path; dashes, widths and colours are kept
  what is drawn is cut off by the box of its axes; a hatched area is hatched within itself only
  words stand where they are put and can be selected, turned ones too
"""

from __future__ import annotations

import io
import re
from typing import Any

import numpy as np
import pytest

from helix.output.canvas.paper import pdf_pen
from helix.output.report.chart_pen import paint_chart
from helix.output.report.document import Chart, Document, Heading
from helix.output.report.document_pdf import document_pdf

WIDTH, HEIGHT = 200.0, 100.0


def drawn(draw: Any) -> tuple[list[tuple[list[Any], str]], Any]:
    """Operations of the page that a chart is painted on, and its page."""
    from pypdf import PdfReader
    from pypdf.generic import ContentStream

    out = io.BytesIO()
    pen = pdf_pen(out, "chart", pagesize=(WIDTH, HEIGHT))
    paint_chart(Chart("chart", "Chart", "A chart.", draw), pen, WIDTH, HEIGHT)
    pen.save()
    reader = PdfReader(io.BytesIO(out.getvalue()))
    content = ContentStream(reader.pages[0].get_contents(), reader)
    return [([*operands], operator.decode()) for operands, operator in content.operations], reader.pages[0]


def axes_of(figure: Any) -> Any:
    """Axes from (0, 0) to (10, 10) over the middle half of the chart, with nothing round them."""
    axes = figure.add_axes((0.25, 0.25, 0.5, 0.5), xlim=(0.0, 10.0), ylim=(0.0, 10.0))
    axes.axis("off")
    return axes


def test_a_line_is_where_its_axes_put_it_and_is_cut_off_there() -> None:
    x = np.array([1.0, 4.0, 20.0])

    def draw(figure: Any) -> None:
        axes_of(figure).plot(x, x / 2, color="#336699", linewidth=1.5, linestyle=(0, (4.0, 2.0)))

    steps, _ = drawn(draw)
    points = [[float(v) for v in operands] for operands, name in steps if name in ("m", "l")]
    expected = np.stack((50.0 + 10.0 * x, 25.0 + 5.0 * x / 2), axis=1)
    assert np.array(points) == pytest.approx(expected, abs=1e-3)
    (box,) = [[float(v) for v in operands] for operands, name in steps if name == "re"]
    assert box == pytest.approx([50.0, 25.0, 100.0, 50.0])
    assert steps.index(([], "W*")) < next(k for k, step in enumerate(steps) if step[1] == "m")
    (colour,) = [[float(v) for v in operands] for operands, name in steps if name == "RG"]
    assert colour == pytest.approx([0.2, 0.4, 0.6], abs=1e-5)
    assert [float(operands[0]) for operands, name in steps if name == "w"] == [1.5]
    dashes = next(operands for operands, name in steps if name == "d")
    assert [float(v) for v in dashes[0]] == pytest.approx([6.0, 3.0])


def test_round_shapes_are_round_and_see_through_where_they_were() -> None:
    def draw(figure: Any) -> None:
        from matplotlib.patches import Ellipse

        axes_of(figure).add_patch(Ellipse((5.0, 5.0), 4.0, 8.0, facecolor="#ff0000", edgecolor="none", alpha=0.5))

    steps, page = drawn(draw)
    at, ring = np.zeros(2), []
    for operands, name in steps:
        if name in ("m", "c"):
            values = np.array([float(v) for v in operands]).reshape(-1, 2)
            if name == "c":
                t = np.linspace(0.0, 1.0, 9)[:, None]
                handles = np.stack((at, *values))
                ring.append(
                    sum(n * (1 - t) ** (3 - k) * t**k * handles[k] for k, n in enumerate((1, 3, 3, 1)))  # Bernstein
                )
            at = values[-1]
    round_it = np.concatenate(ring) - [100.0, 50.0]
    assert np.hypot(round_it[:, 0] / 20.0, round_it[:, 1] / 20.0) == pytest.approx(1.0, abs=1e-3)
    assert "0.5" in str(page["/Resources"]["/ExtGState"])
    assert [name for _, name in steps].count("f*") == 1


def test_hatching_stays_within_its_area() -> None:
    def draw(figure: Any) -> None:
        from matplotlib.patches import Rectangle

        axes_of(figure).add_patch(Rectangle((2.0, 2.0), 6.0, 6.0, fill=False, edgecolor="#000000", hatch="//"))

    steps, _ = drawn(draw)
    names = [name for _, name in steps]
    assert names.count("W*") == 2 and names.count("S") >= 2  # the axes' box, then the area


def test_words_can_be_selected_also_where_they_are_turned() -> None:
    def draw(figure: Any) -> None:
        figure.text(0.5, 0.5, "load, $N$", rotation=90.0, fontweight="bold", fontsize=9.0)

    steps, page = drawn(draw)
    assert page.extract_text().strip() == "load, $N$"
    turned = [[float(v) for v in operands] for operands, name in steps if name == "cm"]
    assert any(matrix[:4] == pytest.approx([0.0, 1.0, -1.0, 0.0], abs=1e-6) for matrix in turned)


def test_a_chart_stays_with_its_heading() -> None:
    from pypdf import PdfReader

    def draw(figure: Any) -> None:
        axes_of(figure).plot([0.0, 10.0], [0.0, 10.0])

    charts = tuple(
        block for k in range(4) for block in (Heading(f"Part {k}"), Chart(f"c{k}", f"Chart {k}", "Words.", draw, 110.0))
    )
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(document_pdf(Document("Charts", charts)))).pages]
    found = [(re.findall(r"Part (\d)", page), re.findall(r"Chart (\d)", page)) for page in pages]
    assert all(parts == drawn_here for parts, drawn_here in found)
    assert [part for parts, _ in found for part in parts] == ["0", "1", "2", "3"]
