"""Charts of the validation report: our curve, and the other side's numbers on it as points.

A test holds every point to the curve within its tolerance, so a chart cannot show an agreement that is not tested.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from helix.geometry.twist.packing import zero_twist
from helix.geometry.twist.strands import even_radius, touching_pitch
from helix.mechanics.bends.bending import moment_ratio
from helix.mechanics.bends.first_bend import wound_strain
from helix.statistics.samples import tolerance_factor

FOLDER = Path(__file__).resolve().parent / "charts"


@dataclass(frozen=True)
class Points:
    """Numbers of the other side: (x, y), who says so, and how near ours must be."""

    source: str
    values: tuple[tuple[float, float], ...]
    tolerance: float


@dataclass(frozen=True)
class Chart:
    """One chart: `curves` are (legend, function), drawn from `low` to `high`; points lie on the first one."""

    name: str
    title: str
    x_label: str
    y_label: str
    low: float
    high: float
    curves: tuple[tuple[str, Callable[[float], float]], ...]
    points: tuple[Points, ...]
    split: tuple[float, str] | None = None
    steps: int = 180


def turns_per_strand(pitch_angle_deg: float, strands: int) -> float:
    """Turns in a length of strand of one diameter: 2 pi a turns = sin of the lay angle."""
    lay = _lay_of(pitch_angle_deg, strands)
    return 1.0 / math.hypot(lay, 2.0 * math.pi * even_radius(lay, strands))


@cache
def _lay_of(pitch_angle_deg: float, strands: int) -> float:
    """Return the lay whose centre lines rise at an angle, by halving."""
    low, high = float(strands) * (1.0 + 1e-9), 60.0
    wanted = math.tan(math.radians(pitch_angle_deg))
    for _ in range(80):
        middle = 0.5 * (low + high)
        if middle / (2.0 * math.pi * even_radius(middle, strands)) < wanted:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def radius_by_search(lay: float) -> float:
    """Return the radius of two touching strands by a search for their least distance; no derivative is used."""
    low, high = 0.5, 4.0
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _least_distance(middle, lay) < 1.0 - 1e-13 else (low, middle)
    return 0.5 * (low + high)


def _least_distance(radius: float, lay: float) -> float:
    first, last = 0.0, math.pi
    for _ in range(4):
        turning = np.linspace(first, last, 401)
        distance = np.hypot(2.0 * radius * np.cos(turning / 2.0), turning * lay / (2.0 * math.pi))
        nearest = int(distance.argmin())
        first, last = turning[max(0, nearest - 1)], turning[min(400, nearest + 1)]
    return float(distance.min())


def moment_by_fibres(ratio: float) -> float:
    """Return moment over yield moment at a multiple of the yield curvature: a section of 20,000 fibres."""
    y = (np.arange(20_000) + 0.5) / 20_000
    stress = np.minimum(1.0, ratio * y)
    return float((y * stress * np.sqrt(1.0 - y * y)).sum() / (y * y * np.sqrt(1.0 - y * y)).sum())


def strain_by_differences(throat_deg: float) -> float:
    """Return the strain of two touching legs wound at half a throat: curvature of the helix by differences."""
    tangent = math.tan(math.radians(throat_deg / 2.0))
    low, high = 2.0 + 1e-6, 60.0
    for _ in range(50):
        lay = 0.5 * (low + high)
        low, high = (lay, high) if 2.0 * math.pi * radius_by_search(lay) / lay > tangent else (low, lay)
    a, step = radius_by_search(lay), 1e-3
    t = np.array([-step, 0.0, step])
    before, here, after = np.column_stack((a * np.cos(t), a * np.sin(t), lay * t / (2.0 * math.pi)))
    return 0.5 * float(np.linalg.norm(before - 2.0 * here + after) / np.dot(after - here, after - here))


@cache
def charts() -> tuple[Chart, ...]:
    """Return every chart; what the points take to compute is spent here."""
    return (
        Chart(
            "touching-pitch", "Pitch of a touching coil on a round core", "core diameter [d]", "pitch [d]", 0.0, 9.0,
            (("helix", lambda core: touching_pitch((core + 1.0) / 2.0)),),
            (
                Points("S. Przybyl & P. Pieranski 2001, from memory: about 1.003", ((3.0, 1.003),), 5e-4),
                Points(
                    "independent calculation",
                    ((1.0, 1.012939), (2.0, 1.005679), (3.0, 1.003182), (5.0, 1.001410), (9.0, 1.000507)), 5e-7,
                ),
            ),
        ),
        Chart(
            "strand-radius", "Radius of two touching strands: on the axis up to 45 deg, off it beyond", "lay [d]",
            "radius of a strand's centre line [d]", 2.05, 6.0, (("helix", even_radius),),
            (Points("search of the least distance", tuple((lay, radius_by_search(lay)) for lay in (2.1, 2.3, 2.6, 2.9, 3.1, 4.0, 5.0)), 1e-9),),
            split=(math.pi, "45 deg"),
        ),
        Chart(
            "zero-twist", "Turns that a length of strand carries: most at zero twist", "pitch angle [deg]",
            "turns a diameter of strand", 30.0, 75.0,
            (("two strands", lambda angle: turns_per_strand(angle, 2)), ("three strands", lambda angle: turns_per_strand(angle, 3))),
            (
                Points(
                    "top of the curve: J. Olsen & J. Bohr, arXiv 1003.5358, abstract: 39.4 deg",
                    ((39.4, 1.0 / math.hypot(zero_twist(2).lay, 2.0 * math.pi * zero_twist(2).radius)),), 1e-6,
                ),
            ),
        ),
        Chart(
            "bend-moment", "Moment of a round wire bent past yield", "curvature over yield curvature",
            "moment over yield moment", 1.0, 25.0,
            (("helix", moment_ratio), ("fully plastic, 16/(3 pi)", lambda _: 16.0 / (3.0 * math.pi))),
            (Points("20,000 fibres", tuple((k, moment_by_fibres(k)) for k in (1.5, 2.0, 3.0, 5.0, 10.0, 20.0)), 1e-6),),
        ),
        Chart(
            "first-bend", "Strain of the first bend against the throat", "throat [deg]", "outer-fibre strain", 20.0, 115.0,
            (("helix", lambda throat: float(wound_strain(math.radians(throat / 2.0)))), ("wrapping test, 0.50", lambda _: 0.5)),
            (Points("search and differences", tuple((t, strain_by_differences(t)) for t in (40.0, 76.0, 90.0, 100.0, 110.0)), 1e-6),),
            split=(90.0, "90 deg"),
        ),
        Chart(
            "tolerance-factors", "Factor for a load that 90 % hold, with 95 % confidence", "pieces", "factor k", 3.0, 40.0,
            (("helix", lambda n: tolerance_factor(round(n), 0.90, 0.95)),),
            (
                Points(
                    "tables of one-sided normal tolerance factors, from memory",
                    ((5.0, 3.407), (10.0, 2.355), (20.0, 1.926)), 5e-4,
                ),
            ),
            steps=37,
        ),
    )  # fmt: skip


def svg(chart: Chart) -> str:
    """Return a chart as SVG, the same bytes for the same numbers."""
    from io import StringIO

    from matplotlib import rc_context
    from matplotlib.figure import Figure

    with rc_context({"svg.hashsalt": chart.name, "svg.fonttype": "none", "font.size": 9.0}):
        figure = Figure(figsize=(6.4, 3.4), layout="constrained")
        axes = figure.add_subplot()
        x = np.linspace(chart.low, chart.high, chart.steps + 1)
        for index, (legend, function) in enumerate(chart.curves):
            axes.plot(
                x,
                [function(value) for value in x],
                lw=1.4 if not index else 1.0,
                ls="-" if not index else "--",
                label=legend,
            )
        for marker, points in zip("osD", chart.points, strict=False):
            axes.plot(*zip(*points.values, strict=True), marker, mfc="none", ms=6, label=points.source)
        if chart.split is not None:
            at, text = chart.split
            axes.axvline(at, color="0.6", lw=0.8, ls=":")
            axes.annotate(
                text, (at, 0.9), xycoords=("data", "axes fraction"), xytext=(4, 0), textcoords="offset points"
            )
        axes.set(title=chart.title, xlabel=chart.x_label, ylabel=chart.y_label)
        axes.legend(frameon=False, fontsize=8)
        out = StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue()
