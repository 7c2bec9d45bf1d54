"""The chart of a link: what the crossing leaves of the wire over bars from thin to thick, with the limits of the verdict."""

from __future__ import annotations

from typing import Any

import numpy as np

from helix.findings import Severity
from helix.mechanics import limits
from helix.mechanics.bends.crossing import least_bar
from helix.output.report.chart_style import BAND, INK, JOINT, PLAIN, QUIET
from helix.output.report.document import Chart
from helix.output.words.link_words import named_joints, other_words
from helix.output.words.sentence_format import ASSUMED, TESTED
from helix.studies.link.link_result import LinkedJoint, LinkResult
from helix.units import MM_PER_INCH, UnitSystem

_TICKS_MM = (0.1, 0.2, 0.3, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 20.0, 30.0, 50.0, 100.0, 200.0, 500.0)
_TICKS_IN = (0.005, 0.01, 0.02, 0.03, 0.05, 0.1, 0.2, 0.3, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)


def bars_chart(result: LinkResult, units: UnitSystem) -> Chart:
    """Strength left against the diameter of what the eye bears on, one panel a kind of joint."""
    joints = named_joints(result)
    unit, per = ("in", MM_PER_INCH) if units == "inch" else ("mm", 1.0)

    def draw(figure: Any) -> None:
        panels = figure.subplots(1, len(joints), sharey=True, squeeze=False)[0]
        for k, (axes, (name, joint)) in enumerate(zip(panels, joints, strict=True)):
            _panel(axes, joint, per, other_words(result), k == 0)
            axes.set_xlabel(f"diameter of what the eye bears on, {unit}")
            axes.set_xticks(
                [tick for tick in (_TICKS_IN if units == "inch" else _TICKS_MM) if _within(joint, tick * per)]
            )
            axes.xaxis.set_major_formatter("{x:g}")
            if name:
                axes.set_title(name)
        panels[0].set_ylabel("of the straight wire's strength")
        panels[0].legend(loc="lower right")
        figure.subplots_adjust(left=0.09, right=0.98, top=0.92 if joints[0][0] else 0.97, bottom=0.14, wspace=0.06)

    caption = (
        "Line and band: what the bend leaves of the wire, by ductility. Orange: load at which the joint breaks, there or at its weakest "
        f"place. Dotted: limits of the bend, {limits.STRAIN_OK:.2f} ({TESTED}) and {limits.STRAIN_CAUTION:.2f} ({ASSUMED}). "
        "An estimate, not tested; wire pressed flat on wire is not in it."
    )
    return Chart("link-bars", "Strength left against the ring's diameter", caption, draw, height_mm=84.0)


def _within(joint: LinkedJoint, mm: float) -> bool:
    return joint.bars[0].bar_mm <= mm <= joint.bars[-1].bar_mm


def _panel(axes: Any, joint: LinkedJoint, per: float, other: str, labelled: bool) -> None:
    bars = joint.bars
    at = np.array([bar.bar_mm for bar in bars]) / per
    low, middle, high = (np.array([getattr(bar.leaves, name) for bar in bars]) for name in ("low", "nominal", "high"))
    axes.set_xscale("log")
    axes.minorticks_off()
    axes.fill_between(at, low, high, color=BAND, label="left at the bend, by ductility" if labelled else None)
    axes.plot(at, middle, color=INK, label="the same, nominal" if labelled else None)
    axes.plot(
        at, [bar.of_straight for bar in bars], color=JOINT, label="load of the joint, nominal" if labelled else None
    )
    edges = [
        float(least_bar(joint.recipe.wire.diameter_mm, limit)) / per
        for limit in (limits.STRAIN_CAUTION, limits.STRAIN_OK)
    ]
    for edge in edges:
        if at[0] <= edge <= at[-1]:
            axes.axvline(edge, color=PLAIN, linestyle=":")
    for word, start, stop in zip(
        (Severity.SHARP, Severity.CAUTION, Severity.OK), (at[0], *edges), (*edges, at[-1]), strict=True
    ):
        if stop > start:
            axes.text(np.sqrt(start * stop), 1.06, word.word, ha="center", va="bottom", fontsize=7.5, color=QUIET)
    here = int(np.argmin(np.abs(np.log(at * per / joint.over_mm))))
    axes.plot([joint.over_mm / per], [joint.leaves.nominal], marker="o", color=INK, zorder=5)
    axes.annotate(
        other, (joint.over_mm / per, joint.leaves.nominal), xytext=(5, -12 if here < len(bars) - 8 else -14),
        textcoords="offset points", ha="left" if here < len(bars) - 8 else "right", fontsize=7.5, color=INK,
    )  # fmt: skip
    axes.set_xlim(at[0], at[-1])
    axes.set_ylim(0.0, 1.15)
