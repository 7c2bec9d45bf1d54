"""Slack against load of two wires worked as one, as a chart."""

from __future__ import annotations

from typing import Any

from helix.mechanics import limits
from helix.output.report.chart_style import BAND, INK, JOINT, PLAIN, QUIET
from helix.output.report.document import Chart
from helix.studies.hold.pair.pair_load import PairLoad
from helix.units import MM_PER_INCH, N_PER_LBF, UnitSystem, format_length


def slack_chart(load: PairLoad, units: UnitSystem) -> Chart:
    """What the pair holds, by how much longer one wire is."""
    inch = units == "inch"
    per_n, force = (N_PER_LBF, "lbf") if inch else (1.0, "N")
    per, unit = (MM_PER_INCH, "in") if inch else (1.0, "mm")

    def draw(figure: Any) -> None:
        axes = figure.add_subplot()
        slack = [row.slack_mm / per for row in load.rows]
        expected, planned, yields = (
            [getattr(row, name) / per_n for row in load.rows] for name in ("expected_n", "plan_with_n", "yielding_n")
        )
        axes.fill_between(
            slack, expected, yields, color=BAND, label="more, if the wire yields before it breaks (assumed)"
        )
        axes.plot(slack, expected, color=INK, label="expected to break")
        axes.plot(slack, planned, color=JOINT, linewidth=1.8, label="plan with")
        axes.axhline(
            load.reckoned_n / per_n, color=QUIET, linestyle=":", label="twice one wire (common practice, no source)"
        )
        axes.axhline(
            load.one_plan_with_n / per_n, color=QUIET, linestyle="--", linewidth=0.9, label="one wire, plan with"
        )
        axes.axvline(load.most_slack_mm / per, color=PLAIN, linewidth=1.0)
        axes.annotate(
            f"equal to within {format_length(load.most_slack_mm, units)}", (load.most_slack_mm / per, 0.0), xytext=(4, 6),
            textcoords="offset points", rotation=90, color=PLAIN, va="bottom",
        )  # fmt: skip
        if load.slack_stated:
            axes.plot([load.slack_mm / per], [load.plan_with_n / per_n], marker="o", color=JOINT, markersize=5.0)
        axes.set_xlim(0.0, max(slack[-1], load.slack_mm / per))
        axes.set_ylim(0.0, 1.12 * expected[0])
        axes.set_xlabel(
            f"one wire longer by, {unit}, on {format_length(load.free_length_mm, units)} between the joints"
        )
        axes.set_ylabel(f"load of the pair, {force}")
        axes.legend(loc="lower right")
        figure.subplots_adjust(left=0.1, right=0.98, top=0.96, bottom=0.15)

    caption = (
        f"If it does not unwind, which no model says of four strands. Upright line: {100.0 * limits.PAIR_LOSS:g} % of the load to plan with is lost (limit assumed). "
        "Where the lines run flat the shorter wire breaks before the longer one is taut: one wire is left. An estimate."
    )
    return Chart("pair-slack", "Slack against load", caption, draw, height_mm=82.0)
