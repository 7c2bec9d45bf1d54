"""Texts that somebody read and approved: tests/approved/NAME.txt, one a kind of report.

A test of wording compares with them and nothing else does; HELIX_APPROVE=1 writes them anew, to be read in the change.
"""

from __future__ import annotations

import os
from pathlib import Path

FOLDER = Path(__file__).parents[1] / "approved"


def approved(name: str, text: str) -> None:
    """Fail unless the text is the one that was approved; with HELIX_APPROVE=1 approve it."""
    path = FOLDER / f"{name}.txt"
    if os.environ.get("HELIX_APPROVE"):
        FOLDER.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
    assert path.exists(), f"{path} is missing: run with HELIX_APPROVE=1, read it and commit it"
    assert text == path.read_text(encoding="utf-8"), f"{name}: read the change; HELIX_APPROVE=1 approves it"
