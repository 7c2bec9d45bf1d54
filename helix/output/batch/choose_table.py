"""Wires that will do, as people read them and as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from helix.data.practice import practice
from helix.findings import Severity
from helix.mechanics.pair.stiffness import bending_stiffness
from helix.output.batch.batch_answers import choose_answer, money
from helix.output.hold.pair_report import UNWINDING, format_stiffness, stiffness_unit
from helix.output.report.document import Block, Bullets, Document, Heading, Para, Table
from helix.output.words.assumptions import choose_assumptions
from helix.output.words.findings.finding_words import capital
from helix.output.words.words import shown_severity, telling_of
from helix.units import UnitSystem, format_force, format_length, format_mass

if TYPE_CHECKING:
    from helix.studies.batch.choosing import Choice, Choices
    from helix.studies.batch.choosing_pair import PairChoice

NOT_KNOWN: Final = (
    "Not known either: how the load is shared once one wire has slipped past the other in the twist. Practice reckons two as "
    f"twice one ({practice().mark})."
)


def choices_document(result: Choices, units: UnitSystem = "metric") -> Document:
    """The whole answer as a report, the lightest first."""
    title = "Wires that will do"
    blocks: list[Block] = [Heading(title, 1), choose_answer(result, units)]
    if result.choices:
        blocks += [Para(_answer(result, units), strong=True), _rows(result, units)]
    if result.pair is not None and result.pair.of_one.severity is not Severity.FAULT:
        blocks += [_beside(result, result.pair, units), Para(f"{capital(UNWINDING)} {NOT_KNOWN}")]
    return Document(title, (*blocks, Bullets((*choose_assumptions(result), *result.left_out))))


def _beside(result: Choices, pair: PairChoice, units: UnitSystem) -> Table:
    """The lightest one wire beside the lightest two worked as one."""
    one = result.choices[0] if result.choices else result.nearest
    rows = []
    if one is not None:
        own = float(bending_stiffness(one.wire.modulus_mpa, one.wire.diameter_mm))
        rows.append(("one" if result.choices else "one, not enough", *_side(one, own, units)))
    rows.append(("two worked as one", *_side(pair, pair.stiffness.pair.stiffness_n_mm2, units)))
    unit = stiffness_unit(units)
    return Table(
        "One wire, or two worked as one",
        ("wires", "size", "diameter", "material", "g/m", "holds", f"E I, {unit}", "joint long", "twist"),
        tuple(rows),
        (0, 1, 3),
        "E I: bending stiffness; two wires slide on each other. The lightest two of "
        f"{'the same material' if result.choices else 'all wires'}.",
    )


def _side(choice: Choice | PairChoice, stiffness_n_mm2: float, units: UnitSystem) -> tuple[str, ...]:
    return (
        choice.wire.size or "",
        format_length(choice.wire.diameter_mm, units),
        choice.wire.material,
        f"{1000.0 * choice.kg_per_m:.3g}",
        format_force(choice.holds_n, units),
        format_stiffness(stiffness_n_mm2, units),
        format_length(choice.finished_mm, units),
        "-" if choice.twist_diameter_mm is None else format_length(choice.twist_diameter_mm, units),
    )


def _answer(result: Choices, units: UnitSystem) -> str:
    requirements, first = result.requirements, result.choices[0]
    more = ", and heavier ones" if result.more else ""
    telling = telling_of(first.judgement, units)
    verdict = f" But its joint is not sound: {telling[0].word}: {telling[0].what}." if not first.judgement.is_ok else ""
    number = len(result.choices)
    return (
        f"The lightest wire whose joint holds {format_force(requirements.load_n, units)} with a margin of {requirements.margin:g} is "
        f"{first.wire.size} {first.wire.material}, {format_length(first.wire.diameter_mm, units)}: it holds "
        f"{format_force(first.holds_n, units)}, {first.margin:.2f} times the load. "
        f"{number} wire{'' if number == 1 else 's'}{more} will do. A piece is {format_length(requirements.piece_mm, units)} long.{verdict}"
    )


def _rows(result: Choices, units: UnitSystem) -> Table:
    currency = result.requirements.currency
    priced = any(choice.cost is not None for choice in result.choices)
    last = "cost a piece" if priced else "wire a piece"
    heading = ("size", "diameter", "material", "g/m", "holds", "margin", "verdict", "joint long", "least pin", last)
    rows = []
    for choice in result.choices:
        cost = "-" if choice.cost is None else money(choice.cost, currency)
        rows.append((
            choice.wire.size or "",
            format_length(choice.wire.diameter_mm, units),
            choice.wire.material,
            f"{1000.0 * choice.kg_per_m:.3g}",
            format_force(choice.holds_n, units),
            f"{choice.margin:.2f}",
            shown_severity(choice.judgement).word,
            format_length(choice.finished_mm, units),
            format_length(choice.least_pin_mm, units),
            cost if priced else format_mass(choice.piece_kg, units),
        ))  # fmt: skip
    thick = result.choices[0].barrel_diameter_mm
    text = ""
    if thick is not None:
        d = result.choices[0].wire.diameter_mm
        text = f"Their barrels are {thick / d:g} d across: {format_length(thick, units)} for the first."
    return Table("Wires that will do, the lightest first", heading, tuple(rows), (0, 2), text)
