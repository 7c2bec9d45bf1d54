"""The numbers that stand beside a picture of the joint, as tables; the first column names the row, others may have heads."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from helix.output.report.document import Table
from helix.output.words.words import bend_name, mark_number, of_each_wire, plain_count, quarters
from helix.units import UNIT_WORDS, UnitSystem, format_force, format_length, format_turns

if TYPE_CHECKING:
    from helix.studies.shape.outline import Outline
    from helix.studies.teaching.steps import Mark


LEAST_TURN: Final = 0.125
"""Of a leg that comes straight: less is told in no quarters of a turn."""


def counts_block(result: Outline) -> Table:
    """Turns and wraps to count on the bench."""
    counts, twist, barrel = result.counts, result.recipe.twist, result.recipe.barrel
    rows = []
    if counts.turns:
        rows.append(("twist, turns", f"{plain_count(counts.turns)} ({twist.hand}-hand)"))
        rows.append(("twist, crossings", plain_count(counts.crossings)))
    if counts.swing:
        leg = counts.swing - counts.swing_after_leg
        if leg > LEAST_TURN:
            rows.append(("leg comes straight", format_turns(leg)))
            if counts.turns:
                rows.append(("turns till the tag leaves", quarters(counts.turns + leg)))
        rows.append(("swing of the tag", format_turns(counts.swing_after_leg)))
    if counts.wraps:
        hand = "same hand" if barrel.hand == "same" else "OPPOSITE hand"
        rows.append(("barrel, wraps", f"{plain_count(counts.wraps)} ({hand})"))
        rows.append(("wraps from the bend", quarters(counts.wraps_from_bend)))
    return Table("Count", (), tuple(rows))


def sizes_block(result: Outline, units: UnitSystem) -> Table:
    """Sizes to measure on the finished joint."""
    made, twist = result.finished, result.recipe.twist

    def size(mm: float) -> str:
        return format_length(mm, units)

    rows = [
        ("length, eye to last wrap", size(made.length_mm)),
        ("length over all", size(made.overall_length_mm)),
        ("eye, inside width", size(made.eye_inside_width_mm)),
    ]
    if result.counts.turns and made.twist_diameter_mm is not None:
        rows.append(("one turn of the twist", size(twist.lay_mm)))
        rows.append(("twist, across", size(made.twist_diameter_mm)))
    if result.counts.wraps and made.barrel_diameter_mm is not None:
        rows.append(("barrel, across", size(made.barrel_diameter_mm)))
    rows.append(("wire", size(result.recipe.wire.diameter_mm)))
    return Table("Measure", (), tuple(rows))


def bends_block(result: Outline) -> Table:
    """Each bend with its verdict in a word and the numbers behind it."""
    rows = tuple(
        (
            bend_name(bend.name),
            bend.severity.word,
            "-" if bend.visible_angle_deg is None else f"{bend.visible_angle_deg:.0f}",
            "-" if bend.min_radius_d is None else f"{bend.min_radius_d:.2f}",
            f"{bend.strain:.2f}",
        )
        for bend in result.bends
        if bend.length_d > 0.0
    )
    return Table("Bends", ("", "verdict", "seen deg", "radius d", "strain"), rows)


def marks_block(marks: tuple[Mark, ...], units: UnitSystem) -> Table:
    """Where to ink the straight wire, from the tag's cut end."""
    rows = tuple((f"{mark.letter}  {mark.what}", mark_number(mark, units)) for mark in marks)
    return Table("Ink marks", ("from the tag's cut end", f"{UNIT_WORDS[units]}{of_each_wire(marks, units)}"), rows)


def wire_line(result: Outline, units: UnitSystem) -> str:
    """The wire in words, with the load that breaks it when straight."""
    wire = result.recipe.wire
    size = f"{wire.size}, " if wire.size else ""
    breaks = "each breaks" if wire.count > 1 else "breaks"
    return (
        f"{size}{format_length(wire.diameter_mm, units)} {wire.material}; {breaks} at about "
        f"{format_force(wire.breaking_load_n[1], units)} when straight"
    )
