"""Wires that will do, as people read them and as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from helix.output.batch.cut_table import money
from helix.output.report.document import Bullets, Document, Heading, Para, Table
from helix.output.report.record import plain
from helix.output.shape.shape_table import CAUTION
from helix.units import UnitSystem, format_force, format_length, format_mass

if TYPE_CHECKING:
    from helix.studies.batch.choosing import Choice, Choices


def choices_document(result: Choices, units: UnitSystem = "metric") -> Document:
    """The whole answer as a report, the lightest first."""
    title = "Wires that will do"
    return Document(
        title,
        (
            Heading(title, 1),
            Para(_answer(result, units), strong=True),
            _rows(result, units),
            Bullets((*result.assumptions, *result.left_out)),
            Para(CAUTION),
        ),
    )


def choices_to_dict(result: Choices) -> dict[str, Any]:
    """The whole answer as plain data, in mm, N and kg."""
    wish = result.wish
    return plain({
        "schema": result.schema,
        "version": result.version,
        "load_n": wish.load_n,
        "margin": wish.margin,
        "pin_mm": wish.pin_mm,
        "piece_length_mm": wish.piece_mm,
        "currency": wish.currency or None,
        "choices": [_choice(each) for each in result.choices],
        "more": result.more,
        "left_out": list(result.left_out),
        "assumptions": list(result.assumptions),
    })  # fmt: skip


def _choice(each: Choice) -> dict[str, Any]:
    hold, d = each.hold.hold_n, each.wire.diameter_mm
    twist, barrel = _across(each)
    return {
        "size": each.wire.size,
        "diameter_mm": each.wire.diameter_mm,
        "material": each.wire.material,
        "breaking_load_low_n": each.wire.breaking_load_n[0],
        "holds_n": each.holds_n,
        "hold_low_n": hold.low,
        "hold_n": hold.nominal,
        "hold_high_n": hold.high,
        "hold_verdict": each.hold.verdict,
        "margin": each.margin,
        "kg_per_m": each.kg_per_m,
        "joint_length_mm": each.finished_mm,
        "joint_width_mm": (each.joint.layout.eye.width + 1.0) * d,
        "twist_diameter_mm": twist,
        "barrel_diameter_mm": barrel,
        "least_pin_mm": each.least_pin_mm,
        "piece_wire_mm": each.piece_mm,
        "piece_wire_kg": each.piece_kg,
        "piece_cost": each.cost,
    }


def _answer(result: Choices, units: UnitSystem) -> str:
    wish, first = result.wish, result.choices[0]
    more = ", and heavier ones" if result.more else ""
    number = len(result.choices)
    return (
        f"The lightest wire whose joint holds {format_force(wish.load_n, units)} with a margin of {wish.margin:g} is "
        f"{first.wire.size} {first.wire.material}, {format_length(first.wire.diameter_mm, units)}: it holds "
        f"{format_force(first.holds_n, units)}, {first.margin:.2f} times the load. "
        f"{number} wire{'' if number == 1 else 's'}{more} will do. A piece is {format_length(wish.piece_mm, units)} long."
    )


def _across(each: Choice) -> tuple[float | None, float | None]:
    """Outside diameters of twist and barrel [mm], None where there is none."""
    sizes, d = each.joint.layout.sizes, each.wire.diameter_mm
    twist = (2.0 * max(sizes.standing_radius, sizes.tag_radius) + 1.0) * d if sizes.turns else None
    return twist, 3.0 * d if sizes.wraps else None


def _rows(result: Choices, units: UnitSystem) -> Table:
    currency = result.wish.currency
    priced = any(each.cost is not None for each in result.choices)
    last = "cost a piece" if priced else "wire a piece"
    heading = ("size", "diameter", "material", "g/m", "holds", "margin", "joint long", "least pin", last)
    rows = []
    for each in result.choices:
        cost = "-" if each.cost is None else money(each.cost, currency)
        rows.append((
            each.wire.size or "",
            format_length(each.wire.diameter_mm, units),
            each.wire.material,
            f"{1000.0 * each.kg_per_m:.3g}",
            format_force(each.holds_n, units),
            f"{each.margin:.2f}",
            format_length(each.finished_mm, units),
            format_length(each.least_pin_mm, units),
            cost if priced else format_mass(each.piece_kg, units),
        ))  # fmt: skip
    thick = _across(result.choices[0])[1]
    text = ""
    if thick is not None:
        d = result.choices[0].wire.diameter_mm
        text = f"Their barrels are {thick / d:g} d across: {format_length(thick, units)} for the first."
    return Table("Wires that will do, the lightest first", heading, tuple(rows), (0, 2), text)
