"""Files whole or not at all.

Map of what must hold:
  what is written is what was given, with nothing else left in the folder
  a file that exists is never changed without force, not even when it appears at the last moment
  a write that fails leaves the old file and no temporary file
  what would stop a write is told before, in one line, without writing
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from helix.errors import ValidationError
from helix.output.files import target_fault, write_all, write_whole


@pytest.mark.parametrize("content", ["", "one\ntwo\n", "\u00e9\u4e2d", b"\x89PNG\r\n\x00\xff"])
def test_what_is_written_is_what_was_given(tmp_path: Path, content: str | bytes) -> None:
    file = tmp_path / "a.txt"
    write_whole(file, content)
    assert file.read_bytes() == (content.encode() if isinstance(content, str) else content)
    assert os.listdir(tmp_path) == ["a.txt"]


def test_an_existing_file_is_kept_without_force_and_replaced_with_it(tmp_path: Path) -> None:
    file = tmp_path / "a.txt"
    file.write_text("old")
    with pytest.raises(ValidationError, match="exists already.*--force"):
        write_whole(file, "new")
    assert file.read_text() == "old"
    write_whole(file, "new", force=True)
    assert file.read_text() == "new"
    assert os.listdir(tmp_path) == ["a.txt"]


def test_a_file_that_appears_while_writing_is_not_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "a.txt"
    real = os.fsync

    def someone_else_writes(handle: int) -> None:
        file.write_text("theirs")
        real(handle)

    monkeypatch.setattr(os, "fsync", someone_else_writes)
    with pytest.raises(ValidationError, match="cannot be written"):
        write_whole(file, "ours")
    assert file.read_text() == "theirs"
    assert os.listdir(tmp_path) == ["a.txt"]


def test_a_failed_write_leaves_the_old_file_and_nothing_else(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "a.txt"
    file.write_text("old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ValidationError, match="no space left") as caught:
        write_whole(file, "new", force=True)
    assert len(caught.value.faults) == 1
    assert file.read_text() == "old"
    assert os.listdir(tmp_path) == ["a.txt"]


@pytest.mark.skipif(os.name != "posix", reason="permissions and links as POSIX has them")
def test_permissions_are_the_usual_ones_or_those_of_the_file_replaced(tmp_path: Path) -> None:
    new, old = tmp_path / "new.txt", tmp_path / "old.txt"
    mask = os.umask(0o027)
    try:
        write_whole(new, "x")
    finally:
        os.umask(mask)
    assert stat.S_IMODE(new.stat().st_mode) == 0o640
    old.write_text("x")
    old.chmod(0o604)
    write_whole(old, "y", force=True)
    assert stat.S_IMODE(old.stat().st_mode) == 0o604


@pytest.mark.skipif(os.name != "posix", reason="permissions and links as POSIX has them")
def test_a_link_is_followed(tmp_path: Path) -> None:
    real, link = tmp_path / "real.txt", tmp_path / "link.txt"
    real.write_text("old")
    link.symlink_to(real)
    write_whole(link, "new", force=True)
    assert link.is_symlink()
    assert real.read_text() == "new"


def test_what_stops_a_write_is_told_before(tmp_path: Path) -> None:
    (tmp_path / "here.png").write_text("x")

    def told(path: Path, **options: object) -> str:
        fault = target_fault(path, **{"force": False, "suffixes": (".png", ".svg")} | options)
        return "" if fault is None else str(fault)

    assert told(tmp_path / "new.png") == ""
    assert told(tmp_path / "NEW.PNG") == ""
    assert told(tmp_path / "here.png", force=True) == ""
    assert "add --force" in told(tmp_path / "here.png")
    assert "must end in .png or .svg" in told(tmp_path / "a.bmp")
    assert "must end in" in told(tmp_path / "png")
    assert "got a folder" in told(tmp_path, suffixes=())
    assert "folder that exists" in told(tmp_path / "no" / "a.png")
    assert "folder that exists" in told(tmp_path / "here.png" / "a.png")
    assert "name that a file can have" in told(tmp_path / ("x" * 300 + ".png"))
    assert "name that a file can have" in told(Path("a\0b.png"))
    assert sorted(os.listdir(tmp_path)) == ["here.png"]


def test_a_name_too_long_is_a_fault(tmp_path: Path) -> None:
    with pytest.raises(ValidationError):
        write_whole(tmp_path / ("x" * 300 + ".txt"), "x")
    assert os.listdir(tmp_path) == []


def test_several_files_are_written_all_or_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files: dict[Path, str | bytes] = {tmp_path / f"{k}.txt": f"{k}" for k in range(3)}
    write_all(files)
    assert {file.name: file.read_text() for file in tmp_path.iterdir()} == {"0.txt": "0", "1.txt": "1", "2.txt": "2"}
    (tmp_path / "0.txt").unlink()
    with pytest.raises(ValidationError) as caught:
        write_all(files)
    assert len(caught.value.faults) == 2 and sorted(os.listdir(tmp_path)) == ["1.txt", "2.txt"]


@pytest.mark.parametrize("at", [1, 2, 3])
def test_a_failure_while_several_are_written_leaves_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: int
) -> None:
    for function in ("fsync", "link"):
        calls = []
        real = getattr(os, function)

        def fail(*arguments: object, real: Callable[..., None] = real, calls: list[int] = calls) -> None:
            calls.append(1)
            if len(calls) >= at:
                raise OSError(28, "No space left on device")
            real(*arguments)

        with monkeypatch.context() as patched:
            patched.setattr(os, function, fail)
            if function == "link":  # no way round it either
                patched.setattr(os, "replace", fail)
            with pytest.raises(ValidationError, match="cannot be written"):
                write_all({tmp_path / f"{k}.txt": "content" for k in range(3)})
        assert os.listdir(tmp_path) == []
