"""What comes with the page to begin with: lessons, a plan and a file of pull tests, all invented.

The files in helix/data/examples and helix/data/lessons are copies of those in docs, which an installed helix does
not have; a test compares them.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, Final

from helix.page.answers.recipe_tables import tables_of_text

_DATA: Final = Path(__file__).resolve().parents[2] / "data"
_EXAMPLES: Final = _DATA / "examples"
_LESSONS: Final = _DATA / "lessons"
GOOD: Final = "good"
"""Name of the joint that every lesson stands beside."""
_ORDER: Final = (
    "steep-exit", "half-turns-counted", "wraps-only", "open-barrel", "uneven-twist", "steep-entry",
    "opposite-hand-barrel",
)  # fmt: skip


def examples() -> list[dict[str, Any]]:
    """Worked examples: name, title, kind (plan or pulls), text, and the files that the text names."""
    return [
        _example("reef-station.toml", "Reef station, 48 logger tethers", "plan", ("logger-tether.toml",)),
        _example("logger-tethers.csv", "Logger tethers, 136 pulls", "pulls", ("logger-tether.toml", "steep-exit.toml")),
    ]


def lessons() -> list[dict[str, Any]]:
    """One fault each: name, title, a paragraph, its recipe's tables, and those of the good joint beside it."""
    good = _recipe(GOOD)
    return [
        {"name": name, **_words(_text(_LESSONS / f"{name}.md")), "recipe": _recipe(name), "good": good}
        for name in _ORDER
    ]


def _example(name: str, title: str, kind: str, others: tuple[str, ...]) -> dict[str, Any]:
    return {
        "name": name,
        "title": f"{title} (invented)",
        "kind": kind,
        "text": _text(_EXAMPLES / name),
        "files": [{"name": other, "text": _text(_EXAMPLES / other)} for other in others],
        "invented": True,
    }


def _recipe(name: str) -> dict[str, Any]:
    return tables_of_text(_text(_LESSONS / f"{name}.toml"), f"{name}.toml")


def _words(page: str) -> dict[str, str]:
    """Title and paragraphs of a lesson's page, without picture, headings and command."""
    blocks = [" ".join(block.split()) for block in page.split("\n\n") if block.strip()]
    title = blocks[0].removeprefix("# ")
    paragraphs = [re.sub(r"^\*\*.*?\*\* ", "", block) for block in blocks if block.startswith("**")]
    return {"title": title, "paragraph": " ".join(paragraphs)}


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8")
