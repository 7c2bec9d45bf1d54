"""Files written whole or not at all, and never over another without being told to."""

from __future__ import annotations

import contextlib
import os
import shlex
import tempfile
from collections.abc import Mapping
from pathlib import Path

from helix.errors import ValidationError, ValidationIssue


def target_fault(path: Path, *, force: bool, suffixes: tuple[str, ...] = ()) -> ValidationIssue | None:
    """What would stop a file from being written there, or None: its ending, its folder, a file in the way.

    suffixes: endings allowed, in small letters (none: any). Looks only; writes nothing.

    >>> print(target_fault(Path("joint.bmp"), force=False, suffixes=(".png", ".svg")))
    joint.bmp: must end in .png or .svg
    """
    place = str(path)
    try:
        if suffixes and path.suffix.lower() not in suffixes:
            return ValidationIssue(place, f"must end in {' or '.join(suffixes)}")
        with contextlib.suppress(FileNotFoundError, NotADirectoryError):
            os.lstat(path)  # tells of a name that no file can have
        if path.is_dir():
            return ValidationIssue(place, "must be a file to write; got a folder")
        if not path.parent.is_dir():
            return ValidationIssue(
                place, f"must be in a folder that exists; got {path.parent}: mkdir -p {shlex.quote(str(path.parent))}"
            )
        if path.exists() and not force:
            return ValidationIssue(place, "exists already and is left as it is; add --force to replace it")
        if path.exists() and not path.is_file():
            return ValidationIssue(place, "must be an ordinary file; got a device or the like")
        if not os.access(path.parent, os.W_OK):
            return ValidationIssue(place, f"must be in a folder that can be written to; got {path.parent}")
    except (OSError, ValueError) as error:
        return ValidationIssue(place, f"must be a name that a file can have; got {_reason(error)}")
    return None


def write_whole(path: Path, content: str | bytes, *, force: bool = False) -> None:
    """Write text (UTF-8, lines end in a line feed) or bytes to path, whole or not at all.

    The content goes to a temporary file in the same folder, which then takes the name; a link is
    followed to the file it stands for. Raises ValidationError, and leaves everything as it was, when the
    file exists and `force` is not given, or when it cannot be written.
    """
    write_all({path: content}, force=force)


def write_all(files: Mapping[Path, str | bytes], *, force: bool = False) -> None:
    """Write several files as `write_whole` does, all of them or none.

    Each is finished under a temporary name before the first one takes its own. Raises ValidationError with every fault
    that can be seen beforehand, or the first that could not; new files that were named by then are taken away again.
    """
    faults = [fault for path in files if (fault := target_fault(path, force=force))]
    if faults:
        raise ValidationError(faults)
    staged: dict[Path, str] = {}
    named: list[Path] = []
    path = Path()
    try:
        for path, content in files.items():
            target = Path(os.path.realpath(path))
            data = content.encode("utf-8") if isinstance(content, str) else content
            handle, staged[target] = tempfile.mkstemp(prefix=f".{target.name[:40]}-", suffix=".part", dir=target.parent)
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            os.chmod(staged[target], _usual_mode(target))
        for path in list(staged):
            new = not path.exists()
            if force:
                os.replace(staged[path], path)
            else:
                _take_free_name(staged[path], path)
            del staged[path]
            named += [path] if new else []
        named = []
    except OSError as error:
        raise ValidationError.at(str(path), f"cannot be written: {_reason(error)}") from error
    finally:
        for left in (*map(Path, staged.values()), *named):
            with contextlib.suppress(OSError):
                left.unlink()


def _take_free_name(temporary: str, path: Path) -> None:
    """Give the finished file its name, but not over a file that has appeared in the meantime."""
    try:
        os.link(temporary, path)
    except FileExistsError:
        raise
    except (OSError, AttributeError):  # a file system without hard links
        if path.exists():
            raise FileExistsError(f"{path} exists already") from None
        os.replace(temporary, path)
    else:
        os.unlink(temporary)


def _usual_mode(path: Path) -> int:
    """Permissions of the file that is replaced, or what a new file would get."""
    with contextlib.suppress(OSError):
        return os.stat(path).st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _reason(error: Exception) -> str:
    return (getattr(error, "strerror", None) or str(error) or type(error).__name__).lower()
