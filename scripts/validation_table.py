"""Write validation/README.md and its charts from the rows that the tests check: `python scripts/validation_table.py`.

`--check` writes nothing and ends with 1 if the table is out of date. `python3 scripts/docs.py` sets it as HTML.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def write_charts() -> None:
    """Draw every chart anew."""
    from validation.charts import FOLDER, charts, svg

    FOLDER.mkdir(exist_ok=True)
    for chart in charts():
        (FOLDER / f"{chart.name}.svg").write_text(svg(chart), encoding="utf-8")


def main(arguments: list[str]) -> int:
    """Write the table, or compare it."""
    sys.path.insert(0, str(ROOT))
    from validation.rows import TABLE, render

    if arguments not in ([], ["--check"]):
        print(f"usage: {Path(__file__).name} [--check]", file=sys.stderr)
        return 2
    text = render()
    name = TABLE.relative_to(ROOT).as_posix()
    if TABLE.exists() and TABLE.read_text(encoding="utf-8") == text:
        if not arguments:
            write_charts()
        print(f"{name} is up to date")
        return 0
    if arguments:
        print(f"{name} is out of date; run: python scripts/validation_table.py", file=sys.stderr)
        return 1
    write_charts()
    unfinished = TABLE.with_suffix(".unfinished")
    unfinished.write_text(text, encoding="utf-8")
    os.replace(unfinished, TABLE)
    print(f"{name} written")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
