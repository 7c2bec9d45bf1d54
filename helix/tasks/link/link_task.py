"""Link: eye through eye, or an eye on a ring: the bend where they cross, what it leaves, room to move."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from helix.errors import ValidationIssue, argument_issue
from helix.output.canvas.canvas_svg import canvas_svg
from helix.output.link.link_page import link_html
from helix.output.link.link_picture import link_canvas, link_png
from helix.output.link.link_report import link_document
from helix.output.report.chart_sheet import charts_file
from helix.output.report.record import record
from helix.studies.link.link_result import LinkResult, Ring
from helix.studies.link.linking import checked_pair, link_joints
from helix.tasks.hold.estimate_options import OWN_PULLS, own_by_recipe
from helix.tasks.options import RECIPE_FILES, Option, quantity, units
from helix.tasks.shape.draw_task import DRAWING, PAGE, PICTURE
from helix.tasks.shape.judged import STRICT, is_ok
from helix.tasks.task import Given, Output, Task

MOST_MM: Final = 1000.0
"""The largest ring that is taken."""


def _paired(given: Given) -> Iterator[ValidationIssue]:
    recipes, ring, inside = given.recipes, given.ring, given.ring_inside
    if recipes is not None and len(recipes) > 2:
        yield argument_issue("recipes", f"must be one recipe, or the two that are linked; got {len(recipes)}")
    faulty = given.faulty & {"ring", "ring_inside"}
    if recipes is not None and len(recipes) == 2 and (ring is not None or inside is not None):
        yield argument_issue("ring", "must stand beside one recipe alone: two are linked eye through eye")
    elif ring is None and inside is not None and not faulty:
        yield argument_issue("ring", "must be given beside the ring's inside diameter: the diameter of its bar")
    elif inside is None and ring is not None and not faulty:
        yield argument_issue("ring_inside", "must be given beside the ring's bar: its inside diameter")


def _linked(given: Given) -> LinkResult:
    recipes = [recipe for _, recipe in given.recipes]
    ring = None if given.ring is None else Ring(diameter_mm=given.ring, inside_mm=given.ring_inside)
    checked_pair(recipes[0], recipes[1] if len(recipes) > 1 else None, ring)
    given.on_output("pulling the eyes together, this takes a few seconds ...")
    own = own_by_recipe(given.pulls, recipes)
    return link_joints(recipes[0], recipes[1] if len(recipes) > 1 else None, ring, own)


def _drawn(result: LinkResult, given: Given, suffix: str) -> str | bytes:
    if suffix == PAGE:
        return link_html(result, given.system)
    return canvas_svg(link_canvas(result, given.system)) if suffix == DRAWING else link_png(result, given.system)


def _chart(result: LinkResult, given: Given, suffix: str) -> bytes:
    document = link_document(result, given.system)
    return charts_file(document.charts, suffix, document.title)


TASK = Task(
    options=(
        Option(
            "recipes",
            "recipe of the joint, and of the one it is linked with (default: another of the same)",
            RECIPE_FILES,
            place="some",
            many=True,
            required=True,
            example="joint.toml",
        ),
        Option(
            "ring",
            "in place of another eye: diameter of a ring's wire or bar",
            quantity("length", most=MOST_MM),
            label="Ring's bar",
            example="5 mm",
        ),
        Option(
            "ring_inside",
            "inside diameter of that ring",
            quantity("length", most=MOST_MM),
            label="Ring's inside",
            example="20 mm",
        ),
        units("loads and sizes"),
        OWN_PULLS,
    ),
    run=_linked,
    check=_paired,
    document=link_document,
    record=record,
    json="mm, N and deg; _d in wire diameters",
    files=(
        Output(
            "output",
            "also write the pair: .png picture, .svg drawing, .html interactive 3-D page",
            (PICTURE, DRAWING, PAGE),
            _drawn,
            said="drawn in {}",
            short="-o",
            pictures={PICTURE: DRAWING},
        ),
        Output(
            "chart",
            "also write the chart of strength against the ring's diameter, .png, .svg or .pdf",
            (".png", ".svg", ".pdf"),
            _chart,
            said="chart written to {}",
        ),
    ),
    strict=STRICT,
    is_ok=is_ok,
)
