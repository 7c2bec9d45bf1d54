"""Files that somebody else has read, in place of a folder: a page gets their contents, and opens nothing itself."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from helix.errors import ValidationError, cut, quoted
from helix.values import Values

Content = TypeVar("Content")


def opened(files: Mapping[str, Content], name: str, place: str | None = None) -> Content:
    """What a file holds, found by its name as written or without its folders, which a browser does not tell.

    Raises ValidationError at `place` (the name itself where None) when it is not among the files.

    >>> opened({"curves.csv": 1}, "bench/curves.csv")
    1
    """
    for known in (name, bare_name(name)):
        if known in files:
            return files[known]
    listed = ", ".join(quoted(file, 40) for file in list(files)[:5]) or "none"
    raise ValidationError.at(place or cut(name), code="not-opened", values=Values(files=listed))


def bare_name(name: str) -> str:
    """A file's name without its folders, whichever way its slashes lean.

    >>> bare_name("curves/a.csv"), bare_name("C:\\\\bench\\\\a.csv")
    ('a.csv', 'a.csv')
    """
    return name.replace("\\", "/").rpartition("/")[2]
