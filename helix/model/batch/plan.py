"""The plan of a batch: read from TOML, with the recipes that it names. Keys: docs/planning.md."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from helix.model.batch.plan_parts import Cutting, End, Plan, Stock
from helix.model.batch.plan_reader import read_plan_tables
from helix.model.files.file_kinds import PLAN
from helix.model.files.toml_file import recipe_text

__all__ = ["Cutting", "End", "Plan", "Stock", "plan_from_text", "read_plan"]


def read_plan(path: str | Path) -> Plan:
    """Read the plan in a TOML file; the recipes that it names stand in the same folder or below.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    Plan
        Pieces, ends, stock and how to cut.

    Raises
    ------
    ValidationError
        With every issue of the plan and of its recipes at once.
    """
    return plan_from_text(recipe_text(Path(path), PLAN), str(path), Path(path).parent)


def plan_from_text(text: str, place: str = "plan", folder: str | Path | Mapping[str, Mapping[str, Any]] = ".") -> Plan:
    """Read the plan in a TOML text; raises like `read_plan`.

    Parameters
    ----------
    text : str
        What the file would hold.
    place : str, optional
        What issues call it.
    folder : str, Path or mapping, optional
        Where the recipes are; or the tables of each by its file's name.

    Returns
    -------
    Plan
        Pieces, ends, stock and how to cut.

    Examples
    --------
    >>> plan = plan_from_text('''
    ... [wire.thin]
    ... size = "MWG 12"
    ... material = "302 stainless"
    ... [[piece]]
    ... name = "stay"
    ... count = 4
    ... length = "1.2 m"
    ... wire = "thin"
    ... ends = ["plain", "plain"]
    ... [[stock]]
    ... wire = "thin"
    ... mass = "0.1 kg"
    ... ''')
    >>> plan.pieces[0].count, round(plan.stock[0].length_mm)
    (4, 29629)
    """
    return read_plan_tables(text, place, Path(folder) if isinstance(folder, str) else folder)
