"""No two words stand on each other on any paper, and none runs past it: sheet, cut sheet, labels and handout.

Boxes are measured by the font's own widths. Long names, both unit systems, every size of paper.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from helix.model.batch.plan import plan_from_text
from helix.model.recipe.recipe import read_recipe
from helix.output.batch import cut_sheet
from helix.output.canvas.paper import SIZES_MM, Page, pdf_width, readable
from helix.output.canvas.primitives import Text
from helix.output.pulls import pull_plan_report
from helix.output.sheet.sheet import sheet_page
from helix.output.teaching.handout import handout_pages
from helix.studies.batch.cut_plan import CutPlan, cut_plan
from helix.studies.pulls_plan.pull_plan import Setup, plan_pulls
from helix.studies.pulls_plan.pull_sizes import Wanted
from helix.studies.shape.shape import ShapeResult, shape
from helix.studies.teaching.compare_joints import compare
from tests.output.every_output import METRIC

EXAMPLES = Path(__file__).resolve().parents[3] / "docs/examples"
LONG = "A tether of the outer reef with a long name that goes on and on and on, the lower eye of it"
JOINTS = ("logger-tether", "faults/overbent-120", "faults/wide-throat", "faults/twist-only", "faults/uneven-half")
SHEETS = [
    pytest.param(name, paper, marks=() if name == JOINTS[0] or paper == "a4" else pytest.mark.slow)
    for name in JOINTS
    for paper in SIZES_MM
]
UNITS = ("metric", "inch")
EDGE_MM = 4.0


@cache
def joint(name: str) -> ShapeResult:
    return shape(read_recipe(EXAMPLES / f"{name}.toml"))


@cache
def plan() -> CutPlan:
    """The example's plan, every name in it long."""
    text = (EXAMPLES / "reef-station.toml").read_text(encoding="utf-8")
    for name in ("Reef station", "short tether", "long tether", "coil", "offcut 1"):
        text = text.replace(f'"{name}', f'"A long name that goes on and on and on, {name}')
    for name in ("thin", "thick", "logger", "anchor"):
        text = re.sub(rf'"{name}"|(?<=\.){name}(?=\])', f'"{name} of the outer reef"', text)
    return cut_plan(plan_from_text(text, folder=EXAMPLES), seconds=0.5)


@pytest.fixture
def pages(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[Page]]:
    """The pages that would be made into a PDF."""
    made: list[Page] = []

    def keep(*pages: Page) -> bytes:
        made.extend(pages)
        return b""

    for module in (cut_sheet, pull_plan_report):
        monkeypatch.setattr(module, "page_pdf", keep)
    yield made


def check(page: Page, units: str) -> None:
    boxes = []
    for item in page.shapes:
        if isinstance(item, Text) and item.text.strip():
            wide = pdf_width(readable(item.text), item.size, item.bold)
            x = item.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * wide
            boxes.append((x, item.y - 0.72 * item.size, x + wide, item.y, item.text))
    assert boxes
    on_each_other = [
        (text, other)
        for k, (x0, y0, x1, y1, text) in enumerate(boxes)
        for a0, b0, a1, b1, other in boxes[k + 1 :]
        if x1 > a0 and a1 > x0 and y1 > b0 and b1 > y0
    ]
    assert on_each_other == []
    past = [
        box[4]
        for box in boxes
        if min(box[:2]) < EDGE_MM or box[2] > page.width - EDGE_MM or box[3] > page.height - EDGE_MM
    ]
    assert past == []
    if units == "inch":
        assert [box[4] for box in boxes if METRIC.search(box[4])] == []
    else:
        assert [box[4] for box in boxes if "inch" in box[4]] == []


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize(("name", "paper"), SHEETS)
def test_sheet(name: str, paper: str, units: Any) -> None:
    result = joint(name)
    for title in (result.recipe.title, f"{LONG} (invented)"):
        check(sheet_page(replace(result, recipe=replace(result.recipe, title=title)), units, paper=paper), units)


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("paper", SIZES_MM)
def test_cut_sheet(paper: str, units: Any, pages: list[Page]) -> None:
    cut_sheet.sheet_bytes(plan(), units, paper=paper)
    for page in pages:
        check(page, units)


@pytest.mark.parametrize("units", UNITS)
def test_handout(units: Any) -> None:
    comparison = compare([joint("faults/good"), *(joint(name) for name in JOINTS[1:])])
    for page in (page for half in handout_pages(comparison, units) for page in half):
        check(page, units)


@pytest.mark.parametrize("units", UNITS)
def test_labels(units: Any, pages: list[Page]) -> None:
    recipes = [
        (f"{LONG.replace(' ', '-')}.toml", joint("logger-tether").recipe),
        ("short.toml", joint("faults/good").recipe),
    ]
    planned = plan_pulls(
        recipes, Wanted(), Setup(each=3, batches=("the coil that came in spring",), makers=("somebody",))
    )
    pull_plan_report.labels_pdf(planned, units)
    for page in pages:
        check(page, units)
