"""Good beside bad: what two or more joints have that the first has not, in numbers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import ClassVar, Final, Literal

import numpy as np

from helix import __version__
from helix.findings import Judgement, Severity
from helix.mechanics import limits
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold, hold_with, setting_of
from helix.studies.shape.along import eye_strain
from helix.studies.shape.bends import Bend
from helix.studies.shape.shape import ShapeResult
from helix.values import Result, Scalar, hidden, result

SCHEMA: Final = 1
Unit = Literal["deg", "d", "mm", "N", "share", "strain", "count", "word"]
Value = float | str | None


@result
class ComparedJoint:
    """One of the joints: its recipe, and the one verdict on it."""

    recipe: Recipe
    judgement: Judgement


@result
class Row:
    """One quantity of every joint: its key and name, unit, a value a joint (None: it has none).

    differs: for each joint whether it differs from the first by more than can be seen or matters.
    """

    key: str
    name: str
    unit: Unit
    values: tuple[Value, ...]
    differs: tuple[bool, ...]


@result
class Comparison(Result):
    """The joints that were compared, in the order given, what they hold, and their rows."""

    rows_in: ClassVar = "rows"
    also: ClassVar = ("joints",)
    schema: int
    version: str
    results: tuple[ShapeResult, ...] = hidden()
    holds: tuple[HoldResult | None, ...] = hidden()
    rows: tuple[Row, ...]

    @property
    def joints(self) -> tuple[ComparedJoint, ...]:
        """The joints in the order given, each with its verdict."""
        return tuple(ComparedJoint(recipe=shown.recipe, judgement=shown.judgement) for shown in self.results)

    def to_rows(self) -> list[dict[str, Scalar]]:
        """One dict a row, with a column for each joint."""
        return [
            dict[str, Scalar](key=row.key, name=row.name, unit=row.unit)
            | {f"joint_{number}": value for number, value in enumerate(row.values, start=1)}
            for row in self.rows
        ]

    def row(self, key: str) -> Row:
        """The row of a key; raises KeyError where there is none."""
        for row in self.rows:
            if row.key == key:
                return row
        raise KeyError(key)

    def differing(self, joint: int) -> tuple[Row, ...]:
        """The rows in which a joint differs from the first."""
        return tuple(row for row in self.rows if row.differs[joint])


def compare(results: Sequence[ShapeResult], own: Mapping[Recipe, OwnPulls] | None = None) -> Comparison:
    """Compare joints with the first; raises ValueError for fewer than two. own: pieces of one's own by recipe, which decide there.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> from helix.studies.shape.shape import shape
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n[twist]\\nturns = '
    >>> answer = compare([shape(recipe_from_text(text + turns)) for turns in ("5", "2.5")])
    >>> answer.row("turns").values, answer.row("turns").differs
    ((5.0, 2.5), (False, True))
    """
    if len(results) < 2:
        raise ValueError(f"there must be 2 joints or more to compare; got {len(results)}")
    holds = tuple(_held(result, (own or {}).get(result.recipe)) for result in results)
    results = [
        replace(result, of_hold=held.findings) if held is not None and own and result.recipe in own else result
        for result, held in zip(results, holds, strict=True)
    ]
    holds = tuple(held if held is not None and np.isfinite(_load_n(held)) else None for held in holds)
    rows = [_row(key, name, unit, [take(result) for result in results]) for key, name, unit, take in _SHAPE]
    rows += [
        _row("hold_n", "holds about", "N", [None if h is None else _load_n(h) for h in holds]),
        _row("hold_share", "of the straight wire", "share",
             [None if h is None else _load_n(h) / (h.strength_n * h.recipe.wire.count) for h in holds]),
        _row("hold_verdict", "verdict on the hold", "word", [None if h is None else h.verdict for h in holds]),
    ]  # fmt: skip
    return Comparison(schema=SCHEMA, version=__version__, results=tuple(results), holds=holds, rows=tuple(rows))


def _row(key: str, name: str, unit: Unit, values: list[Value]) -> Row:
    return Row(
        key=key,
        name=name,
        unit=unit,
        values=tuple(values),
        differs=tuple(_differs(values[0], value, unit) for value in values),
    )


def _differs(first: Value, other: Value, unit: Unit) -> bool:
    if first is None or other is None or isinstance(first, str) or isinstance(other, str):
        return first != other
    least = {
        "deg": limits.COMPARE_DEG,
        "d": limits.COMPARE_D,
        "mm": limits.COMPARE_MM,
        "N": limits.COMPARE_N,
        "share": limits.COMPARE_SHARE,
        "strain": limits.COMPARE_SHARE,
    }.get(unit, 1e-6)
    return abs(other - first) > max(least, limits.COMPARE_NEAR * abs(first) if unit != "count" else 0.0)


def _held(result: ShapeResult, own: OwnPulls | None) -> HoldResult | None:
    """What the joint holds, own pieces in it; None where no model speaks for it."""
    try:
        return hold(result.recipe) if own is None else hold_with(result.recipe, setting_of(result.recipe), own)
    except ValueError:
        return None


def _load_n(held: HoldResult) -> float:
    """The load that is expected, of two wires worked as one should they not unwind; nan where none is."""
    if held.pair is None:
        return held.hold_n.nominal
    return np.nan if held.pair.load is None else held.pair.load.expected_n


def _bend(name: str) -> Callable[[ShapeResult], Bend]:
    return lambda result: next(bend for bend in result.bends if bend.name == name)


def _of(name: str, attribute: str) -> Callable[[ShapeResult], Value]:
    """A number of a bend; None for a joint without that bend, or where it cannot be told."""

    def take(result: ShapeResult) -> Value:
        bend = _bend(name)(result)
        value = getattr(bend, attribute) if bend.length_d > 0.0 else None
        return value.word if isinstance(value, Severity) else value

    return take


def _tag_share(result: ShapeResult) -> Value:
    lengths = {row.name: row.wire_mm for row in result.sections}
    return lengths["twist_tag"] / lengths["twist_standing"] if lengths["twist_standing"] else None


def _gap(result: ShapeResult) -> Value:
    sizes = result.joint.layout.sizes
    return max(sizes.wrap_gap, 0.0) if sizes.wraps > 1.0 else None


_SHAPE: tuple[tuple[str, str, Unit, Callable[[ShapeResult], Value]], ...] = (
    ("verdict", "verdict", "word", lambda result: result.judgement.severity.word),
    ("wires", "wires worked as one", "count", lambda result: float(result.recipe.wire.count)),
    ("eye_mm", "eye, inside width", "mm", lambda result: result.finished.eye_inside_width_mm),
    ("eye_strain", "eye, strain", "strain", eye_strain),
    ("entry_deg", "first bend, legs cross at", "deg", _of("entry_tag", "visible_angle_deg")),
    ("entry_radius_d", "first bend, least radius", "d", _of("entry_tag", "min_radius_d")),
    ("entry_verdict", "first bend", "word", _of("entry_tag", "severity")),
    ("turns", "even turns", "count", lambda result: result.counts.turns),
    ("lay_d", "lay of the twist", "d",
     lambda result: result.joint.layout.sizes.lay if result.counts.turns else None),
    ("tag_share", "tag's wire in the twist, to the leg's", "share", _tag_share),
    ("leg_d", "leg straightens over", "d", _of("exit_standing", "length_d")),
    ("leg_radius_d", "leg at the exit, least radius", "d", _of("exit_standing", "min_radius_d")),
    ("leg_verdict", "exit, standing leg", "word", _of("exit_standing", "severity")),
    ("exit_deg", "exit, tag at", "deg", _of("exit_tag", "visible_angle_deg")),
    ("exit_turn_deg", "exit, tag turns by", "deg", _of("exit_tag", "turn_deg")),
    ("exit_d", "exit, over", "d", _of("exit_tag", "length_d")),
    ("exit_radius_d", "exit, tag's least radius", "d", _of("exit_tag", "min_radius_d")),
    ("exit_verdict", "exit, tag", "word", _of("exit_tag", "severity")),
    ("wraps", "wraps", "count", lambda result: result.counts.wraps),
    ("gap_d", "gap between wraps", "d", _gap),
    ("barrel_hand", "barrel's hand", "word",
     lambda result: result.recipe.barrel.hand if result.counts.turns and result.counts.wraps else None),
    ("overlap_d", "overlap", "d", lambda result: max(-result.clearance.least_d, 0.0)),
    ("cut_mm", "wire to cut", "mm", lambda result: result.cut.total_mm),
    ("length_mm", "length, eye to last wrap", "mm", lambda result: result.finished.length_mm),
)  # fmt: skip
