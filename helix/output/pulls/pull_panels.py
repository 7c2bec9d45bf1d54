"""Charts in panels: probability plots, curves, unwinding by turns, comparison of groups."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from helix.output.pulls.pull_charts import room, scale_of, short
from helix.output.pulls.pull_sentences import unwinding_words
from helix.output.report.chart_style import INK, JOINT, PLAIN
from helix.output.report.document import Chart
from helix.statistics.samples import plotting_positions
from helix.studies.pulls.pull_compare import CompareResult
from helix.studies.pulls.pull_curves import PieceCurve
from helix.studies.pulls.pull_groups import Group, mode_of
from helix.studies.pulls.pull_unwinding import Unwinding
from helix.studies.pulls.pulls import PullsResult
from helix.units import UnitSystem

_MOST_PANELS: Final = 9


def probability_chart(result: PullsResult, units: UnitSystem) -> Chart | None:
    """Pieces on normal paper, a panel a group, with the fitted joint's line for the weaker of two."""
    groups = [g for g in result.groups if sum(mode_of(p) == "broke" for p in g.pieces) >= 4][:_MOST_PANELS]
    if not groups:
        return None
    factor, unit = scale_of(units)
    across = min(3, len(groups))
    down = math.ceil(len(groups) / across)

    def draw(figure: Any) -> None:
        from scipy.special import ndtri

        ticks = np.array([0.02, 0.05, 0.1, 0.2, 0.5, 0.8, 0.9, 0.95, 0.98])
        panels = figure.subplots(down, across, squeeze=False)
        figure.subplots_adjust(
            left=0.07, right=0.985, top=1.0 - room(figure, 7.0), bottom=room(figure, 12.0), wspace=0.2, hspace=0.42
        )
        for k, axes in enumerate(panels.flat):
            if k >= len(groups):
                axes.set_visible(False)
                continue
            _paper(axes, groups[k], factor)
            axes.set_yticks(ndtri(ticks), [f"{100 * t:g}" for t in ticks])
            axes.set_ylim(ndtri(0.012), ndtri(0.988))
            axes.set_title(short(groups[k].name, 26), loc="left")
            axes.locator_params(axis="x", nbins=5)
            if k % across == 0:
                axes.set_ylabel("% of pieces below")
            if k + across >= len(groups):
                axes.set_xlabel(f"load, {unit}")

    caption = (
        "Marks: pieces that failed at a joint (straight wire: that broke), at Kaplan-Meier positions. Ticks at the foot: "
        "pieces that only say 'at least this'. Line: what the fitted single joint gives for the weaker of two. "
        "Marks along the line: a normal joint describes them."
    )
    return Chart("probability", "Probability plot", caption, draw, 18.0 + 52.0 * down, ("M4", "M16"))


def _paper(axes: Any, group: Group, factor: float) -> None:
    from scipy.special import ndtr, ndtri

    failed = [p.ending == "joint" or (group.control and p.ending == "clear") for p in group.pieces]
    loads = np.array([p.load_n for p in group.pieces])
    x, p = plotting_positions(loads, failed)
    axes.plot(
        x / factor, ndtri(p), "o", markersize=4, markerfacecolor="#4a4a4a", markeredgecolor=INK, markeredgewidth=0.6
    )
    others = loads[~np.array(failed)]
    axes.plot(others / factor, np.full(others.size, ndtri(0.016)), "|", color=INK, markersize=7)
    mean, sd = group.joint.mean_n.value, group.joint.sd_n.value
    if mean is None or sd is None or not sd > 0.0:
        return
    at = np.linspace(min(loads.min(), mean - 3 * sd), max(loads.max(), mean + 2 * sd), 200)
    count = 1.0 if group.control else float(np.mean([max(1, q.joints) for q in group.pieces]))
    with np.errstate(divide="ignore"):
        below = 1.0 - ndtr(-(at - mean) / sd) ** count
        axes.plot(at / factor, ndtri(np.clip(below, 1e-9, 1 - 1e-9)), color=PLAIN if group.control else JOINT)


def curve_chart(curves: Sequence[PieceCurve], units: UnitSystem) -> Chart | None:
    """Load against extension of every piece that has a curve, with peak, slip and unwinding onset."""
    if not curves:
        return None
    factor, unit = scale_of(units)
    length, length_unit = (25.4, "in") if units == "inch" else (1.0, "mm")
    groups = list(dict.fromkeys(c.group for c in curves))[:_MOST_PANELS]
    across = min(3, len(groups))
    down = math.ceil(len(groups) / across)

    def draw(figure: Any) -> None:
        from matplotlib.lines import Line2D

        panels = figure.subplots(down, across, squeeze=False, sharey=True)
        figure.subplots_adjust(
            left=0.08, right=0.985, top=1.0 - room(figure, 7.0), bottom=room(figure, 19.0), wspace=0.1, hspace=0.4
        )
        greys = ["#111111", "#7a7a7a", "#3d3d3d", "#a0a0a0"]
        for k, axes in enumerate(panels.flat):
            if k >= len(groups):
                axes.set_visible(False)
                continue
            mine = [c for c in curves if c.group == groups[k]]
            for j, curve in enumerate(mine[:12]):
                colour, style = greys[j % 4], ("-", "--", "-.")[j // 4 % 3]
                axes.plot(
                    curve.extension_mm / length, curve.load_n / factor, color=colour, linewidth=0.9, linestyle=style
                )
                _events(axes, curve, factor, length)
            axes.set_title(f"{short(groups[k], 20)} ({len(mine)})", loc="left")
            axes.set_xlabel(f"extension, {length_unit}")
            if k % across == 0:
                axes.set_ylabel(f"load, {unit}")
        handles = [
            Line2D([], [], marker="^", linestyle="none", color=INK, markersize=5, label="peak"),
            Line2D(
                [],
                [],
                marker="v",
                linestyle="none",
                markerfacecolor="white",
                markeredgecolor=INK,
                markersize=5,
                label="slip: load falls",
            ),
            Line2D(
                [],
                [],
                marker="o",
                linestyle="none",
                markerfacecolor="white",
                markeredgecolor=JOINT,
                markersize=6,
                label="unwinding starts",
            ),
        ]
        figure.legend(handles=handles, loc="lower left", bbox_to_anchor=(0.05, 0.0), ncols=3)

    caption = "Events are read from the curves by the definitions of M17; extension includes that of grips and machine."
    return Chart("curves", "Load against extension", caption, draw, 24.0 + 50.0 * down, ("M17",))


def _events(axes: Any, curve: PieceCurve, factor: float, length: float) -> None:
    events = curve.events
    axes.plot(events.peak_at / length, events.peak / factor, "^", color=INK, markersize=4.5)
    for drop in events.drops[:20]:
        axes.plot(
            drop.at / length, drop.before / factor, "v", markerfacecolor="white", markeredgecolor=INK, markersize=4.5
        )
    if curve.onset:
        at, load = curve.onset
        axes.plot(
            at / length,
            load / factor,
            "o",
            markerfacecolor="none",
            markeredgecolor=JOINT,
            markersize=8,
            markeredgewidth=1.4,
        )


def unwinding_chart(unwinding: Unwinding) -> Chart:
    """Share that unwound by turns, a mark for each count of wraps, with exact intervals and the fitted chance."""
    wraps = sorted({c.wraps for c in unwinding.cells})
    turns = sorted({c.turns for c in unwinding.cells})

    def draw(figure: Any) -> None:
        axes = figure.add_subplot()
        figure.subplots_adjust(left=0.08, right=0.975, top=0.96, bottom=room(figure, 22.0))
        for k, w in enumerate(wraps):
            cells = [c for c in unwinding.cells if c.wraps == w]
            x = np.array([c.turns for c in cells]) + 0.05 * (k - (len(wraps) - 1) / 2)
            value, low, high = (
                np.array([getattr(c.share, end) for c in cells], dtype=float) for end in ("value", "low", "high")
            )
            grey, mark = ["#111111", "#7a7a7a", "#3d3d3d", "#a0a0a0"][k % 4], "os^Dv<>"[k % 7]
            axes.errorbar(
                x, value, yerr=[value - low, high - value], fmt=mark, color=grey, markersize=5, capsize=3,
                linewidth=1, label=f"{w:g} wraps: pieces",
            )  # fmt: skip
            line = _fitted(unwinding, np.linspace(turns[0], turns[-1], 101), w)
            if line is not None:
                style = ("-", "--", "-.", ":")[k % 4]
                at = np.linspace(turns[0], turns[-1], 101)
                axes.plot(at, line, color=grey, linestyle=style, label=f"{w:g} wraps: fitted chance")
        axes.set_xlabel("even turns of the twist")
        axes.set_ylabel("share that unwound")
        axes.set_ylim(-0.03, 1.03)
        axes.set_xticks(turns)
        figure.legend(loc="lower left", bbox_to_anchor=(0.05, 0.0), ncols=4)

    caption = f"Marks: share of the pieces, with exact limits at 95 %. {unwinding_words(unwinding)}"
    return Chart(f"unwinding-{unwinding.what}", f"Unwinding: {unwinding.what}", caption, draw, 80.0, ("M9", "M11"))


def _fitted(unwinding: Unwinding, turns: Any, wraps: float) -> Any:
    """Fitted chance at these turns; None without a fit."""
    if unwinding.constant is None:
        return None
    logit = np.full(turns.shape, unwinding.constant)
    for factor, count in ((unwinding.per_turn.value, turns), (unwinding.per_wrap.value, wraps)):
        if factor is not None:
            logit = logit + math.log(factor) * count
    return 1.0 / (1.0 + np.exp(-logit))


def compare_chart(result: CompareResult, units: UnitSystem) -> Chart | None:
    """Difference of every pair with its interval."""
    pairs = [c for c in result.comparisons if c.difference_n.low is not None][:40]
    if not pairs:
        return None
    factor, unit = scale_of(units)

    def draw(figure: Any) -> None:
        axes = figure.add_subplot()
        figure.subplots_adjust(left=0.36, right=0.975, top=0.985, bottom=room(figure, 20.0))
        for k, pair in enumerate(pairs):
            d = pair.difference_n
            shown = pair.effect in ("weaker", "stronger")
            axes.plot(
                [float(d.low or 0) / factor, float(d.high or 0) / factor],
                [k, k],
                color=PLAIN,
                linewidth=2.6 if shown else 1.2,
            )
            axes.plot(
                float(d.value or 0) / factor,
                k,
                "o",
                color=PLAIN,
                markersize=5,
                markerfacecolor=PLAIN if shown else "white",
            )
            j = pair.joint_difference_n
            if j.value is not None:
                axes.plot(
                    [float(j.low or 0) / factor, float(j.high or 0) / factor],
                    [k + 0.25] * 2,
                    color=JOINT,
                    linewidth=1.2,
                )
                axes.plot(j.value / factor, k + 0.25, "D", color=JOINT, markersize=4, markerfacecolor="white")
        axes.axvline(0.0, color=INK, linewidth=0.9)
        axes.set_yticks(range(len(pairs)), [f"{short(p.first, 22)} less {short(p.second, 22)}" for p in pairs])
        axes.set_ylim(len(pairs) - 0.4, -0.6)
        axes.grid(axis="y", visible=False)
        axes.set_xlabel(f"difference, {unit} (95 % interval of each pair on its own)")
        from matplotlib.lines import Line2D

        handles = [
            Line2D(
                [], [], color=PLAIN, linewidth=2.6, marker="o", markersize=5, label="shown, all pairs counted (Holm)"
            ),
            Line2D(
                [], [], color=PLAIN, linewidth=1.2, marker="o", markersize=5, markerfacecolor="white", label="not shown"
            ),
            Line2D(
                [], [], color=JOINT, linewidth=1.2, marker="D", markersize=4, markerfacecolor="white", label="one joint"
            ),
        ]
        figure.legend(handles=handles, loc="lower left", bbox_to_anchor=(0.02, 0.0), ncols=3)

    caption = "Loads of what mostly happened in each group: breaking or unwinding."
    return Chart(
        "comparison",
        "Groups against each other",
        caption,
        draw,
        26.0 + min(11.0, 170.0 / len(pairs)) * len(pairs),
        ("M12", "M15"),
    )
