"""What people read of two wires worked as one, and its chart.

Map of what must hold:
  the verdict is no verdict: the first line says that no model speaks, nothing says that it locks, and the load stands under "if it holds"
  a joint with a fault is not planned with
  no line but a table's is wider than 100 columns, all plain ASCII, no nan; inch and metric say the same loads
  the chart's lines are the rows, the same bytes every time
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from helix.findings import Severity, judgement_of, notice
from helix.output.hold.hold_answers import hold_answer, load_head
from helix.output.hold.hold_report import hold_document
from helix.output.hold.pair_charts import slack_chart
from helix.output.report.chart_sheet import charts_file
from helix.output.report.document import document_text
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold_with, setting_of
from helix.units import N_PER_LBF
from tests.studies.hold.hold_recipes import joint

RECIPE = joint('size = "MWG 12"\ncount = 2')


@cache
def held(slack_mm: float | None = None) -> HoldResult:
    return hold_with(RECIPE, replace(setting_of(RECIPE, draws=500), slack_mm=slack_mm))


def test_the_first_line_is_that_no_model_speaks() -> None:
    lines = hold_answer(held(), "metric").lines
    assert lines[0].startswith("CAUTION: no model says whether four strands unwind")
    assert lines[1].startswith("If it holds, plan with ") and "(an estimate)" in lines[1]
    assert len(lines) <= 7 and "LOCKS" not in " ".join(lines)
    stated = " ".join(hold_answer(held(1.0), "metric").lines)
    assert "1.00 mm longer" in stated and "hands cut" not in stated


def test_a_joint_with_a_fault_is_not_planned_with(monkeypatch: pytest.MonkeyPatch) -> None:
    fault = judgement_of([notice("few", "barrel", Severity.FAULT)])
    monkeypatch.setattr("helix.studies.judge.judge_held", lambda _: fault)
    head = load_head(held(), "metric")
    assert head.short == "Do not plan with it" and "if it holds" in head.rest


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_the_report_is_plain_text_of_the_width(units: str) -> None:
    text = document_text(hold_document(held(), units, charts=True))
    assert text.isascii() and "nan" not in re.findall(r"[a-z]+", text)
    assert max(len(line) for line in text.splitlines()) <= 100
    assert "Two wires worked as one" in text and "Slack against load" in text and "Stiffness" in text


def test_inch_and_metric_say_the_same_loads() -> None:
    loads = [
        [float(load) for load in re.findall(r"([\d.]+) (?:N|lbf)\b", " ".join(hold_answer(held(0.5), units).lines))]
        for units in ("metric", "inch")
    ]
    assert len(loads[0]) == len(loads[1]) == 3
    for newton, pound in zip(*loads, strict=True):
        assert newton == pytest.approx(pound * N_PER_LBF, rel=5e-3)


def test_the_chart_is_drawn_from_the_rows() -> None:
    from matplotlib.figure import Figure

    load = held(0.5).pair.load
    chart, figure = slack_chart(load, "metric"), Figure()
    chart.draw(figure)
    drawn = {line.get_label(): line for line in figure.axes[0].get_lines()}
    assert list(drawn["plan with"].get_ydata()) == [row.plan_with_n for row in load.rows]
    assert list(drawn["expected to break"].get_xdata()) == [row.slack_mm for row in load.rows]
    assert charts_file((chart,), ".svg", "two") == charts_file((chart,), ".svg", "two")
