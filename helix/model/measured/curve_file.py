"""Reads load-extension curves of any machine, by a small mapping that names their columns and units."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from helix.errors import IssuePath, ValidationError, ValidationIssue, error_issue, quoted
from helix.findings import Finding, notice
from helix.model.files.file_keys import Key, least
from helix.model.files.file_kinds import MAPPING, template_in
from helix.model.files.file_table import Faults, Table, kind
from helix.model.files.toml_file import key_lines, toml_values
from helix.model.measured.csv_text import DELIMITERS, number, parsed, read_text
from helix.quantities import Dimension, parse
from helix.units import UnitSystem
from helix.values import Values

Array: TypeAlias = NDArray[np.float64]

MAPPING_TEMPLATE: Final = """\
# Which columns of a load-extension file hold what, and in which units.
# column: the heading as it stands in the file, or the number of the column, counted from 1.

[load]
column = "Force"
unit = "N"            # N, kN, lbf or kgf

[extension]
column = "Extension"
unit = "mm"           # mm, cm, m, in

[file]
skip = 0              # rows above the heading
units_row = false     # whether a row of units stands under the heading
"""
_IN_INCHES: Final = {
    'unit = "N"            # N, kN, lbf or kgf': 'unit = "lbf"          # lbf, N, kN or kgf',
    'unit = "mm"           # mm, cm, m, in': 'unit = "in"           # in, mm, cm, m',
}
_MOST_NAMED: Final = 20
MOST: Final = 1e12
"""The largest number that a cell may hold: far beyond what a bench reads in any unit."""
_SKIP: Final = Key(name="skip", kind="count", limits=least(0, 10_000))
_KEYS: Final = {"load": ("column", "unit"), "extension": ("column", "unit"), "file": ("skip", "units_row")}


def mapping_template(units: UnitSystem) -> str:
    """The mapping to start from, with the units of that system.

    >>> [line for line in mapping_template("inch").splitlines() if line.startswith("unit ")][1]
    'unit = "in"           # in, mm, cm, m'
    """
    return template_in(MAPPING_TEMPLATE, _IN_INCHES, units)


@dataclass(frozen=True)
class CurveMapping:
    """Columns by heading or number from 1, the size of their units in N and mm, rows to leave out."""

    load: str | int
    load_n: float
    extension: str | int
    extension_mm: float
    skip: int
    units_row: bool


@dataclass(frozen=True)
class Curve:
    """Extension in mm and load in N, in the order measured, shape (n,); notes on what was taken for granted."""

    place: str
    extension_mm: Array
    load_n: Array
    notes: tuple[Finding, ...]


def read_mapping(path: Path) -> CurveMapping:
    """The mapping in a TOML file; raises ValidationError with every fault at once."""
    place = str(path)
    text, _ = read_text(path, place, MAPPING)
    return mapping_from_text(text, place)


def mapping_from_text(text: str, place: str = "mapping") -> CurveMapping:
    """The mapping in TOML text.

    >>> mapping_from_text(MAPPING_TEMPLATE).load
    'Force'
    """
    values = toml_values(text, place, MAPPING)
    faults = Faults(place, key_lines(text), kind=MAPPING.name)
    Table(faults, (), values, None).known_keys(_KEYS, {})
    tables = {name: Table(faults, (name,), values.get(name), None) for name in _KEYS}
    for name, table in tables.items():
        table.known_keys(_KEYS[name], {})

    def column(name: str) -> str | int:
        value = tables[name].values.get("column")
        if isinstance(value, str) and value.strip() or type(value) is int and value >= 1:
            return value
        wanted = "a heading in quotes, or a number from 1"
        tables[name].fault("column", "wrong-type", wanted=wanted, got=_shown(value), hint="")
        return 1

    def unit(name: str, dimension: Dimension, offered: str) -> float:
        value = tables[name].values.get("unit")
        try:
            return parse(f"1 {value}" if isinstance(value, str) and value.strip() else "1", dimension)
        except ValueError:
            tables[name].fault("unit", "not-a-choice", wanted=offered, got=_shown(value), hint="")
            return 1.0

    skip = tables["file"].value(_SKIP) or 0.0
    if skip != int(skip):
        tables["file"].fault("skip", "out-of-range", wanted="a whole number", got=f"{skip:g}")
    units_row = tables["file"].values.get("units_row", False)
    if not isinstance(units_row, bool):
        tables["file"].fault("units_row", "wrong-type", wanted="true or false", got=_shown(units_row), hint="")
    mapping = CurveMapping(
        column("load"), unit("load", "force", '"N", "kN", "lbf" or "kgf"'),
        column("extension"), unit("extension", "length", '"mm", "cm", "m" or "in"'), int(skip), bool(units_row),
    )  # fmt: skip
    if faults.issues:
        raise faults.error()
    return mapping


def _shown(value: object) -> str:
    return "nothing" if value is None else kind(value)


def read_curve(path: Path, mapping: CurveMapping) -> Curve:
    """One curve; raises ValidationError for a column that is not there and for cells that are no numbers."""
    place = str(path)
    text, notes = read_text(path, place, None)
    return curve_from_text(text, mapping, place, notes)


def curve_from_text(
    text: str, mapping: CurveMapping, place: str = "curve", notes: list[Finding] | None = None
) -> Curve:
    """The curve in CSV text.

    >>> mapping = mapping_from_text(MAPPING_TEMPLATE)
    >>> rows = "".join(f"{k},5;0,{k}\\n" for k in range(10, 40))
    >>> curve_from_text("Force;Extension\\n" + rows, mapping).load_n[:2].tolist()
    [10.5, 11.5]
    """
    notes_read = list(notes or ())
    wanted = [name.strip().lower() for name in (mapping.load, mapping.extension) if isinstance(name, str)]
    lines = text.splitlines(keepends=True)
    at = _heading_line(lines, mapping.skip)
    if at is None:
        raise ValidationError.at(place, code="is-empty", values=Values(wanted="have a heading and rows under it"))
    head = parsed(lines[at], place, [re.sub(r"[\s\-]+", "_", name) for name in wanted])
    names = [cell.strip() for cell in head.heading]
    places = [_column(name, names, place, at + 1) for name in (mapping.load, mapping.extension)]
    faults = [fault for fault in places if isinstance(fault, ValidationIssue)]
    if faults:
        raise ValidationError(faults)
    columns = [k for k in places if isinstance(k, int)]
    body = lines[at + 1 + int(mapping.units_row) :]
    values = _fast(body, head.delimiter, columns, notes_read)
    if values is None:
        values = _slow(body, at + 2 + int(mapping.units_row), head.delimiter, columns, names, place)
    if values.shape[0] < 20:
        raise ValidationError.at(place, code="few-points", values=Values(least=20, points=values.shape[0]))
    return Curve(place, values[:, 1] * mapping.extension_mm, values[:, 0] * mapping.load_n, tuple(notes_read))


def _table(values: dict[str, Any], name: str) -> dict[str, Any]:
    value = values.get(name)
    return value if isinstance(value, dict) else {}


def _heading_line(lines: list[str], skip: int) -> int | None:
    for k in range(skip, len(lines)):
        if _is_row(lines[k]):
            return k
    return None


def _is_row(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def _column(wanted: str | int, names: list[str], place: str, row: int) -> int | ValidationIssue:
    if isinstance(wanted, int):
        if wanted <= len(names):
            return wanted - 1
        return ValidationIssue(
            IssuePath(file=place, row=row), code="column-beyond", values=Values(column=wanted, columns=len(names))
        )
    same = [k for k, name in enumerate(names) if name.lower() == wanted.strip().lower()]
    if len(same) == 1:
        return same[0]
    what = "is there twice" if same else f"is missing; its columns are {', '.join(names)[:200]}"
    values = Values(column=quoted(wanted), what=what)
    return ValidationIssue(IssuePath(file=place, row=row), code="column-not-mapped", values=values)


def _fast(body: list[str], delimiter: str, columns: list[int], notes: list[Finding]) -> Array | None:
    """Both columns by numpy's reader; None where a cell is no number, or none that a bench reads, and without rows."""
    if not any(map(_is_row, body)):
        return None
    text = "".join(body)
    if delimiter != "," and "," in text:
        if "." in text:
            return None
        text = text.replace(",", ".")
        notes.append(notice("curve-decimal-commas", by=DELIMITERS[delimiter]))
    try:
        values = np.loadtxt(io.StringIO(text), delimiter=delimiter, usecols=columns, ndmin=2, comments="#")
    except ValueError:
        return None
    return values if (np.abs(values) <= MOST).all() else None


def _slow(body: list[str], row: int, delimiter: str, columns: list[int], names: list[str], place: str) -> Array:
    """Row by row: raises ValidationError that name each cell that is no number."""
    faults: list[ValidationIssue] = []
    values = []
    for line in body:
        cells = line.rstrip("\r\n").split(delimiter)
        if _is_row(line):
            slow = []
            for k in columns:
                try:
                    cell = cells[k].strip().strip('"') if k < len(cells) else ""
                    slow.append(number(cell, delimiter != ",", MOST))
                except ValueError as error:
                    faults.append(error_issue(IssuePath(file=place, row=row, key=names[k]), error))
            values.append(slow)
        row += 1
    if faults:
        if len(faults) > _MOST_NAMED:
            more = Values(more=len(faults) - _MOST_NAMED, what="such cells")
            faults = [*faults[:_MOST_NAMED], ValidationIssue(place, code="and-more", values=more)]
        raise ValidationError(faults)
    return np.array(values).reshape(-1, 2)
