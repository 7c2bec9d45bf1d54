"""The table of validation/README.md is made from the rows that are tested, and is up to date."""

from __future__ import annotations

import importlib.util
import re
import sys

import pytest

from validation import charts, rows
from validation.rows import HERE, TABLE, Row, groups, render


@pytest.mark.slow  # works every row out a second time
def test_the_committed_table_is_up_to_date() -> None:
    assert TABLE.read_text(encoding="utf-8") == render(), "run: python scripts/validation_table.py"


def test_every_row_names_its_source_and_the_reason_for_its_tolerance() -> None:
    every = [row for _, _, found in groups() for row in found]
    assert len(every) > 60
    assert all(len(row.claim) > 10 and len(row.source) > 3 and len(row.why) > 3 for row in every)
    # what was seen in the publication names the place in it
    for row in every:
        if row.mark == "pub":
            assert re.search(r"abstract|chapter|table|section|page|\d\.\d+\.\d+\.\d+", row.source), row.source
        assert "earlier reading" not in row.source and "written down" not in row.source
    # a published number agrees to its own digits, or the reason says why it does not
    for row in every:
        if row.mark == "pub" and isinstance(row.theirs, str):
            decimals = len(row.theirs.partition(".")[2])
            assert row.tolerance <= 0.5 * 10.0**-decimals * (1.0 + 1e-9), row.claim


def test_a_row_fails_when_the_numbers_differ() -> None:
    row = Row("a claim", "a source", "pub", "1.00", lambda: 1.006, 0.005, "half a unit of the last printed digit")
    with pytest.raises(AssertionError, match="a claim: theirs 1.0, ours 1.006, allowed 0.005"):
        row.check()
    Row("a claim", "a source", "pub", "1.00", lambda: 1.005, 0.005, "half a unit of the last printed digit").check()
    with pytest.raises(AssertionError):
        Row("a claim", "a source", "pub", "1.00", lambda: float("nan"), 0.005, "no number").check()
    with pytest.raises(ValueError, match="mark must be one of"):
        Row("a claim", "a source", "seen", "1.00", lambda: 1.0, 0.005, "a mark that is none")


def script():
    """Return scripts/validation_table.py as a module."""
    path = HERE.parent / "scripts" / "validation_table.py"
    spec = importlib.util.spec_from_file_location("validation_table", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_script_writes_the_table_once_and_says_when_it_is_stale(monkeypatch, tmp_path, capsys) -> None:
    target = tmp_path / "validation" / "README.md"
    target.parent.mkdir()
    monkeypatch.setattr(rows, "TABLE", target)
    monkeypatch.setattr(rows, "render", lambda: "a table\n")
    monkeypatch.setattr(charts, "charts", tuple)
    monkeypatch.setattr(charts, "FOLDER", tmp_path / "charts")
    monkeypatch.setattr(sys, "path", list(sys.path))
    module = script()
    monkeypatch.setattr(module, "ROOT", tmp_path)
    assert module.main(["--check"]) == 1
    assert capsys.readouterr().err == ("validation/README.md is out of date; run: python scripts/validation_table.py\n")
    assert not target.exists()
    assert module.main([]) == 0
    assert capsys.readouterr().out == "validation/README.md written\n"
    assert target.read_text(encoding="utf-8") == "a table\n"
    assert [path.name for path in target.parent.iterdir()] == ["README.md"]
    assert module.main(["--check"]) == 0
    assert capsys.readouterr().out == "validation/README.md is up to date\n"
    assert module.main(["--other"]) == 2
