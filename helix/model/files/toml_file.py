"""From a file to TOML values: size, encoding and syntax, and the line that each key stands on.

Recipes are read so, and other files in the same manner (`Kind`).
"""

from __future__ import annotations

import codecs
import re
import stat
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Final

from helix.errors import IssuePath, ValidationError, ValidationIssue, cut, one_line
from helix.model.files.corrections import suggest_correction
from helix.model.files.file_kinds import RECIPE, Kind, other_kind
from helix.values import Scalar, Values

LARGEST_FILE_BYTES: Final = 100_000  # a recipe with every key and its comment has 3 kB
_MOST_POINTS: Final = 200  # in a line: the time that tomllib takes over a key grows with the square of its parts
_DEEPEST: Final = 4  # levels of tables that are looked up by line
_KEY = re.compile(
    r"""\s*((?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*'))*)\s*="""
)
_HEADER = re.compile(r"\s*\[\[?([^\]]*)\]")
_PART = re.compile(r"""[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*'""")


def recipe_text(path: Path, kind: Kind = RECIPE) -> str:
    """The text of the file at `path`: UTF-8, with or without a byte-order mark, at most 100 kB.

    Raises ValidationError, naming the file, when there is no such file, it is no regular file, it is too
    large (it is then not read), it cannot be read, or it is not text.
    """
    place = one_line(str(path))

    def refuse(code: str, line: int | None = None, **values: Scalar) -> ValidationError:
        return _refused(IssuePath(file=place, line=line), code, **values)

    try:
        state = path.stat()
        if stat.S_ISDIR(state.st_mode):
            raise refuse("a-folder", kind=kind.name)
        if not stat.S_ISREG(state.st_mode):
            raise refuse("not-a-file")
        if state.st_size > LARGEST_FILE_BYTES:
            raise refuse("too-large", most=LARGEST_FILE_BYTES // 1000, kind=kind.name, got=_size(state.st_size))
        with path.open("rb") as stream:
            data = stream.read(LARGEST_FILE_BYTES)
    except FileNotFoundError:
        folder, start = looked_in(path, kind.start)
        raise refuse("no-such-file", folder=folder, start=start) from None
    except OSError as error:
        raise refuse("unreadable", why=error.strerror or str(error)) from None
    except ValueError:
        raise refuse("no-file-name") from None
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise refuse("not-utf-8", got="UTF-16")
    data = data.removeprefix(codecs.BOM_UTF8)
    if b"\0" in data:
        raise refuse("not-text")
    if not data.strip():
        raise refuse("empty", needs=kind.needs)
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise refuse("not-utf-8", line, got=f"the byte 0x{data[error.start]:02X}") from None


def looked_in(path: Path, start: str) -> tuple[str, str]:
    """Where a file was looked for, and the one there that is likely meant, or else how to come by one, for a fault."""
    try:
        names = sorted(entry.name for entry in path.parent.iterdir() if entry.is_file())[:500]
    except OSError:
        names = []
    near = get_close_matches(path.name, names, n=1, cutoff=0.7)
    start = f"did you mean {one_line(near[0])}?" if near else start
    return one_line(str(path.parent.absolute())), start


def _refused(place: IssuePath, code: str, **values: Scalar) -> ValidationError:
    return ValidationError.at(place, code=code, values=Values(**values))


def toml_values(text: str, place: str, kind: Kind = RECIPE) -> dict[str, Any]:
    """The values of a TOML text.

    Raises ValidationError with the line of a syntax error, and what is likely meant, or when the text
    holds no value at all.
    """
    whole = IssuePath(file=place)
    if len(text) > LARGEST_FILE_BYTES:
        raise _refused(whole, "too-large", most=LARGEST_FILE_BYTES // 1000, kind=kind.name, got=_size(len(text)))
    text = text.removeprefix("\ufeff")
    for number, line in enumerate(text.split("\n"), start=1):
        if line.count(".") > _MOST_POINTS:
            raise _refused(replace(whole, line=number), "too-many-points", most=_MOST_POINTS)
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        refuse_other_kind(text, whole, kind, {})
        raise ValidationError([_syntax_issue(str(error), text, place, kind)]) from None
    except (ValueError, RecursionError):
        raise _refused(whole, "too-deep") from None
    if not values:
        raise _refused(whole, "no-key", needs=kind.needs)
    refuse_other_kind(text, whole, kind, values)
    return values


def refuse_other_kind(text: str, place: IssuePath, kind: Kind, values: Mapping[str, Any] | None = None) -> None:
    """Raise ValidationError where a text is plainly of another kind."""
    other = other_kind(text, kind, values)
    if other is not None:
        raise _refused(place, "other-kind", got=other.named or other.name, name=kind.name, start=kind.start)


def _size(count: int) -> str:
    return f"{count / 1e6:.3g} MB" if count >= 1e6 else f"{count / 1e3:.4g} kB"


def _syntax_issue(reason: str, text: str, place: str, kind: Kind) -> ValidationIssue:
    """A TOML error as an issue: its line, and the mistake that a rigger is likely to have made.

    The TOML reader of Python tells the place and the kind of a mistake in its text alone.
    """
    match = re.search(r"\(at line ([0-9]+), column ([0-9]+)\)", reason)
    lines = text.split("\n")
    number = int(match[1]) if match else len(lines)
    line = lines[number - 1].strip() if number <= len(lines) else ""
    reason = one_line(re.sub(r"\s*\(at [^)]*\)", "", reason))
    where = IssuePath(file=place, line=number)
    if "overwrite" in reason or "twice" in reason or "Cannot mutate" in reason:
        return ValidationIssue(where, code="repeated", values=Values(got=cut(line)))
    meant = suggest_correction(line, kind.bare)
    if meant:
        return ValidationIssue(where, meant, code="not-toml", values=Values(reason=reason, got=cut(line)))
    return ValidationIssue(
        where, code="not-toml", values=Values(reason=reason, got=f"; got {cut(line)}" if line else "")
    )


def key_lines(text: str) -> dict[tuple[str, ...], int]:
    """Line number, from 1, of each table header and key in a TOML text that reads.

    Best effort: a key inside an inline table is found at the line of that table. The second [[stock]] is
    found as "stock 2".

    >>> key_lines('title = "a"\\n[wire]\\nsize = "MWG 12"\\n')
    {('title',): 1, ('wire',): 2, ('wire', 'size'): 3}
    """
    lines: dict[tuple[str, ...], int] = {}
    table: tuple[str, ...] = ()
    closing = ""  # what ends the multi-line text that the line stands in
    depth = 0  # open brackets of a multi-line list
    repeats: dict[tuple[str, ...], int] = {}
    for number, line in enumerate(text.removeprefix("\ufeff").split("\n"), start=1):
        value = line
        if not closing and depth == 0:
            header, key = _HEADER.match(line), _KEY.match(line)
            if header:
                table = _path(header[1])
                lines.setdefault(table, number)
                if table and line.lstrip().startswith("[["):
                    repeats[table] = repeats.get(table, 0) + 1
                    table = (*table[:-1], f"{table[-1]} {repeats[table]}")
                    lines[table] = number
                continue
            if not key:
                continue
            path = table + _path(key[1])
            for count in range(len(table) + 1, min(len(path), _DEEPEST) + 1):
                lines.setdefault(path[:count], number)
            value = line[key.end() :]
        closing, depth = _left_open(value, closing, depth)
    return lines


def _path(dotted: str) -> tuple[str, ...]:
    return tuple(part.strip("\"'") for part in _PART.findall(dotted))


def _left_open(value: str, closing: str, depth: int) -> tuple[str, int]:
    """What is still open at the end of a line: the closing quotes of a long text, brackets of a list."""
    for token in re.findall(r'"""|\'\'\'|"(?:\\.|[^"\\])*"|\'[^\']*\'|[\[\]#]', value):
        if closing:
            if token == closing:
                closing = ""
        elif token in ('"""', "'''"):
            closing = token
        elif token == "#":
            break
        elif token in "[]":
            depth += 1 if token == "[" else -1
    return closing, max(depth, 0)
