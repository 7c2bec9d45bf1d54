"""Rows of the validation table: one claim of somebody else's, our number beside it, and how near is near enough.

A file validation/test_*.py lists its rows in ROWS and tests each by `Row.check`. `render` makes validation/README.md from
the same lists and from the charts, so the report cannot say anything that is not tested.
"""

from __future__ import annotations

import importlib.util
import math
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from validation.charts import charts

HERE = Path(__file__).resolve().parent
TABLE = HERE / "README.md"

MARKS = {
    "pub": "seen in the named publication, at the place that is named",
    "rep": "seen in a reprint by a third party, not in the publication itself",
    "mem": "the publication is named from memory and was not reopened",
    "der": "no publication gives it: derived, and confirmed by an independent calculation",
    "calc": "computed in the test by somebody else's library or by another method",
}


@dataclass(frozen=True)
class Row:
    """One line of the table.

    claim: what is compared, with its unit; source and mark: who says so, and how it was seen;
    theirs: their number as printed, or a function that computes it; ours: a function that computes ours;
    tolerance: largest difference allowed, absolute; why: the reason for that tolerance.
    """

    claim: str
    source: str
    mark: str
    theirs: str | Callable[[], float]
    ours: Callable[[], float]
    tolerance: float
    why: str

    def __post_init__(self) -> None:
        if self.mark not in MARKS:
            raise ValueError(f"mark must be one of {', '.join(MARKS)}; got {self.mark!r}")
        if not self.tolerance > 0.0:
            raise ValueError(f"tolerance must be positive; got {self.tolerance!r}")

    def numbers(self) -> tuple[float, float]:
        """Compute both sides: theirs, ours."""
        return float(self.theirs) if isinstance(self.theirs, str) else self.theirs(), self.ours()

    def agree(self, theirs: float, ours: float) -> bool:
        """Return whether two numbers are within the tolerance of each other."""
        # the last term is the rounding of the decimal number itself
        return abs(ours - theirs) <= self.tolerance * (1.0 + 1e-9) + 1e-16 * abs(theirs)

    def check(self) -> None:
        """Fail with both numbers unless ours is within the tolerance of theirs."""
        theirs, ours = self.numbers()
        if not self.agree(theirs, ours):
            raise AssertionError(f"{self.claim}: theirs {theirs!r}, ours {ours!r}, allowed {self.tolerance:g}")

    def cells(self) -> tuple[str, ...]:
        """Return the row's texts.

        Numbers have a digit past the tolerance beside a printed value, a digit less beside a computed one, and
        12 digits at most, so that rounding on another machine does not change the table.
        """
        printed = isinstance(self.theirs, str)
        places = math.ceil(-math.log10(self.tolerance) - 1e-9) + (1 if printed else -1)
        numbers = self.numbers()
        theirs = self.theirs if isinstance(self.theirs, str) else _text(numbers[0], places)
        tolerance = f"{self.tolerance:.0e}" if self.tolerance < 1e-3 else f"{self.tolerance:g}"
        agrees = "yes" if self.agree(*numbers) else "NO"
        return self.claim, self.source, self.mark, theirs, _text(numbers[1], places), tolerance, self.why, agrees


def _text(value: float, places: int) -> str:
    before = 1 if value == 0.0 else max(1, math.floor(math.log10(abs(value))) + 1)
    text = f"{value:.{max(0, min(places, 12 - before))}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def ids(rows: Sequence[Row]) -> list[str]:
    """Return names for pytest's parametrize."""
    return [row.claim for row in rows]


def groups() -> list[tuple[str, str, list[Row]]]:
    """Return (file name, first line of its docstring, rows) of every file here that lists ROWS."""
    found = []
    for path in sorted(HERE.glob("test_*.py")):
        name = f"validation.{path.stem}"
        module = sys.modules.get(name)
        if module is None:
            spec = importlib.util.spec_from_file_location(name, path)
            if spec is None or spec.loader is None:
                raise ImportError(f"{path} cannot be read as Python")
            module = importlib.util.module_from_spec(spec)
            sys.modules[name] = module
            spec.loader.exec_module(module)
        rows = getattr(module, "ROWS", None)
        if rows:
            found.append((path.name, (module.__doc__ or path.stem).strip().splitlines()[0], list(rows)))
    return found


def render() -> str:
    """Return the text of validation/README.md."""
    lines = [
        "# Validation: other people's numbers beside ours",
        "",
        "Made by `python scripts/validation_table.py` from the rows that the tests in this folder check; do not",
        "edit. Every row is tested on every run. Lengths are in wire diameters (D) unless a unit is given.",
        "",
        "The marks say how the number on the other side was seen:",
        "",
        *(f"* **{mark}**: {meaning}" for mark, meaning in MARKS.items()),
        "",
        "What no number here settles stands in [open questions](../docs/open-questions.md); the formulas by symbols in",
        "[derivations](../docs/theory/derivations.md).",
        "",
        "## Charts",
        "",
        "Our curve, and other people's numbers as points (`pytest validation/test_charts.py` holds each to the curve).",
        "",
        *(line for chart in charts() for line in (f"![{chart.title}](charts/{chart.name}.svg)", "")),
    ]
    for name, title, rows in groups():
        lines += [
            f"## {title.rstrip('.')}",
            "",
            f"`pytest validation/{name}`",
            "",
            "| claim | source | mark | theirs | ours | allowed | why that much | agrees |",
            "|---|---|---|---|---|---|---|---|",
            *("| " + " | ".join(cell.replace("|", "\\|") for cell in row.cells()) + " |" for row in rows),
            "",
        ]
    return "\n".join(lines).rstrip() + "\n"
