"""A report as a list of blocks, written once and rendered as text, as one HTML file, and as a PDF."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Final, TypeAlias

WIDTH: Final = 100


@dataclass(frozen=True)
class Heading:
    """A heading; level 1 is the title of the document."""

    text: str
    level: int = 2


@dataclass(frozen=True)
class Para:
    """A paragraph; strong: set in bold, for the answer."""

    text: str
    strong: bool = False


@dataclass(frozen=True)
class Bullets:
    """A list of sentences."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """A table; left: columns set to the left; note: a line under it; methods: keys of what it was made by.

    printed_only: left out of the text on a terminal.
    """

    title: str
    heading: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: tuple[int, ...] = (0,)
    note: str = ""
    methods: tuple[str, ...] = ()
    printed_only: bool = False


@dataclass(frozen=True)
class Chart:
    """A chart: `draw` puts it into a figure of matplotlib; height in mm at a width of 174 mm; caption in words."""

    name: str
    title: str
    caption: str
    draw: Callable[[Any], None] = field(repr=False)
    height_mm: float = 90.0
    methods: tuple[str, ...] = ()


Block: TypeAlias = Heading | Para | Bullets | Table | Chart


@dataclass(frozen=True)
class Document:
    """A title and its blocks."""

    title: str
    blocks: tuple[Block, ...]

    @property
    def charts(self) -> tuple[Chart, ...]:
        """Its charts, in order."""
        return tuple(block for block in self.blocks if isinstance(block, Chart))


def by_methods(keys: Sequence[str]) -> str:
    """The methods of a block as the end of its title.

    >>> by_methods(("M1", "M2"))
    ' [M1, M2]'
    """
    return f" [{', '.join(keys)}]" if keys else ""


def document_text(document: Document, width: int = WIDTH) -> str:
    """The document as plain text of at most that many columns, without charts; wide tables may stand out."""
    from helix.output.shape.shape_table import columns

    parts = []
    for place, block in enumerate(document.blocks):
        if isinstance(block, Heading):
            if block.level > 1 and not _has_text(document.blocks[place + 1 :], block.level):
                continue
            parts.append(block.text if block.level == 1 else f"{block.text}\n{'-' * len(block.text)}")
        elif isinstance(block, Para):
            parts.append(_wrapped(block.text, width))
        elif isinstance(block, Bullets):
            parts.append("\n".join(_wrapped(item, width, "- ", "  ") for item in block.items))
        elif isinstance(block, Table) and not block.printed_only and block.rows:
            text = f"{block.title}\n" + columns(_narrowed(block, width), left=block.left)
            parts.append(text + ("\n" + _wrapped(block.note, width, "  ", "  ") if block.note else ""))
    return "\n\n".join(parts) + "\n"


def _narrowed(table: Table, width: int) -> list[tuple[str, ...]]:
    """Heading and rows of a table, its long left columns broken into lines where it would be too wide."""
    import textwrap

    rows = [table.heading, *table.rows]
    widths = [max(len(row[k]) for row in rows) for k in range(len(table.heading))]
    over = sum(widths) + 2 * len(widths) - width
    long = [k for k in table.left if widths[k] > 26]
    if over <= 0 or not long:
        return rows
    room = max(sum(widths[k] for k in long) - over, 26 * len(long))
    for k in long:
        widths[k] = max(26, room * widths[k] // sum(max(len(row[j]) for row in rows) for j in long))
    out: list[tuple[str, ...]] = []
    for row in rows:
        cells = [
            textwrap.wrap(cell, widths[k], break_on_hyphens=False) or [""] if k in long else [cell]
            for k, cell in enumerate(row)
        ]
        most = max(len(cell) for cell in cells)
        out.extend(tuple(cell[line] if line < len(cell) else "" for cell in cells) for line in range(most))
    return out


def _has_text(following: Sequence[Block], level: int) -> bool:
    """Whether anything is printed as text before the next heading of that level."""
    for block in following:
        if isinstance(block, Heading):
            if block.level <= level:
                return False
        elif isinstance(block, (Para, Bullets)) or (isinstance(block, Table) and block.rows and not block.printed_only):
            return True
    return False


def _wrapped(text: str, width: int, first: str = "", rest: str = "") -> str:
    import textwrap

    return textwrap.fill(text, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
