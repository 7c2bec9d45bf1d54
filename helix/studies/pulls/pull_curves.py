"""Events of the load-extension curves that belong to pieces, and how they agree with the loads written down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import ClassVar, Final

from helix.errors import ValidationError, ValidationIssue
from helix.findings import Finding, Severity, notice
from helix.mechanics import limits
from helix.model.measured.curve_file import CurveMapping, curve_from_text, read_curve
from helix.model.measured.opened_files import opened
from helix.model.measured.pull_file import PullPiece
from helix.statistics.confidence import Array
from helix.statistics.load_curves import CurveEvents, curve_events
from helix.values import Result, hidden, result

_SHOWN: Final = 600


@result
class Slip:
    """A fall of the load."""

    at_mm: float
    before_n: float
    after_n: float


@result
class PieceCurve(Result):
    """Curve of one piece: its events (N, mm, N/mm), and at most some 600 points to draw, peaks and falls kept."""

    also: ClassVar = (
        "peak_n=events.peak", "peak_at_mm=events.peak_at", "stiffness_n_per_mm=events.stiffness",
        "slack_mm=events.slack", "slips", "leaves_line_at_mm", "unwinding_onset_mm", "unwinding_onset_n",
    )  # fmt: skip
    id: str
    group: str
    failure: str = hidden()
    file: str
    points: int
    events: CurveEvents = hidden()
    extension_mm: Array = hidden()
    load_n: Array = hidden()
    notes: tuple[Finding, ...] = hidden()

    @property
    def slips(self) -> tuple[Slip, ...]:
        """Falls of the load, in their order."""
        return tuple(Slip(at_mm=drop.at, before_n=drop.before, after_n=drop.after) for drop in self.events.drops)

    @property
    def leaves_line_at_mm(self) -> float | None:
        """Extension at which the curve leaves its straight line; None if it breaks first."""
        return self.events.departure[0] if self.events.departure else None

    @property
    def unwinding_onset_mm(self) -> float | None:
        """Extension at which unwinding starts."""
        return self.onset[0] if self.onset else None

    @property
    def unwinding_onset_n(self) -> float | None:
        """Load at which unwinding starts."""
        return self.onset[1] if self.onset else None

    @property
    def onset(self) -> tuple[float, float] | None:
        """Extension in mm and load in N at which unwinding starts; only for a piece that unwound."""
        if self.failure != "unwound":
            return None
        first = self.events.drops[0] if self.events.drops else None
        left = self.events.departure
        if first and (left is None or first.at < left[0]):
            return first.at, first.before
        return left


def curves_of(
    pieces: Sequence[PullPiece], folder: Path | Mapping[str, str], mapping: CurveMapping, place: str
) -> tuple[tuple[PieceCurve, ...], tuple[ValidationIssue, ...]]:
    """Curves of the pieces whose cell `curve` names a file in `folder`, and faults of those that cannot be read.

    folder: or the texts of the files, by their names.
    """
    piece_curves: list[PieceCurve] = []
    faults: list[ValidationIssue] = []
    for piece in pieces:
        if not piece.curve:
            continue
        where = f"{place} row {piece.row}, column curve"
        try:
            if isinstance(folder, Mapping):
                curve = curve_from_text(opened(folder, piece.curve, where), mapping, piece.curve)
            else:
                curve = read_curve(folder / piece.curve, mapping)
            events = curve_events(curve.extension_mm, curve.load_n)
        except ValidationError as problem:
            faults.extend(problem.faults)
            continue
        except ValueError as problem:
            faults.append(ValidationIssue(where, f"{piece.curve}: {problem}"))
            continue
        notes = [replace(note, place="Curves") for note in curve.notes]
        if abs(events.peak / piece.load_n - 1.0) > limits.CURVE_AGREES:
            notes.append(
                notice("peak-and-load-differ", piece.id, Severity.CAUTION, peak_n=events.peak, load_n=piece.load_n)
            )
        x, f = _thinned(curve.extension_mm, curve.load_n)
        piece_curves.append(
            PieceCurve(
                id=piece.id,
                group=piece.group,
                failure=piece.failure,
                file=piece.curve,
                points=curve.load_n.size,
                events=events,
                extension_mm=x,
                load_n=f,
                notes=tuple(notes),
            )
        )
    return tuple(piece_curves), tuple(faults)


def _thinned(x: Array, f: Array) -> tuple[Array, Array]:
    """Least and largest load of even stretches, in their order, so that no peak is lost."""
    import numpy as np

    if x.size <= _SHOWN:
        return x, f
    edges = np.linspace(0, x.size, _SHOWN // 2 + 1).astype(int)
    keep = {0, x.size - 1}
    for start, stop in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
        keep.add(start + int(np.argmin(f[start:stop])))
        keep.add(start + int(np.argmax(f[start:stop])))
    at = sorted(keep)
    return x[at], f[at]
