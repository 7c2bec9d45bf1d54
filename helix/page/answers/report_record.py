"""A report as the page gets it: its blocks as plain data, charts as SVG that may stand in one page with others."""

from __future__ import annotations

import hashlib
import re
from typing import Any, TypeAlias

from helix.output.report.chart_sheet import chart_file
from helix.output.report.document import Answer, Bullets, Chart, Document, Heading, Para, Picture, Table, by_methods

_STYLE = re.compile(r"<style[^>]*>.*?</style>", re.DOTALL)
_METADATA = re.compile(r"<metadata>.*?</metadata>", re.DOTALL)
_NAMED = re.compile(r'(?<= id=")[^"]+(?=")')
_SIZE = re.compile(r' (?:width|height)="[^"]*"')


Shown: TypeAlias = Heading | Para | Bullets | Table | Chart | Picture


def report_record(document: Document, narrow: bool = False) -> dict[str, Any]:
    """The document as {"title", "blocks"}; a block's kind is heading, para, bullets, table or chart; what answers the
    question in short has "lead". narrow: its charts are for a phone.

    >>> from helix.output.report.document import Para
    >>> report_record(Document("Hold", (Para("It locks.", strong=True),), caution=""))
    {'title': 'Hold', 'blocks': [{'kind': 'para', 'text': 'It locks.', 'strong': True}]}
    """
    return {
        "title": document.title,
        "blocks": [
            block_record(part, narrow) | ({"lead": True} if isinstance(block, Answer) else {})
            for block in (*document.blocks, *((Para(document.caution),) if document.caution else ()))
            if not (isinstance(block, Heading) and block.level == 1)
            for part in (block.paras if isinstance(block, Answer) else (block,))
        ],
    }


def block_record(block: Shown, narrow: bool = False) -> dict[str, Any]:
    """One block as plain data."""
    if isinstance(block, Heading):
        return {"kind": "heading", "text": block.text, "level": block.level}
    if isinstance(block, Para):
        return {"kind": "para", "text": block.text, "strong": block.strong}
    if isinstance(block, Bullets):
        return {"kind": "bullets", "items": list(block.items)}
    if isinstance(block, Chart):
        return {
            "kind": "chart",
            "name": block.name,
            "title": block.title,
            "methods": by_methods(block.methods),
            "caption": block.caption,
            "svg": inline_svg(block, narrow),
        }
    if isinstance(block, Picture):  # the page draws its own
        return {"kind": "para", "text": block.caption, "strong": False}
    return {
        "kind": "table",
        "title": block.title + by_methods(block.methods),
        "heading": list(block.heading),
        "rows": [list(row) for row in block.rows],
        "left": list(block.left),
        "note": block.note,
    }


def inline_svg(chart: Chart, narrow: bool = False) -> str:
    """A chart as an <svg> element to stand inside a page.

    Words stay words; there is no script, no style sheet and no address in it; its width and height follow the
    page; its ids begin with a name of the chart's own, so that several may stand in one page.
    """
    text = chart_file(chart, ".svg", words=True, narrow=narrow).decode("utf-8")
    text = text[text.index("<svg") :].rstrip()
    text = _METADATA.sub("", _STYLE.sub("", text))
    own = "c" + hashlib.sha256(text.encode()).hexdigest()[:10]
    names = set(_NAMED.findall(text))
    text = _NAMED.sub(lambda match: f"{own}-{match[0]}", text)
    text = re.sub(
        r'(?<=url\(#)[^)"]+(?=\))|(?<=href="#)[^"]+(?=")',
        lambda match: f"{own}-{match[0]}" if match[0] in names else match[0],
        text,
    )
    text = re.sub(r'(?<= )style="([^"]*)"', _attributes, text)  # a page that allows no styles of its own keeps these
    head, rest = text.split(">", 1)
    return f'{_SIZE.sub("", head)} stroke-linejoin="round" stroke-linecap="butt">{rest}'


def _attributes(style: re.Match[str]) -> str:
    """The properties of a style as attributes of their own, which SVG has for all of them."""
    pairs = (part.split(":", 1) for part in style[1].split(";") if ":" in part)
    return " ".join(f'{name.strip()}="{value.strip()}"' for name, value in pairs)
