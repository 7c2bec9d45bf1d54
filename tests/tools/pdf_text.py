"""What the pages of a PDF say, without reading the thousands of lines and areas that they draw."""

from __future__ import annotations

import io
import re
from pathlib import Path

from pypdf import PageObject, PdfReader
from pypdf.generic import DecodedStreamObject, NameObject

KEPT = re.compile(rb"(?<!\S)(?:BT\s.*?\sET|q|Q|(?:[-+.\d]+\s+){6}cm|/\S+\s+Do)(?!\S)", re.DOTALL)
"""Texts, where they stand, and forms that are put in."""


def page_texts(content: bytes | Path) -> list[str]:
    """The text of each page."""
    return [text_of(page) for page in PdfReader(io.BytesIO(content) if isinstance(content, bytes) else content).pages]


def text_of(page: PageObject) -> str:
    """A page's text, without its lines and areas; the page loses them."""
    contents = page.get_contents()
    if contents is None:
        return ""
    only = DecodedStreamObject()
    only.set_data(b"\n".join(KEPT.findall(contents.get_data())))
    page[NameObject("/Contents")] = only
    return page.extract_text()
