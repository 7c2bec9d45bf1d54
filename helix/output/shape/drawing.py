"""The joint as a vector drawing (SVG), over and under as in the wire; needs numpy only, no graphics card."""

from __future__ import annotations

from typing import TYPE_CHECKING

from helix.output.canvas.shapes_svg import shape_svg, svg_document
from helix.output.picture.picture_layout import compose
from helix.output.picture.view import shown_part, side_view
from helix.output.shape.wire_shapes import wire_shapes
from helix.output.words.words import title_of
from helix.units import MM_PER_INCH, UNIT_WORDS, UnitSystem

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

PAGE_MM = (320.0, 180.0)


def drawing_svg(result: ShapeResult, units: UnitSystem = "metric", *, page_mm: tuple[float, float] = PAGE_MM) -> str:
    """The joint seen along the pin as SVG text: true to a stated scale, the page measured in mm.

    The same result gives the same text. Raises nothing of its own.
    """
    shown = shown_part(result.joint)
    per = MM_PER_INCH if units == "inch" else 1.0
    page = compose(
        result, shown, side_view(), page_mm, units, whole_scale=True,
        scale_note=f"scale {{scale}} : 1 on a page of {page_mm[0] / per:.4g} x {page_mm[1] / per:.4g} {UNIT_WORDS[units]}",
    )  # fmt: skip
    decimals = 2 if page.wire_width >= 2.0 else 3
    body = [
        *map(shape_svg, page.under),
        '<g id="wire" stroke-linejoin="round" stroke-linecap="butt">',
        *(shape_svg(item, decimals) for item in wire_shapes(shown, page.view, page.wire_width)),
        "</g>",
        '<g id="labels">',
        *map(shape_svg, page.over),
        "</g>",
    ]
    return svg_document(page_mm, title_of(result), body, unit="mm", more=f' data-scale="{page.view.scale:g}"')
