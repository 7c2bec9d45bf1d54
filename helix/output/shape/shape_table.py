"""What people read on a terminal: the answer first, then the tables, in the units they chose."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING

from helix.findings import Severity
from helix.model.joint.section_names import section_name
from helix.output.canvas.lettering import HELD, units_held
from helix.output.words.answer_words import CAUTION
from helix.output.words.sentence_format import bend_limits
from helix.output.words.words import (
    answer_line,
    bend_name,
    findings,
    fixed_length,
    gap_line,
    plain_count,
    sound_line,
    title_of,
)
from helix.units import UnitSystem, format_force, format_length, format_stress

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

WIDTH = 100
MORE = "--all adds contact lengths, how the exit is shaped, and what the interval of the cut is made of."
_COLOURS = {Severity.FAULT: "1;31", Severity.SHARP: "1;31", Severity.CAUTION: "33", Severity.OK: "32"}


def shape_text(result: ShapeResult, units: UnitSystem = "metric", *, colour: bool = False, every: bool = False) -> str:
    """The whole answer as text of at most 100 columns: what to cut, what is wrong, then the tables.

    colour: add terminal colours to the verdict words; the words alone say the same. every: also how long parts
    touch, how the exit is shaped, and what the interval of the cut is made of.
    """
    recipe = result.recipe
    wire = recipe.wire
    size = f"{wire.size}, " if wire.size else ""
    low, nominal, high = wire.breaking_load_n
    blocks = [
        _wrapped(title_of(result)),
        _wrapped(answer_line(result, units)),
        _findings(result, units, colour),
        _wrapped(
            f"Wire: {size}{format_length(wire.diameter_mm, units)} {wire.material}. It breaks at about "
            f"{format_force(nominal, units)} ({format_force(low, units)} to {format_force(high, units)}) "
            "when straight."
        ),
        _counts(result),
        _finished(result, units),
        _sections(result, units),
        _bends(result),
        *(_more(result, units) if every else [_wrapped(f"{gap_line(result, units)} {MORE}")]),
        _wrapped(CAUTION),
    ]
    return "\n\n".join(block for block in blocks if block) + "\n"


def columns(rows: Sequence[Sequence[str]], *, indent: str = "  ", left: Sequence[int] = (0,)) -> str:
    """Rows of text as aligned columns; those numbered in `left` are set to the left, others to the right.

    >>> print(columns([["part", "mm"], ["eye", "8.1"]], indent=""))
    part   mm
    eye   8.1
    """
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = [
            cell.ljust(width) if k in left else cell.rjust(width)
            for k, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append((indent + "  ".join(cells)).rstrip())
    return "\n".join(lines)


def _findings(result: ShapeResult, units: UnitSystem, colour: bool) -> str:
    """A line or two for each finding, the most severe first; one line when nothing is wrong."""
    sentences = [(finding.word, finding.severity, finding.sentence()) for finding in findings(result, units)]
    if result.judgement.severity <= Severity.NOTE:
        sentences.insert(0, ("OK", Severity.OK, sound_line(result)))
    width = max(len(word) for word, _, _ in sentences) + 2
    lines = []
    for word, severity, sentence in sentences:
        body = _wrapped(sentence, " " * width)[width:]
        lines.append(_painted(word, severity, colour) + " " * (width - len(word)) + body)
    return "\n".join(lines)


def _counts(result: ShapeResult) -> str:
    counts, twist, barrel = result.counts, result.recipe.twist, result.recipe.barrel
    rows = [
        ["turns of the twist", plain_count(counts.turns), f"{plain_count(counts.crossings)} crossings"],
        ["the tag turns while the leg straightens", plain_count(counts.swing - counts.swing_after_leg),
         "not counted as twist"],
        ["swing of the tag on the straight leg", plain_count(counts.swing_after_leg), ""],
        ["wraps of the barrel, touching" if barrel.pitch_mm is None else "wraps of the barrel",
         plain_count(counts.wraps), ""],
        ["in all", plain_count(counts.total), f"{twist.hand}-hand"],
    ]  # fmt: skip
    if counts.wraps:
        rows.append(["wraps when counted from the bend", plain_count(counts.wraps_from_bend),
                     "once the standing leg is straight"])  # fmt: skip
    return "Counts (a turn is 360 deg)\n" + columns(rows, left=(0, 2))


def _finished(result: ShapeResult, units: UnitSystem) -> str:
    f = result.finished

    def size(mm: float | None) -> str:
        return "-" if mm is None else format_length(mm, units)

    flow = result.recipe.wire.strength_mpa[1]
    d, two = result.recipe.wire.diameter_mm, result.recipe.wire.count > 1
    core_mm = d if result.counts.wraps and not two else None
    barrel = size(f.barrel_diameter_mm)
    rows = [
        ["", "as wound", "after springback"],
        ["length, inside of eye to last wrap", size(f.length_mm), ""],
        ["length over all, stub included", size(f.overall_length_mm), ""],
        ["twist, outside diameter", size(f.twist_diameter_mm), ""],
        ["barrel, outside, oval", f"{barrel} by {size(3.0 * d)}", ""]
        if two and result.counts.wraps
        else ["barrel, outside diameter", barrel, ""],
        [
            "barrel, inside diameter",
            size(core_mm),
            "springs straight" if core_mm and f.sprung_barrel_inside_mm is None else size(f.sprung_barrel_inside_mm),
        ],
        ["eye, inside length", size(f.eye_inside_length_mm), ""],
        [
            "eye, inside width",
            size(f.eye_inside_width_mm),
            "-" if f.sprung_eye_width_mm is None else f"up to {size(f.sprung_eye_width_mm)}",
        ],
        ["largest width", size(f.widest_mm), ""],
    ]
    rows = [row for row in rows if row[1] != "-"]
    return (
        "Finished size\n"
        + columns(rows)
        + "\n"
        + _wrapped(
            f"Springback: elastic, then perfectly plastic wire, flow stress {format_stress(flow, units)} (nominal "
            "strength). The twist holds the eye's legs, so the eye opens less than that.",
            "  ",
        )
    )


def _sections(result: ShapeResult, units: UnitSystem) -> str:
    unit, decimals = ("in", 2) if units == "inch" else ("mm", 1)
    if result.recipe.wire.diameter_mm < 0.3:
        decimals += 1

    def size(mm: float) -> str:
        return fixed_length(mm, units, decimals)

    several = len(result.wires) > 1
    wires = [f"wire {k + 1} {unit}" for k in range(len(result.wires))] if several else [f"wire {unit}"]
    rows = [["section", *wires, f"axial {unit}", "least radius d", "strain", "lay deg"]]
    for row, *others in zip(*(wire.sections for wire in result.wires), strict=True):
        if row.wire_mm <= 0.0:
            continue
        straight = row.min_bend_radius_d is None or row.min_bend_radius_d > 1e4
        rows.append([
            section_name(row.name),
            *(size(own.wire_mm) for own in (row, *others)),
            size(row.axial_mm),
            "straight" if straight else f"{row.min_bend_radius_d:.3f}",
            "-" if straight else f"{row.gauge_strain:.3f}",
            "-" if row.lay_deg is None else f"{row.lay_deg:.1f}",
        ])  # fmt: skip
    handle = size(result.recipe.finish.handle_mm)
    rows.append(["handle, broken off", *(handle for _ in wires), "", "", "", ""])
    rows.append(["to cut", *(size(wire.cut_mm) for wire in result.wires), "", "", "", ""])
    return "Sections, from the standing end to the stub\n" + columns(rows)


def _bends(result: ShapeResult) -> str:
    rows = [["bend", "verdict", "governing", "seen deg", "turn deg", "least radius d", "length d", "strain"]]
    for bend in result.bends:
        if bend.length_d <= 0.0:
            continue
        rows.append([
            bend_name(bend.name),
            bend.severity.word,
            "-" if bend.governing == "none" else bend.governing,
            _decimal(bend.visible_angle_deg, 1),
            _decimal(bend.turn_deg, 1),
            _decimal(bend.min_radius_d, 3),
            _decimal(bend.length_d, 2),
            _decimal(bend.strain, 3),
        ])  # fmt: skip
    if len(rows) == 1:
        return ""
    return "Bends\n" + columns(rows, left=(0, 1, 2)) + "\n" + _wrapped(bend_limits(), "  ")


def _more(result: ShapeResult, units: UnitSystem) -> list[str]:
    exit_words = f"Exit: {result.recipe.exit.style}. Its family: {result.exit_family}."
    return [_contact(result, units), _wrapped(exit_words), _shares(result, units)]


def _contact(result: ShapeResult, units: UnitSystem) -> str:
    contact, clearance = result.contact, result.clearance
    rows = [
        ["leg on leg", format_length(contact.leg_on_leg_mm, units)],
        ["tag on leg, at the exit", format_length(contact.tag_on_leg_mm, units)],
        ["wrap on core", format_length(contact.wrap_on_core_mm, units)],
        ["wrap on wrap", format_length(contact.wrap_on_wrap_mm, units)],
    ]
    text = gap_line(result, units)
    if clearance.lift_off_d > 5e-5:
        text += f" The tag stands off the leg by up to {clearance.lift_off_d:.4f} d."
    return "Contact, length along the wire\n" + columns(rows) + "\n" + _wrapped(text, "  ")


def _shares(result: ShapeResult, units: UnitSystem) -> str:
    shares = [(cause, size) for cause, size in result.cut.shares if size > 0]
    if not shares:
        return ""
    shares.sort(key=lambda share: -share[1])
    unit, decimals = ("in", 3) if units == "inch" else ("mm", 1)
    rows = [[cause, f"+/- {fixed_length(size, units, decimals)} {unit}"] for cause, size in shares]
    how = "Added as the root of the sum of squares: they seldom all go one way."
    return "What the interval of the cut is made of\n" + columns(rows) + "\n" + _wrapped(how, "  ")


def _wrapped(text: str, indent: str = "") -> str:
    """Text in lines of at most 100 columns; a number stays with its unit."""
    lines = textwrap.fill(
        units_held(text), WIDTH, initial_indent=indent, subsequent_indent=indent, break_long_words=False
    )
    return lines.replace(HELD, " ")


def _painted(word: str, severity: Severity, colour: bool) -> str:
    return f"\x1b[{_COLOURS[severity]}m{word}\x1b[0m" if colour and severity in _COLOURS else word


def _decimal(value: float | None, digits: int) -> str:
    return "-" if value is None else f"{value:.{digits}f}"
