"""Charts of holding: models side by side, bends and strength, turns against wraps, sensitivities, the load path.

matplotlib is imported inside the functions only. Verdicts are words in the picture; inks keep apart in grey.
"""

from __future__ import annotations

import math
import textwrap
from typing import Any, Final

import numpy as np

from helix.data.practice import practice
from helix.mechanics import limits
from helix.mechanics.bends.retained import strain_of_turn
from helix.mechanics.bends.straightening import HARDENING, straightened_share
from helix.model.joint.section_names import SECTIONS, section_name
from helix.output.hold.hold_table_report import cell_end, cell_word
from helix.output.report.chart_style import BAND, INK, JOINT, PLAIN, QUIET
from helix.output.report.document import Chart
from helix.output.words.hold_words import LAYERS, model_name, place_words
from helix.studies.hold.hold_result import BreakHold, HoldResult
from helix.studies.hold.hold_table import HoldTable
from helix.studies.hold.places.load_path import LoadPath
from helix.studies.hold.sensitivity import Answer, Bar
from helix.studies.judge import load_to_plan
from helix.units import MM_PER_INCH, N_PER_LBF, UnitSystem, format_force

FILLS: Final = {
    "locks": "#cfe3f1",
    "marginal": "#f6dfa0",
    "unwinds": "#e08a5f",
    "no model": "#ffffff",
    "not pulled": "#ffffff",
}
_MOST_RADIUS_D = 3.0  # of a bend that is shown
_DASHES: Final = ("-", "--", ":")


def layers_charts(result: HoldResult, units: UnitSystem) -> tuple[Chart, ...]:
    """The load to plan with as each layer of evidence moves it, from the table to what is told; none where there is none, or none
    is to be planned with."""
    if not result.layers or load_to_plan(result).use == "do-not":
        return ()
    unit, per = ("lbf", N_PER_LBF) if units == "inch" else ("N", 1.0)
    names = [textwrap.fill(LAYERS[layer.name], 34) for layer in result.layers]

    def draw(figure: Any) -> None:
        axes = figure.add_subplot()
        before = 0.0
        for k, layer in enumerate(result.layers):
            after = layer.plan_with_n / per
            down = k > 0 and after < before
            axes.barh(
                k, after - before, left=before, height=0.55, color=JOINT if down else PLAIN, alpha=0.75,
                hatch="////" if down else None, edgecolor="#ffffff",
            )  # fmt: skip
            if k:
                axes.plot([before, before], [k - 1.0, k], color=QUIET, linewidth=0.8)
            moved = f"{after:.0f}" if k == 0 else f"{round(after - before):+d}" if round(after - before) else "0"
            axes.annotate(
                moved, (max(before, after), k), xytext=(3, 0), textcoords="offset points", va="center", color=INK
            )
            before = after
        axes.axvline(before, color=INK, linestyle="--", linewidth=1.0)
        axes.set_yticks(range(len(names)), names)
        axes.set_ylim(len(names) - 0.4, -0.6)
        axes.set_xlim(0.0, 1.15 * max(layer.plan_with_n for layer in result.layers) / per)
        axes.set_xlabel(f"plan with, {unit}")
        axes.grid(axis="y", visible=False)
        figure.subplots_adjust(left=0.34, right=0.98, top=0.97, bottom=0.2)

    caption = (
        "The load to plan with (19 of 20 pieces hold more), once each layer of evidence is in. Plain: the first layer, and what raises it; hatched: "
        "what lowers it. Dashed: what to plan with. An estimate."
    )
    return (
        Chart("hold-layers", "What each layer of evidence moves", caption, draw, height_mm=22.0 + 11.0 * len(names)),
    )


def models_chart(result: HoldResult, units: UnitSystem) -> Chart:
    """Where each model lets the joint unwind, against what the bends and the wire hold."""
    unit, per = ("lbf", N_PER_LBF) if units == "inch" else ("N", 1.0)

    def draw(figure: Any) -> None:
        axes = figure.add_subplot()
        wire, bends = result.wire.breaking_load_n, result.bends_leave_n
        most = 1.25 * wire.high / per
        axes.axvspan(bends.low / per, bends.high / per, color=BAND, zorder=0, label="what the bends leave")
        axes.axvline(bends.nominal / per, color=QUIET, linewidth=1.0, label="the same, nominal")
        axes.axvline(wire.nominal / per, color=INK, linestyle="--", linewidth=1.0, label="straight wire, nominal")
        if result.wire.rated_load_n is not None:
            axes.axvline(result.wire.rated_load_n / per, color=PLAIN, linestyle=":", linewidth=1.4, label="rated load")
        names = []
        for k, model in enumerate(result.models):
            names.append(model_name(model.key))
            if not model.applicable:
                axes.text(0.01 * most, k, f"no model: {model.not_applicable_because}", va="center", color=QUIET)
                continue
            at_n = model.unwinds_at_n
            low, at, high = (min(load / per, most) for load in (at_n.low, at_n.nominal, at_n.high))
            if low >= most:
                axes.text(0.99 * most, k, "locked", va="center", ha="right", color=JOINT)
                continue
            axes.plot([low, high], [k, k], color=JOINT, linewidth=5.0, alpha=0.45, solid_capstyle="butt")
            if at < most:
                axes.plot([at], [k], marker="o", color=JOINT, markersize=6.0)
            for load, marker in ((model.by_bending_n, "^"), (model.by_torsion_n, "v")):
                if model.by_bending_n != model.by_torsion_n and load / per < most:
                    axes.plot([load / per], [k], marker=marker, color=INK, markersize=4.5, fillstyle="none")
            if high >= most:
                axes.text(0.99 * most, k - 0.25, "to locked", va="center", ha="right", color=JOINT)
        axes.set_yticks(range(len(names)), names)
        axes.set_ylim(len(names) - 0.4, -0.6)
        axes.set_xlim(0.0, most)
        axes.set_xlabel(f"load, {unit}")
        axes.grid(axis="y", visible=False)
        axes.legend(loc="upper center", bbox_to_anchor=(0.45, -0.22), ncols=4)
        figure.subplots_adjust(left=0.2, right=0.98, top=0.96, bottom=0.32)

    caption = (
        "Orange: the load at which the tag would pull out, 19 of 20 pieces; dot: without scatter, nominal wire; triangle up: if "
        "the barrel gives way by bending, down: by torsion. Right of the grey band the wire breaks first."
    )
    return Chart("hold-models", "When it unwinds, by model", caption, draw, height_mm=70.0)


def bends_chart(result: HoldResult) -> Chart:
    """What a bend leaves of the wire, by its radius and by its turn, with the recipe's own bends."""
    low, nominal, high = HARDENING
    own = [bend for bend in result.breaks if bend.strain and bend.strain > 0.5 / _MOST_RADIUS_D]

    def draw(figure: Any) -> None:
        by_radius, by_turn = figure.subplots(1, 2, sharey=True)
        radius = np.linspace(0.45, _MOST_RADIUS_D, 300)
        strain = 0.5 / radius
        by_radius.fill_between(
            radius,
            straightened_share(strain, low),
            straightened_share(strain, high),
            color=BAND,
            label="hardening, low to high",
        )
        by_radius.plot(radius, straightened_share(strain, nominal), color=INK, label="nominal hardening")
        by_radius.axvline(0.5 / limits.STRAIN_OK, color=PLAIN, linestyle=":", label="wrapping test, strain 0.50")
        _mark(by_radius, [0.5 / (bend.strain or 1.0) for bend in own], own, _MOST_RADIUS_D)
        by_radius.set_xlabel("radius of the bend, d (by its strain)")
        by_radius.set_ylabel("share of the strength that is left")
        by_radius.set_xlim(0.45, _MOST_RADIUS_D)
        by_radius.legend(loc="lower right")
        turn = np.linspace(0.0, 120.0, 300)
        for dash, r in zip(_DASHES, (0.0, 0.7, 1.0), strict=True):
            left = straightened_share(strain_of_turn(np.radians(turn), r), nominal)
            by_turn.plot(turn, left, color=INK, linestyle=dash, label="a kink" if r == 0.0 else f"radius {r:g} d")
        kink = strain_of_turn(np.radians(turn), 0.0)
        by_turn.fill_between(turn, straightened_share(kink, low), straightened_share(kink, high), color=BAND)
        _mark(by_turn, [bend.turn_deg or math.inf for bend in own], own, 120.0)
        by_turn.axvline(90.0, color=QUIET, linestyle=":", label=f"90 deg ({limits.PRACTICE})")
        by_turn.set_xlabel("turn of the bend, deg")
        by_turn.set_xlim(0.0, 120.0)
        by_turn.set_ylim(0.0, 1.06)
        by_turn.legend(loc="lower left", frameon=True, facecolor="#ffffff", edgecolor="none", framealpha=1.0)
        figure.subplots_adjust(left=0.08, right=0.98, top=0.95, bottom=0.16, wspace=0.06)

    named = "; ".join(f"{k} {place_words(bend.place)}" for k, bend in enumerate(own, 1))
    caption = (
        f"Curves: a bend that the load pulls straight. Dots, what the bends of this joint leave: {named}. Judged by radius, or by "
        "turn where shorter than half a diameter (a kink). Not backed by tests of this joint."
    )
    return Chart("hold-bends", "Bends and strength", caption, draw, height_mm=78.0)


def _mark(axes: Any, x: list[float], bends: list[BreakHold], most: float) -> None:
    """Dots of the joint's own bends with their numbers, from 1 in their order; those in one place together."""
    places: list[tuple[float, float, list[int]]] = []
    for value, left, number in sorted(
        (value, bend.leaves.nominal, k) for k, (value, bend) in enumerate(zip(x, bends, strict=True), 1)
    ):
        if value > most:
            continue
        axes.plot([value], [left], marker="o", color=JOINT, markersize=5.0, zorder=5)
        near = [place for place in places if value - place[0] < 0.02 * most and abs(left - place[1]) < 0.03]
        if near:
            near[0][2].append(number)
        else:
            places.append((value, left, [number]))
    for value, left, numbers in places:
        axes.annotate(
            ", ".join(map(str, sorted(numbers))), (value, left), xytext=(4, 2), textcoords="offset points", fontsize=7.5,
            color=JOINT,
        )  # fmt: skip


def table_chart(table: HoldTable) -> Chart:
    """Turns against wraps as a picture, a word in each cell."""

    def draw(figure: Any) -> None:
        from matplotlib.patches import Rectangle

        axes = figure.add_subplot()
        for cell in table.cells:
            none = cell.verdict == "no model"
            axes.add_patch(
                Rectangle(
                    (cell.wraps - 0.5, cell.turns - 0.5), 1.0, 1.0, facecolor=FILLS[cell_end(cell, table)], edgecolor=BAND if none else "#ffffff",
                    hatch="////" if none else None, linewidth=1.0,
                )
            )  # fmt: skip
            word = cell_word(cell, table)
            axes.text(cell.wraps, cell.turns + 0.17, word, ha="center", va="center", fontsize=7.0, color=INK)
            if not math.isnan(cell.probability_unwinds):
                percent = f"{100.0 * cell.probability_unwinds:.0f} %"
                axes.text(cell.wraps, cell.turns - 0.2, percent, ha="center", va="center", fontsize=6.0, color=INK)
        if table.smallest_safe.turns is not None:
            axes.add_patch(
                Rectangle(
                    (table.smallest_safe.wraps_by_practice - 0.5, table.smallest_safe.turns - 0.5),
                    1.0,
                    1.0,
                    fill=False,
                    edgecolor=INK,
                    linewidth=2.0,
                )
            )
        turns, wraps = ({getattr(cell, name) for cell in table.cells} for name in ("turns", "wraps"))
        axes.set_xticks(sorted(wraps))
        axes.set_yticks(sorted(turns))
        axes.set_xlim(-0.5, max(wraps) + 0.5)
        axes.set_ylim(-0.5, max(turns) + 0.5)
        axes.set_xlabel("wraps of the barrel")
        axes.set_ylabel("full turns of the twist")
        axes.grid(visible=False)
        figure.subplots_adjust(left=0.07, right=0.99, top=0.98, bottom=0.1)

    caption = (
        "Percent: chance of unwinding. *: no model for this number of wraps, "
        f"{practice().saying('wraps')}; the verdict is that of 2 wraps. Hatched: no model at all. Framed: the "
        "fewest counts estimated to lock, its wraps by practice alone."
    )
    return Chart("hold-table", "Turns against wraps", caption, draw, height_mm=120.0)


def sensitivity_chart(base: Answer, bars: tuple[Bar, ...], units: UnitSystem) -> Chart:
    """How far the load to plan with, and the chance of unwinding, move with one cause at a time."""
    unit, per = ("lbf", N_PER_LBF) if units == "inch" else ("N", 1.0)

    def draw(figure: Any) -> None:
        load, chance = figure.subplots(1, 2, sharey=True)
        load.set_zorder(2)  # what no model knows is written across both
        load.patch.set_visible(False)
        for k, bar in enumerate(bars):
            if bar.at_low is None or bar.at_high is None:
                load.text(
                    0.02, k, bar.note, transform=load.get_yaxis_transform(), va="center", color=QUIET, fontsize=6.5,
                    bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
                )  # fmt: skip
                continue
            ends = bar.at_low, bar.at_high
            for axes, values in (
                (load, [end.plan_with_n / per for end in ends]),
                (chance, [100.0 * end.probability_unwinds for end in ends]),
            ):
                axes.plot(values, [k, k], color=PLAIN, linewidth=5.0, alpha=0.5, solid_capstyle="butt")
                axes.plot(values[:1], [k], marker="o", fillstyle="none", color=INK, markersize=5.0)
                axes.plot(values[1:], [k], marker="o", color=INK, markersize=5.0)
            chance.text(
                1.02,
                k,
                f"{bar.low} / {bar.high}",
                transform=chance.get_yaxis_transform(),
                va="center",
                fontsize=6.5,
                color=QUIET,
            )
        load.axvline(base.plan_with_n / per, color=JOINT, linestyle="--", linewidth=1.0)
        chance.axvline(100.0 * base.probability_unwinds, color=JOINT, linestyle="--", linewidth=1.0)
        load.set_yticks(range(len(bars)), [bar.cause for bar in bars])
        load.set_ylim(len(bars) - 0.4, -0.6)
        load.set_xlabel(f"plan with, {unit}")
        load.set_xlim(left=0.0)
        chance.set_xlabel("chance of unwinding, %")
        chance.set_xlim(-2.0, 102.0)
        figure.subplots_adjust(left=0.29, right=0.78, top=0.98, bottom=0.1, wspace=0.08)

    caption = "Open ring: the first value of the two at the right, dot: the second. Dashed: the joint as it stands."
    return Chart("hold-sensitivity", "What moves the answer", caption, draw, height_mm=110.0)


def path_chart(path: LoadPath, result: HoldResult, units: UnitSystem = "metric") -> Chart:
    """What each part of the wire carries, presses and is bent, along the wire."""
    inch = units == "inch"
    per, unit = (MM_PER_INCH, "in") if inch else (1.0, "mm")
    per_n, force = (N_PER_LBF, "lbf") if inch else (1.0, "N")

    def draw(figure: Any) -> None:
        carried, contact, strain = figure.subplots(3, 1, sharex=True)
        s = (path.s_mm - path.s_mm[0]) / per
        for dash, (key, share) in zip(_DASHES, path.carried_proportion.items(), strict=False):
            name = "by halves" if key == "W" else f"model {model_name(key)}"
            carried.plot(s, share, color=PLAIN, linestyle=dash, label=name)
        carried.set_ylabel("share of\nthe load")
        carried.set_ylim(0.0, 1.08)
        carried.legend(loc="upper right")
        contact.plot(s, path.contact_n_per_mm * per / per_n, color=PLAIN)
        contact.set_ylabel(f"contact,\n{force} per {unit}")
        contact.set_ylim(bottom=0.0)
        strain.plot(s, path.strain, color=PLAIN)
        strain.axhline(limits.STRAIN_OK, color=QUIET, linestyle=":")
        strain.set_ylabel("bend\nstrain")
        strain.set_ylim(bottom=0.0)
        strain.set_xlabel(f"along the wire, {'inches' if inch else 'mm'}, from the standing leg to the stub")
        _sections(carried, (carried, contact, strain), s, path.section)
        for bend in result.breaks:
            if bend.place == result.governs_place:
                for axes in (carried, contact, strain):
                    axes.axvline((bend.s_mm - path.s_mm[0]) / per, color=JOINT, linewidth=1.2)
        figure.subplots_adjust(left=0.1, right=0.98, top=0.8, bottom=0.1, hspace=0.12)

    where = "the weakest place" if result.governs_place not in ("unwinding", "wire", "no model") else ""
    caption = (
        f"At {format_force(path.load_n, units)}. The tag takes up to half of the load at the eye and hands it to the standing leg along the "
        "twist; what is left at its end the barrel must hold. Dotted: the wrapping test's strain."
        + (f" Orange: {where}." if where else "")
    )
    return Chart("load-path", "The load path", caption, draw, height_mm=110.0)


def _sections(top: Any, panels: tuple[Any, ...], s: Any, section: Any) -> None:
    """Lines where one part ends and the next begins, with their names above."""
    edges = np.flatnonzero(np.diff(section)) + 1
    starts, ends = np.concatenate([[0], edges]), np.concatenate([edges, [section.size]])
    span = float(s[-1]) or 1.0
    for start, end in zip(starts, ends, strict=True):
        for axes in panels:
            axes.axvline(s[start], color=BAND, linewidth=0.8, zorder=0)
        middle = 0.5 * (s[start] + s[end - 1])
        if (s[end - 1] - s[start]) > 0.006 * span:
            top.annotate(
                section_name(SECTIONS[int(section[start])]), (middle, 1.08), xycoords=("data", "data"), rotation=40,
                ha="left", va="bottom", fontsize=6.5, color=QUIET, annotation_clip=False,
            )  # fmt: skip
