"""Cells of the CSV files that helix writes: text that a spreadsheet would run as a formula is kept text, and reads back."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

# what a spreadsheet takes for the start of a formula, in ordinary and in full width; apostrophes before it are counted
_FORMULA = re.compile(r"'*[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]")


def escape_formula(text: str) -> str:
    """Text as it stands in a cell: with an apostrophe before it where it would start a formula.

    Text that has apostrophes there already gets one more, so that ``read_back`` is exact for every text.

    >>> escape_formula("=2+2"), escape_formula("-x"), escape_formula("5+5"), escape_formula("'=a")
    ("'=2+2", "'-x", '5+5', "''=a")
    """
    return f"'{text}" if _FORMULA.match(text) else text


def read_back(cell: str) -> str:
    """Text of a cell as ``escape_formula`` wrote it; other cells as they are.

    >>> read_back("'=2+2"), read_back("''=a"), read_back("'tis"), read_back("-3.5")
    ('=2+2', "'=a", "'tis", '-3.5')
    """
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell) else cell


def csv_of(rows: Iterable[Sequence[str | float]], delimiter: str = ",") -> str:
    r"""Rows as comma-separated text: text by ``escape_formula``, numbers (int, float) as they are, also below 0.

    >>> csv_of([("piece", "from_mm"), ("@home", -0.5)])
    "piece,from_mm\n'@home,-0.5\n"
    """
    lines = []
    for row in rows:
        out = io.StringIO(newline="")
        # the writer quotes the characters of its own line end only: a bare carriage return in a name too
        writer = csv.writer(out, delimiter=delimiter, lineterminator="\r\n")
        writer.writerow([escape_formula(cell) if isinstance(cell, str) else cell for cell in row])
        lines.append(out.getvalue().removesuffix("\r\n") + "\n")
    return "".join(lines)
