"""A document as text, HTML, PDF and plain data: tables that are too wide, marked cells, pictures.

Map of what must hold:
  no line of a table passes the width while its heads and long columns can be broken; every word is still there, in order
  a number stays with its unit; a table without heads has no empty line
  marked cells are set off in HTML, and only they; a picture is carried inside the page, its words are in every form
"""

from __future__ import annotations

import base64
import io
import re

from hypothesis import given
from hypothesis import strategies as st

from helix.output.report.document import Document, Heading, Para, Picture, Table, document_text
from helix.output.report.document_html import document_html
from helix.output.report.document_pdf import document_pdf
from helix.page.answers.report_record import report_record

word = st.text(alphabet="abcdefg", min_size=1, max_size=8)
words = st.lists(word, min_size=1, max_size=12).map(" ".join)
heads = st.lists(word, min_size=1, max_size=4).map(" ".join)


@st.composite
def tables(draw: st.DrawFn) -> Table:
    count = draw(st.integers(2, 6))
    rows = draw(st.lists(st.tuples(words, *[word] * (count - 1)), min_size=1, max_size=4))
    return Table("A table", tuple(draw(heads) for _ in range(count)), tuple(rows))


@given(tables())
def test_a_table_keeps_within_the_width_and_loses_no_word(table: Table) -> None:
    title, *lines = document_text(Document("t", (table,), caution=""), 100).rstrip("\n").split("\n")
    assert title == table.title
    assert max(map(len, lines)) <= 100
    printed = sorted(" ".join(lines).split())
    assert printed == sorted(" ".join(" ".join(row) for row in (table.heading, *table.rows)).split())


def test_a_number_stays_with_its_unit() -> None:
    text = document_text(Document("t", (Para("the length of all of it is 12.5 mm here"),), caution=""), 30)
    assert text == "the length of all of it is\n12.5 mm here\n"


def test_a_table_without_heads_has_no_empty_line() -> None:
    text = document_text(Document("t", (Table("Sizes", ("", ""), (("eye", "6 mm"), ("wire", "0.7 mm"))),), caution=""))
    assert text == "Sizes\n  eye     6 mm\n  wire  0.7 mm\n"


def test_marked_cells_are_set_off_and_only_they() -> None:
    table = Table("T", ("name", "one", "two"), (("a", "1", "2"), ("b", "3", "4")), marked=((1, 2), (0, 1)))
    found = re.findall(r'<td class="d">([^<]*)</td>', document_html(Document("t", (table,))))
    assert found == ["1", "4"]


def test_a_picture_is_inside_the_page_and_its_words_in_every_form() -> None:
    from pypdf import PdfReader

    document = Document("t", (Heading("Two joints", 1), Picture(b"\x89PNG data", "png", "One above the other")), "")
    page = document_html(document)
    (data,) = re.findall(r'src="data:image/png;base64,([^"]+)" alt="One above the other"', page)
    assert base64.b64decode(data) == b"\x89PNG data"
    assert "http" not in page.replace("http-equiv", "")
    assert "One above the other" in PdfReader(io.BytesIO(document_pdf(document))).pages[0].extract_text()
    assert document_text(document) == "Two joints\n\nOne above the other\n"
    assert report_record(document)["blocks"] == [{"kind": "para", "text": "One above the other", "strong": False}]


def test_the_caution_is_last_in_every_form_and_on_every_page() -> None:
    from pypdf import PdfReader

    document = Document("t", tuple(Para(f"Paragraph {k}. " * 40) for k in range(30)), "Wear eye protection.")
    assert document_text(document).endswith("\n\nWear eye protection.\n")
    assert "<p>Wear eye protection.</p>" in document_html(document)
    assert report_record(document)["blocks"][-1]["text"] == "Wear eye protection."
    pages = PdfReader(io.BytesIO(document_pdf(document))).pages
    assert len(pages) > 1 and all("Wear eye protection." in page.extract_text() for page in pages)
