"""Where each finding is on the wire, numbered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from helix.findings import Finding, Severity
from helix.model.joint.section_names import sections_at
from helix.output.picture.view import View, VisiblePart
from helix.output.words.findings.finding_words import capital
from helix.output.words.lesson_words import with_advice
from helix.output.words.words import telling
from helix.studies.shape.along import overlaps_along
from helix.units import UnitSystem

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

MOST = 5
Point = tuple[float, float, float]


@dataclass(frozen=True)
class Marker:
    """A finding with its number, words and the places on the centre line that it is about, in mm."""

    number: int
    severity: Severity
    word: str
    title: str
    why: str
    do: str
    points_mm: tuple[Point, ...]


@dataclass(frozen=True)
class MarkerPlace:
    """Findings that are to be seen at one place of a canvas: it is marked once, as the most severe of them is.

    x, y: the middle of the spots (x, y) that are together here.
    """

    severity: Severity
    numbers: tuple[int, ...]
    spots: tuple[tuple[float, float], ...]

    @property
    def x(self) -> float:
        return sum(x for x, _ in self.spots) / len(self.spots)

    @property
    def y(self) -> float:
        return sum(y for _, y in self.spots) / len(self.spots)


def places(markers: Sequence[Marker], view: View, apart: float) -> list[MarkerPlace]:
    """Where the findings are on the canvas; those nearer to each other than `apart` are one place."""
    made: list[MarkerPlace] = []
    for marker in markers:
        for x, y in view.project(np.reshape(marker.points_mm, (-1, 3)))[0].tolist():
            near = next((k for k, at in enumerate(made) if np.hypot(x - at.x, y - at.y) < apart), None)
            if near is None:
                made.append(MarkerPlace(marker.severity, (marker.number,), ((x, y),)))
                continue
            at = made[near]
            numbers = at.numbers if marker.number in at.numbers else (*at.numbers, marker.number)
            made[near] = MarkerPlace(max(at.severity, marker.severity), numbers, (*at.spots, (x, y)))
    return made


def spots(result: ShapeResult, shown: VisiblePart, view: View, units: UnitSystem = "metric") -> list[Marker]:
    """Every finding but notes, the most severe first, at most five; each where the viewer can see it best."""
    markers: list[Marker] = []
    for finding in telling(result, units)[:MOST]:
        points = finding.points_mm
        if finding.finding.code in ("overlap", "wraps-overlap"):
            points = _overlaps(result, shown, view)
        if finding.finding.code in ("few", "no-barrel", "wraps-only"):
            points = (_missing(result, finding.finding),)
        if finding.finding.remedy in ("add-turns", "twist-first") and finding.finding.code != "few":  # beside the same
            points = tuple(_missing(result, other) for other in result.findings if other.code in ("few", "wraps-only"))[
                :1
            ]
        if not points:
            sections = sections_at(finding.place)
            names = tuple(name for name in shown.names if name in sections or not finding.place)
            points = _nearest_to_viewer(shown, view, shown.rows(*names))
        do = with_advice(finding).do
        markers.append(
            Marker(len(markers) + 1, finding.severity, finding.word, capital(finding.what), finding.why, do, points)
        )
    return markers


def _overlaps(result: ShapeResult, shown: VisiblePart, view: View) -> tuple[Point, ...]:
    """The middle of the longest stretch that lies in another part."""
    stretches = overlaps_along(result)
    if not stretches:
        return ()
    low, high = max(stretches, key=lambda stretch: stretch[1] - stretch[0])
    rows = np.flatnonzero((shown.s_mm >= low * shown.d_mm) & (shown.s_mm <= high * shown.d_mm))
    if rows.size == 0:
        rows = np.array([int(np.argmin(np.abs(shown.s_mm - low * shown.d_mm)))])
    return (_point(shown, int(rows[len(rows) // 2])),)


def _missing(result: ShapeResult, finding: Finding) -> Point:
    """Where the turns or wraps that are not there would begin, on the joint's axis."""
    axial = result.joint.axial
    if finding.code == "wraps-only":
        return 0.0, 0.0, -0.5 * result.joint.diameter_mm
    if finding.code == "no-barrel":
        return 0.0, 0.0, axial["barrel"] + result.joint.diameter_mm
    return 0.0, 0.0, axial["exit"] if finding["few_turns"] else axial["top"]


def _nearest_to_viewer(shown: VisiblePart, view: View, rows: np.ndarray) -> tuple[Point, ...]:
    """The place of these rows that is nearest to the viewer, near the middle of their extent."""
    if rows.size == 0:
        return ()
    flat, near = view.project(shown.points_mm[rows])
    middle = (flat.min(axis=0) + flat.max(axis=0)) / 2.0
    away = np.abs(flat - middle).max(axis=1)
    close = away <= max(0.15 * float(np.ptp(flat, axis=0).max()), float(away.min()) + 1e-9)
    best = int(np.argmax(np.where(close, near, -np.inf)))
    return (_point(shown, int(rows[best])),)


def _point(shown: VisiblePart, row: int) -> Point:
    x, y, z = (float(v) for v in shown.points_mm[row])
    return x, y, z
