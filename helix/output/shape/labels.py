"""What is pointed at on a drawing or picture: the parts by name, the bends by verdict, every other finding."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from helix.findings import Severity
from helix.model.joint.section_names import part_name, sections_at
from helix.output.picture.view import VisiblePart, side_view
from helix.output.words.findings.finding_words import capital
from helix.output.words.lesson_words import with_advice
from helix.output.words.words import bend_name, plain_count, telling
from helix.units import UnitSystem, format_length, format_turns

if TYPE_CHECKING:
    from helix.studies.shape.bends import Bend
    from helix.studies.shape.outline import Outline

_MOST_FINDINGS = 5


@dataclass(frozen=True)
class Callout:
    """Words and the place they belong to. severity: None for a part. ring: draw a mark round the place.

    also_mm: further places to mark. short: the title where there is little room.
    """

    name: str
    title: str
    lines: tuple[str, ...]
    point_mm: tuple[float, float, float]
    severity: Severity | None = None
    ring: bool = False
    also_mm: tuple[tuple[float, float, float], ...] = ()
    short: str = ""


def part_callouts(result: Outline, shown: VisiblePart, units: UnitSystem) -> list[Callout]:
    """The parts that the joint has, each with its main number and a point on it that can be seen from the side."""
    recipe, counts, made = result.recipe, result.counts, result.finished
    finish = recipe.finish

    def size(mm: float) -> str:
        return format_length(mm, units)

    left_out = ", not all shown" if shown.break_mm else ""
    callouts: list[tuple[str, tuple[str, ...], str, tuple[str, ...]]] = [
        ("eye", ("eye",), "eye", ("inside", f"{size(made.eye_inside_length_mm).split()[0]} x {size(made.eye_inside_width_mm)}")),
        ("standing", ("standing",), "standing leg", (size(finish.standing_mm) + left_out[:1], left_out[2:])),
    ]  # fmt: skip
    if counts.turns > 0:
        turns = "turn" if counts.turns == 1 else "turns"
        text = (f"{plain_count(counts.turns)} {turns}, {recipe.twist.hand}-hand,", f"lay {size(recipe.twist.lay_mm)}")
        callouts.append(("twist", ("twist_standing", "twist_tag"), "twist", text))
    if counts.swing > 0:
        swung = format_turns(counts.swing_after_leg)
        callouts.append(("exit", ("exit_tag",), "exit", (f"{recipe.exit.style}, tag", f"swung out over {swung}")))
    if counts.wraps > 0 and made.barrel_diameter_mm is not None:
        wraps = "wrap" if counts.wraps == 1 else "wraps"
        text = (f"{plain_count(counts.wraps)} {wraps},", f"{size(made.barrel_diameter_mm)} across")
        callouts.append(("barrel", ("barrel",), "barrel", text))
    if finish.stub_mm > 0:
        callouts.append(("stub", ("stub",), "end of the tag", (size(finish.stub_mm),)))
    return [
        Callout(name, title, lines, point)
        for name, sections, title, lines in callouts
        if (point := _seen_point(shown, sections)) is not None
    ]


def bend_callouts(result: Outline, shown: VisiblePart, units: UnitSystem = "metric") -> list[Callout]:
    """Every finding but notes, the most severe first and at most a handful; then the bends that are ok, by pairs."""
    calls: list[Callout] = []
    for finding in telling(result, units)[:_MOST_FINDINGS]:
        place = finding.points_mm or (_seen_point(shown, _sections_of(finding.place, shown.names), low=True),)
        points = tuple(point for point in place if point is not None) or ((0.0, 0.0, 0.0),)
        lines = tuple(f"{capital(text)}." for text in (finding.why, with_advice(finding).do) if text)
        title = f"{finding.word}: {finding.what}"
        ring = bool(finding.points_mm)
        short = f"{finding.word}: {finding.short}"
        calls.append(Callout(finding.key, title, lines, points[0], finding.severity, ring, points[1:], short))
    for pair, title in (("entry", "first bend"), ("exit", "exit bend")):
        bends = [bend for bend in result.bends if part_name(bend.name) == pair and bend.length_d > 0.0]
        sound = [bend for bend in bends if not bend.severity]
        if sound and len(calls) < _MOST_FINDINGS:
            name = title if len(sound) == len(bends) else bend_name(sound[-1].name)
            numbers = (_bend_numbers(sound),)
            calls.append(Callout(sound[-1].name, f"ok: {name}", numbers, sound[-1].point_mm, Severity.OK))
    return calls


def _bend_numbers(bends: Iterable[Bend]) -> str:
    bends = list(bends)
    radius = min((b.min_radius_d for b in bends if b.min_radius_d is not None), default=None)
    seen = max((b.visible_angle_deg for b in bends if b.visible_angle_deg is not None), default=None)
    parts = [] if seen is None else [f"seen {seen:.0f} deg"]
    parts += [] if radius is None else [f"radius {radius:.2f} d"]
    return ", ".join(parts)


def _sections_of(where: str, names: tuple[str, ...]) -> tuple[str, ...]:
    """Sections meant by a name that may be a whole part ("twist") or one section."""
    sections = sections_at(where)
    return tuple(name for name in names if name in sections)


def _seen_point(
    shown: VisiblePart, sections: tuple[str, ...], *, low: bool = False
) -> tuple[float, float, float] | None:
    """The point on the upper (or lower) edge of these sections, near the middle of their length."""
    rows = shown.rows(*sections)
    if shown.break_mm is not None and sections == ("standing",):
        rows = rows[shown.points_mm[rows, 2] >= shown.break_mm[1]]
    if not len(rows):
        return None
    flat, _ = side_view().project(shown.points_mm[rows])
    middle = (flat[:, 0].min() + flat[:, 0].max()) / 2
    reach = 0.18 * (flat[:, 0].max() - flat[:, 0].min()) + 1e-9
    close = np.abs(flat[:, 0] - middle) <= reach
    height = np.where(low, -flat[:, 1], flat[:, 1])
    score = np.where(close, height, np.inf)
    best = int(np.argmin(score)) if np.any(close) else len(rows) // 2
    x, y, z = (float(value) for value in shown.points_mm[rows[best]])
    return x, y, z
