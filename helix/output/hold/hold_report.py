"""A hold estimate as a document: the answer first, then loads, models, bends, evidence, and the test to make next."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from helix.data.calibration import default_calibration
from helix.findings import Severity
from helix.output.hold.hold_answers import hold_answer
from helix.output.hold.pair_report import pair_blocks
from helix.output.report.document import Block, Bullets, Chart, Document, Heading, Para, Table
from helix.output.words.assumptions import hold_assumptions
from helix.output.words.findings.finding_words import explain
from helix.output.words.hold_words import (
    LAYERS,
    NO_LAYERS,
    deciding_lines,
    governs_words,
    load_line,
    model_name,
    not_modelled_line,
    place_words,
    practice_line,
    rated_line,
    speaker_line,
    verdict_line,
)
from helix.output.words.sentence_format import odds_words
from helix.output.words.words import number_of
from helix.studies.hold.hold_findings import NOT_IN_LOAD
from helix.studies.hold.hold_result import Band, HoldResult
from helix.studies.hold.holding import tag_left
from helix.studies.judge import judge_held, load_to_plan
from helix.units import UnitSystem, format_force, format_length, format_stress

if TYPE_CHECKING:
    from helix.studies.hold.evidence.friction_fit import CalibrationFit


def hold_document(
    result: HoldResult,
    units: UnitSystem = "metric",
    fitted: CalibrationFit | None = None,
    charts: bool = False,
    fewer: float | None = None,
) -> Document:
    """The whole answer; fitted: the calibration behind it, where it is the user's own; charts: with pictures; fewer: as in its answer."""
    title = title_of(result, units)
    blocks: list[Block] = [Heading(title, 1), hold_answer(result, units, fewer), *detail_blocks(result, units)]
    if fitted is not None:
        blocks += calibration_blocks(fitted, units, result)
    if charts:
        blocks += list(_charts(result, units))
    if result.pair is not None:
        blocks += pair_blocks(result.pair, units)
    blocks += [
        strength_table(result, units),
        *layers_blocks(result, units),
        models_table(result, units),
        bends_table(result, units),
        Para(_barrel_line(result, units) if result.model else ""),
        *evidence_blocks(result),
        Heading("Assumptions"),
        Bullets(hold_assumptions(result)),
        Heading("What would decide"),
        *(Para(line) for line in deciding_lines(result, units)),
    ]
    return Document(title, tuple(block for block in blocks if not (isinstance(block, Para) and not block.text)))


def title_of(result: HoldResult, units: UnitSystem = "metric") -> str:
    """The recipe's title with its counts and its wire."""
    recipe = result.recipe
    title = " ".join(recipe.title.split()) or "Twisted wire joint"
    counts = f"{number_of(result.grip.turns, 'turn')}, {number_of(result.grip.wraps, 'wrap')}"
    return f"{title}: {counts}, {_wire(result, units)}"


def detail_blocks(result: HoldResult, units: UnitSystem) -> list[Block]:
    """Behind the answer: chance, practice of such a joint, range of loads, what governs, which model, what practice says."""
    governs = governs_words(result)
    known = practice_line(result)
    beside: list[str] = []
    lines: list[Block] = [Para(verdict_line(result)), *([Para(known)] if known else []), Para(load_line(result, units))]
    if result.model is not None:
        lines.append(Para(f"Weakest point: {governs}."))
        lines.append(Para(speaker_line(result)))
    lines.append(Para(rated_line(result, units)))
    if result.model is not None:
        lines.append(Bullets(tuple(not_modelled_line(code, result) for code in result.not_modelled)))
    own = {finding.code for finding in result.findings}
    for finding in judge_held(result).findings:
        if finding.severity > Severity.NOTE and finding.code not in own:
            note = ", not in this load" if finding.code in NOT_IN_LOAD else ""
            told = explain(finding, units)
            beside.append(f"{told.word}{note}: {told.sentence()}")
    lines += [Bullets(tuple(beside))] if beside else []
    return lines


def strength_table(result: HoldResult, units: UnitSystem) -> Table:
    """Straight wire, what the bends leave, and the hold, for weakest, nominal and strongest wire."""
    rows = []
    for name, strength, straight, bends, held in zip(
        ("low", "nominal", "high"),
        _three(result.wire.strength_mpa),
        _three(result.wire.breaking_load_n),
        _three(result.bends_leave_n),
        _three(result.hold_n),
        strict=True,
    ):
        cells = [format_stress(strength, units), *(_force(value, units) for value in (straight, bends, held))]
        rows.append((name, *cells))
    ends = "one ends at" if load_to_plan(result).use == "do-not" else "joint holds"
    return Table(
        f"Loads{_of_two(result)}: the straight wire, what its bends leave of it, and what {'one of the joint ends at' if ends != 'joint holds' else 'the joint holds'}",
        ("wire", "strength", "straight", "bends leave", ends),
        tuple(rows),
        note=f"Straight: limits of the table. Bends leave and {ends}: 19 of 20 pieces, with the middle and the expected load.",
    )


def _of_two(result: HoldResult) -> str:
    """Of which wire a table tells, where there are two."""
    return "" if result.pair is None else " of one of the two"


def layers_blocks(result: HoldResult, units: UnitSystem) -> list[Block]:
    """What each layer of evidence moved the load to plan with by; nothing where there is no load, and only that where none is to be
    planned with."""
    if load_to_plan(result).use == "do-not":
        return [Para(NO_LAYERS)]
    rows = tuple(
        (LAYERS[layer.name], _force(layer.plan_with_n, units), "" if k == 0 else _moved(layer.moved_n, units))
        for k, layer in enumerate(result.layers)
    )
    note = "The load to plan with (19 of 20 pieces hold more), once each layer is in."
    return [Table("Layers of evidence", ("layer", "plan with", "moved by"), rows, note=note)] if rows else []


def models_table(result: HoldResult, units: UnitSystem) -> Table:
    """What each model says, with its own friction number."""
    rows = []
    for model in result.models:
        number = model.friction
        friction = "none needed" if number is None else f"{number.value:.3f} ({number.low:.3f} to {number.high:.3f})"
        if not model.applicable:
            rows.append((model_name(model.key), friction, f"no model: {model.not_applicable_because}", "", ""))
            continue
        low, at, high = (_slip(value, result, units) for value in _three(model.unwinds_at_n))
        spread = f"{low} to {high}" if low != high else low
        rows.append((model_name(model.key), friction, at, spread, odds_words(model.probability_unwinds)))
    numbers = [model.friction for model in result.models if model.friction is not None]
    note = ""
    if numbers:
        lays = sorted({f"{number.lay_d:g} d" for number in numbers if number.lay_d})
        over = sorted({number.denominator for number in numbers})
        at = f"at a lay of {' and '.join(lays)}, " if lays else ""
        note = (
            f"Friction numbers: effective, each fitted for its own model and of no use in another; 95 % interval; {at}over "
            f"{' and '.join(over)}. Locked: the wire breaks first."
        )
    return Table(
        "When it unwinds, by model",
        ("model", "friction number", "unwinds at", "19 of 20 pieces", "chance"),
        tuple(rows),
        left=(0, 1, 2),
        note=note,
    )


_SURE: Final = {"B": "two ways", "C": "simulated", "D": "argued"}


def bends_table(result: HoldResult, units: UnitSystem) -> Table:
    """Each bend with its share of the load and what it leaves."""
    rows = []
    for bend in result.breaks:
        name, carries = place_words(bend.place), f"{bend.load_proportion:.2f}"
        if bend.strain is None:
            rows.append((name, carries, "overlap", "no estimate", "", "", _SURE[bend.grade]))
            continue
        low, high = bend.leaves.low, bend.leaves.high
        left = f"{low:.0%} to {high:.0%}" if round(low, 2) != round(high, 2) else f"{high:.0%}"
        first = "-" if math.isnan(bend.odds_first) else f"{bend.odds_first:.0%}"
        rows.append((name, carries, f"{bend.strain:.3f}", left, _force(bend.load_n, units), first, _SURE[bend.grade]))
    return Table(
        f"Places{_of_two(result)}: what each leaves of the wire",
        ("place", "share of load", "strain", "leaves", "breaks at", "first", "how sure"),
        tuple(rows),
        note=(
            "Leaves: 19 of 20 draws. Breaks at: joint load in nominal wire, by the middle of what is assumed. First: of the "
            "pieces that break, how often there. How sure: two ways: formula and simulation agree; the rest simulated or argued only; none tested."
        ),
    )


def evidence_blocks(result: HoldResult) -> list[Block]:
    """What the friction numbers rest on, and how thin that is."""
    used = result.evidence
    head = f"The friction numbers rest on {used.rests_on} ({used.origin})."
    if all(model.friction is None for model in result.models):
        head = "No fitted number enters: the load of wraps alone comes from the wire's plastic hinge."
        return [Heading("Evidence"), Para(head)]
    if result.setting.calibration == default_calibration():
        head += " That is thin: nothing else is known of this joint in hard wire, and one turn more or less changes the verdict."
    return [Heading("Evidence"), Para(head), Bullets(tuple(explain(note).message for note in used.notes))]


def calibration_blocks(fitted: CalibrationFit, units: UnitSystem, result: HoldResult) -> list[Block]:
    """The user's own pull tests: what was fitted to them, what was left out, what they cannot say."""
    rows, notes = [], []
    for model in fitted.models:
        number = model.friction
        value = f"{number.value:.4f}" if number else "not fitted"
        interval = f"{number.low:.4f} to {number.high:.4f}" if number else ""
        scatter = f"{number.scatter:.0%}" if number else ""
        out = sum(left.pieces for left in model.left_out)
        rows.append((model_name(model.key), value, interval, scatter, str(model.unwound), str(model.held), str(out)))
        if model.why_not:
            notes.append(f"Model {model.key}: {model.why_not}.")
        notes += [f"Model {model.key}: {left.pieces} pieces are left out: {left.why}." for left in model.left_out]
    table = Table(
        f"Friction numbers fitted to {fitted.tests.place}",
        ("model", "number", "95 % interval", "from piece to piece", "unwound", "held", "left out"),
        tuple(rows),
        left=(0, 2),
        note=(
            "Held: pieces that broke, slipped in a grip or were stopped; they show only that their joints hold that much. "
            "Breaking and unwinding hide each other, and both are allowed for."
        ),
    )
    blocks: list[Block] = [Heading("Calibration"), table]
    if notes:
        blocks.append(Bullets(tuple(notes)))
    blocks.append(Para(explain(fitted.turns_and_wraps_note).message, strong=not fitted.turns_and_wraps_apart))
    if fitted.wraps_alone:
        barrel_n = result.barrel.bending_n + result.barrel.torsion_n if result.grip.wraps else math.nan
        seen = [piece.load_proportion * result.strength_n for piece in fitted.wraps_alone if piece.unwound]
        if seen:
            text = f"Wraps alone unwound at {format_force(min(seen), units)} to {format_force(max(seen), units)} in the tests"
            text += f"; predicted from mechanics, not fitted: {_force(barrel_n, units)}."
            blocks.append(Para(text))
    return blocks


def _barrel_line(result: HoldResult, units: UnitSystem) -> str:
    bending, torsion = result.barrel.bending_n, result.barrel.torsion_n
    if not result.grip.turns:
        return (
            f"The barrel holds {_force(torsion, units)} by torsion or {_force(bending, units)} by bending of its first wrap, "
            "and the load is shared by both eye legs."
        )
    text = f"The tag pulls {result.throat_tension_proportion:.2f} of the load where the twist begins."
    if result.grip.hinged:
        text += (
            f" The barrel can hold {_force(torsion, units)} of it by torsion or {_force(bending, units)} by bending of its "
            "first wrap (nominal wire; neither mechanism is proven); the twist must take off the rest."
        )
    left = tag_left(result)
    if left:
        words = " and ".join(f"{share:.2f} by model {key}" for key, share in left.items())
        simulated = next(place.load_proportion for place in result.breaks if place.place == "exit_tag")
        text += f" Of the load, {number_of(result.grip.turns, 'turn')} leave the tag {words}; simulated pulls {simulated:.2f}, as in the table of places."
    return text


def _charts(result: HoldResult, units: UnitSystem) -> tuple[Chart, ...]:
    from helix.output.hold.hold_charts import bends_chart, layers_charts, models_chart

    if result.pair is not None:
        from helix.output.hold.pair_charts import slack_chart

        of_two = () if result.pair.load is None else (slack_chart(result.pair.load, units),)
        return (*of_two, bends_chart(result))
    return (*layers_charts(result, units), models_chart(result, units), bends_chart(result))


def _wire(result: HoldResult, units: UnitSystem) -> str:
    wire = result.recipe.wire
    return f"{wire.size + ', ' if wire.size else ''}{format_length(wire.diameter_mm, units)} {wire.material}"


def _slip(newton: float, result: HoldResult, units: UnitSystem) -> str:
    return "locked" if newton >= result.strength_n else _force(newton, units)


def _force(newton: float, units: UnitSystem) -> str:
    return "-" if math.isnan(newton) else format_force(newton, units)


def _moved(newton: float, units: UnitSystem) -> str:
    return f"{'-' if newton < 0.0 else '+'}{format_force(abs(newton), units)}" if newton else "nothing"


def _three(band: Band) -> tuple[float, float, float]:
    return band.low, band.nominal, band.high
