"""The limits: one table of all of them, the page that shows it, and nobody who keeps a copy.

Map: every limit is a constant of its own name with the value in the table, says what it decides and where it is from;
docs/limits.md shows the table as it is; no module takes a limit by name, which would keep its value.
"""

from __future__ import annotations

import ast
import math
from pathlib import Path

from helix.mechanics import limits
from helix.mechanics.limits import LIMITS

ROOT = Path(__file__).resolve().parents[2]


def limits_table() -> str:
    """The table of docs/limits.md."""
    rows = ["| limit | value | what it decides | source |", "|---|---|---|---|"]
    for limit in LIMITS.values():
        value, unit = (math.degrees(limit.value), "deg") if limit.unit == "rad" else (limit.value, limit.unit)
        rows.append(f"| `{limit.name}` | {f'{value:.8g} {unit}'.strip()} | {limit.decides} | {limit.source} |")
    return "\n".join(rows) + "\n"


def test_the_page_shows_every_limit() -> None:
    page = (ROOT / "docs" / "limits.md").read_text(encoding="utf-8")
    shown = page.partition("<!-- limits -->\n")[2].partition("<!-- end of limits -->")[0]
    assert shown == limits_table()


def test_every_constant_is_in_the_table_and_says_what_it_decides() -> None:
    numbers = {name: value for name, value in vars(limits).items() if name.isupper() and isinstance(value, int | float)}
    assert numbers == {name: limit.value for name, limit in LIMITS.items()}
    assert all(limit.decides and limit.source for limit in LIMITS.values())


def test_nobody_keeps_a_copy() -> None:
    taken = []
    for path in (ROOT / "helix").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module == "helix.mechanics.limits":
                taken += [f"{path}:{node.lineno} {alias.name}" for alias in node.names if alias.name in LIMITS]
    assert not taken
