"""How wide text runs, and how to break it: enough to place labels without a font at hand."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

HELD = "\0"
_UNIT = re.compile(r"(?<=\d) (?=(?:d|mm|in|deg|N|lbf|MPa|ksi)\b|%)")
_NARROW = frozenset("iljI.,:;'|!()[]ft/ -r")
_WIDE = frozenset("mwMW@%")


def text_width(text: str, size: float, bold: bool = False) -> float:
    """About the width of a line of text set in a plain sans serif of that size; errs on the wide side.

    >>> text_width("mm", 10.0) > text_width("ll", 10.0)
    True
    """
    ems = sum(
        0.40 if char in _NARROW else 0.98 if char in _WIDE else 1.0 if ord(char) > 0x2E7F else 0.66
        if char.isupper() or char.isdigit() else 0.61
        for char in text
    )  # fmt: skip
    return ems * size * (1.1 if bold else 1.0)


def wrapped(text: str, size: float, width: float, *, bold: bool = False, most: int = 99) -> list[str]:
    """Text broken at spaces into lines of at most that width; beyond `most` lines it ends in "...".

    >>> wrapped("one two three", 10.0, 50.0)
    ['one two', 'three']
    """
    lines: list[str] = []
    for word in units_held(text).split():
        word = word.replace(HELD, " ")
        if lines and text_width(f"{lines[-1]} {word}", size, bold) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    if len(lines) > most:
        lines = lines[:most]
        lines[-1] = fitted_line(lines[-1] + " ...", size, width, bold=bold)
    return [fitted_line(line, size, width, bold=bold) for line in lines]


def units_held(text: str) -> str:
    """Text in which the space between a number and its unit cannot be broken; undo with HELD -> space.

    >>> units_held("5 mm of wire").split()
    ['5\\x00mm', 'of', 'wire']
    """
    return _UNIT.sub(HELD, text)


def fitted_line(text: str, size: float, width: float, *, bold: bool = False) -> str:
    """The line itself, or as much of it as fits, ending in "...".

    >>> fitted_line("a very long line of text", 10.0, 80.0)
    'a very long ...'
    """
    if text_width(text, size, bold) <= width:
        return text
    kept = text
    while kept and text_width(kept + " ...", size, bold) > width:
        kept = kept[:-1]
    if " " in kept and text[len(kept)] != " ":  # not in the middle of a word
        kept = kept.rsplit(" ", 1)[0]
    return kept.rstrip(" .,;:") + " ..."


def fitted_title(text: str, size: float, width: float) -> str:
    """A bold title, cut off where it must be before the "(invented)" at its end.

    >>> fitted_title("A very long title of a tether (invented)", 10.0, 160.0)
    'A very long ... (invented)'
    """
    last = " (invented)"
    if not text.endswith(last) or text_width(text, size, True) <= width:
        return fitted_line(text, size, width, bold=True)
    return fitted_line(text.removesuffix(last), size, width - text_width(last, size, True), bold=True) + last


def font_file(bold: bool = False) -> Path | None:
    """The file of a plain sans serif, DejaVu Sans: the one that comes with matplotlib (which pyvista needs too)."""
    spec = importlib.util.find_spec("matplotlib")
    if spec is None or spec.origin is None:
        return None
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    file = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf" / name
    return file if file.is_file() else None
