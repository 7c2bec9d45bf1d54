"""What a plan of pull tests says: pieces, load cell, speed, wire to cut, energy, order; order file and labels."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from helix.model.measured.csv_cells import csv_of
from helix.model.measured.pull_columns import COLUMNS
from helix.output.canvas.lettering import fitted_line, fitted_title, text_width
from helix.output.canvas.paper import PT_PER_MM, Page, page_pdf
from helix.output.canvas.primitives import INK, Area, Primitive, Text, rectangle
from helix.output.pulls.pull_sentences import CAUTIONS, loads_words, made_of, question_words
from helix.output.report.document import Answer, Block, Bullets, Document, Heading, Para, Table
from helix.output.simulate.prediction_words import predictions_table
from helix.output.words.answer_words import CAUTION, INVENTED
from helix.output.words.findings.finding_words import explain
from helix.output.words.pull_words import NONE, PullFormat, counted, percent, plain_number, remark_line
from helix.studies.pulls_plan.load_cells import CellChoice
from helix.studies.pulls_plan.pull_by_size import STRESS_RATE_MPA_S
from helix.studies.pulls_plan.pull_order import OrderRow
from helix.studies.pulls_plan.pull_plan import PlanResult
from helix.units import KG_PER_LB, MM_PER_INCH, MPA_PER_KSI, N_PER_LBF, UnitSystem, format_tape

_ACROSS, _DOWN = 3, 9  # labels on a sheet


def plan_document(plan: PlanResult, units: UnitSystem = "metric") -> Document:
    """The plan as a document."""
    shown = PullFormat(units)
    title = f"Plan of pull tests{INVENTED if plan.invented else ''}"
    blocks: list[Block | None] = [
        Heading(title, 1),
        Answer(plan_lines(plan, shown), f"{'Invented joints. ' if plan.invented else ''}Test behind a screen; unload before touching a piece",
               "--all shows the rest.\nThen: helix pulls template pulls.csv"),
        Table(
            "Pieces that a question takes", ("to", "pieces", "how", "by"),
            tuple(
                (to_do, NONE if row.pieces is None else str(row.pieces), how, source)
                for row in plan.sizes
                for to_do, how, source in (question_words(row),)
            ),
            (0, 2, 3), "- : no number of pieces shows it, because what is expected does not reach what is asked.",
        ),
        Table(
            f"Load cells, {shown.force}", ("capacity", "class", "resolution", "verified from", "verdict"),
            tuple(
                (
                    shown.load(c.cell.capacity_n), c.cell.grade,
                    plain_number(c.cell.resolution_n / (N_PER_LBF if units == "inch" else 1.0))
                    + (" assumed" if c.cell.assumed else ""),
                    shown.load(c.cell.lower_limit_n), explain(c.reason, units).what,
                )
                for c in plan.cells
            ),
            (1, 4),
            f"Loads to be read: {loads_words(plan)}. Verified from: resolution over the least relative resolution of the class, "
            "ISO 7500-1 [mem]; class 1 is 200 times the resolution, ASTM E4 [pub].",
        ),
        _by_size(plan, shown),
        *_bench(plan, shown),
        Table(
            f"Wire to cut for a piece, {shown.length}", ("piece", "how many", "cut", "low", "high", "made of"),
            tuple(
                (x.treatment, str(x.pieces) if x.pieces else "as it goes", shown.mm(x.cut_mm), shown.mm(x.low_mm), shown.mm(x.high_mm), made_of(x, shown))
                for x in plan.lengths
            ),
            (0, 5),
            "Joints through the joint model; limits from the recipe's tolerances. The eyes go over pins, so "
            "only straight ends take grips.",
        ),
        _order(plan),
        None if plan.decide is None else predictions_table(plan.decide.strength_n, units),
        Heading("Cautions"),
        Bullets(CAUTIONS),
        Heading("What to keep in mind") if plan.notes else None,
        Bullets(tuple(remark_line(note, units) for note in plan.notes)) if plan.notes else None,
        Para(f"helix {plan.version}; order drawn with seed {plan.setup.seed}."),
    ]  # fmt: skip
    return Document(title, tuple(block for block in blocks if block is not None))


def plan_lines(plan: PlanResult, shown: PullFormat) -> tuple[str, ...]:
    """What is to be pulled, the load cell, what it will let one say, and the wire."""
    joints = sum(row.treatment.joints > 0 for row in plan.order)
    pieces = f"Pull {plan.each} of each recipe"
    if plan.order:
        straight = len(plan.order) - joints
        pieces += f": {counted(joints, 'piece')} and {counted(straight, 'straight piece')}"
    if len(plan.by_size) > 1:
        pieces += f" of {len(plan.by_size)} sizes"
    at_fault = [remark_line(note, shown.units) for note in plan.notes if note.code == "recipe-at-fault"]
    if plan.decide:
        pieces = f"To refute or keep the simulation: {pieces[0].lower()}{pieces[1:]}"
    lines = [*at_fault, f"{pieces}.", cell_words(plan, shown), shows_words(plan)]
    if any(size.cut_mm for size in plan.by_size):
        wire = "; ".join(
            f"{size.size} cut {shown.long(size.cut_mm)}, have {shown.long(size.stock_mm)}" for size in plan.by_size
        )
        lines.append(f"Wire: {wire}.")
    return tuple(lines)


def cell_words(plan: PlanResult, shown: PullFormat) -> str:
    """One load cell for all loads, straight wire among them; else one a size; else that none will do."""
    span = f"{shown.load(plan.load_low_n)} to {shown.load(plan.load_high_n)} {shown.force}"
    span += ", straight wire included" if plan.setup.controls else ""

    def name(choice: CellChoice) -> str:
        return f"{shown.load(choice.cell.capacity_n)} {shown.force} of class {choice.cell.grade}"

    if plan.cell is not None:
        return f"Load cell: {name(plan.cell)}, for {span}."
    if any(size.cell for size in plan.by_size):
        per_size = "; ".join(
            f"{size.size} {name(size.cell) if size.cell else 'none that will do'}" for size in plan.by_size
        )
        return f"Load cell: no one will do for {span}. {per_size}."
    return f"Load cell: none named will do for {span}." if plan.setup.cells else f"Load cell: none will do for {span}."


def shows_words(plan: PlanResult) -> str:
    """What so many pieces of one kind let one say."""
    shows = plan.shows
    text = f"{counted(shows.pieces, 'piece')} of a kind, none unwinding: up to {percent(shows.unwinds_at_most, 0)} % may still unwind"
    if shows.mean_within is None:
        return f"{text}; too few for a load to plan with."
    return (
        f"{text}; mean to within {percent(shows.mean_within)} %; load to plan with {percent(shows.plan_below)} % under the "
        f"mean (scatter of {percent(plan.wanted.cv)} %)."
    )


def _by_size(plan: PlanResult, shown: PullFormat) -> Table | None:
    """The test day, size by size."""
    inch = shown.units == "inch"
    per_energy, energy = (N_PER_LBF * MM_PER_INCH / 1000.0, "lbf inches") if inch else (1.0, "J")
    rounded = "rounded up" if inch else "to the next 100 mm"
    rows = tuple(
        (
            size.size, str(size.pieces) if size.pieces else "as it goes", str(size.controls),
            f"{shown.load(size.load_low_n)} to {shown.load(size.load_high_n)}",
            NONE if size.cell is None else shown.load(size.cell.cell.capacity_n),
            f"{shown.load(size.load_rate_n_s[0])} to {shown.load(size.load_rate_n_s[1])}", f"{size.energy.energy_j / per_energy:.2g}",
            shown.long(size.cut_mm), shown.long(size.stock_mm),
        )
        for size in plan.by_size
    )  # fmt: skip
    heading = (
        "size", "with joints", "straight", f"loads, {shown.force}", f"cell, {shown.force}", f"rise, {shown.force}/s",
        f"energy, {energy}", "wire to cut", "to have",
    )  # fmt: skip
    note = f"Loads: straight wire included. To have: a tenth more than is cut (assumed), {rounded}."
    return Table("The test day, size by size", heading, rows, (0,), note) if len(rows) > 1 else None


def _bench(plan: PlanResult, shown: PullFormat) -> list[Block]:
    out: list[Block] = []
    if plan.speed_mm_min and plan.by_size:
        slow, fast = plan.speed_mm_min
        low, high = plan.by_size[0].load_rate_n_s[0], plan.by_size[-1].load_rate_n_s[1]
        inch = shown.units == "inch"
        rate = " to ".join(f"{v / (MPA_PER_KSI if inch else 1.0):.2g}" for v in STRESS_RATE_MPA_S)
        rate += " ksi/s" if inch else " MPa/s"
        per = MM_PER_INCH if inch else 1.0
        speeds = f"{slow / per:.2g} to {fast / per:.2g} {shown.length}/min"
        out.append(
            Para(
                f"Speed: {speeds} for straight wire of this free length, {rate} "
                f"(ISO 6892-1 method B [mem]). Joints, grips and machine give way as well, so go by the load: it should rise "
                f"by {shown.load(low)} to {shown.load(high)} {shown.force} a second{' (by size: see above)' if len(plan.by_size) > 1 else ''}. One speed for all pieces."
            )
        )
    if plan.energy:
        e = plan.energy
        falling = f"1 kg falling {e.fall_of_1_kg_mm:.0f} mm"
        energy, speed = f"{e.energy_j:.2g} J", f"{e.end_speed_m_s:.0f} m/s"
        if shown.units == "inch":
            falling = f"1 lb falling {e.fall_of_1_kg_mm / (KG_PER_LB * MM_PER_INCH):.1f} inches"
            energy = f"{1000.0 * e.energy_j / (N_PER_LBF * MM_PER_INCH):.1f} lbf inches"
            speed = f"{1000.0 * e.end_speed_m_s / (12.0 * MM_PER_INCH):.0f} ft/s"
        out.append(
            Para(
                f"Energy at break: {energy} in the free length at {shown.load(e.load_n)} {shown.force} "
                f"(F^2 L/(2 E A)), as much as {falling}, and more in a soft machine. A free end "
                f"starts at up to {speed} (stress over the wave impedance)."
            )
        )
    return out


def _order(plan: PlanResult) -> Table | None:
    if not plan.order:
        return None
    rows = tuple(
        (
            r.id, r.treatment.name, plain_number(r.treatment.turns), plain_number(r.treatment.wraps), str(r.block), r.batch, r.maker,
            _remark(r),
        )
        for r in plan.order
    )  # fmt: skip
    note = "Test in this order. Turns and wraps are varied apart, and every block has every recipe, so that neither wire nor maker hides in a difference."
    return Table(
        "Order of tests", ("id", "piece", "turns", "wraps", "block", "batch", "maker", "remark"), rows, (0, 1, 7), note
    )


def _remark(row: OrderRow) -> str:
    """What to keep in mind at this piece."""
    return explain(row.remark).what if row.remark else ""


def order_csv(rows: tuple[OrderRow, ...], folder: Path, unit: str = "N") -> str:
    """The order as a pull-test file for that folder, load and failure still empty."""
    names = [name for name in COLUMNS if name not in ("recipe_a", "recipe_b", "rated_load")]
    written = [names]
    for r in rows:
        t = r.treatment
        cells = {
            "id": r.id, "group": t.name, "size": t.size, "batch": r.batch, "maker": r.maker, "joints": str(t.joints),
            "recipe": _from(folder, t.recipe), "turns": "" if t.turns is None else f"{t.turns:g}",
            "wraps": "" if t.wraps is None else f"{t.wraps:g}", "lay": t.lay, "unit": unit, "remark": _remark(r),
        }  # fmt: skip
        written.append([cells.get(name, "") for name in names])
    return csv_of(written)


def _from(folder: Path, recipe: str) -> str:
    """The recipe's path as seen from a folder, where there is one on the same drive."""
    try:
        return Path(os.path.relpath(recipe, folder)).as_posix() if recipe else ""
    except ValueError:
        return recipe


def labels_pdf(plan: PlanResult, units: UnitSystem = "metric") -> bytes:
    """Labels to print and cut out, three across and nine down on A4, in the order of testing."""
    sheets = range(0, len(plan.order), _ACROSS * _DOWN)
    cuts = {length.treatment: f"cut {format_tape(length.cut_mm, units)}" for length in plan.lengths}
    foot = f"{'Invented joints. ' if plan.invented else ''}{CAUTION}"
    return page_pdf(*(_label_page(plan.order[first : first + _ACROSS * _DOWN], cuts, foot) for first in sheets))


def _label_page(rows: Sequence[OrderRow], cuts: dict[str, str], foot: str) -> Page:
    wide, high, left, top = 63.0, 30.0, 10.5, 13.5
    room, letter = wide - 6.0, 9.0 / PT_PER_MM
    shapes: list[Primitive] = [Text(left, 297.0 - 8.0, foot, 7.0 / PT_PER_MM, INK)]
    for k, row in enumerate(rows):
        x, y = left + wide * (k % _ACROSS), top + high * (k // _ACROSS)
        shapes.append(Area(rectangle(x, y, x + wide, y + high), None, "#999999", 0.1))
        made = row.treatment
        name = fitted_title(made.name, letter, room - text_width(f"  {made.size}", letter, True))
        turns = f"{plain_number(made.turns)} turns, {plain_number(made.wraps)} wraps"
        lines = [
            (row.id, 15.0, True), (f"{name}  {made.size}", 9.0, True),
            (_remark(row) or (turns if made.joints else "straight wire"), 7.0, False),
            (f"batch {row.batch}, maker {row.maker}, block {row.block}", 7.0, False),
            (". ".join(text for text in (cuts.get(made.name, ""), "Wire whips: eye protection") if text), 7.0, False),
        ]  # fmt: skip
        y += 2.0
        for text, points, bold in lines:
            size = points / PT_PER_MM
            y += size * 1.25
            shapes.append(Text(x + 3.0, y, fitted_line(text, size, room, bold=bold), size, INK, bold))
    return Page(210.0, 297.0, "Labels", tuple(shapes))
