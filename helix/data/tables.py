"""Reads the package's own CSV tables."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import Final

DATA_FOLDER: Final = Path(__file__).parent


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """Rows of the CSV file `name` in helix/data, one dict a row, without its '#' comment lines.

    Raises OSError when there is no such table.

    >>> table("music_wire_gauge.csv")[10]["diameter_in"]
    '0.029'
    """
    with (DATA_FOLDER / name).open(encoding="ascii", newline="") as stream:
        return tuple(csv.DictReader(line for line in stream if not line.startswith("#")))
