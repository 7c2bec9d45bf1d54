"""The chart of every piece of a bench; it draws into a figure, and prints well in grey."""

from __future__ import annotations

from typing import Any, Final

from helix.output.report.chart_style import BAND, INK, JOINT, MARKS, PLAIN
from helix.output.report.document import Chart
from helix.output.words.findings.finding_words import explain
from helix.studies.pulls.pull_groups import Group
from helix.studies.pulls.pulls import PullsResult
from helix.units import N_PER_LBF, UnitSystem

_MOST_ROWS: Final = 14


def scale_of(units: UnitSystem) -> tuple[float, str]:
    """Size of the unit of load in N, and its name."""
    return (N_PER_LBF, "lbf") if units == "inch" else (1.0, "N")


def strip_chart(result: PullsResult, units: UnitSystem) -> Chart:
    """Every piece of every group, with means, bounds, rated load and, where there is one, the predicted band."""
    groups = result.groups[:_MOST_ROWS]
    rated = {group.name: group.efficiency.rated_n for group in result.groups}
    predicted = {band.group: band for band in result.predicted}
    factor, unit = scale_of(units)

    def draw(figure: Any) -> None:
        axes = figure.add_subplot()
        figure.subplots_adjust(left=0.17, right=0.975, top=0.98, bottom=room(figure, 24.0))
        for row, group in enumerate(groups):
            if group.name in predicted:
                band = predicted[group.name]
                axes.fill_between(
                    [band.low_n / factor, band.high_n / factor], row - 0.46, row + 0.46, color=BAND, linewidth=0
                )
                axes.plot([band.nominal_n / factor] * 2, [row - 0.46, row + 0.46], color="#bdbdbd", linewidth=0.8)
            _pieces(axes, group, row, factor)
            _bars(axes, group, row, factor)
            if rated[group.name]:
                at = float(rated[group.name] or 0.0) / factor
                axes.plot([at, at], [row - 0.46, row + 0.46], color=INK, linewidth=1.1, linestyle=(0, (1, 1.2)))
        axes.set_xlim(*_span(groups, [rated[g.name] for g in groups], factor))
        axes.set_yticks(range(len(groups)), [f"{short(g.name)}\n{g.n} pieces" for g in groups])
        axes.set_ylim(len(groups) - 0.45, -0.55)
        axes.grid(axis="y", visible=False)
        for row in range(1, len(groups)):
            axes.axhline(row - 0.5, color="#bbbbbb", linewidth=0.5)
        axes.set_xlabel(f"load, {unit}")
        used: set[str] = {p.ending for g in groups for p in g.pieces}
        handles = _legend(used, any(rated.values()), bool(predicted), groups)
        figure.legend(handles=handles, loc="lower left", bbox_to_anchor=(0.02, 0.0), ncols=4, columnspacing=1.4)

    left = (
        f" Only the first {_MOST_ROWS} of {len(result.groups)} groups are shown."
        if len(result.groups) > len(groups)
        else ""
    )
    grey = ""
    if predicted:
        grey = (
            f" Grey band: predicted, {'; '.join(dict.fromkeys(explain(b.by, units).what for b in result.predicted))}."
        )
    caption = (
        "Each mark is one piece. Bars: mean with its 95 % interval, plain and for one joint corrected for two a piece. "
        f"Short upright line: what 95 % of all such pieces exceed, with 95 % confidence (95/95).{grey}{left}"
    )
    height = 34.0 + 20.0 * len(groups)
    return Chart("pieces", "Every piece", caption, draw, min(height, 230.0), ("M1", "M2", "M3", "M4", "M5"))


def _span(groups: tuple[Group, ...], rated: list[float | None], factor: float) -> tuple[float, float]:
    """Ends of the axis of loads: every piece and limit; a predicted band is cut off where it goes beyond."""
    at = [p.load_n for g in groups for p in g.pieces] + [r for r in rated if r]
    for group in groups:
        for population in group.populations:
            bound = population.tolerance_95_95_n
            at += [bound] if bound is not None and bound > 0.4 * population.mean_n else []
        at += [v for v in (group.joint.mean_n.low, group.joint.mean_n.high) if v is not None and v < 2.0 * max(at)]
    margin = 0.04 * (max(at) - min(at)) or 0.05 * max(at)
    return (min(at) - margin) / factor, (max(at) + margin) / factor


def room(figure: Any, mm: float) -> float:
    """A height in mm as a share of the figure's."""
    share: float = mm / (figure.bbox.height / figure.dpi * 25.4)
    return share


def _pieces(axes: Any, group: Group, row: int, factor: float) -> None:
    """Marks of one group, set apart up and down so that none hides another."""
    order = sorted(group.pieces, key=lambda p: p.load_n)
    out = {s.row for s in group.standing}
    many = len(order) > 80
    for k, piece in enumerate(order):
        shift = (k * 0.6180339887498949) % 1.0 - 0.5 if many else ((k % 3) - 1) * 0.33
        y = row - 0.2 + 0.28 * shift
        _mark(axes, piece.load_n / factor, y, piece.ending, 2.2 if many else 4.2)
        if piece.row in out:
            axes.plot(
                piece.load_n / factor,
                y,
                "o",
                markersize=9.5,
                markerfacecolor="none",
                markeredgecolor=INK,
                markeredgewidth=0.8,
            )
            axes.annotate(short(piece.id), (piece.load_n / factor, y), (7, 3), textcoords="offset points", fontsize=7)


def _mark(axes: Any, x: Any, y: Any, ending: str, size: float) -> None:
    shape, filled, _ = MARKS[ending]
    face = "#4a4a4a" if filled else "white"
    axes.plot(
        x, y, shape, linestyle="none", markersize=size, markerfacecolor=face, markeredgecolor=INK,
        markeredgewidth=1.1 if shape == "x" else 0.7,
    )  # fmt: skip


def _bars(axes: Any, group: Group, row: int, factor: float) -> None:
    """Mean with interval of each population, its bound, and the single joint's mean."""
    for k, plain in enumerate(group.populations):
        y = row + 0.12 + 0.11 * k
        style = "-" if plain.mode == "broke" else (0, (3, 1.2))
        if plain.mean_low_n is not None and plain.mean_high_n is not None:
            axes.plot(
                [plain.mean_low_n / factor, plain.mean_high_n / factor],
                [y, y],
                color=PLAIN,
                linewidth=3.2,
                linestyle=style,
            )
        axes.plot(plain.mean_n / factor, y, "|", color=PLAIN, markersize=9, markeredgewidth=1.6)
        bound = plain.tolerance_95_95_n
        if bound is not None and bound > 0.0 and bound > 0.4 * plain.mean_n:
            axes.plot([bound / factor] * 2, [y - 0.07, y + 0.07], color=PLAIN, linewidth=1.4)
            axes.plot([bound / factor, plain.mean_n / factor], [y, y], color=PLAIN, linewidth=0.5)
    joint = group.joint.mean_n
    if not group.control and joint.value is not None and joint.low is not None and joint.high is not None:
        y = row + 0.36
        axes.plot([joint.low / factor, joint.high / factor], [y, y], color=JOINT, linewidth=1.6)
        axes.plot(
            joint.value / factor, y, "D", color=JOINT, markersize=4.6, markerfacecolor="white", markeredgewidth=1.3
        )


def _legend(used: set[str], rated: bool, predicted: bool, groups: tuple[Group, ...]) -> list[Any]:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    handles: list[Any] = []
    for ending, (shape, filled, text) in MARKS.items():
        if ending in used:
            face = "#4a4a4a" if filled else "white"
            handles.append(
                Line2D(
                    [],
                    [],
                    marker=shape,
                    linestyle="none",
                    markersize=4.5,
                    markerfacecolor=face,
                    markeredgecolor=INK,
                    label=text,
                )
            )
    if any(group.standing for group in groups):
        handles.append(
            Line2D(
                [],
                [],
                marker="o",
                linestyle="none",
                markersize=8,
                markerfacecolor="none",
                markeredgecolor=INK,
                label="stands out",
            )
        )
    modes = {plain.mode for group in groups for plain in group.populations}
    if modes != {"unwound"}:
        handles.append(Line2D([], [], color=PLAIN, linewidth=3.2, label="mean, plain"))
    if "unwound" in modes:
        handles.append(Line2D([], [], color=PLAIN, linewidth=3.2, linestyle=(0, (3, 1.2)), label="mean, unwound"))
    handles.append(
        Line2D(
            [],
            [],
            color=JOINT,
            linewidth=1.6,
            marker="D",
            markersize=4.5,
            markerfacecolor="white",
            label="mean, one joint",
        )
    )
    if rated:
        handles.append(Line2D([], [], color=INK, linewidth=1.1, linestyle=(0, (1, 1.2)), label="rated load"))
    if predicted:
        handles.append(Patch(facecolor=BAND, label="predicted"))
    return handles


def short(text: str, most: int = 18) -> str:
    return text if len(text) <= most else text[: most - 3] + "..."
