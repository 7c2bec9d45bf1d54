"""Charts of the report: every point of the other side lies on our curve, and the charts that are kept are these."""

from __future__ import annotations

import html
import math
import re

import pytest

from helix.geometry.twist.packing import zero_twist
from validation.charts import FOLDER, charts, svg, turns_per_strand


@pytest.mark.parametrize("name", sorted(path.stem for path in FOLDER.glob("*.svg")))
def test_every_point_lies_on_the_curve(name: str) -> None:
    (chart,) = (chart for chart in charts() if chart.name == name)
    ours = chart.curves[0][1]
    values = [(x, y, points.tolerance) for points in chart.points for x, y in points.values]
    assert values
    for x, y, tolerance in values:
        assert chart.low <= x <= chart.high
        assert abs(ours(x) - y) <= tolerance, f"{chart.name} at {x}: theirs {y}, ours {ours(x)}"


@pytest.mark.parametrize("strands", [2, 3])
def test_the_curve_of_zero_twist_has_its_top_there(strands: int) -> None:
    top = math.degrees(zero_twist(strands).pitch_angle)
    turns = turns_per_strand(top, strands)
    assert turns > turns_per_strand(top - 0.2, strands) and turns > turns_per_strand(top + 0.2, strands)


def test_the_charts_that_are_kept_are_these() -> None:
    assert {path.stem for path in FOLDER.glob("*.svg")} == {chart.name for chart in charts()}
    for chart in charts():
        kept = html.unescape((FOLDER / f"{chart.name}.svg").read_text(encoding="utf-8"))
        words = {chart.title, chart.x_label, *(p.source for p in chart.points), *(legend for legend, _ in chart.curves)}
        assert words <= set(re.findall(r"<text[^>]*>([^<]*)</text>", kept))


def test_a_chart_is_drawn_the_same_each_time() -> None:
    assert svg(charts()[3]) == svg(charts()[3])
