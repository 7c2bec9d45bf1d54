"""One list of shapes, three painters: pixels, SVG and PDF put everything in the same places.

Map of what must hold:
  the corners of areas and the ends of lines in SVG and PDF are those of the list, to the last digit that is written
  an area covers its own pixels and no others; a line as wide as it says
  words are where they are said to be: their start, middle or end; colours are the list's own
  a PDF of several pages is the pages one after another; what is written twice is the same
"""

from __future__ import annotations

import io
import re
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.output.canvas.canvas import LIGHT, Canvas, canvas_pixels
from helix.output.canvas.paper import Page, page_pdf, pdf_width
from helix.output.canvas.primitives import Area, Primitive, Stroke, Text, disc, moved, rectangle
from helix.output.canvas.shapes_svg import page_svg
from helix.output.shape.colouring import rgb

WIDTH, HEIGHT = 120, 80
MM = 25.4 / 72.0
place = st.tuples(st.integers(5, WIDTH - 5), st.integers(5, HEIGHT - 5)).map(lambda at: (float(at[0]), float(at[1])))
lines = st.builds(
    Stroke, st.lists(place, min_size=2, max_size=5, unique=True).map(tuple), st.floats(0.2, 3.0), st.just("#0072b2")
)
areas = st.builds(
    Area, st.lists(place, min_size=3, max_size=6, unique=True).map(tuple), st.sampled_from(["#d55e00", "#009e73"])
)


def page(*shapes: Primitive) -> Page:
    return Page(WIDTH, HEIGHT, "Shapes", shapes)


def pdf_shapes(data: bytes) -> list[tuple[np.ndarray, str]]:
    """Points in mm from the upper left corner, and the operator that painted them, in order."""
    from pypdf import PdfReader
    from pypdf.generic import ContentStream

    reader = PdfReader(io.BytesIO(data))
    shapes: list[tuple[np.ndarray, str]] = []
    path: list[tuple[float, float]] = []
    flip = np.array([[1.0, 1.0]])
    for operands, operator in ContentStream(reader.pages[0].get_contents(), reader).operations:
        name = operator.decode()
        if name == "cm":
            assert [float(value) for value in operands] == [1, 0, 0, 1, 0, 0]
        elif name in ("m", "l"):
            path.append((float(operands[0]) * MM, HEIGHT - float(operands[1]) * MM))
        elif name in ("S", "f", "f*", "B", "B*") and path:
            shapes.append((np.array(path) * flip, name))
            path = []
    return shapes


@given(st.lists(st.one_of(lines, areas), min_size=1, max_size=6))
def test_svg_and_pdf_have_the_points_of_the_list(shapes: list[Stroke | Area]) -> None:
    made = page(*shapes)
    in_pdf = pdf_shapes(page_pdf(made))
    in_svg = re.findall(r'<path d="M([^"]*)"', page_svg(made))
    assert len(in_pdf) == len(in_svg) == len(shapes)
    for item, (points, painted), data in zip(shapes, in_pdf, in_svg, strict=True):
        assert points == pytest.approx(np.array(item.points), abs=2e-5)  # four decimals of a point
        assert [float(v) for v in re.findall(r"[-\d.]+", data)] == pytest.approx(np.ravel(item.points), abs=5e-4)
        assert data.endswith("Z") == isinstance(item, Area)
        assert painted[0] == ("S" if isinstance(item, Stroke) else "f")


@pytest.mark.rendering
def test_pixels_cover_what_the_list_says(rendering: Any) -> None:
    from scipy.ndimage import binary_dilation, binary_erosion

    shapes = (Area(rectangle(10, 20, 40, 50), "#d55e00"), Stroke(((60.0, 10.0), (60.0, 70.0)), 4.0, "#0072b2"))
    image = canvas_pixels(Canvas(WIDTH, HEIGHT, (), shapes), LIGHT)[..., :3] / 255.0
    paper = np.abs(image - rgb(LIGHT.paper)).max(axis=2) < 0.01
    expected = np.zeros((HEIGHT, WIDTH), dtype=bool)
    expected[20:50, 10:40] = expected[10:70, 58:62] = True
    near = np.ones((3, 3), dtype=bool)  # a pixel at an edge may be covered in part
    assert not (paper & binary_erosion(expected, near)).any()
    assert paper[~binary_dilation(expected, near)].all()
    assert np.abs(image[35, 25] - rgb("#d55e00")).max() < 0.01 > np.abs(image[40, 60] - rgb("#0072b2")).max()


@pytest.mark.parametrize(("anchor", "share"), [("start", 0.0), ("middle", 0.5), ("end", 1.0)])
def test_words_stand_where_they_are_said_to(anchor: str, share: float) -> None:
    from pypdf import PdfReader

    data = page_pdf(page(Text(60.0, 40.0, "Wire 1.2 mm \u00d8", 4.0, anchor=anchor)))
    at: list[tuple[float, float]] = []
    PdfReader(io.BytesIO(data)).pages[0].extract_text(
        visitor_text=lambda text, _, matrix, *rest: (
            at.append((matrix[4] * MM, matrix[5] * MM)) if text.strip() else None
        )
    )
    assert at[0][0] == pytest.approx(60.0 - share * pdf_width("Wire 1.2 mm \u00d8", 4.0), abs=1e-3)
    assert HEIGHT - at[0][1] == pytest.approx(40.0, abs=1e-3)
    svg = page_svg(page(Text(60.0, 40.0, "a < b", 4.0, anchor=anchor)))
    assert 'x="60.000" y="40.000"' in svg and "a &lt; b" in svg and (anchor == "start") == ("text-anchor" not in svg)


def test_pages_follow_one_another_and_twice_is_the_same() -> None:
    from pypdf import PdfReader

    pages = [page(Text(10.0, 10.0, f"sheet {k}", 3.0)) for k in range(3)]
    data = page_pdf(*pages)
    assert data == page_pdf(*pages)
    assert [sheet.extract_text().strip() for sheet in PdfReader(io.BytesIO(data)).pages] == [
        "sheet 0",
        "sheet 1",
        "sheet 2",
    ]
    assert b"CreationDate" not in data


def test_shapes_move_and_round_areas_are_round() -> None:
    ring = np.array(disc(3.0, 4.0, 2.0))
    assert np.hypot(*(ring - [3.0, 4.0]).T) == pytest.approx(np.full(len(ring), 2.0), rel=1e-12)
    down = moved(Area(disc(3.0, 4.0, 2.0), "#000000"), 5.0)
    assert isinstance(down, Area) and np.array(down.points) == pytest.approx(ring + [0.0, 5.0], rel=1e-12)
    assert moved(Text(1.0, 2.0, "x", 3.0), 5.0) == Text(1.0, 7.0, "x", 3.0)
