"""Reads the package's own CSV tables."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import Final

DATA_FOLDER: Final = Path(__file__).parent


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of a CSV file in helix/data, without its '#' comment lines.

    Parameters
    ----------
    name : str
        The file's name; OSError when there is none.

    Returns
    -------
    tuple of dict
        One a row, texts by heading.

    Examples
    --------
    >>> table("music_wire_gauge.csv")[10]["diameter_in"]
    '0.029'
    """
    with (DATA_FOLDER / name).open(encoding="ascii", newline="") as stream:
        return tuple(csv.DictReader(line for line in stream if not line.startswith("#")))
