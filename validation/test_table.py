"""The table of validation/README.md is made from the rows that are tested, and is up to date."""

from __future__ import annotations

import subprocess
import sys

import pytest

from validation.rows import HERE, TABLE, Row, groups, render


def test_the_committed_table_is_up_to_date() -> None:
    assert TABLE.read_text(encoding="utf-8") == render(), "run: python scripts/validation_table.py"


def test_every_row_names_its_source_and_the_reason_for_its_tolerance() -> None:
    rows = [row for _, _, rows in groups() for row in rows]
    assert len(rows) > 60
    assert all(len(row.claim) > 10 and len(row.source) > 3 and len(row.why) > 3 for row in rows)
    # a published number agrees to its own digits, or the reason says why it does not
    for row in rows:
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


def test_the_script_says_that_the_table_is_up_to_date() -> None:
    command = [sys.executable, str(HERE.parent / "scripts" / "validation_table.py"), "--check"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.strip() == "validation/README.md is up to date"
