"""What `shape` and the tasks that draw answer in a few lines: what to cut, how the bends are, what to count."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Final

from helix.findings import Severity
from helix.mechanics import limits
from helix.output.report.document import Answer
from helix.output.words.answer_words import headline, remedy_line, short_title, tape_range
from helix.output.words.findings.finding_words import capital
from helix.output.words.words import (
    bend_name,
    plain_count,
    shown_severity,
    small_eye_line,
    telling,
    title_of,
    wires_apart,
)
from helix.units import UnitSystem, format_length, format_tape, format_turns

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult
    from helix.studies.shape.size_list import ListedSize, SizeList

_SHOWN_TURN: Final = 0.125


def shape_answer(result: ShapeResult, units: UnitSystem) -> Answer:
    """The answer of a shape: cut, verdict, bends, counts; a joint that is not good has its verdict first."""
    judgement = result.judgement
    bends = bends_line(result)
    if shown_severity(judgement) is Severity.OK:
        lines = [cut_line(result, units), f"OK. {bends}"]
    elif judgement.code == "two-wires":  # the shape is good: what to cut of each comes first
        lines = [cut_line(result, units), headline(judgement, units), remedy_line(judgement, units), bends]
    else:
        lines = [headline(judgement, units), remedy_line(judgement, units), cut_line(result, units), bends]
    lines += [hardest_line(result), counts_line(result, units)]
    return Answer(tuple(line for line in lines if line), short_title(title_of(result)))


def drawn_answer(result: ShapeResult, units: UnitSystem, written: Sequence[str]) -> Answer:
    """The verdict, what to cut, and where the file lies with what there is to know of it."""
    verdict, eye = headline(result.judgement, units), "" if telling(result) else small_eye_line(result)
    lines = (verdict, remedy_line(result.judgement, units), eye, cut_line(result, units), *written)
    return Answer(tuple(line for line in lines if line), short_title(title_of(result)), more="")


def cut_line(result: ShapeResult, units: UnitSystem) -> str:
    """What to cut, from what to what it may be, and where the eye's middle comes to lie."""
    if len(result.wires) > 1:
        return _cut_two_line(result, units)
    cut, middle_d = result.cut, result.joint.middle_d
    total, eye = (format_tape(mm, units) for mm in (cut.total_mm, cut.total_mm - middle_d * result.joint.diameter_mm))
    return f"Cut {total} ({tape_range(cut.low_mm, cut.high_mm, units)}). Middle of the eye {eye} from the tag's end."


def _cut_two_line(result: ShapeResult, units: UnitSystem) -> str:
    """The same of two wires: how much longer the one must be comes first, as unequal wires share a load unequally."""
    joint, wires = result.joint, result.wires
    eyes = [
        format_tape(wire.cut_mm - own.middle_d * joint.diameter_mm, units)
        for wire, own in zip(wires, joint.wires, strict=True)
    ]
    between = tape_range(min(wire.low_mm for wire in wires), max(wire.high_mm for wire in wires), units)
    middle = eyes[0] if eyes[0] == eyes[1] else f"{eyes[0]} and {eyes[1]}"
    return f"Cut {wires_apart(result, units)} ({between}). Middle of the eye {middle} from the tag's end."


def bends_line(result: ShapeResult) -> str:
    """The two angles that can be seen, beside their limit."""
    seen = {bend.name: bend.visible_angle_deg for bend in result.bends}
    angles = [
        f"{name} {seen[bend]:.0f} deg"
        for name, bend in (("first bend", "entry_tag"), ("exit", "exit_tag"))
        if seen.get(bend)
    ]
    return f"{capital(', '.join(angles))} (keep both under 90: {limits.PRACTICE})." if angles else ""


def hardest_line(result: ShapeResult) -> str:
    """The hardest bend, beside what the wrapping test shows of wire."""
    hardest = max(result.bends, key=lambda bend: (bend.severity, round(bend.strain, 2)))
    return (
        f"Hardest: {bend_name(hardest.name)}, strain {hardest.strain:.2f} (the wrapping test of wire shows "
        f"{limits.STRAIN_OK:.2f})."
    )


def counts_line(result: ShapeResult, units: UnitSystem) -> str:
    """What to count while making it, in the order of the work, and how long it comes out."""
    counts = result.counts
    straighten, swing = counts.swing - counts.swing_after_leg, counts.swing_after_leg
    parts = [f"{plain_count(counts.turns)} turns"] if counts.turns else []
    if counts.turns and straighten >= _SHOWN_TURN:
        parts.append(f"leg straight ({format_turns(straighten)}, not counted)")
    if swing >= _SHOWN_TURN:
        parts.append(f"tag out ({format_turns(swing)})")
    parts += [f"{plain_count(counts.wraps)} wraps"] if counts.wraps else []
    return f"{capital(', '.join(parts))}. Finished {format_length(result.finished.length_mm, units)}."


def sizes_answer(listed: SizeList, units: UnitSystem) -> Answer:
    """How many sizes and materials there are, from what to what, and how to see them."""
    lines = [
        *(_range_of(list(family), units) for _, family in groupby(listed.sizes, key=lambda size: size.family)),
        f"Materials: {', '.join(material.name for material in listed.materials)}.",
    ]
    return Answer(
        tuple(lines), "Wire sizes", "--all shows strength and breaking load; --family MWG and --material fewer."
    )


def _range_of(sizes: Sequence[ListedSize], units: UnitSystem) -> str:
    """The sizes of one family, from the thinnest to the thickest wire."""
    thin, thick = sorted((sizes[0], sizes[-1]), key=lambda size: size.diameter_mm)
    if len(sizes) == 1:
        return f"{thin.size}: {format_length(thin.diameter_mm, units)}."
    return (
        f"{len(sizes)} sizes from {thin.size}, {format_length(thin.diameter_mm, units)}, "
        f"to {thick.size}, {format_length(thick.diameter_mm, units)}."
    )
