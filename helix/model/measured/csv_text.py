"""Reads comma-separated text as spreadsheets and machines write it, and says whatever it took for granted."""

from __future__ import annotations

import csv
import io
import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from helix.errors import InputValueError, IssuePath, ValidationError, one_line, quoted
from helix.findings import Finding, notice
from helix.model.files.file_kinds import PULLS, Kind
from helix.model.files.toml_file import looked_in
from helix.model.measured.csv_cells import read_back
from helix.values import Values

MOST_BYTES: Final = 100_000_000
DELIMITERS: Final = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_PLAIN = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+(?:[eE][+-]?[0-9]+)?")
_EITHER = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")


@dataclass(frozen=True)
class CsvText:
    """Heading and rows of a file, each row with its number as a spreadsheet shows it, and what was noticed."""

    heading: tuple[str, ...]
    heading_row: int
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    delimiter: str
    notes: tuple[Finding, ...]


def read_text(path: Path, place: str, kind: Kind | None = PULLS) -> tuple[str, list[Finding]]:
    """Text of a file and notes on its coding; raises ValidationError when it is no text that can be read."""
    try:
        if path.is_dir():
            raise ValidationError.at(place, code="a-folder", values=Values(kind="CSV file"))
        if path.exists() and not path.is_file():  # opening a pipe that nobody writes to would wait for ever
            raise ValidationError.at(place, code="not-a-file")
        with path.open("rb") as stream:
            data = stream.read(MOST_BYTES + 1)
    except FileNotFoundError:
        other = 'its name stands in the column "curve"' if kind is None else kind.start
        folder, start = looked_in(path, other)
        raise ValidationError.at(place, code="no-such-file", values=Values(folder=folder, start=start)) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise ValidationError.at(place, code="unreadable", values=Values(why=reason.lower())) from error
    if len(data) > MOST_BYTES:
        raise ValidationError.at(place, code="file-too-large", values=Values(most_mb=MOST_BYTES // 1_000_000))
    return decoded(data, place)


def decoded(data: bytes, place: str) -> tuple[str, list[Finding]]:
    """Text of bytes: UTF-8 or UTF-16 by its byte-order mark, else UTF-8, else Windows-1252, with a note."""
    for mark, coding in ((b"\xef\xbb\xbf", "UTF-8"), (b"\xff\xfe", "UTF-16-LE"), (b"\xfe\xff", "UTF-16-BE")):
        if data.startswith(mark):
            try:
                text = data[len(mark) :].decode(coding)
            except UnicodeDecodeError:
                raise ValidationError.at(place, code="not-that-coding", values=Values(coding=coding)) from None
            return text, [notice("byte-order-mark", coding=coding)]
    if b"\x00" in data:
        raise ValidationError.at(place, code="zero-bytes")
    try:
        return data.decode("utf-8"), []
    except UnicodeDecodeError:
        text = data.decode("cp1252", "replace")
        return text, [notice("read-as-windows")]


def parsed(text: str, place: str, wanted: Sequence[str], skip: int = 0) -> CsvText:
    """Heading and rows; the delimiter is the one that gives a heading with most of the `wanted` columns.

    Blank rows and rows that start with # are left out; skip: rows to leave out before the heading. Raises
    ValidationError for a file without heading and for quotes that do not close.
    """
    notes: list[Finding] = []
    declared = re.match(r"[ \t]*sep=(.)[ \t,;]*(?:\r\n|\r|\n)", text)
    start = 1
    if declared and declared[1] in DELIMITERS:
        text, start = text[declared.end() :], 2
    options = [declared[1]] if start == 2 and declared else list(DELIMITERS)
    best: tuple[int, int, str] = (-1, -1, ",")
    for rank, delimiter in enumerate(options):
        heading = next((cells for _, cells in _rows(text[:20_000], delimiter, start, place, True, skip)), ())
        names = [column_name(cell) for cell in heading]
        score = (sum(name in wanted for name in names), -rank, delimiter)
        best = max(best, score)
    delimiter = best[2]
    rows = _rows(text, delimiter, start, place, False, skip)
    if not rows:
        raise ValidationError.at(
            place, code="is-empty", values=Values(wanted="have a heading and a row for each piece")
        )
    if delimiter != ",":
        notes.append(notice("columns-apart", by=DELIMITERS[delimiter]))
    (at, heading), body = rows[0], rows[1:]
    while heading and not heading[-1].strip():
        heading = heading[:-1]
    return CsvText(tuple(heading), at, tuple(body), delimiter, tuple(notes))


def _rows(
    text: str, delimiter: str, start: int, place: str, quiet: bool, skip: int
) -> list[tuple[int, tuple[str, ...]]]:
    rows = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    number = start - 1
    try:
        for cells in reader:
            number += 1
            if (
                number - start + 1 <= skip
                or not any(cell.strip() for cell in cells)
                or cells[0].lstrip().startswith("#")
            ):
                continue
            rows.append((number, tuple(map(read_back, cells))))
            if quiet:
                break
    except csv.Error as error:
        if not quiet:
            raise ValidationError.at(
                IssuePath(file=place, row=number + 1), code="not-csv", values=Values(why=str(error))
            ) from error
    return rows


def column_name(cell: str) -> str:
    """A heading as helix compares it: small letters, words joined by underscores.

    >>> column_name(" Rated Load ")
    'rated_load'
    """
    return re.sub(r"[\s\-]+", "_", cell.strip().lower())


def decimal_commas(cells: Sequence[str]) -> bool:
    """Whether the commas of these cells can only be decimal commas: one that no thousands mark explains, no points.

    >>> decimal_commas(["712,5", "1,234"]), decimal_commas(["1,234"]), decimal_commas(["712,5", "3.5"])
    (True, False, False)
    """
    commas = [cell for cell in map(str.strip, cells) if _COMMA.fullmatch(cell)]
    sure = any(not _EITHER.fullmatch(cell) for cell in commas)
    return sure and not any("." in cell for cell in cells)


def number(text: str, commas: bool = False, most: float = sys.float_info.max) -> float:
    """A finite number up to a largest one; commas: whether a comma is the decimal mark. Raises InputValueError.

    >>> number("712.5"), number("712,5", commas=True)
    (712.5, 712.5)
    """
    stripped = text.strip()
    plain = stripped.replace(",", ".") if commas and _COMMA.fullmatch(stripped) else stripped
    if _PLAIN.fullmatch(plain):
        value = float(plain)
        if abs(value) > most:
            raise _no_number(quoted(stripped), ", which is too large")
        return value
    if _COMMA.fullmatch(stripped):
        if _EITHER.fullmatch(stripped):
            point, none = stripped.replace(",", "."), stripped.replace(",", "")
            raise _no_number(quoted(stripped), f", which can be {point} or {none}: write one of them")
        raise _no_number(quoted(stripped), ": write a point for the decimal mark")
    if not stripped:
        raise InputValueError("is-empty", wanted="be a number")
    if re.fullmatch(r"[0-9.,' ]+", stripped):
        wanted = "a number without marks between thousands"
        raise InputValueError("wrong-type", wanted=wanted, got=quoted(stripped), hint="")
    raise _no_number(quoted(one_line(stripped), 40))


def _no_number(got: str, hint: str = "") -> InputValueError:
    return InputValueError("wrong-type", wanted="a number", got=got, hint=hint)
