"""A report as a list of blocks, written once and rendered as text, as one HTML file, and as a PDF."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Final, TypeAlias

from helix.output.canvas.lettering import HELD, units_held
from helix.output.words.answer_words import CAUTION

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
class Answer:
    """What a busy person reads first: the verdict, the number to act on, where, what to change; at most eight lines.

    title: what is answered, and more: what to type for what stands behind, or next, a line each; they are the last of the
    lines, on a terminal only. caution: a line of its own.
    """

    lines: tuple[str, ...]
    title: str = ""
    more: str = "--all shows the rest."
    caution: str = CAUTION

    @property
    def paras(self) -> tuple[Para, ...]:
        """Its lines as paragraphs of a report, the first of them set in bold."""
        return tuple(Para(line, strong=place == 0) for place, line in enumerate(self.lines))


@dataclass(frozen=True)
class Bullets:
    """A list of sentences."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """A table; left: columns set to the left; note: a line under it; methods: keys of what it was made by.

    marked: cells (row, column) to set off where there is colour. printed_only: left out of the text on a terminal.
    """

    title: str
    heading: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: tuple[int, ...] = (0,)
    note: str = ""
    methods: tuple[str, ...] = ()
    marked: tuple[tuple[int, int], ...] = ()
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


@dataclass(frozen=True)
class Picture:
    """A picture of a page: the content of its file, kind "png" or "svg+xml", and what is on it in words."""

    content: bytes = field(repr=False)
    kind: str
    caption: str


Block: TypeAlias = Answer | Heading | Para | Bullets | Table | Chart | Picture


@dataclass(frozen=True)
class Document:
    """A title and its blocks. caution: told last, and at the foot of every page of paper; none where it is empty."""

    title: str
    blocks: tuple[Block, ...]
    caution: str = CAUTION

    @property
    def charts(self) -> tuple[Chart, ...]:
        """Its charts, in order."""
        return tuple(block for block in self.blocks if isinstance(block, Chart))

    @property
    def answer(self) -> Answer | None:
        """Its answer, which stands before all else but the title."""
        return next((block for block in self.blocks if isinstance(block, Answer)), None)


def by_methods(keys: Sequence[str]) -> str:
    """The methods of a block as the end of its title.

    >>> by_methods(("M1", "M2"))
    ' [M1, M2]'
    """
    return f" [{', '.join(keys)}]" if keys else ""


def answer_text(answer: Answer, width: int = WIDTH) -> str:
    """The answer alone as plain text of at most that many columns, with its caution.

    >>> print(answer_text(Answer(("OK. Cut 460 mm.",), "Tether", caution="An estimate.")), end="")
    OK. Cut 460 mm.
    Tether. --all shows the rest.
    An estimate.
    """
    last = ". ".join(part for part in (answer.title, answer.more) if part)
    return (
        "\n".join(_wrapped(line, width) for line in (*answer.lines, *last.split("\n"), answer.caution) if line) + "\n"
    )


def document_text(document: Document, width: int = WIDTH) -> str:
    """The document as plain text of at most that many columns, without charts; a number stays with its unit.

    A table of many columns may stand out.
    """
    from helix.output.shape.shape_table import columns

    parts = []
    for place, block in enumerate(document.blocks):
        if isinstance(block, Heading):
            if block.level > 1 and not _has_text(document.blocks[place + 1 :], block.level):
                continue
            parts.append(block.text if block.level == 1 else f"{block.text}\n{'-' * len(block.text)}")
        elif isinstance(block, Answer):
            parts.append("\n".join(_wrapped(line, width) for line in block.lines))
        elif isinstance(block, (Para, Picture)):
            parts.append(_wrapped(block.text if isinstance(block, Para) else block.caption, width))
        elif isinstance(block, Bullets):
            parts.append("\n".join(_wrapped(item, width, "- ", "  ") for item in block.items))
        elif isinstance(block, Table) and not block.printed_only and block.rows:
            text = f"{block.title}\n" + columns(_fitted_rows(block, width), left=block.left)
            parts.append(text + ("\n" + _wrapped(block.note, width, "  ", "  ") if block.note else ""))
    parts += [_wrapped(document.caution, width)] if document.caution else []
    return "\n\n".join(parts) + "\n"


def _fitted_rows(table: Table, width: int) -> list[list[str]]:
    """Heading and rows of a table in lines; where it would be too wide its heads are broken, then its long left columns."""
    import textwrap

    rows = [*([table.heading] if any(table.heading) else []), *table.rows]
    count = len(table.heading)
    widths = [max(len(row[k]) for row in rows) for k in range(count)]
    if sum(widths) + 2 * count > width:
        least = [max((len(word) for word in head.split()), default=0) for head in table.heading]
        widths = [max(least[k], *(len(row[k]) for row in table.rows)) for k in range(count)]
        over = sum(widths) + 2 * count - width
        long = [k for k in table.left if widths[k] > 26]
        whole = sum(widths[k] for k in long)
        for k in long if over > 0 else ():
            widths[k] = max(26, max(whole - over, 26 * len(long)) * widths[k] // whole)
    lines: list[list[str]] = []
    for row in rows:
        cells = [
            textwrap.wrap(cell, widths[k], break_on_hyphens=False, break_long_words=False)
            if len(cell) > widths[k] else [cell]
            for k, cell in enumerate(row)
        ]  # fmt: skip
        most = max(map(len, cells))
        if row is table.heading:  # what heads a column stands on it
            cells = [[""] * (most - len(cell)) + cell for cell in cells]
        lines += [[cell[line] if line < len(cell) else "" for cell in cells] for line in range(most)]
    return lines


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

    filled = textwrap.fill(
        units_held(text),
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
        break_long_words=False,
    )
    return filled.replace(HELD, " ")
