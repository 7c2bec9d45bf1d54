"""The words for a result: the answer in a line, names of parts and bends, a sentence for each finding.

Tables, drawings and pictures say the same thing because they all take their words from here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from helix.errors import one_line
from helix.findings import Judgement, Severity
from helix.mechanics import limits
from helix.model.joint.section_names import section_name
from helix.output.words.findings.finding_words import Explained, explain
from helix.output.words.sentence_format import TESTED
from helix.studies.shape.along import eye_strain
from helix.studies.shape.bend_findings import bends_of
from helix.units import MM_PER_INCH, UnitSystem, format_length, format_tape

if TYPE_CHECKING:
    from helix.studies.shape.outline import Outline
    from helix.studies.shape.shape import ShapeResult
    from helix.studies.teaching.steps import Mark

_TOUCHING_D = 5e-7  # a gap that shows as 0
_PARTS: Final = (16, 32, 64)  # of an inch, as tapes and rules have them
HALF_MM: Final = 0.5
"""To this a person inks."""
_QUARTERS = ("", " 1/4", " 1/2", " 3/4")
_BENDS = {
    "entry_standing": "first bend, standing leg",
    "entry_tag": "first bend, tag",
    "exit_standing": "exit bend, standing leg",
    "exit_tag": "exit bend, tag",
}


def bend_name(name: str) -> str:
    """What people call a bend.

    >>> bend_name("exit_tag")
    'exit bend, tag'
    """
    return _BENDS.get(name, name.replace("_", " "))


def cut_words(result: ShapeResult, units: UnitSystem) -> tuple[str, str, str]:
    """How much wire to cut with its unit, from what to what it may be, and its parts; of two wires, of the longer.

    The parts add up as they are shown.
    """
    cut, finish = result.cut, result.recipe.finish
    if units == "inch":
        return _tape_words(cut.total_mm, (cut.low_mm, cut.high_mm), finish.standing_mm, finish.handle_mm)
    shown, unit = format_length(cut.total_mm, units).split()
    decimals = len(shown.partition(".")[2])
    low, high, standing, handle = (
        fixed_length(mm, units, decimals) for mm in (cut.low_mm, cut.high_mm, finish.standing_mm, finish.handle_mm)
    )
    joint = f"{float(shown) - float(standing) - float(handle):.{decimals}f}"
    return f"{shown} {unit}", f"{low} to {high}", f"{standing} standing, {joint} joint, {handle} handle"


def _tape_words(
    total_mm: float, ends_mm: tuple[float, float], standing_mm: float, handle_mm: float
) -> tuple[str, str, str]:
    """The same as a tape in inches shows it, in sixteenths."""
    total, standing, handle = (round(16.0 * mm / MM_PER_INCH) for mm in (total_mm, standing_mm, handle_mm))
    parts = (standing, "standing"), (total - standing - handle, "joint"), (handle, "handle")
    shown = (f"{tape_number(count * MM_PER_INCH / 16.0, 'inch')} {name}" for count, name in parts)
    low, high = (tape_number(mm, "inch") for mm in ends_mm)
    return format_tape(total_mm, "inch"), f"{low} to {high}", ", ".join(shown)


def answer_line(result: ShapeResult, units: UnitSystem) -> str:
    """How much wire to cut, its interval and its parts, in one line: "Cut 712 mm (705 to 720): ..."."""
    length, interval, parts = cut_words(result, units)
    if len(result.wires) == 1:
        return f"Cut {length} ({interval}): {parts}."
    return f"Cut {wires_apart(result, units)} ({interval}): {parts}."


def wires_apart(result: ShapeResult, units: UnitSystem) -> str:
    """The two wires to cut, and how much longer the one must be, in words."""
    one, other = (wire.cut_mm for wire in result.wires)
    shown = [format_tape(wire.cut_mm, units) for wire in result.wires]
    apart = f"{abs(one - other):.1f} mm" if units == "metric" else format_length(abs(one - other), units)
    if shown[0] == shown[1]:
        return f"2 wires of {shown[0]}, equal but for {apart}"
    return f"wire 1 {shown[0]} and wire 2 {shown[1]}, wire {1 if one > other else 2} {apart} longer"


def findings(result: Outline, units: UnitSystem = "metric") -> list[Explained]:
    """Everything that is found of a joint, in words, the most severe first."""
    points = {bend.name: bend.point_mm for bend in result.bends if bend.length_d > 0.0}
    return [
        explain(finding, units, tuple(points[name] for name in bends_of(finding) if name in points))
        for finding in result.judgement.findings
    ]


def telling(result: Outline, units: UnitSystem = "metric") -> list[Explained]:
    """The findings that matter: all but notes."""
    return [finding for finding in findings(result, units) if finding.severity > Severity.NOTE]


def telling_of(judgement: Judgement, units: UnitSystem = "metric") -> list[Explained]:
    """The same of a judgement alone, without places."""
    return [explain(finding, units) for finding in judgement.findings if finding.severity > Severity.NOTE]


def shown_severity(judgement: Judgement) -> Severity:
    """The severity that a verdict is headed with: a joint with notes only is ok."""
    return judgement.severity if judgement.severity > Severity.NOTE else Severity.OK


def verdict_word(judgement: Judgement) -> str:
    """The word that heads a verdict: its severity's, or that pieces unwound."""
    told = telling_of(judgement)
    return told[0].word if told else Severity.OK.name


def verdict_line(result: Outline, units: UnitSystem = "metric", *, short: bool = False, most: int | None = None) -> str:
    """The verdict in a line: each severity with what is found, the most severe first, or that nothing is.

    short: without the numbers; most: so many findings, and how many more there are.
    """
    explained = telling(result, units)
    if not explained:
        return "No bend is sharp and nothing overlaps."
    heads: dict[str, list[str]] = {}
    for finding in explained[:most]:
        heads.setdefault(finding.word.capitalize(), []).append(finding.short if short else finding.what)
    line = " ".join(f"{word}: {'; '.join(texts)}." for word, texts in heads.items())
    return f"{line} {more_words(len(explained) - most)}." if most and len(explained) > most else line


def more_words(count: int) -> str:
    """How many more findings there are than are told.

    >>> more_words(1), more_words(2)
    ('1 more finding', '2 more findings')
    """
    return f"{count} more finding{'' if count == 1 else 's'}"


def sound_line(result: Outline) -> str:
    """What is said when nothing was found."""
    hardest = max(result.bends, key=lambda bend: bend.strain)
    just = "only just " if hardest.strain > limits.ONLY_JUST * limits.STRAIN_OK else ""
    return (
        f"Every bend is {just}within its limits and nothing overlaps. The hardest "
        f"({bend_name(hardest.name)}) has a strain of {hardest.strain:.2f}; the limit is {limits.STRAIN_OK:.2f} ({TESTED})."
    )


def small_eye_line(result: ShapeResult) -> str:
    """How hard a small eye bends its wire, beside a larger one; empty of a larger one, and of one that is too small."""
    sizes, strain = result.joint.layout.sizes, eye_strain(result)
    if sizes.pin >= limits.GOOD_PIN_D or strain > limits.STRAIN_OK:
        return ""
    usual = 1.0 / (limits.GOOD_PIN_D + 1.0)
    return (
        f"Small eye, on a pin of {sizes.pin:.2g} d: strain {strain:.2f} (limit {limits.STRAIN_OK:.2f}: "
        f"{TESTED}); on a pin of {limits.GOOD_PIN_D:g} d it is {usual:.2f}."
    )


def gap_line(result: ShapeResult, units: UnitSystem) -> str:
    """Whether parts overlap, touch or stand apart, by how much where it is not 0, and which."""
    clearance, d_mm = result.clearance, result.recipe.wire.diameter_mm
    size = f"{abs(clearance.least_d):.2g} d ({format_length(abs(clearance.least_d) * d_mm, units)})"
    first, second = (section_name(name) for name in clearance.between)
    place = f"within the {first}" if first == second else f"between ({first}) and ({second})"
    if clearance.least_d < -limits.OVERLAP_D:
        return f"Parts overlap by up to {size}, {place}."
    if clearance.least_d < _TOUCHING_D:
        return "Parts touch, none overlap."
    return f"No two parts touch: the least gap is {size}, {place}."


def title_of(result: Outline) -> str:
    """The recipe's title on one line, or a plain one."""
    return one_line(" ".join(result.recipe.title.split())) or "Twisted wire joint"


def quarters(count: float) -> str:
    """A count to the nearest quarter.

    >>> quarters(4.26), quarters(5.0), quarters(0.3)
    ('4 1/4', '5', '1/4')
    """
    whole, quarter = divmod(round(4.0 * count), 4)
    return f"{whole or ''}{_QUARTERS[quarter]}".strip() or "0"


def plain_count(value: float) -> str:
    """A count without needless decimals.

    >>> plain_count(5.0), plain_count(1.25)
    ('5', '1.25')
    """
    return f"{value:.2f}".rstrip("0").rstrip(".")


def number_of(count: float, what: str) -> str:
    """A count and what is counted, in its plural where there is not one.

    >>> number_of(5.0, "turn"), number_of(1.0, "wrap"), number_of(0.0, "turn")
    ('5 turns', '1 wrap', '0 turns')
    """
    return f"{plain_count(count)} {what}{'' if count == 1.0 else 's'}"


def counted(kind: str, whole: float) -> str:
    """What follows a count of turns or wraps while they are made; kind: "twist" or "wrap".

    >>> counted("twist", 5.0), counted("wrap", 1.0)
    ('of 5 turns', 'of 1 wrap')
    """
    return f"of {whole:g} {'turn' if kind == 'twist' else 'wrap'}{'' if whole == 1.0 else 's'}"


def tape_number(mm: float, units: UnitSystem, to_mm: float = 0.1, apart_mm: float = math.inf) -> str:
    """A length to measure with a tape as a bare number: to sixteenths of an inch, or to so many mm; finer where the next one to
    measure is nearer than that, so that no two read alike.

    >>> tape_number(120.65, "inch"), tape_number(716.96, "metric"), tape_number(120.65, "metric", HALF_MM)
    ('4 3/4', '717', '120.5')
    >>> tape_number(60.0, "inch", apart_mm=0.5), tape_number(60.5, "inch", apart_mm=0.5), tape_number(60.3, "metric", 0.5, 0.3)
    ('2 23/64', '2 3/8', '60.3')
    """
    if units == "inch":
        parts = next((parts for parts in _PARTS if apart_mm >= MM_PER_INCH / parts), None)
        return f"{mm / MM_PER_INCH:.3f}" if parts is None else format_tape(mm, "inch", parts).removesuffix(" in")
    to_mm = to_mm if apart_mm >= to_mm else 0.1
    return f"{round(mm / to_mm) * to_mm:.1f}".removesuffix(".0")


def tape_numbers(lengths_mm: Sequence[float], units: UnitSystem, apart_mm: float = math.inf) -> str:
    """The same length on each of several wires: one number where a tape shows the same, to half a mm; several to a tenth.

    >>> tape_numbers([98.62, 97.7], "metric"), tape_numbers([60.0, 60.01], "metric"), tape_numbers([120.65], "metric")
    ('98.6 and 97.7', '60', '120.5')
    """
    to_mm = HALF_MM if len(lengths_mm) == 1 else 0.1  # two wires are to bear alike
    return " and ".join(dict.fromkeys(tape_number(mm, units, to_mm, apart_mm) for mm in lengths_mm))


def cut_short(lengths_mm: Sequence[float], units: UnitSystem) -> str:
    """What to cut of several wires, in as few words as can be.

    >>> cut_short([497.81, 497.71], "metric"), cut_short([501.2, 499.4], "metric")
    ('2 x 498 mm', '501 mm and 499 mm')
    """
    shown = [format_tape(mm, units) for mm in lengths_mm]
    return f"{len(shown)} x {shown[0]}" if len(set(shown)) == 1 else " and ".join(shown)


def mark_number(mark: Mark, units: UnitSystem) -> str:
    """How far an ink mark is from the tag's end, as a tape shows it; of two wires both where they differ."""
    return tape_numbers([place.from_tag_end_mm for place in mark.places], units, mark.apart_mm)


def of_each_wire(marks: Sequence[Mark], units: UnitSystem) -> str:
    """What two numbers for a mark mean; empty where every mark has one."""
    return " (wire 1 and wire 2)" if any(" and " in mark_number(mark, units) for mark in marks) else ""


def fixed_length(mm: float, units: UnitSystem, decimals: int) -> str:
    """A length as a bare number with so many decimals, for columns and lists.

    >>> fixed_length(60.0, "metric", 0), fixed_length(60.0, "inch", 2)
    ('60', '2.36')
    """
    return f"{mm / MM_PER_INCH if units == 'inch' else mm:.{decimals}f}"
