"""Reads a file of pull tests: pieces, what is wrong with each row, and what was taken for granted."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from helix.data.wire_sizes import find_size, size_read_as
from helix.errors import InputValueError, IssuePath, ValidationError, ValidationIssue, error_issue, quoted
from helix.findings import Finding, Severity, notice
from helix.model.files.file_kinds import PULLS
from helix.model.files.toml_file import refuse_other_kind
from helix.model.measured.csv_text import CsvText, column_name, decimal_commas, number, parsed, read_text
from helix.model.measured.pull_columns import COLUMNS, FAILURES, NEEDED, OTHER_NAMES, Ending, failure_word
from helix.quantities import parse, read_as
from helix.values import Scalar, Values

_CONTROL_NAME: Final = re.compile(r"(controls?|straight|plain wire)\b", re.IGNORECASE)
_MOST_FAULTS: Final = 200
_LEAST_N = 1e-6  # less is a slip of the pen: no wire is that thin
_HIGHEST_N: Final = 1e7
_LEAST_COUNT: Final = 0.01  # of a turn or a wrap: less cannot be told from none


@dataclass(frozen=True)
class PullPiece:
    """One piece: load in N, how it ended, joints in it (0: straight wire), and the cells as written.

    row: of the file, the first line being 1. recipes: of ends a and b, "" where none is given.
    """

    row: int
    id: str
    group: str
    load_n: float
    failure: str
    joints: int
    end: str
    size: str
    diameter_mm: float | None
    batch: str
    maker: str
    rated_n: float | None
    turns: float | None
    wraps: float | None
    recipes: tuple[str, str]
    speed: str
    curve: str
    cells: dict[str, str] = field(repr=False)

    @property
    def ending(self) -> Ending:
        """What the failure counts as: joint, clear, unwound, grip or stopped."""
        return FAILURES[self.failure][0]

    @property
    def control(self) -> bool:
        """Whether it is straight wire."""
        return self.joints == 0


@dataclass(frozen=True)
class PullFile:
    """Pieces that could be read, faults of the rows that could not, and notes.

    columns: headings as compared; untested: rows with neither load nor failure.
    """

    place: str
    pieces: tuple[PullPiece, ...]
    faults: tuple[ValidationIssue, ...]
    notes: tuple[Finding, ...]
    columns: tuple[str, ...]
    untested: int

    @property
    def invented(self) -> bool:
        """Whether the file says of all its pieces that they are."""
        return bool(self.pieces) and all(piece.cells["remark"].startswith("invented") for piece in self.pieces)


def read_pull_file(path: Path) -> PullFile:
    """The pull tests in a CSV file. Raises ValidationError where the file as a whole cannot be used."""
    text, notes = read_text(path, str(path))
    return pull_file_from_text(text, str(path), notes)


def pull_file_from_text(text: str, place: str = "tests", notes: list[Finding] | None = None) -> PullFile:
    """The pull tests in CSV text; faults of rows are gathered in the result, those of the heading raised.

    >>> file = pull_file_from_text("id,group,load,unit,failure\\n1,A,170,lbf,broke\\n")
    >>> round(file.pieces[0].load_n, 1)
    756.2
    """
    refuse_other_kind(text, IssuePath(file=place), PULLS)
    known = [*COLUMNS, *OTHER_NAMES]
    table = parsed(text, place, known)
    reader = _Reader(place, table, [*(notes or ()), *table.notes])
    return reader.read()


class _Reader:
    """Reads the rows of one table; gathers faults and notes."""

    def __init__(self, place: str, table: CsvText, notes: list[Finding]) -> None:
        self.place, self.table, self.notes = place, table, notes
        self.faults: list[ValidationIssue] = []
        self.left_out = 0
        self.names = self._heading()
        self.column = {name: k for k, name in enumerate(self.names) if name}
        self.commas = {name: self._commas(name) for name in ("load", "rated_load", "turns", "wraps")}
        self.sizes: dict[str, float | ValueError] = {}
        self.seen: dict[str, int] = {}

    def _heading(self) -> list[str]:
        """Names of the columns; raises ValidationError for needed ones that are missing or given twice."""
        table, place = self.table, f"{self.place} row {self.table.heading_row}"
        names = [column_name(cell) for cell in table.heading]
        unit_in_heading = [re.fullmatch(r"load_?[\[(]\s*(\w+)\s*[\])]", name) for name in names]
        faults = []
        for k, name in enumerate(names):
            other = OTHER_NAMES.get(name)
            if other and other not in names:
                self.notes.append(notice("column-read-as", heading=table.heading[k].strip(), column=other))
                names[k] = other
            if unit_in_heading[k]:
                names[k] = "load"
        for name, times in Counter(name for name in names if name).items():
            if times > 1:
                faults.append(ValidationIssue(place, code="column-twice", values=Values(column=name, times=times)))
        for name in NEEDED:
            if name in names:
                continue
            near = get_close_matches(name, [n for n in names if n and n not in COLUMNS], n=1, cutoff=0.6)
            hint = f'; did you mean it by "{near[0]}"?' if near else ""
            more = " (N, kN, lbf or kgf, in each row)" if name == "unit" else ""
            missing = Values(column=name, offered=more, hint=hint)
            faults.append(ValidationIssue(place, code="column-missing", values=missing))
        if len(faults) > 2 and len(names) < 3:
            wanted, got = f"a heading with the columns {', '.join(NEEDED)}", quoted(",".join(table.heading))
            raise ValidationError.at(place, code="wrong-type", values=Values(wanted=wanted, got=got, hint=""))
        if faults:
            raise ValidationError(faults)
        strange = [name for name in names if name and name not in COLUMNS]
        for name in strange:
            near = get_close_matches(name, [c for c in COLUMNS if c not in names], n=1, cutoff=0.8)
            if near:
                self.notes.append(notice("column-not-known", heading=name, near=near[0]))
        return names

    def _commas(self, name: str) -> bool:
        """Whether a column is written with decimal commas; noted."""
        at = self.column.get(name)
        if at is None:
            return False
        cells = [cells[at] for _, cells in self.table.rows if at < len(cells) and "," in cells[at]]
        if not cells or not decimal_commas([cells[at] for _, cells in self.table.rows if at < len(cells)]):
            return False
        rows = [row for row, cells in self.table.rows if at < len(cells) and "," in cells[at]]
        self.notes.append(notice("decimal-commas", column=name, count=len(rows), first_row=rows[0], last_row=rows[-1]))
        return True

    def read(self) -> PullFile:
        pieces, untested = [], 0
        for row, cells in self.table.rows:
            faults_before = len(self.faults)
            named = self._named(row, cells)
            if named is None:
                self.left_out += 1
                continue
            if not named["load"] and not named["failure"] and (named["id"] or named["group"]):
                untested += 1
                continue
            piece = self._piece(row, named)
            if piece is None or len(self.faults) > faults_before:
                self.left_out += 1
            else:
                pieces.append(piece)
        if not self.table.rows:
            raise ValidationError.at(self.place, code="no-pieces")
        self._note_controls(pieces)
        faults = self.faults
        if len(faults) > _MOST_FAULTS:
            more = len(faults) - _MOST_FAULTS
            rest = ValidationIssue(
                self.place, code="and-more", values=Values(more=more, what="faults of the same kinds")
            )
            faults = [*faults[:_MOST_FAULTS], rest]
        if not pieces:
            if untested and not faults:
                raise ValidationError.at(self.place, code="none-tested", values=Values(pieces=untested))
            raise ValidationError(faults)
        if self.left_out:
            left = notice("rows-left-out", "", Severity.CAUTION, count=self.left_out, of=len(self.table.rows))
            self.notes.insert(0, left)
        if untested:
            self.notes.append(notice("rows-untested", count=untested))
        return PullFile(
            self.place, tuple(pieces), tuple(faults), tuple(self.notes), tuple(filter(None, self.names)), untested
        )

    def _refuse(self, row: int, column: str, error: ValueError) -> None:
        self.faults.append(error_issue(IssuePath(file=self.place, row=row, key=column), error))

    def _fault(self, row: int, column: str, code: str, **values: Scalar) -> None:
        self._refuse(row, column, InputValueError(code, **values))

    def _named(self, row: int, cells: tuple[str, ...]) -> dict[str, str] | None:
        """Cells by name; None, with a fault, for a row of another length."""
        extra = [cell for cell in cells[len(self.names) :] if cell.strip()]
        if extra:
            hint = ""
            if self.table.delimiter == ",":
                hint = (
                    "; is a number written with a decimal comma? Write a point, or save with semicolons between columns"
                )
            self.faults.append(
                ValidationIssue(
                    IssuePath(file=self.place, row=row),
                    code="row-length",
                    values=Values(cells=len(self.names), got=len(cells), hint=hint),
                )
            )
            return None
        named = dict.fromkeys(COLUMNS, "")
        for name, cell in zip(self.names, cells, strict=False):
            if name:
                named[name] = cell.strip()
        return named

    def _piece(self, row: int, named: dict[str, str]) -> PullPiece | None:
        identity, group = named["id"], named["group"]
        if not identity:
            self._fault(row, "id", "is-empty", wanted="name the piece")
        elif identity in self.seen:
            self._fault(row, "id", "id-twice", id=quoted(identity, 40), row_before=self.seen[identity])
        else:
            self.seen[identity] = row
        if not group:
            self._fault(row, "group", "is-empty", wanted="name the group")
        load = self._load(row, named)
        failure = ""
        try:
            failure = failure_word(named["failure"])
        except ValueError as error:
            self._refuse(row, "failure", error)
        joints = self._joints(row, named)
        if joints == 0 and failure in ("broke_barrel_end", "broke_exit", "broke_entry", "unwound"):
            wanted = "broke_clear, broke, grip or stopped for straight wire"
            self._fault(row, "failure", "out-of-range", wanted=wanted, got=failure)
        recipes = (named["recipe_a"] or named["recipe"], named["recipe_b"] or named["recipe"])
        diameter = self._diameter(row, named["size"])
        rated = self._rated(row, named)
        turns, wraps = self._count(row, "turns", named), self._count(row, "wraps", named)
        if load is None or joints is None or not failure:
            return None
        return PullPiece(
            row, identity, group, load, failure, joints, named["end"].lower(), named["size"], diameter, named["batch"],
            named["maker"], rated, turns, wraps, recipes, named["speed"], named["curve"], named,
        )  # fmt: skip

    def _load(self, row: int, named: dict[str, str]) -> float | None:
        load, unit = named["load"], named["unit"]
        if not unit:
            self._fault(row, "unit", "is-empty", wanted="be N, kN, lbf or kgf")
        try:
            value = number(load, self.commas["load"])
        except ValueError as error:
            self._refuse(row, "load", error)
            return None
        return self._newtons(row, "load", load, value, unit) if unit else None

    def _newtons(self, row: int, column: str, shown: str, value: float, unit: str) -> float | None:
        factor = self.sizes.get(f"unit {unit}")
        if factor is None:
            try:
                factor = parse(f"1 {unit}", "force")
                if otherwise := read_as(f"1 {unit}", "force"):
                    self.notes.append(notice("read-as", text=otherwise.replace("1 ", "", 1)))
            except InputValueError as error:
                hint = error.values.get("hint", "")
                factor = InputValueError("not-a-choice", wanted="N, kN, lbf or kgf", got=quoted(unit, 20), hint=hint)
            self.sizes[f"unit {unit}"] = factor
        if isinstance(factor, ValueError):
            self._refuse(row, "unit", factor)
            return None
        if not _LEAST_N <= value * factor <= _HIGHEST_N:
            wanted = "above 0" if value <= 0.0 else f"at least {_LEAST_N:g} N"
            wanted += f" and at most {_HIGHEST_N:.0e} N"
            self._fault(row, column, "out-of-range", wanted=wanted, got=quoted(shown, 40))
            return None
        return value * factor

    def _rated(self, row: int, named: dict[str, str]) -> float | None:
        text = named["rated_load"]
        if not text:
            return None
        try:
            value = number(text, self.commas["rated_load"])
        except ValueError:
            try:
                newtons = parse(text, "force")
            except ValueError as error:
                self._refuse(row, "rated_load", error)
                return None
            if newtons <= 0.0:
                self._fault(row, "rated_load", "out-of-range", wanted="above 0", got=quoted(text, 40))
                return None
            return newtons
        return self._newtons(row, "rated_load", text, value, named["unit"]) if named["unit"] else None

    def _joints(self, row: int, named: dict[str, str]) -> int | None:
        text = named["joints"]
        if not text:
            return 0 if _CONTROL_NAME.match(named["group"]) else 2
        if text in ("0", "1", "2"):
            return int(text)
        self._fault(row, "joints", "out-of-range", wanted="2, 1, or 0 for straight wire", got=quoted(text, 20))
        return None

    def _count(self, row: int, column: str, named: dict[str, str]) -> float | None:
        text = named[column]
        if not text:
            return None
        try:
            value = number(text, self.commas[column])
            if value and not _LEAST_COUNT <= value <= 1000.0:
                wanted = "from 0 to 1000" if abs(value) >= _LEAST_COUNT else f"0, or at least {_LEAST_COUNT:g}"
                raise InputValueError("out-of-range", wanted=wanted, got=quoted(text, 20))
        except ValueError as error:
            self._refuse(row, column, error)
            return None
        return value

    def _diameter(self, row: int, text: str) -> float | None:
        if not text:
            return None
        if text not in self.sizes:
            try:
                self.sizes[text] = self._sized(text)
            except ValueError as error:
                self.sizes[text] = error
        size = self.sizes[text]
        if isinstance(size, ValueError):
            self._refuse(row, "size", size)
            return None
        return size

    def _sized(self, text: str) -> float:
        if not (text[:1].isalpha() or text.startswith("#")):
            return parse(text, "length")
        size = find_size(text)
        if otherwise := size_read_as(text):
            self.notes.append(notice("read-as", text=otherwise))
        return size.diameter_mm

    def _note_controls(self, pieces: list[PullPiece]) -> None:
        names = {piece.group for piece in pieces if piece.control and not piece.cells["joints"]}
        self.notes += [notice("control-by-name", group=name) for name in sorted(names)]
