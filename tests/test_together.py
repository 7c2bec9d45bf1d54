"""What uses a browser is run in two processes."""

from __future__ import annotations

import re
from pathlib import Path

from tests.conftest import TOGETHER, scope_of

ROOT = Path(__file__).resolve().parents[1]


def test_every_test_with_a_browser_is_run_beside_the_others() -> None:
    """Each further process would start a browser and a server of its own, and see panes that no test has filled."""
    alone = [
        name
        for path in (ROOT / "tests").rglob("test_*.py")
        for test in re.findall(r"^def (test_\w+)\([^)]*browser: Any", path.read_text(encoding="utf-8"), re.MULTILINE)
        if not scope_of(name := f"{path.relative_to(ROOT).as_posix()}::{test}").startswith("browser")
    ]
    assert alone == []
    assert scope_of("tests/test_units.py::test_one[in_browser]") == "tests/test_units.py"


def test_every_name_of_what_runs_together_is_there() -> None:
    sources = "".join(
        path.as_posix() + path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("test_*.py")
    )
    assert [part for part in TOGETHER if part not in sources] == []
