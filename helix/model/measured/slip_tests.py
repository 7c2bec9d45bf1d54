"""Reads pull tests for a calibration: what a friction number can be learned from, and every fault of the file at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from helix.data.wire_sizes import SIZE_TOLERANCE
from helix.errors import InputValueError, IssuePath, ValidationError, ValidationIssue, error_issue, quoted
from helix.findings import Finding, notice
from helix.model.files.file_kinds import PULLS
from helix.model.files.toml_file import refuse_other_kind
from helix.model.joint.wire import wire_of
from helix.model.measured.csv_cells import csv_of
from helix.model.measured.csv_text import column_name, parsed, read_text
from helix.model.measured.pull_columns import COLUMNS, OTHER_NAMES
from helix.model.measured.pull_file import PullPiece, pull_file_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.quantities import parse

NEEDED: Final = ("turns", "wraps", "load", "unit", "failure")


@dataclass(frozen=True)
class SlipTest:
    """One piece with joints: load over the straight wire's strength, counts, lay [d], whether a joint unwound there.

    What did not unwind (it broke, or slipped in a grip, or was stopped) shows only that its joints hold that much.
    """

    row: int
    load_share: float
    turns: float
    wraps: float
    lay_d: float
    unwound: bool
    joints: int


@dataclass(frozen=True)
class SlipTests:
    """The pieces of a file. denominator: what loads were divided by. notes: what was taken for granted."""

    place: str
    pieces: tuple[SlipTest, ...]
    denominator: str
    notes: tuple[Finding, ...]


def read_slip_tests(path: Path, recipe: Recipe) -> SlipTests:
    """The pull tests in a CSV file, for the wire of a recipe; raises ValidationError, every fault of the file at once."""
    text, notes = read_text(path, str(path))
    return slip_tests_from_text(text, recipe, str(path), notes)


def slip_tests_from_text(text: str, recipe: Recipe, place: str = "tests", notes: Sequence[Finding] = ()) -> SlipTests:
    """The pull tests in CSV text: columns turns, wraps, load, unit, failure; optional lay, size, joints and the rest.

    Loads are divided by the mean of the file's straight-wire controls of the same size or, without any, by the
    nominal strength of the wire. Raises ValidationError.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> wire = recipe_from_text('wire = {size = "MWG 14", material = "302 stainless"}\\neye = {pin = "6 mm"}\\n')
    >>> answer = slip_tests_from_text("turns,wraps,load,unit,failure\\n4,4,900,N,unwound\\n", wire)
    >>> answer.pieces[0].unwound, round(answer.pieces[0].load_share, 2)
    (True, 0.8)
    """
    text, names = _with_names(text, place)
    file = pull_file_from_text(text, place, list(notes))
    faults = [*file.faults, *_mixed_units(file.pieces, place)]
    jointed = [piece for piece in file.pieces if not piece.control]
    for piece in jointed:
        for column, value in (("turns", piece.turns), ("wraps", piece.wraps)):
            if value is None:
                empty = InputValueError("is-empty", wanted="be a number")
                faults.append(empty.at(IssuePath(file=place, row=piece.row, key=column)))
    controls = [piece for piece in file.pieces if piece.control and piece.failure not in ("grip", "stopped")]
    told_notes = [note for note in file.notes if names or note.code != "control-by-name"]
    d = recipe.wire.diameter_mm
    tests, laid, sized = [], 0, False
    for piece in jointed:
        strength, own = _strength(piece, controls, recipe, place, faults)
        lay, stated = _lay(piece, recipe, place, faults)
        laid += not stated
        sized = sized or own
        if piece.turns is None or piece.wraps is None or strength is None or lay is None:
            continue
        share = piece.load_n / strength
        tests.append(
            SlipTest(piece.row, share, piece.turns, piece.wraps, lay, piece.failure == "unwound", piece.joints)
        )
    if faults:
        raise ValidationError(faults)
    if not tests:
        raise ValidationError.at(place, code="none-with-joints")
    if laid:
        told_notes.append(notice("lay-from-recipe", count=laid, lay_d=recipe.twist.lay_mm / d))
    if not any(piece.cells["joints"] for piece in jointed):
        told_notes.append(notice("joints-at-both-ends"))
    denominator = "the mean of the straight-wire controls" if sized else "the wire's nominal strength"
    return SlipTests(place, tuple(tests), denominator, tuple(told_notes))


def _with_names(text: str, place: str) -> tuple[str, bool]:
    """The text with columns id and group, which a calibration does not need, filled in where they are missing.

    Rows keep their numbers. Raises ValidationError for columns that are needed.
    """
    refuse_other_kind(text, IssuePath(file=place), PULLS)
    table = parsed(text, place, [*COLUMNS, *OTHER_NAMES])
    names = [column_name(cell) for cell in table.heading]
    missing = [name for name in NEEDED if name not in names and not (name == "load" and _has_load(names))]
    if missing:
        where = f"{place} row {table.heading_row}"
        raise ValidationError(
            InputValueError("column-missing", column=name, offered="", hint=f": {COLUMNS[name]}").at(where)
            for name in missing
        )
    extra = [name for name in ("id", "group") if name not in names]
    if not extra:
        return text, True
    # the rows of the reader, each at its own number; what it left out comes back as a remark
    lines = {table.heading_row: [*table.heading, *extra]}
    width = len(table.heading)
    for row, cells in table.rows:
        full = [*cells, *[""] * (width - len(cells))]
        lines[row] = [*full[:width], *(f"row {row}" if name == "id" else "pieces" for name in extra), *full[width:]]
    return csv_of((lines.get(row, ["#"]) for row in range(1, max(lines) + 1)), table.delimiter), False


def _has_load(names: Sequence[str]) -> bool:
    return any(name.startswith(("load_(", "load_[", "load(", "load[")) for name in names)


def _mixed_units(pieces: Sequence[PullPiece], place: str) -> list[ValidationIssue]:
    """A fault for each row whose unit is not that of the first: a slip of the pen is worth a factor of 4.45."""
    if not pieces:
        return []
    first = pieces[0]
    unit = first.cells["unit"]
    return [
        InputValueError(
            "out-of-range", wanted=f"{unit} as in row {first.row}, one unit a file", got=quoted(piece.cells["unit"], 20)
        ).at(IssuePath(file=place, row=piece.row, key="unit"))
        for piece in pieces
        if piece.cells["unit"] != unit
    ]


def _strength(
    piece: PullPiece, controls: Sequence[PullPiece], recipe: Recipe, place: str, faults: list[ValidationIssue]
) -> tuple[float | None, bool]:
    """Breaking load of the piece's straight wire [N], and whether controls gave it."""
    alike = [control.load_n for control in controls if control.size == piece.size]
    if alike:
        return sum(alike) / len(alike), True
    wire = recipe.wire
    if piece.diameter_mm is None or abs(piece.diameter_mm / wire.diameter_mm - 1.0) <= SIZE_TOLERANCE:
        return wire.breaking_load_n[1], False
    try:
        return wire_of(wire.material, piece.diameter_mm).breaking_load_n[1], False
    except ValueError:
        unknown = InputValueError("no-strength-known", material=quoted(wire.material), got=quoted(piece.size, 20))
        faults.append(unknown.at(IssuePath(file=place, row=piece.row, key="size")))
        return None, False


def _lay(piece: PullPiece, recipe: Recipe, place: str, faults: list[ValidationIssue]) -> tuple[float | None, bool]:
    """Lay in wire diameters, and whether the row states it."""
    d = piece.diameter_mm or recipe.wire.diameter_mm
    text = piece.cells["lay"]
    if not text:
        return recipe.twist.lay_mm / recipe.wire.diameter_mm, False
    try:
        lay = parse(text, "length", d) / d
        if not 2.0 < lay <= 1000.0:
            raise InputValueError("out-of-range", wanted='above "2 d"', got=quoted(text, 20))
    except ValueError as error:
        faults.append(error_issue(IssuePath(file=place, row=piece.row, key="lay"), error))
        return None, True
    return lay, True
