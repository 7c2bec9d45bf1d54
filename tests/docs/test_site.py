"""What the documentation's site is made of: every page is named in it, the notebook shows what its cells print."""

from __future__ import annotations

import contextlib
import io
import json
import re
from fnmatch import fnmatch
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
CONTENTS = DOCS / "site" / "contents.txt"
MADE = {"docs/reference"}  # set from the docstrings when the site is built


def contents() -> list[str]:
    """Every page, or pattern of pages, that the site's list of contents names."""
    return [line for line in CONTENTS.read_text(encoding="utf-8").splitlines() if re.fullmatch(r"[\w/*-]+", line)]


def test_every_page_is_in_the_contents_and_nothing_else_is() -> None:
    pages = {
        path.relative_to(ROOT).with_suffix("").as_posix() for path in (*DOCS.rglob("*.md"), *DOCS.rglob("*.ipynb"))
    } | {"DEVELOPERS", "validation/README", *MADE}
    named = contents()
    assert not [page for page in pages if not any(fnmatch(page, pattern) for pattern in named)]
    assert not [pattern for pattern in named if not any(fnmatch(page, pattern) for page in pages)]


def test_every_example_is_described() -> None:
    folder = DOCS / "examples"
    described = (folder / "README.md").read_text(encoding="utf-8")
    links = set(re.findall(r"\]\(([^)]+)\)", described))
    files = {path.relative_to(folder).as_posix() for path in folder.rglob("*.*") if path.suffix in (".toml", ".csv")}
    assert {name for name in files if not name.startswith("pulls/curves/")} <= links


def test_the_notebook_prints_what_it_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    plots = pytest.importorskip("matplotlib.pyplot")
    monkeypatch.setattr(plots, "show", plots.close)
    cells = json.loads((DOCS / "notebook.ipynb").read_text(encoding="utf-8"))["cells"]
    names: dict[str, object] = {"__name__": "notebook"}
    shown = 0
    for cell in cells:
        if cell["cell_type"] == "code":
            printed = io.StringIO()
            with contextlib.redirect_stdout(printed):
                exec(compile("".join(cell["source"]), "notebook", "exec"), names)  # noqa: S102  (our own notebook)
            kept = "".join("".join(out["text"]) for out in cell["outputs"] if out["output_type"] == "stream")
            assert printed.getvalue() == kept
            shown += bool(kept)
    assert shown > 3
