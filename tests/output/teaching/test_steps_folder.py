"""A folder of steps appears whole or not at all; what has no graphics gets drawings."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from helix.errors import ValidationError
from helix.output.teaching.steps_folder import folder_fault, step_name, write_folder
from tests.output.teaching.lessons import small


@pytest.mark.parametrize("there", ["absent", "empty", "full"])
def test_a_folder_of_steps_appears_whole(tmp_path: Path, there: str) -> None:
    bench, steps = small()
    target = tmp_path / "steps"
    if there != "absent":
        target.mkdir()
    if there == "full":
        (target / "mine.txt").write_text("mine")
        with pytest.raises(ValidationError, match="--force"):
            write_folder(bench, steps[:3], target, vector=True)
    write_folder(bench, steps[:3], target, vector=True, force=there == "full")
    names = sorted(path.name for path in target.iterdir() if path.name != "mine.txt")
    assert names == sorted([*(f"{step_name(step)}.svg" for step in steps[:3]), "all-steps.svg", "steps.txt"])
    assert names[0] == "01-ink-the-wire.svg"
    assert (target / "mine.txt").exists() == (there == "full")
    assert [path for path in tmp_path.iterdir() if path != target] == []
    text = (target / "steps.txt").read_text()
    assert all(step.sentence in text for step in steps[:3])


def test_a_folder_that_fails_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bench, steps = small()

    def stops(done: int, of: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_folder(bench, steps, tmp_path / "steps", vector=True, on_output=stops)
    assert list(tmp_path.iterdir()) == []


def test_where_no_folder_can_be(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    assert "got a file" in str(folder_fault(tmp_path / "file", force=True))
    assert "folder that exists" in str(folder_fault(tmp_path / "no" / "steps", force=False))
    assert folder_fault(tmp_path / "steps", force=False) is None
    if os.geteuid() != 0:
        (tmp_path / "locked").mkdir(mode=0o500)
        assert "written to" in str(folder_fault(tmp_path / "locked" / "steps", force=False))
