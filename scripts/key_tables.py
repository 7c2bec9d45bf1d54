"""Write the tables of keys in docs/recipe.md and docs/planning.md from the tables that helix reads by.

.venv/bin/python scripts/key_tables.py            write them
.venv/bin/python scripts/key_tables.py --check    write nothing; end with 1 if they are out of date
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from helix.model.batch import plan_keys
from helix.model.files.file_keys import Key
from helix.model.recipe import recipe_keys

HEAD = ("| key | what it is | default | range |", "|---|---|---|---|")


def row(key: Key, before: str = "") -> str:
    """The row of one key."""
    default, limits = key.docs
    if default is None:
        shown = key.default if key.kind in ("count", "share") else json.dumps(key.default)
        default = "needed" if key.needed else "" if key.default is None else f"`{shown}`"
        default += " [assumed]" if key.assumed else ""
    if limits is None:
        choices = ", ".join(f"`{json.dumps(choice)}`" for choice in key.choices)
        limits = choices or (str(replace(key.limits, why="")) if key.limits else "")
    cells = (f"`{before}{key.name}`", "; ".join(filter(None, (key.help, key.more))), default, limits)
    return "".join(f"| {cell} " if cell else "| " for cell in cells) + "|"


def table(keys: Iterable[Key], before: str = "") -> str:
    """A table of keys."""
    return "\n".join((*HEAD, *(row(key, before) for key in keys)))


def written(page: str, heading: str, text: str) -> str:
    """The page with the first table below a heading replaced."""
    head, found, rest = page.partition(f"\n## {heading}\n")
    if not found:
        raise SystemExit(f'no heading "{heading}"')
    return head + found + re.sub(r"(?m)^\|.*\n(\|.*\n)+", lambda _: f"{text}\n", rest, count=1)


def pages() -> dict[Path, str]:
    """Each page as it must be."""
    recipe, planning = ROOT / "docs" / "recipe.md", ROOT / "docs" / "planning.md"
    text = written(recipe.read_text(encoding="utf-8"), "At the top", table(recipe_keys.TOP))
    for name, keys in {**recipe_keys.TABLES, "wire.own": recipe_keys.OWN}.items():
        text = written(text, f"`[{name}]`", table(keys))
    rows = [table(plan_keys.CUTTING, "[cutting] "), *(row(key, "[end.NAME] ") for key in plan_keys.END)]
    rows += [row(key, f"[[{name}]] ") for name in ("piece", "stock") for key in plan_keys.TABLES[name]]
    plan = written(planning.read_text(encoding="utf-8"), "3. Every key of a plan", "\n".join(rows))
    return {recipe: text, planning: plan}


def main(arguments: list[str]) -> int:
    """Write the tables, or compare them."""
    if arguments not in ([], ["--check"]):
        sys.exit(__doc__)
    stale = {path: text for path, text in pages().items() if path.read_text(encoding="utf-8") != text}
    for path, text in stale.items():
        if not arguments:
            path.write_text(text, encoding="utf-8")
        print(f"{path.relative_to(ROOT).as_posix()} {'is out of date' if arguments else 'written'}")
    return 1 if stale and arguments else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
